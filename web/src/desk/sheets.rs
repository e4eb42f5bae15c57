//! The sheets at the desk: which there are, one drawn to be looked at, all drawn for a file.

use super::{Desk, Plan, Progress};
use crate::error::Refusal;
use crate::settings::{LineChoice, ProofSettings, SheetChoice};
use stepbite_core::lines::Lines;
use stepbite_core::sheets::{Bars, Entry, Job, Kind, MOST_INWARD, Pulls, Sheet, SheetSet, SheetSettings, Sheets, Together};
use stepbite_core::strip::StripKind;
use stepbite_core::units::Millimetres;

/// Which sheets there are.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetFacts {
    /// Every page.
    pub entries: Vec<Entry>,
    /// Whether the plate fits one page at true size.
    pub fits: bool,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
    /// What the set holds, a sentence.
    pub contents: String,
    /// What the measured bars do to the sheets, in a few words; none where none were measured.
    pub bars: Option<String>,
}

impl Desk {
    /// Which sheets there are, without drawing them.
    ///
    /// # Errors
    /// Before the first plan, and for settings out of range.
    pub fn sheet_facts(&self, choice: &SheetChoice) -> Result<SheetFacts, Refusal> {
        let bars = bars(choice)?.map(Bars::words);
        let unlaid = super::papers::unlaid(choice, &self.plan()?.plate)?;
        self.with_set(choice, |set| SheetFacts {
            entries: set.entries(),
            fits: set.fits(),
            notes: set.notes().iter().cloned().chain(unlaid).collect(),
            contents: set.contents(),
            bars,
        })
    }

    /// Draws the pages that belong together with page `index` (0 is the first): the number of the first of them, and the sheets.
    ///
    /// # Errors
    /// Before the first plan, for settings out of range, and where there is no such page.
    pub fn sheets_around(&self, choice: &SheetChoice, index: usize) -> Result<(usize, Vec<Sheet>), Refusal> {
        self.with_set(choice, |set| set.around(index))?
            .ok_or_else(|| Refusal::new("sheet", format!("There is no sheet {}: choose one that the list shows.", index + 1)))
    }

    /// All sheets.
    ///
    /// # Errors
    /// Before the first plan, for settings out of range, and where no kind that is chosen has a sheet.
    pub fn sheets(&self, choice: &SheetChoice, progress: Progress<'_>) -> Result<Sheets, Refusal> {
        self.with_set(choice, |set| match set.pages() {
            0 => Err(Refusal::new("sheets", set.contents())),
            _ => Ok(set.draw(&mut |share| progress("sheets", share as f32))),
        })?
    }

    /// The sheet of the strip to bite, alone.
    ///
    /// # Errors
    /// Before the first plan, and after a STOP: a strip is bitten in the same bath.
    pub fn strip_sheet(&self, choice: &SheetChoice) -> Result<Sheets, Refusal> {
        let plan = self.plan()?;
        let judged = plan.day.judged();
        if judged.stops() {
            return Err(Refusal::new("stop", format!("{} No strip is planned for it: name another metal or mordant.", judged.sentence())));
        }
        Ok(Sheets::of_strip(plan.day.strip_plan(), &settings(plan, choice)?))
    }

    fn with_set<T>(&self, choice: &SheetChoice, show: impl FnOnce(&SheetSet<'_>) -> T) -> Result<T, Refusal> {
        let plan = self.plan()?;
        let mut settings = settings(plan, choice)?;
        // Plates that don't fit their bed are refused where the bed is chosen; the other sheets print all the same.
        if let Some(spec) = choice.bed.as_ref().filter(|_| choice.kinds.iter().any(|kind| [Kind::Bed, Kind::Registration].contains(kind)))
            && let Ok(laid) = self.laid(spec)
        {
            settings.registration = self.registrations(spec, &laid);
            settings.bed = Some(laid);
        }
        if let (Some(proof), true) = (&choice.zones_of, choice.kinds.contains(&Kind::Zones)) {
            // Zones that can't be inked are refused where they are drawn; the other sheets print all the same.
            settings.zones = self.zones_sheet(proof).unwrap_or(None);
        }
        if let (Some(spec), true) = (&choice.together, choice.kinds.contains(&Kind::Together) && !plan.stopped()) {
            // A day that can't be planned is refused where it is planned; the other sheets print all the same.
            settings.together = self.days(spec).ok().and_then(|(plates, days)| Together::of(&plates, &days));
        }
        let draw = |lines: Option<&Lines>| {
            show(&SheetSet::of(Job {
                stop_outs: &plan.stopouts,
                outlines: &plan.outlines,
                bites: &plan.bites,
                plate: &plan.plate,
                lines,
                settings: &settings,
            }))
        };
        Ok(match plan.settings.lines {
            // Found again only for the sheets that show or tell of them.
            LineChoice::Etched if [Kind::Lines, Kind::Run, Kind::Cover].iter().any(|kind| choice.kinds.contains(kind)) => {
                self.with_lines(plan, |etched| draw(Some(etched.lines())))
            }
            _ => draw(None),
        })
    }
}

fn bars(choice: &SheetChoice) -> Result<Option<Bars>, Refusal> {
    Ok(choice.bars_mm.map(|[short, long]| Bars::new(Millimetres(short), Millimetres(long))).transpose()?)
}

fn inward(choice: &SheetChoice) -> Result<Millimetres, Refusal> {
    if !(0.0..=MOST_INWARD.0).contains(&choice.inward_mm) {
        return Err(Refusal::new(
            "inward",
            format!(
                "Edges are drawn 0 to {} mm inside their line, {} mm came: give a distance between these.",
                MOST_INWARD.0,
                (choice.inward_mm * 1000.0).round() / 1000.0
            ),
        ));
    }
    Ok(Millimetres(choice.inward_mm))
}

/// What is wrong with choices that wait for no plan; none: nothing.
#[must_use]
pub fn job_refused(proof: &ProofSettings, choice: &SheetChoice) -> Option<Refusal> {
    bars(choice).err().or_else(|| inward(choice).err()).or_else(|| proof.check().err())
}

pub(super) fn settings(plan: &Plan, choice: &SheetChoice) -> Result<SheetSettings, Refusal> {
    if let Some(record) = &choice.record {
        record.check()?;
    }
    Ok(SheetSettings {
        paper: choice.paper,
        transfer: choice.transfer,
        title: choice.title.clone(),
        letter: choice.letter.clone(),
        date: (!choice.date.is_empty()).then(|| choice.date.clone()),
        bath: plan.settings.strip_words(),
        judged: plan.day.named().then(|| plan.day.judged().clone()),
        scaled: plan.day.scaled_words(),
        strip_plan: (plan.strip.kind() == StripKind::Missing).then(|| plan.day.strip_plan().clone()),
        kinds: choice.kinds.clone(),
        style: choice.style,
        inward: inward(choice)?,
        dips: plan.joined_dips(),
        hinge: choice.hinge,
        notch: choice.notch,
        bars: bars(choice)?,
        repair: if choice.kinds.contains(&Kind::Repair) { plan.repair() } else { None },
        drying_min: plan.settings.bench.dry_min,
        touches: choice.record.iter().flat_map(|record| record.touches.clone()).collect(),
        pulls: choice.record.as_ref().filter(|_| choice.kinds.contains(&Kind::Pulls)).map(Pulls::of),
        papers: if [Kind::Cutting, Kind::Laying].iter().any(|kind| choice.kinds.contains(kind)) {
            super::papers::to_lay(choice.papers.as_ref(), &plan.plate)?
        } else {
            None
        },
        ..SheetSettings::default()
    })
}

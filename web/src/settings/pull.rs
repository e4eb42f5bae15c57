//! How the proof is made and looked at: the page's half of it.

use super::papers::PapersChoice;
use crate::error::Refusal;
use serde::{Deserialize, Serialize};
use stepbite_core::edges::Edges;
use stepbite_core::laid::Edge;
use stepbite_core::overprint::PLATES;
pub use stepbite_core::relief::GrainChoice;
use stepbite_core::units::Millimetres;

/// How the proof is made and looked at. What an older page or file does not say is as usual.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProofSettings {
    /// `#rrggbb` of the sheet.
    pub paper: Option<String>,
    /// Density of a film of plate tone.
    pub plate_tone: f64,
    /// The grain.
    #[serde(default)]
    pub grain: GrainChoice,
    /// Edges as painted; none as planned.
    #[serde(default)]
    pub edges: Option<EdgeChoice>,
    /// What it is looked at by.
    #[serde(default)]
    pub lamp: stepbite_core::colour::Lamp,
    /// The printer's inks.
    #[serde(default)]
    pub inks: Vec<ProofInk>,
    /// Zones of ink on this plate.
    #[serde(default)]
    pub zones: Vec<InkZone>,
    /// How softly they meet, mm.
    #[serde(default = "soft")]
    pub zone_border_mm: f64,
    /// Minutes to ink one.
    #[serde(default = "pace")]
    pub zone_minutes: f64,
    /// Thin papers under the ink, the first laid first.
    #[serde(default)]
    pub laid: Vec<LaidPaper>,
    /// The papers of the pull, where they are planned piece by piece: no part of the proof that is kept, but what the page sends along with it.
    #[serde(default)]
    pub papers: Option<PapersChoice>,
    /// The plates, the first printed first.
    #[serde(default = "alone")]
    pub printings: Vec<PrintingChoice>,
}

/// The most inks, zones and papers.
const MOST: (usize, usize, usize) = (16, 32, 64);
/// The most points of an outline.
const POINTS: usize = 5000;
/// Longest name, letters.
const LONGEST: usize = 200;

impl ProofSettings {
    /// Checks everything that needs no plan: ranges, colours, and that places in lists are in them.
    ///
    /// # Errors
    /// The first value that can't be, in a sentence.
    pub fn check(&self) -> Result<(), Refusal> {
        within("The grain’s seed", self.grain.seed as f64, (1.0, 9999.0), "")?;
        if let Some(cover) = self.grain.cover {
            within("The share that the grain covers", cover, (0.05, 0.95), "")?;
        }
        if let Some(median) = self.grain.median_um {
            within("The median radius of a grain", median, (10.0, 200.0), " µm")?;
        }
        within("A film of plate tone", self.plate_tone, (0.0, 0.3), " D")?;
        if let Some(EdgeChoice { seed, wander_mm, creep_mm, lap_mm }) = self.edges {
            within("The hand’s seed", seed as f64, (1.0, 9999.0), "")?;
            within("How far an edge wanders", wander_mm, (0.0, 1.5), " mm")?;
            within("How far varnish creeps", creep_mm, (0.0, 1.0), " mm")?;
            within("The lap over the old edge", lap_mm, (0.0, 3.0), " mm")?;
        }
        within("The border of a zone", self.zone_border_mm, (5.0, 10.0), " mm")?;
        within("The time to ink a zone", self.zone_minutes, (0.0, 600.0), " min")?;
        for (what, count, most) in [
            ("inks", self.inks.len(), MOST.0),
            ("zones of ink", self.zones.len(), MOST.1),
            ("papers under the ink", self.laid.len(), MOST.2),
        ] {
            if count > most {
                return Err(refused(format!("At most {most} {what} were expected, {count} came: take some away.")));
            }
        }
        self.thin_papers()?;
        for ink in &self.inks {
            named(&ink.name)?;
            let colours: &[&String] = match &ink.known {
                InkKnown::Pair { full, pale, .. } => &[full, pale],
                InkKnown::Full { full, .. } => &[full],
            };
            for colour in colours.iter().copied().chain(ink.sheet.as_ref()) {
                hex_colour(colour)?;
            }
            if let InkKnown::Full { opacity, .. } = ink.known {
                within("The opacity of an ink", opacity, (0.0, 1.0), "")?;
            }
            if let Some(printed) = &ink.printed {
                printed.check()?;
            }
            within("The share of medium", ink.thinned, (0.0, 0.95), "")?;
            within("The strength of an ink", ink.strength, (0.1, 3.0), " times")?;
        }
        for zone in &self.zones {
            named(&zone.name)?;
            outlined(&zone.outline)?;
        }
        self.plates()?;
        let places = self.zones.iter().map(|zone| zone.ink).chain(self.printings.iter().map(|printing| printing.ink));
        match places.flatten().find(|&ink| ink >= self.inks.len()) {
            Some(ink) => Err(refused(format!("Ink {} is not among the {} inks: choose another.", ink + 1, self.inks.len()))),
            None => Ok(()),
        }
    }

    fn thin_papers(&self) -> Result<(), Refusal> {
        if let Some(paper) = &self.paper {
            hex_colour(paper)?;
        }
        self.laid.iter().try_for_each(LaidPaper::check)?;
        self.papers.as_ref().map_or(Ok(()), PapersChoice::check)
    }

    fn plates(&self) -> Result<(), Refusal> {
        let (count, own) = (self.printings.len(), self.printings.iter().filter(|printing| printing.plate.is_none()).count());
        if !(1..=PLATES).contains(&count) || own != 1 {
            return Err(refused(format!(
                "One to {PLATES} plates were expected over one another, the one at hand once among them; {count} came, {own} of them the one at hand."
            )));
        }
        for (k, printing) in self.printings.iter().enumerate() {
            if self.printings[..k].iter().any(|before| before.plate == printing.plate) {
                return Err(refused("Each plate prints once in a pull, one came twice: take one of the two away.".to_owned()));
            }
        }
        for printing in &self.printings {
            within("How an ink takes on a wet one", printing.trap, (0.0, 1.0), "")?;
            for shift in [printing.shift_mm.0, printing.shift_mm.1] {
                within("The shift of a plate", shift, (-20.0, 20.0), " mm")?;
            }
            for growth in [printing.growth.0, printing.growth.1] {
                within("The growth of a plate", growth * 100.0, (-5.0, 5.0), " %")?;
            }
            within("The turn of a plate", printing.turn, (-5.0, 5.0), "°")?;
        }
        Ok(())
    }

    /// Whether anything is printed in an ink, by its place.
    #[must_use]
    pub fn uses(&self, ink: usize) -> bool {
        self.printings.iter().map(|printing| printing.ink).chain(self.zones.iter().map(|zone| zone.ink)).any(|used| used == Some(ink))
    }

    /// Whether thin papers lie under the ink.
    #[must_use]
    pub fn lays_papers(&self) -> bool {
        !self.laid.is_empty() || self.papers.as_ref().is_some_and(|papers| !papers.pieces.is_empty())
    }

    /// Whether it is the plate at hand alone, in its strip's own ink on a bare sheet, by day and as planned: what the quick way shows.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        let exact = |printing: &PrintingChoice| {
            let PrintingChoice { plate, ink, trap: _, shift_mm, growth, turn } = printing;
            plate.is_none() && ink.is_none() && *shift_mm == (0.0, 0.0) && *growth == (0.0, 0.0) && *turn == 0.0
        };
        self.edges.is_none()
            && self.zones.is_empty()
            && !self.lays_papers()
            && self.lamp == stepbite_core::colour::Lamp::Daylight
            && matches!(&self.printings[..], [only] if exact(only))
    }
}

fn refused(words: String) -> Refusal {
    Refusal::new("proof", words)
}

fn within(what: &str, value: f64, (least, most): (f64, f64), unit: &str) -> Result<(), Refusal> {
    if (least..=most).contains(&value) {
        return Ok(());
    }
    Err(refused(format!("{what} lies between {least} and {most}{unit}; {value} came: choose a value in that range.")))
}

/// Refuses a name or title that is too long.
pub(crate) fn named(name: &str) -> Result<(), Refusal> {
    if name.chars().count() <= LONGEST {
        return Ok(());
    }
    Err(refused(format!("A name of up to {LONGEST} letters was expected, a longer one came: shorten it.")))
}

fn outlined(outline: &[(f64, f64)]) -> Result<(), Refusal> {
    let far = outline.iter().any(|(x, y)| !(x.abs() <= 10_000.0 && y.abs() <= 10_000.0));
    if (3..=POINTS).contains(&outline.len()) && !far {
        return Ok(());
    }
    Err(refused(format!(
        "A closed outline of 3 to {POINTS} points on or near the face was expected, {} points came: draw it again.",
        outline.len()
    )))
}

/// The bytes of a colour as `#rrggbb`.
///
/// # Errors
/// When it is written otherwise.
pub fn hex_colour(text: &str) -> Result<[u8; 3], Refusal> {
    let wrong = || Refusal::new("colour", format!("A colour like #f4f1e8 was expected, “{text}” came: pick it again."));
    let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6 && digits.is_ascii()).ok_or_else(wrong)?;
    let value = u32::from_str_radix(digits, 16).map_err(|_| wrong())?;
    let [_, r, g, b] = value.to_be_bytes();
    Ok([r, g, b])
}

fn soft() -> f64 {
    7.0
}

fn first() -> u64 {
    1
}

fn pace() -> f64 {
    4.0
}

fn alone() -> Vec<PrintingChoice> {
    vec![PrintingChoice::default()]
}

/// Edges as a hand paints them.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EdgeChoice {
    /// Which hand.
    pub seed: u64,
    /// Standard deviation about the line, mm.
    pub wander_mm: f64,
    /// How far varnish runs, mm.
    pub creep_mm: f64,
    /// How far new paint goes over the old edge, mm.
    pub lap_mm: f64,
}

impl EdgeChoice {
    /// For the core.
    ///
    /// # Errors
    /// When a length is out of range.
    pub fn edges(&self) -> Result<Edges, Refusal> {
        let [wander, creep, lap] = [self.wander_mm, self.creep_mm, self.lap_mm].map(Millimetres);
        Ok(Edges::new(self.seed, wander, creep, lap)?)
    }
}

/// An ink of the printer's.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProofInk {
    /// Its name.
    pub name: String,
    /// What is known of it.
    pub known: InkKnown,
    /// How its patches were printed; none: by the plan at hand, until the page keeps it.
    #[serde(default)]
    pub printed: Option<InkPrinted>,
    /// The sheet beside its patches; none: the one they were printed on.
    pub sheet: Option<String>,
    /// Share of transparent medium.
    pub thinned: f64,
    /// Times as strong as the patch.
    pub strength: f64,
}

/// How the patches of an ink were printed, kept so that no later plan moves the ink.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InkPrinted {
    /// Yule and Nielsen's n of the strip then.
    pub n: f64,
    /// What a film of 1 was in that strip's ink: the density of its full pit over the paper's.
    pub density: f64,
    /// What they were printed on, linear light in sRGB's primaries.
    pub sheet: [f64; 3],
    /// The tone of the full patch.
    pub full: PrintedTone,
    /// That of the pale one.
    pub pale: Option<PrintedTone>,
}

/// A tone as it printed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintedTone {
    /// Share of lands.
    pub lands: f64,
    /// Thickness of the film in its pits, 1 = a full pit of the strip then.
    pub film: f64,
}

impl InkPrinted {
    fn check(&self) -> Result<(), Refusal> {
        within("The n that an ink’s patches were printed by", self.n, (1.0, 10.0), "")?;
        within("The full density that an ink’s patches were printed by", self.density, (0.01, 10.0), "")?;
        for channel in self.sheet {
            within("The light of the sheet under an ink’s patches", channel, (0.0, 1.0), "")?;
        }
        for tone in [Some(self.full), self.pale].into_iter().flatten() {
            within("The share of lands of an ink’s patch", tone.lands, (0.0, 1.0), "")?;
            within("The film of an ink’s patch", tone.film, (0.0, 100.0), "")?;
        }
        Ok(())
    }
}

/// What is known of an ink.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum InkKnown {
    /// A full and a pale patch.
    Pair {
        /// The full tone.
        full: String,
        /// The pale one.
        pale: String,
        /// The tone that printed the pale one.
        tone: usize,
    },
    /// A full patch and how opaque.
    Full {
        /// The full tone.
        full: String,
        /// 0 = transparent to 1 = covers everything.
        opacity: f64,
    },
}

/// A zone of ink.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InkZone {
    /// Its name.
    pub name: String,
    /// Which ink; none: the strip's own.
    pub ink: Option<usize>,
    /// Closed outline, mm, print view.
    pub outline: Vec<(f64, f64)>,
}

/// A thin paper under the ink.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LaidPaper {
    /// Its name.
    pub name: String,
    /// Its colour on a white sheet.
    pub on_white: String,
    /// That sheet; none: the strip's paper.
    #[serde(default)]
    pub sheet: Option<String>,
    /// Known by a pad of it and its weight, not by its patches.
    #[serde(default)]
    pub weight: Option<PaperWeight>,
    /// Which of all tears, where it is torn.
    #[serde(default = "first")]
    pub tear: u64,
    /// Its colour on black.
    pub on_black: String,
    /// Closed outline, mm, print view; none: the whole face.
    pub outline: Option<Vec<(f64, f64)>>,
    /// How it was parted.
    pub edge: Edge,
    /// Its other side, where it differs.
    pub back: Option<String>,
    /// Laid with the other side to the ink.
    pub turned: bool,
}

impl LaidPaper {
    /// Checks everything that needs no plan.
    ///
    /// # Errors
    /// The first value that can't be, in a sentence.
    pub fn check(&self) -> Result<(), Refusal> {
        named(&self.name)?;
        let pad = self.weight.as_ref().map(|weight| &weight.pad);
        for colour in [&self.on_white, &self.on_black].into_iter().chain(self.back.as_ref()).chain(self.sheet.as_ref()).chain(pad) {
            hex_colour(colour)?;
        }
        if let Some(weight) = &self.weight {
            within("The weight of a thin paper", weight.grams, (2.0, 300.0), " g/m²")?;
        }
        within("The number of a tear", self.tear as f64, (1.0, 9999.0), "")?;
        self.outline.as_ref().map_or(Ok(()), |outline| outlined(outline))
    }
}

/// A paper by its weight.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaperWeight {
    /// Colour of a pad of it, thick enough that nothing shows through.
    pub pad: String,
    /// g a m².
    pub grams: f64,
}

/// One plate's part in the pull.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintingChoice {
    /// A plate brought in; none: the plate at hand.
    pub plate: Option<String>,
    /// Which ink; none: the strip's own.
    pub ink: Option<usize>,
    /// Thickness of its film on a wet one, 0..=1.
    pub trap: f64,
    /// To the right and down, mm.
    pub shift_mm: (f64, f64),
    /// More than true size across and down.
    pub growth: (f64, f64),
    /// Clockwise, degrees.
    pub turn: f64,
}

impl Default for PrintingChoice {
    fn default() -> Self {
        Self { plate: None, ink: None, trap: 0.75, shift_mm: (0.0, 0.0), growth: (0.0, 0.0), turn: 0.0 }
    }
}

/// A print that is to be saved.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintSpec {
    /// How it is made.
    pub proof: ProofSettings,
    /// Its raster; none: the step map's.
    pub px_per_mm: Option<f64>,
    /// Whose it is.
    #[serde(default)]
    pub head: PrintHead,
}

/// Whose print is saved; what is empty is not spoken of.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintHead {
    /// The work's title.
    pub title: String,
    /// The plate's letter.
    pub letter: String,
    /// The day it is saved, in words.
    pub date: String,
}

/// A plate that prints over the one at hand, as the page keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BroughtPlate {
    /// Same plate, same id.
    pub id: String,
    /// Its letter.
    pub letter: String,
    /// The work's title.
    pub title: String,
    /// Width and height of its face.
    pub face_mm: FaceSize,
    /// Tones.
    pub tones: usize,
    /// Whether its tones are by the example strip, for want of one of its own.
    pub example: bool,
    /// Totals, lights and grain, in the core's own words.
    pub facts: String,
    /// Its step map, PNG in base64.
    pub map: String,
    /// Which plate of the family it is, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
}

/// A face's size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaceSize {
    /// mm.
    pub width: f64,
    /// mm.
    pub height: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_older_page_says_is_one_plate_in_the_strips_own_ink() {
        let old: ProofSettings = serde_json::from_str(r##"{ "paper": "#ece6d8", "plate_tone": 0.1 }"##).unwrap();
        assert_eq!(old.printings, [PrintingChoice::default()]);
        assert!(old.inks.is_empty() && old.laid.is_empty() && old.zones.is_empty() && old.edges.is_none());
    }

    #[test]
    fn what_can_not_be_is_refused_by_name() {
        let good: ProofSettings = serde_json::from_str(r#"{ "paper": null, "plate_tone": 0 }"#).unwrap();
        good.check().unwrap();
        assert!(good.is_plain());
        let said = |change: &dyn Fn(&mut ProofSettings)| {
            let mut changed = good.clone();
            change(&mut changed);
            assert!(!changed.is_plain() || changed == good || changed.check().is_err());
            let said = changed.check().unwrap_err().message;
            assert!(said.ends_with('.'), "{said}");
            said
        };
        assert!(said(&|it| it.paper = Some("white".to_owned())).contains("white"));
        assert!(said(&|it| it.grain.seed = 0).contains("seed"));
        assert!(said(&|it| it.grain.cover = Some(f64::NAN)).contains("covers"));
        assert!(said(&|it| it.grain.median_um = Some(3.0)).contains("median radius"));
        for tone in [-1.0, 1e9, f64::NAN] {
            assert!(said(&|it| it.plate_tone = tone).contains("plate tone"));
        }
        assert!(said(&|it| it.edges = Some(EdgeChoice { seed: 1, wander_mm: 9.0, creep_mm: 0.0, lap_mm: 1.0 })).contains("wanders"));
        assert!(said(&|it| it.zone_border_mm = 1.0).contains("border"));
        assert!(said(&|it| it.printings.clear()).contains("One to 4"));
        assert!(said(&|it| it.printings = vec![PrintingChoice::default(); 2]).contains("2 of them"));
        let other = PrintingChoice { plate: Some("9c01".to_owned()), ..PrintingChoice::default() };
        assert!(said(&|it| it.printings.extend([other.clone(), other.clone()])).contains("came twice"));
        assert!(said(&|it| it.printings[0].ink = Some(0)).contains("Ink 1"));
        assert!(said(&|it| it.printings[0].growth.1 = 0.2).contains("growth"));
        assert!(said(&|it| it.zones = vec![InkZone { name: String::new(), ink: None, outline: vec![(0.0, 0.0); 2] }]).contains("outline"));
        let far = LaidPaper {
            name: "x".repeat(201),
            on_white: "#ffffff".to_owned(),
            on_black: "#202020".to_owned(),
            outline: None,
            edge: Edge::Torn,
            sheet: None,
            weight: None,
            tear: 1,
            back: None,
            turned: false,
        };
        assert!(said(&|it| it.laid = vec![far.clone()]).contains("200 letters"));
        assert!(said(&|it| it.laid = vec![LaidPaper { name: String::new(), ..far.clone() }; 65]).contains("64 papers"));
    }

    #[test]
    fn an_ink_is_of_one_patch_or_two() {
        let ink = |known: &str| serde_json::from_str::<InkKnown>(known);
        assert!(matches!(ink(r##"{ "full": "#101010", "opacity": 0.2 }"##), Ok(InkKnown::Full { .. })));
        assert!(matches!(ink(r##"{ "full": "#101010", "pale": "#808080", "tone": 3 }"##), Ok(InkKnown::Pair { .. })));
        assert!(ink(r##"{ "full": "#101010" }"##).is_err());
    }
}

//! Papers under the ink at the desk: what meets, in which order, how late; the pieces for proof and sheets, and pieces taken off the step map.

use super::Desk;
use super::pull::said_of;
use crate::error::Refusal;
use crate::settings::{LaidPaper, PapersChoice, SheetChoice, TakeSpec};
use serde::Serialize;
use stepbite_core::colour::Rgb;
use stepbite_core::laying::LayingError;
use stepbite_core::papers::{MOST_PIECES, Way, remedies, taken};
use stepbite_core::plate::Plate;
use stepbite_core::sheets::{Kind, PapersToLay};

/// What there is to say of papers, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PapersFacts {
    pieces: Vec<PieceFacts>,
    order: Option<Vec<usize>>,
    cycle: Option<Vec<usize>>,
    meet: Vec<MeetFacts>,
    notes: Vec<String>,
    stocks: Vec<Option<String>>,
    paste: PasteFacts,
    remedies: Vec<RemedyFacts>,
    plate: (f64, f64, f64),
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct PieceFacts {
    number: usize,
    outline: Option<Vec<(f64, f64)>>,
    area_cm2: f64,
    cut_mm: (f64, f64),
    lapped: bool,
    parts: usize,
    left_out: Option<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct MeetFacts {
    pieces: (usize, usize),
    over_mm2: f64,
    decided: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct PasteFacts {
    pieces: usize,
    takes_s: f64,
    spread_s: f64,
    late: f64,
    most: usize,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct RemedyFacts {
    way: &'static str,
    pieces: usize,
    late: f64,
}

/// Pieces taken off the step map, as `types.d.ts` has them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TakenFacts {
    outlines: Vec<Vec<(f64, f64)>>,
    small: usize,
}

/// The chance of being late that "how many can be laid" is counted for.
const SELDOM: f64 = 0.05;

impl Desk {
    /// What there is to say of papers under the ink.
    ///
    /// # Errors
    /// Before the first plan, and for papers that can't be.
    pub fn papers(&self, choice: &PapersChoice) -> Result<PapersFacts, Refusal> {
        let plan = self.plan()?;
        choice.check()?;
        let (papers, paste) = (choice.papers(), choice.paste());
        let laid = papers.laid_out(&plan.plate)?;
        let cuts = laid.to_lay(&papers, &plan.plate);
        let size = |points: &[stepbite_core::units::PointMm]| {
            let span = |of: fn(&stepbite_core::units::PointMm) -> f64| {
                let (least, most) = points.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
                if most > least { most - least } else { 0.0 }
            };
            (span(|p| p.x), span(|p| p.y))
        };
        let pieces = laid.pieces.iter().map(|piece| PieceFacts {
            number: piece.number,
            outline: piece.outline.as_ref().map(|points| points.iter().map(|point| (point.x, point.y)).collect()),
            area_cm2: piece.area_mm2 / 100.0,
            cut_mm: cuts.iter().find(|cut| cut.number == piece.number).map_or((0.0, 0.0), |cut| size(&cut.cut())),
            lapped: piece.lapped,
            parts: piece.parts,
            left_out: piece.left_out.as_ref().map(ToString::to_string),
        });
        let pasting = paste.pasting(laid.pastings());
        let (takes, spread) = pasting.takes();
        let strips = Rgb::grey(plan.proof.paper());
        let way = |way: Way| match way {
            Way::Merge => "merge",
            Way::SecondPair => "second_pair",
            Way::Misted => "misted",
            Way::TwoPulls => "two_pulls",
        };
        let most = stepbite_core::laying::Pasting { pieces: MOST_PIECES, ..pasting }.most(SELDOM);
        let face = plan.plate.face();
        Ok(PapersFacts {
            pieces: pieces.collect(),
            cycle: match &laid.order {
                Err(LayingError::Cycle(ring)) => Some(ring.clone()),
                _ => None,
            },
            order: laid.order.clone().ok(),
            meet: laid
                .meet
                .iter()
                .map(|meeting| MeetFacts { pieces: meeting.pieces, over_mm2: meeting.over_mm2, decided: meeting.decided })
                .collect(),
            notes: laid.notes.clone(),
            stocks: (0..choice.stocks.len()).map(|stock| said_of_stock(choice, stock, strips)).collect(),
            paste: PasteFacts { pieces: pasting.pieces, takes_s: takes.0, spread_s: spread.0, late: pasting.late(), most },
            remedies: remedies(&papers, &laid, &paste)
                .into_iter()
                .map(|remedy| RemedyFacts { way: way(remedy.way), pieces: remedy.pieces, late: remedy.late })
                .collect(),
            plate: (face.width.0, face.height.0, plan.plate.bevel().0),
        })
    }

    /// Pieces of paper off the regions of some tones.
    ///
    /// # Errors
    /// Before the first plan, and where nothing is asked for.
    pub fn papers_taken(&self, spec: &TakeSpec) -> Result<TakenFacts, Refusal> {
        let plan = self.plan()?;
        if spec.tones.is_empty() {
            return Err(Refusal::new("papers", "Pieces are taken off the regions of tones, none was chosen: choose one or more."));
        }
        if !(1.0..=1e6).contains(&spec.least_mm2) {
            return Err(Refusal::new(
                "papers",
                format!("The least that is cut is 1 mm² or more, {} came: choose a size that a hand can paste.", spec.least_mm2),
            ));
        }
        let zones = plan.stopouts.zones();
        let found = taken(&plan.outlines, zones, plan.stopouts.resolution(), |zone| spec.tones.contains(&zone), spec.least_mm2);
        if found.outlines.len() > MOST_PIECES {
            return Err(Refusal::new(
                "papers",
                format!(
                    "These tones come in {} pieces of that size, and a pull has up to {MOST_PIECES}: choose a larger least size, or fewer tones.",
                    found.outlines.len()
                ),
            ));
        }
        // Hundredths of a millimetre: no knife is finer.
        let short = |mm: f64| (mm * 100.0).round() / 100.0;
        let outlines = found.outlines.iter().map(|outline| outline.iter().map(|point| (short(point.x), short(point.y))).collect());
        Ok(TakenFacts { outlines: outlines.collect(), small: found.small })
    }
}

/// What there is to say of one paper.
fn said_of_stock(choice: &PapersChoice, stock: usize, strips: Rgb) -> Option<String> {
    let mut one = choice.clone();
    one.pieces = vec![crate::settings::PieceChoice {
        name: String::new(),
        stock,
        outline: None,
        fibre_deg: 0.0,
        edge: Default::default(),
        turned: false,
        tear: 1,
    }];
    said_of(&one.laid(0, None)?, strips)
}

/// The pieces as the proof lays them, the first laid first. Where no order lays them, by their places in the list.
pub(super) fn laid_pieces(choice: Option<&PapersChoice>, plate: &Plate) -> Result<Vec<LaidPaper>, Refusal> {
    let Some(choice) = choice.filter(|choice| !choice.pieces.is_empty()) else { return Ok(Vec::new()) };
    let laid = choice.papers().laid_out(plate)?;
    let mut order: Vec<usize> = (0..choice.pieces.len()).filter(|&piece| laid.pieces[piece].left_out.is_none()).collect();
    order.sort_by_key(|&piece| laid.pieces[piece].number);
    let outline = |piece: usize| laid.pieces[piece].outline.as_ref().map(|points| points.iter().map(|point| (point.x, point.y)).collect());
    Ok(order.into_iter().filter_map(|piece| choice.laid(piece, outline(piece))).collect())
}

/// The pieces for the sheets; none where there are none, or no order lays them.
pub(super) fn to_lay(choice: Option<&PapersChoice>, plate: &Plate) -> Result<Option<PapersToLay>, Refusal> {
    let Some(choice) = choice.filter(|choice| !choice.pieces.is_empty()) else { return Ok(None) };
    choice.check()?;
    let papers = choice.papers();
    let laid = papers.laid_out(plate)?;
    let pieces = laid.to_lay(&papers, plate);
    let said = choice.example().map(str::to_owned).into_iter().chain(laid.left_out()).collect::<Vec<_>>().join(" ");
    Ok((!pieces.is_empty()).then(|| PapersToLay { pieces, paste: choice.paste(), said }))
}

/// Why there are no sheets of papers though there are pieces, or not of all; none where there are, or nobody asks for them.
pub(super) fn unlaid(choice: &SheetChoice, plate: &Plate) -> Result<Option<String>, Refusal> {
    let asked = [Kind::Cutting, Kind::Laying].iter().any(|kind| choice.kinds.contains(kind));
    let Some(papers) = choice.papers.as_ref().filter(|papers| asked && !papers.pieces.is_empty()) else { return Ok(None) };
    let laid = papers.papers().laid_out(plate)?;
    let mut said = laid.left_out();
    match &laid.order {
        Err(error) => said.push(format!("No cutting sheets and no laying map print. {error}")),
        Ok(order) if order.is_empty() => said.push("No cutting sheets and no laying map print: no piece is left to lay.".to_owned()),
        Ok(_) => {}
    }
    Ok((!said.is_empty()).then(|| said.join(" ")))
}

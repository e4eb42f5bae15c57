//! Plates side by side: joints as they stand, the best orders, what a higher picture would win, the seam, and the bed.

use super::{Desk, Plan, Progress};
use crate::error::Refusal;
use crate::settings::row::{FindSpec, GrowthChoice, OnBedSpec, PlaceFacts, RaisedSpec, RowPlate, RowPrintSpec, RowSpec, SeamSpec};
use crate::settings::{PrintingChoice, ProofSettings};
use serde::Serialize;
use std::rc::Rc;
use stepbite_core::bed::{self, BedError, InRow, Laid};
use stepbite_core::facing::{self, Align, Faced, Looks, Weigh};
use stepbite_core::grids::{self, Effort, Grid};
use stepbite_core::joints::Joint;
use stepbite_core::light::Lightness;
use stepbite_core::picture::{self, Rgba};
use stepbite_core::plane::Plane;
use stepbite_core::plate::SizeMm;
use stepbite_core::proof::Window;
use stepbite_core::pull::{self, Plate};
use stepbite_core::registration::{Fringe, Growth, Registration};
use stepbite_core::row_picture::{self, Pulled};
use stepbite_core::rows::{self, Pin, RowError, Rules, Standing, Wish};
use stepbite_core::seam::{self, Beside, Seam};
use stepbite_core::units::{Millimetres, PointMm, PxPerMm};
use stepbite_core::view::View;

/// The most plates that joints are told of.
const MOST: usize = 60;
/// The most of the best that are told.
const MOST_FOUND: usize = 24;
/// Finest and coarsest seam, pixels a millimetre.
const SEAM_PX: (f64, f64) = (0.5, 40.0);
/// Sheet shown round a row, mm.
const ROUND: f64 = 8.0;
/// The largest picture of a seam, pixels.
const SEAM_PIXELS: usize = 8_000_000;

/// A map as it is here.
enum Map<'a> {
    Own(&'a Plane<u8>),
    Other(Rc<Plate>),
}

impl Map<'_> {
    fn plane(&self) -> &Plane<u8> {
        match self {
            Self::Own(map) => map,
            Self::Other(plate) => &plate.map,
        }
    }
}

/// A plate to be laid beside others.
struct Member<'a> {
    map: Map<'a>,
    resolution: PxPerMm,
    prints: Vec<Lightness>,
    size: SizeMm,
}

/// One joint of a row as it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JointFacts {
    /// Places of its plates: the left or upper one, and the other.
    pub between: [usize; 2],
    /// One above the other.
    pub down: bool,
    /// Mean difference of lightness by height, L*; none where they have no height in common.
    pub tone: Option<f64>,
    /// How far the second is best moved down (to the right), mm.
    pub slip_mm: f64,
    /// Mean distance of main edges that should meet, mm; none where there is none.
    pub shape_mm: Option<f64>,
    /// What it counts as in every sum, L*: as it is weighed, 100 where two plates have no height in common.
    pub cost: f64,
    /// How it looks.
    pub looks: Looks,
}

/// All joints of a row as it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RowFacts {
    /// Row by row, first those across, then those down.
    pub joints: Vec<JointFacts>,
    /// Sum of what they count as, L*.
    pub sum: f64,
    /// The worst of them, L*.
    pub worst: f64,
    /// Where the horizon of each plate lies from its top edge, mm: as given, or half way down.
    pub horizons_mm: Vec<f64>,
}

/// An order that was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Arrangement {
    /// Row by row.
    pub order: Vec<PlaceFacts>,
    /// What its joints cost: across, then down.
    pub joints: Vec<f64>,
    /// Their sum.
    pub sum: f64,
    /// The worst.
    pub worst: f64,
    /// Which one that is: places of its plates.
    pub worst_between: Option<[usize; 2]>,
}

/// The best orders.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RowsFound {
    /// Those that run on best, the best first.
    pub run_on: Vec<Arrangement>,
    /// The one whose worst joint is least.
    pub mildest: Arrangement,
    /// Those of the most contrast.
    pub contrast: Vec<Arrangement>,
    /// Whether all of them are proven.
    pub exact: bool,
    /// What no order's sum can be under.
    pub bound: f64,
    /// How many different prints there are, pins aside.
    pub orders: f64,
}

/// What a higher picture would win.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RaisedFacts {
    /// In a sentence.
    pub sentence: String,
    /// The joints it makes, as they are and as they would be, L*; none at an end.
    pub joints: [Option<(f64, f64)>; 2],
    /// Where they would be best, mm higher.
    pub best_mm: f64,
    /// What they would come to there, L*.
    pub best_sum: f64,
}

/// How the plates lie on the bed.
#[derive(Clone, Debug, Serialize)]
pub struct BedFacts {
    /// Where everything lies.
    #[serde(flatten)]
    pub laid: Laid,
    /// White of the print at left, right, top and foot, mm.
    pub margins: [f64; 4],
    /// As it is read in the print.
    pub read: String,
    /// As it lies on the bed.
    pub on_the_bed: String,
    /// What the paper's growth does, in a sentence; none where it was not asked.
    pub growth: Option<String>,
    /// Where the print before comes to lie beside each plate; empty where it was not asked.
    pub fringes: Vec<Fringe>,
    /// Of each plate that stands in no row: its letter, and why it has no template, if it has none.
    pub over: Vec<OverFacts>,
}

/// A plate that stands in no row.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OverFacts {
    /// Its letter.
    pub letter: String,
    /// What growth does to it, in a sentence.
    pub growth: Option<String>,
    /// Why there is no template of it.
    pub trouble: Option<String>,
    /// Where the print before comes to lie beside it.
    pub fringes: Vec<Fringe>,
}

fn unlike(row: &RowSpec) -> Result<(), Refusal> {
    if row.plates.is_empty() || row.plates.len() > MOST {
        return Err(Refusal::new("row", format!("A row of 1 to {MOST} plates was expected, {} came: take some out.", row.plates.len())));
    }
    Ok(())
}

impl From<RowError> for Refusal {
    fn from(error: RowError) -> Self {
        Self::new("row", error.to_string())
    }
}

impl From<BedError> for Refusal {
    fn from(error: BedError) -> Self {
        Self::new("bed", error.to_string())
    }
}

fn kept(joint: Option<&Joint>, weigh: Weigh, between: [usize; 2], down: bool) -> JointFacts {
    JointFacts {
        between,
        down,
        tone: joint.map(|joint| joint.tone),
        slip_mm: joint.map_or(0.0, |joint| joint.slip.0),
        shape_mm: joint.and_then(|joint| joint.shape).map(|shape| shape.0),
        cost: weigh.cost(joint),
        looks: Looks::of(joint, weigh),
    }
}

impl Desk {
    fn member(&self, id: Option<&str>, plate_mm: Option<(f64, f64)>) -> Result<Member<'_>, Refusal> {
        let Some(id) = id else {
            let plan = self.plan()?;
            return Ok(Member {
                map: Map::Own(plan.stopouts.map().plane()),
                resolution: PxPerMm(plan.settings.px_per_mm),
                // As they print, like those of every other plate: by the times the clock is set to.
                prints: plan.printed.0.tones.iter().map(|tone| plan.printed.1.lightness_at(tone.effective)).collect(),
                size: plan.plate.size(),
            });
        };
        let brought = self.pulls.brought.get(id).ok_or_else(|| {
            Refusal::new("row", "A plate of the row is not here any more: take it out, or bring it into the family again.")
        })?;
        let plate = brought.plate();
        let side = |px: usize| plate.resolution.mm(px as f64).0;
        let face = (side(plate.map.width()), side(plate.map.height()));
        // Metal is never smaller than its face, and as much larger on either side as its bevel.
        let (width, height) = plate_mm.unwrap_or(face);
        let fits = |metal: f64, face: f64| metal.is_finite() && metal + 0.2 >= face && metal <= face + 200.0;
        if !fits(width, face.0) || !fits(height, face.1) {
            return Err(Refusal::new(
                "row",
                format!("A plate of {width} × {height} mm can't carry a face of {:.1} × {:.1} mm: plan it again.", face.0, face.1),
            ));
        }
        let size = SizeMm { width: Millimetres(width), height: Millimetres(height) };
        Ok(Member { resolution: plate.resolution, prints: brought.prints(), map: Map::Other(plate), size })
    }

    fn faced(&self, row: &RowSpec) -> Result<Vec<Faced>, Refusal> {
        unlike(row)?;
        let one = |plate: &RowPlate| {
            let member = self.member(plate.plate.as_deref(), Some(plate.plate_mm))?;
            let horizon = plate.horizon_mm.filter(|mm| mm.is_finite()).map(Millimetres);
            Ok(Faced::of(member.map.plane(), member.resolution, &member.prints, member.size, horizon))
        };
        row.plates.iter().map(one).collect()
    }

    /// The joints of a row as it stands.
    ///
    /// # Errors
    /// A plate that is not here, or too many.
    pub fn rows_joints(&self, row: &RowSpec) -> Result<RowFacts, Refusal> {
        let faced = self.faced(row)?;
        let columns = row.columns();
        let at = |place: usize| (&faced[place], row.plates[place].turned);
        let count = faced.len();
        let mut joints = Vec::with_capacity(2 * count);
        for right in (0..count).filter(|right| !right.is_multiple_of(columns)) {
            joints.push(kept(facing::across(at(right - 1), at(right), row.align).as_ref(), row.weigh, [right - 1, right], false));
        }
        for lower in columns..count {
            joints.push(kept(facing::down(at(lower - columns), at(lower)).as_ref(), row.weigh, [lower - columns, lower], true));
        }
        let costs = || joints.iter().map(|joint| joint.cost);
        Ok(RowFacts {
            sum: costs().sum(),
            worst: costs().fold(0.0, f64::max),
            horizons_mm: faced.iter().map(|plate| plate.horizon(false).0).collect(),
            joints,
        })
    }

    /// Of each plate which earlier one it is a copy of, itself where of none: the same map at the same size, printed in the same tones.
    fn copies(&self, row: &RowSpec, faced: &[Faced]) -> Result<Vec<usize>, Refusal> {
        let members = row
            .plates
            .iter()
            .map(|plate| self.member(plate.plate.as_deref(), Some(plate.plate_mm)))
            .collect::<Result<Vec<_>, Refusal>>()?;
        let same = |one: usize, other: usize| {
            let (a, b) = (&members[one], &members[other]);
            let lined = row.align != Align::Horizon || faced[one].horizon(false) == faced[other].horizon(false);
            lined && a.size == b.size && a.resolution == b.resolution && a.prints == b.prints && a.map.plane() == b.map.plane()
        };
        Ok((0..members.len()).map(|plate| (0..plate).find(|&other| same(other, plate)).unwrap_or(plate)).collect())
    }

    /// The best orders of these plates. `progress` hears how far a long search is.
    ///
    /// # Errors
    /// More plates than can be searched, pins that no order keeps, or a plate that is not here.
    pub fn rows_find(&self, spec: &FindSpec, progress: Progress<'_>) -> Result<RowsFound, Refusal> {
        let faced = self.faced(&spec.row)?;
        let count = faced.len();
        if count > rows::MOST_PLATES {
            return Err(RowError::Count(count).into());
        }
        let mut pins: Vec<Pin> = spec.pins.iter().map(|pin| Pin { place: pin.place, turned: pin.turned }).collect();
        pins.resize(count, Pin::default());
        let columns = spec.row.columns();
        let rules =
            Rules::new(&pins, spec.turns).alike(facing::alike_from_behind(&faced, spec.row.align)).copies(self.copies(&spec.row, &faced)?);
        let most = spec.most.clamp(1, MOST_FOUND);
        let across = facing::costs(&facing::table_across(&faced, spec.row.align), spec.row.weigh);
        let few = most.min(3);
        if columns >= count {
            let told = |row: &rows::Row| arrangement(&row.order, &row.joints, &[], count);
            let found = |wish, most| rows::best(&across, &rules, wish, most);
            let run_on: Vec<Arrangement> = found(Wish::RunOn, most)?.iter().map(told).collect();
            let bound = run_on.first().map_or(0.0, |best| best.sum);
            let contrast = found(Wish::Contrast, few)?.iter().map(told).collect();
            let mildest = told(&rows::mildest(&across, &rules)?);
            return Ok(RowsFound { run_on, mildest, contrast, exact: true, bound, orders: rules.orders() });
        }
        let down = facing::costs(&facing::table_down(&faced), spec.row.weigh);
        let tables = (across.as_slice(), down.as_slice());
        let told = |grid: &Grid| arrangement(&grid.order, &grid.across, &grid.down, columns);
        let mut heard = |share: f32| progress("orders", share);
        let mut effort = Effort::new(grids::MOST_LOOKED_AT, 3, &mut heard);
        let run_on = grids::best(tables, &rules, columns, Wish::RunOn, most, &mut effort)?;
        let contrast = grids::best(tables, &rules, columns, Wish::Contrast, few, &mut effort)?;
        let mildest = grids::mildest(tables, &rules, columns, &mut effort)?;
        let orders = rules.clone().alike(grids::alike(&rules, columns)).orders();
        Ok(RowsFound {
            exact: run_on.exact && contrast.exact && mildest.exact,
            bound: run_on.bound,
            mildest: told(mildest.grids.first().ok_or(RowError::Pins)?),
            run_on: run_on.grids.iter().map(told).collect(),
            contrast: contrast.grids.iter().map(told).collect(),
            orders,
        })
    }

    /// What a picture drawn higher on its plate would win.
    ///
    /// # Errors
    /// A plate that is not here, or a distance that is none.
    pub fn row_raised(&self, spec: &RaisedSpec) -> Result<RaisedFacts, Refusal> {
        let faced = self.faced(&spec.row)?;
        if !(spec.by_mm.is_finite() && spec.by_mm.abs() <= facing::MOST_RAISED.0) {
            let most = facing::MOST_RAISED.0;
            return Err(Refusal::new("row", format!("A picture is moved up to {most} mm either way; {} mm came: give less.", spec.by_mm)));
        }
        let columns = spec.row.columns();
        let (first, place) = (spec.place / columns * columns, spec.place % columns);
        let row: Vec<(&Faced, bool)> =
            faced.iter().zip(&spec.row.plates).skip(first).take(columns).map(|(faced, plate)| (faced, plate.turned)).collect();
        let names: Vec<String> = spec.row.plates.iter().skip(first).take(columns).map(|plate| plate.letter.clone()).collect();
        let found = facing::raised(&row, place, Millimetres(spec.by_mm), spec.row.align)
            .ok_or_else(|| Refusal::new("row", "There is no such plate in the row: choose one that stands in it."))?;
        Ok(RaisedFacts {
            sentence: found.sentence(&names),
            joints: found.joints.map(|pair| pair.map(|(now, then)| (now.tone, then.tone))),
            best_mm: found.best.0,
            best_sum: found.best_sum,
        })
    }

    /// The plates of a row as the bed takes them.
    fn in_rows(&self, row: &RowSpec) -> Result<Vec<Vec<InRow>>, Refusal> {
        unlike(row)?;
        let one = |(number, plate): (usize, &RowPlate)| {
            let size = match plate.plate {
                None => self.plan()?.plate.size(),
                Some(_) => SizeMm { width: Millimetres(plate.plate_mm.0), height: Millimetres(plate.plate_mm.1) },
            };
            let horizon = plate.horizon_mm.filter(|mm| mm.is_finite()).unwrap_or(size.height.0 / 2.0);
            let horizon = if plate.turned { size.height.0 - horizon } else { horizon };
            let top = match row.align {
                Align::Top => 0.0,
                Align::Foot => -size.height.0,
                Align::Horizon => -horizon,
            };
            let standing = Standing { plate: number, turned: plate.turned };
            Ok(InRow { letter: plate.letter.clone(), standing, size, top: Millimetres(top) })
        };
        let all: Vec<InRow> = row.plates.iter().enumerate().map(one).collect::<Result<_, Refusal>>()?;
        Ok(all.chunks(row.columns()).map(<[InRow]>::to_vec).collect())
    }

    /// How the plates lie on the bed.
    ///
    /// # Errors
    /// What does not fit, with its sizes.
    pub fn row_bed(&self, spec: &OnBedSpec) -> Result<BedFacts, Refusal> {
        let laid = self.laid(spec)?;
        let of = spec.registration.as_ref().map(|growth| registration(&laid, growth)).transpose()?;
        let over = |plate: &RowPlate| match self.over(spec, plate) {
            Ok(of) => {
                let asked = spec.registration.is_some();
                let (growth, fringes) = (asked.then(|| of.sentence()), if asked { of.fringes() } else { Vec::new() });
                OverFacts { letter: plate.letter.clone(), growth, trouble: None, fringes }
            }
            Err(refusal) => OverFacts { letter: plate.letter.clone(), growth: None, trouble: Some(refusal.message), fringes: Vec::new() },
        };
        Ok(BedFacts {
            margins: laid.margins(),
            read: laid.read(),
            on_the_bed: laid.on_the_bed(),
            growth: of.as_ref().map(Registration::sentence),
            fringes: of.as_ref().map_or_else(Vec::new, Registration::fringes),
            over: spec.over.iter().map(over).collect(),
            laid,
        })
    }

    /// The template of a plate that stands in no row: alone on the same sheet, on the same bed.
    fn over(&self, spec: &OnBedSpec, plate: &RowPlate) -> Result<Registration, Refusal> {
        let row = RowSpec { plates: vec![plate.clone()], columns: None, align: spec.row.align, weigh: spec.row.weigh };
        let laid = bed::lay(&self.in_rows(&row)?, &spec.asked())?;
        registration(&laid, &spec.registration.unwrap_or(GrowthChoice { along: 0.0, across: 0.0, fibre_across: false }))
    }

    /// All templates: of the row, where growth is asked about, and of each plate that stands in none.
    pub(super) fn registrations(&self, spec: &OnBedSpec, laid: &Laid) -> Vec<Registration> {
        // Where no plate stands in the row, the first of the others lies on the bed in its stead and has its own template already.
        let own = spec.row.plates.iter().any(|plate| spec.over.iter().all(|over| over.letter != plate.letter || over.plate != plate.plate));
        let row = spec.registration.as_ref().filter(|_| own).and_then(|growth| registration(laid, growth).ok());
        row.into_iter().chain(spec.over.iter().filter_map(|plate| self.over(spec, plate).ok())).collect()
    }

    /// The same, for the sheets.
    pub(super) fn laid(&self, spec: &OnBedSpec) -> Result<Laid, Refusal> {
        Ok(bed::lay(&self.in_rows(&spec.row)?, &spec.asked())?)
    }

    /// The whole row as one print: every plate pulled in the first ink that prints, on the same sheet.
    pub(super) fn row_print(
        &self,
        plan: &Plan,
        spec: &RowPrintSpec,
        (width, height): (usize, usize),
        progress: Progress<'_>,
    ) -> Result<Plane<Rgba>, Refusal> {
        spec.proof.check()?;
        if width == 0 || height == 0 || width.saturating_mul(height) > SEAM_PIXELS {
            return Err(Refusal::new("row", format!("A row is shown on 1 to {SEAM_PIXELS} pixels; {width} × {height} came.")));
        }
        // On a bed that is large enough, so that only the plates and their gaps count.
        let side = SizeMm { width: bed::SIDES.1, height: bed::SIDES.1 };
        let asked = bed::Asked {
            bed: side,
            sheet: side,
            bleed: true,
            gap: Millimetres(spec.gap_mm),
            gap_down: Millimetres(spec.gap_down_mm),
            ..bed::Asked::default()
        };
        let laid = bed::lay(&self.in_rows(&spec.row)?, &asked).map_err(|error| match error {
            // Nobody has said anything of this bed.
            BedError::Bed { block: (wide, high), .. } => Refusal::new(
                "row",
                format!(
                    "The row measures {wide:.0} × {high:.0} mm with its gaps; as one print it is shown up to {:.0} mm either way: take a plate out of it.",
                    side.width.0
                ),
            ),
            error => error.into(),
        })?;
        let block = laid.block;
        let (wide, high) = (block.width + 2.0 * ROUND, block.height + 2.0 * ROUND);
        let px = (width as f64 / wide).min(height as f64 / high).clamp(0.05, 40.0);
        let at = |mm: f64| (mm * px).round();
        let mut faces = Vec::with_capacity(laid.plates.len());
        let sheet = self.bare(plan, &spec.proof)?;
        for (number, placed) in laid.plates.iter().enumerate() {
            progress("row", number as f32 / laid.plates.len() as f32);
            let of = &spec.row.plates[number];
            let member = self.member(of.plate.as_deref(), Some(of.plate_mm))?;
            let side = |pixels: usize| member.resolution.mm(pixels as f64).0;
            let face = (side(member.map.plane().width()), side(member.map.plane().height()));
            let bevel = ((member.size.width.0 - face.0) / 2.0).max(0.0);
            let (x, y) = (at(placed.print.x - block.x + ROUND + bevel), at(placed.print.y - block.y + ROUND + bevel));
            let size = ((at(face.0) as usize).max(1), (at(face.1) as usize).max(1));
            let proof = alone(&spec.proof, of.plate.as_deref());
            let set = self.set(plan, &proof)?;
            let printings = set.printings();
            let pull = set.pull(&printings);
            // Faces of other sizes lie middle on middle over the one at hand.
            let own = plan.plate.face();
            let corner = PointMm { x: 0.5 * (own.width.0 - face.0), y: 0.5 * (own.height.0 - face.1) };
            let window = Window::new(corner, (size.0 as f64 / face.0).max(0.05), size.0, size.1)?;
            let pulled = Pulled { face: pull::flat(&pull, &window, proof.lamp), at: (x as i64, y as i64), bevel: at(bevel) as usize };
            faces.push(if of.turned { pulled.turned() } else { pulled });
        }
        Ok(picture::shown(&row_picture::picture(((at(wide) as usize).max(1), (at(high) as usize).max(1)), sheet, &faces)))
    }

    /// The step map of a plate of the family in its tones' print colours.
    pub(super) fn member_picture(&self, id: Option<&str>, most: (usize, usize), view: View) -> Result<Plane<Rgba>, Refusal> {
        let member = self.member(id, None)?;
        let map = member.map.plane();
        let size = picture::fitted_size(map.width(), map.height(), most);
        let lights: Vec<[f32; 3]> = member.prints.iter().map(|print| [print.reflectance().0 as f32; 3]).collect();
        Ok(picture::tones_of(map, &lights, size, view))
    }

    /// Where two plates meet.
    pub(super) fn seam_picture(&self, spec: &SeamSpec, (width, height): (usize, usize)) -> Result<Plane<Rgba>, Refusal> {
        let faced = self.faced(&spec.row)?;
        let columns = spec.row.columns();
        let other = if spec.down { spec.place + columns } else { spec.place + 1 };
        let beside = !spec.down && other.is_multiple_of(columns);
        if other >= faced.len() || beside {
            return Err(Refusal::new("row", "There is no plate at that joint: choose one that stands between two plates."));
        }
        let fine = (SEAM_PX.0..=SEAM_PX.1).contains(&spec.px_per_mm) && (0.0..=bed::MOST_GAP.0).contains(&spec.gap_mm);
        if !fine || width == 0 || height == 0 || width.saturating_mul(height) > SEAM_PIXELS {
            return Err(Refusal::new(
                "row",
                format!("A seam is shown on up to {SEAM_PIXELS} pixels with a gap of 0 to {} mm.", bed::MOST_GAP.0),
            ));
        }
        let member = |place: usize| {
            let plate = &spec.row.plates[place];
            self.member(plate.plate.as_deref(), Some(plate.plate_mm))
        };
        let members = [member(spec.place)?, member(other)?];
        let places = [spec.place, other];
        let from = places.map(|place| {
            let turned = spec.row.plates[place].turned;
            if spec.down { -members_width(&faced[place]) / 2.0 } else { faced[place].top(turned, spec.row.align).0 }
        });
        let first = from[0].min(from[1]);
        let of = |index: usize| Beside {
            map: members[index].map.plane(),
            resolution: members[index].resolution,
            prints: &members[index].prints,
            turned: spec.row.plates[places[index]].turned,
            bevel: faced[places[index]].bevel(),
            from: Millimetres(from[index] - first),
        };
        let seam = Seam { down: spec.down, gap: Millimetres(spec.gap_mm), size: (width, height), px_per_mm: spec.px_per_mm };
        Ok(seam::picture(&of(0), &of(1), seam))
    }
}

/// The proof with one plate in it: the first printing's ink, laid straight; zones and papers are those of the plate at hand alone.
fn alone(proof: &ProofSettings, plate: Option<&str>) -> ProofSettings {
    let mut alone = proof.clone();
    let first = proof.printings.first().cloned().unwrap_or_default();
    alone.printings = vec![PrintingChoice { plate: plate.map(str::to_owned), ink: first.ink, ..PrintingChoice::default() }];
    if plate.is_some() {
        alone.zones.clear();
        alone.laid.clear();
        alone.papers = None;
    }
    alone
}

fn members_width(faced: &Faced) -> f64 {
    faced.size().width.0
}

/// The registration template of plates as they lie.
fn registration(laid: &Laid, growth: &GrowthChoice) -> Result<Registration, Refusal> {
    let growth = Growth { along: growth.along / 100.0, across: growth.across / 100.0, fibre_across: growth.fibre_across };
    Registration::of(laid.clone(), growth).map_err(|error| Refusal::new("registration", error.to_string()))
}

fn arrangement(order: &[Standing], across: &[f64], down: &[f64], columns: usize) -> Arrangement {
    let count = order.len();
    let between: Vec<[usize; 2]> = (0..count)
        .filter(|right| !right.is_multiple_of(columns))
        .map(|right| [right - 1, right])
        .chain((columns..count).map(|lower| [lower - columns, lower]))
        .collect();
    let joints: Vec<f64> = across.iter().chain(down).copied().collect();
    let worst = joints.iter().copied().fold(0.0, f64::max);
    Arrangement {
        order: order.iter().map(|standing| PlaceFacts { plate: standing.plate, turned: standing.turned }).collect(),
        sum: joints.iter().sum(),
        worst_between: joints.iter().position(|cost| *cost >= worst).and_then(|at| between.get(at).copied()),
        worst,
        joints,
    }
}

//! Plates side by side: joints as they stand, the best orders, what a higher picture would win, the seam, and the bed.

use super::Desk;
use crate::error::Refusal;
use crate::settings::row::{FindSpec, GrowthChoice, OnBedSpec, PlaceFacts, RaisedSpec, RowPlate, RowSpec, SeamSpec};
use serde::Serialize;
use std::rc::Rc;
use stepbite_core::bed::{self, InRow, Laid};
use stepbite_core::facing::{self, Align, Faced, Looks};
use stepbite_core::grids::{self, Grid};
use stepbite_core::joints::Joint;
use stepbite_core::light::Lightness;
use stepbite_core::picture::{self, Rgba};
use stepbite_core::plane::Plane;
use stepbite_core::plate::SizeMm;
use stepbite_core::pull::Plate;
use stepbite_core::registration::{Growth, Registration};
use stepbite_core::rows::{self, Pin, RowError, Standing, Wish};
use stepbite_core::seam::{self, Beside, Seam};
use stepbite_core::units::{Millimetres, PxPerMm};
use stepbite_core::view::View;

/// The most plates that joints are told of.
const MOST: usize = 60;
/// The most of the best that are told.
const MOST_FOUND: usize = 24;
/// Finest and coarsest seam, pixels a millimetre.
const SEAM_PX: (f64, f64) = (0.5, 40.0);
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
    /// How it looks.
    pub looks: Looks,
}

/// All joints of a row as it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RowFacts {
    /// Row by row, first those across, then those down.
    pub joints: Vec<JointFacts>,
    /// Sum of tone differences, L*.
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

impl From<bed::BedError> for Refusal {
    fn from(error: bed::BedError) -> Self {
        Self::new("bed", error.to_string())
    }
}

fn kept(error: Option<&Joint>, between: [usize; 2], down: bool) -> JointFacts {
    JointFacts {
        between,
        down,
        tone: error.map(|joint| joint.tone),
        slip_mm: error.map_or(0.0, |joint| joint.slip.0),
        shape_mm: error.and_then(|joint| joint.shape).map(|shape| shape.0),
        looks: Looks::of(error),
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
            joints.push(kept(facing::across(at(right - 1), at(right), row.align).as_ref(), [right - 1, right], false));
        }
        for lower in columns..count {
            joints.push(kept(facing::down(at(lower - columns), at(lower)).as_ref(), [lower - columns, lower], true));
        }
        let tones = || joints.iter().filter_map(|joint| joint.tone);
        Ok(RowFacts {
            sum: tones().sum(),
            worst: tones().fold(0.0, f64::max),
            horizons_mm: faced.iter().map(|plate| plate.horizon(false).0).collect(),
            joints,
        })
    }

    /// The best orders of these plates.
    ///
    /// # Errors
    /// More plates than can be searched, pins that no order keeps, or a plate that is not here.
    pub fn rows_find(&self, spec: &FindSpec) -> Result<RowsFound, Refusal> {
        let faced = self.faced(&spec.row)?;
        let count = faced.len();
        if count > rows::MOST_PLATES {
            return Err(RowError::Count(count).into());
        }
        let mut pins: Vec<Pin> = spec.pins.iter().map(|pin| Pin { place: pin.place, turned: pin.turned }).collect();
        pins.resize(count, Pin::default());
        let columns = spec.row.columns();
        let most = spec.most.clamp(1, MOST_FOUND);
        let across = facing::costs(&facing::table_across(&faced, spec.row.align), spec.row.weigh);
        let few = most.min(3);
        if columns >= count {
            let told = |row: &rows::Row| arrangement(&row.order, &row.joints, &[], count);
            let found = |wish, most| rows::best(&across, &pins, spec.turns, wish, most);
            let run_on: Vec<Arrangement> = found(Wish::RunOn, most)?.iter().map(told).collect();
            let bound = run_on.first().map_or(0.0, |best| best.sum);
            let contrast = found(Wish::Contrast, few)?.iter().map(told).collect();
            let mildest = told(&rows::mildest(&across, &pins, spec.turns)?);
            return Ok(RowsFound { run_on, mildest, contrast, exact: true, bound });
        }
        let down = facing::costs(&facing::table_down(&faced), spec.row.weigh);
        let tables = (across.as_slice(), down.as_slice());
        let told = |grid: &Grid| arrangement(&grid.order, &grid.across, &grid.down, columns);
        let run_on = grids::best(tables, &pins, columns, spec.turns, Wish::RunOn, most)?;
        let contrast = grids::best(tables, &pins, columns, spec.turns, Wish::Contrast, few)?;
        let mildest = grids::mildest(tables, &pins, columns, spec.turns)?;
        Ok(RowsFound {
            exact: run_on.exact && contrast.exact && mildest.exact,
            bound: run_on.bound,
            mildest: told(mildest.grids.first().ok_or(RowError::Pins)?),
            run_on: run_on.grids.iter().map(told).collect(),
            contrast: contrast.grids.iter().map(told).collect(),
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
        let growth = spec.registration.as_ref().map(|growth| registration(&laid, growth)).transpose()?;
        Ok(BedFacts {
            margins: laid.margins(),
            read: laid.read(),
            on_the_bed: laid.on_the_bed(),
            growth: growth.map(|registration| registration.sentence()),
            laid,
        })
    }

    /// The same, for the sheets.
    pub(super) fn laid(&self, spec: &OnBedSpec) -> Result<Laid, Refusal> {
        Ok(bed::lay(&self.in_rows(&spec.row)?, &spec.asked())?)
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

fn members_width(faced: &Faced) -> f64 {
    faced.size().width.0
}

/// The registration template of plates as they lie.
pub(super) fn registration(laid: &Laid, growth: &GrowthChoice) -> Result<Registration, Refusal> {
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

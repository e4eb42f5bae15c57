//! The desk: the drawing at hand and the last result of each stage. A change recomputes only what it made stale.

use crate::clock::Laps;
use crate::error::Refusal;
use crate::placing::{CornersFound, PhotoChoice, PhotoFacts, Placed, Straight};
use crate::settings::{BreakSettings, LineChoice, PictureSpec, PngSpec, ProofSettings, Settings, StripChoice, StripSettings, hex_colour};
use std::ops::Range;
use std::rc::Rc;
use stepbite_core::aside::Zones;
use stepbite_core::bites::{self, BitePlan};
use stepbite_core::curve::BiteCurve;
use stepbite_core::drawing::{Drawing, Ends};
use stepbite_core::face::Face;
use stepbite_core::frozen::Wishes;
use stepbite_core::grain::GrainSettings;
use stepbite_core::light::{Density, Lightness};
use stepbite_core::log::Standing;
use stepbite_core::outline::Outlines;
use stepbite_core::pace::Learned;
use stepbite_core::photo::corners;
use stepbite_core::picture::{self, Rgba};
use stepbite_core::placing::Placing;
use stepbite_core::plane::Plane;
use stepbite_core::plate::Plate;
use stepbite_core::png_file;
use stepbite_core::proof::{self, Films, ProofTones, Window};
use stepbite_core::regions::{Mark, Softened};
use stepbite_core::replan::{self, Replanned};
use stepbite_core::report::PlanReport;
use stepbite_core::smoothing::Smoothing;
use stepbite_core::stopouts::StopOuts;
use stepbite_core::strip::{Reading, StripKind, TestStrip};
use stepbite_core::tones::{Breaks, StepMap, ToneCount};
use stepbite_core::units::{Millimetres, PointMm, PxPerMm, Seconds};
use stepbite_core::view::View;

mod basis;
mod bath;
mod brought;
mod day;
mod done;
mod family_day;
pub use bath::{Day, Taken, Temperature};
pub use day::DayFacts;
pub use done::{Freeze, StandingFacts};
use done::{Held, PaintedBy};
pub use family_day::FamilyDayFacts;
mod files;
mod kin;
pub use kin::{DipFacts, Joins, KinFacts, KinTone};
mod hand;
pub use hand::Figures as HandFigures;
mod limits;
mod looked;
pub mod painted;
mod papers;
pub use papers::{PapersFacts, TakenFacts};
mod plan;
mod pull;
mod pull_facts;
pub mod pulled;
mod record;
mod relief;
pub use relief::ReliefFacts;
mod rows;
pub use rows::{BedFacts, JointFacts, RaisedFacts, RowFacts, RowsFound};
mod sheets;
pub use sheets::{SheetFacts, job_refused};
mod stages;
pub mod strip_photo;
pub mod typed;
mod what_if;
pub use what_if::WhatIfFacts;
mod worth;
use limits::Etched;
pub use limits::{Islands, Limits, RemovedPieces};
use stages::fresh;
pub use worth::WorthFacts;

/// The most pixels of a face that a tab can work: at 21 bytes each (measured, DEVELOPERS.md) 3.2 of the 4 GB a WebAssembly can have.
const MOST_PIXELS: usize = 150_000_000;

/// Refuses what would end the tab's memory in the middle of the work.
fn fits_a_tab(plate: &Plate, px_per_mm: f64) -> Result<(), Refusal> {
    let (width, height) = plate.raster(PxPerMm(px_per_mm))?;
    if width * height <= MOST_PIXELS {
        return Ok(());
    }
    let face = plate.face();
    let most = (MOST_PIXELS as f64 / (face.width.0 * face.height.0)).sqrt();
    let words = format!(
        "At {px_per_mm} pixels a millimetre this face has {} million pixels, and a browser holds {} million: choose {:.1} or fewer.",
        width * height / 1_000_000,
        MOST_PIXELS / 1_000_000,
        (most * 10.0).floor() / 10.0
    );
    Err(Refusal::new("plate", words))
}

/// Hears which stage is at work and what share of it is done.
pub type Progress<'a> = &'a mut dyn FnMut(&str, f32);

/// The drawing and, behind it, the plan so far.
#[derive(Default)]
pub struct Desk {
    drawing: Option<Drawing>,
    /// The drawing straightened from a photograph, where that was asked for.
    straight: Option<Straight>,
    /// The picture of a printed strip, which has nothing to do with the drawing.
    strip_photo: Option<Drawing>,
    /// Photographs of the painted plate, which have nothing to do with the drawing either.
    painted: painted::Painted,
    /// The photograph of a pulled proof, and what was read off it.
    pulled: pulled::PulledProof,
    plan: Option<Plan>,
    kept: Kept,
    /// The map that the plate was painted by.
    painted_by: Option<PaintedBy>,
    /// What the strip tells of the metal, on the usual grain.
    metal: Option<relief::Metal>,
    /// Plates brought in, and what was last made of a pull.
    pulls: pull::Pulls,
    /// How many plans were made.
    plans: u64,
}

/// What a moved break does not make stale: it belongs to a face, not to its breaks. The face may be one that a later stage refused, so it
/// knows whose it is.
#[derive(Default)]
struct Kept {
    place: Option<Place>,
    photo: Option<PhotoChoice>,
    /// What became of the lines before the clean-up.
    lines: LineChoice,
    softened: Option<Softened>,
    etched: Option<Etched>,
    fitted: Option<Vec<Breaks>>,
    cleaned: Option<Rc<Cleaned>>,
    /// What other counts of tones come to.
    weighed: Option<worth::Weighed>,
    /// The two-tone map of the drawing's own outline, at its L*.
    figure: Option<Cleaned>,
}

impl Kept {
    fn of(place: Place, photo: Option<&PhotoChoice>) -> Self {
        Self { place: Some(place), photo: photo.cloned(), ..Self::default() }
    }

    /// Whether it belongs to a face placed like this.
    fn is_of(&self, place: Place, photo: Option<&PhotoChoice>) -> bool {
        self.place == Some(place) && self.photo.as_ref() == photo
    }
}

/// A map after the clean-up, and what it was cut and cleaned by: what is set by hand is set on it.
struct Cleaned {
    breaks: Breaks,
    by: Option<(Mark, Smoothing)>,
    map: StepMap,
}

/// Everything that decides how one drawing lies on the face.
#[derive(Clone, Copy, PartialEq)]
struct Place {
    plate: Plate,
    placing: Placing,
    resolution: PxPerMm,
}

/// What a change made new; the rest is taken over from the plan before.
struct Fresh {
    face: Option<Face>,
    breaks: Breaks,
    worked: Option<Worked>,
}

/// Regions and what follows from them.
struct Worked {
    cleaned: Rc<Cleaned>,
    outlines: Outlines,
    stopouts: StopOuts,
    found: Found,
    by_hand: HandFigures,
    wishes: Wishes,
    free: Option<(StepMap, Option<Zones>)>,
}

/// The last result of each stage, all of one set of settings.
pub struct Plan {
    settings: Settings,
    plate: Plate,
    placing: Placing,
    face: Face,
    breaks: Breaks,
    /// The map before the hand's work.
    cleaned: Rc<Cleaned>,
    outlines: Outlines,
    stopouts: StopOuts,
    strip: TestStrip,
    curve: BiteCurve,
    /// The ladder of the settings alone.
    base: BitePlan,
    /// The same as it stands by what is done, and what is to be said of that.
    bites: BitePlan,
    replanned: Replanned,
    day: Day,
    /// The tones on the usual grain.
    proof: Rc<ProofTones>,
    /// The ladder and the curve that the print is by.
    printed: (BitePlan, BiteCurve),
    /// Which plan it is.
    stamp: u64,
    found: Found,
    by_hand: HandFigures,
    placed: Placed,
    photo: Option<PhotoFacts>,
    pace: Option<Learned>,
    standing: Standing,
    held: Option<Held>,
    wishes: Wishes,
    /// The map as the settings alone would have it, where something is wished for.
    free: Option<(StepMap, Option<Zones>)>,
}

/// What clean-up did, in figures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Found {
    /// Share of the face whose tone clean-up changed.
    pub changed_share: f64,
    /// Share where a region still does not hold the mark.
    pub unpaintable_share: f64,
}

impl Desk {
    /// Reads a picture file. The drawing before stays where this one can't be read; the plan before stays until the next one.
    ///
    /// # Errors
    /// A sentence where the file can't be read.
    pub fn open(&mut self, bytes: &[u8]) -> Result<&Drawing, Refusal> {
        let drawing = Drawing::read(bytes)?;
        self.plan = None;
        self.kept = Kept::default();
        self.straight = None;
        Ok(self.drawing.insert(drawing))
    }

    /// The drawing at hand.
    #[must_use]
    pub fn drawing(&self) -> Option<&Drawing> {
        self.drawing.as_ref()
    }

    /// The plan, once there is one.
    ///
    /// # Errors
    /// Before the first plan.
    pub fn plan(&self) -> Result<&Plan, Refusal> {
        self.plan.as_ref().ok_or_else(no_plan)
    }

    /// Brings every stage up to the proof's tones up to date. On an error the plan before stays.
    ///
    /// # Errors
    /// A sentence of the stage that refused.
    pub fn update(&mut self, settings: Settings, laps: &mut Laps, progress: Progress<'_>) -> Result<(), Refusal> {
        let drawing = self.drawing.as_ref().ok_or_else(|| Refusal::new("no_drawing", "There is no drawing yet: open one first."))?;
        // Cheap checks of every stage before costly work of any.
        let given = &settings.plate;
        let plate = Plate::new(given.width_mm, given.height_mm, given.bevel_mm)?;
        fits_a_tab(&plate, settings.px_per_mm)?;
        let count = ToneCount::new(settings.tones)?;
        let standing = Standing::of(&settings.done.log, count.bites())?;
        let mark = Mark::optional(Millimetres(settings.mark_mm))?;
        let strip = strip_of(settings.strip.as_ref())?;
        let curve = BiteCurve::with(&strip, settings.practice()?)?;
        let targets = bites::targets(count, &curve, settings.reserve_l)?;
        let scatter = worth::own(&settings, settings.hand_speed)?.scatter;
        let as_on_the_strip = bites::plan(&targets, &curve, &strip)?;
        let day = Day::of(&settings, &strip, &curve, count)?;
        let of_the_day = curve.scaled(day.factor());
        let base = self.ranged(bites::plan(&targets, &of_the_day, &strip)?.scattering(scatter), &of_the_day);
        let painted_by = PaintedBy::of(&mut self.painted_by, &settings.done)?;
        let held = match painted_by {
            Some(painted_by) => painted_by.held(&standing, &plate, PxPerMm(settings.px_per_mm))?,
            None => None,
        };
        let aimed = painted_by.filter(|_| held.is_some()).map(|painted_by| painted_by.aimed().clone());
        let by_hand = by_hand(&settings.breaks, count)?;
        limits::check(&settings)?;
        let asked = hand::Asked::of(&settings)?;
        let smoothing = Smoothing::new(Millimetres(settings.smoothing_mm))?;

        let made = match &settings.photo {
            Some(choice) if !self.straight.as_ref().is_some_and(|straight| straight.is(choice)) => {
                progress("straightening", 0.0);
                let straight = Straight::of(drawing, choice)?;
                laps.lap("straightening");
                Some(straight)
            }
            _ => None,
        };
        let straight = settings.photo.as_ref().and_then(|_| made.as_ref().or(self.straight.as_ref()));
        let density = straight.map_or(drawing.info().density, Straight::density);
        let drawing = straight.map_or(drawing, Straight::drawing);
        let placing = settings.placing.placing(settings.fit, density)?;

        let before = self.plan.take();
        let place = Place { plate, placing, resolution: PxPerMm(settings.px_per_mm) };
        let fresh = match fresh(
            drawing,
            &mut self.kept,
            before.as_ref(),
            &settings,
            place,
            (count, by_hand, mark),
            (&asked, smoothing),
            held.as_ref(),
            laps,
            progress,
        ) {
            Ok(fresh) => fresh,
            Err(refusal) => {
                self.plan = before;
                return Err(refusal);
            }
        };
        let gone = || Refusal::new("no_face", "The drawing was not placed: open it again.");
        let (old_face, old_work) = match before {
            Some(Plan { face, cleaned, outlines, stopouts, found, by_hand, wishes, free, .. }) => {
                (Some(face), Some(Worked { cleaned, outlines, stopouts, found, by_hand, wishes, free }))
            }
            None => (None, None),
        };
        let face = fresh.face.or(old_face).ok_or_else(gone)?;
        let Worked { cleaned, outlines, mut stopouts, found, by_hand, wishes, free } = fresh.worked.or(old_work).ok_or_else(gone)?;
        // Which tones there are the map alone knows: nothing is decided about the others.
        let has: Vec<bool> = stopouts.map().counts().iter().map(|count| *count > 0).collect();
        let base = base.of_a_plate(&has);
        let replanned = replan::replan(&base, &of_the_day, &standing, aimed.as_ref());
        let bites = replanned.plan.clone();
        let pace = limits::pace(&settings, &standing.minutes, &mut stopouts, &plate)?;
        // The print is the same however long the bath of the day takes to it.
        let as_on_the_strip = if standing.bitten > 0 { bites.on_the_strip(day.factor()) } else { as_on_the_strip };
        let proof = Rc::new(ProofTones::of(&stopouts, &as_on_the_strip, relief::Metal::of(&mut self.metal, &strip, &curve)?)?);
        let printed = (as_on_the_strip, curve);
        let curve = of_the_day;
        self.plans += 1;
        let stamp = self.plans;
        laps.lap("bites");
        let breaks = fresh.breaks;
        let placed = Placed::of(&face, drawing, density);
        let photo = straight.map(|straight| straight.facts().clone());
        // Only now: until here the plan before could have stayed, and its photograph with it.
        if made.is_some() {
            self.straight = made;
        }
        self.plan = Some(Plan {
            settings,
            plate,
            placing,
            placed,
            photo,
            face,
            breaks,
            cleaned,
            outlines,
            stopouts,
            strip,
            curve,
            base,
            bites,
            replanned,
            day,
            proof,
            printed,
            stamp,
            found,
            by_hand,
            pace,
            standing,
            held,
            wishes,
            free,
        });
        Ok(())
    }

    /// The ladder with its ranges, which take far longer than its times: taken over where curve and targets are the plan's before.
    fn ranged(&self, bites: BitePlan, curve: &BiteCurve) -> BitePlan {
        let targets = |plan: &BitePlan| plan.tones.iter().map(|tone| tone.target).collect::<Vec<_>>();
        let before = self.plan.as_ref().filter(|plan| plan.curve == *curve && targets(&plan.base) == targets(&bites));
        match before {
            Some(plan) => BitePlan { tones: plan.base.tones.clone(), ..bites },
            None => bites.ranged(curve, curve.replicates()),
        }
    }

    /// A picture for the screen.
    ///
    /// # Errors
    /// Before the first plan, and where what is asked for does not exist.
    pub fn picture(&self, spec: &PictureSpec, progress: Progress<'_>) -> Result<Plane<Rgba>, Refusal> {
        match *spec {
            PictureSpec::Source { width, height, part } => return self.opened(width, height, part),
            PictureSpec::Straight { width, height } => return self.sheet(width, height),
            _ => {}
        }
        let plan = self.plan()?;
        let map = plan.stopouts.map();
        let fitted = |width: usize, height: usize| picture::fitted_size(map.plane().width(), map.plane().height(), (width, height));
        Ok(match *spec {
            PictureSpec::Source { width, height, part } => self.opened(width, height, part)?,
            PictureSpec::Straight { width, height } => self.sheet(width, height)?,
            PictureSpec::Drawing { view, width, height } => picture::drawing(&plan.face.lightness, fitted(width, height), view),
            PictureSpec::Tones { view, width, height } => picture::tones(map, &plan.colours(), fitted(width, height), view),
            PictureSpec::Tone { tone, view, width, height } => {
                if usize::from(tone) >= map.tones().get() {
                    return Err(Refusal::new(
                        "no_tone",
                        format!("Tone {tone} does not exist: this plate has {} tones.", map.tones().get()),
                    ));
                }
                picture::one_tone(map, tone, &plan.colours(), fitted(width, height), view)
            }
            PictureSpec::Stopout { number, view, width, height } => {
                plan.check_stopout(number)?;
                let size = fitted(width, height);
                let shown = size.0 as f64 / plan.plate.face().width.0;
                picture::stop_out(plan.stopouts.zones(), number, size, view, shown)
            }
            PictureSpec::Lift { view, width, height } => {
                if plan.stopouts.aside().resist().is_none() {
                    return Err(Refusal::new("no_lift", "There is no lift drawing: the whole face is open. Draw a silhouette first."));
                }
                let size = fitted(width, height);
                picture::lift(plan.stopouts.zones(), size, view, size.0 as f64 / plan.plate.face().width.0)
            }
            PictureSpec::Removed { view, width, height } => self.removed_picture(plan, fitted(width, height), view),
            PictureSpec::Repair { view, width, height } => {
                picture::wishes(map, &plan.wish_map(), &plan.colours(), fitted(width, height), view)
            }
            PictureSpec::Lines { view, width, height } => self.lines_picture(plan, fitted(width, height), view),
            PictureSpec::Proof { view, width, height, grain, ref proof } => {
                let size = fitted(width, height);
                let px_per_mm = size.0 as f64 / plan.plate.face().width.0;
                let window = seen(Window::new(PointMm::default(), px_per_mm, size.0, size.1)?, view);
                self.pulled(plan, &window, grain, proof, progress)?
            }
            PictureSpec::Wanted { view, width, height, ref proof } => plan.wanted_shown(fitted(width, height), view, proof)?,
            PictureSpec::Chance { view, width, height, ref edges } => plan.chance_picture(fitted(width, height), view, edges)?,
            PictureSpec::Difference { view, width, height, ref proof } => {
                self.difference_picture(plan, fitted(width, height), view, proof)?
            }
            PictureSpec::Member { ref plate, view, width, height } => self.member_picture(plate.as_deref(), (width, height), view)?,
            PictureSpec::Seam { width, height, ref seam } => self.seam_picture(seam, (width, height))?,
            PictureSpec::RowPrint { width, height, ref print } => self.row_print(plan, print, (width, height), progress)?,
            PictureSpec::Glass { view, width, height, px_per_mm, centre_mm, ref proof } => {
                let corner = |middle: f64, px: usize| middle - px as f64 / px_per_mm / 2.0;
                let origin = PointMm { x: corner(centre_mm.0, width), y: corner(centre_mm.1, height) };
                let window = seen(Window::new(origin, px_per_mm, width, height)?, view);
                self.pulled(plan, &window, true, proof, progress)?
            }
        })
    }

    fn at_hand(&self) -> Result<&Drawing, Refusal> {
        self.drawing.as_ref().ok_or_else(|| Refusal::new("no_drawing", "There is no drawing yet: open one first."))
    }

    /// The file as opened, or a part of it.
    fn opened(&self, width: usize, height: usize, part: Option<[f64; 4]>) -> Result<Plane<Rgba>, Refusal> {
        let drawing = self.at_hand()?;
        let (columns, rows) = part_of(drawing, part);
        let size = picture::fitted_size(columns.len(), rows.len(), (width, height));
        Ok(picture::opened(drawing, columns, rows, size))
    }

    /// The straightened photograph, or the file in grey.
    fn sheet(&self, width: usize, height: usize) -> Result<Plane<Rgba>, Refusal> {
        let choice = self.plan.as_ref().and_then(|plan| plan.settings.photo.as_ref());
        let light = match (&self.straight, choice) {
            (Some(straight), Some(choice)) if straight.is(choice) => straight.luminance(),
            _ => self.at_hand()?.luminance(),
        };
        Ok(picture::light(light, picture::fitted_size(light.width(), light.height(), (width, height))))
    }

    /// Looks for the sheet's corners in the picture as opened.
    ///
    /// # Errors
    /// Without a drawing, and where they can't be told.
    pub fn find_corners(&self) -> Result<CornersFound, Refusal> {
        let drawing = self.at_hand()?;
        Ok(CornersFound::of(&corners::find(drawing.luminance())?, drawing))
    }

    /// A PNG of a raster at the face's own resolution, print view.
    ///
    /// # Errors
    /// Before the first plan, and for a stop-out that does not exist.
    pub fn png(&self, spec: &PngSpec) -> Result<Vec<u8>, Refusal> {
        let plan = self.plan()?;
        let resolution = plan.stopouts.resolution();
        Ok(match spec {
            PngSpec::Steps => png_file::grey(plan.stopouts.map().plane(), resolution),
            PngSpec::Stopout { number } => {
                plan.check_stopout(*number)?;
                png_file::grey(&plan.stopouts.mask(*number), resolution)
            }
        })
    }
}

/// Columns and rows of a part of a picture (left, top, right, bottom), at least one each; or all of them.
fn part_of(drawing: &Drawing, part: Option<[f64; 4]>) -> (Range<usize>, Range<usize>) {
    let (w, h) = (drawing.luminance().width(), drawing.luminance().height());
    let span = |low: f64, high: f64, side: usize| {
        let from = (low.max(0.0) as usize).min(side - 1);
        from..(high.max(0.0) as usize).clamp(from + 1, side)
    };
    match part {
        Some([left, top, right, bottom]) => (span(left, right, w), span(top, bottom, h)),
        None => (0..w, 0..h),
    }
}

fn no_plan() -> Refusal {
    Refusal::new("no_plan", "There is no plan yet: open a drawing first.")
}

fn same(a: f64, b: f64) -> bool {
    a.total_cmp(&b).is_eq()
}

fn seen(window: Window, view: View) -> Window {
    if view == View::Plate { window.mirrored() } else { window }
}

fn strip_of(settings: Option<&StripChoice>) -> Result<TestStrip, Refusal> {
    let strip: &StripSettings = match settings {
        None => return Ok(TestStrip::example()),
        Some(StripChoice::Missing(_)) => return Ok(TestStrip::missing()),
        Some(StripChoice::Own(strip)) => strip,
    };
    let readings = strip.readings.iter().map(|&(total, lightness)| Reading { total: Seconds(total), lightness: Lightness(lightness) });
    let readings: Vec<Reading> = readings.collect();
    let example = TestStrip::example();
    // The example typed in again, under whatever name, is still nobody's bath.
    if readings == example.readings() {
        return Ok(example);
    }
    Ok(TestStrip::new(&strip.id, StripKind::Measured, readings)?)
}

/// Breaks moved by hand, checked against the count of tones.
fn by_hand(settings: &BreakSettings, count: ToneCount) -> Result<Option<Breaks>, Refusal> {
    let BreakSettings::ByHand(values) = settings else { return Ok(None) };
    if values.len() != count.bites() {
        let (came, wanted) = (values.len(), count.bites());
        return Err(Refusal::new("break_count", format!("{} tones take {wanted} breaks, {came} came: add or drop a bite.", count.get())));
    }
    Ok(Some(Breaks::new(values.iter().map(|&l| Lightness(l)).collect())?))
}

fn films(settings: &ProofSettings) -> Result<Films, Refusal> {
    let paper = settings.paper.as_deref().map(hex_colour).transpose()?;
    Ok(Films { paper, plate_tone: Density(settings.plate_tone) })
}

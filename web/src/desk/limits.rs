//! What a brush can't do, what it would take, and what clean-up took away: worked out when it is looked at, never on the way of a moved break.

use super::{Desk, Kept, Plan};
use crate::error::Refusal;
use crate::settings::{IslandsSpec, LineChoice, PaintedWork, Settings};
use serde::Serialize;
use stepbite_core::bands::{self, Band, BandKind, HandError};
use stepbite_core::face::Face;
use stepbite_core::islands::{self, Island};
use stepbite_core::lines::{self, LineSettings, Lines};
use stepbite_core::pace::{HandSpeed, Learned, Logged};
use stepbite_core::picture::{self, Rgba};
use stepbite_core::plane::Plane;
use stepbite_core::plate::Plate;
use stepbite_core::regions::Mark;
use stepbite_core::removed::{self, Removed};
use stepbite_core::soft::{self, SoftPassage};
use stepbite_core::stopouts::StopOuts;
use stepbite_core::tones;
use stepbite_core::under;
use stepbite_core::units::{Millimetres, PointMm};
use stepbite_core::view::View;

/// Of each list the page gets so many of the largest, and the count of all.
const MOST: usize = 60;
/// Islands are pointed at one by one: more of them.
const MOST_ISLANDS: usize = 2000;

/// The thin dark lines of a face, for one size of mark, and the face without them.
pub(super) struct Etched {
    mark: Mark,
    lines: Lines,
    without: Plane<f32>,
}

impl Etched {
    fn of(face: &Face, mark: Mark) -> Self {
        let lines = lines::found(&face.lightness, face.resolution, mark, LineSettings::default());
        let without = lines.without(&face.lightness);
        Self { mark, lines, without }
    }

    /// Those kept, or found anew where they are of another mark.
    pub(super) fn kept<'a>(kept: &'a mut Option<Self>, face: &Face, mark: Option<Mark>) -> &'a Self {
        let mark = mark.unwrap_or_default();
        if kept.as_ref().is_some_and(|etched| etched.mark != mark) {
            *kept = None;
        }
        kept.get_or_insert_with(|| Self::of(face, mark))
    }

    /// The lines.
    pub(super) fn lines(&self) -> &Lines {
        &self.lines
    }

    /// The face without its lines, L*.
    pub(super) fn without(&self) -> &Plane<f32> {
        &self.without
    }
}

type Xy = [f64; 2];

fn xy(point: PointMm) -> Xy {
    [point.x, point.y]
}

/// What a brush can't do here.
#[derive(Debug, Serialize)]
pub struct Limits {
    lines: LineFacts,
    soft: SoftFacts,
    bands: BandFacts,
    under: UnderFacts,
}

#[derive(Debug, Serialize)]
struct LineFacts {
    count: usize,
    length_mm: f64,
    width_mm: f64,
    share: f64,
}

#[derive(Debug, Serialize)]
struct SoftFacts {
    count: usize,
    length_mm: f64,
    passages: Vec<SoftPlace>,
}

#[derive(Debug, Serialize)]
struct SoftPlace {
    lighter: u8,
    darker: u8,
    length_mm: f64,
    points: Vec<Xy>,
}

#[derive(Debug, Serialize)]
struct BandFacts {
    narrow_mm: f64,
    count: usize,
    /// How many will close, to be expected.
    expected: f64,
    places: Vec<BandPlace>,
}

#[derive(Debug, Serialize)]
struct BandPlace {
    tone: u8,
    kind: &'static str,
    width_mm: f64,
    length_mm: f64,
    chance: f64,
    at: Xy,
    bounds: [Xy; 2],
}

#[derive(Debug, Serialize)]
struct UnderFacts {
    mark_mm: f64,
    count: usize,
    share: f64,
    places: Vec<UnderPlace>,
}

#[derive(Debug, Serialize)]
struct UnderPlace {
    tone: u8,
    area_mm2: f64,
    across_mm: f64,
    at: Xy,
}

/// The islands of one stop-out.
#[derive(Debug, Serialize)]
pub struct Islands {
    number: usize,
    count: usize,
    /// The smallest first.
    islands: Vec<Place>,
}

/// A piece of the face.
#[derive(Debug, Serialize)]
pub(super) struct Place {
    area_mm2: f64,
    disc_mm: f64,
    at: Xy,
    bounds: [Xy; 2],
}

impl From<&Island> for Place {
    fn from(island: &Island) -> Self {
        let [from, to] = island.bounds;
        Self { area_mm2: island.area_mm2, disc_mm: island.disc.0, at: xy(island.at), bounds: [xy(from), xy(to)] }
    }
}

/// What clean-up changed.
#[derive(Debug, Serialize)]
pub struct RemovedPieces {
    highlights: RemovedList,
    darks: RemovedList,
}

#[derive(Debug, Serialize)]
struct RemovedList {
    count: usize,
    /// How many held a disc of half the mark.
    wide: usize,
    share: f64,
    pieces: Vec<RemovedPiece>,
}

#[derive(Debug, Serialize)]
struct RemovedPiece {
    was: u8,
    now: u8,
    #[serde(flatten)]
    place: Place,
}

impl RemovedList {
    fn of(all: &[Removed], share: f64, mark: Mark) -> Self {
        let wide = all.iter().filter(|removed| removed.piece.disc.0 >= mark.diameter().0 / 2.0).count();
        let pieces = all.iter().take(MOST).map(|r| RemovedPiece { was: r.was, now: r.now, place: Place::from(&r.piece) });
        Self { count: all.len(), wide, share, pieces: pieces.collect() }
    }
}

/// Refuses a pace that no hand has, before any work.
pub(super) fn check(settings: &Settings) -> Result<(), Refusal> {
    settings.hand_speed.checked()?;
    HandError::new(settings.hand_error_mm.0)?;
    let logs: Vec<Logged> = settings
        .painted
        .iter()
        .map(|log| Logged { number: log.number, edge_cm: 0.0, area_cm2: 0.0, islands: 0, minutes: log.minutes })
        .collect();
    settings.hand_speed.learned(&logs)?;
    // A plate of two metres has four square metres; no contour on it is a hundred kilometres long.
    let done = |done: &PaintedWork| (0.0..=1e7).contains(&done.edge_cm) && (0.0..=1e5).contains(&done.area_cm2);
    match settings.painted.iter().find(|log| !log.done.as_ref().is_none_or(done)) {
        None => Ok(()),
        Some(log) => Err(Refusal::new(
            "pace",
            format!(
                "What was painted at stop-out {} when its time was logged can't be read: take that time back and log it again.",
                log.number
            ),
        )),
    }
}

/// The printer's own pace by what was logged, and the stop-outs' minutes by it. A time that does not say what was painted speaks of the plan
/// as it is; one of a stop-out that is no more then says nothing. Minutes of the log at the bath, `noted`, count where no others were typed for
/// that stop-out: what it painted is frozen, so the plan still knows what they were for.
pub(super) fn pace(
    settings: &Settings,
    noted: &[(usize, f64)],
    stopouts: &mut StopOuts,
    plate: &Plate,
) -> Result<Option<Learned>, Refusal> {
    let face = plate.face();
    let face_cm2 = face.width.0 * face.height.0 / 100.0;
    let planned = |number: usize| {
        let stop = stopouts.list().get(number.checked_sub(1)?)?;
        Some(PaintedWork { edge_cm: stop.edge_cm, area_cm2: stop.new_share * face_cm2, islands: stop.islands })
    };
    let typed = |number: usize| settings.painted.iter().any(|log| log.number == number);
    // A tick that came at once is no time of painting, and refuses nothing.
    let noted = noted.iter().filter(|(number, minutes)| !typed(*number) && HandSpeed::MINUTES.contains(minutes));
    let logs: Vec<Logged> = settings
        .painted
        .iter()
        .map(|log| (log.number, log.minutes, log.done))
        .chain(noted.map(|&(number, minutes)| (number, minutes, None)))
        .filter_map(|(number, minutes, done)| {
            let PaintedWork { edge_cm, area_cm2, islands } = done.or_else(|| planned(number))?;
            Some(Logged { number, edge_cm, area_cm2, islands, minutes })
        })
        .collect();
    let learned = settings.hand_speed.learned(&logs)?;
    stopouts.retime(learned.as_ref().map_or(settings.hand_speed, |learned| learned.speed));
    Ok(learned)
}

impl Plan {
    fn mark(&self) -> Mark {
        Mark::new(Millimetres(self.settings.mark_mm)).unwrap_or_default()
    }

    /// What clean-up alone made of the thresholds: what the hand set afterwards is not removed, but set.
    fn clean(&self) -> &tones::StepMap {
        &self.cleaned.map
    }

    fn etched(&self) -> bool {
        self.settings.lines == LineChoice::Etched
    }

    /// What the printer should know where the lines are etched.
    pub(super) fn lines_note(&self) -> Option<String> {
        self.etched().then(|| {
            "Thin dark lines are left to an etched-line stage before the grain: the stop-outs and the pictures of the print are without them."
                .to_owned()
        })
    }
}

impl Desk {
    /// The lines as they are kept, or found for this once.
    pub(super) fn with_lines<T>(&self, plan: &Plan, show: impl FnOnce(&Etched) -> T) -> T {
        let own = self.kept.is_of(plan.place(), plan.settings.photo.as_ref());
        match &self.kept.etched {
            Some(etched) if own && etched.mark == plan.mark() => show(etched),
            _ => show(&Etched::of(&plan.face, plan.mark())),
        }
    }

    /// The plain thresholds of what the regions were made from.
    fn plain(&self, plan: &Plan) -> tones::StepMap {
        if plan.etched() {
            self.with_lines(plan, |etched| tones::quantise(etched.without(), &plan.breaks))
        } else {
            tones::quantise(&plan.face.lightness, &plan.breaks)
        }
    }

    /// The plain thresholds as clean-up met them: what is set aside counts as unchanged, since nobody will paint it.
    fn met(&self, plan: &Plan) -> tones::StepMap {
        let plain = self.plain(plan);
        let aside = plan.stopouts.aside();
        if aside.is_none() {
            return plain;
        }
        let (count, clean) = (plain.tones(), plan.clean().plane());
        let (width, mut plane) = (clean.width(), plain.into_plane());
        for bits in aside.resist().into_iter().chain(aside.by_hand()) {
            bits.each(|x, y| plane.data_mut()[y * width + x] = clean.at(x, y));
        }
        tones::StepMap::new(count, plane)
    }

    pub(super) fn removed_picture(&self, plan: &Plan, size: (usize, usize), view: View) -> Plane<Rgba> {
        picture::removed(&self.met(plan), plan.clean(), &plan.colours(), size, view)
    }

    pub(super) fn lines_picture(&self, plan: &Plan, size: (usize, usize), view: View) -> Plane<Rgba> {
        self.with_lines(plan, |etched| picture::lines(etched.without(), &etched.lines.plane, size, view))
    }

    /// What clean-up changed, the largest pieces first.
    ///
    /// # Errors
    /// Before the first plan.
    pub fn removed(&self) -> Result<RemovedPieces, Refusal> {
        let plan = self.plan()?;
        let all = removed::of(&self.met(plan), plan.clean(), plan.face.resolution);
        Ok(RemovedPieces {
            highlights: RemovedList::of(&all.highlights, all.highlight_share, plan.mark()),
            darks: RemovedList::of(&all.darks, all.dark_share, plan.mark()),
        })
    }

    /// The islands of a stop-out, the smallest first.
    ///
    /// # Errors
    /// Before the first plan, and for a stop-out that does not exist.
    pub fn islands(&self, spec: &IslandsSpec) -> Result<Islands, Refusal> {
        let plan = self.plan()?;
        plan.check_stopout(spec.number)?;
        let all = islands::of(plan.stopouts.zones(), spec.number, None, plan.face.resolution);
        Ok(Islands { number: spec.number, count: all.len(), islands: all.iter().take(MOST_ISLANDS).map(Place::from).collect() })
    }

    /// What a brush can't do here.
    ///
    /// # Errors
    /// Before the first plan.
    pub fn limits(&mut self) -> Result<Limits, Refusal> {
        let plan = self.plan.as_ref().ok_or_else(super::no_plan)?;
        let photo = plan.settings.photo.as_ref();
        // What a refused face left there is nothing of this plan's.
        if !self.kept.is_of(plan.place(), photo) {
            self.kept = Kept::of(plan.place(), photo);
        }
        let found = &Etched::kept(&mut self.kept.etched, &plan.face, Some(plan.mark())).lines;
        let lines = LineFacts { count: found.count, length_mm: found.length.0, width_mm: found.width.0, share: found.share() };
        let lightness = self.kept.etched.as_ref().filter(|_| plan.etched()).map_or(&plan.face.lightness, Etched::without);
        let (map, resolution) = (plan.stopouts.map(), plan.face.resolution);
        let levels = soft::levels(&plan.breaks, plan.face.ends.paper, plan.face.ends.black);
        let passages = soft::passages(&plan.outlines, lightness, resolution, &levels);
        let error = HandError::new(plan.settings.hand_error_mm.0)?;
        let narrow = bands::narrow(plan.stopouts.zones(), resolution, error);
        let places = under::places(map, plan.stopouts.aside(), plan.mark(), resolution);
        Ok(Limits {
            lines,
            soft: SoftFacts {
                count: passages.len(),
                length_mm: passages.iter().map(|p| p.length.0).sum(),
                passages: passages.iter().take(MOST).map(soft_place).collect(),
            },
            bands: BandFacts {
                narrow_mm: bands::NARROW.0,
                count: narrow.len(),
                expected: bands::expected(&narrow),
                places: narrow.iter().take(MOST).map(band_place).collect(),
            },
            under: UnderFacts {
                mark_mm: plan.mark().diameter().0,
                count: places.len(),
                share: plan.by_hand.unpaintable_share,
                places: places.iter().take(MOST).map(under_place).collect(),
            },
        })
    }
}

fn soft_place(passage: &SoftPassage) -> SoftPlace {
    SoftPlace {
        lighter: passage.lighter,
        darker: passage.darker,
        length_mm: passage.length.0,
        points: passage.points.iter().copied().map(xy).collect(),
    }
}

fn band_place(band: &Band) -> BandPlace {
    let kind = match band.kind {
        BandKind::Stroke => "stroke",
        BandKind::Gap => "gap",
        BandKind::Rung => "rung",
    };
    let [from, to] = band.bounds;
    BandPlace {
        tone: band.tone,
        kind,
        width_mm: band.width.0,
        length_mm: band.length.0,
        chance: band.chance,
        at: xy(band.at),
        bounds: [xy(from), xy(to)],
    }
}

fn under_place(place: &under::UnderPlace) -> UnderPlace {
    UnderPlace { tone: place.tone, area_mm2: place.area_mm2, across_mm: place.across.0, at: xy(place.at) }
}

//! What has been done to the metal: what it holds fast, and where the plate stands by its log, as the page is told.

use super::limits::Place;
use super::{Desk, Plan};
use crate::error::Refusal;
use crate::settings::{Done, KeptMap as Sent};
use serde::Serialize;
use std::rc::Rc;
use stepbite_core::aside::Zones;
use stepbite_core::frozen::{self, Frozen, KeptFacts, KeptMap, NO_WISH, Wishes};
use stepbite_core::islands::Island;
use stepbite_core::light::Lightness;
use stepbite_core::log::{Next, Standing};
use stepbite_core::plane::Plane;
use stepbite_core::plate::Plate;
use stepbite_core::replan::{Aimed, Replanned};
use stepbite_core::sheets::Repair;
use stepbite_core::tones::{Breaks, BreaksError, StepMap};
use stepbite_core::units::PxPerMm;

/// Most pieces of each kind that are listed.
const MOST: usize = 60;

/// The map that was painted by, read once: every plan brings its file along again.
#[derive(Clone)]
pub(super) struct PaintedBy {
    sent: Sent,
    map: Rc<KeptMap>,
}

/// What is on the metal, for the map.
#[derive(Clone, Debug)]
pub(super) struct Held {
    id: String,
    map: Rc<KeptMap>,
    /// As far as the map holds.
    painted: usize,
    dropped: Vec<usize>,
}

/// A map as it may still become, and what is wanted otherwise.
pub(super) struct HeldMap {
    pub(super) frozen: Frozen,
    pub(super) wishes: Wishes,
    /// The map as the plan alone would have it, where that differs.
    pub(super) free: Option<(StepMap, Option<Zones>)>,
}

impl PartialEq for Held {
    fn eq(&self, other: &Self) -> bool {
        (&self.id, self.painted, &self.dropped) == (&other.id, other.painted, &other.dropped)
    }
}

impl PaintedBy {
    /// The map that came with the settings.
    ///
    /// # Errors
    /// What is no kept map.
    pub(super) fn of<'a>(cache: &'a mut Option<Self>, done: &Done) -> Result<Option<&'a Self>, Refusal> {
        let Some(sent) = &done.kept else { return Ok(None) };
        if cache.as_ref().is_none_or(|kept| kept.sent != *sent) {
            *cache = Some(Self { sent: sent.clone(), map: Rc::new(KeptMap::read(&sent.png)?) });
        }
        Ok(cache.as_ref())
    }

    /// What bites were aimed at when the last stop-out was ticked.
    pub(super) fn aimed(&self) -> &Aimed {
        &self.map.facts().aimed
    }

    /// What it holds fast of a plate; nothing where nothing is painted.
    ///
    /// # Errors
    /// When plate, bevel or resolution are others.
    pub(super) fn held(&self, standing: &Standing, plate: &Plate, resolution: PxPerMm) -> Result<Option<Held>, Refusal> {
        let painted = standing.painted.min(self.map.facts().painted);
        if painted == 0 {
            return Ok(None);
        }
        self.map.check(plate, resolution, painted)?;
        Ok(Some(Held { id: self.sent.id.clone(), map: Rc::clone(&self.map), painted, dropped: standing.dropped.clone() }))
    }
}

impl Held {
    /// Breaks with those of what is painted as they were.
    ///
    /// # Errors
    /// Where they leave no room for the others.
    pub(super) fn breaks(&self, asked: &Breaks, black: Lightness) -> Result<Breaks, BreaksError> {
        frozen::locked(asked, &self.map, self.painted, black)
    }

    /// A later map with what is painted in it.
    pub(super) fn applied(&self, map: &StepMap, zones: Option<&Zones>, resolution: PxPerMm) -> HeldMap {
        let wishes = Wishes::of(&self.wished(map, zones, resolution), resolution);
        let free = (!wishes.is_none()).then(|| (map.clone(), zones.cloned()));
        HeldMap { frozen: frozen::frozen(map, zones, &self.map, self.painted, &self.dropped), wishes, free }
    }

    /// Where a later map has another print than the metal can give, and wide enough to be worked.
    fn wished(&self, map: &StepMap, zones: Option<&Zones>, resolution: PxPerMm) -> Plane<u8> {
        Wishes::worth(&Wishes::map(map, zones, &self.map, self.painted, &self.dropped), resolution)
    }
}

impl Plan {
    /// Where the plan's own map has another print than the metal can give.
    pub(super) fn wish_map(&self) -> Plane<u8> {
        let zones = self.stopouts.zones();
        match (&self.held, &self.free) {
            (Some(held), Some((map, zones))) => held.wished(map, zones.as_ref(), self.face.resolution),
            _ => zones.map(|_| NO_WISH),
        }
    }

    /// The repair list, where there is something on it.
    pub(super) fn repair(&self) -> Option<Repair> {
        (!self.wishes.is_none()).then(|| Repair { map: self.wish_map(), wishes: self.wishes.clone() })
    }
}

/// A kept map's file.
pub struct Freeze {
    /// Tells it from others.
    pub id: String,
    /// PNG.
    pub png: Vec<u8>,
}

impl Desk {
    /// The map as it is now, to be kept when the stop-out that comes next is ticked; while that stop-out's bite is still to come, or for a
    /// plate that came bitten, for the last one painted.
    ///
    /// # Errors
    /// Before the first plan.
    pub fn freeze(&self) -> Result<Freeze, Refusal> {
        let plan = self.plan()?;
        let painted = match plan.standing.next(plan.bites.leaves()) {
            Next::Paint(next) => next,
            Next::Bite(_) | Next::Finished => plan.standing.painted,
        };
        let (size, bevel) = (plan.plate.size(), plan.plate.bevel());
        let facts = KeptFacts {
            painted,
            plate_mm: (size.width.0, size.height.0, bevel.0),
            px_per_mm: plan.stopouts.resolution().0,
            breaks: plan.breaks.falling().iter().map(|l| l.0).collect(),
            aimed: Aimed::of(&plan.base, &plan.curve, &plan.replanned),
        };
        let png = KeptMap::painted_by(&plan.stopouts, facts).png();
        Ok(Freeze { id: KeptMap::id(&png), png })
    }
}

/// Where the plate stands.
#[derive(Debug, Serialize)]
pub struct StandingFacts {
    painted: usize,
    bitten: usize,
    dropped: Vec<usize>,
    minutes: Vec<(usize, f64)>,
    last: Option<usize>,
    total_s: f64,
    next: NextFacts,
    said: Vec<String>,
    due: Option<DueFacts>,
    back: Option<BackFacts>,
    locked: Locked,
    wishes: WishFacts,
    to_keep: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum NextFacts {
    Paint { stop_out: usize },
    Bite { bite: usize },
    Finished,
}

#[derive(Debug, Serialize)]
struct DueFacts {
    after: usize,
    dropped: Option<super::what_if::WayFacts>,
    respaced: Option<super::what_if::WayFacts>,
}

#[derive(Debug, Serialize)]
struct BackFacts {
    bite: usize,
    set_s: f64,
}

#[derive(Debug, Serialize)]
struct Locked {
    breaks: usize,
    least_tones: usize,
    said: Option<String>,
}

#[derive(Debug, Serialize)]
struct WishFacts {
    lighter: Vec<Place>,
    darker: Vec<Place>,
    lighter_count: usize,
    darker_count: usize,
    lighter_share: f64,
    darker_share: f64,
}

impl WishFacts {
    fn of(wishes: &Wishes) -> Self {
        let places = |list: &[Island]| list.iter().take(MOST).map(Place::from).collect();
        Self {
            lighter: places(&wishes.lighter),
            darker: places(&wishes.darker),
            lighter_count: wishes.lighter.len(),
            darker_count: wishes.darker.len(),
            lighter_share: wishes.lighter_share,
            darker_share: wishes.darker_share,
        }
    }
}

impl Plan {
    /// Where the plate stands by its log.
    #[must_use]
    pub fn standing(&self) -> StandingFacts {
        let standing = &self.standing;
        let Replanned { said, due, back, .. } = &self.replanned;
        let held = self.held.as_ref().map_or(0, |held| held.painted);
        let mut said = said.clone();
        if standing.painted > held {
            said.push(unkept(standing.painted, held));
        }
        StandingFacts {
            painted: standing.painted,
            bitten: standing.bitten,
            dropped: standing.dropped.clone(),
            minutes: standing.minutes.clone(),
            last: standing.last,
            total_s: standing.total().0,
            next: match standing.next(self.bites.leaves()) {
                Next::Paint(stop_out) => NextFacts::Paint { stop_out },
                Next::Bite(bite) => NextFacts::Bite { bite },
                Next::Finished => NextFacts::Finished,
            },
            said,
            due: due.clone().map(|due| DueFacts {
                after: due.after,
                dropped: due.dropped.map(Into::into),
                respaced: due.respaced.map(Into::into),
            }),
            back: back.map(|back| BackFacts { bite: back.bite, set_s: back.set.0 }),
            locked: Locked { breaks: held, least_tones: standing.painted + 1, said: (held > 0).then(|| locked(held, standing.painted)) },
            wishes: WishFacts::of(&self.wishes),
            to_keep: standing.painted > held,
        }
    }
}

/// Why what is painted does not move.
fn locked(held: usize, painted: usize) -> String {
    let (stop_outs, breaks) = match held {
        1 => ("Stop-out 1 is painted".to_owned(), "the first break stays where it is".to_owned()),
        _ => (format!("Stop-outs 1 to {held} are painted"), format!("the first {held} breaks stay where they are")),
    };
    format!(
        "{stop_outs}: varnish that is wiped off takes grain with it. So {breaks}, the plate keeps at least {} tones, and what is wanted otherwise \
         there goes on the repair list.",
        painted + 1
    )
}

/// What is painted without a map of it.
fn unkept(painted: usize, held: usize) -> String {
    if held == 0 {
        format!(
            "No map is kept of what is painted up to stop-out {painted}: it is taken to be painted by the plan as it is now. Look it over against the plate."
        )
    } else {
        format!("The map that is kept holds up to stop-out {held}: what was painted after it is taken to be by the plan as it is now.")
    }
}

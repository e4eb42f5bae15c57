//! What the printer sets by hand: edits and a fixed resist on the cleaned map. They cost milliseconds, since the cleaned map is kept.

use crate::error::Refusal;
use crate::settings::Settings;
use stepbite_core::aside::{Aside, Zones};
use stepbite_core::bits::BitPlane;
use stepbite_core::hand::Hand;
use stepbite_core::plane::Plane;
use stepbite_core::regions::{self, Mark};
use stepbite_core::resist::Resist;
use stepbite_core::tones::{Breaks, StepMap};
use stepbite_core::units::PxPerMm;

/// What is asked for, checked.
#[derive(Default)]
pub(super) struct Asked {
    hand: Hand,
    resist: Option<Resist>,
}

/// The map with it done.
pub(super) struct Done {
    pub(super) map: StepMap,
    pub(super) aside: (Aside, Option<Zones>),
    pub(super) figures: Figures,
}

/// What came of it, in figures.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures {
    /// Share of the face where a region does not hold the mark, areas by hand and the resist apart.
    pub unpaintable_share: f64,
    /// Share of the face where an edit set a tone and the region there does not hold the mark.
    pub narrow_share: f64,
    /// Share of the face under a fixed resist.
    pub resist_share: f64,
    /// Share of the face worked by hand.
    pub by_hand_share: f64,
    /// What the printer should know about edits.
    pub notes: Vec<String>,
}

impl Asked {
    /// Checks everything that needs no picture.
    ///
    /// # Errors
    /// Where an edit or a shape is beyond its limits.
    pub(super) fn of(settings: &Settings) -> Result<Self, Refusal> {
        if let Some(resist) = &settings.resist {
            resist.check()?;
        }
        Ok(Self { hand: Hand::new(settings.hand.clone())?, resist: settings.resist.clone() })
    }

    /// Whether there is nothing to do.
    pub(super) fn nothing(&self) -> bool {
        self.hand.edits().is_empty() && self.resist.is_none()
    }

    /// Does it on a cleaned map. `figure` makes the map of two tones that tells the drawing's outline at an L*.
    ///
    /// # Errors
    /// Where the resist leaves nothing open.
    pub(super) fn done(
        &self,
        clean: &StepMap,
        (lightness, resolution): (&Plane<f32>, PxPerMm),
        breaks: &Breaks,
        measured_by: Mark,
        figure: impl FnOnce(f64) -> Result<StepMap, Refusal>,
    ) -> Result<Done, Refusal> {
        if self.nothing() {
            let unpaintable_share = regions::unpaintable_share(clean, measured_by, resolution);
            let figures = Figures { unpaintable_share, ..Figures::default() };
            return Ok(Done { map: clean.clone(), aside: (Aside::default(), None), figures });
        }
        let worked = self.hand.applied(clean, lightness, breaks, resolution);
        let resist = match &self.resist {
            Some(resist @ Resist::Outline { darker_than: Some(limit) }) => Some(resist.covered(&figure(*limit)?, resolution)?),
            Some(resist) => Some(resist.covered(&worked.map, resolution)?),
            None => None,
        };
        let aside = Aside::new(resist, worked.by_hand);
        let (map, zones) = aside.applied(worked.map);
        let mut narrow = regions::unpaintable(&map, measured_by, resolution);
        aside.resist().into_iter().chain(aside.by_hand()).for_each(|apart| narrow.remove(apart));
        let face = map.plane().data().len() as f64;
        let share = |bits: Option<&BitPlane>| bits.map_or(0.0, |bits| bits.count() as f64 / face);
        let figures = Figures {
            unpaintable_share: share(Some(&narrow)),
            narrow_share: narrow.count_in(&worked.touched) as f64 / face,
            resist_share: share(aside.resist()),
            by_hand_share: share(aside.by_hand()),
            notes: worked.notes,
        };
        Ok(Done { map, aside: (aside, zones), figures })
    }
}

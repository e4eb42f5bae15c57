//! What if a bite was off: the core's answer as the page has it.

use super::Desk;
use crate::error::Refusal;
use crate::settings::WhatIfSpec;
use serde::Serialize;
use stepbite_core::units::Seconds;
use stepbite_core::what_if::{self, WayOn};

/// What a bite of another length does; see `WhatIf` in `types.d.ts`.
#[derive(Debug, Serialize)]
pub struct WhatIfFacts {
    from: usize,
    bite: usize,
    asked_s: f64,
    seconds: f64,
    planned_s: f64,
    planned_set_s: f64,
    slope: f64,
    tones: Vec<ToneFacts>,
    next: Option<NextFacts>,
    dropped: Option<WayFacts>,
    respaced: Option<WayFacts>,
}

#[derive(Debug, Serialize)]
struct ToneFacts {
    tone: usize,
    covered: bool,
    planned_l: f64,
    prints_l: f64,
    by_l: f64,
    past_end: bool,
}

#[derive(Debug, Serialize)]
struct NextFacts {
    from: usize,
    bite: usize,
    planned_s: f64,
    left_s: f64,
    set_s: f64,
    gap_l: f64,
    fits: bool,
}

#[derive(Debug, Serialize)]
pub(super) struct WayFacts {
    rungs: Vec<RungFacts>,
    joined: Vec<usize>,
    widest: (usize, usize, f64),
    narrowest_l: Option<f64>,
}

#[derive(Debug, Serialize)]
struct RungFacts {
    tone: usize,
    prints_l: f64,
    total_s: f64,
    shown_total_s: f64,
    bite_s: f64,
    set_s: f64,
}

impl From<WayOn> for WayFacts {
    fn from(way: WayOn) -> Self {
        let rung = |rung: what_if::Rung| RungFacts {
            tone: rung.tone,
            prints_l: rung.prints.0,
            total_s: rung.total.0,
            shown_total_s: rung.shown_total.0,
            bite_s: rung.bite.0,
            set_s: rung.set.0,
        };
        Self { rungs: way.rungs.into_iter().map(rung).collect(), joined: way.joined, widest: way.widest, narrowest_l: way.narrowest }
    }
}

impl Desk {
    /// What a bite of another length does.
    ///
    /// # Errors
    /// Before the first plan, for a bite that does not exist, and for one that is off by more than two minutes.
    pub fn what_if(&self, spec: WhatIfSpec) -> Result<WhatIfFacts, Refusal> {
        let plan = self.plan()?;
        let what = what_if::what_if(plan.bites(), plan.curve(), spec.bite, Seconds(spec.seconds))?;
        let tone = |moved: &what_if::Moved| ToneFacts {
            tone: moved.tone,
            covered: moved.covered,
            planned_l: moved.planned.0,
            prints_l: moved.prints.0,
            by_l: moved.by(),
            past_end: moved.past_end,
        };
        let next = |next: what_if::NextBite| NextFacts {
            from: next.from,
            bite: next.bite,
            planned_s: next.planned.0,
            left_s: next.left.0,
            set_s: next.set.0,
            gap_l: next.gap,
            fits: next.fits,
        };
        Ok(WhatIfFacts {
            from: what.from,
            bite: what.bite,
            asked_s: what.asked.0,
            seconds: what.off.0,
            planned_s: what.planned.0,
            planned_set_s: what.planned_set.0,
            slope: what.slope,
            tones: what.tones.iter().map(tone).collect(),
            next: what.next.map(next),
            dropped: what.dropped.map(WayFacts::from),
            respaced: what.respaced.map(WayFacts::from),
        })
    }
}

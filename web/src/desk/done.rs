//! Where the plate stands by its log, as the page is told.

use serde::Serialize;
use stepbite_core::log::{Next, Standing};

/// Where the plate stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StandingFacts {
    painted: usize,
    bitten: usize,
    dropped: Vec<usize>,
    total_s: f64,
    next: NextFacts,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum NextFacts {
    Paint { stop_out: usize },
    Bite { bite: usize },
    Finished,
}

impl StandingFacts {
    /// Of a plate with so many bites.
    #[must_use]
    pub fn of(standing: &Standing, bites: usize) -> Self {
        Self {
            painted: standing.painted,
            bitten: standing.bitten,
            dropped: standing.dropped.clone(),
            total_s: standing.total().0,
            next: match standing.next(bites) {
                Next::Paint(stop_out) => NextFacts::Paint { stop_out },
                Next::Bite(bite) => NextFacts::Bite { bite },
                Next::Finished => NextFacts::Finished,
            },
        }
    }
}

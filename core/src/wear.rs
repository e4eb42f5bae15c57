//! Wear: a warning band for how many pulls a plate is asked for. No promise: nobody can say how long a plate stands.
//!
//! Pits of the lightest tones are the shallowest and go first. Where the printer knows what a past plate stood, pulls are held against that; where
//! not, there are only words and a band that is common practice, without a source.

use serde::{Deserialize, Serialize};

/// Up to so many pulls nothing is said to wear, and from so many on the lights may be gone. Common practice, no source.
const FEW: usize = 10;
const MANY: usize = 40;
/// The share of a past plate's pulls from which its lights are looked at: a choice of ours.
const LOOK: f64 = 0.5;

/// What a band without a figure of the printer's own is marked with.
pub const NO_SOURCE: &str = "common practice, no source";

/// Where a plate stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Band {
    /// Few pulls.
    Few,
    /// The lights are to be looked at.
    Look,
    /// As many as a plate may stand, or more.
    Many,
}

/// What is asked of a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Pulls made.
    pub made: usize,
    /// Pulls planned in all; none: not said.
    pub planned: Option<usize>,
    /// Pulls that a past plate of the printer's own stood; none: not known.
    pub lifetime: Option<usize>,
    /// Tones of the plate, white included.
    pub tones: usize,
}

/// What is said of wear.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wear {
    /// The band.
    pub band: Band,
    /// Whether it rests on a figure of the printer's own.
    pub own: bool,
    /// Sentences.
    pub said: Vec<String>,
}

/// The band for what is asked of a plate, and what is said of it.
#[must_use]
pub fn wear(asked: Asked) -> Wear {
    let Asked { made, planned, lifetime, tones } = asked;
    let pulls = planned.unwrap_or(0).max(made);
    let lights = match tones {
        0..=2 => "its one tone".to_owned(),
        3 => "tone 1".to_owned(),
        _ => "tones 1 and 2".to_owned(),
    };
    let counted = match planned {
        Some(planned) if planned >= made => format!("{planned} planned, {made} made"),
        Some(planned) => format!("{made} made, more than the {planned} planned"),
        None => format!("{made} made"),
    };
    let lifetime = lifetime.filter(|&lifetime| lifetime > 0);
    let band = match lifetime {
        Some(lifetime) => match pulls as f64 / lifetime as f64 {
            share if share < LOOK => Band::Few,
            share if share < 1.0 => Band::Look,
            _ => Band::Many,
        },
        None if pulls <= FEW => Band::Few,
        None if pulls < MANY => Band::Look,
        None => Band::Many,
    };
    let mut said = vec![match (lifetime, band) {
        (Some(lifetime), _) => {
            let share = pulls as f64 / lifetime as f64;
            let of = if share < 10.0 { format!("{:.0} %", 100.0 * share) } else { format!("{share:.0} times") };
            format!("{counted}: {of} of the {lifetime} pulls that a past plate of yours stood.")
        }
        (None, Band::Few) => format!("{counted}: few, up to {FEW} ({NO_SOURCE})."),
        (None, Band::Look) => format!("{counted}: between {FEW} and {MANY}, where light tones may begin to go ({NO_SOURCE})."),
        (None, Band::Many) => format!("{counted}: {MANY} or more, where light tones may be gone on zinc ({NO_SOURCE})."),
    }];
    if band != Band::Few {
        said.push(format!("The shallowest pits go first: lay a new pull beside an early one and look at {lights}."));
    }
    if band == Band::Many && made < pulls {
        said.push(format!(
            "What is not bitten yet can begin deeper: a longer first bite makes tone 1 darker and its pits deeper ({NO_SOURCE})."
        ));
    }
    said.push("A warning, no promise: metal, grain, pressure and wiping all count, and no figure here knows them.".to_owned());
    Wear { band, own: lifetime.is_some(), said }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(made: usize, planned: Option<usize>, lifetime: Option<usize>) -> Wear {
        wear(Asked { made, planned, lifetime, tones: 10 })
    }

    #[test]
    fn without_a_figure_there_are_words_and_a_band_without_source() {
        for (made, planned, band) in
            [(0, None, Band::Few), (10, None, Band::Few), (11, None, Band::Look), (3, Some(39), Band::Look), (3, Some(40), Band::Many)]
        {
            let wear = of(made, planned, None);
            assert_eq!((wear.band, wear.own), (band, false), "{made} {planned:?}");
            assert!(wear.said[0].contains(NO_SOURCE), "{:?}", wear.said);
        }
        assert!(of(3, Some(40), None).said.iter().any(|words| words.contains("longer first bite")));
        assert!(!of(40, None, None).said.iter().any(|words| words.contains("longer first bite")), "nothing is left to bite for");
        assert!(of(12, Some(5), None).said[0].starts_with("12 made, more than the 5 planned"));
    }

    #[test]
    fn the_printers_own_figure_rules_and_promises_nothing() {
        for (planned, band) in [(49, Band::Few), (50, Band::Look), (99, Band::Look), (100, Band::Many)] {
            let wear = of(4, Some(planned), Some(100));
            assert_eq!((wear.band, wear.own), (band, true), "{planned}");
            assert!(wear.said[0].contains(&format!("{planned} %")) && !wear.said[0].contains(NO_SOURCE), "{:?}", wear.said);
        }
        assert_eq!(of(4, None, Some(0)), of(4, None, None));
        assert!(of(5000, None, Some(10)).said[0].contains("500 times"));
    }

    proptest! {
        #[test]
        fn more_pulls_never_wear_less(made in 0usize..200, more in 0usize..200, lifetime in prop::option::of(1usize..300), planned in prop::option::of(1usize..200)) {
            let (before, after) = (of(made, planned, lifetime), of(made + more, planned, lifetime));
            prop_assert!(after.band >= before.band);
            prop_assert!(after.said.iter().all(|words| words.ends_with('.')) && after.said.last().is_some_and(|words| words.contains("no promise")));
        }
    }
}

//! Which metal goes into which mordant: STOP, or only with the shop's sign-off. There is no third verdict: no bath is called safe here.
//!
//! Each reason carries its hazard in words and who says so; where sources differ the stricter one holds. A pair that is not in the table, and
//! words that are not understood, need the shop's sign-off. Nothing here says how a bath is made.

use super::{Metal, Mordant};
use serde::Serialize;

/// What is said of a pair, the stricter last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Someone answerable for the shop agrees before anything is bitten.
    SignOff,
    /// It is not done; no run sheet prints.
    Stop,
}

impl Verdict {
    /// Its words, as they stand on page and sheets.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Stop => "STOP",
            Self::SignOff => "SHOP SIGN-OFF",
        }
    }
}

/// One hazard of a pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Reason {
    /// What it leads to by itself.
    pub verdict: Verdict,
    /// The hazard, a sentence or two.
    pub words: &'static str,
    /// Who says so.
    pub source: &'static str,
}

/// What is said of a bath: the strictest of its reasons.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Judgement {
    /// The strictest verdict of all reasons.
    pub verdict: Verdict,
    /// Metal and mordant in a few words: "zinc in nitric acid".
    pub pair: String,
    /// Why, the strictest first; never empty.
    pub reasons: Vec<Reason>,
}

/// A bath as its printer names it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Named<'a> {
    /// The plate's metal; none: not said.
    pub metal: Option<&'a str>,
    /// The mordant; none: not said.
    pub mordant: Option<&'a str>,
    /// What this tray has bitten before; none: not asked yet; "none" or nothing: no other metal.
    pub before: Option<&'a str>,
}

const LAWRENCE: &str = "T N Lawrence, sheet “Ferric chloride and the Edinburgh Etch”";
const CHEMISTRY: &str = "chemistry; no workshop source found";

const ZINC_FERRIC: Reason = Reason {
    verdict: Verdict::Stop,
    words: "Zinc in ferric chloride bites fast, overheats, gives off hydrogen and acid mist and crusts with iron; it also spoils a tank kept for copper. \
            Hydrogen burns and explodes.",
    source: "T N Lawrence, sheet “Ferric chloride and the Edinburgh Etch”; “Etching zinc plates safely”, author not shown",
};
const ALUMINIUM_FERRIC: Reason = Reason {
    verdict: Verdict::Stop,
    words: "Aluminium in ferric chloride reacts violently: heat, hydrogen and acid mist.",
    source: LAWRENCE,
};
const COPPER_TRAY: Reason = Reason {
    verdict: Verdict::Stop,
    words: "This tray has bitten copper: a zinc or aluminium plate in it starts a violent electrolytic reaction.",
    source: LAWRENCE,
};
const FERRIC_TRAY: Reason = Reason {
    verdict: Verdict::Stop,
    words: "This tray has held ferric chloride: a zinc or aluminium plate in it overheats, gives off hydrogen and acid mist and reacts with the copper that \
            it has taken up.",
    source: LAWRENCE,
};
const NITRIC_BOTH: Reason = Reason {
    verdict: Verdict::Stop,
    words: "Copper and zinc in one nitric tray, together or in turn: toxic fumes. Each metal has a tray of its own.",
    source: "ryepress (2008); University of Utah EHS, “Acid Etching”",
};
const NITRIC_BRASS: Reason = Reason {
    verdict: Verdict::Stop,
    words: "Brass is copper and zinc in one, and the two never share a nitric tray: toxic fumes.",
    source: "ryepress (2008) of copper and zinc; that it holds for brass is our inference",
};
const HYDROGEN_CHLORINE: Reason = Reason {
    verdict: Verdict::Stop,
    words: "Zinc and aluminium set hydrogen free in hydrochloric acid, and with chlorate there is chlorine over the same tray: fire, explosion, poison.",
    source: CHEMISTRY,
};
const NITRIC: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Nitric acid burns and gives off brown nitrogen dioxide, which warns poorly; harm to the lungs can come hours later. It feeds fire: no solvents, \
            alcohol, asphaltum or rags near it. Exhaust at the tray, goggles, gloves, apron, an eyewash within reach.",
    source: "ILO/WHO ICSC 0183 (2016); McCann, “Acid etching hazards”; University of Utah EHS, “Acid Etching”; UNCG",
};
const FERRIC: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Ferric chloride is an acid that seriously harms eyes, irritates skin and eats metals and plumbing. Goggles, gloves, ventilation, plastic vessels; \
            bleach never near it.",
    source: "ILO/WHO ICSC 1499 (2004); a maker’s safety data sheet (2021)",
};
const SULPHATE: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Copper sulphate is harmful if swallowed, irritates skin and eyes and is very toxic to water life. No dust in the air, gloves, goggles, nothing to \
            the drain.",
    source: "ILO/WHO ICSC 0751 (2023), 1416",
};
const SULPHATE_ALUMINIUM: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Aluminium in copper sulphate gives off heat and hydrogen. Hot or strong it runs away: then it is a STOP.",
    source: "common practice, no source; heats of reaction from standard tables, from memory",
};
const DUTCH: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Dutch mordant gives off chlorine when it is made, and its chlorate burns and explodes with dirt, cloth, sulfur and much else. Sealed waste has \
            burst its can. Most shops do without it.",
    source: "University of Utah EHS, “Acid Etching”; Babin and McCann; N. Letts, “Dutch mordant and etching hazards”",
};
const HYDROCHLORIC: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Hydrochloric acid burns and its vapour harms eyes and lungs; with bleach or chlorate it gives off chlorine.",
    source: "NIOSH on hydrogen chloride; chemistry",
};
const NOT_USUAL: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "This is no usual pair, and no workshop source for it was found: nobody here knows what it does.",
    source: "none found",
};
const NOT_UNDERSTOOD: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "The metal or the mordant was not understood, so its hazards are not known here. Name it by its trade word, and ask the shop.",
    source: "none",
};
const NOT_SAID: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Metal and mordant are not both said, so their hazards can’t be named here.",
    source: "none",
};
const NOT_ASKED: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "Whether this tray has bitten another metal is not answered. Copper and zinc never share a nitric tray, and zinc or aluminium never goes where \
            copper was bitten.",
    source: "ryepress (2008); T N Lawrence, sheet “Ferric chloride and the Edinburgh Etch”",
};
const OTHER_BEFORE: Reason = Reason {
    verdict: Verdict::SignOff,
    words: "This tray has bitten another metal, and what it has taken up is not known here: ask the shop before the plate goes in.",
    source: "common practice, no source",
};

/// What the table says of one metal in one mordant; never empty.
#[must_use]
pub fn reasons(metal: Metal, mordant: Mordant) -> Vec<Reason> {
    use Metal::{Aluminium, Brass, Copper, Steel, Zinc};
    let usual = |reason: Reason| vec![reason];
    match (metal, mordant) {
        (Zinc, Mordant::Ferric | Mordant::FerricCitric) => vec![ZINC_FERRIC, FERRIC],
        (Aluminium, Mordant::Ferric | Mordant::FerricCitric) => vec![ALUMINIUM_FERRIC, FERRIC],
        (Copper | Steel | Brass, Mordant::Ferric | Mordant::FerricCitric) => usual(FERRIC),
        (Brass, Mordant::Nitric) => vec![NITRIC_BRASS, NITRIC],
        (Zinc | Copper | Steel, Mordant::Nitric) => usual(NITRIC),
        (Aluminium, Mordant::Nitric) => vec![NOT_USUAL, NITRIC],
        (Aluminium, Mordant::SulphateSalt | Mordant::Sulphate) => vec![SULPHATE_ALUMINIUM, SULPHATE],
        (Zinc | Steel, Mordant::SulphateSalt | Mordant::Sulphate) => usual(SULPHATE),
        (Copper | Brass, Mordant::SulphateSalt | Mordant::Sulphate) => vec![NOT_USUAL, SULPHATE],
        (Zinc | Aluminium, Mordant::Dutch) => vec![HYDROGEN_CHLORINE, DUTCH],
        (Copper, Mordant::Dutch) => usual(DUTCH),
        (Steel | Brass, Mordant::Dutch) => vec![NOT_USUAL, DUTCH],
        (Zinc | Aluminium, Mordant::Hydrochloric) => vec![HYDROGEN_CHLORINE, HYDROCHLORIC],
        (Copper | Steel | Brass, Mordant::Hydrochloric) => vec![NOT_USUAL, HYDROCHLORIC],
    }
}

/// What follows from the metals a tray has bitten before.
fn before(metal: Metal, mordant: Mordant, others: &[Metal]) -> Vec<Reason> {
    let had = |of: Metal| others.iter().any(|other| other.holds().contains(&of));
    let is = |of: Metal| metal.holds().contains(&of);
    let mut reasons = Vec::new();
    if had(Metal::Copper) && matches!(metal, Metal::Zinc | Metal::Aluminium) {
        reasons.push(COPPER_TRAY);
    }
    if mordant == Mordant::Nitric && ((had(Metal::Copper) && is(Metal::Zinc)) || (had(Metal::Zinc) && is(Metal::Copper))) {
        reasons.push(NITRIC_BOTH);
    }
    if reasons.is_empty() && others.iter().any(|&other| other != metal) {
        reasons.push(OTHER_BEFORE);
    }
    reasons
}

/// Whether someone's words say that there was no other metal.
fn says_none(words: &str) -> bool {
    matches!(words.trim().to_lowercase().as_str(), "" | "none" | "no" | "no other")
}

/// Whether someone's words say that the tray held ferric chloride; iron alone is a plate's metal.
fn held_ferric(words: &str) -> bool {
    let iron_only = Metal::named(words).contains(&Metal::Steel) && !words.to_lowercase().contains("chloride");
    Mordant::named(words).into_iter().any(Mordant::is_ferric) && !iron_only
}

/// What is to be said of a bath as its printer names it.
///
/// Where the words name more than one metal or mordant, every combination counts and the strictest holds.
#[must_use]
pub fn judged(bath: Named<'_>) -> Judgement {
    let metals = bath.metal.map(Metal::named).unwrap_or_default();
    let mordants = bath.mordant.map(Mordant::named).unwrap_or_default();
    let others = bath.before.map(Metal::named).unwrap_or_default();
    let mut reasons: Vec<Reason> = Vec::new();
    let mut add = |more: Vec<Reason>| {
        for reason in more {
            if !reasons.contains(&reason) {
                reasons.push(reason);
            }
        }
    };
    for &metal in &metals {
        for &mordant in &mordants {
            add(self::reasons(metal, mordant));
            add(before(metal, mordant, &others));
        }
    }
    // A tray told by what it held instead of what it bit.
    if bath.before.is_some_and(held_ferric) && metals.iter().any(|metal| matches!(metal, Metal::Zinc | Metal::Aluminium)) {
        add(vec![FERRIC_TRAY]);
    }
    let silent = |words: Option<&str>| words.is_none_or(|words| words.trim().is_empty());
    if silent(bath.metal) || silent(bath.mordant) {
        add(vec![NOT_SAID]);
        // What is known of the mordant alone still holds.
        for &mordant in &mordants {
            add(alone(mordant));
        }
    } else if metals.is_empty() || mordants.is_empty() {
        add(vec![NOT_UNDERSTOOD]);
        for &mordant in &mordants {
            add(alone(mordant));
        }
    }
    match bath.before {
        None if !metals.is_empty() && !mordants.is_empty() => add(vec![NOT_ASKED]),
        Some(words) if others.is_empty() && !says_none(words) => add(vec![OTHER_BEFORE]),
        _ => {}
    }
    // Stable: within a verdict the table's own order stays.
    reasons.sort_by_key(|reason| std::cmp::Reverse(reason.verdict));
    let verdict = reasons.first().map_or(Verdict::SignOff, |reason| reason.verdict);
    Judgement { verdict, pair: pair(bath, &metals, &mordants), reasons }
}

/// The hazard of a mordant whatever lies in it.
fn alone(mordant: Mordant) -> Vec<Reason> {
    vec![match mordant {
        Mordant::Nitric => NITRIC,
        Mordant::Ferric | Mordant::FerricCitric => FERRIC,
        Mordant::SulphateSalt | Mordant::Sulphate => SULPHATE,
        Mordant::Dutch => DUTCH,
        Mordant::Hydrochloric => HYDROCHLORIC,
    }]
}

fn pair(bath: Named<'_>, metals: &[Metal], mordants: &[Mordant]) -> String {
    let own = |words: Option<&str>, what: &str| match words.map(str::trim).filter(|words| !words.is_empty()) {
        Some(words) => format!("“{}”", words.split_whitespace().collect::<Vec<_>>().join(" ")),
        None => format!("a {what} not said"),
    };
    let metal = match metals {
        [] => own(bath.metal, "metal"),
        some => some.iter().map(|metal| metal.word()).collect::<Vec<_>>().join(" and "),
    };
    let mordant = match mordants {
        [] => own(bath.mordant, "mordant"),
        some => some.iter().map(|mordant| mordant.words()).collect::<Vec<_>>().join(" and "),
    };
    format!("{metal} in {mordant}")
}

impl Judgement {
    /// Whether no run sheet may print.
    #[must_use]
    pub fn stops(&self) -> bool {
        self.verdict == Verdict::Stop
    }

    /// The verdict in a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self.verdict {
            Verdict::Stop => format!("STOP: {}. No run sheet prints for this bath.", self.pair),
            Verdict::SignOff => format!("SHOP SIGN-OFF: {}, only once whoever answers for the shop has agreed.", self.pair),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn verdict(metal: &str, mordant: &str, before: &str) -> Verdict {
        judged(Named { metal: Some(metal), mordant: Some(mordant), before: Some(before) }).verdict
    }

    /// The dangerous pairs that the workshop sources and safety cards name (each reason carries its own), the stricter view where they differ.
    #[test]
    fn the_table_of_dangerous_pairs_is_a_stop() {
        for (metal, mordant, before) in [
            ("zinc", "ferric chloride", "none"),
            ("zinc", "ferric chloride with citric acid", "none"),
            ("zinc", "Edinburgh etch", "none"),
            ("zinc", "iron chloride", "zinc"),
            ("aluminium", "ferric chloride", "none"),
            ("aluminum", "ferric with citric", ""),
            ("zinc", "copper sulphate and salt", "copper"),
            ("aluminium", "copper sulphate and salt", "copper"),
            ("zinc", "nitric", "copper"),
            ("zinc", "copper sulphate and salt", "ferric chloride"),
            ("aluminium", "copper sulphate", "Edinburgh etch"),
            ("zinc", "nitric", "iron chloride"),
            ("copper", "nitric", "zinc"),
            ("copper", "nitric", "brass"),
            ("copper", "nitric", "zinc and copper"),
            ("brass", "nitric", "none"),
            ("zinc", "Dutch mordant", "none"),
            ("zinc", "hydrochloric acid", "none"),
            ("steel-faced zinc", "ferric chloride", "none"),
        ] {
            assert_eq!(verdict(metal, mordant, before), Verdict::Stop, "{metal} in {mordant}, before {before}");
        }
    }

    #[test]
    fn even_the_usual_pairs_need_the_shops_sign_off() {
        for (metal, mordant, caution) in [
            ("copper", "ferric chloride", "eyes"),
            ("copper", "nitric", "brown nitrogen dioxide"),
            ("zinc", "nitric acid", "brown nitrogen dioxide"),
            ("zinc", "copper sulphate and salt", "water life"),
            ("aluminium", "copper sulphate and salt", "hydrogen"),
            ("copper", "Dutch mordant", "chlorine"),
            ("steel", "nitric", "brown"),
        ] {
            let judged = judged(Named { metal: Some(metal), mordant: Some(mordant), before: Some("none") });
            assert_eq!(judged.verdict, Verdict::SignOff, "{metal} in {mordant}");
            assert!(judged.reasons.iter().any(|reason| reason.words.contains(caution)), "{judged:?}");
            assert!(judged.sentence().starts_with("SHOP SIGN-OFF: "));
        }
    }

    #[test]
    fn what_is_not_known_not_said_or_not_asked_needs_the_shops_sign_off() {
        assert_eq!(verdict("titanium", "nitric", "none"), Verdict::SignOff);
        assert_eq!(verdict("zinc", "copper sulphate", "iron"), Verdict::SignOff);
        assert_eq!(verdict("copper", "copper sulphate", "ferric chloride"), Verdict::SignOff);
        assert_eq!(verdict("zinc", "lemonade", "none"), Verdict::SignOff);
        let silent = judged(Named::default());
        assert_eq!((silent.verdict, silent.pair.as_str()), (Verdict::SignOff, "a metal not said in a mordant not said"));
        let unasked = judged(Named { metal: Some("copper"), mordant: Some("nitric"), before: None });
        assert!(unasked.reasons.contains(&NOT_ASKED));
        assert_eq!(verdict("copper", "nitric", "a pewter spoon"), Verdict::SignOff);
        let known = judged(Named { metal: Some("unobtainium"), mordant: Some("nitric"), before: None });
        assert!(known.pair.contains("“unobtainium”") && known.reasons.contains(&NITRIC));
    }

    #[test]
    fn every_pair_of_the_table_names_its_hazard_and_its_source_and_the_stop_says_why() {
        for metal in Metal::ALL {
            for mordant in Mordant::ALL {
                let reasons = reasons(metal, mordant);
                assert!(!reasons.is_empty());
                for reason in &reasons {
                    assert!(reason.words.ends_with('.') && !reason.source.is_empty(), "{reason:?}");
                }
                let judged = judged(Named { metal: Some(metal.word()), mordant: Some(mordant.words()), before: Some("none") });
                assert_eq!(judged.stops(), judged.sentence().starts_with("STOP: "));
                assert_eq!(judged.pair, format!("{} in {}", metal.word(), mordant.words()));
            }
        }
    }

    proptest! {
        /// More words never make a bath milder.
        #[test]
        fn naming_more_never_softens_a_stop(metal in 0..5usize, other in 0..5usize, mordant in 0..7usize, more in "[ a-z]{0,20}") {
            let (metal, other, mordant) = (Metal::ALL[metal], Metal::ALL[other], Mordant::ALL[mordant]);
            let plain = verdict(metal.word(), mordant.words(), "none");
            let (two, wordy) = (format!("{} {}", metal.word(), other.word()), format!("{more} {}", metal.word()));
            prop_assert!(verdict(&two, mordant.words(), "none") >= plain);
            prop_assert!(verdict(&wordy, mordant.words(), "none") >= plain);
            prop_assert!(verdict(metal.word(), mordant.words(), other.word()) >= plain);
        }
    }
}

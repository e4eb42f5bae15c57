//! The bath: which metal lies in which mordant, and what may be said about it without a recipe.
//!
//! [`pairs`] says whether a pair is a STOP or needs the shop's sign-off, [`temperature`] what a colder or warmer bath may do to the times,
//! [`metal`] how much metal a plate gives up. No proportions and no strengths are given anywhere: where one is needed it is the printer's own.

use serde::{Deserialize, Serialize};

pub mod metal;
pub mod pairs;
pub mod temperature;

/// A metal that plates are made of, by its trade word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Metal {
    /// Zinc.
    Zinc,
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminium,
    /// Steel or iron.
    Steel,
    /// Brass: copper and zinc in one.
    Brass,
}

/// A mordant by its trade word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mordant {
    /// Nitric acid.
    Nitric,
    /// Ferric chloride.
    Ferric,
    /// Ferric chloride with citric acid.
    FerricCitric,
    /// Copper sulphate and salt.
    SulphateSalt,
    /// Copper sulphate alone.
    Sulphate,
    /// Dutch mordant: hydrochloric acid and chlorate.
    Dutch,
    /// Hydrochloric acid alone.
    Hydrochloric,
}

impl Metal {
    /// Every metal known here.
    pub const ALL: [Self; 5] = [Self::Zinc, Self::Copper, Self::Aluminium, Self::Steel, Self::Brass];

    /// Its word, as within a sentence.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Zinc => "zinc",
            Self::Copper => "copper",
            Self::Aluminium => "aluminium",
            Self::Steel => "steel",
            Self::Brass => "brass",
        }
    }

    /// The metals named in someone's own words, each once: "steel-faced copper" names two. A tray's metals may be asked so too.
    #[must_use]
    pub fn named(words: &str) -> Vec<Self> {
        let words = plain_words(words);
        let has = |any: &[&str]| words.iter().any(|word| any.contains(&word.as_str()));
        let found = |metal: Self| match metal {
            Self::Zinc => has(&["zinc", "zn", "galvanised", "galvanized"]),
            Self::Copper => has(&["copper", "cu", "bronze"]),
            Self::Aluminium => has(&["aluminium", "aluminum", "al"]),
            Self::Steel => has(&["steel", "iron", "fe"]),
            Self::Brass => has(&["brass"]),
        };
        Self::ALL.into_iter().filter(|&metal| found(metal)).collect()
    }

    /// The plain metals in it: brass holds copper and zinc.
    #[must_use]
    pub fn holds(self) -> &'static [Self] {
        match self {
            Self::Zinc => &[Self::Zinc],
            Self::Copper => &[Self::Copper],
            Self::Aluminium => &[Self::Aluminium],
            Self::Steel => &[Self::Steel],
            Self::Brass => &[Self::Copper, Self::Zinc],
        }
    }
}

impl Mordant {
    /// Every mordant known here.
    pub const ALL: [Self; 7] =
        [Self::Nitric, Self::Ferric, Self::FerricCitric, Self::SulphateSalt, Self::Sulphate, Self::Dutch, Self::Hydrochloric];

    /// Its words, as within a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Nitric => "nitric acid",
            Self::Ferric => "ferric chloride",
            Self::FerricCitric => "ferric chloride with citric acid",
            Self::SulphateSalt => "copper sulphate and salt",
            Self::Sulphate => "copper sulphate",
            Self::Dutch => "Dutch mordant (hydrochloric acid and chlorate)",
            Self::Hydrochloric => "hydrochloric acid",
        }
    }

    /// Whether iron(III) does the biting.
    #[must_use]
    pub fn is_ferric(self) -> bool {
        matches!(self, Self::Ferric | Self::FerricCitric)
    }

    /// The mordants named in someone's own words, each once. Two may be meant: "nitric after ferric" names two.
    #[must_use]
    pub fn named(words: &str) -> Vec<Self> {
        let words = plain_words(words);
        let has = |any: &[&str]| words.iter().any(|word| any.contains(&word.as_str()));
        let ferric = has(&["ferric", "fecl3", "iron", "perchloride", "edinburgh"]);
        let citric = has(&["citric", "edinburgh"]);
        let sulphate = has(&["sulphate", "sulfate", "cuso4", "bordeaux"]);
        let salt = has(&["salt", "saline", "nacl"]);
        let chlorate = has(&["chlorate", "kclo3", "dutch"]);
        let found = |mordant: Self| match mordant {
            Self::Nitric => has(&["nitric", "aquafortis", "hno3"]),
            Self::Ferric => ferric && !citric,
            Self::FerricCitric => ferric && citric,
            Self::SulphateSalt => sulphate && salt,
            Self::Sulphate => sulphate && !salt,
            Self::Dutch => chlorate,
            Self::Hydrochloric => has(&["hydrochloric", "muriatic", "hcl"]) && !chlorate,
        };
        Self::ALL.into_iter().filter(|&mordant| found(mordant)).collect()
    }
}

/// Words in small letters, split at all that is neither letter nor digit.
fn plain_words(words: &str) -> Vec<String> {
    words.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_understood_as_what_it_names() {
        for metal in Metal::ALL {
            assert_eq!(Metal::named(metal.word()), [metal]);
        }
        for mordant in Mordant::ALL {
            assert_eq!(Mordant::named(mordant.words()), [mordant], "{}", mordant.words());
        }
    }

    #[test]
    fn trade_words_and_formulas_are_understood() {
        assert_eq!(Metal::named("Zinc plate, 1.5 mm"), [Metal::Zinc]);
        assert_eq!(Metal::named("ALUMINUM"), [Metal::Aluminium]);
        assert_eq!(Metal::named("steel-faced copper"), [Metal::Copper, Metal::Steel]);
        assert_eq!(Metal::named("an old tin"), []);
        assert_eq!(Mordant::named("FeCl3"), [Mordant::Ferric]);
        assert_eq!(Mordant::named("Edinburgh etch"), [Mordant::FerricCitric]);
        assert_eq!(Mordant::named("iron chloride"), [Mordant::Ferric]);
        assert_eq!(Mordant::named("saline sulfate"), [Mordant::SulphateSalt]);
        assert_eq!(Mordant::named("Dutch bath"), [Mordant::Dutch]);
        assert_eq!(Mordant::named("lemonade"), []);
    }

    #[test]
    fn a_word_within_a_word_names_nothing() {
        assert_eq!(Metal::named("signal, fee, cubic"), []);
        assert_eq!(Mordant::named("salty"), []);
    }
}

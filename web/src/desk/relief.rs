//! What the strip tells of the metal, and where edges may come out otherwise.

use super::*;
use crate::settings::{EdgeChoice, GrainChoice};
use serde::Serialize;
use stepbite_core::edges;
use stepbite_core::relief::{Figure, Relief};

/// So far from its line an edge is looked for, which three usual spreads are: what lies farther can't come to a place.
const REACH: Millimetres = Millimetres(1.2);

/// What the strip tells of the metal, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReliefFacts {
    rows: Vec<ReliefRow>,
    misfit: f64,
    median_um: f64,
    cover: f64,
    remarks: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct ReliefRow {
    name: &'static str,
    value: f64,
    unit: &'static str,
    spread: f64,
    told: bool,
}

/// A relief with what it was made from.
pub(super) struct Metal {
    strip: TestStrip,
    curve: BiteCurve,
    relief: Relief,
}

impl Metal {
    /// The relief of a strip on the usual grain, taken over where neither strip nor curve changed: the fit takes longer than the ladder of times.
    pub(super) fn of<'a>(kept: &'a mut Option<Self>, strip: &TestStrip, curve: &BiteCurve) -> Result<&'a Relief, Refusal> {
        let still = kept.take().filter(|metal| metal.strip == *strip && metal.curve == *curve);
        let metal = match still {
            Some(metal) => metal,
            None => {
                let relief = Relief::of(strip, curve, &GrainChoice::default())?;
                Self { strip: strip.clone(), curve: curve.clone(), relief }
            }
        };
        Ok(&kept.insert(metal).relief)
    }
}

impl Plan {
    /// The metal on a grain of the page's choice.
    pub(super) fn relief(&self, choice: &GrainChoice) -> Result<Relief, Refusal> {
        Ok(Relief::of(&self.strip, &self.printed.1, choice)?)
    }

    /// Where a hand's edges may come out lighter or darker than planned.
    pub(super) fn chance_picture(&self, size: (usize, usize), view: View, choice: &EdgeChoice) -> Result<Plane<Rgba>, Refusal> {
        let chances = edges::chance(&self.stopouts, &choice.edges()?);
        let reach = self.stopouts.resolution().px(REACH);
        Ok(picture::chance(self.stopouts.map(), &chances, reach, &self.colours(), size, view))
    }
}

impl Desk {
    /// What the strip tells of the metal on a grain.
    ///
    /// # Errors
    /// Before the first plan, and where there is no such grain.
    pub fn relief(&self, choice: &GrainChoice) -> Result<ReliefFacts, Refusal> {
        let relief = self.plan()?.relief(choice)?;
        let row = |&Figure { name, unit, value, spread, told, .. }: &Figure| ReliefRow { name, value, unit, spread, told };
        let GrainSettings { cover, median_radius, .. } = relief.grain().settings();
        Ok(ReliefFacts {
            rows: relief.figures().iter().map(row).collect(),
            misfit: relief.misfit(),
            median_um: 1000.0 * median_radius.0,
            cover,
            remarks: relief.remarks().to_vec(),
        })
    }
}

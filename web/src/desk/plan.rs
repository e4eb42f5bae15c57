//! The plan as the rest of the page's side asks for it: its parts, its report, its windows.

use super::*;

impl Plan {
    /// The plan in figures.
    #[must_use]
    pub fn report(&self, drawing_notes: &[String]) -> PlanReport {
        let aside = self.stopouts.notes();
        let photo = self.photo.iter().flat_map(|photo| &photo.notes);
        let noted = drawing_notes.iter().chain(photo).chain(&self.face.notes).chain(&self.by_hand.notes).chain(&aside);
        let notes = noted.cloned().chain(self.lines_note()).chain(self.day.notes()).collect();
        PlanReport::of(&self.plate, &self.breaks, &self.stopouts, &self.bites, notes)
    }

    /// The placed drawing.
    #[must_use]
    pub fn face(&self) -> &Face {
        &self.face
    }

    /// Where the drawing lies on it.
    #[must_use]
    pub fn placed(&self) -> &Placed {
        &self.placed
    }

    /// What straightening the photograph found, where there is one.
    #[must_use]
    pub fn photo(&self) -> Option<&PhotoFacts> {
        self.photo.as_ref()
    }

    /// The drawing's two ends.
    #[must_use]
    pub fn ends(&self) -> Ends {
        self.face.ends
    }

    /// The strip in use.
    #[must_use]
    pub fn strip(&self) -> &TestStrip {
        &self.strip
    }

    /// The curve through it.
    #[must_use]
    pub fn curve(&self) -> &BiteCurve {
        &self.curve
    }

    /// The ladder of times.
    #[must_use]
    pub fn bites(&self) -> &BitePlan {
        &self.bites
    }

    /// Bath, witness and what they do to the times.
    #[must_use]
    pub fn day(&self) -> &Day {
        &self.day
    }

    /// The stop-outs.
    #[must_use]
    pub fn stopouts(&self) -> &StopOuts {
        &self.stopouts
    }

    /// The printer's own pace, once a stop-out was logged.
    #[must_use]
    pub fn pace(&self) -> Option<&Learned> {
        self.pace.as_ref()
    }

    /// What clean-up did.
    #[must_use]
    pub fn found(&self) -> Found {
        self.found
    }

    /// What came of what is set by hand.
    #[must_use]
    pub fn by_hand(&self) -> &HandFigures {
        &self.by_hand
    }

    /// Whether metal and mordant as named are never to meet: then no time leaves the page.
    pub(super) fn stopped(&self) -> bool {
        self.day.named() && self.day.judged().stops()
    }

    pub(super) fn place(&self) -> Place {
        Place { plate: self.plate, placing: self.placing, resolution: self.face.resolution }
    }

    /// Linear light each tone prints at on the strip's paper.
    pub(super) fn colours(&self) -> Vec<[f32; 3]> {
        self.bites.tones.iter().map(|tone| [tone.target.reflectance().0 as f32; 3]).collect()
    }

    pub(super) fn check_stopout(&self, number: usize) -> Result<(), Refusal> {
        let most = self.stopouts.tones().bites();
        if (1..=most).contains(&number) {
            return Ok(());
        }
        Err(Refusal::new("no_stopout", format!("Stop-out {number} does not exist: this plate has {most}, from 1.")))
    }
}

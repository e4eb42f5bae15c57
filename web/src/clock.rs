//! Laps: how long each stage took, by the page's own clock. The core has none.

/// Times of the stages that ran, in order.
pub struct Laps {
    now: fn() -> f64,
    last: f64,
    laps: Vec<(&'static str, f64)>,
}

impl Laps {
    /// Starts, with a clock that tells milliseconds.
    #[must_use]
    pub fn start(now: fn() -> f64) -> Self {
        Self { now, last: now(), laps: Vec::new() }
    }

    /// Ends a stage.
    pub fn lap(&mut self, stage: &'static str) {
        let now = (self.now)();
        self.laps.push((stage, now - self.last));
        self.last = now;
    }

    /// Stage and milliseconds.
    #[must_use]
    pub fn laps(&self) -> &[(&'static str, f64)] {
        &self.laps
    }
}

//! Other plates' files on their way into one project file.

use std::collections::VecDeque;
use stepbite_core::project::Fingerprint;

/// The other plates' files that go into one project file: all are written first, then each is gone through, in the same order.
#[derive(Default)]
pub struct Others {
    /// What each is called and how much of it a reader unpacks, bytes, of those not yet gone through.
    written: VecDeque<(String, u64)>,
    gone_through: Vec<(String, u64, Fingerprint)>,
}

impl Others {
    /// One was written: what it is called, and how much of it a reader unpacks, bytes.
    pub fn written(&mut self, called: String, unpacked: u64) {
        self.written.push_back((called, unpacked));
    }

    /// The next of those that were written was gone through.
    pub fn gone_through(&mut self, file: Fingerprint) {
        let (called, unpacked) = self.written.pop_front().unwrap_or_default();
        self.gone_through.push((called, unpacked, file));
    }

    /// All that were gone through, in their order; none are left.
    #[must_use]
    pub fn taken(&mut self) -> Vec<Fingerprint> {
        std::mem::take(&mut self.gone_through).into_iter().map(|(called, unpacked, file)| file.of_plate(called, unpacked)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_plate_s_file_keeps_its_own_name_and_size() {
        let mut others = Others::default();
        for (letter, unpacked) in [("B", 600), ("C", 700), ("D", 800)] {
            others.written(format!("plate {letter}"), unpacked);
        }
        for length in 1..=3 {
            others.gone_through(Fingerprint::of(&vec![0; length]));
        }
        let kept: Vec<(&str, u64, u64)> =
            others.gone_through.iter().map(|(called, unpacked, file)| (called.as_str(), *unpacked, file.length())).collect();
        assert_eq!(kept, [("plate B", 600, 1), ("plate C", 700, 2), ("plate D", 800, 3)]);
        assert_eq!((others.taken().len(), others.taken().len()), (3, 0));
    }
}

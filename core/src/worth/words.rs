//! A step in words: what a bite gives, what it takes, and nothing about which is better.

use super::{Step, Worth};

/// Shares of a plate under this are nothing to speak of: half a percent.
const TO_SPEAK_OF: f64 = 0.005;

impl Step {
    /// What the last bite of the longer plan is worth, from the shorter one.
    #[must_use]
    pub fn added(&self) -> String {
        let (nearer, farther) = (self.shares.nearer, self.shares.farther);
        let gain = change(nearer, farther, ("refines", "coarsens"));
        let more = pairs(&self.more) - pairs(&self.fewer);
        let fusing = match more {
            0 => "makes no further pair likely to fuse".to_owned(),
            1.. => format!("makes {} likely to fuse", counted(more, "more")),
            _ => format!("makes {} likely to fuse", counted(-more, "fewer")),
        };
        format!("Bite {} {gain}, {} and {fusing}. {}", self.more.tones.bites(), self.cost(), stands(&self.more, &self.fewer))
    }

    /// What leaving that bite out is worth, from the longer plan.
    #[must_use]
    pub fn dropped(&self) -> String {
        let (nearer, farther) = (self.shares.nearer, self.shares.farther);
        let loss = change(nearer, farther, ("coarsens", "refines"));
        let fewer = pairs(&self.more) - pairs(&self.fewer);
        let fusing = match fewer {
            0 => "leaves as many pairs likely to fuse".to_owned(),
            1.. => format!("leaves {} likely to fuse", counted(fewer, "fewer")),
            _ => format!("leaves {} likely to fuse", counted(-fewer, "more")),
        };
        let number = self.more.tones.bites();
        format!("Leaving bite {number} out {loss}, {} and {fusing}. {}", self.saving(), stands(&self.fewer, &self.more))
    }

    /// Minutes that the longer plan takes more.
    fn minutes(&self) -> f64 {
        self.more.minutes() - self.fewer.minutes()
    }

    fn cost(&self) -> String {
        let beside = beside(&self.more, "besides its");
        match self.minutes() {
            m if m >= 0.5 => format!("costs about {}{beside}", long(m)),
            m if m > -0.5 => format!("costs next to no time{beside}"),
            m => format!("takes about {} less{beside}", long(-m)),
        }
    }

    fn saving(&self) -> String {
        let beside = beside(&self.more, "and its");
        match self.minutes() {
            m if m >= 0.5 => format!("saves about {}{beside}", long(m)),
            m if m > -0.5 => format!("saves next to no time{}", beside.replace(" and its", " but its")),
            m => format!("takes about {} more{}", long(-m), beside.replace(" and its", " but saves its")),
        }
    }
}

/// What becomes of the picture: where it comes to the better and to the worse, called by two verbs.
fn change(better: f64, worse: f64, (main, other): (&str, &str)) -> String {
    match (better >= TO_SPEAK_OF, worse >= TO_SPEAK_OF) {
        (false, false) => "changes nothing a viewer would see".to_owned(),
        (true, false) => format!("{main} {} of the plate", percent(better)),
        (true, true) if better > worse => format!("{main} {} of the plate and {other} {}", percent(better), percent(worse)),
        (true, true) => format!("{other} more of the plate than it {main} ({} and {})", percent(worse), percent(better)),
        (false, true) => format!("{other} {} of the plate", percent(worse)),
    }
}

/// Where the error as seen comes to.
fn stands(now: &Worth, before: &Worth) -> String {
    let tenths = |worth: &Worth| libm::round(worth.error * 10.0) / 10.0;
    if tenths(now).total_cmp(&tenths(before)).is_eq() {
        format!("As seen, the print stays {:.1} L* from the drawing.", now.error)
    } else {
        format!("As seen, the print would stand {:.1} L* from the drawing instead of {:.1}.", now.error, before.error)
    }
}

/// What the printer has not given, so that nobody takes it for counted.
fn beside(worth: &Worth, how: &str) -> String {
    worth.missing.map_or_else(String::new, |missing| format!(" {how} {missing}"))
}

fn pairs(worth: &Worth) -> i64 {
    libm::round(worth.fusing) as i64
}

/// "one more pair", "three fewer pairs", "12 more pairs".
fn counted(count: i64, how: &str) -> String {
    const WORDS: [&str; 10] = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];
    let word = WORDS.get(count as usize).map_or_else(|| count.to_string(), ToString::to_string);
    format!("{word} {how} {}", if count == 1 { "pair" } else { "pairs" })
}

fn percent(share: f64) -> String {
    format!("{:.0} %", (100.0 * share).max(1.0))
}

/// "44 minutes", "1 minute", "2 h 05".
fn long(minutes: f64) -> String {
    match libm::round(minutes) as u64 {
        0 | 1 => "1 minute".to_owned(),
        m @ 2..100 => format!("{m} minutes"),
        m => format!("{} h {:02}", m / 60, m % 60),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seen::Shares;
    use crate::tones::ToneCount;
    use crate::units::Seconds;

    fn worth(tones: i64, error: f64, minutes: f64, fusing: f64, missing: Option<&'static str>) -> Worth {
        let (tones, bath) = (ToneCount::new(tones).unwrap(), Seconds(0.0));
        Worth {
            tones,
            error,
            edge_cm: 0.0,
            islands: 0,
            paint_min: minutes,
            closest: 5.0,
            fusing,
            bath,
            shortest: (1, Seconds(5.0)),
            gamble: true,
            bench_min: 0.0,
            missing,
        }
    }

    fn step(fewer: Worth, more: Worth, nearer: f64, farther: f64) -> Step {
        Step { fewer, more, shares: Shares { changed: nearer + farther, nearer, farther } }
    }

    #[test]
    fn the_sentence_a_printer_asked_for() {
        let ten = step(worth(10, 2.9, 130.0, 0.93, None), worth(11, 2.7, 174.0, 1.61, None), 0.06, 0.0);
        assert_eq!(
            ten.added(),
            "Bite 10 refines 6 % of the plate, costs about 44 minutes and makes one more pair likely to fuse. As seen, the print would stand 2.7 L* \
             from the drawing instead of 2.9."
        );
        assert_eq!(
            ten.dropped(),
            "Leaving bite 10 out coarsens 6 % of the plate, saves about 44 minutes and leaves one fewer pair likely to fuse. As seen, the print \
             would stand 2.9 L* from the drawing instead of 2.7."
        );
    }

    #[test]
    fn no_gain_and_a_loss_are_said() {
        let nothing = step(worth(10, 2.91, 130.0, 0.6, Some("drying")), worth(11, 2.93, 130.2, 0.7, Some("drying")), 0.004, 0.004);
        assert_eq!(
            nothing.added(),
            "Bite 10 changes nothing a viewer would see, costs next to no time besides its drying and makes no further pair likely to fuse. \
             As seen, the print stays 2.9 L* from the drawing."
        );
        let worse = step(worth(10, 2.9, 130.0, 2.9, None), worth(11, 3.1, 120.0, 0.7, None), 0.03, 0.08);
        assert!(worse.added().starts_with("Bite 10 coarsens more of the plate than it refines (8 % and 3 %), takes about 10 minutes less and makes two fewer pairs likely to fuse."), "{}", worse.added());
        assert!(worse.dropped().starts_with("Leaving bite 10 out refines more of the plate than it coarsens (8 % and 3 %), takes about 10 minutes more and leaves two more pairs likely to fuse."), "{}", worse.dropped());
        let mixed = step(worth(10, 2.9, 30.0, 1.0, None), worth(11, 2.6, 155.0, 1.0, None), 0.25, 0.02);
        assert!(
            mixed.added().starts_with("Bite 10 refines 25 % of the plate and coarsens 2 %, costs about 2 h 05 and"),
            "{}",
            mixed.added()
        );
    }

    #[test]
    fn minutes_not_given_are_named_not_counted() {
        let said =
            step(worth(5, 4.0, 50.0, 0.0, Some("drying and rinsing")), worth(6, 3.5, 60.0, 0.0, Some("drying and rinsing")), 0.2, 0.0);
        assert!(said.added().contains("costs about 10 minutes besides its drying and rinsing and makes"), "{}", said.added());
        assert!(said.dropped().contains("saves about 10 minutes and its drying and rinsing and leaves"), "{}", said.dropped());
    }
}

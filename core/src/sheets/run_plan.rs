//! Which rows the run sheet has, and on which page.

use super::Job;
use super::run::table;
use crate::bites::{TimedDip, ToneTime};
use crate::lines::Lines;
use crate::strip::StripKind;

/// One row of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Row {
    /// Needle the thin dark lines through the ground.
    Needle,
    /// Bite them: a time of the shop's own, which no strip of tones tells.
    Lines,
    /// Then lay the grain.
    Grain,
    /// Paint stop-out j.
    Paint(usize),
    /// Stop-out j is painted, and its bite still to come.
    Painted(usize),
    /// Stop-out j paints nothing: a line to tick.
    Nothing(usize),
    /// Coat stop-out 1 once more.
    SecondCoat,
    /// Bite j.
    Bite(usize),
    /// Bites of the ladder in one dip, the first and the last.
    Joined(usize, usize),
    /// After bite j nothing is left bare.
    Leaves(usize),
    /// Bite j is done.
    Done(usize),
    /// Bite j is dropped, and its stop-out with it.
    Dropped(usize),
}

impl Row {
    /// Least height, mm.
    pub(super) fn height(self) -> f64 {
        match self {
            Self::Paint(_) => 14.0,
            Self::Nothing(_)
            | Self::Painted(_)
            | Self::SecondCoat
            | Self::Needle
            | Self::Grain
            | Self::Done(_)
            | Self::Dropped(_)
            | Self::Leaves(_) => 9.4,
            Self::Bite(_) | Self::Joined(..) | Self::Lines => 16.6,
        }
    }
}

/// The rows of each page; a stop-out and the bite after it are never parted.
pub(super) fn rows(job: &Job) -> Vec<Vec<Row>> {
    let second = second_coat(job);
    let room = table(job).height;
    let mut pages: Vec<Vec<Row>> = Vec::new();
    let mut left = 0.0;
    if lined(job).is_some() {
        let stage = vec![Row::Needle, Row::Lines, Row::Grain];
        left = room - stage.iter().map(|row| row.height()).sum::<f64>();
        pages.push(stage);
    }
    for stop in job.stop_outs.list() {
        if job.bites.dropped.contains(&stop.number) || stop.number <= job.bites.bitten {
            let row = if job.bites.dropped.contains(&stop.number) { Row::Dropped(stop.number) } else { Row::Done(stop.number) };
            match pages.last_mut().filter(|_| row.height() <= left) {
                Some(page) => page.push(row),
                None => {
                    pages.push(vec![row]);
                    left = room;
                }
            }
            left -= row.height();
            continue;
        }
        if leaves(job).is_some_and(|last| stop.number > last) {
            break;
        }
        // Of a dip that bites join in, what comes before its last bite stands with it.
        if let Some(dip) = joined(job, stop.number).filter(|dip| *dip.bites.start() != stop.number) {
            debug_assert!(dip.is_joined(), "a dip with a first and a last bite");
            continue;
        }
        let mut step = vec![match stop.new_share > 0.0 {
            _ if stop.number <= job.bites.painted => Row::Painted(stop.number),
            true => Row::Paint(stop.number),
            false => Row::Nothing(stop.number),
        }];
        // Before a dip that bites join in, it comes before all of them.
        let coated = |number: usize| joined(job, stop.number).map_or(number == stop.number, |dip| dip.bites.contains(&number));
        step.extend(second.filter(|&number| coated(number)).map(|_| Row::SecondCoat));
        match joined(job, stop.number) {
            Some(dip) => {
                let (first, last) = (*dip.bites.start(), *dip.bites.end());
                step.extend((first + 1..=last).filter(|number| !job.bites.dropped.contains(number)).map(Row::Nothing));
                step.push(Row::Joined(first, last));
            }
            None => step.push(Row::Bite(stop.number)),
        }
        step.extend(
            leaves(job).filter(|last| *last == *joined(job, stop.number).map_or(&stop.number, |dip| dip.bites.end())).map(Row::Leaves),
        );
        let height: f64 = step.iter().map(|row| row.height()).sum();
        match pages.last_mut().filter(|_| height <= left) {
            Some(page) => page.extend(step),
            None => {
                pages.push(step);
                left = room;
            }
        }
        left -= height;
    }
    balanced(pages)
}

/// The dip that a bite is joined in with others.
pub(super) fn joined<'a>(job: &Job<'a>, bite: usize) -> Option<&'a TimedDip> {
    job.settings.dips.iter().find(|dip| dip.is_joined() && dip.bites.contains(&bite))
}

/// The last bite of a plate that leaves before the ladder's end.
fn leaves(job: &Job) -> Option<usize> {
    // Once all its dips are done there are none to come, and the plate is out all the same.
    let last = job.settings.dips.last().map_or_else(|| job.bites.leaves(), |dip| *dip.bites.end());
    (last < job.stop_outs.list().len()).then_some(last)
}

/// The same rows over as many pages, so that the last is not left with one stop-out where the others are full.
fn balanced(pages: Vec<Vec<Row>>) -> Vec<Vec<Row>> {
    let bites = |page: &[Row]| page.iter().filter(|row| matches!(row, Row::Bite(_) | Row::Joined(..))).count();
    let all: Vec<Row> = pages.iter().flatten().copied().collect();
    let most = pages.iter().map(|page| bites(page)).max().unwrap_or(1);
    let each = bites(&all).div_ceil(pages.len().max(1)).min(most);
    // Rows of unequal height may not fit the even share: then they stay as they came.
    let even: Vec<Vec<Row>> =
        all.split_inclusive(|row| matches!(row, Row::Bite(number) if number % each == 0)).map(<[Row]>::to_vec).collect();
    let height = |page: &Vec<Row>| page.iter().map(|row| row.height()).sum::<f64>();
    let tallest = pages.iter().map(height).fold(0.0, f64::max);
    if even.len() == pages.len() && even.iter().all(|page| height(page) <= tallest + 1e-9) { even } else { pages }
}

/// The lines that are etched before the grain; none where there is no pixel of one.
pub(super) fn lined<'a>(job: &Job<'a>) -> Option<&'a Lines> {
    job.lines.filter(|lines| lines.plane.count() > 0)
}

/// The last stop-out before which more than half of the whole time is still to come: the whites have to hold through all of it. Without a
/// strip nobody knows which that is.
fn second_coat(job: &Job) -> Option<usize> {
    if job.bites.strip_kind == StripKind::Missing {
        return None;
    }
    let last = leaves(job).unwrap_or(job.stop_outs.list().len());
    let all = job.bites.tones.get(last)?.shown_total.0;
    let number = (2..=last)
        .rev()
        .find(|&number| job.bites.tones.get(number - 1).is_some_and(|before: &ToneTime| all - before.shown_total.0 > all / 2.0));
    number.filter(|_| job.stop_outs.list().first().is_some_and(|first| first.new_share > 0.0))
}

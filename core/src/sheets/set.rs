//! The set: which sheets a plan has, in the order of the bench, known before any of them is drawn.

use super::job::{Job, Use};
use super::layout::Layout;
use super::mark::Sheet;
use super::settings::Kind;
use super::{Sheets, boxes_note, captions, picture, plain, run, stop, strip_plan};
use crate::plate::SizeMm;
use std::ops::Range;

/// What a group of pages shows. A group is drawn at once: a picture with all its tiles, a run sheet with all its pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shows {
    StripPlan,
    Lift(Use),
    StopOut(usize, Use),
    Run,
    Stop,
}

/// Pages that belong together.
#[derive(Clone, Debug, PartialEq)]
struct Group {
    kind: Kind,
    shows: Shows,
    pages: Range<usize>,
}

/// One page of a set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its kind.
    pub kind: Kind,
    /// What it is, in words: "stop-out 5".
    pub name: String,
    /// Pages with the same number are drawn together.
    pub group: usize,
}

/// The sheets of a plan, not drawn yet.
#[derive(Clone, Debug)]
pub struct SheetSet<'a> {
    job: Job<'a>,
    layout: Option<Layout>,
    groups: Vec<Group>,
    notes: Vec<String>,
}

impl<'a> SheetSet<'a> {
    /// Finds which sheets there are.
    ///
    /// A stop-out with nothing to paint gets no sheet of its own, only its line on the run sheet. A plate that does not fit the paper
    /// gets the run sheet only, and a note.
    #[must_use]
    pub fn of(job: Job<'a>) -> Self {
        let layout = Layout::of(job.settings.paper.size(), job.plate.size());
        let mut set = Self { job, layout, groups: Vec::new(), notes: Vec::new() };
        for kind in Kind::ALL {
            // After a STOP the page that says so prints whatever is chosen.
            if job.wants(kind) || (kind == Kind::Run && job.stop().is_some()) {
                set.add(kind);
            }
        }
        set.note();
        set
    }

    /// The groups of one kind, none where it has no sheet.
    fn add(&mut self, kind: Kind) {
        let job = self.job;
        let mut push = |shows: Shows, pages: usize| {
            let from = self.groups.last().map_or(0, |group| group.pages.end);
            self.groups.push(Group { kind, shows, pages: from..from + pages });
        };
        let pages_of_picture = usize::from(self.layout.is_some());
        match kind {
            // After a STOP no dip is listed either: a strip is bitten in the same bath.
            Kind::StripPlan if job.settings.strip_plan.is_some() && job.stop().is_none() => push(Shows::StripPlan, 1),
            Kind::Lift if job.stop_outs.aside().resist().is_some() => {
                job.uses().iter().for_each(|&for_use| push(Shows::Lift(for_use), pages_of_picture));
            }
            Kind::StopOuts => {
                for stop_out in job.stop_outs.list().iter().filter(|each| each.new_share > 0.0) {
                    job.uses().iter().for_each(|&for_use| push(Shows::StopOut(stop_out.number, for_use), pages_of_picture));
                }
            }
            Kind::Run if job.stop().is_some() => push(Shows::Stop, 1),
            Kind::Run => push(Shows::Run, run::pages(&job)),
            _ => {}
        }
        self.groups.retain(|group| !group.pages.is_empty());
    }

    fn note(&mut self) {
        let job = self.job;
        if self.layout.is_none() {
            let SizeMm { width, height } = job.plate.size();
            self.notes.push(format!(
                "A plate of {} × {} mm does not fit {} at true size with its words and measuring bars, so the PDF holds {} only: print the \
                 stop-outs from their PNG masks on larger paper.",
                plain(width.0),
                plain(height.0),
                job.settings.paper.name(),
                if job.stop().is_some() { "the page that says STOP" } else { "the run sheet" }
            ));
        }
        self.notes.extend(job.stop().map(|judged| format!("{} In its place the last page says why.", judged.sentence())));
        self.notes.extend(boxes_note(job.settings, job.bites));
    }

    /// How many pages there are.
    #[must_use]
    pub fn pages(&self) -> usize {
        self.groups.last().map_or(0, |group| group.pages.end)
    }

    /// Every page, in order, by what it is.
    #[must_use]
    pub fn entries(&self) -> Vec<Entry> {
        let each = self.groups.iter().enumerate().flat_map(|(index, group)| {
            let name = group.name();
            let (kind, count) = (group.kind, group.pages.len());
            (0..count).map(move |part| {
                let name = if count > 1 { format!("{name}, {} of {count}", part + 1) } else { name.clone() };
                Entry { kind, name, group: index }
            })
        });
        each.collect()
    }

    /// Whether the plate fits one page at true size.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.layout.is_some()
    }

    /// What the printer should know about the sheets, a sentence each.
    #[must_use]
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Draws the pages that belong together with page `index` (0 is the first); the number of the first of them, and the sheets. None
    /// where there is no such page.
    #[must_use]
    pub fn around(&self, index: usize) -> Option<(usize, Vec<Sheet>)> {
        let group = self.groups.iter().find(|group| group.pages.contains(&index))?;
        Some((group.pages.start, self.drawn(group)))
    }

    /// Draws all of them; `progress` is told the share done, 0 to 1.
    #[must_use]
    pub fn draw(&self, progress: &mut dyn FnMut(f64)) -> Sheets {
        let all = self.pages();
        let mut sheets = Vec::with_capacity(all);
        for group in &self.groups {
            progress(group.pages.start as f64 / all.max(1) as f64);
            sheets.extend(self.drawn(group));
        }
        let title = &self.job.settings.title;
        let title = if title.is_empty() { "Stop-out sheets".to_owned() } else { format!("{title}: stop-out sheets") };
        Sheets { title, sheets, fits: self.fits(), notes: self.notes.clone() }
    }

    /// The pages of one group.
    fn drawn(&self, group: &Group) -> Vec<Sheet> {
        let (job, all) = (&self.job, self.pages());
        let page = (group.pages.start + 1, all);
        match (group.shows, &self.layout) {
            (Shows::StripPlan, _) => job.settings.strip_plan.iter().map(|plan| strip_plan::sheet(plan, job.settings, page)).collect(),
            (Shows::Lift(for_use), Some(layout)) => {
                let mut sheet = picture::lift(job, layout, for_use);
                captions::add_lift(&mut sheet, job, layout, for_use, page);
                vec![sheet]
            }
            (Shows::StopOut(number, for_use), Some(layout)) => {
                let mut sheet = picture::sheet(job, layout, number, for_use);
                captions::add(&mut sheet, job, layout, number, for_use, page);
                vec![sheet]
            }
            (Shows::Lift(_) | Shows::StopOut(..), None) => Vec::new(),
            (Shows::Run, _) => run::sheets(job, page),
            (Shows::Stop, _) => job.stop().map(|judged| stop::sheet(job, judged, page)).into_iter().collect(),
        }
    }
}

impl Group {
    fn name(&self) -> String {
        match self.shows {
            Shows::StripPlan => "strip plan".to_owned(),
            Shows::Lift(for_use) => for_use.name("lift"),
            Shows::StopOut(number, for_use) => for_use.name(&format!("stop-out {number}")),
            Shows::Run => "run sheet".to_owned(),
            Shows::Stop => "stop".to_owned(),
        }
    }
}

//! The set: which sheets a plan has, in the order of the bench, known before any of them is drawn.

use super::captions::Said;
use super::job::{Job, Use};
use super::key_labels::{self, Labels};
use super::layout::Layout;
use super::mark::Sheet;
use super::picture::Picture;
use super::seen::Seen;
use super::settings::Kind;
use super::tiles::Tiles;
use super::{
    EXAMPLE, Sheets, bed, boxes_note, captions, cover, cutting, hinge, key, laying_map, look, picture, pulls, record, registration, repair,
    run, stop, strip_plan, together, touches, zones,
};
use crate::strip::StripKind;
use crate::view::View;
use std::ops::Range;
use std::sync::OnceLock;

/// What a group of pages shows. A group is drawn at once: a picture with all its tiles, a run sheet with all its pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shows {
    Cover,
    StripPlan,
    Plate(picture::Shows, Use),
    Run,
    Together,
    Stop,
    Look,
    Repair,
    Bed,
    /// One of the templates.
    Registration(usize),
    Zones,
    Touches,
    Cutting,
    Laying,
    Record,
    Pulls,
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
    /// Which way round it shows the plate, in the words on the sheet: "PLATE VIEW, mirrored". None for words alone.
    pub view: Option<String>,
}

/// Where a picture of the plate goes.
#[derive(Clone, Debug)]
enum Place {
    Page(Layout),
    Tiles(Tiles),
}

/// The sheets of a plan, not drawn yet.
#[derive(Clone, Debug)]
pub struct SheetSet<'a> {
    job: Job<'a>,
    /// How the plate stands on one page, or how it is cut into tiles.
    place: Place,
    /// The side with the flap; none where it is not asked for or has no room.
    hinge: Option<hinge::Side>,
    groups: Vec<Group>,
    notes: Vec<String>,
    /// What plate view and print view show, once a picture asks for it.
    seen: [OnceLock<Seen>; 2],
    /// Where the numbers of key sheets stand, from the first that is drawn on.
    numbers: OnceLock<Labels>,
}

impl<'a> SheetSet<'a> {
    /// Finds which sheets there are.
    ///
    /// A stop-out with nothing to paint gets no sheet of its own, only its line on the run sheet. A plate that does not fit one page
    /// is cut into tiles, with a note of how many.
    #[must_use]
    pub fn of(job: Job<'a>) -> Self {
        let layout = Layout::of(job.settings.paper.size(), job.plate.size());
        let place = layout.map_or_else(|| Place::Tiles(Tiles::of(&job)), Place::Page);
        let hinge = layout.filter(|_| job.settings.hinge).and_then(|layout| {
            let view = job.uses().first().map_or(View::Plate, |for_use| for_use.view());
            hinge::side(&layout, job.settings.notch.seen(view))
        });
        let mut set = Self {
            job,
            place,
            hinge,
            groups: Vec::new(),
            notes: Vec::new(),
            seen: [OnceLock::new(), OnceLock::new()],
            numbers: OnceLock::new(),
        };
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
        let pages = match &self.place {
            Place::Page(_) => 1,
            Place::Tiles(tiles) => tiles.count(),
        };
        match kind {
            Kind::Cover => push(Shows::Cover, cover::pages(&job)),
            // After a STOP no dip is listed either: a strip is bitten in the same bath.
            Kind::StripPlan if job.settings.strip_plan.is_some() && job.stop().is_none() => push(Shows::StripPlan, 1),
            Kind::Lift if job.stop_outs.aside().resist().is_some() => {
                job.uses().iter().for_each(|&for_use| push(Shows::Plate(picture::Shows::Lift, for_use), pages));
            }
            // It lies round the plate as that lies face up, whatever the transfer.
            Kind::Frame => push(Shows::Plate(picture::Shows::Frame, Use::Guide), pages),
            Kind::Key => job.uses().iter().for_each(|&for_use| push(Shows::Plate(picture::Shows::Key, for_use), pages)),
            Kind::StopOuts => {
                for stop_out in job.stop_outs.list().iter().filter(|each| each.new_share > 0.0) {
                    job.uses().iter().for_each(|&for_use| push(Shows::Plate(picture::Shows::StopOut(stop_out.number), for_use), pages));
                }
            }
            Kind::Run if job.stop().is_some() => push(Shows::Stop, 1),
            Kind::Run => push(Shows::Run, run::pages(&job)),
            Kind::Look => push(Shows::Look, 1),
            Kind::Repair if job.settings.repair.is_some() => push(Shows::Repair, 1),
            Kind::Bed if job.settings.bed.is_some() => push(Shows::Bed, 1),
            Kind::Registration => {
                for (index, of) in job.settings.registration.iter().enumerate() {
                    push(Shows::Registration(index), registration::pages(&job, of));
                }
            }
            Kind::Cutting => push(Shows::Cutting, cutting::pages(&job)),
            Kind::Laying => push(Shows::Laying, laying_map::pages(&job)),
            Kind::Record => push(Shows::Record, 1),
            Kind::Lines if job.lines.is_some_and(|lines| lines.plane.count() > 0) => {
                job.uses().iter().for_each(|&for_use| push(Shows::Plate(picture::Shows::Lines, for_use), pages));
            }
            Kind::StripPlan | Kind::Lines | Kind::Lift | Kind::Repair | Kind::Bed => {}
            Kind::Zones => push(Shows::Zones, job.settings.zones.as_ref().map_or(0, |zones| zones::pages(&job, zones))),
            Kind::Touches => push(Shows::Touches, touches::pages(&job)),
            Kind::Pulls => push(Shows::Pulls, job.settings.pulls.as_ref().map_or(0, |pulls| pulls::pages(&job, pulls))),
            Kind::Together => push(Shows::Together, together::pages(&job)),
        }
        self.groups.retain(|group| !group.pages.is_empty());
    }

    fn note(&mut self) {
        let job = self.job;
        if let (Place::Tiles(tiles), true) = (&self.place, self.groups.iter().any(|group| matches!(group.shows, Shows::Plate(..)))) {
            self.notes.extend(tiles.notes(&job));
        }
        let hinged = |group: &Group| matches!(group.shows, Shows::Plate(shows, for_use) if hinge::carries(shows, for_use));
        if job.settings.hinge && self.hinge.is_none() && self.groups.iter().any(hinged) {
            let paper = job.settings.paper.name();
            let flap = match &self.place {
                Place::Page(_) => Err(format!("{paper} has no room for it on a long side of this plate")),
                Place::Tiles(tiles) => {
                    let view = job.uses().first().map_or(View::Plate, |for_use| for_use.view());
                    tiles
                        .flap_note(&job, view)
                        .ok_or_else(|| format!("with it the plate would take more than {} sheets of {paper}", tiles.count()))
                }
            };
            self.notes.push(flap.unwrap_or_else(|why| {
                format!("The hinge flap of 15 mm is left out: {why}. Tape a strip of paper along the plate’s edge in its place.")
            }));
        }
        self.notes.extend(job.stop().map(|judged| format!("{} In its place a page says why.", judged.sentence())));
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
            let view = self.view_words(group);
            let (kind, count) = (group.kind, group.pages.len());
            (0..count).map(move |part| {
                let name = if count > 1 { format!("{name}, {} of {count}", part + 1) } else { name.clone() };
                Entry { kind, name, group: index, view: view.clone() }
            })
        });
        each.collect()
    }

    /// Which way round a group shows the plate, as its sheet says.
    fn view_words(&self, group: &Group) -> Option<String> {
        match group.shows {
            Shows::Plate(shows, for_use) => {
                let said = Said::of_picture(&self.job, shows, for_use, (1, 1));
                Some(format!("{}, {}", said.view, said.mirrored))
            }
            Shows::Look => Some(View::Print.words().to_owned()),
            Shows::Bed => Some(format!("{}, {}", View::Plate.words(), View::Print.words())),
            Shows::Touches => Some(View::Print.words().to_owned()),
            Shows::StripPlan | Shows::Repair | Shows::Zones | Shows::Laying | Shows::Registration(_) => {
                Some(View::Plate.words().to_owned())
            }
            Shows::Cutting => Some("PASTE SIDE UP, mirror of the print".to_owned()),
            Shows::Cover | Shows::Run | Shows::Together | Shows::Stop | Shows::Record | Shows::Pulls => None,
        }
    }

    /// Whether the plate fits one page at true size.
    #[must_use]
    pub fn fits(&self) -> bool {
        matches!(self.place, Place::Page(_))
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

    /// What the set holds, a sentence: how many pages, and each thing with its first and its last page. The cover prints it.
    #[must_use]
    pub fn contents(&self) -> String {
        let pages = self.pages();
        if pages == 0 {
            return "No sheet is chosen, or none of those chosen holds anything for this plate: choose more.".to_owned();
        }
        let mut all: Vec<(Kind, String, usize, usize)> = Vec::new();
        for group in &self.groups {
            match all.last_mut() {
                // Stop-outs stand together, and a transfer with its guide.
                Some((kind, name, _, last)) if *kind == group.kind => {
                    group.kind.name().clone_into(name);
                    *last = group.pages.end;
                }
                _ => all.push((group.kind, group.name(), group.pages.start + 1, group.pages.end)),
            }
        }
        let parts = all.iter().map(|(kind, name, first, last)| {
            let about = self.about(*kind);
            if first == last { format!("{first} {name}{about}") } else { format!("{first}–{last} {name}{about}") }
        });
        let parts: Vec<String> = parts.collect();
        format!("In this set, {pages} {}: {}.", if pages == 1 { "page" } else { "pages" }, parts.join(" · "))
    }

    /// What is to be known of a kind before it is printed.
    fn about(&self, kind: Kind) -> String {
        let job = &self.job;
        match (kind, job.bites.strip_kind) {
            (Kind::StopOuts, _) if job.uses().len() > 1 => ", each to transfer and to paint by".to_owned(),
            (Kind::Run, _) if job.stop().is_some() => ", the page in place of the run sheet".to_owned(),
            (Kind::Run | Kind::Together, StripKind::Example) => format!(", times of strip {}: {EXAMPLE}", job.bites.strip_id),
            (Kind::Run | Kind::Together, StripKind::Missing) => " without times, with lines to write them".to_owned(),
            _ => String::new(),
        }
    }

    /// The pages of one group.
    fn drawn(&self, group: &Group) -> Vec<Sheet> {
        let (job, all) = (&self.job, self.pages());
        let page = (group.pages.start + 1, all);
        let mut sheets = match group.shows {
            Shows::Cover => {
                let contents = self.contents();
                group.pages.clone().map(|at| cover::sheet(job, at - group.pages.start, &contents, (at + 1, all))).collect()
            }
            Shows::StripPlan => job.settings.strip_plan.iter().map(|plan| strip_plan::sheet(plan, job.settings, page)).collect(),
            Shows::Plate(shows, for_use) => self.pictures(shows, for_use, page),
            Shows::Together => group.pages.clone().map(|at| together::sheet(job, at - group.pages.start, (at + 1, all))).collect(),
            Shows::Run => group.pages.clone().map(|at| run::sheet(job, at - group.pages.start, (at + 1, all))).collect(),
            Shows::Look => vec![look::sheet(job, page)],
            Shows::Repair => job.settings.repair.iter().map(|repair| repair::sheet(job, repair, page)).collect(),
            Shows::Bed => job.settings.bed.iter().map(|laid| bed::sheet(job, laid, page)).collect(),
            Shows::Registration(index) => {
                job.settings.registration.get(index).map_or_else(Vec::new, |of| registration::sheets(job, of, page))
            }
            Shows::Zones => job.settings.zones.iter().flat_map(|of| zones::sheets(job, of, page)).collect(),
            Shows::Touches => touches::sheets(job, page),
            Shows::Cutting => cutting::sheets(job, page),
            Shows::Laying => laying_map::sheets(job, page),
            Shows::Record => vec![record::sheet(job, page)],
            Shows::Pulls => job.settings.pulls.iter().flat_map(|of| pulls::sheets(job, of, page)).collect(),
            Shows::Stop => job.stop().map(|judged| stop::sheet(job, judged, page)).into_iter().collect(),
        };
        if let Some(bars) = job.settings.bars {
            for sheet in &mut sheets {
                sheet.stretch = bars.across_and_down(sheet.page);
            }
        }
        sheets
    }

    /// What of the face is cut off where tiles join, print view.
    fn cut_off(&self) -> Vec<key_labels::Bare> {
        match &self.place {
            Place::Page(_) => Vec::new(),
            Place::Tiles(tiles) => tiles.strips(&self.job),
        }
    }

    /// A picture of the plate, on one page or in tiles.
    fn pictures(&self, shows: picture::Shows, for_use: Use, (first, all): (usize, usize)) -> Vec<Sheet> {
        let job = &self.job;
        let numbers = (shows == picture::Shows::Key).then(|| self.numbers.get_or_init(|| key::labels(job, &self.cut_off())));
        let numberless = numbers.and_then(|numbers| key::without(job, numbers));
        let lines = if shows == picture::Shows::Lines { picture::seen_lines(job, for_use.view()) } else { None };
        let seen = lines.as_ref().unwrap_or_else(|| {
            let [plate, print] = &self.seen;
            let view = for_use.view();
            if view == View::Plate { plate } else { print }.get_or_init(|| picture::seen(job, view))
        });
        let picture = Picture { shows, for_use, seen, numbers };
        let said = |page: usize| {
            let said = Said::of_picture(job, shows, for_use, (page, all));
            // Where it is set in every layout, and never cut.
            Said { covered: numberless.clone().unwrap_or(said.covered), ..said }
        };
        match &self.place {
            Place::Page(layout) => {
                let (mut sheet, pointed) = picture::sheet(job, layout, picture);
                if let Some(side) = self.hinge.filter(|_| hinge::carries(shows, for_use)) {
                    hinge::draw(&mut sheet, layout.metal, side);
                }
                captions::set(&mut sheet, job, layout, &said(first).with(pointed), for_use);
                vec![sheet]
            }
            Place::Tiles(tiles) => tiles.sheets(job, picture, (&shows.name(), first, all), said),
        }
    }
}

impl Group {
    fn name(&self) -> String {
        match self.shows {
            Shows::Cover => "cover".to_owned(),
            Shows::Look => "look sheet".to_owned(),
            Shows::Repair => "repair list".to_owned(),
            Shows::Bed => "bed diagram".to_owned(),
            Shows::Registration(_) => "registration template".to_owned(),
            Shows::Zones => "zones of ink".to_owned(),
            Shows::Touches => "touches by hand".to_owned(),
            Shows::Cutting => "cutting sheets".to_owned(),
            Shows::Laying => "laying map".to_owned(),
            Shows::Record => "pull record".to_owned(),
            Shows::Pulls => "record of the pulls".to_owned(),
            Shows::StripPlan => "strip plan".to_owned(),
            Shows::Plate(shows, for_use) => shows.named(&shows.name(), for_use),
            Shows::Run => "run sheet".to_owned(),
            Shows::Together => "run sheet of all plates".to_owned(),
            Shows::Stop => "stop".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::SheetSettings;
    use super::super::settings::Transfer;
    use super::super::tests::{kinds_job, says};
    use super::*;

    #[test]
    fn the_cover_says_what_the_set_says_of_itself_and_every_page_is_counted_once() {
        kinds_job(|job| {
            for transfer in [Transfer::Trace, Transfer::Press] {
                let settings = SheetSettings { transfer, ..job.settings.clone() };
                let set = SheetSet::of(Job { settings: &settings, ..*job });
                let contents = set.contents();
                assert!(
                    contents.starts_with(&format!("In this set, {} pages: 1", set.pages())) && contents.contains(" cover · "),
                    "{contents}"
                );
                assert_eq!(contents.contains("each to transfer and to paint by"), transfer == Transfer::Press, "{contents}");
                let mut next = 1;
                for part in contents.trim_end_matches('.').split_once(": ").unwrap().1.split(" · ") {
                    let pages = part.split(' ').next().unwrap();
                    let (first, last) = pages.split_once('–').unwrap_or((pages, pages));
                    assert_eq!(first.parse::<usize>().unwrap(), next, "{contents}");
                    next = last.parse::<usize>().unwrap() + 1;
                }
                assert_eq!(next, set.pages() + 1, "{contents}");
                let cover = &set.around(0).unwrap().1[0];
                let lines: Vec<&str> = contents.split(' ').take(8).collect();
                assert!(says(cover, &lines.join(" ")), "{contents}");
            }
            // Each page is drawn with the sign that the list gives it.
            let set = SheetSet::of(*job);
            let few = set.fits() && job.stop_outs.tones().get() <= 3;
            for (index, entry) in set.entries().iter().enumerate().filter(|_| few) {
                let wanted: Vec<&str> = entry.view.iter().flat_map(|view| view.split(", ")).collect();
                if wanted.is_empty() {
                    continue;
                }
                let (from, pages) = set.around(index).unwrap();
                assert!(wanted.iter().all(|words| says(&pages[index - from], words)), "{entry:?}");
            }
            let none = SheetSettings { kinds: Vec::new(), ..job.settings.clone() };
            let set = SheetSet::of(Job { settings: &none, ..*job });
            assert!(set.pages() == 0 && set.contents().starts_with("No sheet is chosen"));
        });
    }
}

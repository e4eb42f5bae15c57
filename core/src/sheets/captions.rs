//! The words around a stop-out's picture. They read normally even where the picture is mirrored.

use super::frame::{self, HAIR, LINE, top_arrow_fits};
use super::layout::{Layout, Words, fitted, line_height};
use super::legend::{self, Sign};
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::picture::{self, Shows};
use super::pointers::Pointed;
use super::settings::Style;
use super::{Job, Use, View, area, counted, minutes, percent, plain, strip_line};
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// The stop-out's number, seen from across the room, points.
pub(super) const NUMERAL: f64 = 60.0;

/// What no layout may leave out or cut, and the same in few words where there is little room.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Fact {
    pub(super) words: String,
    pub(super) brief: String,
}

impl Fact {
    pub(super) fn new(words: impl Into<String>, brief: impl Into<String>) -> Self {
        Self { words: words.into(), brief: brief.into() }
    }
}

/// All that one sheet says.
pub(super) struct Said {
    pub(super) numeral: String,
    pub(super) heading: String,
    pub(super) tone: String,
    pub(super) view: &'static str,
    pub(super) mirrored: &'static str,
    pub(super) rule: &'static str,
    pub(super) covered: String,
    /// The same in few words, for a margin.
    pub(super) brief: String,
    pub(super) to_paint: String,
    /// How edges are drawn and what becomes of islands that are very small, a fact each.
    pub(super) small: Vec<Fact>,
    /// What arrows point at: one of these.
    pub(super) arrows: Option<Fact>,
    /// By how much edges are drawn inside, and what keeps its true edge: in one, where both stand in a line.
    pub(super) inside: Option<Fact>,
    pub(super) title: String,
    pub(super) facts: Vec<String>,
    pub(super) page: String,
    pub(super) legend: Vec<Sign>,
}

impl Said {
    /// All that the sheet of a picture says.
    pub(super) fn of_picture(job: &Job, shows: Shows, for_use: Use, page: (usize, usize)) -> Self {
        match shows {
            Shows::StopOut(number) => Self::of(job, number, for_use, page),
            Shows::Lift => Self::of_lift(job, for_use, page),
            Shows::Key => Self::of_key(job, for_use, page),
            Shows::Lines => Self::of_lines(job, for_use, page),
            Shows::Frame => Self::of_frame(job, for_use, page),
        }
    }

    /// All that a stop-out's sheet says.
    fn of(job: &Job, number: usize, for_use: Use, page: (usize, usize)) -> Self {
        let figures = &job.stop_outs.list()[number - 1];
        let mut any = Self::of_any(job, for_use, page);
        if job.settings.inward.0 > 0.0 {
            let by = plain(job.settings.inward.0);
            let words = format!("edges drawn {by} mm inside, for creep");
            let inside = match picture::moved(job, (number - 1) as u8).inward.kept {
                0 => Fact::new(&*words, format!("edges {by} mm inside")),
                kept => {
                    let but = counted(kept, "island", "islands");
                    Fact::new(format!("{words}, but {but} too small for it"), format!("edges {by} mm inside but {but}"))
                }
            };
            any.small.push(Fact::new(words, format!("edges {by} mm inside")));
            any.inside = Some(inside);
            any.small.extend(kept_words(picture::moved(job, (number - 1) as u8).inward.kept));
        }
        let mut said = Self {
            numeral: number.to_string(),
            heading: format!("Stop-out {number} of {}", job.stop_outs.list().len()),
            tone: format!("paint tone {}, before bite {number}", number - 1),
            covered: format!(
                "After this stop-out {} of the face is covered{}, {} to paint.",
                percent(figures.covered_share),
                if job.stop_outs.aside().resist().is_some() { " with the resist" } else { "" },
                counted(figures.islands, "island", "islands")
            ),
            brief: format!("{} covered then, {}", percent(figures.covered_share), counted(figures.islands, "island", "islands")),
            to_paint: format!(
                "{} cm² of new varnish, {} cm of edge, {}.",
                area(figures.new_share * job.plate.face().area_cm2()),
                area(figures.edge_cm),
                minutes(figures.paint_min)
            ),
            legend: legend::of_stop_out(job.stop_outs.aside(), job.settings.style),
            ..any
        };
        if job.settings.style == Style::Outline {
            legend::OUTLINES.clone_into(&mut said.covered);
            legend::BRIEF_OUTLINES.clone_into(&mut said.brief);
        }
        said
    }

    /// The same with what arrows point at.
    pub(super) fn with(mut self, pointed: Pointed) -> Self {
        self.arrows = pointed.words().map(|(words, brief)| Fact::new(words, brief));
        // After how the edges are drawn, before what that leaves out.
        let at = self.small.len().min(1);
        self.small.splice(at..at, self.arrows.clone());
        self
    }

    /// All that the lift's sheet says.
    fn of_lift(job: &Job, for_use: Use, page: (usize, usize)) -> Self {
        let pixels = job.stop_outs.map().plane().data().len() as f64;
        let resist = job.stop_outs.aside().resist().map_or(0.0, |bits| bits.count() as f64 / pixels);
        Self {
            numeral: "L".to_owned(),
            heading: "OPENS: painted here = bites here".to_owned(),
            tone: "lift drawing, before every stop-out".to_owned(),
            covered: format!("{} of the face opens; the fixed resist stays on {}.", percent(1.0 - resist), percent(resist)),
            to_paint: format!(
                "{} cm² to lift. The opposite of a stop-out: do not paint varnish by this sheet.",
                area((1.0 - resist) * job.plate.face().area_cm2())
            ),
            legend: legend::OF_LIFT.to_vec(),
            ..Self::of_any(job, for_use, page)
        }
    }

    /// All that the key sheet says.
    fn of_key(job: &Job, for_use: Use, page: (usize, usize)) -> Self {
        Self {
            numeral: "K".to_owned(),
            heading: "Key: every edge once".to_owned(),
            tone: "what is painted when".to_owned(),
            covered: "Every edge and every region bears its number.".to_owned(),
            to_paint: "Each edge is painted once, at the stop-out of its number.".to_owned(),
            legend: legend::of_key(job.stop_outs.aside()),
            ..Self::of_any(job, for_use, page)
        }
    }

    /// All that the sheet of etched lines says.
    fn of_lines(job: &Job, for_use: Use, page: (usize, usize)) -> Self {
        let mut any = Self::of_any(job, for_use, page);
        if for_use == Use::Guide {
            any.rule = "Guide for needling by eye: mirrored, as the plate lies face up. Do not transfer this sheet.";
        }
        Self {
            numeral: "E".to_owned(),
            heading: "ETCHED LINE".to_owned(),
            tone: "before the grain".to_owned(),
            covered: match job.stop() {
                None => "ETCHED LINE: needle these through the ground, bite them before the grain.",
                Some(_) => "ETCHED LINE: where they lie. STOP: not to be bitten with this metal and mordant.",
            }
            .to_owned(),
            to_paint: job.lines.map_or_else(String::new, |lines| {
                let (count, width) = (counted(lines.count, "line", "lines"), lines.width.0);
                format!(
                    "{count}, {} cm in all, {} mm wide in the mean. No varnish by this sheet.",
                    area(lines.length.0 / 10.0),
                    plain(width)
                )
            }),
            legend: legend::OF_LINES.to_vec(),
            ..any
        }
    }

    /// All that the sheet of the cut-out frame says.
    fn of_frame(job: &Job, for_use: Use, page: (usize, usize)) -> Self {
        Self {
            numeral: "W".to_owned(),
            heading: "Window: cut-out frame".to_owned(),
            tone: "for laying each sheet into place".to_owned(),
            mirrored: "this side up",
            rule: "A sheet cut at its L marks drops into the window; or lay L mark on L mark, tick on tick.",
            covered: "Cut out this window, lay the frame round the plate.".to_owned(),
            to_paint: "Tape it down, this side up, with its notch at the plate’s notch.".to_owned(),
            ..Self::of_any(job, for_use, page)
        }
    }

    /// What every sheet says.
    fn of_any(job: &Job, for_use: Use, (page, pages): (usize, usize)) -> Self {
        let size = job.plate.size();
        let bevel = job.plate.bevel().0;
        let mut facts = vec![format!("plate {} × {} mm", plain(size.width.0), plain(size.height.0))];
        if bevel > 0.0 {
            facts.push(format!("bevel {} mm", plain(bevel)));
        }
        facts.push(strip_line(job.bites));
        facts.extend(job.settings.bars.map(super::Bars::words));
        facts.extend(job.settings.date.clone().filter(|date| !date.is_empty()));
        Self {
            numeral: String::new(),
            heading: String::new(),
            tone: String::new(),
            view: for_use.view().words(),
            mirrored: match for_use {
                Use::Trace => "mirrored",
                Use::Press => "not mirrored",
                Use::Guide => "mirrored, a guide",
            },
            rule: match for_use {
                Use::Trace => "Tracing through, this side up: this sheet is mirrored.",
                Use::Press => "Pressing face down: this sheet is not mirrored.",
                Use::Guide => "Guide for painting by eye: mirrored, as the plate lies face up. Do not transfer this sheet.",
            },
            covered: String::new(),
            brief: String::new(),
            to_paint: String::new(),
            small: Vec::new(),
            inside: None,
            arrows: None,
            title: job.settings.title.clone(),
            facts,
            page: format!("sheet {page} of {pages}"),
            legend: Vec::new(),
        }
    }
}

/// Islands that keep their true edge though edges are drawn inside, in words; none where all are moved.
fn kept_words(kept: usize) -> Option<Fact> {
    match kept {
        0 => None,
        1 => Some(Fact::new("1 island too small to be drawn inside keeps its true edge", "1 island keeps its true edge")),
        kept => {
            let words = format!("{kept} islands too small to be drawn inside keep their true edge");
            Some(Fact::new(words, format!("{kept} islands keep their true edge")))
        }
    }
}

/// Sets the words on a sheet of one page.
pub(super) fn set(sheet: &mut Sheet, job: &Job, layout: &Layout, said: &Said, for_use: Use) {
    match layout.words {
        Words::Bands { head, foot } => {
            in_head(sheet, job, said, head, for_use.view());
            in_foot(sheet, said, foot, for_use);
        }
        Words::Column(of) => in_column(sheet, job, said, (of, layout.metal), for_use),
        Words::Strip(of) => in_strip(sheet, job, said, of, for_use.view()),
    }
}

fn in_head(sheet: &mut Sheet, job: &Job, said: &Said, of: PageBox, view: View) {
    let semibold = TypeFace::of(Weight::Semibold);
    let cap = semibold.cap_height(NUMERAL).0;
    let base = of.y + cap;
    sheet.text(Weight::Semibold, NUMERAL, Align::Start, (of.x - 0.6, base), said.numeral.as_str());
    let left = of.x + semibold.width(&said.numeral, NUMERAL).0 + 5.0;

    let sign = PageBox::new(of.right() - cap, of.y, cap, cap);
    frame::view_sign(sheet, sign, view);
    let right = sign.x - 4.0;
    let view_cap = semibold.cap_height(16.0).0;
    sheet.text(Weight::Semibold, 16.0, Align::End, (right, of.y + view_cap), said.view);
    sheet.text(Weight::Regular, 12.0, Align::End, (right, base), said.mirrored);
    let room = right - semibold.width(said.view, 16.0).0 - 6.0 - left;
    let (size, heading) = fitted(Weight::Semibold, &said.heading, &[20.0, 18.0, 16.0, 14.0], room);
    sheet.text(Weight::Semibold, size, Align::Start, (left, of.y + semibold.cap_height(size).0), heading);
    let (size, tone) = fitted(Weight::Regular, &said.tone, &[14.0, 12.0, 11.0], room);
    sheet.text(Weight::Regular, size, Align::Start, (left, base), tone);

    let rule = base + 4.0;
    sheet.stroke(HAIR, (of.x, rule), (of.right(), rule));
    let mut text = of.x;
    if !job.settings.letter.is_empty() {
        let plate = PageBox::new(of.x, rule + 2.0, 8.2, 8.8);
        frame::plate_letter(sheet, plate, &job.settings.letter, job.settings.notch, view);
        text = plate.right() + 3.5;
    }
    let regular = TypeFace::of(Weight::Regular);
    let (mut facts, mut page) = (said.facts.clone(), said.page.clone());
    let date = job.settings.date.as_ref().filter(|date| !date.is_empty());
    // A long line gives its date to the one above rather than have it cut.
    if let Some(date) = date.filter(|_| regular.width(&facts.join(" · "), 9.0).0 > of.right() - text) {
        facts.retain(|fact| fact != date);
        page = format!("{date} · {page}");
    }
    let page_width = regular.width(&page, 11.0).0;
    sheet.text(Weight::Regular, 11.0, Align::End, (of.right(), rule + 5.4), page);
    let (size, title) = fitted(Weight::Semibold, &said.title, &[13.0, 12.0, 11.0], of.right() - page_width - 4.0 - text);
    sheet.text(Weight::Semibold, size, Align::Start, (text, rule + 5.4), title);
    let (size, facts) = fitted(Weight::Regular, &facts.join(" · "), &[10.0, 9.0], of.right() - text);
    sheet.text(Weight::Regular, size, Align::Start, (text, rule + 10.4), facts);
}

fn in_foot(sheet: &mut Sheet, said: &Said, of: PageBox, for_use: Use) {
    let semibold = TypeFace::of(Weight::Semibold);
    legend::row(sheet, &said.legend, of.x, of.y, of.width, &[12.0, 11.0, 10.0, 9.0]);
    let numeral = semibold.width(&said.numeral, NUMERAL).0;
    sheet.text(Weight::Semibold, NUMERAL, Align::End, (of.right() + 0.6, of.foot()), said.numeral.as_str());
    let room = of.width - numeral - 6.0;
    let (size, covered) = fitted(Weight::Semibold, &said.covered, &[14.0, 13.0, 12.0, 11.0, 10.0, 9.0], room);
    sheet.text(Weight::Semibold, size, Align::Start, (of.x, of.y + 13.4), covered);
    let (size, to_paint) = fitted(Weight::Regular, &said.to_paint, &[12.0, 11.0, 10.0, 9.0], room);
    sheet.text(Weight::Regular, size, Align::Start, (of.x, of.y + 18.8), to_paint);
    let picture = transfer_picture(sheet, of.x, of.foot() - 6.6, for_use);
    // Beside the picture, whose pencil reaches up to these lines.
    let regular = TypeFace::of(Weight::Regular);
    let beside = (of.x + picture, room - picture);
    let rule = regular.wrap(said.rule, 11.0, Millimetres(beside.1));
    let first = of.foot() - 0.4 - (rule.len().saturating_sub(1)) as f64 * line_height(11.0);
    for (index, line) in rule.iter().enumerate() {
        sheet.text(Weight::Regular, 11.0, Align::Start, (beside.0, first + index as f64 * line_height(11.0)), line.as_str());
    }
    let (size, small) = in_lines(&said.small, &[11.0, 10.0, 9.0], beside.1);
    // One line stands in the middle between its neighbours, two fill the room there is.
    let (above, room) = (of.y + 18.8, first - of.y - 18.8);
    let step = room / (small.len() + 1) as f64;
    for (index, line) in small.iter().enumerate() {
        sheet.text(Weight::Regular, size, Align::Start, (beside.0, above + step * (index + 1) as f64), line.as_str());
    }
}

/// Facts in one line as large as fits, or in two at the smallest size; in few words where neither holds them whole.
fn in_lines(facts: &[Fact], sizes: &[f64], width: f64) -> (f64, Vec<String>) {
    let face = TypeFace::of(Weight::Regular);
    let smallest = sizes.last().copied().unwrap_or(9.0);
    let fits = |line: &str, size: f64| face.width(line, size).0 <= width;
    let wordings: [fn(&Fact) -> &str; 2] = [|fact| &fact.words, |fact| &fact.brief];
    for wording in wordings {
        let words: Vec<&str> = facts.iter().map(wording).collect();
        let all = words.join(" · ");
        if let Some(size) = sizes.iter().copied().find(|&size| fits(&all, size)) {
            return (size, vec![all]);
        }
        let halves = (1..words.len()).rev().map(|count| [words[..count].join(" · "), words[count..].join(" · ")]);
        if let Some(lines) = halves.into_iter().find(|lines| lines.iter().all(|line| fits(line, smallest))) {
            return (smallest, lines.to_vec());
        }
    }
    let brief = facts.iter().map(|fact| fact.brief.as_str()).collect::<Vec<_>>().join(" · ");
    (smallest, vec![face.fitted(&brief, smallest, Millimetres(width))])
}

/// The plate from the side with the sheet on it, and a pencil or a hand's press above. Returns how far the words beside it begin.
pub(super) fn transfer_picture(sheet: &mut Sheet, x: f64, y: f64, for_use: Use) -> f64 {
    if for_use == Use::Guide {
        return 0.0;
    }
    sheet.frame(LINE, PageBox::new(x, y + 4.8, 20.0, 1.8));
    sheet.stroke(LINE, (x, y + 3.4), (x + 20.0, y + 3.4));
    // The printed side carries little bumps of ink.
    let (ink, bump) = if for_use == Use::Trace { (y + 3.0, -0.1) } else { (y + 3.8, 0.1) };
    sheet.strokes(
        Pen::solid(0.5),
        [2.0, 4.0, 9.0, 11.5, 14.0, 17.0]
            .iter()
            .map(|by| [PagePoint::new(x + by, ink + bump), PagePoint::new(x + by + 1.2, ink + bump)])
            .collect(),
    );
    if for_use == Use::Trace {
        let pencil = [(8.0, 2.6), (9.2, 1.9), (13.6, -2.5), (12.8, -3.3), (8.4, 1.1)].map(|(a, b)| PagePoint::new(x + a, y + b));
        sheet.marks.push(Mark::Line { pen: LINE, points: pencil.to_vec(), closed: true });
    } else {
        for by in [5.0, 10.0, 15.0] {
            sheet.stroke(LINE, (x + by, y - 2.0), (x + by, y + 2.4));
            let head = [(-0.9, 1.2), (0.0, 2.4), (0.9, 1.2)].map(|(a, b)| PagePoint::new(x + by + a, y + b));
            sheet.marks.push(Mark::Line { pen: LINE, points: head.to_vec(), closed: false });
        }
    }
    24.0
}

/// Words set one under the other.
pub(super) struct Flow<'a> {
    pub(super) sheet: &'a mut Sheet,
    pub(super) x: f64,
    pub(super) width: f64,
    pub(super) y: f64,
}

impl Flow<'_> {
    pub(super) fn lines(&mut self, weight: Weight, size: f64, words: &str) {
        for line in TypeFace::of(weight).wrap(words, size, Millimetres(self.width)) {
            self.y += line_height(size);
            self.sheet.text(weight, size, Align::Start, (self.x, self.y - line_height(size) * 0.28), line);
        }
    }

    pub(super) fn gap(&mut self, by: f64) {
        self.y += by;
    }
}

fn in_column(sheet: &mut Sheet, job: &Job, said: &Said, (of, metal): (PageBox, PageBox), for_use: Use) {
    // Set once on a sheet that is thrown away, to learn what is left over; then with that much air between the parts.
    let mut trial = Sheet::new("", sheet.page);
    let used = column_with_air(&mut trial, job, said, (of, metal), for_use, Air::Open(0.0));
    let air = if used > of.height { Air::Short } else { Air::Open(((of.height - used) / 6.0).min(7.0)) };
    column_with_air(sheet, job, said, (of, metal), for_use, air);
}

/// How close the parts of a column stand.
#[derive(Clone, Copy, PartialEq)]
enum Air {
    /// So many mm more between its six parts.
    Open(f64),
    /// None, and title and facts cut to a line each.
    Short,
}

/// Sets the column; returns the height it takes with the lower numeral.
fn column_with_air(sheet: &mut Sheet, job: &Job, said: &Said, (of, metal): (PageBox, PageBox), for_use: Use, spacing: Air) -> f64 {
    let air = if let Air::Open(air) = spacing { air } else { 0.0 };
    let semibold = TypeFace::of(Weight::Semibold);
    let cap = semibold.cap_height(NUMERAL).0;
    let narrow = of.width < 45.0;
    sheet.text(Weight::Semibold, NUMERAL, Align::Start, (of.x - 0.6, of.y + cap), said.numeral.as_str());
    if !job.settings.letter.is_empty() && of.width > semibold.width(&said.numeral, NUMERAL).0 + 13.0 {
        let plate = PageBox::new(of.right() - 8.6, of.y, 8.6, 9.6);
        frame::plate_letter(sheet, plate, &job.settings.letter, job.settings.notch, for_use.view());
    }
    let mut flow = Flow { sheet, x: of.x, width: of.width, y: of.y + cap + 2.0 };
    flow.lines(Weight::Semibold, if narrow { 13.0 } else { 18.0 }, &said.heading);
    flow.lines(Weight::Regular, if narrow { 10.0 } else { 13.0 }, &said.tone);
    flow.gap(2.0 + air);
    let side = if narrow { 9.0 } else { 12.0 };
    frame::view_sign(flow.sheet, PageBox::new(of.x, flow.y, side, side), for_use.view());
    let beside = (of.x + side + 2.5, of.width - side - 2.5);
    let (size, view) = fitted(Weight::Semibold, said.view, &[15.0, 12.0, 10.0, 9.0], beside.1);
    flow.sheet.text(Weight::Semibold, size, Align::Start, (beside.0, flow.y + semibold.cap_height(size).0), view);
    let (size, mirrored) = fitted(Weight::Regular, said.mirrored, &[12.0, 10.0, 9.0], beside.1);
    flow.sheet.text(Weight::Regular, size, Align::Start, (beside.0, flow.y + side - 0.4), mirrored);
    flow.gap(side + 3.0 + air);
    for sign in &said.legend {
        let (size, words) = fitted(Weight::Semibold, sign.words(false), &[12.0, 11.0, 10.0, 9.0], of.width);
        legend::draw(flow.sheet, PageBox::new(of.x, flow.y, 12.0, 5.4), *sign);
        if semibold.width(&words, size).0 + 14.5 <= of.width {
            flow.sheet.text(Weight::Semibold, size, Align::Start, (of.x + 14.5, flow.y + 2.7 + semibold.cap_height(size).0 / 2.0), words);
            flow.gap(7.6);
        } else {
            flow.gap(5.6);
            let wrapped = semibold.wrap(sign.words(false), 9.0, Millimetres(of.width));
            for line in wrapped {
                flow.lines(Weight::Semibold, 9.0, &line);
            }
            flow.gap(1.4);
        }
    }
    flow.gap(0.6 + air);
    flow.lines(Weight::Semibold, if narrow { 10.5 } else { 13.0 }, &said.covered);
    flow.gap(0.8);
    flow.lines(Weight::Regular, if narrow { 9.5 } else { 11.0 }, &said.to_paint);
    for Fact { words, .. } in &said.small {
        flow.gap(0.6);
        flow.lines(Weight::Regular, if narrow { 9.0 } else { 10.0 }, words);
    }
    flow.gap(1.6 + air);
    flow.lines(Weight::Regular, if narrow { 9.5 } else { 11.0 }, said.rule);
    flow.gap(1.6 + air);
    flow.sheet.stroke(HAIR, (of.x, flow.y), (of.right(), flow.y));
    flow.gap(1.2);
    let short = |weight: Weight, size: f64, words: &str| {
        if spacing == Air::Short { fitted(weight, words, &[size], of.width).1 } else { words.to_owned() }
    };
    let (title, fact) = if narrow { (10.0, 9.0) } else { (12.0, 10.0) };
    flow.lines(Weight::Semibold, title, &short(Weight::Semibold, title, &said.title));
    flow.lines(Weight::Regular, fact, &short(Weight::Regular, fact, &said.facts[0]));
    // Whose strip it is stays whole: the sentence must never be cut.
    for words in &said.facts[1..] {
        let whole = spacing == Air::Open(air) || words.starts_with("strip");
        flow.lines(Weight::Regular, fact, &if whole { words.clone() } else { short(Weight::Regular, fact, words) });
    }
    let top = if top_arrow_fits(metal) { String::new() } else { " · ↑ TOP".to_owned() };
    flow.lines(Weight::Regular, if narrow { 9.0 } else { 10.0 }, &format!("{}{top}", said.page));
    let used = flow.y - of.y;
    sheet.text(Weight::Semibold, NUMERAL, Align::End, (of.right() + 0.6, of.foot()), said.numeral.as_str());
    used + cap + 3.0
}

fn in_strip(sheet: &mut Sheet, job: &Job, said: &Said, of: PageBox, view: View) {
    let semibold = TypeFace::of(Weight::Semibold);
    // The numeral is as large as the strip lets it be, up to its size.
    let size = (of.height / semibold.cap_height(1.0).0).min(NUMERAL);
    let numeral = semibold.width(&said.numeral, size).0;
    sheet.text(Weight::Semibold, size, Align::Start, (of.x, of.foot()), said.numeral.as_str());
    sheet.text(Weight::Semibold, size, Align::End, (of.right(), of.foot()), said.numeral.as_str());
    let (left, right) = (of.x + numeral + 3.0, of.right() - numeral - 3.0);
    // 9 pt with hardly any leading; what is left over is air, or lines for the facts.
    let rows = libm::floor(of.height / 3.375 + 1e-6).clamp(4.0, 6.0);
    let pitch = (of.height / rows).min(4.6);
    let top = of.y + (of.height - rows * pitch) / 2.0;
    let base = |row: f64| top + pitch * row + (pitch + semibold.cap_height(9.0).0) / 2.0;
    let sign = pitch * 1.7;
    frame::view_sign(sheet, PageBox::new(right - sign, top, sign, sign), view);
    let view_words = format!("{}, {}", said.view, said.mirrored);
    let view_width = semibold.width(&view_words, 10.0).0;
    sheet.text(Weight::Semibold, 10.0, Align::End, (right - sign - 2.0, base(0.0)), view_words);
    let (size, heading) =
        fitted(Weight::Semibold, &format!("{}: {}", said.heading, said.tone), &[11.0, 10.0, 9.0], right - sign - 4.0 - view_width - left);
    sheet.text(Weight::Semibold, size, Align::Start, (left, base(0.0)), heading);
    legend::low_row(sheet, &said.legend, left, top + pitch, right - sign - 2.0 - left, pitch - 0.8);
    let (size, covered) = fitted(Weight::Semibold, &said.covered, &[11.0, 10.0, 9.0], right - left);
    sheet.text(Weight::Semibold, size, Align::Start, (left, base(2.0)), covered);
    let mut facts = vec![format!("↑ TOP · {}", said.rule.trim_end_matches('.')), strip_line(job.bites), said.page.clone()];
    if !job.settings.letter.is_empty() {
        facts.push(format!("plate {}", job.settings.letter));
    }
    // Before what may be cut.
    facts.extend(said.arrows.iter().chain(&said.inside).map(|fact| fact.brief.clone()));
    facts.extend(Some(said.title.clone()).filter(|title| !title.is_empty()));
    facts.push(said.to_paint.trim_end_matches('.').to_owned());
    facts.extend(said.facts.iter().filter(|fact| **fact != strip_line(job.bites)).cloned());
    let mut rest = facts.join(" · ");
    for row in 3..rows as usize {
        let last = row + 1 == rows as usize;
        let line = if last {
            fitted(Weight::Regular, &rest, &[9.0], right - left).1
        } else {
            TypeFace::of(Weight::Regular).wrap(&rest, 9.0, Millimetres(right - left)).into_iter().next().unwrap_or_default()
        };
        // What the lines so far hold is taken off by its words, so that a line's break loses nothing.
        rest = rest.split_whitespace().skip(line.split_whitespace().count()).collect::<Vec<_>>().join(" ");
        sheet.text(Weight::Regular, 9.0, Align::Start, (left, base(row as f64)), line);
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{letter, says, sheets};
    use super::super::{Bars, SheetSettings, Transfer};
    use super::*;

    #[test]
    fn the_date_is_whole_however_much_else_the_head_says() {
        let (plate, map) = letter(160.0, 180.0);
        let date = "27 November 2026";
        for bars in [None, Some(Bars::new(Millimetres(98.6), Millimetres(101.2)).unwrap())] {
            for transfer in [Transfer::Trace, Transfer::Press] {
                let settings =
                    SheetSettings { date: Some(date.into()), title: "Ice house".into(), bars, transfer, ..SheetSettings::default() };
                let made = sheets(&plate, map.clone(), 3, &settings);
                let first = &made.sheets[0];
                assert!(says(first, date) && says(first, "Ice house") && says(first, "EXAMPLE, NOT YOUR BATH"), "{bars:?}");
                assert!(bars.is_none_or(|bars| says(first, &bars.words())), "{bars:?}");
            }
        }
    }

    #[test]
    fn facts_stand_in_one_line_or_two_and_in_few_words_before_any_is_cut() {
        let fact = |name: &str| Fact::new(format!("{name} in a good many words of its own"), format!("{name} brief"));
        let facts = ["one", "two", "three"].map(fact);
        let width = |words: &str| TypeFace::of(Weight::Regular).width(words, 9.0).0 + 0.1;
        let whole = "one in a good many words of its own · two in a good many words of its own · three in a good many words of its own";
        let lines = |room: f64| in_lines(&facts, &[11.0, 9.0], room);
        assert_eq!(lines(2.0 * width(whole)), (11.0, vec![whole.to_owned()]));
        assert_eq!(lines(width(whole)), (9.0, vec![whole.to_owned()]));
        let (size, two) = lines(width(whole) * 0.7);
        assert_eq!((size, two.join(" · ")), (9.0, whole.to_owned()));
        assert_eq!(two.len(), 2);
        assert_eq!(lines(width("one brief · two brief · three brief")), (9.0, vec!["one brief · two brief · three brief".to_owned()]));
        assert_eq!(lines(width("one brief · two brief")).1, ["one brief · two brief", "three brief"]);
    }
}

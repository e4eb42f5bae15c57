//! The words of one tile: those of a whole sheet, and which part of it this is, wherever they find room.

use super::captions::{Fact, Flow, NUMERAL, Said, transfer_picture};
use super::frame::{self, HAIR, LINE};
use super::joins::upwards;
use super::layout::{BAR, fitted, line_height};
use super::legend;
use super::mark::{Align, PageBox, PagePoint, Pen, Sheet};
use super::tiles::MARGIN;
use super::tiling::Tile;
use super::{Job, Use, plain, strip_line};
use crate::plate::SizeMm;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// The grid in small, this tile in hatch.
fn thumbnail(sheet: &mut Sheet, of: PageBox, tile: &Tile) {
    let (width, height) = (of.width / tile.of.1 as f64, of.height / tile.of.0 as f64);
    sheet.frame(LINE, of);
    for column in 1..tile.of.1 {
        sheet.stroke(LINE, (of.x + width * column as f64, of.y), (of.x + width * column as f64, of.foot()));
    }
    for row in 1..tile.of.0 {
        sheet.stroke(LINE, (of.x, of.y + height * row as f64), (of.right(), of.y + height * row as f64));
    }
    let here = PageBox::new(of.x + width * tile.column as f64, of.y + height * tile.row as f64, width, height);
    let mut sum = 0.8;
    let mut strokes = Vec::new();
    while sum < here.width + here.height {
        let (from, to) = ((sum - here.height).max(0.0), sum.min(here.width));
        strokes.push([PagePoint::new(here.x + from, here.y + sum - from), PagePoint::new(here.x + to, here.y + sum - to)]);
        sum += 1.2;
    }
    sheet.strokes(Pen::solid(0.25), strokes);
}

/// A thumbnail's size in the shape of the plate, no larger than a box.
fn thumbnail_size(plate: SizeMm, (wide, high): (f64, f64)) -> (f64, f64) {
    let scale = (wide / plate.width.0).min(high / plate.height.0);
    (plate.width.0 * scale, plate.height.0 * scale)
}

/// All that one tile says.
pub(super) struct TileWords<'a> {
    pub(super) job: &'a Job<'a>,
    pub(super) said: &'a Said,
    pub(super) tile: &'a Tile,
    pub(super) for_use: Use,
    /// The diagonal of the assembled plate, on the first tile.
    pub(super) diagonal: Option<f64>,
}

impl TileWords<'_> {
    fn tile_line(&self) -> String {
        format!("Tile {}: {}", self.tile.code(), self.tile.place())
    }

    fn assembly(&self) -> String {
        let check =
            self.diagonal.map_or_else(String::new, |diagonal| format!(" Put together, the plate’s diagonal is {} mm.", plain(diagonal)));
        format!("{ASSEMBLY}{check}")
    }

    /// What is left out last but for whose strip it is, which has a place of its own: small islands, how far inside edges are drawn, and what the
    /// printer's bars were.
    fn facts(&self) -> Vec<Fact> {
        let said = self.said;
        let bars = self.job.settings.bars.map(|bars| Fact::new(bars.words(), bars.brief()));
        said.arrows.iter().chain(&said.inside).cloned().chain(bars).collect()
    }

    /// What may be left out.
    fn more_facts(&self) -> Vec<String> {
        let said = self.said;
        let told: Vec<String> = self.facts().into_iter().map(|fact| fact.words).chain([strip_line(self.job.bites)]).collect();
        let title = Some(said.title.clone()).filter(|title| !title.is_empty());
        title.into_iter().chain(said.facts.iter().filter(|fact| !told.iter().any(|told| told.starts_with(*fact))).cloned()).collect()
    }

    pub(super) fn head(&self, sheet: &mut Sheet, of: PageBox) {
        let said = self.said;
        let semibold = TypeFace::of(Weight::Semibold);
        let cap = semibold.cap_height(NUMERAL).0;
        let base = of.y + cap;
        sheet.text(Weight::Semibold, NUMERAL, Align::Start, (of.x - 0.6, base), said.numeral.as_str());
        let left = of.x + semibold.width(&said.numeral, NUMERAL).0 + 5.0;
        let small = thumbnail_size(self.job.plate.size(), (18.0, cap));
        thumbnail(sheet, PageBox::new(of.right() - small.0, of.y, small.0, cap.min(small.1)), self.tile);
        let sign = PageBox::new(of.right() - small.0 - 4.0 - cap, of.y, cap, cap);
        frame::view_sign(sheet, sign, self.for_use.view());
        let right = sign.x - 4.0;
        sheet.text(Weight::Semibold, 16.0, Align::End, (right, of.y + semibold.cap_height(16.0).0), said.view);
        sheet.text(Weight::Regular, 12.0, Align::End, (right, of.y + 9.4), said.mirrored);
        sheet.text(Weight::Semibold, 14.0, Align::End, (right, base), self.tile.code());
        let room = right - semibold.width(said.view, 16.0).0 - 5.0 - left;
        let (size, heading) = fitted(Weight::Semibold, &said.heading, &[18.0, 16.0, 14.0, 12.0], room);
        sheet.text(Weight::Semibold, size, Align::Start, (left, of.y + semibold.cap_height(size).0), heading);
        let (size, tone) = fitted(Weight::Regular, &said.tone, &[14.0, 12.0, 11.0], room);
        sheet.text(Weight::Regular, size, Align::Start, (left, of.y + 9.4), tone);
        let (size, place) = fitted(Weight::Semibold, &self.tile_line(), &[14.0, 12.0, 11.0, 10.0, 9.0], room);
        sheet.text(Weight::Semibold, size, Align::Start, (left, base), place);
    }

    pub(super) fn foot(&self, sheet: &mut Sheet, of: PageBox) {
        let said = self.said;
        let semibold = TypeFace::of(Weight::Semibold);
        legend::row(sheet, &said.legend, of.x, of.y, of.width, &[12.0, 11.0, 10.0, 9.0]);
        sheet.text(Weight::Semibold, NUMERAL, Align::End, (of.right() + 0.6, of.foot()), said.numeral.as_str());
        let mut left = of.x;
        let room = of.right() - semibold.width(&said.numeral, NUMERAL).0 - 6.0;
        if !self.job.settings.letter.is_empty() {
            frame::plate_letter(
                sheet,
                PageBox::new(of.x, of.y + 8.6, 8.2, 8.8),
                &self.job.settings.letter,
                self.job.settings.notch,
                self.for_use.view(),
            );
            left += 11.5;
        }
        left += transfer_picture(sheet, left, of.y + 11.9, self.for_use);
        let (size, covered) = fitted(Weight::Semibold, &said.covered, &[13.0, 12.0, 11.0, 10.0, 9.0], room - left);
        sheet.text(Weight::Semibold, size, Align::Start, (left, of.y + 12.2), covered);
        let (size, rule) = fitted(Weight::Regular, said.rule, &[12.0, 11.0, 10.0, 9.0], room - left);
        sheet.text(Weight::Regular, size, Align::Start, (left, of.y + 18.0), rule);
        let first = |words: String| Slot::new(Weight::Regular, room - of.x, words);
        let page = format!("{} · {}", said.page, strip_line(self.job.bites));
        let mut lines = [first(self.assembly()), first(page)];
        Slot::fill(&mut lines, &self.facts());
        for words in &self.more_facts() {
            Slot::place(&mut lines, words);
        }
        for (line, base) in lines.iter().zip([23.0, 27.6]) {
            let (size, words) = line.fitted();
            sheet.text(Weight::Regular, size, Align::Start, (of.x, of.y + base), words);
        }
    }

    pub(super) fn column(&self, sheet: &mut Sheet, of: PageBox) {
        let mut trial = Sheet::new("", sheet.page);
        // A wide column has larger words, where all of them find room in it.
        let large = of.width >= 54.0 && self.column_with_air(&mut trial, of, (true, 0.0)) <= of.height;
        let used = self.column_with_air(&mut trial, of, (large, 0.0));
        self.column_with_air(sheet, of, (large, ((of.height - used) / 6.0).clamp(0.0, 7.0)));
    }

    /// Sets the column with so many mm more between its parts; returns the height it takes.
    fn column_with_air(&self, sheet: &mut Sheet, of: PageBox, (large, air): (bool, f64)) -> f64 {
        let (job, said) = (self.job, self.said);
        let semibold = TypeFace::of(Weight::Semibold);
        let cap = semibold.cap_height(NUMERAL).0;
        sheet.text(Weight::Semibold, NUMERAL, Align::Start, (of.x - 0.6, of.y + cap), said.numeral.as_str());
        if !job.settings.letter.is_empty() {
            let plate = PageBox::new(of.right() - 9.6, of.y, 9.6, 10.6);
            frame::plate_letter(sheet, plate, &job.settings.letter, job.settings.notch, self.for_use.view());
        }
        let mut flow = Flow { sheet, x: of.x, width: of.width, y: of.y + cap + 2.0 };
        let (size, heading) = fitted(Weight::Semibold, &said.heading, &[18.0, 16.0, 14.0, 13.0], of.width);
        flow.lines(Weight::Semibold, size, &heading);
        let (text, least) = if large { (12.0, 11.0) } else { (10.0, 9.0) };
        flow.lines(Weight::Regular, if large { 13.0 } else { 11.0 }, &said.tone);
        flow.gap(1.6 + air);
        let small = thumbnail_size(job.plate.size(), (18.0, 16.0));
        thumbnail(flow.sheet, PageBox::new(of.x, flow.y, small.0, small.1), self.tile);
        let beside = of.x + small.0 + 3.0;
        let place = self.tile.place();
        let (row, column) = place.split_once(", ").unwrap_or((place.as_str(), ""));
        for (index, (size, words)) in
            [(16.0, format!("Tile {}", self.tile.code())), (text, row.to_owned()), (text, column.to_owned())].into_iter().enumerate()
        {
            let weight = if index == 0 { Weight::Semibold } else { Weight::Regular };
            flow.sheet.text(weight, size, Align::Start, (beside, flow.y + 4.6 + index as f64 * 5.0), words);
        }
        flow.gap(small.1.max(16.0) + 2.4 + air);
        frame::view_sign(flow.sheet, PageBox::new(of.x, flow.y, 12.0, 12.0), self.for_use.view());
        let (size, view) = fitted(Weight::Semibold, said.view, &[15.0, 13.0, 12.0, 10.0], of.width - 14.5);
        flow.sheet.text(Weight::Semibold, size, Align::Start, (of.x + 14.5, flow.y + semibold.cap_height(size).0), view);
        let (size, mirrored) = fitted(Weight::Regular, said.mirrored, &[12.0, 10.0, 9.0], of.width - 14.5);
        flow.sheet.text(Weight::Regular, size, Align::Start, (of.x + 14.5, flow.y + 11.6), mirrored);
        flow.gap(14.4 + air);
        for sign in &said.legend {
            legend::draw(flow.sheet, PageBox::new(of.x, flow.y, 9.0, 5.0), *sign);
            let words = sign.words(said.legend.len() > 3 || of.width < 54.0);
            let room = of.width - 11.0;
            let size = [12.0, 11.0, 10.0, 9.0].into_iter().find(|&size| semibold.width(words, size).0 <= room);
            if let Some(size) = size {
                let base = flow.y + 2.5 + semibold.cap_height(size).0 / 2.0;
                flow.sheet.text(Weight::Semibold, size, Align::Start, (of.x + 11.0, base), words);
                flow.gap(6.8);
            } else {
                // Words that must not be cut go on as many lines as they need.
                let lines = semibold.wrap(words, 9.0, Millimetres(room));
                for (row, line) in lines.iter().enumerate() {
                    let base = flow.y + 3.3 + row as f64 * line_height(9.0);
                    flow.sheet.text(Weight::Semibold, 9.0, Align::Start, (of.x + 11.0, base), line.as_str());
                }
                flow.gap(2.6 + lines.len() as f64 * line_height(9.0));
            }
        }
        flow.gap(0.4 + air);
        let covered = if of.width < 54.0 {
            11.0
        } else if large {
            14.0
        } else {
            13.0
        };
        flow.lines(Weight::Semibold, covered, &said.covered);
        for Fact { words, .. } in &said.small {
            flow.gap(0.6);
            flow.lines(Weight::Regular, text, words);
        }
        flow.gap(1.0);
        flow.lines(Weight::Regular, text, said.rule);
        flow.gap(1.0 + air);
        flow.lines(Weight::Regular, least, &self.assembly());
        flow.gap(1.0);
        flow.sheet.stroke(HAIR, (of.x, flow.y), (of.right(), flow.y));
        flow.gap(1.0);
        let title = if said.title.is_empty() {
            String::new()
        } else {
            format!("{} · ", fitted(Weight::Regular, &said.title, &[least], of.width - 6.0).1)
        };
        flow.lines(Weight::Regular, least, &format!("{title}{}", said.facts.join(" · ")));
        let used = flow.y - of.y;
        let foot = of.foot();
        sheet.text(Weight::Semibold, 10.0, Align::Start, (of.x, foot - line_height(10.0)), "↑ TOP");
        sheet.text(Weight::Regular, 10.0, Align::Start, (of.x, foot), said.page.as_str());
        sheet.text(Weight::Semibold, NUMERAL, Align::End, (of.right() + 0.6, foot), said.numeral.as_str());
        used + cap + 3.0
    }

    /// The words in margins of 10 mm: what identifies the sheet above, the legend at the right, what to do and the facts at the left.
    pub(super) fn margins(&self, sheet: &mut Sheet, page: SizeMm) {
        let said = self.said;
        let (wide, high) = (page.width.0, page.height.0);
        let face = TypeFace::of(Weight::Semibold);
        let edge = 4.6;
        let size = 18.0;
        let cap = face.cap_height(size).0;
        let numeral = face.width(&said.numeral, size).0;
        sheet.text(Weight::Semibold, size, Align::Start, (MARGIN, edge + cap), said.numeral.as_str());
        sheet.text(Weight::Semibold, size, Align::End, (wide - MARGIN, high - edge), said.numeral.as_str());
        let small = thumbnail_size(self.job.plate.size(), (9.0, 4.8));
        thumbnail(sheet, PageBox::new(wide - MARGIN - small.0, edge, small.0, small.1), self.tile);
        frame::view_sign(sheet, PageBox::new(wide - MARGIN - small.0 - 7.0, edge - 0.2, 5.2, 5.2), self.for_use.view());
        let left = MARGIN + numeral + 4.0;
        let letter = &self.job.settings.letter;
        let plate = if letter.is_empty() { String::new() } else { format!(" · plate {letter}") };
        let head = format!("↑ TOP · {} · {} · {}, {}{plate}", self.tile_line(), said.heading, said.view, said.mirrored);
        // At the right the legend, and above it words.
        let mut foot = high - MARGIN;
        for sign in &said.legend {
            let words = sign.words(true);
            legend::draw(sheet, PageBox::new(wide - edge - 4.6, foot - 7.0, 4.6, 7.0), *sign);
            upwards(sheet, 10.0, Align::Start, (wide - edge - 1.0, foot - 8.5), words);
            foot -= 8.5 + TypeFace::of(Weight::Regular).width(words, 10.0).0 + 3.5;
        }
        frame::bar_across(sheet, (MARGIN + 4.0, high - 6.6));
        frame::bar_along(sheet, (6.4, high - MARGIN - BAR));
        let beside = MARGIN + BAR + 8.0;
        let numeral_left = wide - MARGIN - numeral - 3.0;
        let mut slots = [
            Slot::new(Weight::Semibold, wide - MARGIN - small.0 - 9.0 - left, head),
            Slot::new(Weight::Regular, foot - MARGIN - 4.0, format!("{} · {}", said.page, strip_line(self.job.bites))),
            Slot::new(Weight::Regular, high - 2.0 * MARGIN - BAR - 6.0, String::new()),
            Slot::new(Weight::Semibold, numeral_left - beside, String::new()),
        ];
        // The strip stands there already.
        let mut facts = vec![Fact::new(said.rule, self.for_use.brief_rule()), Fact::new(ASSEMBLY, BRIEF_ASSEMBLY)];
        facts.extend(self.diagonal.map(|diagonal| {
            let diagonal = plain(diagonal);
            Fact::new(format!("The plate’s diagonal is {diagonal} mm."), format!("diagonal {diagonal} mm"))
        }));
        // What no other place says goes before what else stands on the cover or on other tiles.
        facts.splice(1..1, said.arrows.iter().cloned());
        facts.push(Fact::new(&*said.covered, if said.brief.is_empty() { &*said.covered } else { &*said.brief }));
        facts.extend(self.facts().into_iter().filter(|fact| Some(fact) != said.arrows.as_ref()));
        Slot::fill(&mut slots, &facts);
        for words in &self.more_facts() {
            Slot::place(&mut slots, words);
        }
        let [head, right, up, across] = slots;
        let (size, words) = head.fitted();
        sheet.text(Weight::Semibold, size, Align::Start, (left, edge + 3.4), words);
        let (size, words) = right.fitted();
        upwards(sheet, size, Align::End, (wide - edge - 1.0, MARGIN + 2.0), words);
        let (size, words) = up.fitted();
        upwards(sheet, size, Align::End, (edge + 2.8, MARGIN + 2.0), words);
        let (size, words) = across.fitted();
        sheet.text(Weight::Semibold, size, Align::Start, (beside, high - edge - 1.0), words);
    }
}

/// How tiles are put together, wherever words stand.
const ASSEMBLY: &str = "Cut at the join, lay it on the next tile: half marks lettered alike meet.";

/// The same in few words.
const BRIEF_ASSEMBLY: &str = "Cut at the join: marks lettered alike meet.";

/// A line of a margin, filled with sentences as long as there is room.
#[derive(Clone)]
struct Slot {
    weight: Weight,
    room: f64,
    words: String,
}

impl Slot {
    fn new(weight: Weight, room: f64, words: String) -> Self {
        Self { weight, room, words }
    }

    /// Puts words into the slot that holds them whole at 9 pt with the least room to spare; where none does they are left out, for half a
    /// sentence says nothing. Whether they are in.
    fn place(slots: &mut [Self], words: &str) -> bool {
        let mut best: Option<(f64, usize, String)> = None;
        for (index, slot) in slots.iter().enumerate() {
            let all = if slot.words.is_empty() { words.to_owned() } else { format!("{} · {words}", slot.words.trim_end_matches('.')) };
            let spare = slot.room - TypeFace::of(slot.weight).width(&all, 9.0).0;
            if spare >= 0.0 && best.as_ref().is_none_or(|best| spare < best.0) {
                best = Some((spare, index, all));
            }
        }
        let Some((_, index, all)) = best else { return false };
        slots[index].words = all;
        true
    }

    /// Puts all facts into slots, as few of them in few words as it takes, the later ones first.
    fn fill(slots: &mut [Self], facts: &[Fact]) {
        for whole in (0..=facts.len()).rev() {
            let words: Vec<&str> =
                facts.iter().enumerate().map(|(index, fact)| if index < whole { &*fact.words } else { &*fact.brief }).collect();
            let mut trial = slots.to_vec();
            if Self::all(&mut trial, &words) {
                slots.clone_from_slice(&trial);
                return;
            }
        }
        // Too much for any order: what stands first goes in first.
        for fact in facts {
            Self::place(slots, &fact.brief);
        }
    }

    /// Puts every sentence into some slot, by trial of all ways: a handful into four. Whether there is one.
    fn all(slots: &mut [Self], words: &[&str]) -> bool {
        let Some((first, rest)) = words.split_first() else { return true };
        (0..slots.len()).rev().any(|index| {
            let before = slots[index].words.clone();
            let placed = Self::place(&mut slots[index..=index], first) && Self::all(slots, rest);
            if !placed {
                slots[index].words = before;
            }
            placed
        })
    }

    fn fitted(&self) -> (f64, String) {
        fitted(self.weight, &self.words, &[11.0, 10.0, 9.0], self.room)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{letter, sheets_around, some_aside};
    use super::super::{Kind, Paper, SheetSettings, Style, Transfer};
    use crate::aside::Aside;
    use crate::plane::Plane;
    use crate::sheets::Bars;
    use crate::units::Millimetres;

    /// The number before words of small islands on a sheet; 0 where there are none.
    fn told(all: &str) -> usize {
        let before = all.find(" small island").map(|at| &all[..at]);
        before.and_then(|words| words.rsplit(' ').next()).map_or(0, |count| count.parse().unwrap())
    }

    /// Where specks lie, pixels of 0.5 mm: a lattice through which joins pass, all round.
    fn speck(x: usize, y: usize) -> bool {
        x % 37 < 2 && y % 41 < 2
    }

    #[test]
    fn arrows_are_told_in_margins_too_and_each_small_island_is_counted_on_one_tile() {
        let bars = Bars::try_from((101.4, 100.6)).unwrap();
        let mut margins = 0;
        for (paper, width, height) in [
            (Paper::A4, 365.0, 540.0),
            (Paper::A4, 540.0, 365.0),
            (Paper::Letter, 376.0, 505.0),
            (Paper::A4, 300.0, 400.0),
            (Paper::A3, 400.0, 600.0),
        ] {
            for (transfer, aside, style) in [
                (Transfer::Trace, false, Style::Full),
                (Transfer::Press, false, Style::Full),
                (Transfer::Press, true, Style::Full),
                (Transfer::Trace, true, Style::Outline),
            ] {
                let (plate, plain) = letter(width, height);
                let five_signs = aside;
                let aside = if aside { some_aside(&plain) } else { Aside::default() };
                let map = Plane::from_fn(plain.width(), plain.height(), |x, y| if speck(x, y) { 0 } else { 2 });
                let settings = SheetSettings {
                    paper,
                    transfer,
                    style,
                    kinds: vec![Kind::StopOuts],
                    letter: "B".into(),
                    title: "Ice house in the snow, second state".into(),
                    date: Some("27 November 2026".into()),
                    inward: Millimetres(0.5),
                    bars: Some(bars),
                    ..SheetSettings::default()
                };
                // Specks that the resist or an area by hand does not take: what is cut into stays small.
                let left = aside.applied(crate::tones::StepMap::new(crate::tones::ToneCount::new(3).unwrap(), map.clone())).1;
                let zones = left.as_ref().map_or(&map, |zones| zones.plane());
                let mut islands = 0;
                for y in 0..zones.height() {
                    for x in 0..zones.width() {
                        let new = zones.at(x, y) == 0;
                        islands += usize::from(new && (x == 0 || zones.at(x - 1, y) != 0) && (y == 0 || zones.at(x, y - 1) != 0));
                    }
                }
                let made = sheets_around(&plate, map, aside, 3, &settings);
                let in_margins = made.notes.iter().any(|note| note.contains("leave only the margins"));
                let uses = if transfer == Transfer::Press { ["transfer", "guide"].as_slice() } else { &["stop-out"] };
                for usage in uses {
                    let mut count = 0;
                    for sheet in made.sheets.iter().filter(|sheet| sheet.name.contains(usage)) {
                        let all = sheet.words().collect::<Vec<_>>().join(" ");
                        count += told(&all);
                        if !in_margins {
                            continue;
                        }
                        margins += 1;
                        let outline = style == Style::Outline;
                        assert!(all.contains("small island"), "{} of {width} × {height}, {paper:?}: {all}", sheet.name);
                        // The legend of all that is set aside, and a guide's longer words, leave too little room for everything at once.
                        if five_signs || *usage == "guide" {
                            continue;
                        }
                        for (long, brief) in [
                            ("corrected for this printer: × ", "bars × 0.986, × 0.994"),
                            ("diagonal", if sheet.name.contains("tile A1") { "diagonal" } else { "" }),
                            ("islands too small for it", "mm inside but "),
                            ("marks lettered alike meet", "marks lettered alike meet"),
                            if outline { ("OUTLINES ONLY", "OUTLINES ONLY") } else { ("of the face is covered", "covered then") },
                            ("mirrored", "mirrored"),
                        ] {
                            assert!(
                                all.contains(long) || all.contains(brief),
                                "{long} on {} of {width} × {height}, {paper:?}: {all}",
                                sheet.name
                            );
                        }
                    }
                    assert_eq!(count, islands, "{usage} of {width} × {height} on {paper:?}");
                }
            }
        }
        assert!(margins > 20, "{margins} sheets with words in the margins alone");
    }
}

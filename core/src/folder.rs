//! The folder of a plan: every file of it, from the sheets to the description, as named bytes.

use crate::archive::Named;
use crate::bath::pairs::Judgement;
use crate::bites::{BitePlan, TimedDip};
use crate::bits::BitPlane;
use crate::jpeg_file::JpegFile;
use crate::outline::Outlines;
use crate::plane::Plane;
use crate::plate::Plate;
use crate::png_file;
use crate::pulls::{self, Record};
use crate::read_me;
use crate::report::PlanReport;
use crate::stopouts::StopOuts;
use crate::stopouts_svg::stopouts_svg;
use crate::table;
use crate::view::View;

/// A plan and what is said of it.
#[derive(Clone)]
pub struct Folder<'a> {
    /// The plate.
    pub plate: &'a Plate,
    /// Its stop-outs.
    pub stop_outs: &'a StopOuts,
    /// Their edges.
    pub outlines: &'a Outlines,
    /// Its ladder of times.
    pub bites: &'a BitePlan,
    /// All in figures.
    pub report: PlanReport,
    /// The sheets, PDF.
    pub sheets: &'a [u8],
    /// The job's title; may be empty.
    pub title: &'a str,
    /// The letter on the plate's back; may be empty.
    pub letter: &'a str,
    /// The day, as given.
    pub date: Option<&'a str>,
    /// What is said of metal and mordant; none: they are not named.
    pub judged: Option<&'a Judgement>,
    /// Dips to come of a plate that lacks tones; none where every bite is one.
    pub dips: &'a [TimedDip],
    /// What was written down of the pulls; none: nothing was.
    pub pulls: Option<&'a Record>,
    /// Which way round `stopouts.svg` is; rasters are always in print view.
    pub view: View,
}

impl Folder<'_> {
    /// Whether metal and mordant are a STOP: then no file holds a time.
    #[must_use]
    pub fn stops(&self) -> bool {
        self.judged.is_some_and(Judgement::stops)
    }

    /// Every file: `sheets.pdf`, `stopouts.svg`, `steps.png`, `masks/stopout-NN.png`, `masks/lift.png` and `masks/by-hand.png` where there are such,
    /// `plan.csv`, `plan.json`, `pulls.csv` and `pulls/pull-NN.jpg` where pulls are written down, `read-me.txt`. `progress` hears what share is done.
    #[must_use]
    pub fn files(&self, progress: &mut dyn FnMut(f32)) -> Vec<Named> {
        let resolution = self.stop_outs.resolution();
        let report = if self.stops() { self.report.clone().without_times(self.bites) } else { self.report.clone() };
        let stop_outs = self.stop_outs.list();
        let all = stop_outs.len() + 4;
        let mut done = 0;
        let mut lap = || {
            done += 1;
            progress(done as f32 / all as f32);
        };
        let mut files = vec![("sheets.pdf".to_owned(), self.sheets.to_vec())];
        let svg = stopouts_svg(self.stop_outs, self.outlines, self.plate, self.view, self.title);
        files.push(("stopouts.svg".to_owned(), svg.into_bytes()));
        lap();
        files.push(("steps.png".to_owned(), png_file::grey(self.stop_outs.map().plane(), resolution)));
        lap();
        for stop in stop_outs {
            files.push((format!("masks/stopout-{:02}.png", stop.number), png_file::grey(&self.stop_outs.mask(stop.number), resolution)));
            lap();
        }
        let aside = self.stop_outs.aside();
        if let Some(resist) = aside.resist() {
            files.push(("masks/lift.png".to_owned(), png_file::grey(&shown(resist, 0, 255), resolution)));
        }
        if let Some(by_hand) = aside.by_hand() {
            files.push(("masks/by-hand.png".to_owned(), png_file::grey(&shown(by_hand, 255, 0), resolution)));
        }
        lap();
        files.push(("plan.csv".to_owned(), table::csv(&report, self.dips, self.bites.leaves()).into_bytes()));
        files.push(("plan.json".to_owned(), report.json().into_bytes()));
        if let Some(record) = self.pulls.filter(|record| !record.pulls.is_empty()) {
            files.push(("pulls.csv".to_owned(), pulls::csv(record).into_bytes()));
            for pull in &record.pulls {
                let photo = pull.now.photo.as_ref().and_then(|shown| record.photos.iter().find(|photo| photo.id == shown.id));
                if let Some(file) = photo.and_then(|photo| JpegFile::from_base64(&photo.jpeg).ok()) {
                    files.push((format!("pulls/pull-{:02}.jpg", pull.number), file.bytes().to_vec()));
                }
            }
        }
        let read_me = read_me::text(self, &report, &files);
        files.push(("read-me.txt".to_owned(), read_me.into_bytes()));
        lap();
        files
    }
}

fn shown(bits: &BitPlane, set: u8, clear: u8) -> Plane<u8> {
    Plane::from_fn(bits.width(), bits.height(), |x, y| if bits.at(x, y) { set } else { clear })
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::aside::{Aside, Zones};
    use crate::bath::pairs::{Named as Bath, judged};
    use crate::bites::{plan, targets};
    use crate::curve::BiteCurve;
    use crate::light::Lightness;
    use crate::stopouts::HandSpeed;
    use crate::strip::TestStrip;
    use crate::tones::{Breaks, StepMap, Targets, ToneCount};
    use crate::units::{Millimetres, PxPerMm};

    /// A plate of 13 × 11 mm with a bevel of 1.5 mm and three tones, at 6 px/mm.
    pub(crate) struct Small {
        pub(crate) plate: Plate,
        pub(crate) outlines: Outlines,
        pub(crate) stop_outs: StopOuts,
        pub(crate) bites: BitePlan,
        breaks: Breaks,
    }

    impl Small {
        pub(crate) fn of(strip: &TestStrip, aside: Aside) -> Self {
            let plate = Plate::new(Millimetres(13.0), Millimetres(11.0), Millimetres(1.5)).unwrap();
            let resolution = PxPerMm(6.0);
            let (width, height) = plate.raster(resolution).unwrap();
            let tones = ToneCount::new(3).unwrap();
            let map = StepMap::new(tones, Plane::from_fn(width, height, |x, y| ((x / 9 + y / 7) % 3) as u8));
            let (map, zones) = aside.applied(map);
            let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), Zones::plane), resolution);
            let stop_outs = StopOuts::around(map, (aside, zones), &outlines, resolution, HandSpeed::default());
            let curve = BiteCurve::of(strip);
            let targets = targets(tones, &curve, Targets::RESERVE).unwrap();
            let bites = plan(&targets, &curve, strip).unwrap().ranged(&curve, 200);
            let breaks = Breaks::new(vec![Lightness(66.6), Lightness(33.3)]).unwrap();
            Self { plate, outlines, stop_outs, bites, breaks }
        }

        pub(crate) fn report(&self) -> PlanReport {
            PlanReport::of(&self.plate, &self.breaks, &self.stop_outs, &self.bites, vec!["A note.".to_owned()])
        }

        pub(crate) fn files(&self, judged: Option<&Judgement>) -> Vec<Named> {
            let folder = Folder {
                plate: &self.plate,
                stop_outs: &self.stop_outs,
                outlines: &self.outlines,
                bites: &self.bites,
                report: self.report(),
                sheets: b"%PDF",
                title: "Ice house",
                letter: "B",
                date: None,
                judged,
                dips: &[],
                pulls: None,
                view: View::Print,
            };
            folder.files(&mut |share| assert!((0.0..=1.0).contains(&share)))
        }
    }

    pub(crate) fn report() -> PlanReport {
        Small::of(&TestStrip::example(), Aside::default()).report()
    }

    pub(crate) fn bits(from: usize, to: usize) -> Option<BitPlane> {
        let mut bits = BitPlane::empty(60, 48);
        (8..30).for_each(|y| bits.set_stretch(y, from, to));
        Some(bits)
    }

    fn text<'a>(files: &'a [Named], name: &str) -> &'a str {
        std::str::from_utf8(&files.iter().find(|file| file.0 == name).unwrap().1).unwrap()
    }

    #[test]
    fn the_set_is_whole_and_says_what_it_is() {
        let small = Small::of(&TestStrip::example(), Aside::new(bits(4, 12), bits(30, 44)));
        let files = small.files(None);
        let names: Vec<&str> = files.iter().map(|file| file.0.as_str()).collect();
        assert_eq!(
            names,
            [
                "sheets.pdf",
                "stopouts.svg",
                "steps.png",
                "masks/stopout-01.png",
                "masks/stopout-02.png",
                "masks/lift.png",
                "masks/by-hand.png",
                "plan.csv",
                "plan.json",
                "read-me.txt"
            ]
        );
        let said = text(&files, "read-me.txt");
        for part in
            ["Ice house", "Plate B: 13 × 11 mm", "EXAMPLE, NOT YOUR BATH", "masks/lift.png", "masks/by-hand.png", "A note.", "shop's rules"]
        {
            assert!(said.contains(part), "{part} in {said}");
        }
        let plain = Small::of(&TestStrip::example(), Aside::default()).files(None);
        assert!(!plain.iter().any(|file| file.0.contains("lift") || file.0.contains("hand")));
        assert!(!text(&plain, "read-me.txt").contains("masks/lift.png"));
    }

    #[test]
    fn without_a_strip_or_after_a_stop_no_file_holds_a_time() {
        let zinc = judged(Bath { metal: Some("zinc"), mordant: Some("ferric chloride"), ..Bath::default() });
        assert!(zinc.stops());
        for (strip, judged) in [(TestStrip::missing(), None), (TestStrip::example(), Some(&zinc))] {
            let files = Small::of(&strip, Aside::default()).files(judged);
            let plan: serde_json::Value = serde_json::from_str(text(&files, "plan.json")).unwrap();
            for tone in plan["tones"].as_array().unwrap() {
                assert!(["total_s", "bite_s", "set_s", "range_s"].iter().all(|name| tone[name].is_null()), "{tone}");
            }
            let mut rows = text(&files, "plan.csv").split_terminator("\r\n").map(|row| row.split(',').collect::<Vec<_>>());
            let head = rows.next().unwrap();
            let seconds: Vec<usize> = (0..head.len()).filter(|&column| head[column].ends_with("_s")).collect();
            assert!(seconds.len() == 6 && rows.all(|row| seconds.iter().all(|&column| row[column].is_empty())));
            let said = text(&files, "read-me.txt");
            assert!(said.contains("no times are in these files") && !said.contains("EXAMPLE"), "{said}");
            assert_eq!(said.contains("STOP: "), judged.is_some());
        }
    }
}

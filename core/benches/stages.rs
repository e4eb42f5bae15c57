//! Each stage at 2 and 24 megapixels, on a seeded wash drawing made here: broad soft shapes, hard edges, specks and lines.
//!
//! ```text
//! cargo bench -p stepbite-core                      everything
//! cargo bench -p stepbite-core -- "24 MP"           one size
//! ```
//! Benchmarks measure; no test depends on a time.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use criterion::{BenchmarkId, Criterion};
use std::hint::black_box;
use std::rc::Rc;
use std::time::Duration;
use stepbite_core::aside::Aside;
use stepbite_core::bands::{self, HandError};
use stepbite_core::bites::{self, BitePlan};
use stepbite_core::colour::{Lamp, Rgb};
use stepbite_core::curve::BiteCurve;
use stepbite_core::drawing::Drawing;
use stepbite_core::edges::{self, Edges};
use stepbite_core::face::{self, Face, Fit};
use stepbite_core::facing::{self, Align, Faced, Weigh};
use stepbite_core::film::Film;
use stepbite_core::grids::{self, Effort};
use stepbite_core::homography::Homography;
use stepbite_core::islands;
use stepbite_core::light::{Lightness, Reflectance};
use stepbite_core::lines::{self, LineSettings};
use stepbite_core::outline::{Curves, Outlines};
use stepbite_core::pdf::pdf;
use stepbite_core::photo::{self, Corners, PhotoSettings, corners};
use stepbite_core::picture;
use stepbite_core::plane::Plane;
use stepbite_core::plate::{Plate, SizeMm};
use stepbite_core::png_file;
use stepbite_core::proof::{self, Films, ProofTones, Window};
use stepbite_core::pull::{self, Grounds, Inks, Joint, Misfit, Pits, Plate as Printer, Printing, Pull, Shares};
use stepbite_core::regions::{Mark, Softened, paintable};
use stepbite_core::relief::{GrainChoice, Relief};
use stepbite_core::removed;
use stepbite_core::rows::{self, Pin, Rules, Wish};
use stepbite_core::sheets::{SheetSettings, Sheets};
use stepbite_core::smoothing::Smoothing;
use stepbite_core::soft;
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::strip::{StripKind, TestStrip};
use stepbite_core::strip_photo::{self, PaperLightness, StripPhotoSettings, StripPlace};
use stepbite_core::tones::{self, Breaks, Targets, ToneCount};
use stepbite_core::under;
use stepbite_core::units::{Millimetres, PointMm, PxPerMm, Seconds};
use stepbite_core::view::View;
use stepbite_core::what_if::what_if;
use stepbite_core::worth::{Cut, Own, Preview, Worth};

/// A face, its resolution, and the name of its size.
struct Case {
    name: &'static str,
    plate: Plate,
    resolution: PxPerMm,
}

fn cases() -> [Case; 2] {
    let plate = |width: f64, height: f64| Plate::new(Millimetres(width), Millimetres(height), Millimetres(0.0)).unwrap();
    [
        Case { name: "2 MP", plate: plate(160.0, 125.0), resolution: PxPerMm(10.0) },
        Case { name: "24 MP", plate: plate(400.0, 266.6), resolution: PxPerMm(15.0) },
    ]
}

/// Linear light of a made-up wash drawing: a few octaves of soft noise, cut by hard shapes, sprinkled with specks.
fn wash(width: usize, height: usize) -> Plane<f32> {
    let hash = |x: i64, y: i64, octave: u64| {
        let mut h = (x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (y as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F) ^ octave;
        h = (h ^ (h >> 31)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        ((h ^ (h >> 29)) >> 40) as f32 / (1u32 << 24) as f32
    };
    let noise = |x: f32, y: f32, octave: u64| {
        let (u, v) = (x.floor(), y.floor());
        let (s, t) = (x - u, y - v);
        let (s, t) = (s * s * (3.0 - 2.0 * s), t * t * (3.0 - 2.0 * t));
        let at = |dx: i64, dy: i64| hash(u as i64 + dx, v as i64 + dy, octave);
        (at(0, 0) * (1.0 - s) + at(1, 0) * s) * (1.0 - t) + (at(0, 1) * (1.0 - s) + at(1, 1) * s) * t
    };
    let scale = width as f32 / 1600.0;
    Plane::from_fn(width, height, |x, y| {
        let (u, v) = (x as f32 / scale, y as f32 / scale);
        let soft = 0.55 * noise(u / 310.0, v / 310.0, 1) + 0.27 * noise(u / 90.0, v / 90.0, 2) + 0.12 * noise(u / 25.0, v / 25.0, 3);
        let hard = if noise(u / 140.0, v / 140.0, 4) > 0.62 { -0.3 } else { 0.0 };
        let tooth = 0.08 * (hash(x as i64, y as i64, 5) - 0.5);
        (soft + hard + tooth).clamp(0.0, 1.0).powi(2)
    })
}

/// A sheet of the wash with a margin, seen aslant on a dark table, in colour: what a phone gives.
fn photograph(width: usize, height: usize) -> (Drawing, Corners) {
    let wash = wash(width, height);
    let (w, h) = (width as f64, height as f64);
    let corners = Corners([[0.1 * w, 0.14 * h], [0.93 * w, 0.2 * h], [0.81 * w, 0.83 * h], [0.12 * w, 0.84 * h]]);
    let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
    let to_sheet = Homography::between(&corners.0, &square).unwrap();
    let encode = |light: f32| (Reflectance(f64::from(light)).encoded().0 * 65_535.0) as u16;
    let plane = Plane::from_fn(width, height, |x, y| {
        let [u, v] = to_sheet.apply([x as f64 + 0.5, y as f64 + 0.5]);
        let on = |margin: f64| (margin..1.0 - margin).contains(&u) && (margin..1.0 - margin).contains(&v);
        let light = if on(0.09) {
            wash.at(x, y)
        } else if on(0.0) {
            0.9
        } else {
            0.08
        };
        [light * 0.95, light * 0.8, light * 0.5].map(encode)
    });
    (Drawing::from_colour(plane), corners)
}

/// A strip of nine bands of coarse grain on a sheet in falling light, in colour, filling two thirds of the picture's width.
fn strip_photograph(width: usize, height: usize) -> Drawing {
    const BANDS: [f64; 9] = [91.0, 86.0, 80.5, 72.0, 61.0, 48.5, 36.5, 27.0, 20.5];
    let (w, h) = (width as f64, height as f64);
    let corners = [[0.16 * w, 0.42 * h], [0.85 * w, 0.38 * h], [0.86 * w, 0.52 * h], [0.17 * w, 0.55 * h]];
    let to_strip = Homography::between(&corners, &[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]).unwrap();
    let levels = BANDS.map(|l| Lightness(l).reflectance().0);
    let mut state = 9u32;
    let mut chance = move || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1u32 << 24)
    };
    Drawing::from_colour(Plane::from_fn(width, height, |x, y| {
        let [u, v] = to_strip.apply([x as f64 + 0.5, y as f64 + 0.5]);
        let on = (0.0..1.0).contains(&u) && (0.0..1.0).contains(&v);
        let light = if on { levels[(u * 9.0) as usize] } else { 0.83 };
        let grain = if on { 1.0 + 0.8 * (chance() - 0.5) } else { 1.0 + 0.04 * (chance() - 0.5) };
        let here = 0.9 * light * grain * (1.0 - 0.5 * x as f64 / w);
        [1.0, 0.88, 0.62].map(|tint| (Reflectance(here * tint).encoded().0 * 65_535.0) as u16)
    }))
}

fn bench_photo(criterion: &mut Criterion) {
    let (drawing, corners) = photograph(3024, 4032);
    let settings = PhotoSettings { corners: Some(corners), ..PhotoSettings::default() };
    let mut group = criterion.benchmark_group("photograph");
    group.bench_function("corners found, 12 MP", |b| b.iter(|| black_box(corners::find(drawing.luminance()))));
    group.bench_function("straightened and evened, 12 MP", |b| b.iter(|| black_box(photo::straighten(&drawing, &settings).unwrap())));
    let strip = strip_photograph(4032, 3024);
    let settings = StripPhotoSettings { place: StripPlace::Found, bands: None, paper: PaperLightness::Typed(Lightness(92.0)) };
    group.bench_function("test strip found and read, 12 MP", |b| b.iter(|| black_box(strip_photo::read(&strip, &settings).unwrap())));
    group.finish();
}

/// The whole set of a large plate: ten tones, 300 × 400 mm, tiles of A4, as the page asks for it.
fn bench_sheets(criterion: &mut Criterion) {
    let plate = Plate::new(Millimetres(300.0), Millimetres(400.0), Millimetres(1.5)).unwrap();
    let resolution = PxPerMm(10.0);
    let (width, height) = plate.raster(resolution).unwrap();
    let (_, _, plan, count) = ten_tones();
    let face = face::place(&Drawing::from_luminance(&wash(width, height)), &plate, Fit::Cover, resolution).unwrap();
    let softened = Softened::of(&face.lightness, resolution, Mark::new(Millimetres(1.0)).unwrap(), Smoothing::default());
    let map = paintable(&softened, &tones::even(count, face.ends).unwrap());
    let outlines = Outlines::of(map.plane(), resolution);
    let stopouts = StopOuts::of(map.clone(), &outlines, resolution, HandSpeed::default());
    let settings = SheetSettings::default();
    let mut group = criterion.benchmark_group("sheets");
    group.bench_function("edges as curves, 300 × 400 mm", |bencher| bencher.iter(|| black_box(Curves::of(map.plane(), resolution))));
    group.bench_function("whole set as PDF, ten tones, 300 × 400 mm", |bencher| {
        // With the curves, which a plan works out once.
        bencher.iter(|| black_box(pdf(&Sheets::of(&stopouts, &Outlines::of(map.plane(), resolution), &plan, &plate, &settings))));
    });
    group.finish();
}

/// Four plates over one another, a little off their places, in windows of 2 megapixels: the whole face of 160 × 125 mm, and its middle
/// through the glass.
fn bench_pull(criterion: &mut Criterion) {
    let plate = Plate::new(Millimetres(160.0), Millimetres(125.0), Millimetres(0.0)).unwrap();
    let resolution = PxPerMm(10.0);
    let (width, height) = plate.raster(resolution).unwrap();
    let (strip, curve, plan, count) = ten_tones();
    let face = face::place(&Drawing::from_luminance(&wash(width, height)), &plate, Fit::Cover, resolution).unwrap();
    let softened = Softened::of(&face.lightness, resolution, Mark::new(Millimetres(1.0)).unwrap(), Smoothing::default());
    let map = paintable(&softened, &tones::even(count, face.ends).unwrap());
    let outlines = Outlines::of(map.plane(), resolution);
    let stopouts = StopOuts::of(map.clone(), &outlines, resolution, HandSpeed::default());
    let plates: Vec<Printer> = (1..5)
        .map(|seed| {
            let choice = GrainChoice { seed, ..GrainChoice::default() };
            let tones = ProofTones::of(&stopouts, &plan, &Relief::of(&strip, &curve, &choice).unwrap()).unwrap();
            // Four drawings: the same one, as it is, mirrored, upside down, and both.
            let (across, down) = (seed % 2 == 0, seed > 2);
            let at = |x: usize, y: usize| map.plane().at(if across { width - 1 - x } else { x }, if down { height - 1 - y } else { y });
            Printer::new(Plane::from_fn(width, height, at), resolution, &tones)
        })
        .collect();
    let film = |densities: [f64; 3]| Film { absorption: Rgb(densities.map(|d| d * 1.15)), scatter: Rgb::default() };
    let inks = [[0.1, 0.9, 1.0], [1.2, 0.6, 0.1], [0.1, 0.15, 1.1], [0.8; 3]].map(|densities| Inks::one(film(densities)));
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let shift = |p: usize| PointMm { x: 0.3 * p as f64, y: -0.11 * p as f64 };
    let printings: Vec<Printing<'_>> = (0..4)
        .map(|p| {
            let misfit = Misfit { shift: shift(p), ..Misfit::default() };
            Printing { plate: &plates[p], inks: &inks[p], trap: 0.75, misfit, veil: 0.0 }
        })
        .collect();
    let pull = Pull { face: (Millimetres(160.0), Millimetres(125.0)), grounds: &grounds, printings: &printings, n: 1.8 };
    let mut group = criterion.benchmark_group("four plates over one another, 2 MP");
    let of = |p: usize| move |pull: &Pull<'_>| Pits::of(pull.printings[p].plate, pull.apart(p), &mut |_| {});
    group.bench_function("one plate's grain on its own raster", |bencher| bencher.iter(|| of(0)(&pull)));
    let grains: Vec<Pits> = (0..4).map(|p| of(p)(&pull)).collect();
    for (name, origin, px_per_mm) in
        [("whole face", 0.0, 10.0), ("40 px a mm", 40.0, 40.0), ("whole face in a quarter of the pixels", 0.0, 5.0)]
    {
        let side = |side: usize| if px_per_mm < 10.0 { side / 2 } else { side };
        let window = Window::new(PointMm { x: origin, y: origin }, px_per_mm, side(1600), side(1250)).unwrap();
        let looked = |p: usize| Rc::new(pull::shares(&printings[p], pull.apart(p), Some(&grains[p]), &window, &mut |_| {}));
        group.bench_function(format!("{name}: every plate under the window"), |bencher| {
            bencher.iter(|| (0..4).map(looked).collect::<Vec<_>>());
        });
        let mut seen: Vec<Rc<Shares>> = (0..4).map(looked).collect();
        group.bench_function(format!("{name}: one plate moved"), |bencher| {
            bencher.iter(|| {
                seen[2] = looked(2);
                let joint = Joint::of(&pull, &seen, &window);
                black_box(pull::shown(&pull, &joint, &window, Lamp::Daylight))
            });
        });
        let joint = Joint::of(&pull, &seen, &window);
        group.bench_function(format!("{name}: a changed ink"), |bencher| {
            bencher.iter(|| black_box(pull::shown(&pull, &joint, &window, Lamp::Daylight)));
        });
        group.bench_function(format!("{name}: mean colours"), |bencher| {
            bencher.iter(|| black_box(pull::flat_shown(&pull, &Joint::bare(&pull, &window), &window, Lamp::Daylight)));
        });
    }
    group.finish();
}

fn main() {
    let mut criterion = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(3))
        .configure_from_args();
    bench_photo(&mut criterion);
    for case in cases() {
        bench_case(&mut criterion, &case);
    }
    bench_pull(&mut criterion);
    bench_sheets(&mut criterion);
    bench_sizeless(&mut criterion);
    criterion.final_summary();
}

fn ten_tones() -> (TestStrip, BiteCurve, BitePlan, ToneCount) {
    let strip = TestStrip::example();
    let curve = BiteCurve::of(&strip);
    let count = ToneCount::new(10).unwrap();
    let targets = bites::targets(count, &curve, Targets::RESERVE).unwrap();
    let plan = bites::plan(&targets, &curve, &strip).unwrap();
    (strip, curve, plan, count)
}

/// Moves every break a little, as a hand that drags one would.
fn nudged(breaks: &Breaks) -> Breaks {
    Breaks::new(breaks.falling().iter().map(|l| Lightness(l.0 - 0.4)).collect()).unwrap()
}

fn bench_case(criterion: &mut Criterion, case: &Case) {
    let (width, height) = case.plate.raster(case.resolution).unwrap();
    let drawing = Drawing::from_luminance(&wash(width, height));
    let (strip, curve, plan, count) = ten_tones();
    let mark = Mark::new(Millimetres(1.0)).unwrap();
    let face: Face = face::place(&drawing, &case.plate, Fit::Cover, case.resolution).unwrap();
    let breaks = tones::even(count, face.ends).unwrap();
    let softened = Softened::of(&face.lightness, case.resolution, mark, Smoothing::default());
    let map = paintable(&softened, &breaks);
    let outlines = Outlines::of(map.plane(), case.resolution);
    let stopouts = StopOuts::of(map.clone(), &outlines, case.resolution, HandSpeed::default());
    let proof_tones = ProofTones::of(&stopouts, &plan, &Relief::of(&strip, &curve, &GrainChoice::default()).unwrap()).unwrap();
    let file = png_file::grey(&face.lightness.map(|&l| (l * 2.55) as u8), case.resolution);

    let mut group = criterion.benchmark_group(case.name);
    let mut stage = |name: &str, work: &mut dyn FnMut()| {
        group.bench_function(BenchmarkId::from_parameter(name), |bencher| bencher.iter(&mut *work));
    };
    stage("1 drawing, read PNG", &mut || drop(black_box(Drawing::read(&file).unwrap())));
    stage("2 drawing, placed", &mut || drop(black_box(face::place(&drawing, &case.plate, Fit::Cover, case.resolution).unwrap())));
    stage("3 tones, histogram and every fitted break", &mut || drop(black_box(tones::fitted(&face.histogram()).unwrap())));
    stage("4 tones, plain thresholds", &mut || drop(black_box(tones::quantise(&face.lightness, &breaks))));
    stage("5 regions, softened once", &mut || drop(black_box(Softened::of(&face.lightness, case.resolution, mark, Smoothing::default()))));
    stage("6 regions, clean-up", &mut || drop(black_box(paintable(&softened, &breaks))));
    stage("7 outlines", &mut || drop(black_box(Outlines::of(map.plane(), case.resolution))));
    stage("8 stop-outs", &mut || drop(black_box(StopOuts::of(map.clone(), &outlines, case.resolution, HandSpeed::default()))));
    stage("9 a moved break, clean-up to stop-outs", &mut || {
        let map = paintable(&softened, &nudged(&breaks));
        let outlines = Outlines::of(map.plane(), case.resolution);
        drop(black_box(StopOuts::of(map, &outlines, case.resolution, HandSpeed::default())));
    });
    stage("10 picture of a stop-out, 700 px", &mut || drop(black_box(picture::stop_out(map.plane(), 5, (700, 546), View::Plate, 4.4))));
    stage("11 proof of the whole face", &mut || drop(black_box(proof::print(&stopouts, &proof_tones, &Films::default(), &mut |_| {}))));
    let (levels, lines) = (soft::levels(&breaks, face.ends.paper, face.ends.black), LineSettings::default());
    stage("13 thin lines", &mut || drop(black_box(lines::found(&face.lightness, case.resolution, mark, lines))));
    stage("14 soft passages", &mut || drop(black_box(soft::passages(&outlines, &face.lightness, case.resolution, &levels))));
    stage("15 narrow bands", &mut || drop(black_box(bands::narrow(map.plane(), case.resolution, HandError::default()))));
    stage("16 islands of a stop-out", &mut || drop(black_box(islands::of(map.plane(), 5, None, case.resolution))));
    let plain = tones::quantise(&face.lightness, &breaks);
    stage("17 what clean-up removed", &mut || drop(black_box(removed::of(&plain, &map, case.resolution))));
    stage("18 places under the mark", &mut || drop(black_box(under::places(&map, &Aside::default(), mark, case.resolution))));
    let by = Some((mark, Smoothing::default()));
    stage("19 preview for another bite", &mut || drop(black_box(Preview::of(&face.lightness, case.resolution, by))));
    let preview = Preview::of(&face.lightness, case.resolution, by);
    let prints: Vec<_> = plan.tones.iter().map(|tone| tone.target).collect();
    let drawing = preview.laid(face.ends, curve.paper(), prints[prints.len() - 1]);
    stage("20 one count of tones weighed", &mut || {
        let cut = Cut::of(&preview, &breaks);
        let print = preview.eye().sees_print(cut.map(), &prints);
        black_box(Worth::of(&cut, &print, &drawing, &plan, &Own::default()));
        black_box(print.shares(&print, &drawing));
    });
    stage("21 edges as painted", &mut || drop(black_box(edges::got(&stopouts, &Edges::default()))));
    stage("22 chances of edges", &mut || drop(black_box(edges::chance(&stopouts, &Edges::default()))));
    if case.name == "2 MP" {
        let settings = SheetSettings::default();
        stage("12 sheets and PDF", &mut || drop(black_box(pdf(&Sheets::of(&stopouts, &outlines, &plan, &case.plate, &settings)))));
    }
    group.finish();
}

/// Plates side by side, from their maps to the best orders: six as a dragged plate asks for them, twelve as an exact search does.
fn bench_rows(criterion: &mut Criterion) {
    let prints: Vec<Lightness> = (0..10).map(|tone| Lightness(91.0 - 7.7 * f64::from(tone))).collect();
    let size = SizeMm { width: Millimetres(150.0), height: Millimetres(180.0) };
    let map = |seed: usize| Plane::from_fn(1470, 1770, |x, y| ((x / 90 * (seed + 3) + y / 130 * (seed + 5) + x * y / 400_000) % 10) as u8);
    for count in [6, 12] {
        let maps: Vec<Plane<u8>> = (0..count).map(map).collect();
        let rules = Rules::new(&vec![Pin::default(); count], true).alike(true);
        let costs = || {
            let plates: Vec<Faced> = maps.iter().map(|map| Faced::of(map, PxPerMm(10.0), &prints, size, None)).collect();
            facing::costs(&facing::table_across(&plates, Align::Horizon), Weigh::Tone)
        };
        criterion.bench_function(&format!("{count} plates: every joint of every turn"), |bencher| bencher.iter(|| black_box(costs())));
        let between = costs();
        criterion.bench_function(&format!("{count} plates in a row: the eight best, the mildest, three of most contrast"), |bencher| {
            bencher.iter(|| {
                black_box(rows::best(&between, &rules, Wish::RunOn, 8).unwrap());
                black_box(rows::mildest(&between, &rules).unwrap());
                black_box(rows::best(&between, &rules, Wish::Contrast, 3).unwrap());
            });
        });
        criterion.bench_function(&format!("{count} plates in rows of three: the eight best"), |bencher| {
            bencher.iter(|| {
                let mut told = |_: f32| ();
                let mut effort = Effort::new(grids::MOST_LOOKED_AT, 3, &mut told);
                black_box(grids::best((&between, &between), &rules, 3, Wish::RunOn, 8, &mut effort).unwrap())
            });
        });
        let even = vec![1.0 / 3.0; 4 * count * count];
        criterion.bench_function(&format!("{count} plates whose joints all cost the same: the eight best"), |bencher| {
            bencher.iter(|| black_box(rows::best(&even, &rules, Wish::RunOn, 8).unwrap()));
        });
    }
}

fn bench_sizeless(criterion: &mut Criterion) {
    let (strip, curve, ..) = ten_tones();
    criterion.bench_function("relief, fitted to a strip", |bencher| {
        bencher.iter(|| black_box(Relief::of(&strip, &curve, &GrainChoice::default()).unwrap()));
    });
    criterion.bench_function("bites, strip to ladder", |bencher| bencher.iter(|| black_box(ten_tones().2)));
    // A strip that falls, and one that does not: its readings at 20 s and 40 s change places.
    let example = TestStrip::example();
    let mut readings = example.readings().to_vec();
    (readings[3].lightness, readings[4].lightness) = (readings[4].lightness, readings[3].lightness);
    let messy = TestStrip::new("messy", StripKind::Measured, readings).unwrap();
    for (name, strip) in [("through its readings", &example), ("fitted between them", &messy)] {
        criterion.bench_function(&format!("bites, strip to ladder with ranges, {name}"), |bencher| {
            bencher.iter(|| {
                let curve = BiteCurve::of(strip);
                let targets = bites::targets(ToneCount::new(10).unwrap(), &curve, Targets::RESERVE).unwrap();
                black_box(bites::plan(&targets, &curve, strip).unwrap().ranged(&curve, curve.replicates()))
            });
        });
    }
    bench_rows(criterion);
    let (_, curve, plan, _) = ten_tones();
    let slip = || what_if(&plan, &curve, 4, Seconds(20.0));
    criterion.bench_function("what if a bite was off", |bencher| bencher.iter(|| black_box(slip().is_ok())));
}

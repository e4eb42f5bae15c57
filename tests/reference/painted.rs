//! Photographs of painted plates rendered by NumPy and OpenCV, gaps and over-runs at known places: what the look over a painted plate finds,
//! what it marks for nothing, and where it says that it can't tell. See scripts/painted_plates.py.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]
#![allow(clippy::print_stdout, reason = "what was measured is told")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stepbite_core::bands::HandError;
use stepbite_core::drawing::Drawing;
use stepbite_core::outline::Outlines;
use stepbite_core::painted::{Blind, PaintedCheck, PaintedPhoto, PaintedSettings, SEEN, Wrong, check, find};
use stepbite_core::photo::Corners;
use stepbite_core::plane::Plane;
use stepbite_core::plate::Plate;
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::tones::{StepMap, ToneCount};
use stepbite_core::units::{Millimetres, PxPerMm};

/// A gap or an over-run put in.
struct Place {
    gap: bool,
    at: [f64; 2],
    width: f64,
    length: f64,
    area: f64,
    glared: f64,
}

struct Painted {
    name: String,
    drawing: Drawing,
    plate: Plate,
    stop_outs: StopOuts,
    hand: HandError,
    metal: String,
    varnish: String,
    trouble: String,
    lamps: usize,
    corners: Corners,
    places: Vec<Place>,
}

fn table(file: &Path) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    let lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).skip(1);
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// Reads plates of a folder of pictures and two tables.
fn plates(folder: &Path, plates: &Path, places: &Path, only: &dyn Fn(&str) -> bool) -> Vec<Painted> {
    let all = table(places);
    let number = |cell: &String| cell.parse::<f64>().unwrap();
    let made = table(plates).into_iter().filter(|row| only(&row[0])).map(|row| {
        let name = row[0].clone();
        let mask = Drawing::read(&std::fs::read(folder.join(format!("{name}.png"))).unwrap()).unwrap();
        let mask = mask.luminance();
        let resolution = PxPerMm(5.0);
        // The mask is in plate view, a step map in print view.
        let map = Plane::from_fn(mask.width(), mask.height(), |x, y| u8::from(mask.at(mask.width() - 1 - x, y) > 0.5));
        let map = StepMap::new(ToneCount::new(2).unwrap(), map);
        let outlines = Outlines::of(map.plane(), resolution);
        let mine = all.iter().filter(|place| place[0] == name);
        Painted {
            drawing: Drawing::read(&std::fs::read(folder.join(format!("{name}.jpg"))).unwrap()).unwrap(),
            plate: Plate::new(Millimetres(number(&row[1])), Millimetres(number(&row[2])), Millimetres(number(&row[3]))).unwrap(),
            stop_outs: StopOuts::of(map, &outlines, resolution, HandSpeed::default()),
            hand: HandError::new(Millimetres(number(&row[4]))).unwrap(),
            metal: row[5].clone(),
            varnish: row[6].clone(),
            lamps: row[7].parse().unwrap(),
            trouble: row[8].clone(),
            corners: Corners(std::array::from_fn(|i| [number(&row[9 + 2 * i]), number(&row[10 + 2 * i])])),
            places: mine
                .map(|p| Place {
                    gap: p[1] == "gap",
                    at: [number(&p[2]), number(&p[3])],
                    width: number(&p[4]),
                    length: number(&p[5]),
                    area: number(&p[6]),
                    glared: number(&p[7]),
                })
                .collect(),
            name,
        }
    });
    made.collect()
}

fn fixtures(only: &dyn Fn(&str) -> bool) -> Vec<Painted> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/painted");
    plates(&folder, &stepbite_tests::data("painted_plates.csv"), &stepbite_tests::data("painted_places.csv"), only)
}

impl Painted {
    fn settings(&self) -> PaintedSettings {
        PaintedSettings { stop_out: 1, hand: self.hand, creep: Millimetres(0.25) }
    }

    /// How far the worst corner lies off, mm by the upper side.
    fn off(&self, corners: &Corners) -> f64 {
        let px = self.corners.sides()[0] / self.plate.size().width.0;
        corners.0.iter().zip(&self.corners.0).map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]) / px).fold(0.0, f64::max)
    }

    fn check(&self, corners: Option<Corners>) -> PaintedCheck {
        check(&[PaintedPhoto { drawing: &self.drawing, corners }], &self.plate, &self.stop_outs, &self.settings()).unwrap()
    }
}

/// What became of a place that was put in.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fate {
    Found,
    CantTell,
    Passed,
}

/// What became of each place, and how many marks are at none.
fn scored(painted: &Painted, check: &PaintedCheck) -> (Vec<Fate>, Vec<String>) {
    let mut used = vec![false; check.pieces.len()];
    let fates = painted.places.iter().map(|place| {
        let [x, y] = place.at;
        // A gap's middle lies in its piece; an over-run's may lie in the edge it grew out of.
        let reach = if place.gap { 0.5 } else { 0.6 * place.length + 0.6 };
        for (i, piece) in check.pieces.iter().enumerate() {
            let [l, t, r, b] = piece.extent;
            let away = (l - x).max(x - r).max(0.0).hypot((t - y).max(y - b).max(0.0));
            if (piece.wrong == Wrong::Missed) == place.gap && away <= reach {
                used[i] = true;
                return Fate::Found;
            }
        }
        if check.blind.is_some() {
            return Fate::CantTell;
        }
        let px = check.resolution.0;
        let (cx, cy) = ((x * px) as i64, (y * px) as i64);
        let near = (0.4 * px) as i64;
        let untold = (-near..=near).any(|dy| {
            (-near..=near).any(|dx| {
                let (x, y) = (cx + dx, cy + dy);
                let inside = x >= 0 && y >= 0 && (x as usize) < check.seen.width() && (y as usize) < check.seen.height();
                inside && check.seen.at(x as usize, y as usize) == SEEN[3]
            })
        });
        if untold { Fate::CantTell } else { Fate::Passed }
    });
    let fates: Vec<Fate> = fates.collect();
    let strays = check.pieces.iter().zip(&used).filter(|(_, used)| !**used);
    (fates, strays.map(|(p, _)| format!("{:?} {:.1} mm² at {:.1}, {:.1}", p.wrong, p.area_mm2, p.at.x, p.at.y)).collect())
}

const SPOILT: [&str; 4] = ["zinc-brown", "zinc-black", "copper-brown", "copper-black"];

#[test]
fn gaps_are_found_and_little_else_is_marked() {
    let (mut wide, mut found, mut strays, mut cm2) = (0, 0, Vec::new(), 0.0);
    for painted in fixtures(&|name| SPOILT.contains(&name) || name == "clean") {
        let got = painted.check(Some(painted.corners));
        assert_eq!(got.blind, None, "{}", painted.name);
        let (fates, stray) = scored(&painted, &got);
        for (place, fate) in painted.places.iter().zip(&fates) {
            // What a lamp covers may be said to be doubtful, but nothing of 1.5 mm may be passed over in silence.
            if place.area > 1.2 {
                assert_ne!(*fate, Fate::Passed, "{}: {:?}", painted.name, place.at);
            }
            if place.gap && place.width >= 1.5 && place.glared < 0.3 {
                wide += 1;
                found += usize::from(*fate == Fate::Found);
            }
        }
        println!(
            "{}: {} pieces, {} can't be told, strays {stray:?}, notes {:?}",
            painted.name,
            got.pieces.len(),
            got.untold.len(),
            got.notes
        );
        cm2 += painted.plate.face().area_cm2();
        strays.extend(stray);
    }
    println!("{found} of {wide} gaps of 1.5 mm and more, {} strays on {cm2:.0} cm²", strays.len());
    assert!(wide >= 20 && found as f64 >= 0.95 * f64::from(wide), "{found} of {wide}");
    assert!(strays.len() as f64 <= 2.0 * cm2 / 100.0, "{strays:?} on {cm2} cm²");
}

#[test]
fn what_can_not_be_told_is_not_guessed() {
    for painted in fixtures(&|name| ["blur", "small", "shadow"].contains(&name)) {
        let got = painted.check(Some(painted.corners));
        match painted.trouble.as_str() {
            // So far out of focus that varnish and metal run into each other: either is true of it.
            "blur" => assert!(matches!(got.blind, Some(Blind::Blurred { .. } | Blind::Alike)), "{:?}", got.blind),
            "small" => assert!(matches!(got.blind, Some(Blind::Coarse { .. })), "{:?}", got.blind),
            // A hard shadow over a third of it, nothing wrong with the plate: told apart or doubted, never marked.
            _ => assert!(got.pieces.is_empty(), "{:?}", got.pieces),
        }
        if let Some(blind) = &got.blind {
            assert!(got.pieces.is_empty() && blind.to_string().starts_with("Can't tell"));
        }
    }
    // Turned by half it goes with nothing: said, not marked.
    for painted in fixtures(&|name| name == "zinc-brown") {
        let [a, b, c, d] = painted.corners.0;
        let got = painted.check(Some(Corners([c, d, a, b])));
        assert!(matches!(got.blind, Some(Blind::Turned | Blind::Alike)) && got.pieces.is_empty(), "{:?}", got.blind);
    }
}

#[test]
fn corners_are_found_or_refused_and_a_plate_turned_in_the_picture_is_turned_back() {
    let mut found = 0;
    for painted in fixtures(&|name| SPOILT.contains(&name) || name == "clean") {
        match find(&painted.drawing, &painted.plate, &painted.stop_outs, 1) {
            Ok(at) => {
                println!("{}: corners {:.2} mm off, sure: {}", painted.name, painted.off(&at.corners), at.sure);
                assert!(!at.sure || painted.off(&at.corners) < 1.5, "{}", painted.name);
                found += usize::from(at.sure);
            }
            Err(error) => println!("{}: {error}", painted.name),
        }
    }
    assert!(found >= 2, "{found}");
}

/// A large set, made by `painted_plates.py DIR COUNT`, when STEPBITE_PLATES names its folder: figures by width, metal and glare. STEPBITE_LOUD tells
/// of each plate, STEPBITE_ONLY names some, STEPBITE_CORNERS looks for corners alone, STEPBITE_OTHER holds each photograph to another plate too.
#[test]
fn a_large_set_where_there_is_one() {
    let Ok(folder) = std::env::var("STEPBITE_PLATES") else { return };
    let folder = PathBuf::from(folder);
    let loud = std::env::var("STEPBITE_LOUD").is_ok();
    let mut by: BTreeMap<String, [usize; 3]> = BTreeMap::new();
    let (mut strays, mut cm2, mut blind, mut untold, mut count) = (0usize, 0.0, 0usize, 0.0, 0usize);
    // Within 1.5 mm and sure, farther off and sure, a guess within 1.5 mm, a guess farther off, none.
    let mut corners_found = [0usize; 5];
    let (mut before, mut strange): (Option<Painted>, [usize; 3]) = (None, [0; 3]);
    let only = std::env::var("STEPBITE_ONLY").unwrap_or_default();
    let rows: Vec<String> = table(&folder.join("plates.csv"))
        .into_iter()
        .map(|row| row[0].clone())
        .filter(|name| only.is_empty() || only.contains(name.as_str()))
        .collect();
    for name in rows {
        let all = plates(&folder, &folder.join("plates.csv"), &folder.join("places.csv"), &|n| n == name);
        let painted = &all[0];
        match find(&painted.drawing, &painted.plate, &painted.stop_outs, 1) {
            Ok(at) => {
                let off = painted.off(&at.corners);
                let fate = match (at.sure, off < 1.5) {
                    (true, true) => 0,
                    (true, false) => 1,
                    (false, true) => 2,
                    (false, false) => 3,
                };
                corners_found[fate] += 1;
                if loud {
                    println!(
                        "{name}: corners {} {off:.2} mm off, proof {:.3?}",
                        if at.sure { "found" } else { "guessed" },
                        [at.fit, at.lead, at.rim, at.firm]
                    );
                }
            }
            Err(_) => corners_found[4] += 1,
        }
        // The same photograph held to the plate before it: another plate's, of which nothing may be taken for sure.
        if let Some(other) = before.as_ref().filter(|_| std::env::var("STEPBITE_OTHER").is_ok()) {
            match find(&painted.drawing, &other.plate, &other.stop_outs, 1) {
                Ok(at) if at.sure => {
                    strange[0] += 1;
                    println!("{name}: another plate's stop-out is found, proof {:.3?}", [at.fit, at.lead, at.rim, at.firm]);
                }
                Ok(at) => {
                    strange[1] += 1;
                    if loud {
                        println!("{name}: another plate's stop-out guessed, proof {:.3?}", [at.fit, at.lead, at.rim, at.firm]);
                    }
                }
                Err(_) => strange[2] += 1,
            }
        }
        if std::env::var("STEPBITE_CORNERS").is_ok() {
            count += 1;
            before = all.into_iter().next();
            continue;
        }
        // Corners as a finger puts them: up to about 0.7 mm off, the same for every run.
        let mut state = count as u64 * 977 + 13;
        let mut jitter = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((state >> 33) as f64 / f64::from(1u32 << 31) - 0.5) * 1.0 * painted.corners.sides()[0] / painted.plate.size().width.0
        };
        let corners = Corners(painted.corners.0.map(|p| p.map(|v| v + jitter())));
        let exact = std::env::var("STEPBITE_EXACT").is_ok();
        let got = painted.check(Some(if exact { painted.corners } else { corners }));
        if loud {
            println!("{name}: corners put {:.2} mm off, used {:.2} mm off", painted.off(&corners), painted.off(&got.corners[0]));
        }
        count += 1;
        if let Some(why) = got.blind {
            blind += 1;
            println!("{name} ({} {}, {} lamps): {why}", painted.metal, painted.varnish, painted.lamps);
        } else {
            cm2 += painted.plate.face().area_cm2();
            untold += got.untold_share;
        }
        let (fates, stray) = scored(painted, &got);
        strays += stray.len();
        if loud && !stray.is_empty() {
            println!("{name} ({} {}, {} lamps): strays {stray:?}", painted.metal, painted.varnish, painted.lamps);
        }
        for (place, fate) in painted.places.iter().zip(fates) {
            let kind = if place.gap { format!("gap {}", place.width) } else { "over".to_owned() };
            let light = if place.glared > 0.3 { "in glare" } else { "clear" };
            for key in [format!("{kind} mm, {light}"), format!("{kind} mm, {light}, {} {}", painted.metal, painted.varnish)] {
                by.entry(key).or_default()[fate as usize] += 1;
            }
            let doubt = got.untold.iter().find(|u| {
                u.extent[0] - 0.5 < place.at[0]
                    && place.at[0] < u.extent[2] + 0.5
                    && u.extent[1] - 0.5 < place.at[1]
                    && place.at[1] < u.extent[3] + 0.5
            });
            if loud && fate == Fate::CantTell && place.glared < 0.3 {
                println!(
                    "{name} ({} {}): {kind} at {:?}, glared {:.2}, can't tell: {:?}",
                    painted.metal,
                    painted.varnish,
                    place.at,
                    place.glared,
                    doubt.map(|u| (u.doubt, u.area_mm2))
                );
            }
            if loud && fate == Fate::Passed && place.area > 1.0 {
                println!(
                    "{name} ({} {}): {kind} {:.1} long, {:.2} mm² at {:?} {fate:?}, glared {:.2}",
                    painted.metal, painted.varnish, place.length, place.area, place.at, place.glared
                );
            }
        }
        before = all.into_iter().next();
    }
    // Two denominators: what no lamp covers, and all there is.
    for width in ["1", "1.5", "2", "3"] {
        let of = |light: &str| by.get(&format!("gap {width} mm, {light}")).copied().unwrap_or_default();
        let (clear, glare) = (of("clear"), of("in glare"));
        let (n, all) = (clear.iter().sum::<usize>(), clear.iter().chain(&glare).sum::<usize>());
        println!(
            "gaps of {width} mm: {} of {n} clear of glare found, {:.1} %; {} of all {all}, {:.1} %",
            clear[0],
            pc(clear[0], n),
            clear[0] + glare[0],
            pc(clear[0] + glare[0], all)
        );
    }
    for (key, [found, cant, passed]) in &by {
        let all = found + cant + passed;
        println!("{key}: {all}, found {:.1} %, can't tell {:.1} %, passed over {:.1} %", pc(*found, all), pc(*cant, all), pc(*passed, all));
    }
    println!(
        "{count} plates, {blind} not told at all; {strays} false marks on {cm2:.0} cm²: {:.2} per 100 cm²; can't tell {:.1} % of the face",
        strays as f64 / cm2 * 100.0,
        100.0 * untold / (count - blind).max(1) as f64
    );
    let [right, wrong, guessed, off, none] = corners_found;
    println!(
        "corners: sure and within 1.5 mm on {right}, sure and farther off on {wrong}; given as a guess within 1.5 mm on {guessed}, farther off on {off}; none on {none}"
    );
    println!("of another plate: sure on {}, a guess on {}, none on {}", strange[0], strange[1], strange[2]);
    assert!(strange[0] == 0);
    assert!(wrong == 0, "corners wrong with confidence on {wrong}");
}

fn pc(part: usize, all: usize) -> f64 {
    100.0 * part as f64 / all.max(1) as f64
}

use super::*;
use crate::bites;
use crate::outline::Outlines;
use crate::relief::GrainChoice;
use crate::stopouts::HandSpeed;
use crate::tones::{StepMap, Targets, ToneCount};
use crate::units::Millimetres;
use approx::assert_abs_diff_eq;

const PX: f64 = 5.0;

pub(crate) struct Bench {
    pub(crate) plate: Plate,
    pub(crate) stop_outs: StopOuts,
    pub(crate) bites: BitePlan,
    pub(crate) curve: BiteCurve,
    pub(crate) targets: Vec<Lightness>,
    inking: Inking,
    relief: Relief,
}

impl Bench {
    /// 60 × 50 mm, bevel 1.5 mm; bands of six tones, crossed by a diagonal so that nothing is its own mirror image.
    pub(crate) fn new() -> Self {
        Self::mapped(|x, y| {
            let band = (x / 50) as u8;
            if y > 180 + x / 8 {
                5 - band
            } else if y < 60 && x < 130 {
                3
            } else {
                band
            }
        })
    }

    /// The same plate with another map of six tones, 300 × 250 pixels.
    pub(crate) fn mapped(tone: impl Fn(usize, usize) -> u8) -> Self {
        let plate = Plate::new(Millimetres(63.0), Millimetres(53.0), Millimetres(1.5)).unwrap();
        let map = Plane::from_fn(300, 250, tone);
        let tones = ToneCount::new(6).unwrap();
        let map = StepMap::new(tones, map);
        let outlines = Outlines::of(map.plane(), PxPerMm(PX));
        let strip = TestStrip::example();
        let curve = BiteCurve::of(&strip);
        let targets = Targets::even(tones, curve.paper(), curve.darkest(), 1.0).unwrap();
        let bites = bites::plan(&targets, &curve, &strip).unwrap();
        let stop_outs = StopOuts::of(map, &outlines, PxPerMm(PX), HandSpeed::default());
        let relief = Relief::of(&strip, &curve, &GrainChoice::default()).unwrap();
        let inking = Inking::of(&crate::proof::ProofTones::of(&stop_outs, &bites, &relief).unwrap());
        Self { plate, stop_outs, bites, curve, targets: targets.falling().to_vec(), inking, relief }
    }

    pub(crate) fn held(&self) -> Held<'_> {
        Held {
            plate: &self.plate,
            stop_outs: &self.stop_outs,
            bites: &self.bites,
            curve: &self.curve,
            inking: &self.inking,
            relief: &self.relief,
            targets: &self.targets,
        }
    }

    /// A proof in a light that falls to the right, its picture laid into a picture by `place` from 5 px/mm; `tone` turns a tone into its L*.
    pub(crate) fn photo(
        &self,
        place: Homography,
        size: (usize, usize),
        paper: f64,
        tone: impl Fn(usize, [f64; 2]) -> f64,
    ) -> (Drawing, Corners) {
        let mut state = 5u32;
        let mut noise = move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            1.0 + 0.1 * (f64::from(state >> 8) / 16_777_215.0 - 0.5)
        };
        let back = place.inverse();
        let white = Lightness(paper).reflectance().0;
        let picture = Plane::from_fn(size.0, size.1, |x, y| {
            let [px, py] = back.apply([x as f64 + 0.5, y as f64 + 0.5]);
            let light = 0.8 - 0.25 * x as f64 / size.0 as f64;
            if !(-90.0..390.0).contains(&px) || !(-90.0..340.0).contains(&py) {
                return (0.06 * noise()) as f32;
            }
            let inside = (0.0..300.0).contains(&px) && (0.0..250.0).contains(&py);
            let y = if inside {
                let zone = usize::from(self.stop_outs.map().plane().at(px as usize, py as usize));
                Lightness(tone(zone, [px / PX, py / PX])).reflectance().0
            } else {
                white
            };
            (light * y * noise()) as f32
        });
        let corners = [[0.0, 0.0], [300.0, 0.0], [300.0, 250.0], [0.0, 250.0]].map(|at| place.apply(at));
        (Drawing::from_luminance(&picture), Corners(corners))
    }

    pub(crate) fn straight() -> (Homography, (usize, usize)) {
        (Homography::new([[1.0, 0.0, 110.0], [0.0, 1.0, 110.0], [0.0, 0.0, 1.0]]).unwrap(), (520, 470))
    }

    pub(crate) fn read(&self, drawing: &Drawing, corners: Option<Corners>) -> Pulled {
        let paper = PaperKnown::Typed(Lightness(93.0));
        read(drawing, &self.held(), &PulledSettings { corners, paper }).unwrap()
    }

    fn planned(&self, tone: usize) -> f64 {
        self.curve.lightness_at(self.bites.tones[tone].effective).0
    }
}

#[test]
fn tones_are_read_as_they_were_printed_and_their_cause_is_named() {
    let bench = Bench::new();
    let film = |tone: usize| {
        let d = Lightness(bench.planned(tone)).reflectance().density().0 + 0.07;
        crate::light::Density(d).reflectance().lightness().0
    };
    let (place, size) = Bench::straight();
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| film(tone));
    // Corners set a millimetre and a half off by hand.
    let rough = Corners(std::array::from_fn(|i| {
        let [x, y] = corners.0[i];
        [x + [7.0, -6.0, 5.0, -7.0][i], y + [-6.0, 5.0, 7.0, 4.0][i]]
    }));
    for given in [Some(corners), Some(rough), None] {
        let got = bench.read(&drawing, given);
        assert_eq!(got.blind, None, "{given:?} {}", got.fit);
        for tone in &got.tones {
            assert_abs_diff_eq!(tone.read.unwrap().0, film(tone.tone), epsilon = 0.5);
        }
        for (a, b) in got.corners.0.iter().zip(corners.0) {
            assert!((a[0] - b[0]).hypot(a[1] - b[1]) < 2.0, "{:?} {corners:?}", got.corners);
        }
        assert_eq!(got.split.as_ref().unwrap().verdict, Verdict::Causes(vec![Cause::Wiping]), "{:?}", got.split);
        assert!(got.said.iter().any(|s| s.contains("wiping")), "{:?}", got.said);
    }
}

#[test]
fn the_reading_is_the_strip_of_the_next_plate() {
    let bench = Bench::new();
    let (place, size) = Bench::straight();
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| bench.planned(tone));
    let got = bench.read(&drawing, Some(corners));
    let strip = got.strip("from plate B", &bench.bites, false).unwrap();
    assert_eq!(strip.readings().len(), 6);
    for (reading, time) in strip.readings().iter().zip(&bench.bites.tones) {
        assert_abs_diff_eq!(reading.total.0, time.total.0, epsilon = 1e-9);
        assert_abs_diff_eq!(reading.lightness.0, bench.curve.lightness_at(time.effective).0, epsilon = 0.5);
    }
    assert_eq!((strip.id(), strip.kind()), ("from plate B", StripKind::Measured));
}

#[test]
fn a_strip_on_the_metal_has_no_film_of_wiping_in_it_and_one_as_read_says_so() {
    let bench = Bench::new();
    let (place, size) = Bench::straight();
    let filmed = |tone: usize| {
        let d = Lightness(bench.planned(tone)).reflectance().density().0 + 0.12;
        crate::light::Density(d).reflectance().lightness().0
    };
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| filmed(tone));
    let got = bench.read(&drawing, Some(corners));
    let (read, metal) = (got.strip("B", &bench.bites, false).unwrap(), got.strip("B", &bench.bites, true).unwrap());
    for tone in 0..6 {
        assert_abs_diff_eq!(read.readings()[tone].lightness.0, filmed(tone), epsilon = 0.6);
        assert_abs_diff_eq!(metal.readings()[tone].lightness.0, bench.planned(tone), epsilon = 1.5);
    }
    let said = got.strip_words();
    assert!(said.contains("a film of 0.1") && said.contains("wiped and inked like it"), "{said}");
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| bench.planned(tone));
    assert!(!bench.read(&drawing, Some(corners)).strip_words().contains("Of this one"));
}

#[test]
fn a_picture_nearly_its_own_half_turn_is_not_read_upside_down() {
    // Rings about the middle, and one corner that is otherwise.
    let bench = Bench::mapped(|x, y| if x < 75 && y < 70 { 5 } else { ((x as f64 - 149.5).hypot(y as f64 - 124.5) / 34.0).min(4.0) as u8 });
    let (place, size) = Bench::straight();
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| bench.planned(tone));
    let upright = bench.read(&drawing, Some(corners));
    assert_eq!(upright.blind, None);
    let [a, b, c, d] = corners.0;
    let turned = bench.read(&drawing, Some(Corners([c, d, a, b])));
    assert!(turned.fit >= 0.6, "goes well enough to have been read: {}", turned.fit);
    assert_eq!((turned.blind, turned.tones.len()), (Some(Blind::Turned), 0));
    let mirrored = Drawing::from_luminance(&drawing.luminance().mirrored());
    assert_eq!(bench.read(&mirrored, Some(corners)).blind, Some(Blind::Mirrored));
    assert!(upright.notes.iter().all(|note| !note.contains("goes nearly as well")), "{:?}", upright.notes);
    // One that is its own half turn but for a speck is read, and says how it might lie.
    let bench = Bench::mapped(|x, y| if x < 12 && y < 12 { 5 } else { ((x as f64 - 149.5).hypot(y as f64 - 124.5) / 28.0).min(5.0) as u8 });
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| bench.planned(tone));
    let got = bench.read(&drawing, Some(corners));
    assert!(got.blind.is_none() && got.notes.iter().any(|note| note.contains("goes nearly as well")), "{:?} {:?}", got.blind, got.notes);
}

#[test]
fn a_picture_on_its_side_is_said_to_lie_so() {
    let bench = Bench::new();
    let (place, size) = Bench::straight();
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| bench.planned(tone));
    let [a, b, c, d] = corners.0;
    for corners in [[b, c, d, a], [d, a, b, c]] {
        let got = bench.read(&drawing, Some(Corners(corners)));
        assert_eq!(got.blind, Some(Blind::Aside), "{}", got.fit);
        assert!(got.blind.unwrap().to_string().contains("on its side"));
    }
}

#[test]
fn a_large_face_is_worked_finely_enough_to_be_read() {
    let face = |w: f64, h: f64| SizeMm { width: Millimetres(w), height: Millimetres(h) };
    for (px, size) in [(3.0, face(1300.0, 1250.0)), (4.0, face(2000.0, 2000.0)), (2.0, face(1990.0, 1990.0))] {
        let at = worked(px, size).0;
        assert!((LEAST_PX_PER_MM..=px).contains(&at), "{px}: {at}");
        assert!(at * at * size.width.0 * size.height.0 <= 1.6e7 + 1.0);
    }
    // As before where there is room: all that the photograph has, up to what is worth it.
    assert_eq!((worked(9.0, face(60.0, 50.0)).0, worked(3.5, face(300.0, 200.0)).0, worked(1.2, face(60.0, 50.0)).0), (5.0, 3.5, 1.2));
}

#[test]
fn another_picture_a_turned_and_a_mirrored_one_are_said_to_be_so() {
    let bench = Bench::new();
    let (place, size) = Bench::straight();
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| bench.planned(tone));
    let [a, b, c, d] = corners.0;
    assert_eq!(bench.read(&drawing, Some(Corners([c, d, a, b]))).blind, Some(Blind::Turned));
    let mirrored = Drawing::from_luminance(&drawing.luminance().mirrored());
    assert_eq!(bench.read(&mirrored, Some(corners)).blind, Some(Blind::Mirrored));
    let (other, corners) =
        bench.photo(place, size, 93.0, |_, [x, y]| if ((x / 9.0) as i32 + (y / 7.0) as i32) % 2 == 0 { 80.0 } else { 30.0 });
    let got = bench.read(&other, Some(corners));
    assert!(matches!(got.blind, Some(Blind::Other { .. })), "{:?}", got.blind);
    assert!(got.tones.is_empty() && got.split.is_none());
}

#[test]
fn what_can_not_be_told_is_said() {
    let bench = Bench::new();
    let (place, size) = Bench::straight();
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, _| bench.planned(tone));
    // Cut to the picture: no paper.
    let full = drawing.luminance();
    let cut = Plane::from_fn(300, 250, |x, y| full.at(x + 110, y + 110));
    let whole = Corners([[0.0, 0.0], [300.0, 0.0], [300.0, 250.0], [0.0, 250.0]]);
    assert_eq!(bench.read(&Drawing::from_luminance(&cut), Some(whole)).blind, Some(Blind::Paper));
    let burnt = Drawing::from_luminance(&full.map(|&v| (v * 2.2).min(1.0)));
    assert!(matches!(bench.read(&burnt, Some(corners)).blind, Some(Blind::Burnt { .. })));
    let dim = Drawing::from_luminance(&full.map(|&v| v * 0.04));
    assert_eq!(bench.read(&dim, Some(corners)).blind, Some(Blind::Dim));
    let small = Plane::from_fn(130, 117, |x, y| full.at(x * 4, y * 4));
    let quarter = Corners(corners.0.map(|p| p.map(|v| v / 4.0)));
    assert!(matches!(bench.read(&Drawing::from_luminance(&small), Some(quarter)).blind, Some(Blind::Coarse { .. })));
    let wrong = PulledSettings { corners: Some(corners), paper: PaperKnown::Typed(Lightness(12.0)) };
    let said = read(&drawing, &bench.held(), &wrong).unwrap_err().to_string();
    assert!(said.contains("12.0") && said.ends_with('.'), "{said}");
    let none = PulledSettings { corners: Some(Corners([[1.0, 1.0]; 4])), paper: PaperKnown::AsStrip };
    assert!(matches!(read(&drawing, &bench.held(), &none), Err(PulledError::Corners(_))));
    let dot = Drawing::from_luminance(&Plane::filled(1, 1, 0.5));
    assert!(read(&dot, &bench.held(), &PulledSettings::default()).is_err());
}

#[test]
fn dust_and_a_burnt_spot_do_not_move_a_tone() {
    let bench = Bench::new();
    let (place, size) = Bench::straight();
    let spotted = |tone: usize, [x, y]: [f64; 2]| if (x % 10.0 - 5.0).hypot(y % 10.0 - 5.0) < 1.2 { 5.0 } else { bench.planned(tone) };
    let (drawing, corners) = bench.photo(place, size, 93.0, spotted);
    for tone in bench.read(&drawing, Some(corners)).tones {
        assert_abs_diff_eq!(tone.read.unwrap().0, bench.planned(tone.tone), epsilon = 0.6);
    }
}

//! Photographs and a scan of test strips rendered by OpenCV from bands of known lightness: bands, their edges, their L*, and where the
//! strip lies. See scripts/strip_photos.py.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use std::path::Path;
use stepbite_core::drawing::Drawing;
use stepbite_core::homography::{Homography, Point};
use stepbite_core::light::Lightness;
use stepbite_core::photo::Corners;
use stepbite_core::plane::Plane;
use stepbite_core::strip_photo::{
    BandSpan, Doubt, PaperLightness, StripPhoto, StripPhotoError, StripPhotoSettings, StripPlace, find, read,
};
use stepbite_tests::rows;

struct Strip {
    name: String,
    drawing: Drawing,
    paper: Lightness,
    /// Of what is visible of the strip, and of the whole.
    seen: Corners,
    whole: Corners,
    card: Option<(Point, Lightness)>,
    bands: Vec<(f64, f64, f64)>,
}

fn strip(name: &str) -> Strip {
    let row = rows("strip_photos.csv").into_iter().find(|row| row[0] == name).unwrap();
    let v: Vec<f64> = row[1..].iter().map(|cell| cell.parse().unwrap()).collect();
    let corners = |from: usize| Corners(std::array::from_fn(|i| [v[from + 2 * i], v[from + 2 * i + 1]]));
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("fixtures/strips/{name}.jpg"));
    let bands = rows("strip_photo_bands.csv").into_iter().filter(|row| row[0] == name);
    Strip {
        name: name.to_owned(),
        drawing: Drawing::read(&std::fs::read(file).unwrap()).unwrap(),
        paper: Lightness(v[0]),
        seen: corners(1),
        whole: corners(9),
        card: (v[19] > 0.0).then_some(([v[17], v[18]], Lightness(v[19]))),
        bands: bands.map(|row| (row[2].parse().unwrap(), row[3].parse().unwrap(), row[4].parse().unwrap())).collect(),
    }
}

impl Strip {
    fn read(&self, place: StripPlace) -> Result<StripPhoto, StripPhotoError> {
        read(&self.drawing, &StripPhotoSettings { place, bands: None, paper: PaperLightness::Typed(self.paper) })
    }

    /// The bands that can be seen: not an unbitten one as light as the paper.
    fn seen_bands(&self) -> &[(f64, f64, f64)] {
        let blank = (self.bands[0].2 - self.paper.0).abs() < 0.3;
        &self.bands[usize::from(blank)..]
    }

    /// Worst difference of a band's L*, edge (share of the strip's length), and how many can't be told.
    fn held(&self, read: &StripPhoto, bands: &[(f64, f64, f64)], corners: &Corners) -> (f64, f64, usize) {
        let told: Vec<String> =
            read.bands.iter().map(|b| format!("{:.3}: {:.1}", b.span.from, b.lightness.map_or(f64::NAN, |l| l.0))).collect();
        assert_eq!(read.bands.len(), bands.len(), "{}: {told:?} for {bands:?}", self.name);
        let to_true = Homography::between(&corners.0, &[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]).unwrap();
        let (start, length) = (bands[0].0, bands[bands.len() - 1].1 - bands[0].0);
        let (mut worst, mut edge, mut unsure) = (0.0f64, 0.0f64, 0);
        for (got, want) in read.bands.iter().zip(bands) {
            match got.lightness {
                Some(l) => worst = worst.max((l.0 - want.2).abs()),
                None => unsure += 1,
            }
            let o = got.outline;
            for (at, wanted) in [([0, 3], want.0), ([1, 2], want.1)] {
                let middle: Point = std::array::from_fn(|k| (o[at[0]][k] + o[at[1]][k]) / 2.0);
                edge = edge.max((to_true.apply(middle)[0] - (wanted - start) / length).abs());
            }
        }
        (worst, edge, unsure)
    }
}

/// How far corners are from the true ones, shares of the strip's length.
fn off(found: &Corners, wanted: &Corners) -> f64 {
    let q = &wanted.0;
    let length = (q[1][0] - q[0][0]).hypot(q[1][1] - q[0][1]);
    found.0.iter().zip(q).map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]) / length).fold(0.0, f64::max)
}

const CLEAR: [&str; 9] = ["b14", "a15-thumb", "a15-far", "random-12", "random-20", "random-7", "card", "three", "scan"];

/// Reading and the places of bands held to the truth; what the worst was is printed.
#[expect(clippy::print_stdout, reason = "what was measured is told, by a helper of tests")]
fn hold(strip: &Strip, how: &str, got: &StripPhoto, bands: &[(f64, f64, f64)], corners: &Corners) {
    let (worst, edge, unsure) = strip.held(got, bands, corners);
    let outline = off(&got.corners, corners);
    println!(
        "{}, {how}: {} bands, worst {worst:.2} L*, edges {:.2} %, corners {:.2} % of the length off",
        strip.name,
        bands.len(),
        100.0 * edge,
        100.0 * outline
    );
    assert_eq!(unsure, 0, "{}, {how}: {:?}", strip.name, got.notes);
    assert!(worst <= 1.5, "{}, {how}: {worst} L*", strip.name);
    // Twenty bands that differ by three L* of coarse grain: an edge between two of them may be a twentieth of a band off.
    assert!(
        edge <= if bands.len() > 15 {
            0.02
        } else if strip.name == "scan" {
            0.03
        } else {
            0.006
        },
        "{}, {how}: {edge}",
        strip.name
    );
    // The scan's unbitten end is 1.5 L* from the paper, too little to place its outer end well; all other ends are clear.
    assert!(outline <= if strip.name == "scan" { 0.03 } else { 0.006 }, "{}, {how}: {outline}", strip.name);
}

#[test]
fn every_band_is_read_within_one_and_a_half_with_no_hand() {
    for name in CLEAR {
        let strip = strip(name);
        let got = strip.read(StripPlace::Found).unwrap_or_else(|error| panic!("{name}: {error}"));
        hold(&strip, "found", &got, strip.seen_bands(), &strip.seen);
        assert_eq!(got.unbitten, strip.seen_bands().len() == strip.bands.len(), "{name}: {:?}", got.notes);
        assert_eq!(got.corners, find(&strip.drawing).unwrap());
        assert!(got.notes[0].contains(&format!("{:.1}, as typed", strip.paper.0)));
    }
}

#[test]
fn two_presses_near_its_ends_are_enough() {
    // On the middles of its short ends, and off them by a twentieth of its width, as a wet glove does; from either end.
    for name in CLEAR {
        let strip = strip(name);
        let q = strip.seen.0;
        let width = (q[3][0] - q[0][0]).hypot(q[3][1] - q[0][1]);
        for (from, way) in [(0.0, 0.0), (0.05, 1.0), (-0.05, -1.0)] {
            let end = |a: usize, b: usize, off: f64| -> Point {
                let along: Point = std::array::from_fn(|k| (q[1][k] - q[0][k]) / (q[1][0] - q[0][0]).hypot(q[1][1] - q[0][1]));
                [(q[a][0] + q[b][0]) / 2.0 - off * width * along[1], (q[a][1] + q[b][1]) / 2.0 + off * width * along[0]]
            };
            let mut ends = [end(0, 3, from), end(1, 2, -from)];
            if way < 0.0 {
                ends.reverse();
            }
            let got = strip.read(StripPlace::Ends(ends)).unwrap_or_else(|error| panic!("{name}: {error}"));
            let (worst, edge, unsure) = strip.held(&got, strip.seen_bands(), &strip.seen);
            println!("{name}, pressed {from}: worst {worst:.2} L*, edges {:.2} %", 100.0 * edge);
            assert!(worst <= 1.5 && unsure == 0 && edge <= 0.035, "{name}: {worst}, {unsure}, {edge}");
        }
    }
}

#[test]
fn four_corners_hold_an_unbitten_end_that_can_not_be_seen() {
    for name in ["b14", "random-7", "a15-far"] {
        let strip = strip(name);
        let [a, b, c, d] = strip.whole.0;
        for corners in [Corners([a, b, c, d]), Corners([c, d, a, b])] {
            let got = strip.read(StripPlace::Corners(corners)).unwrap_or_else(|error| panic!("{name}: {error}"));
            if got.bands.len() == strip.bands.len() {
                hold(&strip, "corners", &got, &strip.bands, &strip.whole);
                assert!(got.unbitten);
            } else {
                panic!("{name}: {} bands", got.bands.len());
            }
        }
        // As given when it is said to be so.
        let turned = strip.read(StripPlace::Directed(Corners([c, d, a, b]))).unwrap();
        assert!(turned.bands[0].lightness < turned.bands.last().unwrap().lightness);
    }
}

#[test]
fn edited_bands_are_read_where_they_are_put() {
    let strip = strip("b14");
    let spans: Vec<BandSpan> = strip.bands.iter().map(|b| BandSpan { from: b.0, to: b.1 }).collect();
    let with = |bands: Vec<BandSpan>| {
        let paper = PaperLightness::Typed(strip.paper);
        read(&strip.drawing, &StripPhotoSettings { place: StripPlace::Corners(strip.whole), bands: Some(bands), paper })
    };
    let all = with(spans.clone()).unwrap();
    hold(&strip, "given bands", &all, &strip.bands, &strip.whole);
    // Dropping one leaves every other as it was; merging two of ten L* apart is seen to be uneven.
    let mut fewer = spans.clone();
    fewer.remove(4);
    let fewer = with(fewer).unwrap();
    let rest: Vec<_> = all.bands.iter().enumerate().filter(|(i, _)| *i != 4).map(|(_, b)| b.lightness).collect();
    assert_eq!(fewer.bands.iter().map(|b| b.lightness).collect::<Vec<_>>(), rest);
    let mut merged = spans.clone();
    merged[4].to = merged[5].to;
    merged.remove(5);
    let merged = with(merged).unwrap();
    assert!(matches!(merged.bands[4].doubt, Some(Doubt::Uneven(_))) && merged.bands[4].lightness.is_none(), "{:?}", merged.bands[4]);
    // What can't be is refused by its number.
    for (from, to) in [(0.05, 0.2), (0.15, 0.15), (0.9, 1.2), (f64::NAN, 0.3)] {
        let mut wrong = spans.clone();
        wrong[1] = BandSpan { from, to };
        let said = with(wrong).unwrap_err().to_string();
        assert!(said.starts_with("Band ") && said.ends_with('.'), "{said}");
    }
    assert!(matches!(with(spans[..2].to_vec()), Err(StripPhotoError::Few { bands: 2 })));
}

#[test]
fn a_grey_card_tells_the_paper() {
    let strip = strip("card");
    let (at, lightness) = strip.card.unwrap();
    let by = |at: Point, lightness: Lightness| {
        read(&strip.drawing, &StripPhotoSettings { place: StripPlace::Found, bands: None, paper: PaperLightness::Card { at, lightness } })
    };
    let got = by(at, lightness).unwrap();
    println!("card: the paper is L* {:.2} by it, {:.1} in truth", got.paper.0, strip.paper.0);
    assert!((got.paper.0 - strip.paper.0).abs() < 1.0);
    let (worst, _, unsure) = strip.held(&got, strip.seen_bands(), &strip.seen);
    assert!(worst <= 1.5 && unsure == 0, "{worst}");
    assert!(matches!(by(at, Lightness(20.0)), Err(StripPhotoError::Paper { by_card: true, .. })));
    assert!(matches!(by(at, Lightness(f64::NAN)), Err(StripPhotoError::CardLightness(_))));
    assert_eq!(by([-9.0, 1e9], lightness), Err(StripPhotoError::Card));
}

#[test]
fn a_band_in_glare_is_not_guessed_and_the_rest_is_read() {
    let strip = strip("covered");
    let got = strip.read(StripPlace::Corners(strip.whole)).unwrap();
    let spans: Vec<BandSpan> = strip.bands.iter().map(|b| BandSpan { from: b.0, to: b.1 }).collect();
    let settings =
        StripPhotoSettings { place: StripPlace::Corners(strip.whole), bands: Some(spans), paper: PaperLightness::Typed(strip.paper) };
    let given = read(&strip.drawing, &settings).unwrap();
    println!("covered: {} bands found of {}", got.bands.len(), strip.bands.len());
    // The spot lies on band 6, its halo reaches the ones beside it.
    assert!(given.bands[5].lightness.is_none() && matches!(given.bands[5].doubt, Some(Doubt::Covered(_))), "{:?}", given.bands[5]);
    for (i, (band, wanted)) in given.bands.iter().zip(&strip.bands).enumerate() {
        if let Some(l) = band.lightness {
            assert!((l.0 - wanted.2).abs() <= 1.5, "band {}: {} for {}", i + 1, l.0, wanted.2);
        }
    }
    for i in [0, 1, 2, 8] {
        assert!(given.bands[i].lightness.is_some(), "{:?}", given.bands[i]);
    }
    assert!(given.notes.iter().any(|note| note.starts_with("Band 6 can't be told")));
}

#[test]
fn what_can_not_be_told_is_said() {
    let burnt = strip("burnt");
    for place in [StripPlace::Found, StripPlace::Corners(burnt.whole)] {
        let error = burnt.read(place).unwrap_err();
        assert!(matches!(error, StripPhotoError::Burnt(_)) && error.to_string().contains("burnt out"), "{error}");
    }
    let dark = strip("dark");
    for place in [StripPlace::Found, StripPlace::Corners(dark.whole)] {
        let error = dark.read(place).unwrap_err();
        assert!(matches!(error, StripPhotoError::Dim(_)) && error.to_string().contains("too dark"), "{error}");
    }
    let whole = Corners([[100.0, 150.0], [500.0, 150.0], [500.0, 250.0], [100.0, 250.0]]);
    let settings = |place| StripPhotoSettings { place, bands: None, paper: PaperLightness::Typed(Lightness(93.0)) };
    // A blank page, noise, a picture of one pixel: a sentence, no bands.
    let mut state = 7u32;
    let mut chance = move || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 8) as f32 / 16_777_216.0
    };
    let noise = Drawing::from_luminance(&Plane::from_fn(600, 400, |_, _| chance()));
    let paper = Drawing::from_luminance(&Plane::from_fn(600, 400, |_, _| 0.7));
    let tooth = Drawing::from_luminance(&noise.luminance().map(|v| 0.6 + 0.1 * v));
    let one = Drawing::from_luminance(&Plane::filled(1, 1, 0.5));
    for drawing in [&noise, &paper, &tooth, &one] {
        for place in [StripPlace::Found, StripPlace::Corners(whole), StripPlace::Ends([[100.0, 200.0], [500.0, 200.0]])] {
            let said = read(drawing, &settings(place)).unwrap_err().to_string();
            assert!(said.ends_with('.') && said.len() > 60, "{said}");
        }
    }
    // A strip of a few pixels, points and corners that can't be, papers there are none of.
    let strip = strip("b14");
    let tiny = Corners([[300.0, 380.0], [340.0, 380.0], [340.0, 386.0], [300.0, 386.0]]);
    assert!(matches!(strip.read(StripPlace::Corners(tiny)), Err(StripPhotoError::Small { .. })));
    for ends in [[[1.0, 1.0], [2.0, 1.0]], [[-50.0, 1.0], [500.0, 1.0]], [[f64::NAN, 1.0], [500.0, 1.0]]] {
        assert_eq!(strip.read(StripPlace::Ends(ends)), Err(StripPhotoError::Ends));
    }
    let [a, b, c, d] = strip.whole.0;
    assert_eq!(strip.read(StripPlace::Corners(Corners([b, a, c, d]))), Err(StripPhotoError::Shape));
    for l in [20.0, 101.0, f64::NAN] {
        let paper = PaperLightness::ByEye(Lightness(l));
        let error = read(&strip.drawing, &StripPhotoSettings { place: StripPlace::Found, bands: None, paper }).unwrap_err();
        assert!(matches!(error, StripPhotoError::Paper { by_card: false, .. }), "{error}");
    }
    // The demo's drawings are no strips, as they lie and as a phone saw one.
    for name in ["breakwater.png", "gantry.png", "ice-house-phone.jpg"] {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo").join(name);
        let drawing = Drawing::read(&std::fs::read(file).unwrap()).unwrap();
        match read(&drawing, &settings(StripPlace::Found)) {
            Err(error) => assert!(error.to_string().ends_with('.'), "{name}: {error}"),
            Ok(got) => panic!("{name}: {} bands", got.bands.len()),
        }
    }
}

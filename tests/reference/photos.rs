//! Photographs rendered by OpenCV from known geometry and light, and the demo's phone photograph: corners, straightness, light.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use std::path::Path;
use stepbite_core::drawing::Drawing;
use stepbite_core::homography::{Homography, Point};
use stepbite_core::light::Reflectance;
use stepbite_core::photo::corners::{self, FoundCorners};
use stepbite_core::photo::{Corners, CornersError, Mix, PhotoSettings, Straightened, ZoneKind, proportion, straighten};
use stepbite_core::plane::Plane;
use stepbite_core::plate::SizeMm;
use stepbite_core::units::Millimetres;
use stepbite_tests::{data, numbers, rows};

struct Photo {
    drawing: Drawing,
    sheet: SizeMm,
    corners: Corners,
}

fn size(width: f64, height: f64) -> SizeMm {
    SizeMm { width: Millimetres(width), height: Millimetres(height) }
}

fn photo(name: &str) -> Photo {
    let row = rows("photos.csv").into_iter().find(|row| row[0] == name).unwrap();
    let v: Vec<f64> = row[1..].iter().map(|cell| cell.parse().unwrap()).collect();
    let bytes = std::fs::read(data(&format!("photos/{name}.jpg"))).unwrap();
    Photo {
        drawing: Drawing::read(&bytes).unwrap(),
        sheet: size(v[0], v[1]),
        corners: Corners(std::array::from_fn(|i| [v[2 + 2 * i], v[3 + 2 * i]])),
    }
}

fn demo(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo").join(name)).unwrap()
}

fn phone() -> (Photo, serde_json::Value) {
    let truth: serde_json::Value = serde_json::from_slice(&demo("ice-house-phone.json")).unwrap();
    let point = |of: &str, name: &str| -> Point { std::array::from_fn(|k| truth[of][name][k].as_f64().unwrap()) };
    let corners = ["top_left", "top_right", "bottom_right", "bottom_left"].map(|name| point("sheet_corners_px", name));
    let drawing = Drawing::read(&demo("ice-house-phone.jpg")).unwrap();
    (Photo { drawing, sheet: size(200.0, 230.0), corners: Corners(corners) }, truth)
}

impl Photo {
    fn find(&self) -> Result<FoundCorners, CornersError> {
        corners::find(self.drawing.luminance())
    }

    /// How far corners are from the true ones, mm of the sheet.
    fn off(&self, found: &Corners) -> f64 {
        let (w, h) = (self.sheet.width.0, self.sheet.height.0);
        let sheet = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
        let to_mm = Homography::between(&self.corners.0, &sheet).unwrap();
        let off = |i: usize| {
            let [x, y] = to_mm.apply(found.0[i]);
            (x - sheet[i][0]).hypot(y - sheet[i][1])
        };
        (0..4).map(off).fold(0.0, f64::max)
    }

    fn straight(&self, change: impl FnOnce(&mut PhotoSettings)) -> Straightened {
        let mut settings = PhotoSettings { corners: Some(self.corners), sheet: Some(self.sheet), ..PhotoSettings::default() };
        change(&mut settings);
        straighten(&self.drawing, &settings).unwrap()
    }
}

/// L* of the mean light over 3 mm about a place.
fn lightness(sheet: &Straightened, x: f64, y: f64) -> f64 {
    let plane = &sheet.luminance;
    let (across, down) = (plane.width() as f64 / sheet.sheet.width.0, plane.height() as f64 / sheet.sheet.height.0);
    let (left, right) = (((x - 1.5) * across) as usize, (((x + 1.5) * across) as usize).min(plane.width()));
    let (top, foot) = (((y - 1.5) * down) as usize, (((y + 1.5) * down) as usize).min(plane.height()));
    let values: Vec<f64> = (top..foot).flat_map(|j| plane.row(j)[left..right].iter().map(|&v| f64::from(v))).collect();
    Reflectance(values.iter().sum::<f64>() / values.len() as f64).lightness().0
}

#[test]
fn homographies_are_scikit_images() {
    // skimage.transform.ProjectiveTransform and cv2.getPerspectiveTransform; see scripts/homographies.py.
    let table = numbers("homographies.csv");
    assert!(table.len() >= 20);
    for row in table {
        let point = |k: usize| -> Point { [row[k], row[k + 1]] };
        let from: [Point; 4] = std::array::from_fn(|i| point(2 * i));
        let to: [Point; 4] = std::array::from_fn(|i| point(8 + 2 * i));
        let got = Homography::between(&from, &to).unwrap().apply(point(16));
        let wanted = point(18);
        assert!((0..2).all(|k| (got[k] - wanted[k]).abs() < 1e-6 * (1.0 + wanted[k].abs())), "{got:?}, wanted {wanted:?}");
    }
}

#[test]
fn corners_are_found_within_a_millimetre_by_themselves() {
    for name in ["plain", "steep", "turned", "landscape", "grey", "blank", "blank-near", "shadow", "burnt", "noisy", "bowed", "bleed"] {
        let photo = photo(name);
        let found = photo.find().unwrap_or_else(|error| panic!("{name}: {error}"));
        let off = photo.off(&found.corners);
        println!("{name}: corners {off:.3} mm off");
        assert!(off <= 0.5, "{name}: {off} mm");
    }
    let (phone, _) = phone();
    let off = phone.off(&phone.find().unwrap().corners);
    println!("phone: corners {off:.3} mm off");
    assert!(off <= 0.2, "{off} mm");
}

#[test]
fn what_can_not_be_told_is_not_guessed() {
    // A corner outside the picture; a table as light as the paper; a drawing without a sheet's edge in it.
    for name in ["cut", "white-table"] {
        let photo = photo(name);
        let error = photo.find().unwrap_err().to_string();
        assert!(error.contains("can't be told") && error.contains("by hand"), "{name}: {error}");
    }
    // Scans, with no sheet's edge in them.
    for name in ["breakwater.png", "gantry.png", "slipway.png", "ice-house.png"] {
        assert!(corners::find(Drawing::read(&demo(name)).unwrap().luminance()).is_err(), "{name}");
    }
}

#[test]
fn proportions_are_told_from_the_perspective() {
    for (name, allowed) in [("steep", 0.002), ("turned", 0.002), ("landscape", 0.002), ("shadow", 0.002), ("plain", 0.005)] {
        let photo = photo(name);
        let px = (photo.drawing.luminance().width(), photo.drawing.luminance().height());
        let told = proportion(&photo.corners, px).unwrap();
        let wanted = photo.sheet.width.0 / photo.sheet.height.0;
        assert!((told / wanted - 1.0).abs() < allowed, "{name}: {told}, wanted {wanted}");
    }
    // The demo's camera axis is 130 pixels off the middle, as if it were cropped: within 1 %.
    let (phone, _) = phone();
    let told = proportion(&phone.corners, (3024, 4032)).unwrap();
    assert!((told / (200.0 / 230.0) - 1.0).abs() < 0.01, "{told}");
}

#[test]
fn light_is_evened_and_a_wash_is_kept() {
    // Paper and wash at known places: L* of paper 100. Some of these fall 2 : 1, none less than 1.3 : 1.
    for name in ["plain", "steep", "turned", "grey", "blank", "blank-near", "shadow", "noisy"] {
        let photo = photo(name);
        let sheet = photo.straight(|_| {});
        let probes: Vec<(f64, f64, f64)> = rows("photo_probes.csv")
            .into_iter()
            .filter(|row| row[0] == name)
            .map(|row| (row[1].parse().unwrap(), row[2].parse().unwrap(), row[3].parse().unwrap()))
            .collect();
        assert!(probes.len() > 40);
        let shaded = |x: f64, y: f64| {
            let near = |z: &stepbite_core::photo::Zone| x > z.left - 12.0 && x < z.right + 12.0 && y > z.top - 12.0 && y < z.bottom + 12.0;
            sheet.zones.iter().any(near)
        };
        let (mut most, mut low, mut high) = (0.0f64, f64::MAX, f64::MIN);
        for &(x, y, wanted) in probes.iter().filter(|&&(x, y, _)| !shaded(x, y)) {
            let got = lightness(&sheet, x, y);
            most = most.max((got - wanted).abs());
            if wanted > 99.9 {
                (low, high) = (low.min(got), high.max(got));
            }
        }
        println!("{name}: off by {most:.2} L*, paper {low:.2} to {high:.2}");
        assert!(most <= 2.0, "{name}: {most}");
        assert!(high - low <= 2.0, "{name}: paper from {low} to {high}");
    }
}

#[test]
fn a_wash_to_the_edges_is_not_taken_for_light() {
    let photo = photo("bleed");
    let sheet = photo.straight(|_| {});
    // The table stays even: the light is left as it is, and said.
    assert!(sheet.notes.iter().any(|note| note.contains("taken for a wash")), "{:?}", sheet.notes);
    let (sky, foot) = (lightness(&sheet, 100.0, 8.0), lightness(&sheet, 100.0, 222.0));
    // True: Y 0.42 + 0.58 · 8 / 138 = 0.454 and 1, an exposure of 0.9 beside; L* 71 and 95.6 as photographed.
    assert!(
        (sky - Reflectance(0.9 * 0.454).lightness().0).abs() < 1.0 && (foot - Reflectance(0.9).lightness().0).abs() < 1.0,
        "{sky} {foot}"
    );
    // Marked on bare paper, it is paper white, and the wash is still there.
    let sheet = photo.straight(|settings| settings.spots = vec![[0.1, 0.95], [0.9, 0.95], [0.5, 0.72], [0.03, 0.68]]);
    assert_eq!(sheet.light.as_ref().unwrap().spots, 4);
    assert!(!sheet.light.as_ref().unwrap().margin);
    let (sky, foot) = (lightness(&sheet, 100.0, 8.0), lightness(&sheet, 100.0, 222.0));
    assert!((sky - Reflectance(0.454).lightness().0).abs() < 2.0 && (foot - 100.0).abs() < 1.0, "{sky} {foot}");
}

#[test]
fn what_is_lost_or_covered_is_named() {
    let kinds = |name: &str| -> Vec<ZoneKind> { photo(name).straight(|_| {}).zones.iter().map(|zone| zone.kind).collect() };
    assert_eq!(kinds("burnt"), [ZoneKind::Burnt]);
    assert_eq!(kinds("shadow"), [ZoneKind::Shadow]);
    for name in ["plain", "steep", "turned", "landscape", "grey", "blank", "blank-near"] {
        assert_eq!(kinds(name), [], "{name}");
    }
    let shadow = photo("shadow").straight(|_| {});
    assert!(shadow.notes.iter().any(|note| note.contains("looks like a shadow lies at the lower left")), "{:?}", shadow.notes);
    let bowed = photo("bowed").straight(|_| {});
    // Rendered with its left and right edges 3 mm outward.
    for side in [1, 3] {
        assert!((bowed.bows[side].unwrap() + 3.0).abs() < 0.4, "{:?}", bowed.bows);
    }
    assert!(bowed.notes.iter().any(|note| note.contains("left edge bows outward by")), "{:?}", bowed.notes);
}

/// L* of a plane of luminance over cells of so many mm.
fn cells(plane: &Plane<f32>, of: SizeMm, from: (f64, f64), mm: f64, count: (usize, usize)) -> Vec<f64> {
    let (across, down) = (plane.width() as f64 / of.width.0, plane.height() as f64 / of.height.0);
    let mut all = Vec::new();
    for j in 0..count.1 {
        for i in 0..count.0 {
            let (x, y) = (from.0 + i as f64 * mm, from.1 + j as f64 * mm);
            let (left, right) = ((x * across) as usize, ((x + mm) * across) as usize);
            let (top, foot) = ((y * down) as usize, ((y + mm) * down) as usize);
            let sum: f64 = (top..foot).flat_map(|v| plane.row(v)[left..right].iter().map(|&y| f64::from(y))).sum();
            all.push(Reflectance(sum / ((right - left) * (foot - top)) as f64).lightness().0);
        }
    }
    all
}

#[test]
fn the_phone_photograph_becomes_the_drawing() {
    let (photo, truth) = phone();
    let sheet = photo.straight(|_| {});
    // Straight: the drawing's own corners, known apart from the sheet's, lie at 20, 21 mm and are 160 × 180 mm.
    let back = sheet.map.inverse();
    for (name, wanted) in
        [("top_left", [20.0, 21.0]), ("top_right", [180.0, 21.0]), ("bottom_right", [180.0, 201.0]), ("bottom_left", [20.0, 201.0])]
    {
        let px: Point = std::array::from_fn(|k| truth["drawing_corners_px"][name][k].as_f64().unwrap());
        let [u, v] = back.apply(px);
        let off = (u * 200.0 - wanted[0]).hypot(v * 230.0 - wanted[1]);
        assert!(off < 0.05, "{name}: {off} mm");
    }
    // In the pixels too: against the drawing itself, the best fit of 1 mm cells is where it should be, a quarter of a millimetre either way worse.
    let drawing = Drawing::read(&demo("ice-house.png")).unwrap();
    let original = cells(drawing.luminance(), size(160.0, 180.0), (40.0, 10.0), 1.0, (100, 90));
    let apart = |dx: f64, dy: f64| -> f64 {
        let here = cells(&sheet.luminance, sheet.sheet, (60.0 + dx, 31.0 + dy), 1.0, (100, 90));
        (here.iter().zip(&original).map(|(a, b)| (a - b) * (a - b)).sum::<f64>() / here.len() as f64).sqrt()
    };
    let at = apart(0.0, 0.0);
    println!("phone: {at:.2} L* RMS from the drawing over 1 mm cells");
    assert!(at < 3.0, "{at}");
    for (dx, dy) in [(0.3, 0.0), (-0.3, 0.0), (0.0, 0.3), (0.0, -0.3)] {
        assert!(apart(dx, dy) > at, "moved by {dx}, {dy}");
    }
    // Blank paper within 2 L* away from the shadow: the margins right and above, and the left one down to 100 mm.
    let mut paper = Vec::new();
    for i in 0..38 {
        let t = f64::from(i) * 5.0;
        paper.extend([
            lightness(&sheet, 6.0 + t, 5.0),
            lightness(&sheet, 6.0 + t, 14.0),
            lightness(&sheet, 187.0, 6.0 + t),
            lightness(&sheet, 194.0, 6.0 + t),
        ]);
        if t < 90.0 {
            paper.extend([lightness(&sheet, 6.0, 6.0 + t), lightness(&sheet, 14.0, 6.0 + t)]);
        }
    }
    let (low, high) = paper.iter().fold((f64::MAX, f64::MIN), |(low, high), &l| (low.min(l), high.max(l)));
    println!("phone: paper {low:.2} to {high:.2} L*");
    assert!(high - low <= 2.0 && low > 98.0, "{low} to {high}");
    assert!(sheet.notes.iter().any(|note| note.contains("looks like a shadow lies at the lower left")), "{:?}", sheet.notes);
}

#[test]
fn three_marked_spots_whiten_the_paper() {
    let (photo, _) = phone();
    let sheet = photo.straight(|settings| settings.spots = vec![[0.05, 0.05], [0.95, 0.06], [0.95, 0.95]]);
    assert_eq!(sheet.light.as_ref().unwrap().spots, 3);
    for (x, y) in [(100.0, 8.0), (192.0, 120.0), (8.0, 60.0)] {
        assert!((lightness(&sheet, x, y) - 100.0).abs() < 2.0);
    }
    // A spot on the drawing is no paper, and is said to be none.
    let sheet = photo.straight(|settings| settings.spots = vec![[0.5, 0.5]]);
    assert!(sheet.notes.iter().any(|note| note.contains("Marked place 1 is not even enough")) || !sheet.light.unwrap().margin);
}

#[test]
fn a_mix_of_channels_tells_pencil_from_paper() {
    // A flat scan: yellow paper, a light blue line. Linear: paper 0.9 0.8 0.35, pencil 0.3 0.5 0.5. Red tells them best.
    let encode = |y: f64| (Reflectance(y).encoded().0 * 65_535.0).round() as u16;
    let plane = Plane::from_fn(200, 150, |x, y| {
        let pencil = (60..140).contains(&x) && (70..80).contains(&y);
        if pencil { [0.3, 0.5, 0.5].map(encode) } else { [0.9, 0.8, 0.35].map(encode) }
    });
    let drawing = Drawing::from_colour(plane);
    let l = |mix: Mix, neutral: bool| {
        let sheet = straighten(&drawing, &PhotoSettings { mix, neutral, even: neutral, ..PhotoSettings::default() }).unwrap();
        let at = |x: usize, y: usize| Reflectance(f64::from(sheet.luminance.at(x, y))).lightness().0;
        assert_eq!((sheet.luminance.width(), sheet.luminance.height()), (200, 150));
        (at(20, 20), at(100, 75))
    };
    let (paper, pencil) = l(Mix::Channels([1.0, 0.0, 0.0]), true);
    assert!((paper - 100.0).abs() < 0.1, "{paper}");
    assert!((pencil - Reflectance(0.3 / 0.9).lightness().0).abs() < 0.3, "{pencil}");
    let (plain, _) = l(Mix::Lightness, false);
    assert!((plain - Reflectance(0.2126 * 0.9 + 0.7152 * 0.8 + 0.0722 * 0.35).lightness().0).abs() < 0.1, "{plain}");
    let (blue_paper, blue_pencil) = l(Mix::Channels([0.0, 0.0, 1.0]), false);
    assert!(blue_pencil > blue_paper, "in blue the pencil is lighter than the paper");
    for wrong in [[0.0; 3], [-1.0, 1.0, 1.0], [f64::NAN, 0.0, 1.0]] {
        let error = straighten(&drawing, &PhotoSettings { mix: Mix::Channels(wrong), ..PhotoSettings::default() }).unwrap_err();
        assert!(error.to_string().ends_with('.'));
    }
}

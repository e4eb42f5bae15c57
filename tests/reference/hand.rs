//! What is drawn by hand against scikit-image and SciPy: areas, strokes, fills, what is kept, the drawing's own outline.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use stepbite_core::bits::BitPlane;
use stepbite_core::hand::{Edit, Hand, Path};
use stepbite_core::light::Lightness;
use stepbite_core::plane::Plane;
use stepbite_core::resist::Resist;
use stepbite_core::tones::{Breaks, StepMap, ToneCount};
use stepbite_core::units::{Millimetres, PointMm, PxPerMm};
use stepbite_tests::text;

const FOUR: PxPerMm = PxPerMm(4.0);

fn digits<'a>(lines: impl Iterator<Item = &'a str>) -> Plane<u8> {
    let lines: Vec<&str> = lines.collect();
    Plane::new(lines[0].len(), lines.len(), lines.iter().flat_map(|line| line.bytes().map(|b| b - b'0')).collect()).unwrap()
}

fn labels(name: &str) -> Plane<u8> {
    digits(text(&format!("labels_{name}.txt")).lines().filter(|line| !line.starts_with('#') && !line.is_empty()))
}

fn path(text: &str) -> Path {
    Path::try_from(text.to_owned()).unwrap()
}

/// Sixteen tones, L* 97 to 7 in steps of 6.
fn breaks() -> Breaks {
    Breaks::new((1..16).map(|i| Lightness(100.0 - 6.0 * f64::from(i))).collect()).unwrap()
}

/// Which pixels an edit sets, of a map and the drawing it was made from.
fn touched(edit: Edit, map: Plane<u8>, lightness: &Plane<f32>) -> BitPlane {
    let clean = StepMap::new(ToneCount::new(16).unwrap(), map);
    Hand::new(vec![edit]).unwrap().applied(&clean, lightness, &breaks(), FOUR).touched
}

#[test]
fn areas_drawn_by_hand_are_those_of_other_libraries() {
    let all = text("hand_areas.txt");
    let mut blocks = all.split("\n= ");
    blocks.next();
    let mut count = 0;
    for block in blocks {
        let mut lines = block.lines();
        let said = lines.next().unwrap();
        let expected = digits(lines);
        let (width, height) = (expected.width(), expected.height());
        let (kind, rest) = said.split_once(' ').unwrap();
        let middle = |rest: &str| {
            let mut words = rest.split(' ').skip(1).map(|word| word.parse::<f64>().unwrap());
            let mut next = || (words.next().unwrap() + 0.5) / FOUR.0;
            PointMm { x: next(), y: next() }
        };
        let name = rest.split(' ').next().unwrap();
        let plain = Plane::filled(width, height, 0);
        let white = Plane::filled(width, height, 99.0);
        let found = match kind {
            "polygon" => touched(Edit::Lasso { path: path(rest), tone: 1 }, plain, &white),
            "stroke" => {
                let (width, points) = rest.split_once(' ').unwrap();
                let width_mm = Millimetres(width.parse().unwrap());
                touched(Edit::Stroke { path: path(points), width_mm, tone: 1 }, plain, &white)
            }
            "fill" => touched(Edit::Fill { at: middle(rest), tone: 15 }, labels(name), &white),
            // The drawing has the labels as tones 0, 1, …; clean-up has left the darkest everywhere.
            "keep" => {
                let lightness = labels(name).map(|&label| 97.0 - 6.0 * f32::from(label));
                touched(Edit::Keep { at: middle(rest) }, Plane::filled(width, height, 15), &lightness)
            }
            "outline" => {
                let figure = StepMap::new(ToneCount::new(16).unwrap(), labels(name));
                Resist::Outline { darker_than: None }.covered(&figure, FOUR).unwrap().complement()
            }
            other => panic!("{other} is no kind of area"),
        };
        for y in 0..height {
            let row: String = (0..width).map(|x| if found.at(x, y) { '1' } else { '0' }).collect();
            let wanted: String = expected.row(y).iter().map(|digit| char::from(b'0' + digit)).collect();
            assert_eq!(row, wanted, "{said}, row {y}");
        }
        count += 1;
    }
    assert_eq!(count, 27);
}

//! Hand: what the printer has set by hand on the plate's face, kept in millimetres and done again at any resolution.
//!
//! Edits work on the step map after the clean-up, one after another, so stop-outs stay nested whatever is drawn. They never change the
//! drawing, and are taken back by leaving them out.

use crate::bits::BitPlane;
use crate::plane::Plane;
use crate::tones::{Breaks, StepMap};
use crate::units::{Millimetres, PointMm, PxPerMm};
use area::Raster;
use serde::{Deserialize, Serialize};
use std::fmt;

pub(crate) mod area;
pub(crate) mod flood;
mod keep;
mod path;
pub use path::{Path, PathError};

/// One thing done by hand. Places and lengths are mm of the face in print view.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Edit {
    /// A brush drawn along a line: what lies within half its width takes the tone.
    Stroke {
        /// The line; one point is a dab.
        path: Path,
        /// Width of the brush, 0.1 to 50 mm.
        width_mm: Millimetres,
        /// The tone; one darker than the plate has counts as its darkest.
        tone: u8,
    },
    /// What a closed line goes round takes the tone, by the even-odd rule.
    Lasso {
        /// The line, three points or more; the last joins the first.
        path: Path,
        /// The tone.
        tone: u8,
    },
    /// The region at a place takes the tone, as far as it reaches then.
    Fill {
        /// The place.
        at: PointMm,
        /// The tone.
        tone: u8,
    },
    /// What clean-up took away at a place, or nearest to it within a millimetre, comes back with the tone the drawing has there.
    Keep {
        /// The place.
        at: PointMm,
    },
    /// What a closed line goes round leaves the stop-outs: the printer works it without them.
    ByHand {
        /// The line, three points or more.
        path: Path,
    },
}

impl Edit {
    /// The tone it sets, where it sets one.
    #[must_use]
    pub fn tone(&self) -> Option<u8> {
        match *self {
            Self::Stroke { tone, .. } | Self::Lasso { tone, .. } | Self::Fill { tone, .. } => Some(tone),
            Self::Keep { .. } | Self::ByHand { .. } => None,
        }
    }

    fn check(&self) -> Result<(), HandError> {
        match self {
            Self::Stroke { width_mm, .. } if !(0.1..=50.0).contains(&width_mm.0) => Err(HandError::Width { width: width_mm.0 }),
            Self::Lasso { path, .. } | Self::ByHand { path } if path.points().len() < 3 => {
                Err(HandError::Open { points: path.points().len() })
            }
            Self::Fill { at, .. } | Self::Keep { at } if !path::is_near(*at) => Err(HandError::Nowhere { x: at.x, y: at.y }),
            _ => Ok(()),
        }
    }
}

/// An edit that can't be done.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum HandError {
    /// A brush no hand holds.
    Width {
        /// What came, mm.
        width: f64,
    },
    /// A line that goes round nothing.
    Open {
        /// How many points it has.
        points: usize,
    },
    /// A place far off every plate.
    Nowhere {
        /// What came, mm.
        x: f64,
        /// What came, mm.
        y: f64,
    },
    /// More edits than can be done again at every move.
    Many {
        /// How many came.
        edits: usize,
    },
}

impl fmt::Display for HandError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Width { width } => write!(f, "A brush is 0.1 to 50 mm wide, {width} mm came: 2 mm is a usual one."),
            Self::Open { points } => {
                write!(f, "A line round an area has at least three points, {points} came: draw it once round what you mean.")
            }
            Self::Nowhere { x, y } => write!(f, "A place on the plate was expected, {x}, {y} mm came: press on the picture again."),
            Self::Many { edits } => {
                write!(
                    f,
                    "Up to {} things can be set by hand, {edits} came: take some back, or draw several in one line.",
                    Hand::MOST_EDITS
                )
            }
        }
    }
}

impl std::error::Error for HandError {}

/// Everything set by hand, in the order it was done.
///
/// # Guarantees
/// At most [`Hand::MOST_EDITS`], each within its limits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hand(Vec<Edit>);

/// A step map with the hand's work in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// The map.
    pub map: StepMap,
    /// Which pixels an edit has set or brought back.
    pub touched: BitPlane,
    /// Which pixels leave the stop-outs; none where no edit says so.
    pub by_hand: Option<BitPlane>,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
}

impl Hand {
    /// Most edits.
    pub const MOST_EDITS: usize = 1000;

    /// Takes edits in the order they were done.
    ///
    /// # Errors
    /// Where one is beyond its limits, or there are too many.
    pub fn new(edits: Vec<Edit>) -> Result<Self, HandError> {
        if edits.len() > Self::MOST_EDITS {
            return Err(HandError::Many { edits: edits.len() });
        }
        edits.iter().try_for_each(Edit::check)?;
        Ok(Self(edits))
    }

    /// The edits.
    #[must_use]
    pub fn edits(&self) -> &[Edit] {
        &self.0
    }

    /// Does them all on a cleaned step map. `lightness` and `breaks` are what it was made from: they tell what clean-up took away.
    ///
    /// The cost is that of the pixels drawn over, and of the regions filled; none without edits.
    ///
    /// # Panics
    /// When map and lightness differ in size.
    #[must_use]
    pub fn applied(&self, clean: &StepMap, lightness: &Plane<f32>, breaks: &Breaks, resolution: PxPerMm) -> Worked {
        let (width, height) = (clean.plane().width(), clean.plane().height());
        assert!(width == lightness.width() && height == lightness.height(), "map and face have one size");
        let mut work = Work {
            raster: Raster { width, height, resolution },
            plane: clean.plane().clone(),
            touched: BitPlane::empty(width, height),
            by_hand: None,
        };
        let darkest = clean.tones().bites() as u8;
        let mut removed = keep::Removed::new(clean.plane(), lightness, breaks);
        let mut outside = 0;
        let mut nothing = 0;
        for edit in &self.0 {
            let done = match edit {
                Edit::Stroke { path, width_mm, tone } => {
                    work.set(|raster, out| area::stroke(raster, path.points(), width_mm.0, out), (*tone).min(darkest))
                }
                Edit::Lasso { path, tone } => work.set(|raster, out| area::polygon(raster, path.points(), out), (*tone).min(darkest)),
                Edit::Fill { at, tone } => work.fill(*at, (*tone).min(darkest)),
                Edit::Keep { at } => {
                    let back = work.raster.pixel(*at).map(|at| removed.around(at, resolution));
                    nothing += usize::from(back.as_ref().is_some_and(Vec::is_empty));
                    for (y, columns, tone) in back.iter().flatten() {
                        work.stretch(*y, columns.start, columns.end, *tone);
                    }
                    back.is_some()
                }
                Edit::ByHand { path } => work.leave(path),
            };
            outside += usize::from(!done);
        }
        let over = self.0.iter().filter(|edit| edit.tone().is_some_and(|tone| tone > darkest)).count();
        Worked {
            map: StepMap::new(clean.tones(), work.plane),
            touched: work.touched,
            by_hand: work.by_hand,
            notes: notes(over, darkest, outside, nothing),
        }
    }
}

/// What became of edits that could not be done as they were meant.
fn notes(over: usize, darkest: u8, outside: usize, nothing: usize) -> Vec<String> {
    let things = |count: usize| if count == 1 { "One thing set by hand".to_owned() } else { format!("{count} things set by hand") };
    let mut notes = Vec::new();
    if over > 0 {
        let asks = if over == 1 { "asks for a tone" } else { "ask for tones" };
        notes.push(format!(
            "{} {asks} this plate does not have: tone {darkest}, its darkest, stands there. Add bites, or set it anew.",
            things(over)
        ));
    }
    if outside > 0 {
        let lies = if outside == 1 { "lies" } else { "lie" };
        notes.push(format!("{} {lies} beside the face now and changes nothing: take it back, or make the plate larger.", things(outside)));
    }
    if nothing > 0 {
        let (places, there) = if nothing == 1 { ("One place", "it") } else { ("Some places", "them") };
        notes.push(format!("{places} to keep: clean-up takes nothing away within a millimetre of {there}, so nothing came back there."));
    }
    notes
}

/// The map while edits are done.
struct Work {
    raster: Raster,
    plane: Plane<u8>,
    touched: BitPlane,
    by_hand: Option<BitPlane>,
}

/// Takes stretches of pixels: row, start, end.
type Out<'a> = &'a mut dyn FnMut(usize, usize, usize);

impl Work {
    fn stretch(&mut self, y: usize, start: usize, end: usize, tone: u8) {
        let width = self.plane.width();
        self.plane.data_mut()[y * width + start..y * width + end].fill(tone);
        self.touched.set_stretch(y, start, end);
    }

    /// Gives an area a tone; false where none of it is on the face.
    fn set(&mut self, area: impl FnOnce(Raster, Out<'_>), tone: u8) -> bool {
        let mut any = false;
        area(self.raster, &mut |y, start, end| {
            any = true;
            self.stretch(y, start, end, tone);
        });
        any
    }

    /// Gives the region at a place a tone; false where there is none.
    fn fill(&mut self, at: PointMm, tone: u8) -> bool {
        let Some(from) = self.raster.pixel(at) else { return false };
        let touched = &mut self.touched;
        flood::fill(&mut self.plane, from, tone, |y, start, end| touched.set_stretch(y, start, end));
        true
    }

    /// Takes an area out of the stop-outs; false where none of it is on the face.
    fn leave(&mut self, path: &Path) -> bool {
        let mut any = false;
        let by_hand = self.by_hand.get_or_insert_with(|| BitPlane::empty(self.raster.width, self.raster.height));
        area::polygon(self.raster, path.points(), |y, start, end| {
            any = true;
            by_hand.set_stretch(y, start, end);
        });
        any
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aside::Aside;
    use crate::light::Lightness;
    use crate::outline::Outlines;
    use crate::stopouts::{HandSpeed, StopOuts};
    use crate::tones::{ToneCount, quantise};
    use proptest::prelude::*;

    const TEN: PxPerMm = PxPerMm(10.0);

    fn path(text: &str) -> Path {
        Path::try_from(text.to_owned()).unwrap()
    }

    fn at(x: f64, y: f64) -> PointMm {
        PointMm { x, y }
    }

    fn breaks() -> Breaks {
        Breaks::new(vec![Lightness(75.0), Lightness(50.0), Lightness(25.0)]).unwrap()
    }

    /// Twenty by ten mm of tone 1 at 10 px/mm, and a drawing that has it so too.
    fn face() -> (StepMap, Plane<f32>) {
        (StepMap::new(ToneCount::new(4).unwrap(), Plane::filled(200, 100, 1)), Plane::filled(200, 100, 60.0))
    }

    fn done(edits: Vec<Edit>) -> Worked {
        let (map, lightness) = face();
        Hand::new(edits).unwrap().applied(&map, &lightness, &breaks(), TEN)
    }

    fn pixels(worked: &Worked, tone: u8) -> usize {
        worked.map.plane().data().iter().filter(|&&t| t == tone).count()
    }

    #[test]
    fn no_edits_change_nothing() {
        let worked = done(Vec::new());
        assert_eq!((worked.map, worked.touched.count(), worked.by_hand, worked.notes.len()), (face().0, 0, None, 0));
    }

    #[test]
    fn edits_are_done_one_after_another() {
        let square = Edit::Lasso { path: path("2,2 6,2 6,6 2,6"), tone: 3 };
        let across = Edit::Stroke { path: path("-5,4 30,4"), width_mm: Millimetres(1.0), tone: 0 };
        let fill = Edit::Fill { at: at(3.0, 5.0), tone: 2 };
        let worked = done(vec![square.clone(), across.clone(), fill.clone()]);
        // 40 × 40 pixels less the stroke's ten rows; the fill takes the lower half of what is left.
        assert_eq!((pixels(&worked, 3), pixels(&worked, 2), pixels(&worked, 0)), (600, 600, 2000));
        let other = done(vec![across, square, fill]);
        assert_eq!((pixels(&other, 2), pixels(&other, 0)), (1600, 2000 - 400));
        assert_eq!(worked.touched.count(), other.touched.count());
    }

    #[test]
    fn what_can_not_be_done_as_meant_is_said() {
        let worked = done(vec![
            Edit::Stroke { path: path("1,1 2,2"), width_mm: Millimetres(1.0), tone: 9 },
            Edit::Stroke { path: path("100,100"), width_mm: Millimetres(1.0), tone: 0 },
            Edit::Fill { at: at(-1.0, 3.0), tone: 0 },
            Edit::Keep { at: at(3.0, 3.0) },
        ]);
        assert!(pixels(&worked, 3) > 0, "the darkest stands in");
        assert_eq!(worked.notes.len(), 3);
        assert!(worked.notes[0].starts_with("One thing set by hand asks for a tone"), "{:?}", worked.notes);
        assert!(worked.notes[1].starts_with("2 things set by hand lie beside the face"));
        assert!(worked.notes[2].contains("nothing came back"));
    }

    #[test]
    fn what_is_beyond_its_limits_is_refused_in_a_sentence() {
        let stroke = |width: f64| Edit::Stroke { path: path("1,1"), width_mm: Millimetres(width), tone: 0 };
        let cases = [
            (vec![stroke(0.0)], "0.1 to 50"),
            (vec![stroke(f64::NAN)], "NaN"),
            (vec![stroke(51.0)], "51"),
            (vec![Edit::ByHand { path: path("1,1 2,2") }], "three points"),
            (vec![Edit::Fill { at: at(f64::INFINITY, 0.0), tone: 0 }], "inf"),
            (vec![stroke(1.0); 1001], "1001"),
        ];
        for (edits, said) in cases {
            let error = Hand::new(edits).unwrap_err().to_string();
            assert!(error.contains(said) && error.ends_with('.'), "{error}");
        }
    }

    #[test]
    fn edits_are_written_and_read() {
        let edits = vec![
            Edit::Stroke { path: path("1,1 2,2.5"), width_mm: Millimetres(1.5), tone: 2 },
            Edit::Lasso { path: path("1,1 2,2.5 3,1"), tone: 0 },
            Edit::Fill { at: at(1.0, 2.0), tone: 3 },
            Edit::Keep { at: at(1.0, 2.0) },
            Edit::ByHand { path: path("1,1 2,2.5 3,1") },
        ];
        let text = serde_json::to_string(&edits).unwrap();
        assert!(text.starts_with(r#"[{"kind":"stroke","path":"1,1 2,2.5","width_mm":1.5,"tone":2},"#), "{text}");
        assert!(text.ends_with(r#"{"kind":"keep","at":[1.0,2.0]},{"kind":"by_hand","path":"1,1 2,2.5 3,1"}]"#), "{text}");
        assert_eq!(serde_json::from_str::<Vec<Edit>>(&text).unwrap(), edits);
        for wrong in
            [r#"{"kind":"stroke","path":"1","width_mm":1,"tone":2}"#, r#"{"kind":"keep"}"#, r#"{"kind":"fill","at":[1,2],"tone":-1}"#]
        {
            assert!(serde_json::from_str::<Edit>(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_highlight_that_clean_up_took_comes_back() {
        // Two light specks and a broken light hair in the drawing; clean-up has left tone 1 everywhere.
        let (clean, _) = face();
        let speck = |x: usize, y: usize, u: usize, v: usize| x.abs_diff(u) <= 2 && y.abs_diff(v) <= 1;
        let lightness =
            Plane::from_fn(
                200,
                100,
                |x, y| {
                    if speck(x, y, 50, 50) || speck(x, y, 61, 50) || (x == y + 60 && x > 70) { 90.0 } else { 60.0 }
                },
            );
        let keep = |x: f64, y: f64| {
            let worked = Hand::new(vec![Edit::Keep { at: at(x, y) }]).unwrap().applied(&clean, &lightness, &breaks(), TEN);
            let mut bits = BitPlane::empty(200, 100);
            for (i, _) in worked.map.plane().data().iter().enumerate().filter(|(_, tone)| **tone == 0) {
                bits.set_stretch(i / 200, i % 200, i % 200 + 1);
            }
            assert_eq!(bits, worked.touched);
            bits
        };
        let pressed = keep(5.05, 5.05);
        assert_eq!((pressed.count(), pressed.at(50, 50), pressed.at(61, 50)), (15, true, false));
        // Beside it by 0.6 mm: it is still the nearer one. Farther than a millimetre from both: nothing.
        assert_eq!(keep(4.25, 5.05), pressed);
        assert_eq!(keep(3.0, 8.0).count(), 0);
        // A hair one pixel wide that runs diagonally is one piece.
        assert_eq!(keep(13.05, 7.05).count(), 89);
    }

    #[test]
    fn the_same_edits_give_the_same_areas_at_every_resolution() {
        let edits = Hand::new(vec![
            Edit::Lasso { path: path("3,3 17,4 9,9 15,9.5 5,9.5"), tone: 0 },
            Edit::Stroke { path: path("2,2 6,8 18,6.5"), width_mm: Millimetres(1.3), tone: 3 },
            Edit::Fill { at: at(19.0, 1.0), tone: 2 },
            Edit::ByHand { path: path("14,1 19,1 19,5 14,5") },
        ])
        .unwrap();
        let shares = |px_per_mm: f64| {
            let (wide, high) = ((20.0 * px_per_mm) as usize, (10.0 * px_per_mm) as usize);
            let map = StepMap::new(ToneCount::new(4).unwrap(), Plane::filled(wide, high, 1));
            let worked = edits.applied(&map, &Plane::filled(wide, high, 60.0), &breaks(), PxPerMm(px_per_mm));
            let mm2 = |pixels: u64| pixels as f64 / (px_per_mm * px_per_mm);
            let mut areas: Vec<f64> = worked.map.counts().into_iter().map(mm2).collect();
            areas.push(mm2(worked.by_hand.unwrap().count()));
            areas
        };
        let fine = shares(40.0);
        for px_per_mm in [5.0, 10.0, 20.0] {
            for (coarse, fine) in shares(px_per_mm).iter().zip(&fine) {
                // Under 70 mm of edge; on a pixel's width along it a quarter may differ.
                assert!((coarse - fine).abs() < 70.0 / px_per_mm / 4.0, "{coarse} for {fine} at {px_per_mm}");
            }
        }
    }

    fn some_path(least: usize) -> impl Strategy<Value = Path> {
        prop::collection::vec((-3.0f64..15.0, -3.0f64..12.0), least..9)
            .prop_map(|points| Path::new(points.into_iter().map(PointMm::from).collect()).unwrap())
    }

    fn some_edit() -> impl Strategy<Value = Edit> {
        let place = || (-1.0f64..13.0, -1.0f64..10.0).prop_map(PointMm::from);
        prop_oneof![
            (some_path(1), 0.1f64..4.0, any::<u8>()).prop_map(|(path, width, tone)| Edit::Stroke {
                path,
                width_mm: Millimetres(width),
                tone: tone % 20
            }),
            (some_path(3), 0u8..6).prop_map(|(path, tone)| Edit::Lasso { path, tone }),
            (place(), 0u8..6).prop_map(|(at, tone)| Edit::Fill { at, tone }),
            place().prop_map(|at| Edit::Keep { at }),
            some_path(3).prop_map(|path| Edit::ByHand { path }),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        /// Whatever is drawn: stop-outs stay nested, what is newly painted parts the face, a resist is covered and never painted, and
        /// what is by hand is never covered.
        #[test]
        fn whatever_is_drawn_the_stop_outs_hold(edits in prop::collection::vec(some_edit(), 0..12), seed in any::<u64>(), tones in 2i64..=6, resist in some_path(3), some in any::<bool>()) {
            let mut state = seed;
            let cells: Vec<f32> = (0..100).map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 40) as f32 / (1u32 << 24) as f32 * 100.0
            }).collect();
            let lightness = Plane::from_fn(60, 50, |x, y| cells[y / 5 * 10 + x / 6]);
            let breaks = Breaks::new((1..tones).map(|i| Lightness(100.0 - 100.0 * i as f64 / tones as f64)).collect()).unwrap();
            let clean = quantise(&lightness, &breaks);
            let worked = Hand::new(edits).unwrap().applied(&clean, &lightness, &breaks, PxPerMm(5.0));
            let mut covered = BitPlane::empty(60, 50);
            area::polygon(Raster { width: 60, height: 50, resolution: PxPerMm(5.0) }, resist.points(), |y, from, to| covered.set_stretch(y, from, to));
            let aside = Aside::new(some.then_some(covered), worked.by_hand);
            let (map, zones) = aside.applied(worked.map);
            let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), |zones| zones.plane()), PxPerMm(5.0));
            let all = StopOuts::around(map, (aside.clone(), zones), &outlines, PxPerMm(5.0), HandSpeed::default());
            let masks: Vec<Plane<u8>> = (1..tones as usize).map(|number| all.mask(number)).collect();
            let is = |bits: Option<&BitPlane>, i: usize| bits.is_some_and(|bits| bits.at(i % 60, i / 60));
            let pixels = |share: f64| libm::round(share * 3000.0) as usize;
            let mut painted = vec![0; masks.len()];
            for i in 0..3000 {
                let first = masks.iter().position(|mask| mask.data()[i] == 0);
                let from = first.unwrap_or(masks.len());
                prop_assert!(masks[from..].iter().all(|mask| mask.data()[i] == 0), "what is covered stays covered");
                if is(aside.resist(), i) {
                    prop_assert_eq!((first, all.map().plane().data()[i]), (Some(0), 0));
                } else if is(aside.by_hand(), i) {
                    prop_assert_eq!(first, None);
                } else if let Some(first) = first {
                    painted[first] += 1;
                }
            }
            for (stop_out, painted) in all.list().iter().zip(painted) {
                prop_assert_eq!(pixels(stop_out.new_share), painted);
                let covered = masks[stop_out.number - 1].data().iter().filter(|&&value| value == 0).count();
                prop_assert_eq!(pixels(stop_out.covered_share), covered);
                prop_assert_eq!(painted == 0, stop_out.islands == 0);
            }
        }
    }
}

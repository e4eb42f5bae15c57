//! Made-up plates, and a drawing's: from a map of tones to all that sheets are drawn from. The times are those of the example strip.

use stepbite_core::aside::{Aside, Zones};
use stepbite_core::bites::{self, BitePlan};
use stepbite_core::curve::BiteCurve;
use stepbite_core::drawing::Drawing;
use stepbite_core::face::{self, Fit};
use stepbite_core::outline::Outlines;
use stepbite_core::plane::Plane;
use stepbite_core::plate::Plate;
use stepbite_core::regions::{Mark, Softened, paintable};
use stepbite_core::sheets::{SheetSettings, Sheets};
use stepbite_core::smoothing::Smoothing;
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::strip::TestStrip;
use stepbite_core::tones::{self, StepMap, Targets, ToneCount};
use stepbite_core::units::{Millimetres, PxPerMm};

/// A plate planned so far that its sheets can be drawn.
pub struct MadeUp {
    /// The plate.
    pub plate: Plate,
    /// Its stop-outs.
    pub stop_outs: StopOuts,
    /// The edges of its regions.
    pub outlines: Outlines,
    /// The ladder of times.
    pub bites: BitePlan,
}

/// A plate of a size and a bevel, mm, and a map of its face: the tone of a pixel by column, row, and how many columns and rows there are.
///
/// # Panics
/// When there is no such plate or count of tones.
#[must_use]
pub fn mapped(
    size: (f64, f64),
    bevel: f64,
    resolution: PxPerMm,
    tones: i64,
    tone: impl Fn(usize, usize, usize, usize) -> u8,
) -> (Plate, StepMap) {
    let plate = Plate::new(Millimetres(size.0), Millimetres(size.1), Millimetres(bevel)).expect("a plate of that size");
    let (wide, high) = plate.raster(resolution).expect("a face of that fineness");
    let map = Plane::from_fn(wide, high, |x, y| tone(x, y, wide, high));
    (plate, StepMap::new(ToneCount::new(tones).expect("a count of tones"), map))
}

/// A plate of 110 × 130 mm at 10 px/mm in five tones: slanting waves that leave the face at every side, with round islands that have a
/// hole. Not its own mirror image.
#[must_use]
pub fn waves(bevel: f64) -> (Plate, StepMap) {
    mapped((110.0, 130.0), bevel, PxPerMm(10.0), 5, |x, y, _, _| {
        let (u, v) = (x as f64 / 10.0, y as f64 / 10.0);
        let wave = (u * 0.13 + (v * 0.11).sin() * 1.4 + v * 0.03).rem_euclid(5.0);
        let off = ((u.rem_euclid(25.0)) - 12.0).hypot((v.rem_euclid(31.0)) - 14.0);
        ((wave as usize + if (1.2..4.0).contains(&off) { 2 } else { 0 }) % 5) as u8
    })
}

/// A drawing of `demo/` on a plate of a size in mm without a bevel, at 10 px/mm in ten tones of equal width, cleaned.
///
/// # Panics
/// When it can't be read or placed.
#[must_use]
pub fn drawn(name: &str, size: (f64, f64)) -> (Plate, StepMap, PxPerMm) {
    let bytes = std::fs::read(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo").join(name)).expect("the demo drawing");
    let plate = Plate::new(Millimetres(size.0), Millimetres(size.1), Millimetres(0.0)).expect("a plate of that size");
    let face = face::place(&Drawing::read(&bytes).expect("a drawing"), &plate, Fit::Cover, PxPerMm(10.0)).expect("a face");
    let breaks = tones::even(ToneCount::new(10).expect("ten tones"), face.ends).expect("ten tones between these ends");
    let softened = Softened::of(&face.lightness, face.resolution, Mark::default(), Smoothing::default());
    let map = paintable(&softened, &breaks);
    (plate, map, face.resolution)
}

impl MadeUp {
    /// All that follows from a map.
    ///
    /// # Panics
    /// When the example strip has no times for its tones.
    #[must_use]
    pub fn of((plate, map): (Plate, StepMap), resolution: PxPerMm, aside: Aside) -> Self {
        let strip = TestStrip::example();
        let curve = BiteCurve::of(&strip);
        let targets = bites::targets(map.tones(), &curve, Targets::RESERVE).expect("targets of the example strip");
        let bites = bites::plan(&targets, &curve, &strip).expect("times of the example strip");
        let (map, zones) = aside.applied(map);
        let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), Zones::plane), resolution);
        let stop_outs = StopOuts::around(map, (aside, zones), &outlines, resolution, HandSpeed::default());
        Self { plate, stop_outs, outlines, bites }
    }

    /// Its sheets, drawn.
    #[must_use]
    pub fn sheets(&self, settings: &SheetSettings) -> Sheets {
        Sheets::of(&self.stop_outs, &self.outlines, &self.bites, &self.plate, settings)
    }
}

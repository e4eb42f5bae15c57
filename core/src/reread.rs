//! Reading a plan's own files again: step map, masks and `plan.json` become stop-outs and times, the same to the bit, or a sentence.

use crate::aside::{Aside, Zones};
use crate::bits::BitPlane;
use crate::light::Lightness;
use crate::outline::Outlines;
use crate::plane::Plane;
use crate::plate::{Plate, PlateError, SizeMm};
use crate::stopouts::{HandSpeed, StopOuts};
use crate::strip::{LONGEST, StripKind};
use crate::tones::{Breaks, BreaksError, StepMap, ToneCount, ToneCountError};
use crate::units::{Millimetres, PxPerMm, Seconds};
use serde::Deserialize;
use std::fmt;
use std::io::Cursor;

/// Files of a plan, as they were written.
#[derive(Clone, Copy, Debug, Default)]
pub struct PlanFiles<'a> {
    /// `steps.png`.
    pub steps: &'a [u8],
    /// `plan.json`.
    pub plan: &'a [u8],
    /// `masks/lift.png`, where there is one: without it a fixed resist is taken for tone 0.
    pub lift: Option<&'a [u8]>,
    /// `masks/by-hand.png`, where there is one: without it such an area is taken for the tone it shows.
    pub by_hand: Option<&'a [u8]>,
    /// Masks of stop-outs by their numbers, as far as they are to be compared with the step map.
    pub masks: &'a [(usize, &'a [u8])],
}

/// What a clock and a run sheet need of one tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToneClock {
    /// Exact total.
    pub total: Seconds,
    /// Exact bite that leads to it; 0 for tone 0.
    pub bite: Seconds,
    /// What the clock is set to for that bite; 0 for tone 0.
    pub set: Seconds,
    /// Range of the total, where it was worked out.
    pub range: Option<(Seconds, Seconds)>,
}

/// A plan read again.
#[derive(Clone, Debug)]
pub struct Reread {
    /// The plate.
    pub plate: Plate,
    /// L* of the drawing at which tones change.
    pub breaks: Breaks,
    /// L* each tone is to print at, tone 0 first.
    pub targets: Vec<Lightness>,
    /// The stop-outs, with the step map in them. Minutes are those of the usual hand.
    pub stop_outs: StopOuts,
    /// Their edges, traced anew.
    pub outlines: Outlines,
    /// The times, tone 0 first; none where the plan has none.
    pub clock: Option<Vec<ToneClock>>,
    /// Name of the strip they rest on.
    pub strip_id: String,
    /// Whose strip that is.
    pub strip_kind: StripKind,
}

/// Why files are not those of a plan.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum RereadError {
    /// `plan.json` is no plan.
    Plan {
        /// What the reader said.
        cause: String,
    },
    /// Its count of tones can't be.
    Tones(ToneCountError),
    /// Its breaks can't be.
    Breaks(BreaksError),
    /// Its plate can't be.
    Plate(PlateError),
    /// A figure of the plan does not go with the others.
    Figure {
        /// Which, as in a sentence.
        what: &'static str,
    },
    /// A picture can't be read.
    Picture {
        /// The file.
        name: String,
        /// What the reader said.
        cause: String,
    },
    /// A picture is not 8-bit grey.
    Kind {
        /// The file.
        name: String,
    },
    /// A picture has another size, or another true size, than the plan's face.
    Size {
        /// The file.
        name: String,
        /// Pixels expected.
        expected: (usize, usize),
        /// Pixels that came.
        came: (u32, u32),
    },
    /// A picture does not say its true size, or another one.
    Resolution {
        /// The file.
        name: String,
        /// Pixels a metre expected.
        expected: u32,
        /// Pixels a metre across and along that came.
        came: Option<(u32, u32)>,
    },
    /// The step map holds a value that is no tone.
    Value {
        /// The value.
        value: u8,
        /// How many tones there are.
        tones: usize,
    },
    /// A mask is neither black nor white somewhere.
    Grey {
        /// The file.
        name: String,
    },
    /// A mask is not what the step map says.
    Mask {
        /// The stop-out's number.
        number: usize,
    },
    /// The figures are those of another step map.
    Share {
        /// Which tone.
        tone: usize,
    },
}

impl fmt::Display for RereadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Plan { cause } => write!(f, "plan.json is no plan of Stepbite ({cause}): take the file as it was saved."),
            Self::Tones(error) => write!(f, "plan.json can't be taken. {error}"),
            Self::Breaks(error) => write!(f, "plan.json can't be taken. {error}"),
            Self::Plate(error) => write!(f, "plan.json can't be taken. {error}"),
            Self::Figure { what } => write!(f, "In plan.json {what}: take the file as it was saved."),
            Self::Picture { name, cause } => write!(f, "{name} can't be read ({cause}): take the file as it was saved."),
            Self::Kind { name } => write!(f, "{name} should be an 8-bit grey PNG and is of another kind: take the file as it was saved."),
            Self::Size { name, expected: (w, h), came: (cw, ch) } => {
                write!(f, "{name} should have {w} × {h} pixels and has {cw} × {ch}: take both files from the same plan.")
            }
            Self::Resolution { name, expected, came: Some((x, y)) } => {
                write!(f, "{name} should have {expected} pixels a metre and has {x} × {y}: take both files from the same plan.")
            }
            Self::Resolution { name, expected, came: None } => {
                write!(f, "{name} should say that it has {expected} pixels a metre and does not: take the file as it was saved.")
            }
            Self::Value { value, tones } => {
                write!(
                    f,
                    "steps.png holds the grey value {value}, and {tones} tones are 0 to {}: take the file as it was saved.",
                    tones - 1
                )
            }
            Self::Grey { name } => write!(f, "{name} should be black and white only and holds a grey: take the file as it was saved."),
            Self::Mask { number } => {
                write!(f, "The mask of stop-out {number} is not what steps.png says: take all files from the same plan.")
            }
            Self::Share { tone } => {
                write!(f, "Tone {tone} has another area in steps.png than in plan.json: take both files from the same plan.")
            }
        }
    }
}

impl std::error::Error for RereadError {}

/// A share may differ by the rounding of its own division, no more.
const SHARE_OFF: f64 = 1e-9;
/// Seconds by which a bite may differ from the difference of its totals: rounding.
const BITE_OFF: f64 = 1e-6;
/// `plan.json` has some 10 kB; more than this is something else.
const LONGEST_PLAN: usize = 4 << 20;

/// What is needed of `plan.json`; fields that a later version adds are passed over.
#[derive(Deserialize)]
struct Plan {
    plate_mm: SizeMm,
    face_mm: SizeMm,
    px_per_mm: f64,
    breaks: Vec<f64>,
    tones: Vec<Tone>,
    strip: Strip,
}

#[derive(Deserialize)]
struct Tone {
    index: usize,
    lightness: f64,
    share: f64,
    total_s: Option<f64>,
    bite_s: Option<f64>,
    set_s: Option<f64>,
    range_s: Option<(f64, f64)>,
}

#[derive(Deserialize)]
struct Strip {
    id: String,
    kind: StripKind,
}

impl Reread {
    /// Reads the files of a plan.
    ///
    /// # Errors
    /// A sentence where a file is broken, or where two of them are not of the same plan.
    pub fn of(files: PlanFiles<'_>) -> Result<Self, RereadError> {
        let plan = read_plan(files.plan)?;
        let tones = ToneCount::new(i64::try_from(plan.tones.len()).unwrap_or(i64::MAX)).map_err(RereadError::Tones)?;
        let figure = |holds: bool, what: &'static str| if holds { Ok(()) } else { Err(RereadError::Figure { what }) };
        figure(plan.tones.iter().enumerate().all(|(k, tone)| tone.index == k), "the tones are not numbered from 0")?;
        figure(plan.breaks.len() == tones.bites(), "there is not one break between each two tones")?;
        let lightnesses = plan.tones.iter().map(|tone| tone.lightness);
        figure(lightnesses.clone().all(|l| (0.0..=100.0).contains(&l)), "a tone’s lightness is no L*")?;
        figure(lightnesses.clone().zip(lightnesses.skip(1)).all(|(a, b)| a > b), "the tones don’t fall from light to dark")?;
        let breaks = Breaks::new(plan.breaks.iter().map(|&l| Lightness(l)).collect()).map_err(RereadError::Breaks)?;
        let (outer, face) = (plan.plate_mm, plan.face_mm);
        // A difference of two figures has a rounding of its own, and a flat plate no bevel below nothing.
        let bevel = libm::round((outer.width.0 - face.width.0) / 2.0 * 1e6) / 1e6;
        let plate = Plate::new(outer.width, outer.height, Millimetres(bevel)).map_err(RereadError::Plate)?;
        let near = |a: Millimetres, b: Millimetres| (a.0 - b.0).abs() < 1e-6;
        let fits = near(plate.face().width, face.width) && near(plate.face().height, face.height);
        figure(fits, "the face is not the plate less one bevel all round")?;
        let resolution = PxPerMm(plan.px_per_mm);
        let size = plate.raster(resolution).map_err(RereadError::Plate)?;
        let clock = clock(&plan.tones)?;

        let picture = |name: &str, bytes: &[u8]| grey(name, bytes, size, resolution);
        let steps = picture("steps.png", files.steps)?;
        if let Some(&value) = steps.data().iter().find(|&&value| usize::from(value) >= tones.get()) {
            return Err(RereadError::Value { value, tones: tones.get() });
        }
        let lift = files.lift.map(|bytes| picture("lift.png", bytes).and_then(|mask| bits("lift.png", &mask, 0))).transpose()?;
        let by_hand =
            files.by_hand.map(|bytes| picture("by-hand.png", bytes).and_then(|mask| bits("by-hand.png", &mask, 255))).transpose()?;
        let aside = Aside::new(lift, by_hand);
        let (map, zones) = aside.applied(StepMap::new(tones, steps));
        let face_pixels = map.plane().data().len() as f64;
        for (tone, (&count, told)) in map.counts().iter().zip(&plan.tones).enumerate() {
            if (count as f64 / face_pixels - told.share).abs() > SHARE_OFF {
                return Err(RereadError::Share { tone });
            }
        }
        let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), Zones::plane), resolution);
        let stop_outs = StopOuts::around(map, (aside, zones), &outlines, resolution, HandSpeed::default());
        for &(number, bytes) in files.masks {
            let mask = picture(&format!("stopout-{number:02}.png"), bytes)?;
            if !(1..=tones.bites()).contains(&number) || mask != stop_outs.mask(number) {
                return Err(RereadError::Mask { number });
            }
        }
        let targets = plan.tones.iter().map(|tone| Lightness(tone.lightness)).collect();
        Ok(Self { plate, breaks, targets, stop_outs, outlines, clock, strip_id: plan.strip.id, strip_kind: plan.strip.kind })
    }
}

fn read_plan(bytes: &[u8]) -> Result<Plan, RereadError> {
    if bytes.len() > LONGEST_PLAN {
        return Err(RereadError::Plan { cause: format!("it has {} bytes", bytes.len()) });
    }
    serde_json::from_slice(bytes).map_err(|error| RereadError::Plan { cause: error.to_string() })
}

/// The times of all tones; none where none has one.
fn clock(tones: &[Tone]) -> Result<Option<Vec<ToneClock>>, RereadError> {
    let figure = |holds: bool, what: &'static str| if holds { Ok(()) } else { Err(RereadError::Figure { what }) };
    if tones.iter().all(|tone| tone.total_s.is_none() && tone.bite_s.is_none() && tone.set_s.is_none() && tone.range_s.is_none()) {
        return Ok(None);
    }
    let times: Option<Vec<ToneClock>> = tones
        .iter()
        .map(|tone| {
            let range = tone.range_s.map(|(from, to)| (Seconds(from), Seconds(to)));
            Some(ToneClock { total: Seconds(tone.total_s?), bite: Seconds(tone.bite_s?), set: Seconds(tone.set_s?), range })
        })
        .collect();
    let times = times.ok_or(RereadError::Figure { what: "some tones have a time and some have none" })?;
    let seconds = |time: Seconds| time.0.is_finite() && (0.0..=LONGEST.0).contains(&time.0);
    figure(times.iter().all(|t| seconds(t.total) && seconds(t.bite) && seconds(t.set)), "a time is not one of a bath")?;
    let first = times.first().map_or(0.0, |t| t.total.0 + t.bite.0 + t.set.0);
    figure(first <= 0.0, "tone 0 has a time, and it is never bitten")?;
    // A bite that is dropped, or was none, leaves its tone at the total before.
    let rise = times.windows(2).all(|pair| pair[1].total > pair[0].total || (pair[1].total == pair[0].total && pair[1].bite.0 == 0.0));
    figure(rise, "the totals don’t rise")?;
    let adds_up = times.windows(2).all(|pair| (pair[1].total.0 - pair[0].total.0 - pair[1].bite.0).abs() <= BITE_OFF);
    figure(adds_up, "a bite is not the difference of two totals")?;
    let within = |t: &ToneClock| t.range.is_none_or(|(from, to)| from.0 >= 0.0 && from <= t.total && t.total <= to && to.0.is_finite());
    figure(times.iter().all(within), "a total lies outside its own range")?;
    Ok(Some(times))
}

/// An 8-bit grey PNG of the size, and the true size, that is expected; looked at before memory is taken for it.
fn grey(name: &str, bytes: &[u8], size: (usize, usize), resolution: PxPerMm) -> Result<Plane<u8>, RereadError> {
    let picture = |error: png::DecodingError| RereadError::Picture { name: name.to_owned(), cause: error.to_string() };
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::IDENTITY);
    let mut reader = decoder.read_info().map_err(picture)?;
    let info = reader.info();
    if info.color_type != png::ColorType::Grayscale || info.bit_depth != png::BitDepth::Eight {
        return Err(RereadError::Kind { name: name.to_owned() });
    }
    let came = (info.width, info.height);
    if (came.0 as usize, came.1 as usize) != size {
        return Err(RereadError::Size { name: name.to_owned(), expected: size, came });
    }
    let expected = resolution.per_metre();
    let came = info.pixel_dims.filter(|dims| dims.unit == png::Unit::Meter).map(|dims| (dims.xppu, dims.yppu));
    if came != Some((expected, expected)) {
        return Err(RereadError::Resolution { name: name.to_owned(), expected, came });
    }
    let mut data = vec![0; size.0 * size.1];
    if reader.output_buffer_size() != Some(data.len()) {
        return Err(RereadError::Kind { name: name.to_owned() });
    }
    reader.next_frame(&mut data).map_err(picture)?;
    // A file cut off after its last row is still a broken file.
    reader.finish().map_err(picture)?;
    Plane::new(size.0, size.1, data).map_err(|error| RereadError::Picture { name: name.to_owned(), cause: error.to_string() })
}

/// Where a black and white picture has a value.
fn bits(name: &str, mask: &Plane<u8>, value: u8) -> Result<BitPlane, RereadError> {
    if mask.data().iter().any(|&grey| grey != 0 && grey != 255) {
        return Err(RereadError::Grey { name: name.to_owned() });
    }
    let mut bits = BitPlane::empty(mask.width(), mask.height());
    for (y, row) in mask.rows().enumerate() {
        for (x, _) in row.iter().enumerate().filter(|(_, grey)| **grey == value) {
            bits.set(x, y);
        }
    }
    Ok(bits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::archive::Named;
    use crate::folder::tests::{Small, bits as some_bits};
    use crate::png_file;
    use crate::strip::TestStrip;
    use proptest::prelude::*;
    use serde_json::{Value, json};

    fn bytes<'a>(files: &'a [Named], name: &str) -> &'a [u8] {
        &files.iter().find(|file| file.0 == name).unwrap().1
    }

    fn reread(files: &[Named]) -> Result<Reread, RereadError> {
        let masks: Vec<(usize, &[u8])> = (1..=2).map(|number| (number, bytes(files, &format!("masks/stopout-0{number}.png")))).collect();
        let some = |name: &str| files.iter().any(|file| file.0 == name).then(|| bytes(files, name));
        Reread::of(PlanFiles {
            steps: bytes(files, "steps.png"),
            plan: bytes(files, "plan.json"),
            lift: some("masks/lift.png"),
            by_hand: some("masks/by-hand.png"),
            masks: &masks,
        })
    }

    #[test]
    fn a_plan_comes_back_to_the_bit() {
        for aside in [Aside::default(), Aside::new(some_bits(4, 12), some_bits(30, 44)), Aside::new(None, some_bits(0, 7))] {
            let small = Small::of(&TestStrip::example(), aside.clone());
            let files = small.files(None);
            let again = reread(&files).unwrap();
            assert_eq!((again.plate, again.stop_outs.aside(), again.stop_outs.list()), (small.plate, &aside, small.stop_outs.list()));
            for number in 1..=2 {
                let mask = png_file::grey(&again.stop_outs.mask(number), again.stop_outs.resolution());
                assert_eq!(mask, bytes(&files, &format!("masks/stopout-0{number}.png")));
            }
            let clock = again.clock.unwrap();
            for (tone, clock) in small.bites.tones.iter().zip(&clock) {
                assert_eq!((tone.total, tone.bite, tone.set, tone.range), (clock.total, clock.bite, clock.set, clock.range));
            }
            assert_eq!((again.strip_id.as_str(), again.strip_kind), ("15-A", StripKind::Example));
            assert_eq!(again.outlines, small.outlines);
        }
    }

    #[test]
    fn a_plan_without_times_comes_back_without() {
        let files = Small::of(&TestStrip::missing(), Aside::default()).files(None);
        let again = reread(&files).unwrap();
        assert_eq!((again.clock, again.strip_kind), (None, StripKind::Missing));
    }

    fn small() -> Vec<Named> {
        Small::of(&TestStrip::example(), Aside::default()).files(None)
    }

    fn with(mut files: Vec<Named>, name: &str, bytes: Vec<u8>) -> Vec<Named> {
        files.iter_mut().find(|file| file.0 == name).unwrap().1 = bytes;
        files
    }

    #[test]
    fn broken_plans_are_refused_in_a_sentence() {
        let files = small();
        let plan: Value = serde_json::from_slice(bytes(&files, "plan.json")).unwrap();
        let changed = |path: &str, value: Value| {
            let mut plan = plan.clone();
            *plan.pointer_mut(path).unwrap() = value;
            plan.to_string().into_bytes()
        };
        let many: Vec<Value> = (0..100_000).map(|_| plan["tones"][0].clone()).collect();
        let cases: Vec<(Vec<u8>, &str)> = vec![
            (vec![], "no plan"),
            (b"{}".to_vec(), "missing field"),
            (b"[".repeat(100_000), "no plan"),
            (vec![b' '; LONGEST_PLAN + 1], "bytes"),
            (String::from_utf8(changed("/px_per_mm", json!(6))).unwrap().replace(":6,", ":NaN,").into_bytes(), "no plan"),
            (changed("/px_per_mm", json!(1e300)), "can't be taken"),
            (changed("/px_per_mm", json!(7)), "pixels"),
            (changed("/px_per_mm", json!(6.004)), "pixels a metre"),
            (changed("/tones", json!(many)), "no plan"),
            (changed("/tones", json!(many[..99])), "tones"),
            (changed("/tones", json!([])), "tones"),
            (changed("/tones/1/index", json!(2)), "numbered"),
            (changed("/tones/1/lightness", json!(99)), "light to dark"),
            (changed("/tones/1/lightness", json!(-3)), "L*"),
            (changed("/tones/1/share", json!(0.9)), "Tone 1"),
            (changed("/tones/1/share", Value::Null), "no plan"),
            (changed("/tones/1/total_s", Value::Null), "some tones have a time"),
            (changed("/tones/1/total_s", json!(-5)), "not one of a bath"),
            (changed("/tones/1/total_s", json!(1e9)), "not one of a bath"),
            (changed("/tones/2/total_s", json!(0.5)), "rise"),
            (changed("/tones/1/bite_s", json!(0.5)), "difference"),
            (changed("/tones/0/set_s", json!(5)), "never bitten"),
            (changed("/tones/1/range_s", json!([0, 1])), "its own range"),
            (changed("/breaks", json!([30, 60])), "can't be taken"),
            (changed("/breaks", json!([60])), "one break"),
            (changed("/plate_mm/width", json!(0)), "can't be taken"),
            (changed("/face_mm/width", json!(3)), "less one bevel"),
            (changed("/face_mm/width", json!(14)), "can't be taken"),
            (changed("/strip/kind", json!("borrowed")), "no plan"),
        ];
        for (broken, said) in cases {
            let shown = String::from_utf8_lossy(&broken[..broken.len().min(300)]).into_owned();
            let error = reread(&with(files.clone(), "plan.json", broken)).unwrap_err().to_string();
            assert!(error.contains(said) && error.ends_with('.'), "{error} for {shown}");
        }
        // What a later version adds is passed over.
        let mut newer = plan;
        newer["colour_of_the_ink"] = json!({ "name": "bone" });
        assert!(reread(&with(files, "plan.json", newer.to_string().into_bytes())).is_ok());
    }

    fn png_of(kind: png::ColorType, depth: png::BitDepth, size: (u32, u32), per_metre: Option<(u32, u32)>, value: u8) -> Vec<u8> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, size.0, size.1);
        encoder.set_color(kind);
        encoder.set_depth(depth);
        if kind == png::ColorType::Indexed {
            encoder.set_palette(vec![0; 3 * 256]);
        }
        encoder.set_pixel_dims(per_metre.map(|(xppu, yppu)| png::PixelDimensions { xppu, yppu, unit: png::Unit::Meter }));
        let bytes = size.0 as usize * size.1 as usize * kind.samples() * if depth == png::BitDepth::Sixteen { 2 } else { 1 };
        encoder.write_header().unwrap().write_image_data(&vec![value; bytes]).unwrap();
        file
    }

    #[test]
    fn broken_pictures_are_refused_in_a_sentence() {
        use png::{BitDepth, ColorType};
        let files = small();
        let (grey, eight, size, true_size) = (ColorType::Grayscale, BitDepth::Eight, (60, 48), Some((6000, 6000)));
        let cases = [
            (vec![], "can't be read"),
            (b"not a picture".to_vec(), "can't be read"),
            (png_of(grey, BitDepth::Sixteen, size, true_size, 0), "8-bit grey"),
            (png_of(ColorType::Indexed, eight, size, true_size, 0), "8-bit grey"),
            (png_of(ColorType::Rgb, eight, size, true_size, 0), "8-bit grey"),
            (png_of(ColorType::GrayscaleAlpha, eight, size, true_size, 0), "8-bit grey"),
            (png_of(grey, eight, (59, 48), true_size, 0), "60 × 48"),
            (png_of(grey, eight, size, None, 0), "does not"),
            (png_of(grey, eight, size, Some((6000, 3000)), 0), "6000 × 3000"),
            (png_of(grey, eight, size, true_size, 3), "grey value 3"),
            (png_of(grey, eight, size, true_size, 255), "grey value 255"),
            (png_of(grey, eight, size, true_size, 1), "another area"),
        ];
        for (broken, said) in cases {
            let error = reread(&with(files.clone(), "steps.png", broken)).unwrap_err().to_string();
            assert!(error.contains(said) && error.ends_with('.'), "{error}");
        }
        let steps = bytes(&files, "steps.png");
        for cut in 0..steps.len() {
            assert!(reread(&with(files.clone(), "steps.png", steps[..cut].to_vec())).is_err(), "cut at {cut} of {}", steps.len());
        }
        let other = bytes(&files, "masks/stopout-02.png").to_vec();
        assert_eq!(reread(&with(files.clone(), "masks/stopout-01.png", other)).unwrap_err(), RereadError::Mask { number: 1 });
        let hand = png_of(grey, eight, size, true_size, 7);
        let aside = PlanFiles { steps, plan: bytes(&files, "plan.json"), by_hand: Some(&hand), ..PlanFiles::default() };
        assert_eq!(Reread::of(aside).unwrap_err(), RereadError::Grey { name: "by-hand.png".into() });
        let unknown = PlanFiles { by_hand: None, masks: &[(3, bytes(&files, "masks/stopout-02.png"))], ..aside };
        assert_eq!(Reread::of(unknown).unwrap_err(), RereadError::Mask { number: 3 });
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Any map and any rising times come back as they were.
        #[test]
        fn any_plan_comes_back(tones in 2i64..=16, cells in prop::collection::vec(any::<u8>(), 20 * 15), steps in prop::collection::vec(1e-3f64..900.0, 15), bevel in 0.0f64..1.0) {
            let count = ToneCount::new(tones).unwrap();
            let plane = Plane::new(20, 15, cells.iter().map(|cell| cell % tones as u8).collect()).unwrap();
            let map = StepMap::new(count, plane.clone());
            let resolution = PxPerMm(2.0);
            let counts = map.counts();
            let mut total = 0.0;
            let told: Vec<Value> = (0..count.get()).map(|k| {
                let before = total;
                if k > 0 { total += steps[k - 1]; }
                json!({ "index": k, "lightness": 95.0 - 5.0 * k as f64, "share": counts[k] as f64 / 300.0, "total_s": total,
                    "bite_s": total - before, "set_s": (total - before).floor(), "range_s": null })
            }).collect();
            let breaks: Vec<f64> = (1..count.get()).map(|k| 95.0 - 5.0 * k as f64).collect();
            let plan = json!({ "plate_mm": { "width": 10.0 + 2.0 * bevel, "height": 7.5 + 2.0 * bevel }, "face_mm": { "width": 10.0, "height": 7.5 },
                "px_per_mm": 2.0, "breaks": breaks, "tones": told, "strip": { "id": "x", "kind": "measured" } });
            let text = plan.to_string();
            let again = Reread::of(PlanFiles { steps: &png_file::grey(&plane, resolution), plan: text.as_bytes(), ..PlanFiles::default() }).unwrap();
            prop_assert_eq!(again.stop_outs.map(), &map);
            for (clock, told) in again.clock.unwrap().iter().zip(&told) {
                prop_assert_eq!(json!(clock.total.0), told["total_s"].clone());
                prop_assert_eq!(json!(clock.bite.0), told["bite_s"].clone());
            }
        }

        /// Bytes changed anywhere are refused or taken, never a panic.
        #[test]
        fn no_bytes_panic(at in any::<prop::sample::Index>(), value in any::<u8>(), plan in any::<bool>()) {
            let files = small();
            let name = if plan { "plan.json" } else { "steps.png" };
            let mut broken = bytes(&files, name).to_vec();
            let at = at.index(broken.len());
            broken[at] = value;
            if let Err(error) = reread(&with(files, name, broken)) {
                prop_assert!(error.to_string().ends_with('.'));
            }
        }
    }
}

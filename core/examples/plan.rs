//! The whole way without a page: a drawing in, step map, stop-outs, proof, sheets and plan out.
//!
//! ```text
//! cargo run --release -q -p stepbite-core --example plan -- DRAWING --plate WxH --tones N --out DIR
//!     [--bevel MM=0] [--fit cover|contain = cover] [--px-per-mm R=10] [--mark MM=1.0] [--breaks even|fitted = even]
//!     [--strip FILE.csv] [--paper a4|a3|letter|tabloid = a4] [--transfer trace|press = trace]
//!     [--style full|outline = full] [--zip]
//! ```
//!
//! `--zip` writes `plan.zip` besides: all files but the proof, with the stop-outs as SVG, the plan as a table, and a description.
//!
//! Exit 0: done. Exit 1: refused, one sentence on stderr, nothing written. Exit 2: usage.

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use lexopt::prelude::*;
use stepbite_core::archive::{Named, zipped};
use stepbite_core::bites;
use stepbite_core::colour::{Lamp, Rgb};
use stepbite_core::curve::BiteCurve;
use stepbite_core::drawing::Drawing;
use stepbite_core::face::{self, Fit};
use stepbite_core::folder::Folder;
use stepbite_core::outline::Outlines;
use stepbite_core::pdf::pdf;
use stepbite_core::plate::Plate;
use stepbite_core::png_file;
use stepbite_core::proof::ProofTones;
use stepbite_core::pull::{Export, Grounds, Inks, Misfit, Plate as Printed, Printing, Pull};
use stepbite_core::regions::{Mark, Softened, paintable};
use stepbite_core::relief::{GrainChoice, Relief};
use stepbite_core::report::PlanReport;
use stepbite_core::sheets::{Paper, SheetSettings, Sheets, Style, Transfer};
use stepbite_core::smoothing::Smoothing;
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::strip::TestStrip;
use stepbite_core::tones::{self, Targets, ToneCount};
use stepbite_core::units::{Millimetres, PxPerMm};
use stepbite_core::view::View;

const USAGE: &str = "usage: plan DRAWING --plate WxH --tones N --out DIR [--bevel MM] [--fit cover|contain] [--px-per-mm R] [--mark MM]
            [--breaks even|fitted] [--strip FILE.csv] [--paper a4|a3|letter|tabloid] [--transfer trace|press]
            [--style full|outline] [--zip]
W, H in mm with a decimal point, for example --plate 160x180";

/// What the command line asks for.
struct Job {
    drawing: PathBuf,
    plate: (f64, f64),
    tones: i64,
    out: PathBuf,
    bevel: f64,
    fit: Fit,
    px_per_mm: f64,
    mark: f64,
    fitted: bool,
    strip: Option<PathBuf>,
    paper: Paper,
    transfer: Transfer,
    style: Style,
    zip: bool,
}

#[expect(clippy::print_stderr, clippy::print_stdout, reason = "a program for the command line speaks there")]
fn main() -> ExitCode {
    let job = match arguments() {
        Ok(Some(job)) => job,
        Ok(None) => {
            println!("{USAGE}");
            return ExitCode::SUCCESS;
        }
        Err(wrong) => {
            eprintln!("{wrong}\n{USAGE}");
            return ExitCode::from(2);
        }
    };
    match work(&job).and_then(|files| write(&job.out, &files)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(refusal) => {
            eprintln!("{refusal}");
            ExitCode::FAILURE
        }
    }
}

/// Reads the arguments; none where help is asked for.
fn arguments() -> Result<Option<Job>, lexopt::Error> {
    let mut parser = lexopt::Parser::from_env();
    let (mut drawing, mut plate, mut tones, mut out) = (None, None, None, None);
    let mut job = Job {
        drawing: PathBuf::new(),
        plate: (0.0, 0.0),
        tones: 0,
        out: PathBuf::new(),
        bevel: 0.0,
        fit: Fit::Cover,
        px_per_mm: 10.0,
        mark: 1.0,
        fitted: false,
        strip: None,
        paper: Paper::A4,
        transfer: Transfer::Trace,
        style: Style::Full,
        zip: false,
    };
    while let Some(argument) = parser.next()? {
        match argument {
            Short('h') | Long("help") => return Ok(None),
            Long("plate") => plate = Some(size(&parser.value()?.string()?)?),
            Long("tones") => tones = Some(parser.value()?.parse()?),
            Long("out") => out = Some(PathBuf::from(parser.value()?)),
            Long("bevel") => job.bevel = parser.value()?.parse()?,
            Long("fit") => job.fit = choice(&parser.value()?.string()?, &[("cover", Fit::Cover), ("contain", Fit::Contain)])?,
            Long("px-per-mm") => job.px_per_mm = parser.value()?.parse()?,
            Long("mark") => job.mark = parser.value()?.parse()?,
            Long("breaks") => job.fitted = choice(&parser.value()?.string()?, &[("even", false), ("fitted", true)])?,
            Long("strip") => job.strip = Some(PathBuf::from(parser.value()?)),
            Long("paper") => {
                let papers = [("a4", Paper::A4), ("a3", Paper::A3), ("letter", Paper::Letter), ("tabloid", Paper::Tabloid)];
                job.paper = choice(&parser.value()?.string()?, &papers)?;
            }
            Long("transfer") => {
                job.transfer = choice(&parser.value()?.string()?, &[("trace", Transfer::Trace), ("press", Transfer::Press)])?;
            }
            Long("style") => job.style = choice(&parser.value()?.string()?, &[("full", Style::Full), ("outline", Style::Outline)])?,
            Long("zip") => job.zip = true,
            Value(path) if drawing.is_none() => drawing = Some(PathBuf::from(path)),
            _ => return Err(argument.unexpected()),
        }
    }
    let missing = |what: &str| lexopt::Error::from(format!("{what} is missing"));
    job.drawing = drawing.ok_or_else(|| missing("DRAWING"))?;
    job.plate = plate.ok_or_else(|| missing("--plate WxH"))?;
    job.tones = tones.ok_or_else(|| missing("--tones N"))?;
    job.out = out.ok_or_else(|| missing("--out DIR"))?;
    Ok(Some(job))
}

fn size(text: &str) -> Result<(f64, f64), lexopt::Error> {
    let sides = text.split_once(['x', 'X', '×']).and_then(|(w, h)| Some((w.parse().ok()?, h.parse().ok()?)));
    sides.ok_or_else(|| format!("--plate takes a size like 160x180, “{text}” came").into())
}

fn choice<T: Copy>(text: &str, choices: &[(&str, T)]) -> Result<T, lexopt::Error> {
    let names: Vec<&str> = choices.iter().map(|c| c.0).collect();
    let found = choices.iter().find(|c| c.0 == text);
    found.map(|c| c.1).ok_or_else(|| format!("“{text}” came where one of {} was expected", names.join(", ")).into())
}

/// Every stage, in order. Nothing is written here.
fn work(job: &Job) -> Result<Vec<Named>, Box<dyn Error>> {
    let mm = Millimetres;
    let plate = Plate::new(mm(job.plate.0), mm(job.plate.1), mm(job.bevel))?;
    let count = ToneCount::new(job.tones)?;
    let mark = Mark::optional(mm(job.mark))?;
    let strip = match &job.strip {
        None => TestStrip::example(),
        Some(path) => TestStrip::from_csv(&name_of(path), &read_text(path)?)?,
    };
    let curve = BiteCurve::of(&strip);
    let targets = bites::targets(count, &curve, Targets::RESERVE)?;
    let plan = bites::plan(&targets, &curve, &strip)?.ranged(&curve, curve.replicates());

    let drawing = Drawing::read(&read(&job.drawing)?)?;
    let face = face::place(&drawing, &plate, job.fit, PxPerMm(job.px_per_mm))?;
    let breaks = if job.fitted { tones::fitted(&face.histogram())?.swap_remove(count.get() - 2) } else { tones::even(count, face.ends)? };
    let map = match mark {
        None => tones::quantise(&face.lightness, &breaks),
        Some(mark) => paintable(&Softened::of(&face.lightness, face.resolution, mark, Smoothing::default()), &breaks),
    };
    let outlines = Outlines::of(map.plane(), face.resolution);
    let stopouts = StopOuts::of(map, &outlines, face.resolution, HandSpeed::default());
    let proof_tones = ProofTones::of(&stopouts, &plan, &Relief::of(&strip, &curve, &GrainChoice::default())?)?;
    let print = pulled(&stopouts, &proof_tones)?;
    let settings = SheetSettings {
        paper: job.paper,
        transfer: job.transfer,
        style: job.style,
        title: name_of(&job.drawing),
        ..SheetSettings::default()
    };
    let sheets = Sheets::of(&stopouts, &outlines, &plan, &plate, &settings);
    let notes = [drawing.info().notes.as_slice(), &face.notes, &sheets.notes].concat();
    let report = PlanReport::of(&plate, &breaks, &stopouts, &plan, notes);

    let resolution = face.resolution;
    let mut files = vec![("steps.png".to_owned(), png_file::grey(stopouts.map().plane(), resolution))];
    for number in 1..=count.bites() {
        files.push((format!("stopout-{number:02}.png"), png_file::grey(&stopouts.mask(number), resolution)));
    }
    files.push(("proof.png".to_owned(), print));
    let sheets = pdf(&sheets);
    files.push(("plan.json".to_owned(), report.json().into_bytes()));
    if job.zip {
        let folder = Folder {
            plate: &plate,
            stop_outs: &stopouts,
            outlines: &outlines,
            bites: &plan,
            report,
            sheets: &sheets,
            title: &settings.title,
            letter: &settings.letter,
            date: None,
            judged: None,
            dips: &[],
            pulls: None,
            view: View::Print,
        };
        files.push(("plan.zip".to_owned(), zipped(&folder.files(&mut |_| {}))?));
    }
    files.push(("sheets.pdf".to_owned(), sheets));
    Ok(files)
}

fn name_of(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

fn read(path: &Path) -> Result<Vec<u8>, String> {
    fs::read(path).map_err(|error| format!("{} could not be read ({error}): check the name and try again.", path.display()))
}

fn read_text(path: &Path) -> Result<String, String> {
    String::from_utf8(read(path)?).map_err(|_| format!("{} is not UTF-8 text: save the strip as a CSV file in UTF-8.", path.display()))
}

/// The print of one plate in the strip's own ink on its own paper, PNG.
fn pulled(stopouts: &StopOuts, tones: &ProofTones) -> Result<Vec<u8>, Box<dyn Error>> {
    let resolution = stopouts.resolution();
    let plate = Printed::new(stopouts.map().plane().clone(), resolution, tones);
    let side = |px: usize| resolution.mm(px as f64);
    let face = (side(plate.map.width()), side(plate.map.height()));
    let inks = Inks::one(tones.ink());
    let printings = [Printing { plate: &plate, inks: &inks, trap: 1.0, misfit: Misfit::default(), veil: 0.0 }];
    let grounds = Grounds::bare(Rgb::grey(tones.paper()));
    let pull = Pull { face, grounds: &grounds, printings: &printings, n: tones.n() };
    let mut file = Vec::new();
    let export = Export { resolution, lamp: Lamp::Daylight, grain: true, words: &[], foot: "" };
    pull.png(&export, &mut |bytes| file.extend_from_slice(bytes), &mut |_| {})?;
    Ok(file)
}

/// Creates the folder and writes all files.
fn write(folder: &Path, files: &[Named]) -> Result<(), Box<dyn Error>> {
    let failed = |path: &Path, error: std::io::Error| format!("{} could not be written ({error}): choose another --out.", path.display());
    fs::create_dir_all(folder).map_err(|error| failed(folder, error))?;
    // An earlier plan with more tones left masks that are none of this one's.
    for number in 1..=usize::from(ToneCount::MOST) {
        let name = format!("stopout-{number:02}.png");
        let old = folder.join(&name);
        if files.iter().all(|file| file.0 != name) && old.exists() {
            fs::remove_file(&old).map_err(|error| failed(&old, error))?;
        }
    }
    for (name, bytes) in files {
        let path = folder.join(name);
        fs::write(&path, bytes).map_err(|error| failed(&path, error))?;
    }
    Ok(())
}

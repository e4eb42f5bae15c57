//! Checks a folder that the headless example wrote against its contract: the schema, and that files and figures say the same.

use image::{GrayImage, ImageReader, RgbImage};
use serde_json::Value;
use std::fs;
use std::path::Path;

/// JSON Schema of `plan.json`.
pub const SCHEMA: &str = include_str!("plan.schema.json");

/// Everything that is wrong with a folder, a sentence each; empty when the contract holds.
#[must_use]
pub fn faults(folder: &Path) -> Vec<String> {
    check(folder).unwrap_or_else(|fault| vec![fault])
}

fn check(folder: &Path) -> Result<Vec<String>, String> {
    let text = fs::read_to_string(folder.join("plan.json")).map_err(|error| format!("plan.json can't be read: {error}."))?;
    let plan: Value = serde_json::from_str(&text).map_err(|error| format!("plan.json is not JSON: {error}."))?;
    let schema: Value = serde_json::from_str(SCHEMA).map_err(|error| format!("The schema is not JSON: {error}."))?;
    let validator = jsonschema::validator_for(&schema).map_err(|error| format!("The schema is no schema: {error}."))?;
    let mut faults: Vec<String> =
        validator.iter_errors(&plan).map(|error| format!("plan.json, {}: {error}.", error.instance_path())).collect();
    if !faults.is_empty() {
        return Ok(faults);
    }
    let steps = grey(&folder.join("steps.png"))?;
    figures(&plan, &mut faults);
    rasters(folder, &plan, &steps, &mut faults)?;
    Ok(faults)
}

fn list(plan: &Value, name: &str, field: &str) -> Vec<f64> {
    let entries = plan[name].as_array().map_or(&[][..], Vec::as_slice);
    entries.iter().map(|entry| if field.is_empty() { entry.as_f64() } else { entry[field].as_f64() }.unwrap_or(f64::NAN)).collect()
}

/// Figures against each other.
fn figures(plan: &Value, faults: &mut Vec<String>) {
    let mut say = |holds: bool, fault: &str| {
        if !holds {
            faults.push(fault.to_owned());
        }
    };
    let (totals, bites, set) = (list(plan, "tones", "total_s"), list(plan, "tones", "bite_s"), list(plan, "tones", "set_s"));
    let (breaks, shares) = (list(plan, "breaks", ""), list(plan, "tones", "share"));
    let tones = totals.len();
    say(breaks.len() + 1 == tones && list(plan, "stopouts", "number").len() + 1 == tones, "N tones take N−1 breaks and N−1 stop-outs.");
    say(breaks.windows(2).all(|pair| pair[0] > pair[1]), "Breaks fall.");
    say(list(plan, "tones", "index").iter().enumerate().all(|(k, &index)| index as usize == k), "Tones are numbered from 0.");
    say(list(plan, "stopouts", "number").iter().enumerate().all(|(j, &number)| number as usize == j + 1), "Stop-outs are numbered from 1.");
    say(list(plan, "tones", "lightness").windows(2).all(|pair| pair[0] > pair[1]), "Tones fall from light to dark.");
    say(totals[0] + bites[0] + set[0] < 1e-12, "Tone 0 is never bitten.");
    say(totals.windows(2).zip(&bites[1..]).all(|(t, b)| (t[1] - t[0] - b).abs() < 1e-6), "A bite is the difference of two totals.");
    let grain = |s: f64| if s < 20.0 { 1.0 } else { 5.0 };
    let mut shown = 0.0;
    let rounded = totals.iter().zip(&set).all(|(&total, set)| {
        shown += set;
        // To the nearest, or downwards where the nearest lies past the strip.
        let near = (total / grain(total)).round() * grain(total);
        (shown - near).abs() < 1e-6 || (shown - (total / grain(total)).floor() * grain(total)).abs() < 1e-6
    });
    say(rounded, "What is set on the clock is the difference of two rounded totals.");
    let within = |tone: &Value| {
        let Some([low, high]) = tone["range_s"].as_array().map(Vec::as_slice) else { return tone["range_s"].is_null() };
        let total = tone["total_s"].as_f64();
        low.as_f64() <= total && total <= high.as_f64()
    };
    say(plan["tones"].as_array().is_some_and(|tones| tones.iter().all(within)), "A range holds its total.");
    say((shares.iter().sum::<f64>() - 1.0).abs() < 1e-9, "The tones share the whole face.");
    let (covered, new) = (list(plan, "stopouts", "covered_share"), list(plan, "stopouts", "new_share"));
    let mut sum = 0.0;
    for (j, (covered, new)) in covered.iter().zip(&new).enumerate() {
        sum += new;
        say((new - shares[j]).abs() < 1e-9, "A stop-out newly paints the tone of the number before.");
        say((covered - sum).abs() < 1e-9, "Varnish only grows: what is covered is the sum of what was painted.");
    }
}

/// Rasters against the figures.
fn rasters(folder: &Path, plan: &Value, steps: &GrayImage, faults: &mut Vec<String>) -> Result<(), String> {
    let px_per_mm = plan["px_per_mm"].as_f64().unwrap_or(f64::NAN);
    let side = |name: &str| (plan["face_mm"][name].as_f64().unwrap_or(f64::NAN) * px_per_mm).round() as u32;
    let size = (side("width"), side("height"));
    if steps.dimensions() != size {
        faults.push(format!("steps.png is {:?} pixels, the face takes {size:?}.", steps.dimensions()));
    }
    let shares = list(plan, "tones", "share");
    let mut counts = vec![0u64; 256];
    steps.pixels().for_each(|p| counts[usize::from(p.0[0])] += 1);
    let all = f64::from(size.0) * f64::from(size.1);
    for (k, share) in shares.iter().enumerate() {
        if (counts[k] as f64 / all - share).abs() > 1e-9 {
            faults.push(format!("Tone {k} has {} pixels, plan.json says a share of {share}.", counts[k]));
        }
    }
    if counts[shares.len()..].iter().any(|&count| count > 0) {
        faults.push("steps.png holds a tone that plan.json has not.".to_owned());
    }
    for number in 1..shares.len() {
        let name = format!("stopout-{number:02}.png");
        let mask = grey(&folder.join(&name))?;
        let holds = mask.dimensions() == steps.dimensions()
            && mask.pixels().zip(steps.pixels()).all(|(m, s)| m.0[0] == if usize::from(s.0[0]) < number { 0 } else { 255 });
        if !holds {
            faults.push(format!("{name} is not the step map below {number}."));
        }
    }
    if folder.join(format!("stopout-{:02}.png", shares.len())).exists() {
        faults.push("There is a stop-out after the last bite.".to_owned());
    }
    let proof = opened(&folder.join("proof.png"))?;
    let proof: RgbImage = proof.as_rgb8().cloned().ok_or("proof.png is not 8-bit RGB.")?;
    if proof.dimensions() != size {
        faults.push("proof.png has another size than steps.png.".to_owned());
    }
    let files = (1..shares.len()).map(|number| format!("stopout-{number:02}.png")).chain(["steps.png".to_owned(), "proof.png".to_owned()]);
    let per_metre = (px_per_mm * 1000.0).round() as u32;
    for name in files {
        let bytes = fs::read(folder.join(&name)).map_err(|error| format!("{name} can't be read: {error}."))?;
        let chunk = [b"pHYs".as_slice(), &per_metre.to_be_bytes(), &per_metre.to_be_bytes(), &[1]].concat();
        if !bytes.windows(chunk.len()).any(|window| window == chunk) {
            faults.push(format!("{name} does not say {per_metre} pixels a metre."));
        }
    }
    let pdf = fs::read(folder.join("sheets.pdf")).map_err(|error| format!("sheets.pdf can't be read: {error}."))?;
    if !pdf.starts_with(b"%PDF-") {
        faults.push("sheets.pdf is no PDF.".to_owned());
    }
    Ok(())
}

fn opened(path: &Path) -> Result<image::DynamicImage, String> {
    let failed = |error: &dyn std::fmt::Display| format!("{} can't be read: {error}.", path.display());
    ImageReader::open(path).map_err(|error| failed(&error))?.decode().map_err(|error| failed(&error))
}

fn grey(path: &Path) -> Result<GrayImage, String> {
    opened(path)?.as_luma8().cloned().ok_or_else(|| format!("{} is not 8-bit grey.", path.display()))
}

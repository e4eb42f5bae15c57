//! Opens a picture file as the page does and says what it is, how long that took and what memory it needed at its worst.
//!
//!     cargo run --release -p stepbite-core --example open -- FILE
//!
//! The memory is what Linux calls VmHWM, file included; elsewhere it is left out.

#![expect(clippy::print_stdout, reason = "what it is for")]

use std::process::ExitCode;
use std::time::Instant;
use stepbite_core::drawing::Drawing;

fn main() -> ExitCode {
    let Some(name) = std::env::args().nth(1) else {
        eprintln!("A picture file was expected: open FILE.");
        return ExitCode::FAILURE;
    };
    let bytes = match std::fs::read(&name) {
        Ok(bytes) => bytes,
        Err(error) => {
            eprintln!("{name} can't be read: {error}.");
            return ExitCode::FAILURE;
        }
    };
    println!("file {:.1} MB, before opening {}", bytes.len() as f64 / 1e6, peak());
    let start = Instant::now();
    match Drawing::read(&bytes) {
        Ok(drawing) => {
            let (info, plane) = (drawing.info(), drawing.luminance());
            let colour = if drawing.colour().is_some() { "in colour" } else { "grey" };
            let (width, height) = info.stored;
            println!(
                "{} {} bits, {width} × {height}, reduced by {}: {} × {}, {colour}",
                info.format,
                info.bits,
                info.reduced,
                plane.width(),
                plane.height()
            );
            println!("{:.2} s, peak {}", start.elapsed().as_secs_f64(), peak());
            for note in &info.notes {
                println!("{note}");
            }
            ExitCode::SUCCESS
        }
        Err(error) => {
            println!("{:.2} s, peak {}", start.elapsed().as_secs_f64(), peak());
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

/// The most memory this process has held so far.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok())
        .map_or_else(|| "unknown".to_owned(), |kib| format!("{:.0} MB", kib * 1024.0 / 1e6))
}

//! The strip file: UTF-8, a header, then one band a line, total seconds and what was read.

use super::quoted::quoted;
use super::{LONGEST, Quantity, Reading, StripError, StripKind, TestStrip};
use crate::units::Seconds;

impl TestStrip {
    /// Reads a strip file; the strip counts as the printer's own.
    ///
    /// First line `seconds,lightness`, `seconds,density` (absolute) or `seconds,reflectance` (0 to 1), then one band a line: TOTAL seconds
    /// in the bath, decimal point, the first at 0 s = the paper. A byte order mark, any line ends and empty lines at the end are taken.
    ///
    /// # Errors
    /// Names the line and what came; then as [`TestStrip::new`].
    pub fn from_csv(id: &str, text: &str) -> Result<Self, StripError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text).replace("\r\n", "\n").replace('\r', "\n");
        let mut lines = text.trim_end().split('\n');
        let quantity = header(lines.next().unwrap_or_default())?;
        let readings = lines.enumerate().map(|(i, line)| reading(i + 2, line, quantity)).collect::<Result<_, _>>()?;
        Self::new(id, StripKind::Measured, readings)
    }

    /// Reads a strip file from its bytes.
    ///
    /// # Errors
    /// When they are not UTF-8; then as [`TestStrip::from_csv`].
    pub fn from_csv_bytes(id: &str, bytes: &[u8]) -> Result<Self, StripError> {
        Self::from_csv(id, std::str::from_utf8(bytes).map_err(|_| StripError::Encoding)?)
    }
}

fn header(line: &str) -> Result<Quantity, StripError> {
    let mut names = line.split(',').map(str::trim);
    let known = match (names.next(), names.next(), names.next()) {
        (Some("seconds"), Some("lightness"), None) => Some(Quantity::Lightness),
        (Some("seconds"), Some("density"), None) => Some(Quantity::Density),
        (Some("seconds"), Some("reflectance"), None) => Some(Quantity::Reflectance),
        _ => None,
    };
    known.ok_or_else(|| StripError::Header { came: quoted(line) })
}

fn reading(line: usize, text: &str, quantity: Quantity) -> Result<Reading, StripError> {
    let cells: Vec<&str> = text.split(',').map(str::trim).collect();
    let &[seconds, value] = cells.as_slice() else {
        return Err(StripError::Columns { line, came: quoted(text), columns: cells.len() });
    };
    let total = number(line, "seconds", seconds, (0.0, LONGEST.0))?;
    let value = number(line, quantity.name(), value, quantity.range())?;
    Ok(Reading { total: Seconds(total), lightness: quantity.lightness(value) })
}

fn number(line: usize, column: &'static str, cell: &str, range: (f64, f64)) -> Result<f64, StripError> {
    // "inf" and "nan" are words here, though Rust reads them as numbers.
    let value = cell.parse::<f64>().ok().filter(|v| v.is_finite());
    let came = value.ok_or_else(|| StripError::Number { line, column, came: quoted(cell) })?;
    if (range.0..=range.1).contains(&came) { Ok(came) } else { Err(StripError::Value { line, column, came, range }) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    const PLAIN: &str = "seconds,lightness\n0,91.0\n5,86.0\n10,80.5\n";

    fn said(text: &str) -> String {
        TestStrip::from_csv("test", text).unwrap_err().to_string()
    }

    #[test]
    fn a_plain_file_and_the_ways_it_may_be_saved() {
        let plain = TestStrip::from_csv("16-A", PLAIN).unwrap();
        assert_eq!((plain.id(), plain.kind(), plain.readings().len()), ("16-A", StripKind::Measured, 3));
        let windows = format!("\u{feff}{}\r\n\r\n  \r\n", PLAIN.replace('\n', "\r\n"));
        let spaced = " seconds , lightness \n 0 , 91\n5.0,86\n1e1,80.5";
        for text in [windows.as_str(), spaced, &PLAIN.replace('\n', "\r")] {
            assert_eq!(TestStrip::from_csv("16-A", text).unwrap(), plain, "{text:?}");
        }
        assert_eq!(TestStrip::from_csv_bytes("16-A", PLAIN.as_bytes()).unwrap(), plain);
    }

    #[test]
    fn density_and_reflectance_become_lightness() {
        // CIE 15:2018 by colour-science: density 0.734062 and reflectance 0.184475 are L* 50.0344 (sRGB 119).
        let density = TestStrip::from_csv("d", "seconds,density\n0,0.1\n5,0.734062\n9,1.3\n").unwrap();
        let reflectance = TestStrip::from_csv("r", "seconds,reflectance\n0,0.8\n5,0.184475\n9,0.05\n").unwrap();
        for strip in [density, reflectance] {
            assert_abs_diff_eq!(strip.readings()[1].lightness.0, 50.034_4, epsilon = 1e-4);
        }
    }

    #[test]
    fn each_mistake_names_its_line_and_what_came() {
        for (text, parts) in [
            ("", ["Line 1", "nothing came"]),
            ("time,lightness\n0,91\n", ["Line 1", "\"time,lightness\" came"]),
            ("seconds;lightness\n0;91\n", ["Line 1", "\"seconds;lightness\" came"]),
            ("0,91\n5,86\n10,80\n", ["Line 1", "\"0,91\" came"]),
            ("seconds,lightness,note\n", ["Line 1", "note"]),
            ("seconds,lightness\n0,91\n5\n", ["Line 3", "\"5\" (1 column) came"]),
            ("seconds,lightness\n0,91\n\n5,80\n", ["Line 3", "nothing (1 column) came"]),
            ("seconds,lightness\n0,91,0\n5,86,0\n", ["Line 2", "(3 columns) came"]),
            ("seconds,lightness\n0,91\nfive,86\n", ["Line 3", "\"five\" came"]),
            ("seconds,lightness\n0,91\n5,grey\n", ["Line 3", "\"grey\" came"]),
            ("seconds,lightness\n0,91\n5,\n", ["Line 3", "nothing came"]),
            ("seconds,lightness\n0,91\n5,NaN\n", ["Line 3", "\"NaN\" came"]),
            ("seconds,lightness\n0,91\ninf,50\n", ["Line 3", "\"inf\" came"]),
            ("seconds,lightness\n0,191\n", ["Line 2", "holds 191"]),
            ("seconds,lightness\n0,91\n-5,80\n", ["Line 3", "holds -5"]),
            ("seconds,density\n0,-0.1\n", ["Line 2", "holds -0.1"]),
            ("seconds,reflectance\n0,85\n", ["Line 2", "0.85 for 85 %"]),
        ] {
            let said = said(text);
            assert!(parts.iter().all(|part| said.contains(part)), "{text:?}: {said}");
            assert!(said.ends_with('.') && !said.contains('\n'), "{said}");
        }
    }

    #[test]
    fn long_and_foreign_text_is_shortened_to_one_line() {
        let said = said(&format!("seconds,lightness\n0,{}\u{7}é\n", "x".repeat(10_000)));
        assert!(said.len() < 300 && said.contains('…'), "{said}");
        assert_eq!(TestStrip::from_csv_bytes("x", &[0xff, 0xfe, b's', 0]), Err(StripError::Encoding));
    }

    #[test]
    fn what_the_lines_allow_the_strip_may_refuse() {
        assert!(said("seconds,lightness\n0,91\n5,80\n").contains("2 came"));
        assert!(said("seconds,lightness\n0,91\n10,80\n5,86\n").contains("5 s after a band at 10 s"));
    }
}

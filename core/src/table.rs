//! The plan as a table, CSV by RFC 4180: one row a tone.

use crate::bites::TimedDip;
use crate::report::PlanReport;
use crate::strip::StripKind;
use std::fmt::Write as _;

/// The head of the table: names with their units, mm and seconds as everywhere.
const HEAD: [&str; 16] = [
    "tone",
    "target_lightness",
    "share_of_face",
    "total_s",
    "shown_total_s",
    "bite_s",
    "clock_to_set_s",
    "total_from_s",
    "total_to_s",
    "painted_at_stopout",
    "covered_share_after",
    "new_share",
    "new_cm2",
    "edge_cm",
    "islands",
    "paint_min",
];

/// Writes the table: UTF-8, comma between cells, decimal point, CRLF after each row.
///
/// Row k has tone k: its exact total and bite, the total rounded for a hand, what the clock is set to for that bite, the range of the total; and
/// then the stop-out that paints tone k, number k + 1. The darkest tone is painted by none and has those cells empty; so has every time that is not
/// known, and every target where there is no strip.
///
/// `dips` are those to come of a plate that lacks tones, none where every bite is one: bites that join have bite and clock in the row where their
/// dip ends. What comes after bite `leaves`, the plate's last, has no times.
#[must_use]
pub fn csv(report: &PlanReport, dips: &[TimedDip], leaves: usize) -> String {
    let mut text = HEAD.join(",") + "\r\n";
    let face_cm2 = report.face_mm.area_cm2();
    let cell = |value: f64| if value.is_finite() { value.to_string() } else { String::new() };
    // Without a strip the targets are the example's: nobody's.
    let known = report.strip.kind != StripKind::Missing;
    let mut shown = 0.0;
    for tone in &report.tones {
        shown += tone.set_s;
        let (from, to) = tone.range_s.map_or((f64::NAN, f64::NAN), |range| range);
        let mut times = [tone.total_s, shown, tone.bite_s, tone.set_s, from, to];
        let timed = tone.total_s.is_finite();
        match dips.iter().find(|dip| dip.bites.contains(&tone.index)).filter(|_| timed) {
            Some(dip) if *dip.bites.end() == tone.index => {
                times[..4].copy_from_slice(&[dip.total.0, dip.shown_total.0, dip.length.0, dip.set.0]);
            }
            Some(_) => (times[2], times[3]) = (f64::NAN, f64::NAN),
            None if tone.index > leaves => times = [f64::NAN; 6],
            // A tone that the plate lacks has no bite of its own, also once its dip is done.
            None if tone.index > 0 && tone.share == 0.0 => (times[2], times[3]) = (f64::NAN, f64::NAN),
            None => {}
        }
        let times = times.map(cell).join(",");
        let _ = write!(text, "{},{},{},{times},", tone.index, cell(if known { tone.lightness } else { f64::NAN }), cell(tone.share));
        match report.stopouts.iter().find(|stop| stop.number == tone.index + 1) {
            Some(stop) => {
                let figures = [stop.covered_share, stop.new_share, stop.new_share * face_cm2, stop.edge_cm].map(cell).join(",");
                let _ = write!(text, "{},{figures},{},{}", stop.number, stop.islands, cell(stop.paint_min));
            }
            None => text.push_str(",,,,,,"),
        }
        text.push_str("\r\n");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::folder::tests::report;
    use crate::units::Seconds;

    #[test]
    fn every_row_has_as_many_cells_as_the_head() {
        let text = csv(&report(), &[], 2);
        let rows: Vec<&str> = text.split_terminator("\r\n").collect();
        assert_eq!(rows.len(), 4);
        assert!(rows.iter().all(|row| row.split(',').count() == HEAD.len()), "{text}");
        assert!(rows[1].starts_with("0,") && rows[3].ends_with(",,,,,,,"), "{text}");
        // The shown totals add up to what the clock was set to.
        let number = |row: &str, column: usize| row.split(',').nth(column).unwrap().parse::<f64>().unwrap();
        assert!((number(rows[3], 4) - number(rows[1], 6) - number(rows[2], 6) - number(rows[3], 6)).abs() < 1e-12);
    }

    #[test]
    fn bites_that_join_have_one_clock_and_what_comes_after_the_plate_left_has_none() {
        let dip = |bites: std::ops::RangeInclusive<usize>| TimedDip {
            bites,
            length: Seconds(21.5),
            set: Seconds(21.0),
            total: Seconds(30.5),
            shown_total: Seconds(30.0),
            fewer: 1,
        };
        let cells = |dips: &[TimedDip], leaves: usize, row: usize| -> Vec<String> {
            csv(&report(), dips, leaves).split_terminator("\r\n").nth(row).unwrap().split(',').skip(3).take(4).map(str::to_owned).collect()
        };
        assert_eq!(cells(&[dip(1..=2)], 2, 3), ["30.5", "30", "21.5", "21"]);
        assert_eq!(cells(&[dip(1..=2)], 2, 2)[2..], ["", ""]);
        assert_eq!(cells(&[dip(1..=1)], 1, 3), ["", "", "", ""]);
        assert_ne!(cells(&[], 2, 3)[3], "");
        // Once all its dips are done there are none to come, and the plate is out all the same.
        assert_eq!(cells(&[], 1, 3), ["", "", "", ""]);
        let mut lacking = report();
        lacking.tones[1].share = 0.0;
        let row = csv(&lacking, &[], 2)
            .split_terminator("\r\n")
            .nth(2)
            .unwrap()
            .split(',')
            .skip(3)
            .take(4)
            .map(str::to_owned)
            .collect::<Vec<_>>();
        assert!(!row[0].is_empty() && row[2..] == ["", ""], "{row:?}");
    }

    #[test]
    fn no_time_is_an_empty_cell() {
        let mut report = report();
        report.strip.kind = StripKind::Missing;
        for tone in &mut report.tones {
            (tone.total_s, tone.bite_s, tone.set_s, tone.range_s) = (f64::NAN, f64::NAN, f64::NAN, None);
        }
        let text = csv(&report, &[], 2);
        assert!(text.split_terminator("\r\n").skip(1).enumerate().all(|(k, row)| row.starts_with(&format!("{k},,0."))), "{text}");
        assert!(!text.contains("NaN") && text.split_terminator("\r\n").skip(1).all(|row| row.contains(",,,,,,")), "{text}");
    }
}

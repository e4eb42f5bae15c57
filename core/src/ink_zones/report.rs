//! Report: what a printer should know before inking zones: which are too small for a dabber, in what order, how long.

use super::Zone;
use crate::islands::pieces;
use crate::plane::Plane;
use crate::units::{Millimetres, PxPerMm};

/// Smallest disc that a zone must hold for a dabber to ink it without touching its neighbours. Common practice, no source.
pub const LEAST_DISC: Millimetres = Millimetres(15.0);

/// A piece smaller than this, mm², is a seam that two outlines left between them, not a place that anybody inks.
const SEAM: f64 = 25.0;

/// What a printer should know of the zones of one plate.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// A sentence for each zone that is too small, or that no ink of is seen.
    pub remarks: Vec<String>,
    /// The order to ink in, light to dark, by place among the zones; none = what lies around them. Zones that have no ground are left out. Of equally light inks
    /// the earlier zone comes first.
    pub order: Vec<Option<usize>>,
    /// Minutes for all of them.
    pub minutes: f64,
}

/// `lightness` of each ink, L* at its full film; `grounds` as of [`super::grounds`].
pub(super) fn of(zones: &[Zone], lightness: &[f64], grounds: &Plane<u8>, resolution: PxPerMm, minutes: f64) -> Report {
    let mut found = vec![Ground::default(); zones.len() + 1];
    // A disc is told up to two and a half pixels too small, and at most half a pixel of outline is lost on either side: what may be enough is not
    // blamed.
    let slack = resolution.mm(3.0).0;
    for (piece, value) in pieces_of(grounds, resolution) {
        let ground = &mut found[usize::from(value)];
        ground.pieces += 1;
        ground.widest = ground.widest.max(piece.0);
        if piece.0 + slack < LEAST_DISC.0 && piece.1 >= SEAM {
            ground.small += 1;
            ground.smallest = if ground.small == 1 { piece.0 } else { ground.smallest.min(piece.0) };
        }
    }
    let mut remarks = Vec::new();
    for (place, ground) in found.iter().enumerate() {
        let name = match place.checked_sub(1) {
            Some(zone) => format!("Zone “{}”", zones[zone].name),
            None => "The ground around the zones".into(),
        };
        let least = LEAST_DISC.0;
        if ground.pieces == 0 {
            if place > 0 {
                remarks.push(format!("{name} has no ground of its own: it lies off the face, or later zones cover it."));
            }
        } else if ground.widest + slack < least {
            // Of the ground around, what is nothing but seams is inked by nobody.
            if place > 0 || ground.small > 0 {
                remarks.push(format!(
                    "{name} holds a disc of {:.0} mm at the most: a dabber needs some {least:.0} mm to keep off its neighbours.",
                    ground.widest
                ));
            }
        } else if ground.small > 0 {
            let (pieces, hold) =
                if ground.small == 1 { ("one piece".into(), "holds") } else { (format!("{} pieces", ground.small), "hold") };
            remarks.push(format!(
                "{name} has {pieces} apart that {hold} no disc of {least:.0} mm, the narrowest {:.0} mm: a dabber reaches the neighbours there.",
                ground.smallest
            ));
        }
    }
    let seen = |place: usize| found[place].pieces > 0 && (place > 0 || found[0].widest + slack >= LEAST_DISC.0 || found[0].small > 0);
    let ink = |place: usize| place.checked_sub(1).map_or(0, |zone| usize::from(zones[zone].ink));
    let mut order: Vec<usize> = (0..found.len()).filter(|&place| seen(place)).collect();
    order.sort_by(|&a, &b| lightness[ink(b)].total_cmp(&lightness[ink(a)]).then(a.cmp(&b)));
    let minutes = if minutes.is_finite() { minutes.max(0.0) * order.len() as f64 } else { 0.0 };
    Report { remarks, order: order.into_iter().map(|place| place.checked_sub(1)).collect(), minutes }
}

#[derive(Clone, Copy, Default)]
struct Ground {
    pieces: usize,
    /// Diameter of the largest disc within any of them, mm.
    widest: f64,
    /// Pieces too small for a dabber.
    small: usize,
    /// The largest disc in the smallest of those, mm.
    smallest: f64,
}

/// Diameter of the largest disc and area of each piece, mm and mm², with whose ground it is.
fn pieces_of(grounds: &Plane<u8>, resolution: PxPerMm) -> impl Iterator<Item = ((f64, f64), u8)> {
    let at = move |mm: f64| libm::floor(mm * resolution.0) as usize;
    pieces(grounds, u8::MAX, resolution).into_iter().map(move |piece| {
        let value = grounds.at(at(piece.at.x).min(grounds.width() - 1), at(piece.at.y).min(grounds.height() - 1));
        ((piece.disc.0, piece.area_mm2), value)
    })
}

#[cfg(test)]
mod tests {
    use super::super::{report, tests::zone};
    use super::*;
    use crate::colour::Rgb;
    use crate::film::Film;

    const FACE: (Millimetres, Millimetres) = (Millimetres(120.0), Millimetres(90.0));

    fn films() -> [Film; 4] {
        // Black, ochre, rust, a pale grey: by what they take away.
        [2.0, 0.3, 0.8, 0.1].map(|k| Film { absorption: Rgb([k; 3]), scatter: Rgb::default() })
    }

    fn said(zones: &[Zone]) -> Report {
        report(zones, &films(), Rgb([0.85; 3]), FACE, 4.0).unwrap()
    }

    #[test]
    fn light_comes_before_dark_and_each_takes_its_minutes() {
        let zones =
            [zone("rust", 2, 5.0, 5.0, 40.0, 40.0), zone("grey", 3, 50.0, 5.0, 90.0, 40.0), zone("ochre", 1, 5.0, 50.0, 60.0, 85.0)];
        let report = said(&zones);
        assert_eq!(report.order, [Some(1), Some(2), Some(0), None]);
        assert_eq!(report.minutes, 16.0);
        assert!(report.remarks.is_empty(), "{:?}", report.remarks);
    }

    #[test]
    fn a_zone_under_fifteen_millimetres_is_named_and_one_of_them_is_not() {
        for (side, named) in [(13.0, true), (14.5, true), (15.0, false), (20.0, false)] {
            let remarks = said(&[zone("gantry", 2, 10.0, 10.0, 10.0 + side, 80.0)]).remarks;
            assert_eq!(remarks.len(), usize::from(named), "{side}: {remarks:?}");
            assert!(remarks.iter().all(|remark| remark.contains("“gantry”") && remark.ends_with('.')), "{remarks:?}");
        }
    }

    #[test]
    fn what_is_covered_or_off_the_face_is_named_and_takes_no_time() {
        let zones =
            [zone("under", 1, 20.0, 20.0, 60.0, 60.0), zone("over", 2, 10.0, 10.0, 80.0, 80.0), zone("off", 3, -50.0, 0.0, -10.0, 50.0)];
        let report = said(&zones);
        assert_eq!(report.remarks.len(), 2);
        assert!(report.remarks[0].contains("“under”") && report.remarks[1].contains("“off”"));
        assert_eq!(report.order, [Some(1), None]);
        assert_eq!(report.minutes, 8.0);
    }

    #[test]
    fn pieces_apart_and_what_is_left_around_are_looked_at_too_but_no_seams() {
        // A window of 9 mm in a zone, of the ground around.
        let zones = [zone("sky", 1, 10.0, 10.0, 110.0, 50.0), zone("window", 0, 50.0, 25.0, 59.0, 34.0)];
        let remarks = said(&zones).remarks;
        assert_eq!(remarks.len(), 1, "{remarks:?}");
        assert!(remarks[0].contains("“window”") && remarks[0].contains(" 9 mm"), "{remarks:?}");
        // Two zones with a seam of half a millimetre between them that goes from edge to edge, and ground of 40 mm below.
        let zones = [zone("left", 1, -5.0, -5.0, 60.0, 50.0), zone("right", 2, 60.3, -5.0, 130.0, 50.0)];
        assert!(said(&zones).remarks.is_empty());
        // A frame of ground 6 mm wide around a zone.
        let zones = [zone("all", 1, 6.0, 6.0, 114.0, 84.0)];
        let remarks = said(&zones).remarks;
        assert!(remarks.len() == 1 && remarks[0].starts_with("The ground around"), "{remarks:?}");
    }
}

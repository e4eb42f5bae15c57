//! Report: what a printer should know before inking zones: which are too small for a dabber, in what order, how long.

use super::Zone;
use crate::components::Components;
use crate::islands::{Island, pieces};
use crate::plane::Plane;
use crate::units::{Millimetres, PxPerMm};

/// Smallest disc that a zone must hold for a dabber to ink it without touching its neighbours. Common practice, no source.
pub const LEAST_DISC: Millimetres = Millimetres(15.0);

/// A piece smaller than this, mm², is a seam that two outlines left between them, not a place that anybody inks.
const SEAM: f64 = 25.0;

/// What a printer should know of the zones of one plate. What counts is the ground of an INK: two zones of one ink have no border.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// A sentence for each piece that is too small, or zone that no ink of is seen.
    pub remarks: Vec<String>,
    /// The order to ink in, light to dark: of each ink its zones by place, none = what lies around them. Zones that have no ground are left out. Of equally light
    /// inks that of the earlier zone comes first.
    pub order: Vec<Vec<Option<usize>>>,
    /// Minutes for all of them, an ink at a time.
    pub minutes: f64,
}

/// `lightness` of each ink, L* at its full film; `grounds` as of [`super::grounds`], at most 64 of them.
pub(super) fn of(zones: &[Zone], lightness: &[f64], grounds: &Plane<u8>, resolution: PxPerMm, minutes: f64) -> Report {
    // A disc is told up to two and a half pixels too small, and at most half a pixel of outline is lost on either side: what may be enough is not
    // blamed.
    let slack = resolution.mm(3.0).0;
    let small = |piece: &Piece| piece.disc + slack < LEAST_DISC.0;
    let found = pieces_of(zones, grounds, resolution);
    let has = |members: u64, place: usize| members >> place & 1 == 1;
    let mut remarks: Vec<String> = Vec::new();
    for (place, zone) in zones.iter().enumerate() {
        if !found.iter().any(|piece| has(piece.members, place + 1)) {
            remarks.push(format!("Zone “{}” has no ground of its own: it lies off the face, or later zones cover it.", zone.name));
        }
    }
    // Small pieces of the same zones in one sentence, in the order of their first zone. What is nothing but a seam around the zones is inked by nobody.
    let mut sets: Vec<u64> =
        found.iter().filter(|piece| small(piece) && (piece.area >= SEAM || piece.members != 1)).map(|piece| piece.members).collect();
    sets.sort_by_key(|members| (members.trailing_zeros(), *members));
    sets.dedup();
    let least = LEAST_DISC.0;
    for members in sets {
        let name = named(zones, members);
        let several = members.count_ones() > 1;
        let (has_one, holds, has_pieces) = if several { ("have", "hold", "have") } else { ("has", "holds", "has") };
        let these: Vec<&Piece> = found.iter().filter(|piece| piece.members == members && small(piece)).collect();
        let counted: Vec<&&Piece> = these.iter().filter(|piece| piece.area >= SEAM).collect();
        // Whether any of them has room elsewhere.
        let elsewhere = found.iter().any(|piece| piece.members & members != 0 && !small(piece));
        let widest = these.iter().map(|piece| piece.disc).fold(0.0, f64::max);
        if !elsewhere {
            remarks.push(format!(
                "{name} {holds} a disc of {widest:.0} mm at the most: a dabber needs some {least:.0} mm to keep off its neighbours."
            ));
        } else if let Some(narrowest) = counted.iter().map(|piece| piece.disc).reduce(f64::min) {
            let (verb, pieces, hold) = if counted.len() == 1 {
                (has_one, "one piece".to_owned(), "holds")
            } else {
                (has_pieces, format!("{} pieces", counted.len()), "hold")
            };
            remarks.push(format!(
                "{name} {verb} {pieces} apart that {hold} no disc of {least:.0} mm, the narrowest {narrowest:.0} mm: a dabber reaches the neighbours there."
            ));
        }
    }
    let inked = |place: usize| {
        let mut of = found.iter().filter(|piece| has(piece.members, place));
        if place == 0 { of.any(|piece| !small(piece) || piece.area >= SEAM) } else { of.next().is_some() }
    };
    let ink = |place: usize| place.checked_sub(1).map_or(0, |zone| usize::from(zones[zone].ink));
    let mut order: Vec<Vec<usize>> = Vec::new();
    for place in (0..=zones.len()).filter(|&place| inked(place)) {
        match order.iter_mut().find(|places| ink(places[0]) == ink(place)) {
            Some(places) => places.push(place),
            None => order.push(vec![place]),
        }
    }
    order.sort_by(|a, b| lightness[ink(b[0])].total_cmp(&lightness[ink(a[0])]).then(a[0].cmp(&b[0])));
    let minutes = if minutes.is_finite() { minutes.max(0.0) * order.len() as f64 } else { 0.0 };
    let order = order.into_iter().map(|places| places.into_iter().map(|place| place.checked_sub(1)).collect()).collect();
    Report { remarks, order, minutes }
}

/// "Zones “a” and “b”", "The ground around the zones and zone “a”": what a sentence begins with.
fn named(zones: &[Zone], members: u64) -> String {
    let names: Vec<String> =
        zones.iter().enumerate().filter(|(place, _)| members >> (place + 1) & 1 == 1).map(|(_, zone)| format!("“{}”", zone.name)).collect();
    let listed = match names.split_last() {
        Some((last, [])) => format!("zone {last}"),
        Some((last, before)) => format!("zones {} and {last}", before.join(", ")),
        None => String::new(),
    };
    match (members & 1 == 1, listed.is_empty()) {
        (true, true) => "The ground around the zones".to_owned(),
        (true, false) => format!("The ground around the zones and {listed}"),
        (false, _) => format!("Z{}", &listed[1..]),
    }
}

/// A piece of one ink's ground.
struct Piece {
    /// Diameter of the largest disc in it, mm.
    disc: f64,
    /// mm².
    area: f64,
    /// Whose grounds it is made of, a bit for each: 0 = around the zones, else a zone's place and 1.
    members: u64,
}

fn pieces_of(zones: &[Zone], grounds: &Plane<u8>, resolution: PxPerMm) -> Vec<Piece> {
    let of_zone: Vec<u8> = std::iter::once(0).chain(zones.iter().map(|zone| zone.ink)).collect();
    let ink = grounds.map(|&zone| of_zone[usize::from(zone)]);
    // The pieces come in the order of the components, none being left out.
    let all = Components::of(&ink);
    let mut members = vec![0u64; all.values().len()];
    all.each_stretch(|y, start, end, piece| {
        for &ground in &grounds.row(y)[start..end] {
            members[piece] |= 1 << (ground & 63);
        }
    });
    let piece = |(island, members): (Island, u64)| Piece { disc: island.disc.0, area: island.area_mm2, members };
    pieces(&ink, u8::MAX, resolution).into_iter().zip(members).map(piece).collect()
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
        assert_eq!(report.order, [vec![Some(1)], vec![Some(2)], vec![Some(0)], vec![None]]);
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
        assert_eq!(report.order, [vec![Some(1)], vec![None]]);
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

    #[test]
    fn zones_of_one_ink_are_judged_ordered_and_timed_as_one() {
        // Two of 10 mm side by side hold a disc of 20 mm together; that they are 13 mm high is another matter.
        let pair = |top: f64| [zone("left", 1, 20.0, 10.0, 30.0, top), zone("right", 1, 30.0, 10.0, 40.0, top)];
        let report = said(&pair(60.0));
        assert!(report.remarks.is_empty(), "{:?}", report.remarks);
        assert_eq!((report.order, report.minutes), (vec![vec![Some(0), Some(1)], vec![None]], 8.0));
        let low = said(&pair(23.0)).remarks;
        assert!(low.len() == 1 && low[0].starts_with("Zones “left” and “right” hold a disc of 13 mm"), "{low:?}");
        // A zone of the ink around, in the ground around: no zone at all to a dabber.
        let report = said(&[zone("same", 0, 50.0, 30.0, 58.0, 38.0), zone("sky", 2, 0.0, 0.0, 120.0, 20.0)]);
        assert!(report.remarks.is_empty(), "{:?}", report.remarks);
        assert_eq!((report.order, report.minutes), (vec![vec![Some(1)], vec![None, Some(0)]], 8.0));
        // Apart, the small one of two of one ink is named by itself.
        let apart = said(&[zone("wide", 1, 5.0, 5.0, 60.0, 60.0), zone("slit", 1, 90.0, 10.0, 103.0, 60.0)]).remarks;
        assert!(apart.len() == 1 && apart[0].starts_with("Zone “slit” holds a disc of 13 mm"), "{apart:?}");
    }
}

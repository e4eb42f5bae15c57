use super::*;
use crate::hand::{Edit, Hand};
use crate::light::Lightness;
use crate::tones::{Breaks, quantise};
use crate::units::Millimetres;
use proptest::prelude::*;

const PX: PxPerMm = PxPerMm(2.0);

fn facts(painted: usize, breaks: &[f64]) -> KeptFacts {
    let aimed = Aimed { base: vec![(91.0, 0.0), (60.1, 42.084_117)], aims: vec![91.0, 60.1], way: Some(7), no_strip: false };
    KeptFacts { painted, plate_mm: (33.0, 23.0, 1.5), px_per_mm: 2.0, breaks: breaks.to_vec(), aimed }
}

fn map(tones: i64, rows: &[&[u8]]) -> StepMap {
    StepMap::new(ToneCount::new(tones).unwrap(), Plane::from_fn(rows[0].len(), rows.len(), |x, y| rows[y][x]))
}

fn kept(painted: usize, rows: &[&[u8]]) -> KeptMap {
    KeptMap { zones: Plane::from_fn(rows[0].len(), rows.len(), |x, y| rows[y][x]), facts: facts(painted, &[80.0, 60.0, 40.0]) }
}

#[test]
fn what_is_covered_keeps_its_tone_and_what_is_bare_can_be_no_lighter() {
    // Stop-outs 1 and 2 are painted: tones 0 and 1 lie fast, everything else may become 2 or darker.
    let kept = kept(2, &[&[0, 1, 2, 3, RESIST, BY_HAND]]);
    for (later, expected) in
        [([3, 3, 3, 3, 3, 3], [0, 1, 3, 3, 0, 3]), ([0, 0, 0, 0, 0, 0], [0, 1, 2, 2, 0, 2]), ([2, 0, 1, 2, 1, 1], [0, 1, 2, 2, 0, 2])]
    {
        let frozen = frozen(&map(4, &[&later]), None, &kept, 2, &[]);
        assert_eq!(frozen.map.plane().data(), expected);
        assert_eq!(frozen.aside.1.unwrap().plane().data()[4], RESIST);
    }
}

#[test]
fn ground_laid_later_is_painted_at_the_next_stop_out_and_hand_work_only_where_it_is_bare() {
    let kept = kept(2, &[&[0, 1, 2, 3, 3, 2]]);
    let (later, zones) = Aside::new(Some(bits(6, &[1, 3])), Some(bits(6, &[0, 4]))).applied(map(4, &[&[0, 1, 2, 3, 3, 2]]));
    let frozen = frozen(&later, zones.as_ref(), &kept, 2, &[]);
    assert_eq!(frozen.map.plane().data(), [0, 1, 2, 2, 3, 2]);
    assert_eq!(frozen.aside.1.unwrap().plane().data(), [0, 1, 2, 2, BY_HAND, 2]);
}

fn bits(width: usize, at: &[usize]) -> BitPlane {
    let mut bits = BitPlane::empty(width, 1);
    at.iter().for_each(|&x| bits.set_stretch(0, x, x + 1));
    bits
}

#[test]
fn a_dropped_bite_joins_what_is_bare_of_two_tones_in_one_painting() {
    let kept = kept(2, &[&[0, 1, 2, 3, 4, 5]]);
    // Bites 3 and 4 are dropped after bite 2: tones 2, 3 and 4 are painted together at stop-out 5.
    let frozen = frozen(&map(6, &[&[0, 1, 2, 3, 4, 5]]), None, &kept, 2, &[3, 4]);
    assert_eq!(frozen.map.plane().data(), [0, 1, 4, 4, 4, 5]);
    // Stop-out 3 was painted before bite 3 was dropped: what it covers lies fast.
    let painted = super::frozen(&map(6, &[&[0, 1, 2, 3, 4, 5]]), None, &kept, 3, &[3]);
    assert_eq!(painted.map.plane().data(), [0, 1, 2, 3, 4, 5]);
}

#[test]
fn wishes_are_what_the_metal_can_not_give_and_nothing_else() {
    let was: &[&[u8]] = &[&[0, 1, 2, 3, RESIST, BY_HAND, 3, 1]];
    let kept = kept(2, was);
    let wishes = |later: &[u8], dropped: &[usize]| Wishes::map(&map(4, &[later]), None, &kept, 2, dropped).data().to_vec();
    let none = NO_WISH;
    assert_eq!(wishes(&[0, 1, 2, 3, 0, 2, 3, 1], &[]), [none; 8]);
    assert_eq!(wishes(&[1, 0, 1, 2, 3, 0, 0, 3], &[]), [DARKER, LIGHTER, LIGHTER, none, DARKER, LIGHTER, LIGHTER, DARKER]);
    // Tone 1's bite dropped, it prints as the paper.
    assert_eq!(wishes(&[1, 0, 2, 2, 1, 2, 3, 1], &[1]), [none; 8]);
    let all = Wishes::of(&Wishes::map(&map(4, &[&[1, 0, 1, 2, 3, 0, 0, 3]]), None, &kept, 2, &[]), PX);
    assert_eq!((all.lighter.len(), all.darker.len()), (2, 3));
    assert_eq!((all.lighter_share, all.darker_share), (0.5, 0.375));
    assert!(all.lighter[0].area_mm2 >= all.lighter[1].area_mm2 && !all.is_none());
    assert!(Wishes::of(&Plane::filled(8, 1, NO_WISH), PX).is_none());
}

#[test]
fn a_wish_is_wide_enough_to_be_worked() {
    // 10 px/mm: half a millimetre is five pixels. A band of four and a dot of four, a band of five, and a square with a tail.
    let map = Plane::from_fn(60, 40, |x, y| match (x, y) {
        (2..6, 2..38) | (40..44, 30..34) => LIGHTER,
        (10..15, 2..38) => DARKER,
        (20..30, 10..20) | (30..50, 14..15) => LIGHTER,
        _ => NO_WISH,
    });
    let worth = Wishes::worth(&map, PxPerMm(10.0));
    let expected = Plane::from_fn(60, 40, |x, y| if (2..6).contains(&x) || (y >= 30 && x >= 40) { NO_WISH } else { map.at(x, y) });
    assert_eq!(worth, expected);
}

#[test]
fn a_kept_map_is_read_again_and_by_others() {
    let kept = kept(2, &[&[0, 1, 2, 3, RESIST, BY_HAND], &[3, 3, 3, 3, 0, 0]]);
    let file = kept.png();
    assert_eq!(KeptMap::read(&file).unwrap(), kept);
    // The `image` crate reads what `png` wrote.
    assert_eq!(image::load_from_memory(&file).unwrap().as_bytes(), kept.zones().data());
    for broken in [&b""[..], &file[..file.len() / 2], b"not a picture", &crate::png_file::grey(kept.zones(), PX)] {
        let said = KeptMap::read(broken).unwrap_err().to_string();
        assert!(said.starts_with("The map that this plate was painted by can't be read (") && said.ends_with("an earlier copy."), "{said}");
    }
    // Values published with the hash (isthe.com, fnv_test_str), for "", "a" and "foobar".
    let ids = ["", "a", "foobar"].map(|text| KeptMap::id(text.as_bytes()));
    assert_eq!(ids, ["cbf29ce484222325", "af63dc4c8601ec8c", "85944171f73967e8"]);
}

#[test]
fn another_plate_is_refused_in_a_sentence() {
    let plate = |w: f64, bevel: f64| Plate::new(Millimetres(w), Millimetres(23.0), Millimetres(bevel)).unwrap();
    let zones = Plane::filled(60, 40, 0);
    let kept = KeptMap { zones, facts: facts(2, &[50.0]) };
    assert_eq!(kept.check(&plate(33.0, 1.5), PX, 2), Ok(()));
    for (plate, px) in [(plate(34.0, 1.5), PX), (plate(33.0, 2.0), PX), (plate(33.0, 1.5), PxPerMm(3.0))] {
        let said = kept.check(&plate, px, 2).unwrap_err().to_string();
        assert!(
            said.starts_with("Stop-out 2 is painted on a plate of 33 × 23 mm with a bevel of 1.5 mm, at 2 pixels a millimetre"),
            "{said}"
        );
    }
    let small = KeptMap { zones: Plane::filled(6, 4, 0), ..kept };
    assert!(small.check(&plate(33.0, 1.5), PX, 2).is_err());
}

#[test]
fn painted_breaks_stay_and_the_others_fall_in_what_is_left() {
    let kept = kept(2, &[&[0, 1, 2, 3]]);
    let breaks = |l: &[f64]| Breaks::new(l.iter().map(|&l| Lightness(l)).collect()).unwrap();
    let of = |asked: &[f64], painted: usize| -> Vec<f64> {
        locked(&breaks(asked), &kept, painted, Lightness(20.0)).unwrap().falling().iter().map(|l| l.0).collect()
    };
    assert_eq!(of(&[80.0, 60.0, 40.0], 2), [80.0, 60.0, 40.0]);
    assert_eq!(of(&[70.0, 65.0, 33.0], 2), [80.0, 60.0, 33.0]);
    assert_eq!(of(&[70.0, 65.0, 33.0], 0), [70.0, 65.0, 33.0]);
    // Five tones more, spaced evenly from 60 to half a gap above 20; as well where the rest would come before what is locked.
    assert_eq!(
        of(&[90.0, 80.0, 70.0, 60.0, 50.0, 40.0], 2),
        [80.0, 60.0, 60.0 - 80.0 / 9.0, 60.0 - 160.0 / 9.0, 60.0 - 240.0 / 9.0, 60.0 - 320.0 / 9.0]
    );
    assert_eq!(of(&[90.0, 85.0, 70.0], 2)[2], 60.0 - 40.0 / 1.5);
    assert_eq!(of(&[50.0, 30.0], 2), [80.0, 60.0]);
    // The drawing was moved, and has nothing darker than what is locked: the others fall all the same.
    for black in [59.99, 60.0, 75.0] {
        let rest = locked(&breaks(&[90.0, 85.0, 70.0]), &kept, 2, Lightness(black)).unwrap();
        assert_eq!(rest.falling()[2], Lightness(20.0));
    }
}

fn any_edit() -> impl Strategy<Value = Edit> {
    let point = || (0.0..30.0f64, 0.0..20.0f64);
    let path = |points: Vec<(f64, f64)>| serde_json::json!(points.iter().map(|(x, y)| format!("{x},{y}")).collect::<Vec<_>>().join(" "));
    let edit = move |kind: u8, points: Vec<(f64, f64)>, width: f64, tone: u8| {
        let json = match kind {
            0 => serde_json::json!({ "kind": "stroke", "path": path(points), "width_mm": width, "tone": tone }),
            1 => serde_json::json!({ "kind": "lasso", "path": path(points), "tone": tone }),
            2 => serde_json::json!({ "kind": "fill", "at": points[0], "tone": tone }),
            3 => serde_json::json!({ "kind": "keep", "at": points[0] }),
            _ => serde_json::json!({ "kind": "by_hand", "path": path(points) }),
        };
        serde_json::from_value(json).unwrap()
    };
    (0..5u8, prop::collection::vec(point(), 3..6), 0.5..8.0f64, 0..9u8)
        .prop_map(move |(kind, points, width, tone)| edit(kind, points, width, tone))
}

fn any_breaks() -> impl Strategy<Value = Breaks> {
    prop::collection::btree_set(1..990u32, 1..10)
        .prop_map(|set| Breaks::new(set.into_iter().rev().map(|l| Lightness(f64::from(l) / 10.0)).collect()).unwrap())
}

/// One plan's map: breaks, hand, resist on a drawing.
fn planned(
    lightness: &Plane<f32>,
    breaks: &Breaks,
    edits: &[Edit],
    resist: &Option<(usize, usize, usize, usize)>,
) -> (StepMap, (Aside, Option<Zones>)) {
    let worked = Hand::new(edits.to_vec()).unwrap().applied(&quantise(lightness, breaks), lightness, breaks, PX);
    let resist = resist.map(|(x, y, w, h)| {
        let mut bits = BitPlane::empty(60, 40);
        (y..(y + h).min(40)).for_each(|row| bits.set_stretch(row, x, (x + w).min(60)));
        bits
    });
    let aside = Aside::new(resist, worked.by_hand);
    let (map, zones) = aside.applied(worked.map);
    (map, (aside, zones))
}

/// What a stop-out covers.
fn cover(map: &StepMap, zones: Option<&Zones>, stop_out: usize) -> Vec<bool> {
    zones_of(map, zones).data().iter().map(|&zone| covered(zone, stop_out)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 100 } else { 2_000 }))]

    /// Paint, change everything, paint on: at every moment each stop-out painted so far covers what it covered when it was ticked.
    #[test]
    fn no_edit_moves_what_is_painted(
        plans in prop::collection::vec(
            (any_breaks(), prop::collection::vec(any_edit(), 0..5), prop::option::of((0..60usize, 0..40usize, 1..40usize, 1..30usize)), (-9.0..9.0f32, -9.0..9.0f32), any::<bool>()),
            2..9,
        ),
    ) {
        let mut painted = 0;
        let mut by: Option<KeptMap> = None;
        let mut ticked: Vec<Vec<bool>> = Vec::new();
        for (asked, edits, resist, (right, down), tick) in plans {
            // The drawing moved on the face.
            let lightness = Plane::from_fn(60, 40, |x, y| {
                let (x, y) = (x as f32 + right, y as f32 + down);
                50.0 + 30.0 * (x / 7.0).sin() + 19.0 * (y / 5.0).cos()
            });
            let breaks = match &by {
                Some(kept) => {
                    if asked.falling().len() < painted {
                        continue;
                    }
                    locked(&asked, kept, painted, Lightness(1.0)).unwrap()
                }
                None => asked,
            };
            let (free, aside) = planned(&lightness, &breaks, &edits, &resist);
            let tones = free.tones();
            let (map, zones) = match &by {
                Some(kept) => {
                    prop_assert_eq!(&breaks.falling()[..painted], &kept.facts().breaks[..painted].iter().map(|&l| Lightness(l)).collect::<Vec<_>>()[..]);
                    // Nothing is wished for where the plan and the metal agree.
                    let wishes = Wishes::map(&free, aside.1.as_ref(), kept, painted, &[]);
                    let frozen = frozen(&free, aside.1.as_ref(), kept, painted, &[]);
                    let (was, is) = (zones_of(&free, aside.1.as_ref()), zones_of(&frozen.map, frozen.aside.1.as_ref()));
                    for ((wish, was), is) in wishes.data().iter().zip(was.data()).zip(is.data()) {
                        let alike = was == is || (*was == RESIST && *is == 0) || (*was == 0 && *is == RESIST);
                        prop_assert_eq!(*wish == NO_WISH, alike, "{} {} {}", wish, was, is);
                    }
                    (frozen.map, frozen.aside.1)
                }
                None => (free, aside.1),
            };
            for (stop_out, expected) in (1..).zip(&ticked) {
                prop_assert_eq!(&cover(&map, zones.as_ref(), stop_out), expected, "stop-out {}", stop_out);
            }
            if tick && painted + 1 < tones.get() {
                painted += 1;
                let values: Vec<f64> = breaks.falling().iter().map(|l| l.0).collect();
                let kept = KeptMap::of(&map, zones.as_ref(), facts(painted, &values));
                ticked.push(cover(&map, zones.as_ref(), painted));
                // Through its file and back.
                by = Some(KeptMap::read(&kept.png()).unwrap());
            }
        }
    }

    /// The same with bites left out and maps of any zones, after a tick that was taken off the record too: what is painted stays, and no bare
    /// pixel is painted as a tone whose bite is the next's.
    #[test]
    fn what_is_painted_stays_with_bites_left_out(
        (was, later) in (prop::collection::vec(0..20u8, 24), prop::collection::vec(0..20u8, 24)),
        (had, has) in (2..=16usize, 2..=16usize), ticked in 1..16usize, painted in 0..16usize, dropped in prop::collection::btree_set(1..16usize, 0..5),
    ) {
        let zone = |tones: usize| move |&value: &u8| match value {
            18 => RESIST,
            19 => BY_HAND,
            tone => tone % tones as u8,
        };
        let ticked = ticked.min(had - 1);
        let painted = painted.min(ticked).min(has - 1);
        let dropped: Vec<usize> = dropped.into_iter().filter(|&bite| bite < has).collect();
        let kept = KeptMap { zones: Plane::new(6, 4, was.iter().map(zone(had)).collect()).unwrap(), facts: facts(ticked, &vec![50.0; had - 1]) };
        let of = |kind: u8| {
            let mut bits = BitPlane::empty(6, 4);
            later.iter().enumerate().filter(|(_, value)| **value == kind).for_each(|(i, _)| bits.set_stretch(i / 6, i % 6, i % 6 + 1));
            bits
        };
        let tones: Vec<u8> = later.iter().map(|&value| value % has as u8).collect();
        let map = StepMap::new(ToneCount::new(has as i64).unwrap(), Plane::new(6, 4, tones).unwrap());
        let (map, zones) = Aside::new(Some(of(18)), Some(of(19))).applied(map);
        let Frozen { map: held, aside } = frozen(&map, zones.as_ref(), &kept, painted, &dropped);
        let is = zones_of(&held, aside.1.as_ref());
        for stop_out in 1..=painted {
            let before: Vec<bool> = kept.zones.data().iter().map(|&zone| covered(zone, stop_out)).collect();
            prop_assert_eq!(cover(&held, aside.1.as_ref(), stop_out), before, "stop-out {}", stop_out);
        }
        for (&zone, &was) in is.data().iter().zip(kept.zones.data()) {
            if covered(was, painted) || zone == RESIST || zone == BY_HAND {
                prop_assert!(zone != RESIST || was == RESIST || painted == 0, "ground laid over what is bitten");
                continue;
            }
            let zone = usize::from(zone);
            prop_assert!(zone >= painted && zone < has);
            prop_assert!(zone + 1 == has || !dropped.contains(&(zone + 1)), "tone {} of {:?}", zone, dropped);
        }
        // Wishes can be told of any such pair, and none of what is as it was to be.
        let wishes = Wishes::map(&map, zones.as_ref(), &kept, painted, &dropped);
        let same = Wishes::map(&held, aside.1.as_ref(), &kept, painted, &dropped);
        prop_assert_eq!(wishes.data().len(), 24);
        prop_assert!(same.data().iter().all(|&wish| wish == NO_WISH), "{:?}", same.data());
    }
}

//! Aside: what of the face no stop-out paints, because ground lies on it already, or because the printer works it by hand.

use crate::bits::BitPlane;
use crate::components::Components;
use crate::plane::Plane;
use crate::tones::StepMap;

/// In [`Zones`]: a fixed resist, part of every stop-out and painted by none. Past every tone, so that it counts as the darker side of
/// an edge.
pub const RESIST: u8 = 254;

/// In [`Zones`]: worked by hand, part of no stop-out. It counts as the darker side of an edge: what is painted ends there.
pub const BY_HAND: u8 = 255;

/// The parts of the face that are set aside. None by default.
///
/// # Guarantees
/// Where both are given they have one size, and nothing is in both: under a resist there is nothing to do by hand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Aside {
    resist: Option<BitPlane>,
    by_hand: Option<BitPlane>,
}

/// The face as it is painted: a pixel is a tone, or [`RESIST`], or [`BY_HAND`].
#[derive(Clone, Debug, PartialEq)]
pub struct Zones(Plane<u8>);

impl Aside {
    /// Sets a resist and areas worked by hand aside.
    ///
    /// # Panics
    /// When the sizes differ.
    #[must_use]
    pub fn new(resist: Option<BitPlane>, by_hand: Option<BitPlane>) -> Self {
        let some = |bits: BitPlane| (bits.count() > 0).then_some(bits);
        let resist = resist.and_then(some);
        let by_hand = by_hand.and_then(|mut bits| {
            if let Some(resist) = &resist {
                bits.remove(resist);
            }
            some(bits)
        });
        Self { resist, by_hand }
    }

    /// Whether nothing is set aside.
    #[must_use]
    pub fn is_none(&self) -> bool {
        self.resist.is_none() && self.by_hand.is_none()
    }

    /// What the resist covers.
    #[must_use]
    pub fn resist(&self) -> Option<&BitPlane> {
        self.resist.as_ref()
    }

    /// What is worked by hand.
    #[must_use]
    pub fn by_hand(&self) -> Option<&BitPlane> {
        self.by_hand.as_ref()
    }

    /// The step map with what is set aside in it, and the zones that stop-outs are painted in; no zones where nothing is set aside.
    ///
    /// Under the resist the map has tone 0, which never bites. An area by hand has throughout the lightest tone it holds, so that a proof
    /// shows something there that no stop-out promises.
    ///
    /// # Panics
    /// When the sizes differ.
    #[must_use]
    pub fn applied(&self, map: StepMap) -> (StepMap, Option<Zones>) {
        if self.is_none() {
            return (map, None);
        }
        let tones = map.tones();
        let mut plane = map.into_plane();
        let sized = |bits: &BitPlane| bits.width() == plane.width() && bits.height() == plane.height();
        assert!(self.resist.iter().chain(&self.by_hand).all(sized), "map and what is set aside have one size");
        if let Some(resist) = &self.resist {
            fill(&mut plane, resist, 0);
        }
        if let Some(by_hand) = &self.by_hand {
            lighten(&mut plane, by_hand);
        }
        let mut zones = plane.clone();
        for (bits, zone) in [(&self.resist, RESIST), (&self.by_hand, BY_HAND)] {
            if let Some(bits) = bits {
                fill(&mut zones, bits, zone);
            }
        }
        (StepMap::new(tones, plane), Some(Zones(zones)))
    }
}

impl Zones {
    /// The zone of each pixel.
    #[must_use]
    pub fn plane(&self) -> &Plane<u8> {
        &self.0
    }
}

fn fill(plane: &mut Plane<u8>, bits: &BitPlane, value: u8) {
    let width = plane.width();
    let data = plane.data_mut();
    bits.each(|x, y| data[y * width + x] = value);
}

/// Each 4-connected piece takes the lightest tone it holds.
fn lighten(plane: &mut Plane<u8>, by_hand: &BitPlane) {
    let width = plane.width();
    let mut marked = Plane::filled(width, plane.height(), 0u8);
    fill(&mut marked, by_hand, 1);
    let pieces = Components::of(&marked);
    let mut lightest = vec![u8::MAX; pieces.count()];
    let each = |mut stretch: Box<dyn FnMut(std::ops::Range<usize>, usize) + '_>| {
        pieces.each_stretch(|y, start, end, piece| {
            if pieces.values()[piece] == 1 {
                stretch(y * width + start..y * width + end, piece);
            }
        });
    };
    each(Box::new(|part, piece| {
        let tone = plane.data()[part].iter().copied().min().unwrap_or(0);
        lightest[piece] = lightest[piece].min(tone);
    }));
    each(Box::new(|part, piece| plane.data_mut()[part].fill(lightest[piece])));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;

    fn map(rows: &[&[u8]]) -> StepMap {
        StepMap::new(ToneCount::new(4).unwrap(), Plane::from_fn(rows[0].len(), rows.len(), |x, y| rows[y][x]))
    }

    fn bits(rows: &[&str]) -> Option<BitPlane> {
        let mut bits = BitPlane::empty(rows[0].len(), rows.len());
        for (y, row) in rows.iter().enumerate() {
            for (x, _) in row.bytes().enumerate().filter(|(_, b)| *b == b'#') {
                bits.set_stretch(y, x, x + 1);
            }
        }
        Some(bits)
    }

    #[test]
    fn nothing_aside_changes_nothing() {
        let before = map(&[&[0, 1, 2, 3]]);
        assert_eq!(Aside::default().applied(before.clone()), (before.clone(), None));
        let empty = Aside::new(bits(&["...."]), bits(&["...."]));
        assert!(empty.is_none());
        assert_eq!(empty.applied(before.clone()), (before, None));
    }

    #[test]
    fn a_resist_is_tone_0_and_goes_before_what_is_by_hand() {
        let aside = Aside::new(bits(&["##....", "##...."]), bits(&[".##..#", ".##..#"]));
        let (map, zones) = aside.applied(map(&[&[3, 3, 2, 1, 1, 1], &[3, 1, 3, 1, 1, 3]]));
        assert_eq!(map.plane().data(), [0, 0, 2, 1, 1, 1, 0, 0, 2, 1, 1, 1]);
        assert_eq!(zones.unwrap().plane().data(), [RESIST, RESIST, BY_HAND, 1, 1, BY_HAND, RESIST, RESIST, BY_HAND, 1, 1, BY_HAND]);
        assert_eq!(aside.by_hand().unwrap().count(), 4);
    }
}

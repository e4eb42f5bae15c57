//! Laid: thin papers between the sheet and the ink, and the grounds that they make.
//!
//! A piece is laid on the inked plate, good side down, before the sheet: the one laid first ends nearest the viewer and takes the ink where
//! others lie beneath it. Each changes what is seen under the ink ([`Thin::over`]), over whatever lies beneath it there, the sheet last. A torn edge
//! thins out into fibres over a deckle; there sheet and paper are mixed by area, in light.

use crate::colour::Rgb;
use crate::piece::Piece;
use crate::plane::Plane;
use crate::pull::Grounds;
use crate::units::{Millimetres, PxPerMm};
use serde::{Deserialize, Serialize};
use std::fmt;

mod tear;
mod thin;
use tear::Tear;
pub use thin::{Patches, Thin, ThinError};

/// How a piece was parted from its paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Edge {
    /// With a blade: sharp.
    #[default]
    Cut,
    /// By hand: wandering, with a deckle of fibres.
    Torn,
}

/// One piece of thin paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid {
    /// Its paper.
    pub thin: Thin,
    /// The other side to the ink.
    pub turned: bool,
    /// Its shape; none = over the whole face.
    pub piece: Option<Piece>,
    /// Its edge.
    pub edge: Edge,
    /// Which of all tears a torn edge is; it stays the piece's wherever in the list that comes to stand.
    pub tear: u64,
}

/// More pieces than can be laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LaidError {
    /// How many came.
    pub pieces: usize,
}

impl fmt::Display for LaidError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Up to {} pieces of thin paper can lie under the ink, {} came: leave some out.", Laid::MOST, self.pieces)
    }
}

impl std::error::Error for LaidError {}

impl Laid {
    /// Most pieces in one pull.
    pub const MOST: usize = 300;
}

/// Parts by which a deckle covers the ground: 0, a quarter, … all. The tufts of fibres hide the stairs.
const PARTS: usize = 4;
/// Most grounds that a map of bytes can tell apart: two bytes mean something else to whoever draws it.
const MOST_GROUNDS: usize = 254;

/// What lies under the ink: `sheet` with the pieces on it, on a raster of the face. The first piece of the list was laid on the plate first and
/// lies nearest the viewer.
///
/// Where more than 254 colours of ground come about, the rarest become the nearest of the others.
///
/// # Errors
/// When there are more than [`Laid::MOST`] pieces.
pub fn grounds(sheet: Rgb, laid: &[Laid], size: (usize, usize), resolution: PxPerMm) -> Result<Grounds, LaidError> {
    if laid.len() > Laid::MOST {
        return Err(LaidError { pieces: laid.len() });
    }
    if laid.is_empty() {
        return Ok(Grounds::bare(sheet));
    }
    let mut colours = vec![sheet];
    let mut map = Plane::filled(size.0, size.1, 0u16);
    // From the sheet up: the last of the list lies on it.
    for laid in laid.iter().rev() {
        lay(laid, Tear::new(laid.tear), resolution, &mut colours, &mut map);
        // Each piece makes at most a few of each ground, so that no pile of torn papers takes long.
        if colours.len() > MOST_GROUNDS {
            fewer(&mut colours, &mut map);
        }
    }
    fewer(&mut colours, &mut map);
    Ok(Grounds { colours, map: Some((map.map(|&ground| ground as u8), resolution)) })
}

/// Lays one piece on what is there.
fn lay(laid: &Laid, tear: Tear, resolution: PxPerMm, colours: &mut Vec<Rgb>, map: &mut Plane<u16>) {
    let mut over = Over { laid, made: Vec::new() };
    let Some(piece) = &laid.piece else {
        map.data_mut().iter_mut().for_each(|ground| *ground = over.of(*ground, PARTS, colours));
        return;
    };
    let torn = laid.edge == Edge::Torn;
    let reach = Millimetres(if torn { tear::REACH } else { 0.5 });
    let width = map.width();
    let Some(signed) = piece.signed((width, map.height()), resolution, reach) else { return };
    let (left, top) = signed.corner;
    for (y, distances) in signed.distances.rows().enumerate() {
        let from = (top + y) * width + left;
        let down = (top + y) as f64 + 0.5;
        for ((x, &inside), ground) in distances.iter().enumerate().zip(&mut map.data_mut()[from..from + distances.len()]) {
            let parts = if torn {
                let across = (left + x) as f64 + 0.5;
                let cover = tear.cover(f64::from(inside), across / resolution.0, down / resolution.0);
                libm::round(cover * PARTS as f64) as usize
            } else if inside > 0.0 {
                PARTS
            } else {
                0
            };
            if parts > 0 {
                *ground = over.of(*ground, parts, colours);
            }
        }
    }
}

/// What one piece makes of each ground, by how many parts of it are covered; worked out when it comes up.
struct Over<'a> {
    laid: &'a Laid,
    made: Vec<[Option<u16>; PARTS + 1]>,
}

impl Over<'_> {
    fn of(&mut self, ground: u16, parts: usize, colours: &mut Vec<Rgb>) -> u16 {
        let place = usize::from(ground);
        if self.made.len() <= place {
            self.made.resize(place + 1, [None; PARTS + 1]);
        }
        *self.made[place][parts].get_or_insert_with(|| {
            let bare = colours[place];
            let covered = self.laid.thin.over(bare, self.laid.turned);
            let share = parts as f64 / PARTS as f64;
            let colour = if parts == PARTS { covered } else { bare.with(covered, |bare, covered| bare + (covered - bare) * share) };
            // Two pieces of one paper make the same ground.
            let known = colours.iter().position(|known| *known == colour);
            known.unwrap_or_else(|| {
                colours.push(colour);
                colours.len() - 1
            }) as u16
        })
    }
}

/// Which of some colours is nearest to one, in light.
fn nearest(colour: Rgb, among: &[Rgb]) -> usize {
    let apart = |other: &Rgb| colour.0.iter().zip(other.0).map(|(one, other)| (one - other) * (one - other)).sum::<f64>();
    among.iter().enumerate().min_by(|a, b| apart(a.1).total_cmp(&apart(b.1))).map_or(0, |(place, _)| place)
}

/// Leaves the grounds that occur, and the sheet before them; where those are more than a byte tells apart, the ones of the largest areas.
fn fewer(colours: &mut Vec<Rgb>, map: &mut Plane<u16>) {
    let mut areas = vec![0u64; colours.len()];
    map.data().iter().for_each(|&ground| areas[usize::from(ground)] += 1);
    let mut kept: Vec<usize> = (1..colours.len()).filter(|&ground| areas[ground] > 0).collect();
    if kept.len() >= MOST_GROUNDS {
        kept.sort_by_key(|&ground| (std::cmp::Reverse(areas[ground]), ground));
        kept.truncate(MOST_GROUNDS - 1);
        kept.sort_unstable();
    }
    kept.insert(0, 0);
    let left: Vec<Rgb> = kept.iter().map(|&ground| colours[ground]).collect();
    let mut places = vec![None; colours.len()];
    for (&ground, place) in kept.iter().zip(0u16..) {
        places[ground] = Some(place);
    }
    let places: Vec<u16> =
        places.iter().zip(colours.iter()).map(|(place, colour)| place.unwrap_or_else(|| nearest(*colour, &left) as u16)).collect();
    map.data_mut().iter_mut().for_each(|ground| *ground = places[usize::from(*ground)]);
    *colours = left;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Reflectance;
    use crate::units::PointMm;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    const SHEET: Rgb = Rgb([0.85, 0.83, 0.76]);
    const TEN: PxPerMm = PxPerMm(10.0);

    fn thin(good: f64, back: f64, through: f64) -> Thin {
        Thin { good: Rgb([good; 3]), back: Rgb([back; 3]), through: Rgb([through; 3]) }
    }

    fn square(left: f64, top: f64, side: f64) -> Piece {
        let corners = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)];
        Piece::new(corners.map(|(x, y)| PointMm { x: left + x, y: top + y }).to_vec()).unwrap()
    }

    fn laid(thin: Thin, piece: Option<Piece>, edge: Edge) -> Laid {
        Laid { thin, turned: false, piece, edge, tear: 5 }
    }

    fn at(grounds: &Grounds, x: usize, y: usize) -> Rgb {
        grounds.map.as_ref().map_or(grounds.colours[0], |(map, _)| grounds.colours[usize::from(map.at(x, y))])
    }

    #[test]
    fn no_paper_is_the_bare_sheet() {
        assert_eq!(grounds(SHEET, &[], (10, 10), TEN).unwrap(), Grounds::bare(SHEET));
    }

    #[test]
    fn the_first_of_the_list_lies_nearest_the_viewer() {
        let (dark, light) = (thin(0.1, 0.1, 0.2), thin(0.5, 0.5, 0.3));
        let both = [laid(dark, Some(square(1.0, 1.0, 6.0)), Edge::Cut), laid(light, Some(square(4.0, 1.0, 6.0)), Edge::Cut)];
        let made = grounds(SHEET, &both, (120, 80), TEN).unwrap();
        assert_eq!(made.colours[0], SHEET);
        assert_eq!(at(&made, 5, 5), SHEET);
        assert_eq!(at(&made, 20, 40), dark.over(SHEET, false));
        assert_eq!(at(&made, 90, 40), light.over(SHEET, false));
        assert_eq!(at(&made, 50, 40), dark.over(light.over(SHEET, false), false));
        let turned_round: Vec<Laid> = both.iter().rev().cloned().collect();
        assert_eq!(at(&grounds(SHEET, &turned_round, (120, 80), TEN).unwrap(), 50, 40), light.over(dark.over(SHEET, false), false));
    }

    #[test]
    fn a_cut_piece_has_its_area_and_pieces_of_one_paper_share_a_ground() {
        let paper = thin(0.3, 0.4, 0.5);
        let pieces = [square(1.0, 1.0, 3.0), square(6.0, 6.0, 4.0)].map(|piece| laid(paper, Some(piece), Edge::Cut));
        let made = grounds(SHEET, &pieces, (120, 120), TEN).unwrap();
        assert_eq!(made.colours, [SHEET, paper.over(SHEET, false)]);
        assert_eq!(made.map.unwrap().0.data().iter().filter(|&&ground| ground == 1).count(), 900 + 1600);
    }

    #[test]
    fn a_turned_piece_shows_its_other_side() {
        let paper = thin(0.6, 0.2, 0.3);
        let turned = Laid { turned: true, ..laid(paper, None, Edge::Cut) };
        let made = grounds(SHEET, &[turned], (4, 4), TEN).unwrap();
        assert_eq!(at(&made, 2, 2), paper.over(SHEET, true));
        assert!(paper.over(SHEET, true).0[0] < paper.over(SHEET, false).0[0]);
    }

    #[test]
    fn a_torn_edge_thins_out_near_its_line_and_any_raster_shows_the_same() {
        let paper = laid(thin(0.3, 0.3, 0.2), Some(square(10.0, 10.0, 20.0)), Edge::Torn);
        let made = grounds(SHEET, std::slice::from_ref(&paper), (400, 400), TEN).unwrap();
        assert_eq!(made.colours.len(), PARTS + 1);
        let map = &made.map.as_ref().unwrap().0;
        let all = paper.thin.over(SHEET, false);
        let mut seen = 0;
        for y in 0..400 {
            for x in 0..400 {
                let depth = [x, y].map(|v| v as f64 / 10.0 + 0.05).map(|v| (v - 10.0).min(30.0 - v)).into_iter().fold(f64::MAX, f64::min);
                if depth > 2.7 {
                    assert_eq!(at(&made, x, y), all);
                } else if depth < -0.7 {
                    assert_eq!(map.at(x, y), 0);
                } else {
                    seen += usize::from(map.at(x, y) != 0 && at(&made, x, y) != all);
                }
            }
        }
        // Four edges of 20 mm with a deckle 1 to 2 mm wide, of which a part is near enough all or nothing.
        assert!((4_000..12_000).contains(&seen), "{seen}");
        let finer = grounds(SHEET, std::slice::from_ref(&paper), (1200, 1200), PxPerMm(30.0)).unwrap();
        let same = (0..160_000).filter(|i| at(&made, i % 400, i / 400) == at(&finer, i % 400 * 3 + 1, i / 400 * 3 + 1)).count();
        assert!(same > 159_990, "{same}");
        assert_ne!(made, grounds(SHEET, &[Laid { tear: 6, ..paper.clone() }], (400, 400), TEN).unwrap());
        // Another piece laid before it, off to the side, tears it no other way.
        let other = laid(thin(0.5, 0.5, 0.1), Some(square(35.0, 35.0, 3.0)), Edge::Cut);
        let both = grounds(SHEET, &[other, paper], (400, 400), TEN).unwrap();
        assert!((0..340 * 340).all(|i| at(&both, i % 340, i / 340) == at(&made, i % 340, i / 340)));
    }

    #[test]
    fn more_grounds_than_a_byte_tells_become_their_nearest() {
        // Torn papers, each another, over one another at all their edges.
        let pieces: Vec<Laid> = (0..8u8)
            .map(|i| Laid {
                tear: u64::from(i),
                ..laid(thin(0.08 * f64::from(i), 0.1, 0.3), Some(square(2.0 + 0.3 * f64::from(i), 2.0, 16.0)), Edge::Torn)
            })
            .collect();
        let made = grounds(SHEET, &pieces, (250, 250), TEN).unwrap();
        assert_eq!(made.colours.len(), MOST_GROUNDS);
        assert_eq!(made.colours[0], SHEET);
        assert_eq!(at(&made, 0, 0), SHEET);
        let whole = pieces.iter().rev().fold(SHEET, |ground, laid| laid.thin.over(ground, false));
        assert_eq!(at(&made, 115, 100), whole);
    }

    #[test]
    fn too_many_pieces_are_refused() {
        let piece = laid(thin(0.3, 0.3, 0.3), None, Edge::Cut);
        let said = grounds(SHEET, &vec![piece; 301], (4, 4), TEN).unwrap_err().to_string();
        assert!(said.contains("301") && said.ends_with('.'), "{said}");
    }

    proptest! {
        #[test]
        fn a_ground_lies_between_dark_and_light(good in 0.0..0.5f64, through in 0.0..0.5f64, shape in prop::collection::vec((-2.0f64..8.0, -2.0f64..8.0), 3..7), seed in any::<u64>()) {
            let piece = Piece::new(shape.iter().map(|&point| point.into()).collect()).unwrap();
            let pieces: Vec<Laid> = [Edge::Torn, Edge::Cut].map(|edge| Laid { tear: seed, ..laid(thin(good, good, through), Some(piece.clone()), edge) }).to_vec();
            let sheet = Rgb::grey(Reflectance(0.8));
            let made = grounds(sheet, &pieces, (60, 60), TEN).unwrap();
            prop_assert_eq!(made.colours[0], sheet);
            let map = &made.map.as_ref().unwrap().0;
            for (place, colour) in made.colours.iter().enumerate() {
                prop_assert!(colour.0[0] >= 0.0 && colour.0[0] <= 1.0);
                prop_assert!(place == 0 || map.data().iter().any(|&ground| usize::from(ground) == place), "only grounds that occur");
            }
        }
    }

    #[test]
    fn areas_mix_in_light() {
        let paper = laid(thin(0.2, 0.2, 0.0), Some(square(10.0, 10.0, 20.0)), Edge::Torn);
        let made = grounds(SHEET, &[paper], (400, 400), TEN).unwrap();
        let mut reds: Vec<f64> = made.colours.iter().map(|colour| colour.0[0]).collect();
        reds.sort_by(f64::total_cmp);
        for (part, red) in reds.iter().enumerate() {
            assert_abs_diff_eq!(*red, 0.2 + (SHEET.0[0] - 0.2) * part as f64 / 4.0, epsilon = 1e-12);
        }
    }
}

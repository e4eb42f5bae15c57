//! What a plate is inked with: one ink, or several in zones with soft borders.

use crate::film::Film;
use crate::plane::Plane;
use crate::units::PxPerMm;

/// Two inks that run into each other at a point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Blend {
    /// The ink beneath, by its place in [`Inks::films`].
    pub one: u8,
    /// The other.
    pub other: u8,
    /// Sixteenths of the other, 0..=16. Films mix by share: absorption and scatter add.
    pub sixteenths: u8,
}

/// Which inks lie where on a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct InkMap {
    /// The blends that occur.
    pub blends: Vec<Blend>,
    /// Which of them lies where, over the whole face in print view.
    pub map: Plane<u16>,
    /// Its raster.
    pub resolution: PxPerMm,
}

/// The inks of one plate, at their full films.
#[derive(Clone, Debug, PartialEq)]
pub struct Inks {
    /// Each ink's film; the first is the plate's own where there are no zones.
    pub films: Vec<Film>,
    /// Zones of ink; none = the first film everywhere.
    pub zones: Option<InkMap>,
}

impl Inks {
    /// One ink all over.
    #[must_use]
    pub fn one(film: Film) -> Self {
        Self { films: vec![film], zones: None }
    }
}

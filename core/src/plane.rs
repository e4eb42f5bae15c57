//! The one two-dimensional buffer of the project.

use std::fmt;

/// Rows of values, row-major, top row first.
///
/// # Guarantees
/// `width` and `height` are at least 1 and the data holds exactly `width * height` values.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane<T> {
    width: usize,
    height: usize,
    data: Vec<T>,
}

/// The data does not fill the size, or the size is empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlaneError {
    /// Width asked for, pixels.
    pub width: usize,
    /// Height asked for, pixels.
    pub height: usize,
    /// Values given.
    pub values: usize,
}

impl fmt::Display for PlaneError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { width, height, values } = self;
        write!(f, "A picture of {width} × {height} pixels was expected, {values} values came: give one value a pixel.")
    }
}

impl std::error::Error for PlaneError {}

impl<T> Plane<T> {
    /// Takes rows of data.
    ///
    /// # Errors
    /// When a side is zero or the data's length is not `width * height`.
    pub fn new(width: usize, height: usize, data: Vec<T>) -> Result<Self, PlaneError> {
        if width == 0 || height == 0 || width.checked_mul(height) != Some(data.len()) {
            return Err(PlaneError { width, height, values: data.len() });
        }
        Ok(Self { width, height, data })
    }

    /// Builds a plane from a function of column and row.
    ///
    /// # Panics
    /// When a side is zero: a picture has at least one pixel.
    pub fn from_fn(width: usize, height: usize, mut value: impl FnMut(usize, usize) -> T) -> Self {
        assert!(width > 0 && height > 0, "a plane has at least one pixel");
        let mut data = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                data.push(value(x, y));
            }
        }
        Self { width, height, data }
    }

    /// Columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// All values, row after row.
    #[must_use]
    pub fn data(&self) -> &[T] {
        &self.data
    }

    /// All values, row after row, to be changed in place.
    pub fn data_mut(&mut self) -> &mut [T] {
        &mut self.data
    }

    /// One row.
    ///
    /// # Panics
    /// When `y` is not below the height.
    #[must_use]
    pub fn row(&self, y: usize) -> &[T] {
        &self.data[y * self.width..(y + 1) * self.width]
    }

    /// Row after row, from the top.
    pub fn rows(&self) -> impl DoubleEndedIterator<Item = &[T]> + ExactSizeIterator {
        self.data.chunks_exact(self.width)
    }

    /// Each value through a function, same size.
    pub fn map<U>(&self, value: impl FnMut(&T) -> U) -> Plane<U> {
        Plane { width: self.width, height: self.height, data: self.data.iter().map(value).collect() }
    }
}

impl<T: Copy> Plane<T> {
    /// One value everywhere.
    ///
    /// # Panics
    /// When a side is zero.
    pub fn filled(width: usize, height: usize, value: T) -> Self {
        assert!(width > 0 && height > 0, "a plane has at least one pixel");
        Self { width, height, data: vec![value; width * height] }
    }

    /// The value at column `x`, row `y`.
    ///
    /// # Panics
    /// Outside the plane.
    #[must_use]
    pub fn at(&self, x: usize, y: usize) -> T {
        debug_assert!(x < self.width);
        self.data[y * self.width + x]
    }

    /// Left and right exchanged: print view to plate view and back.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let data = self.rows().flat_map(|row| row.iter().rev().copied()).collect();
        Self { width: self.width, height: self.height, data }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn length_is_checked_once() {
        assert!(Plane::new(2, 2, vec![1, 2, 3, 4]).is_ok());
        let error = Plane::new(2, 2, vec![1, 2, 3]).unwrap_err();
        assert!(error.to_string().contains("2 × 2"));
        assert!(Plane::<u8>::new(0, 4, vec![]).is_err());
    }

    #[test]
    fn mirrored_twice_is_the_same() {
        let plane = Plane::new(3, 2, vec![1, 2, 3, 4, 5, 6]).unwrap();
        assert_eq!(plane.mirrored().data(), [3, 2, 1, 6, 5, 4]);
        assert_eq!(plane.mirrored().mirrored(), plane);
    }
}

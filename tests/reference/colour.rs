//! Light against published tables: sRGB, L*, density, Murray-Davies, Yule-Nielsen. Sources stand in the head of each table.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use stepbite_core::light::{Density, Encoded, Lightness, Reflectance, murray_davies, solid_share, yule_nielsen};
use stepbite_tests::numbers;

/// The tables hold double precision digits; ours may differ in the last ones, as powers are taken by another library.
const DIGITS: f64 = 1e-11;

const PAPER: Reflectance = Reflectance(0.85);
const SOLID: Reflectance = Reflectance(0.04);

#[test]
fn every_srgb_byte() {
    // IEC 61966-2-1, CIE 15:2018, ISO 5-4:2009, computed with colour-science.
    for name in ["srgb_all.csv", "srgb_lightness.csv"] {
        for row in numbers(name) {
            let y = Encoded(row[0] / 255.0).linear();
            assert_relative_eq!(y.0, row[2], max_relative = DIGITS);
            assert_relative_eq!(y.lightness().0, row[3], max_relative = 1e-9);
            assert_relative_eq!(y.density().0, row[4], max_relative = 1e-9, epsilon = 1e-12);
            assert_eq!(f64::from(y.byte()), row[0]);
        }
    }
}

#[test]
fn lightness_and_density() {
    for row in numbers("lightness_of_y.csv") {
        assert_abs_diff_eq!(Reflectance(row[0]).lightness().0, row[1], epsilon = 1e-6);
    }
    for row in numbers("y_of_lightness.csv") {
        assert_relative_eq!(Lightness(row[0]).reflectance().0, row[1], max_relative = DIGITS);
        assert_relative_eq!(Lightness(row[0]).reflectance().density().0, row[2], max_relative = DIGITS);
    }
    for row in numbers("density.csv") {
        assert_relative_eq!(Reflectance(row[0]).density().0, row[1], max_relative = DIGITS);
    }
    for row in numbers("reflectance_of_density.csv") {
        assert_relative_eq!(Density(row[0]).reflectance().0, row[1], max_relative = DIGITS);
        assert_relative_eq!(Density(row[0]).reflectance().lightness().0, row[2], max_relative = DIGITS);
    }
}

#[test]
fn tints() {
    // Murray 1936; Yule and Nielsen 1951.
    for row in numbers("murray_davies.csv") {
        let mixed = murray_davies(PAPER, SOLID, row[0]);
        assert_relative_eq!(mixed.0, row[1], max_relative = DIGITS);
        assert_relative_eq!(mixed.lightness().0, row[3], max_relative = DIGITS);
    }
    for row in numbers("yule_nielsen.csv") {
        // n without end is the limit; a million is as near as the power's own rounding lets one come.
        let (n, digits) = if row[1].is_finite() { (row[1], DIGITS) } else { (1e6, 1e-5) };
        assert_relative_eq!(yule_nielsen(PAPER, SOLID, row[0], n).0, row[2], max_relative = digits);
    }
}

#[test]
fn shares_from_density() {
    let share = |tint: f64, n: f64| solid_share(Reflectance(1.0), Density(1.4).reflectance(), Density(tint).reflectance(), n);
    for row in numbers("murray_davies_inverse.csv") {
        assert_relative_eq!(share(row[0], 1.0), row[1], max_relative = DIGITS);
    }
    for row in numbers("yule_nielsen_inverse.csv") {
        assert_relative_eq!(share(row[0], 1.7), row[1], max_relative = DIGITS);
    }
}

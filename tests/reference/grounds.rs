//! What lies under and between inks, and how far a proof is from its drawing, against tables of others. Sources stand in the head of each table.

use approx::assert_abs_diff_eq;
use stepbite_core::difference::Difference;
use stepbite_core::plane::Plane;
use stepbite_tests::numbers;

#[test]
fn proof_and_drawing_apart() {
    // CIE 142:2001 by scikit-image; the figures by NumPy.
    let pixels = numbers("difference_pixels.csv");
    let picture = |first: usize| {
        let light: Vec<[f32; 3]> = pixels.iter().map(|row| [0, 1, 2].map(|i| row[first + i] as f32)).collect();
        Plane::new(24, 16, light).unwrap()
    };
    let difference = Difference::between(&picture(3), &picture(6)).unwrap();
    for (row, &off) in pixels.iter().zip(difference.map().data()) {
        assert_abs_diff_eq!(f64::from(off), row[9], epsilon = 1e-4);
    }
    let tones = Plane::new(24, 16, pixels.iter().map(|row| row[2] as u8).collect()).unwrap();
    let figures = difference.figures(&tones);
    let expected = &numbers("difference_figures.csv")[0];
    for (found, expected) in
        [figures.mean, figures.most, figures.over, f64::from(figures.worst_tone), figures.worst_mean].iter().zip(expected)
    {
        assert_abs_diff_eq!(found, expected, epsilon = 1e-4);
    }
}

//! The decoders: each takes a file's bytes and feeds a [`Reading`](super::Reading) row by row, from the top of the stored picture.

pub(super) mod jpeg;
pub(super) mod png;
pub(super) mod tiff;
pub(super) mod whole;

/// A decoder's words as part of a sentence.
fn plain(text: &str) -> String {
    text.trim().trim_end_matches('.').replace('\n', " ")
}

/// RGB of Y, Cb, Cr over the full range (ITU-T T.871, 7).
fn rgb_of_ycc([y, cb, cr]: [u8; 3]) -> [u8; 3] {
    let (y, cb, cr) = (f32::from(y), f32::from(cb) - 128.0, f32::from(cr) - 128.0);
    [y + 1.402 * cr, y - 0.344_136 * cb - 0.714_136 * cr, y + 1.772 * cb].map(|v| (v + 0.5).clamp(0.0, 255.0) as u8)
}

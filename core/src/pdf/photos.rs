//! Photographs in a PDF.

use crate::jpeg_file::JpegFile;
use crate::sheets::{Mark, Sheet};
use pdf_writer::{Filter, Pdf, Ref};
use std::sync::Arc;

/// Photographs, each written once, its own JPEG bytes as they came (ISO 32000-1:2008, 7.4.8), in the order in which pages show them.
#[derive(Default)]
pub(super) struct Photos {
    pub(super) list: Vec<(Arc<JpegFile>, Ref)>,
}

impl Photos {
    pub(super) fn of(sheets: &[Sheet], next: &mut Ref) -> Self {
        let mut photos = Self::default();
        for mark in sheets.iter().flat_map(|sheet| &sheet.marks) {
            if let Mark::Photo { file, .. } = mark
                && photos.number(file).is_none()
            {
                photos.list.push((Arc::clone(file), next.bump()));
            }
        }
        photos
    }

    pub(super) fn number(&self, file: &Arc<JpegFile>) -> Option<usize> {
        self.list.iter().position(|(each, _)| Arc::ptr_eq(each, file))
    }

    pub(super) fn name(number: usize) -> String {
        format!("P{number}")
    }

    pub(super) fn write(&self, file: &mut Pdf) {
        for (photo, at) in &self.list {
            let mut image = file.image_xobject(*at, photo.bytes());
            image.filter(Filter::DctDecode);
            image.width(photo.width() as i32).height(photo.height() as i32).bits_per_component(8);
            let space = image.color_space();
            if photo.is_grey() { space.device_gray() } else { space.device_rgb() }
        }
    }
}

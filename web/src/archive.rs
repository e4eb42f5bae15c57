//! Several files in one ZIP, stored as they are: PNG is packed already.

use crate::error::Refusal;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Packs named files. Equal files give equal bytes: every entry carries the same fixed date.
///
/// # Errors
/// When the archive can't be written: it would have to pass 4 GB.
pub fn zipped(files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, Refusal> {
    let failed = |error: &dyn std::fmt::Display| {
        Refusal::new("archive", format!("The ZIP could not be written ({error}): save the files one by one."))
    };
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored).last_modified_time(DateTime::default());
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        archive.start_file(name, options).map_err(|error| failed(&error))?;
        archive.write_all(bytes).map_err(|error| failed(&error))?;
    }
    Ok(archive.finish().map_err(|error| failed(&error))?.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_come_out_as_they_went_in() {
        let files = [("a.png".to_owned(), vec![1, 2, 3]), ("b.png".to_owned(), vec![])];
        let archive = zipped(&files).unwrap();
        let mut read = zip::ZipArchive::new(Cursor::new(archive)).unwrap();
        assert_eq!(read.len(), 2);
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut read.by_name("a.png").unwrap(), &mut bytes).unwrap();
        assert_eq!(bytes, [1, 2, 3]);
    }
}

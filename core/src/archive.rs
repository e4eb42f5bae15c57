//! Several files in one ZIP.

use std::fmt;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// A file to be packed: its name, folders before it with `/`, and its bytes.
pub type Named = (String, Vec<u8>);

/// An archive that could not be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ArchiveError {
    /// What the writer said.
    pub cause: String,
}

impl fmt::Display for ArchiveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "The ZIP could not be written ({}): save the files one by one.", self.cause)
    }
}

impl std::error::Error for ArchiveError {}

/// Packs named files. PNG and PDF, which are packed already, are stored as they are, text is deflated. Equal files give equal bytes: every
/// entry carries the same fixed date.
///
/// # Errors
/// When the archive can't be written: it would have to pass 4 GB, or two files have one name.
pub fn zipped(files: &[Named]) -> Result<Vec<u8>, ArchiveError> {
    let failed = |error: &dyn fmt::Display| ArchiveError { cause: error.to_string() };
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        let packed = [".png", ".pdf"].iter().any(|ending| name.ends_with(ending));
        let method = if packed { CompressionMethod::Stored } else { CompressionMethod::Deflated };
        let options = SimpleFileOptions::default().compression_method(method).last_modified_time(DateTime::default());
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
        let long = b"tone,total_s\r\n".repeat(1000);
        let files = [("masks/a.png".to_owned(), vec![1, 2, 3]), ("b.png".to_owned(), vec![]), ("plan.csv".to_owned(), long.clone())];
        let archive = zipped(&files).unwrap();
        assert_eq!(archive, zipped(&files).unwrap());
        assert!(archive.len() < 1000, "text is deflated");
        let mut read = zip::ZipArchive::new(Cursor::new(archive)).unwrap();
        assert_eq!(read.len(), 3);
        for (name, wanted) in &files {
            let mut bytes = Vec::new();
            std::io::Read::read_to_end(&mut read.by_name(name).unwrap(), &mut bytes).unwrap();
            assert_eq!(bytes, *wanted);
        }
        let twice = [files[0].clone(), files[0].clone()];
        assert!(zipped(&twice).unwrap_err().to_string().ends_with('.'));
    }
}

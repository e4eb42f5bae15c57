//! Where things lie in the checkout.

use std::path::{Path, PathBuf};

use super::failure::Failure;

/// The folders and files the program reads and writes, all under one checkout.
#[derive(Debug, Clone)]
pub(crate) struct Paths {
    root: PathBuf,
}

impl Paths {
    /// The checkout this program is run from by Cargo, else the one it was built in.
    pub(crate) fn find() -> Result<Self, Failure> {
        let package = std::env::var_os("CARGO_MANIFEST_DIR").map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
        let root = package.parent().map_or_else(|| package.clone(), Path::to_path_buf);
        let paths = Self::at(root);
        if paths.www().is_dir() {
            Ok(paths)
        } else {
            Err(Failure::new(format!(
                "There is no folder www in {}: run `cargo run` from inside a checkout of Stepbite.",
                paths.root.display()
            )))
        }
    }

    /// A checkout at `root`.
    pub(crate) fn at(root: PathBuf) -> Self {
        Self { root }
    }

    pub(crate) fn root(&self) -> &Path {
        &self.root
    }

    /// The page as it is written.
    pub(crate) fn www(&self) -> PathBuf {
        self.root.join("www")
    }

    /// The page as any static host takes it. Always in the checkout's own `target`, even where Cargo builds elsewhere
    /// (`CARGO_TARGET_DIR`): people and tests look for it there.
    pub(crate) fn site(&self) -> PathBuf {
        self.root.join("target").join("site")
    }

    /// The page in one file.
    pub(crate) fn one_file(&self) -> PathBuf {
        self.root.join("target").join("stepbite.html")
    }
}

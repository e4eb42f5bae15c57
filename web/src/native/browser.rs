//! Opening the page in the person's browser.

use std::process::{Command, Stdio};

/// Asks the system to open `address`; false where it could not be asked. By the system's own opener rather than by a crate: the one
/// at hand brings a whole URL and Unicode tree along into everybody's
/// first build.
pub(crate) fn open(address: &str) -> bool {
    let mut opener = if cfg!(target_os = "macos") {
        Command::new("open")
    } else if cfg!(target_os = "windows") {
        Command::new("explorer")
    } else {
        Command::new("xdg-open")
    };
    opener.arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().is_ok()
}

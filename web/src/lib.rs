//! The page's side of the core: settings in, plans and pictures out. It converts, calls and converts; nothing here computes.
//!
//! [`desk::Desk`] works on every target, so that it can be tested without a browser; the exported class `Work` is its wrapper.

pub mod clock;
pub mod desk;
pub mod error;
pub mod others;
pub mod placing;
pub mod project;
pub mod settings;

#[cfg(target_arch = "wasm32")]
mod work;

//! The native program of Stepbite: builds the page's WebAssembly, then serves the page on this machine or bundles it.
//!
//! `cargo run` builds and serves; `cargo run -- bundle` writes `target/site/` and the one file `target/stepbite.html`. The planning
//! itself is in `stepbite-core`; nothing of it runs here.

#[cfg(not(target_arch = "wasm32"))]
mod native;

/// Exit 0: done; 1: failed, one sentence on stderr; 2: the options were not understood.
#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    native::run(std::env::args_os().skip(1))
}

/// Only the library is meant for the browser.
#[cfg(target_arch = "wasm32")]
fn main() {}

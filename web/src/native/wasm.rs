//! Building the WebAssembly and its bindings.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use wasm_bindgen_cli_support::Bindgen;

use super::failure::Failure;
use super::note;
use super::paths::Paths;

const TARGET: &str = "wasm32-unknown-unknown";

/// The generated files the page's worker loads, `pkg/` of the site.
#[derive(Debug)]
pub(crate) struct Bindings {
    /// `pkg/stepbite.js`: a classic script that declares `wasm_bindgen`. Classic, because no module worker starts from a `file:` page.
    pub(crate) glue: String,
    /// `pkg/stepbite_bg.wasm`.
    pub(crate) module: Vec<u8>,
}

/// Compiles `stepbite`'s library for the browser in release and generates its bindings.
pub(crate) fn build(paths: &Paths) -> Result<Bindings, Failure> {
    ensure_target(paths.root())?;
    note("Building the WebAssembly (the first time takes a minute or two) ...");
    bind(&compile(paths.root())?)
}

/// Cargo as it ran us, so that the toolchain is the same one.
fn cargo() -> OsString {
    std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into())
}

/// Whether the compiler has a standard library for the browser; where the compiler can't be asked, Cargo will say why.
fn target_present(root: &Path) -> bool {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let asked = Command::new(rustc).current_dir(root).args(["--print", "target-libdir", "--target", TARGET]).output();
    match asked {
        Ok(output) if output.status.success() => Path::new(String::from_utf8_lossy(&output.stdout).trim()).is_dir(),
        _ => true,
    }
}

fn ensure_target(root: &Path) -> Result<(), Failure> {
    if target_present(root) {
        return Ok(());
    }
    // A first download can time out; rustup resumes it.
    for _ in 0..3 {
        note(&format!("Adding the Rust target {TARGET} with rustup ..."));
        let added = Command::new("rustup").current_dir(root).args(["target", "add", TARGET]).status();
        if target_present(root) {
            return Ok(());
        }
        if added.is_err() {
            break; // no rustup here
        }
    }
    Err(Failure::new(format!(
        "The Rust target {TARGET} is missing and could not be added: run `rustup target add {TARGET}` with a network \
         (or install your system's package of that target), then `cargo run` again."
    )))
}

/// The compiled module's path, as Cargo tells it.
fn compile(root: &Path) -> Result<PathBuf, Failure> {
    let output = Command::new(cargo())
        .current_dir(root)
        .args(["build", "-p", "stepbite", "--lib", "--release", "--target", TARGET, "--message-format", "json-render-diagnostics"])
        .args(["--config", &forget_paths(root)])
        // Flags of the person's own are for this machine, and would push out .cargo/config.toml's for the browser.
        .env_remove("RUSTFLAGS")
        .env_remove("CARGO_ENCODED_RUSTFLAGS")
        .stdin(Stdio::null())
        .stderr(Stdio::inherit())
        .output()
        .map_err(|e| Failure::new(format!("Could not run cargo: {e}; install Rust from rustup, then `cargo run` again.")))?;
    if !output.status.success() {
        return Err(Failure::new("The WebAssembly did not build: Cargo's own words above say why; mend that, then `cargo run` again."));
    }
    module_in(&String::from_utf8_lossy(&output.stdout))
        .ok_or_else(|| Failure::new("Cargo built no .wasm file for stepbite: web/Cargo.toml must keep crate-type \"cdylib\"."))
}

/// A setting for Cargo: panic messages name files by checkout and registry, not by where these lie on this machine, so that the
/// page is the same whoever builds it and tells nobody's home folder.
fn forget_paths(root: &Path) -> String {
    let home = std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::home_dir().map(|home| home.join(".cargo")))
        .unwrap_or_else(|| PathBuf::from(".cargo"));
    let remap = |from: &Path, to: &str| {
        let flag = format!("--remap-path-prefix={}={to}", from.display());
        serde_json::Value::from(flag).to_string() // JSON's strings are TOML's basic strings
    };
    format!("target.{TARGET}.rustflags=[{}, {}]", remap(root, "stepbite"), remap(&home, "cargo"))
}

/// The `.wasm` among the artifacts in Cargo's messages, one JSON object a line.
fn module_in(messages: &str) -> Option<PathBuf> {
    let mut files = messages.lines().filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok()).flat_map(|message| {
        let names = message["filenames"].as_array().cloned().unwrap_or_default();
        names.into_iter().filter_map(|name| name.as_str().map(PathBuf::from)).collect::<Vec<_>>()
    });
    files.rfind(|path| path.extension().is_some_and(|ending| ending == "wasm"))
}

fn bind(module: &Path) -> Result<Bindings, Failure> {
    let failed = |e: &dyn std::fmt::Display| {
        Failure::new(format!(
            "Could not generate the bindings: {e:#}; wasm-bindgen and wasm-bindgen-cli-support in web/Cargo.toml must be the same version."
        ))
    };
    let mut generator = Bindgen::new();
    generator.input_path(module).out_name("stepbite").typescript(false).remove_name_section(true).remove_producers_section(true);
    generator.no_modules(true).map_err(|e| failed(&e))?;
    let mut output = generator.generate_output().map_err(|e| failed(&e))?;
    if !output.local_modules().is_empty() || output.snippets().values().any(|inline| !inline.is_empty()) {
        return Err(Failure::new(
            "A dependency brings JavaScript of its own into the bindings, which a classic worker can't load: drop it.",
        ));
    }
    Ok(Bindings { glue: output.js().to_string(), module: output.wasm_mut().emit_wasm() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_module_among_messages() {
        let messages = "not json\n{\"reason\":\"compiler-artifact\",\"filenames\":[\"/t/libstepbite_web.rlib\",\"/t/stepbite_web.wasm\"]}\n\
                        {\"reason\":\"build-finished\",\"success\":true}\n";
        assert_eq!(module_in(messages), Some(PathBuf::from("/t/stepbite_web.wasm")));
        assert_eq!(module_in("{\"filenames\":[\"/t/a.rlib\"]}"), None);
    }

    #[test]
    fn paths_are_quoted_for_cargo() {
        let setting = forget_paths(Path::new("/a \"b\"\\c"));
        assert!(setting.contains(r#""--remap-path-prefix=/a \"b\"\\c=stepbite""#), "{setting}");
    }
}

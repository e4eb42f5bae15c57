//! The page as files for any static host.

use std::collections::BTreeMap;
use std::path::Path;

use super::failure::Failure;
use super::paths::Paths;
use super::wasm::Bindings;

/// Writes `target/site/` anew: everything in `www/`, and the bindings in `pkg/`.
pub(crate) fn assemble(paths: &Paths, bindings: &Bindings) -> Result<(), Failure> {
    let site = paths.site();
    if site.exists() {
        std::fs::remove_dir_all(&site).map_err(|e| Failure::file("clear", &site, &e))?;
    }
    for (name, bytes) in files_of(&paths.www())? {
        write(&site.join(name), &bytes)?;
    }
    write(&site.join("pkg/stepbite.js"), bindings.glue.as_bytes())?;
    write(&site.join("pkg/stepbite_bg.wasm"), &bindings.module)
}

/// Every file under `folder` by its name relative to it, with `/` between folders; names that begin with a dot are left out.
pub(crate) fn files_of(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>, Failure> {
    let mut found = BTreeMap::new();
    gather(folder, "", &mut found)?;
    Ok(found)
}

fn gather(folder: &Path, before: &str, found: &mut BTreeMap<String, Vec<u8>>) -> Result<(), Failure> {
    let entries = std::fs::read_dir(folder).map_err(|e| Failure::file("read", folder, &e))?;
    for entry in entries {
        let entry = entry.map_err(|e| Failure::file("read", folder, &e))?;
        let name = entry.file_name();
        let Some(name) = name.to_str() else {
            return Err(Failure::new(format!("The name of {} is not UTF-8: rename it.", entry.path().display())));
        };
        if name.starts_with('.') {
            continue;
        }
        let path = entry.path();
        if path.is_dir() {
            gather(&path, &format!("{before}{name}/"), found)?;
        } else {
            let bytes = std::fs::read(&path).map_err(|e| Failure::file("read", &path, &e))?;
            found.insert(format!("{before}{name}"), bytes);
        }
    }
    Ok(())
}

/// Writes a file, and the folders it needs.
pub(crate) fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(|e| Failure::file("make", folder, &e))?;
    }
    std::fs::write(path, bytes).map_err(|e| Failure::file("write", path, &e))
}

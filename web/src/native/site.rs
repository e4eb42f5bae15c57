//! The page as files for any static host.
//!
//! What is built carries a version, the hash of all of it: in a meta element of the page, and with the list of files and their hashes in
//! `service.js`, which keeps them in the browser for use without a network. `www/` itself has neither, so that a page that is being worked on
//! never comes out of a cache.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use sha2::{Digest, Sha256};

use super::failure::Failure;
use super::paths::Paths;
use super::wasm::Bindings;

/// Writes `target/site/` anew: everything in `www/`, and the bindings in `pkg/`.
pub(crate) fn assemble(paths: &Paths, bindings: &Bindings) -> Result<(), Failure> {
    let site = paths.site();
    if site.exists() {
        std::fs::remove_dir_all(&site).map_err(|e| Failure::file("clear", &site, &e))?;
    }
    let mut files = files_of(&paths.www())?;
    files.insert("pkg/stepbite.js".to_string(), bindings.glue.clone().into_bytes());
    files.insert("pkg/stepbite_bg.wasm".to_string(), bindings.module.clone());
    installable(&mut files).map_err(|end| Failure::new(format!("The site can't be made to work without a network: {end}.")))?;
    for (name, bytes) in files {
        write(&site.join(name), &bytes)?;
    }
    Ok(())
}

const PAGE: &str = "index.html";
const SERVICE: &str = "service.js";
/// What stands in `service.js` where the version and the files go.
const NO_VERSION: &str = "const VERSION = \"\";";
const NO_FILES: &str = "const FILES = {};";
/// Where the page's version goes: before the first of these.
const HEAD: &str = "<meta name=\"viewport\"";

/// Puts version and list of files into page and service. Errors are the end of a sentence.
fn installable(files: &mut BTreeMap<String, Vec<u8>>) -> Result<(), String> {
    let mut all = Sha256::new();
    for (name, bytes) in &*files {
        // Lengths keep two sites of other names and the same bytes in a row apart.
        all.update(format!("{} {name} {}\n", name.len(), bytes.len()));
        all.update(bytes);
    }
    let version: String = hex(&all.finalize()).chars().take(16).collect();
    let page = text(files, PAGE)?;
    let at = page.find(HEAD).ok_or(format!("{PAGE} has no {HEAD} to put the version before"))?;
    let page = format!("{}<meta name=\"stepbite-version\" content=\"{version}\">\n{}", &page[..at], &page[at..]);
    files.insert(PAGE.to_string(), page.into_bytes());
    let service = text(files, SERVICE)?;
    if ![NO_VERSION, NO_FILES].iter().all(|place| service.contains(place)) {
        return Err(format!("{SERVICE} lacks `{NO_VERSION}` or `{NO_FILES}`"));
    }
    let hashes: BTreeMap<_, _> =
        files.iter().filter(|(name, _)| *name != SERVICE).map(|(name, bytes)| (name, hex(&Sha256::digest(bytes)))).collect();
    let list = serde_json::json!(hashes).to_string();
    let service =
        service.replace(NO_VERSION, &format!("const VERSION = \"{version}\";")).replace(NO_FILES, &format!("const FILES = {list};"));
    files.insert(SERVICE.to_string(), service.into_bytes());
    Ok(())
}

fn text(files: &BTreeMap<String, Vec<u8>>, name: &str) -> Result<String, String> {
    let bytes = files.get(name).ok_or(format!("there is no {name}"))?;
    String::from_utf8(bytes.clone()).map_err(|_| format!("{name} is not UTF-8"))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Text does not fail to be written to.
        let _ = write!(text, "{byte:02x}");
        text
    })
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

#[cfg(test)]
mod tests {
    use super::*;

    fn files(service: &str) -> BTreeMap<String, Vec<u8>> {
        let page = "<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"x\">";
        let plain = [(PAGE, page), (SERVICE, service), ("main.js", "abc")];
        plain.iter().map(|(name, text)| ((*name).to_string(), text.as_bytes().to_vec())).collect()
    }

    #[test]
    fn page_and_service_know_the_version_and_every_file() {
        let service = format!("{NO_VERSION}\n{NO_FILES}\n");
        let mut built = files(&service);
        installable(&mut built).expect("a site");
        let service_text = text(&built, SERVICE).expect("text");
        let version = service_text.split('"').nth(1).expect("a version").to_string();
        assert!(
            version.len() == 16 && text(&built, PAGE).expect("text").contains(&format!("content=\"{version}\">\n<meta name=\"viewport\""))
        );
        // SHA-256 of "abc": FIPS 180-4, the example published with it.
        assert!(
            service_text.contains("\"main.js\":\"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\""),
            "{service_text}"
        );
        assert!(service_text.contains("\"index.html\":") && !service_text.contains("\"service.js\":"));
        let mut again = files(&service);
        installable(&mut again).expect("a site");
        assert_eq!(again, built, "equal files, equal site");
        let mut other = files(&service);
        other.insert("main.js".to_string(), b"abd".to_vec());
        installable(&mut other).expect("a site");
        assert!(!text(&other, SERVICE).expect("text").contains(&version), "another file, another version");
        assert!(installable(&mut files("nothing")).expect_err("no place").contains(SERVICE));
    }
}

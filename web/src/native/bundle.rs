//! The page in one file.
//!
//! From `file:` a browser loads no module, worker or other file, but runs what the page itself holds. So each ES module becomes a
//! `data:` URL in an import map (HTML Standard, section 8.1.3.8), its imports renamed to bare names found there; style, type and
//! pictures become text of the page; and a JSON element holds what the page would fetch:
//!
//! ```text
//! <script type="application/json" id="inlined">
//! { "worker": base64 of pkg/stepbite.js followed by worker.js, a classic script,
//!   "wasm": base64 of pkg/stepbite_bg.wasm,
//!   "files": { "demo/ice-house.jpg": base64, ... } }
//! </script>
//! ```

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use sha2::{Digest, Sha256};

use super::failure::Failure;
use super::html::{self, Tag};
use super::media::{base64, data_url};
use super::paths::Paths;
use super::reference::{has_scheme, resolve};
use super::site;
use super::{css, javascript};

const PAGE: &str = "index.html";
const WORKER: &str = "worker.js";
const GLUE: &str = "pkg/stepbite.js";
const MODULE: &str = "pkg/stepbite_bg.wasm";

/// Writes `target/stepbite.html` from `target/site/`; its length in bytes.
pub(crate) fn write(paths: &Paths) -> Result<usize, Failure> {
    let files = site::files_of(&paths.site())?;
    let page = Bundle::of(&files).page().map_err(|end| Failure::new(format!("The page can't become one file: {end}.")))?;
    site::write(&paths.one_file(), page.as_bytes())?;
    Ok(page.len())
}

/// One run of putting files into the page. Errors are the end of a sentence.
struct Bundle<'a> {
    files: &'a BTreeMap<String, Vec<u8>>,
    /// Files that the page holds already.
    taken: BTreeSet<String>,
    /// The policy's sources for the scripts written into the page.
    hashes: Vec<String>,
}

impl<'a> Bundle<'a> {
    fn of(files: &'a BTreeMap<String, Vec<u8>>) -> Self {
        let own = [PAGE, WORKER, GLUE, MODULE].map(String::from);
        Self { files, taken: own.into(), hashes: Vec::new() }
    }

    fn page(mut self) -> Result<String, String> {
        let page = self.text(PAGE)?;
        let policy = html::policy_tag(page).ok_or("index.html has no meta element with the Content-Security-Policy")?;
        let mut edits: Vec<(Range<usize>, String)> = Vec::new();
        let mut mains = 0;
        for tag in html::tags(page) {
            if tag.name == "script" && tag.get("type") == Some("module") {
                mains += 1;
            }
            if let Some(edit) = self.replaced(&tag, page)? {
                edits.push(edit);
            }
        }
        if mains != 1 {
            return Err(format!("index.html has {mains} module scripts, and one file holds exactly one"));
        }
        edits.push((policy.span.clone(), policy.with("content", &self.policy())));
        // Last, where it keeps nobody waiting: modules run when the whole page is read.
        let end = page.rfind("</body").unwrap_or(page.len());
        edits.push((end..end, format!("<script type=\"application/json\" id=\"inlined\">{}</script>\n", self.inlined()?)));
        edits.sort_by_key(|(span, _)| std::cmp::Reverse((span.start, span.end)));
        let mut one = page.to_string();
        for (span, text) in edits {
            one.replace_range(span, &text);
        }
        Ok(one)
    }

    /// What stands in the one file instead of an element of the page, if something else must.
    fn replaced(&mut self, tag: &Tag, page: &str) -> Result<Option<(Range<usize>, String)>, String> {
        let whole = tag.span.start..tag.end;
        let local = |name| tag.get(name).filter(|reference| !has_scheme(reference) && !reference.starts_with('#'));
        let text = match tag.name.as_str() {
            "script" => match (tag.get("type"), tag.get("src")) {
                (Some("module"), Some(source)) => self.modules(source)?,
                (Some("application/json"), None) => return Ok(None),
                _ => return Err("index.html has a script that is not a module of its own file; move its code into main.js".to_string()),
            },
            "link" if tag.is_rel("stylesheet") => {
                let name = resolve(PAGE, tag.get("href").unwrap_or_default())?;
                let media = tag.get("media").map_or_else(String::new, |m| format!(" media=\"{m}\""));
                let sheet = self.text(&name)?;
                let style = self.style(&name, sheet)?;
                self.taken.insert(name);
                format!("<style{media}>\n{style}</style>")
            }
            // One file is not installed: it is there already.
            "link" if tag.is_rel("manifest") || tag.is_rel("apple-touch-icon") => String::new(),
            "link" if tag.is_rel("modulepreload") || tag.is_rel("preload") => String::new(),
            "link" if tag.is_rel("icon") => tag.with("href", &self.embedded(PAGE, tag.get("href").unwrap_or_default())?),
            "style" => {
                let style = self.style(PAGE, &page[tag.content.clone()])?;
                return Ok(Some((tag.content.clone(), style)));
            }
            _ => {
                if let Some(reference) = local("href").or_else(|| local("srcset")).or_else(|| local("data")) {
                    return Err(format!("index.html refers to \"{reference}\", which one file can't hold; put it into index.html"));
                }
                match local("src") {
                    Some(source) => tag.with("src", &self.embedded(PAGE, source)?),
                    None => return Ok(None),
                }
            }
        };
        Ok(Some((whole, text)))
    }

    fn text(&self, name: &str) -> Result<&'a str, String> {
        std::str::from_utf8(self.bytes(name)?).map_err(|_| format!("{name} is not UTF-8"))
    }

    fn bytes(&self, name: &str) -> Result<&'a [u8], String> {
        self.files.get(name).map(Vec::as_slice).ok_or_else(|| format!("there is no {name} in the site"))
    }

    /// A file that `from` refers to, as a `data:` URL.
    fn embedded(&mut self, from: &str, reference: &str) -> Result<String, String> {
        let name = resolve(from, reference)?;
        let url = data_url(&name, self.bytes(&name)?);
        self.taken.insert(name);
        Ok(url)
    }

    fn style(&mut self, name: &str, sheet: &str) -> Result<String, String> {
        css::inline(sheet, |reference| self.embedded(name, reference)).map_err(|end| format!("{name}: {end}"))
    }

    /// The import map of every module reached from the first, and the script that starts it.
    fn modules(&mut self, first: &str) -> Result<String, String> {
        let first = resolve(PAGE, first)?;
        let mut map = BTreeMap::new();
        let mut waiting = vec![first.clone()];
        while let Some(name) = waiting.pop() {
            if map.contains_key(&name) {
                continue;
            }
            let mut source = self.text(&name)?.to_string();
            let imports = javascript::imports(&source).map_err(|end| format!("{name}: {end}"))?;
            for import in imports.iter().rev() {
                let target = resolve(&name, &import.specifier).map_err(|end| format!("{name}: {end}"))?;
                source.replace_range(import.span.clone(), &format!("\"stepbite/{target}\""));
                waiting.push(target);
            }
            // Names the file in messages; and keeps two files of equal text two modules.
            source.push_str(&format!("\n//# sourceURL=stepbite/{name}\n"));
            map.insert(name.clone(), data_url(&name, source.as_bytes()));
            self.taken.insert(name);
        }
        let map: BTreeMap<_, _> = map.into_iter().map(|(name, url)| (format!("stepbite/{name}"), url)).collect();
        let map = serde_json::json!({ "imports": map }).to_string();
        let start = format!("import \"stepbite/{first}\";");
        self.hashes.extend([&map, &start].map(|text| format!("'sha256-{}'", base64(&Sha256::digest(text)))));
        Ok(format!("<script type=\"importmap\">{map}</script>\n<script type=\"module\">{start}</script>"))
    }

    /// Nothing is fetched from anywhere; only the page's own scripts run, by their hashes (CSP Level 3, section 2.3.1), so that no
    /// handler smuggled into an attribute does.
    fn policy(&self) -> String {
        format!(
            "default-src 'none'; script-src {} data: blob: 'wasm-unsafe-eval'; worker-src blob:; connect-src 'none'; \
             img-src data: blob:; style-src 'unsafe-inline'; font-src data:; form-action 'none'; base-uri 'none'",
            self.hashes.join(" ")
        )
    }

    /// What the page would have fetched: worker, module, and every file that is not in the page yet.
    fn inlined(&self) -> Result<String, String> {
        let worker = format!("{}\n{}", self.text(GLUE)?, self.text(WORKER)?);
        let code = |name: &str| [".html", ".css", ".js"].iter().any(|ending| name.ends_with(ending));
        let install = |name: &str| name.starts_with("icons/") || name.ends_with(".webmanifest");
        let rest = self.files.iter().filter(|(name, _)| !self.taken.contains(*name) && !code(name) && !install(name));
        let files: BTreeMap<_, _> = rest.map(|(name, bytes)| (name, base64(bytes))).collect();
        let all = serde_json::json!({ "worker": base64(worker.as_bytes()), "wasm": base64(self.bytes(MODULE)?), "files": files });
        Ok(all.to_string().replace('<', "\\u003c")) // no file name may end the element
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HTML: &str = "<!doctype html><html><head><meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'self'\">\n\
                        <link rel=icon href=icon.svg><link rel=stylesheet href=style.css>\n\
                        <script type=\"module\" src=\"./main.js\"></script></head><body><a href=\"#x\">x</a></body></html>";

    fn files(changes: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
        let plain = [
            (PAGE, HTML),
            ("icon.svg", "<svg/>"),
            ("style.css", "@font-face{src:url(type/a.woff2)}"),
            ("type/a.woff2", "type"),
            ("main.js", "import {b} from \"./parts/b.js\"; b();"),
            ("parts/b.js", "import '../main.js'; export const b = () => 1;"),
            ("demo/a.jpg", "jpg"),
            (WORKER, "work();"),
            (GLUE, "let wasm_bindgen;"),
            (MODULE, "wasm"),
        ];
        plain.iter().chain(changes).map(|(name, text)| ((*name).to_string(), text.as_bytes().to_vec())).collect()
    }

    fn page(changes: &[(&str, &str)]) -> Result<String, String> {
        Bundle::of(&files(changes)).page()
    }

    #[test]
    fn everything_is_inside() {
        let one = page(&[]).expect("one file");
        let tags = html::tags(&one);
        for tag in &tags {
            for name in ["src", "href"] {
                let value = tag.get(name).unwrap_or("#");
                assert!(value.starts_with("data:") || value.starts_with('#'), "{tag:?}");
            }
        }
        let script = |kind: &str| {
            let tag = tags.iter().find(|t| t.name == "script" && t.get("type") == Some(kind)).expect(kind);
            &one[tag.content.clone()]
        };
        let map: serde_json::Value = serde_json::from_str(script("importmap")).expect("JSON");
        let b = "import \"stepbite/main.js\"; export const b = () => 1;\n//# sourceURL=stepbite/parts/b.js\n";
        assert_eq!(map["imports"]["stepbite/parts/b.js"], data_url("b.js", b.as_bytes()));
        assert_eq!(script("module"), "import \"stepbite/main.js\";");
        let inlined: serde_json::Value = serde_json::from_str(script("application/json")).expect("JSON");
        assert_eq!(inlined["worker"], base64(b"let wasm_bindgen;\nwork();"));
        assert_eq!(inlined["wasm"], base64(b"wasm"));
        assert_eq!(inlined["files"], serde_json::json!({ "demo/a.jpg": base64(b"jpg") }));
        assert!(one.contains(&format!("url(\"data:font/woff2;base64,{}\")", base64(b"type"))));
    }

    #[test]
    fn the_policy_knows_the_scripts() {
        let one = page(&[]).expect("one file");
        let policy = html::policy(&one).expect("a policy");
        // `printf '%s' 'import "stepbite/main.js";' | openssl dgst -sha256 -binary | base64`
        assert!(policy.contains("'sha256-cav/mSY7mGUVXvkzaLcmdilNPoF9eZ8Mhsc3a+dJFQ4='"), "{policy}");
        assert!(policy.contains("connect-src 'none'") && !policy.contains("script-src 'unsafe-inline'"), "{policy}");
    }

    #[test]
    fn refuses_in_words() {
        let with = |from: &str, to: &str| HTML.replace(from, to);
        for (file, text, word) in [
            (PAGE, with("http-equiv", "name"), "Content-Security-Policy"),
            (PAGE, with("\"#x\"", "\"cautions.html\""), "cautions.html"),
            (PAGE, with("<body>", "<body><script>go()</script>"), "script"),
            (PAGE, with("<body>", "<body><img src=gone.png>"), "gone.png"),
            (PAGE, with("type=\"module\"", ""), "script"),
            ("main.js", "import './gone.js'".to_string(), "gone.js"),
            ("main.js", "import('./parts/b.js')".to_string(), "import()"),
            ("main.js", "import x from 'somewhere'".to_string(), "somewhere"),
            ("style.css", "@import 'x.css';".to_string(), "@import"),
        ] {
            let said = page(&[(file, &text)]).expect_err(word);
            assert!(said.contains(word), "{said}");
        }
    }
}

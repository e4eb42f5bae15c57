//! A reference from one file of the page to another.

/// The name of the file that `reference` means when it stands in the file `from` (both relative to the page's folder); the error is
/// the end of a sentence.
pub(crate) fn resolve(from: &str, reference: &str) -> Result<String, String> {
    if reference.contains(['?', '#', '\\']) || reference.starts_with('/') || has_scheme(reference) || reference.is_empty() {
        return Err(format!("\"{reference}\" is not a plain relative name of a file; write it like \"./name.js\""));
    }
    let mut parts: Vec<&str> = from.split('/').collect();
    parts.pop();
    for part in reference.split('/') {
        match part {
            "." => {}
            ".." => {
                if parts.pop().is_none() {
                    return Err(format!("\"{reference}\" leads out of the page's folder; keep to files in it"));
                }
            }
            "" => return Err(format!("\"{reference}\" has an empty part; write one / between folders")),
            name => parts.push(name),
        }
    }
    Ok(parts.join("/"))
}

/// Whether a URL names its scheme, as `https:` or `data:` (RFC 3986 section 3.1).
pub(crate) fn has_scheme(reference: &str) -> bool {
    let Some((scheme, _)) = reference.split_once(':') else { return false };
    scheme.starts_with(|c: char| c.is_ascii_alphabetic()) && scheme.chars().all(|c| c.is_ascii_alphanumeric() || "+-.".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resolves() {
        assert_eq!(resolve("main.js", "./view/strip.js").as_deref(), Ok("view/strip.js"));
        assert_eq!(resolve("view/strip.js", "../plain.js").as_deref(), Ok("plain.js"));
        assert_eq!(resolve("style.css", "type/a.woff2").as_deref(), Ok("type/a.woff2"));
    }

    #[test]
    fn refuses() {
        for reference in ["", "/a.js", "../a.js", "a.js?v=1", "https://x/a.js", "data:,x", "a//b.js", "a\\b.js"] {
            assert!(resolve("main.js", reference).is_err(), "{reference}");
        }
    }

    #[test]
    fn schemes() {
        assert!(has_scheme("https://a") && has_scheme("data:x") && has_scheme("mailto:a"));
        assert!(!has_scheme("a.js") && !has_scheme("./a:b") && !has_scheme("#a"));
    }
}

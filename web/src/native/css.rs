//! Files that a stylesheet refers to, put into it.

use super::reference::has_scheme;

/// The stylesheet with each `url(...)` of a local file replaced by what `embed` makes of it (a `data:` URL). The error is a sentence
/// without its start, that names neither file nor stop.
pub(crate) fn inline(css: &str, mut embed: impl FnMut(&str) -> Result<String, String>) -> Result<String, String> {
    if css.to_ascii_lowercase().contains("</style") {
        return Err("holds \"</style\", which would end the style element it is put into".to_string());
    }
    let mut out = String::with_capacity(css.len());
    let mut rest = css;
    while let Some(first) = rest.chars().next() {
        let lower = |n: usize| rest.get(..n).map(str::to_ascii_lowercase);
        let taken = if rest.starts_with("/*") {
            let end = rest.find("*/").ok_or("has a comment without end")?;
            out.push_str(&rest[..end + 2]);
            end + 2
        } else if first == '"' || first == '\'' {
            let end = string_end(rest).ok_or("has a string without end")?;
            out.push_str(&rest[..end]);
            end
        } else if lower(7).as_deref() == Some("@import") {
            return Err("has an @import, which one file can't hold: link the sheet in index.html".to_string());
        } else if lower(4).as_deref() == Some("url(") {
            let inside = rest[4..].trim_start();
            let from = rest.len() - inside.len();
            let (reference, end) = if inside.starts_with(['"', '\'']) {
                let end = string_end(inside).ok_or("has a string without end")?;
                (&inside[1..end - 1], from + end)
            } else {
                let end = inside.find(')').ok_or("has a url( without end")?;
                (inside[..end].trim_end(), from + end)
            };
            let close = rest[end..].find(')').ok_or("has a url( without end")? + end + 1;
            if has_scheme(reference) || reference.starts_with('#') {
                out.push_str(&rest[..close]);
            } else {
                out.push_str(&format!("url(\"{}\")", embed(reference)?));
            }
            close
        } else {
            out.push(first);
            first.len_utf8()
        };
        rest = &rest[taken..];
    }
    Ok(out)
}

/// After the closing quote of the string that `text` begins with.
fn string_end(text: &str) -> Option<usize> {
    let quote = text.chars().next()?;
    let mut escaped = false;
    for (i, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '\n' => return None,
            c if c == quote => return Some(i + 1),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shout(name: &str) -> Result<String, String> {
        Ok(name.to_uppercase())
    }

    #[test]
    fn every_spelling_of_a_url() {
        let css = "a{b:url(x.woff2) url( 'y' ),URL(\"z\" )}";
        assert_eq!(inline(css, shout).as_deref(), Ok("a{b:url(\"X.WOFF2\") url(\"Y\"),url(\"Z\")}"));
    }

    #[test]
    fn leaves_the_rest_alone() {
        let css = "/* url(x) */ a::after{content:\"url(x) é \\\"\"} b{c:url(#d) url(data:,x)}";
        assert_eq!(inline(css, shout).as_deref(), Ok(css));
    }

    #[test]
    fn refuses_what_one_file_cannot_hold() {
        for css in ["@import \"a.css\";", "a{b:url(x}", "a{b:url('x)}", "/* x", "a{content:\"</style>\"}"] {
            assert!(inline(css, shout).is_err(), "{css}");
        }
    }
}

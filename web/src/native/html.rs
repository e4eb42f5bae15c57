//! Tags of an HTML page, as far as bundling our own page needs them.

use std::ops::Range;

/// A start tag where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Tag {
    /// In lower case.
    pub(crate) name: String,
    /// Names in lower case, values with their character references undone; an attribute without value has "".
    pub(crate) attributes: Vec<(String, String)>,
    /// From `<` to after `>`.
    pub(crate) span: Range<usize>,
    /// For `script`, `style`, `title` and `textarea`, whose content is text: that text.
    pub(crate) content: Range<usize>,
    /// After the end tag for these, after `>` for all others.
    pub(crate) end: usize,
}

impl Tag {
    /// The attribute's value, if it is there.
    pub(crate) fn get(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(n, _)| n == name).map(|(_, value)| value.as_str())
    }

    /// Whether `rel` holds this word.
    pub(crate) fn is_rel(&self, word: &str) -> bool {
        self.get("rel").is_some_and(|rel| rel.split_ascii_whitespace().any(|w| w.eq_ignore_ascii_case(word)))
    }

    /// The tag anew, with one attribute changed.
    pub(crate) fn with(&self, name: &str, value: &str) -> String {
        let mut text = format!("<{}", self.name);
        for (n, v) in &self.attributes {
            let v = if n == name { value } else { v };
            text.push_str(&format!(" {n}=\"{}\"", v.replace('&', "&amp;").replace('"', "&quot;")));
        }
        text.push('>');
        text
    }
}

/// Every start tag, in order. Comments and text inside scripts and styles hold none (HTML Standard, section 13.2.5).
pub(crate) fn tags(html: &str) -> Vec<Tag> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(open) = html[at..].find('<').map(|i| at + i) {
        let rest = &html[open..];
        if rest.starts_with("<!--") {
            at = rest.find("-->").map_or(html.len(), |i| open + i + 3);
        } else if rest[1..].starts_with(|c: char| c.is_ascii_alphabetic()) {
            let tag = read_tag(html, open);
            at = tag.end;
            found.push(tag);
        } else {
            at = open + 1;
        }
    }
    found
}

fn read_tag(html: &str, open: usize) -> Tag {
    let bytes = html.as_bytes();
    let until = |from: usize, stop: &dyn Fn(u8) -> bool| bytes[from..].iter().position(|b| stop(*b)).map_or(bytes.len(), |i| from + i);
    let ends_name = |b: u8| b.is_ascii_whitespace() || b == b'>' || b == b'/';
    let mut at = until(open + 1, &ends_name);
    let name = html[open + 1..at].to_ascii_lowercase();
    let mut attributes = Vec::new();
    loop {
        at = until(at, &|b| !b.is_ascii_whitespace() && b != b'/');
        if at >= bytes.len() || bytes[at] == b'>' {
            break;
        }
        let start = at;
        at = until(at + 1, &|b| ends_name(b) || b == b'=');
        let attribute = html[start..at].to_ascii_lowercase();
        let equals = until(at, &|b| !b.is_ascii_whitespace());
        let mut value = String::new();
        if bytes.get(equals) == Some(&b'=') {
            at = until(equals + 1, &|b| !b.is_ascii_whitespace());
            let quote = bytes.get(at).copied().filter(|b| *b == b'"' || *b == b'\'');
            let from = at + usize::from(quote.is_some());
            at = until(from, &|b| quote.map_or(b.is_ascii_whitespace() || b == b'>', |q| b == q));
            value = unescape(&html[from..at]);
            at += usize::from(quote.is_some() && at < bytes.len());
        }
        attributes.push((attribute, value));
    }
    let close = (at + 1).min(bytes.len());
    let (mut content, mut end) = (close..close, close);
    if matches!(name.as_str(), "script" | "style" | "title" | "textarea") {
        let marker = format!("</{name}");
        let stop = html[close..].to_ascii_lowercase().find(&marker).map_or(html.len(), |i| close + i);
        content = close..stop;
        end = html[stop..].find('>').map_or(html.len(), |i| stop + i + 1);
    }
    Tag { name, attributes, span: open..close, content, end }
}

/// The references our pages use in attributes.
fn unescape(value: &str) -> String {
    value.replace("&quot;", "\"").replace("&#39;", "'").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
}

/// The tag that carries the page's content security policy.
pub(crate) fn policy_tag(html: &str) -> Option<Tag> {
    let is_policy = |tag: &Tag| tag.get("http-equiv").is_some_and(|h| h.eq_ignore_ascii_case("content-security-policy"));
    tags(html).into_iter().find(|tag| tag.name == "meta" && is_policy(tag))
}

/// The page's content security policy, on one line.
pub(crate) fn policy(html: &str) -> Option<String> {
    let tag = policy_tag(html)?;
    let words: Vec<_> = tag.get("content")?.split_ascii_whitespace().collect();
    let line = words.join(" ");
    Some(line.trim_end_matches(';').to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_attributes_of_every_spelling() {
        let html = "<!doctype html><LINK rel=stylesheet href='a.css'/><img alt=\"a > b\" src = x.png hidden>";
        let found = tags(html);
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].name.as_str(), found[0].get("href")), ("link", Some("a.css")));
        assert!(found[0].is_rel("stylesheet"));
        assert_eq!((found[1].get("alt"), found[1].get("src"), found[1].get("hidden")), (Some("a > b"), Some("x.png"), Some("")));
    }

    #[test]
    fn text_holds_no_tags() {
        let html = "<!-- <a href=x> --><script>if (a<b) '<img src=y>'</script ><p>1 < 2</p>";
        let found = tags(html);
        let names: Vec<_> = found.iter().map(|t| t.name.as_str()).collect();
        assert_eq!(names, ["script", "p"]);
        assert_eq!(&html[found[0].content.clone()], "if (a<b) '<img src=y>'");
        assert_eq!(&html[found[0].end..found[0].end + 3], "<p>");
    }

    #[test]
    fn unfinished_html_is_read_to_its_end() {
        for html in ["<", "<a", "<a href", "<a href=", "<a href=\"x", "<script>x", "<script>x</script", "<!-- x", "<a é=\"é", "</"] {
            for tag in tags(html) {
                assert!(tag.end <= html.len(), "{html}");
            }
        }
    }

    #[test]
    fn policies() {
        let html = "<meta charset=utf-8><meta http-equiv=Content-Security-Policy\n content=\"default-src 'none';\n  img-src 'self';\">";
        assert_eq!(policy(html).as_deref(), Some("default-src 'none'; img-src 'self'"));
        assert_eq!(policy("<p>none</p>"), None);
    }

    #[test]
    fn one_attribute_changed() {
        let html = "<img alt='a \"b\" & c' src=x.png>";
        assert_eq!(tags(html)[0].with("src", "data:,"), "<img alt=\"a &quot;b&quot; &amp; c\" src=\"data:,\">");
    }
}

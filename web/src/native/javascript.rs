//! The static imports of a JavaScript module.

use std::ops::Range;

/// A module named by an `import` or `export ... from` declaration.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Import {
    pub(crate) specifier: String,
    /// Where the specifier stands, with its quotes.
    pub(crate) span: Range<usize>,
}

/// The static imports of a module's source, in order; the error is the end of a sentence.
///
/// Reads tokens only (ECMA-262 section 12), no grammar: after `)` and `}` a `/` is taken for division. A source in which that is wrong
/// is refused where the mistake shows (a string or expression without end), as are `import()` and `import.meta`, which have no
/// meaning in one file.
pub(crate) fn imports(source: &str) -> Result<Vec<Import>, String> {
    let tokens = tokens(source)?;
    let text = |i: usize| tokens.get(i).map_or("", |t| &source[t.span.clone()]);
    let string = |i: usize| tokens.get(i).filter(|t| t.kind == Kind::String);
    let mut found = Vec::new();
    for (i, token) in tokens.iter().enumerate() {
        let is_name = token.kind == Kind::Word && (i == 0 || !matches!(text(i - 1), "." | "?."));
        let from = match text(i) {
            "import" if is_name => match text(i + 1) {
                "(" if text(i - usize::from(i > 0)) != "function" => {
                    return Err(format!("line {} has import(), which one file can't hold: import at the top", line(source, token)));
                }
                "." => return Err(format!("line {} has import.meta, which one file has no use for", line(source, token))),
                _ if string(i + 1).is_some() => Some(i + 1),
                "{" | "*" => after_from(i + 1, &text),
                ":" | "," | "}" | "=" | ")" => None,
                _ => after_from(i + 1, &text),
            },
            "export" if is_name && matches!(text(i + 1), "{" | "*") => after_from(i + 1, &text),
            _ => None,
        };
        if let Some(named) = from.and_then(string) {
            let inner = named.span.start + 1..named.span.end - 1;
            found.push(Import { specifier: source[inner].to_string(), span: named.span.clone() });
        }
    }
    Ok(found)
}

/// The token after the `from` that ends the names beginning at token `i`, if they are followed by one.
fn after_from<'a>(mut i: usize, text: &impl Fn(usize) -> &'a str) -> Option<usize> {
    let mut depth = 0;
    loop {
        match text(i) {
            "{" => depth += 1,
            "}" => depth -= 1,
            "from" if depth == 0 && text(i + 1).starts_with(['"', '\'']) => return Some(i + 1),
            "" | ";" | "(" | "=" => return None,
            "import" | "export" | "const" | "let" | "function" | "class" if depth == 0 => return None,
            _ => {}
        }
        i += 1;
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// A name, keyword or number.
    Word,
    String,
    /// A template without its substitutions' code, or a regular expression.
    Literal,
    /// One punctuator's character; only `?.` matters as two.
    Mark,
}

#[derive(Debug, Clone)]
struct Token {
    kind: Kind,
    span: Range<usize>,
}

fn line(source: &str, token: &Token) -> usize {
    source[..token.span.start].matches('\n').count() + 1
}

fn tokens(source: &str) -> Result<Vec<Token>, String> {
    let mut found: Vec<Token> = Vec::new();
    // For each template being read, how many braces are open in its substitution.
    let mut templates: Vec<usize> = Vec::new();
    let mut at = 0;
    while let Some(first) = source[at..].chars().next() {
        let rest = &source[at..];
        let unended = |what: &str| {
            let number = source[..at].matches('\n').count() + 1;
            format!("line {number} begins {what} that has no end (or a / was misread: put the expression in brackets)")
        };
        let (kind, length) = if first.is_whitespace() || first == '\u{feff}' {
            (None, first.len_utf8())
        } else if rest.starts_with("//") {
            (None, rest.find('\n').unwrap_or(rest.len()))
        } else if rest.starts_with("/*") {
            (None, rest.find("*/").ok_or_else(|| unended("a comment"))? + 2)
        } else if first == '"' || first == '\'' {
            (Some(Kind::String), string_length(rest, first).ok_or_else(|| unended("a string"))?)
        } else if first == '`' || (first == '}' && templates.last() == Some(&0)) {
            let (length, more) = template_length(rest).ok_or_else(|| unended("a template"))?;
            if first == '}' {
                templates.pop();
            }
            if more {
                templates.push(0);
            }
            (Some(Kind::Literal), length)
        } else if first == '/' && takes_expression(found.last(), source) {
            (Some(Kind::Literal), expression_length(rest).ok_or_else(|| unended("a regular expression"))?)
        } else if is_word(first) {
            (Some(Kind::Word), rest.find(|c| !is_word(c)).unwrap_or(rest.len()))
        } else {
            match (first, templates.last_mut()) {
                ('{', Some(depth)) => *depth += 1,
                ('}', Some(depth)) => *depth -= 1,
                _ => {}
            }
            (Some(Kind::Mark), if rest.starts_with("?.") { 2 } else { first.len_utf8() })
        };
        if let Some(kind) = kind {
            found.push(Token { kind, span: at..at + length });
        }
        at += length;
    }
    if templates.is_empty() { Ok(found) } else { Err("ends inside a template".to_string()) }
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '_' | '$' | '#' | '\\' | '\u{200c}' | '\u{200d}')
}

/// Whether a `/` after this token begins a regular expression.
fn takes_expression(before: Option<&Token>, source: &str) -> bool {
    let Some(token) = before else { return true };
    match (token.kind, &source[token.span.clone()]) {
        (Kind::String | Kind::Literal, _) | (Kind::Mark, ")" | "]" | "}") => false,
        (Kind::Word, word) => matches!(
            word,
            "await"
                | "case"
                | "delete"
                | "do"
                | "else"
                | "in"
                | "instanceof"
                | "new"
                | "of"
                | "return"
                | "throw"
                | "typeof"
                | "void"
                | "yield"
        ),
        (Kind::Mark, _) => true,
    }
}

fn string_length(text: &str, quote: char) -> Option<usize> {
    let mut letters = text.char_indices().skip(1);
    while let Some((i, c)) = letters.next() {
        match c {
            '\\' => drop(letters.next()),
            '\n' => return None,
            c if c == quote => return Some(i + 1),
            _ => {}
        }
    }
    None
}

/// A template's piece, from its backtick or the `}` of a substitution; whether it ends in another substitution.
fn template_length(text: &str) -> Option<(usize, bool)> {
    let mut letters = text.char_indices().skip(1);
    while let Some((i, c)) = letters.next() {
        match c {
            '\\' => drop(letters.next()),
            '`' => return Some((i + 1, false)),
            '$' if text[i + 1..].starts_with('{') => return Some((i + 2, true)),
            _ => {}
        }
    }
    None
}

fn expression_length(text: &str) -> Option<usize> {
    let mut letters = text.char_indices().skip(1);
    let mut in_class = false;
    while let Some((i, c)) = letters.next() {
        match c {
            '\\' => drop(letters.next()),
            '\n' => return None,
            '[' => in_class = true,
            ']' => in_class = false,
            '/' if !in_class => return Some(i + 1),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(source: &str) -> Vec<String> {
        let found = imports(source).expect("readable");
        for import in &found {
            let text = &source[import.span.clone()];
            assert_eq!(&text[1..text.len() - 1], import.specifier, "the span holds the specifier");
        }
        found.into_iter().map(|import| import.specifier).collect()
    }

    #[test]
    fn every_form_of_import() {
        // The forms of ECMA-262 sections 16.2.2 (imports) and 16.2.3 (exports).
        let source = "import \"./a.js\";import b from './b.js'\nimport{c as d, from}from\"./c.js\";import * as e from './e.js';\n\
                      import f, {g} from './f.js';import from from './h.js';\nexport {i} from './i.js';export * from './j.js'\n\
                      export * as k from './k.js';import {\n  default as l, // the 'main' one\n} from './l.js';";
        let wanted = ["a", "b", "c", "e", "f", "h", "i", "j", "k", "l"].map(|n| format!("./{n}.js"));
        assert_eq!(named(source), wanted);
    }

    #[test]
    fn what_only_looks_like_one() {
        let source = "// import './a.js'\n/* import './b.js' */ const s = \"import './c.js'\", t = `import './d.js' ${`${{a: 1}.a}`} export`;\n\
                      const r = /import '[/']\\/x/.test(s), q = a.import, o = {import: 1, export: 2}; export { r }; export const from = './e.js';\n\
                      const n = 4 / 2 / 1, u = (1) / 2 + '/'; export default function () {}";
        assert_eq!(named(source), Vec::<String>::new());
    }

    #[test]
    fn refuses_what_cannot_be_one_file() {
        for source in ["const a = await import('./a.js')", "x(import.meta.url)", "const a = 'open", "`${", "/* open", "`open", "a = /open"]
        {
            let said = imports(source).expect_err(source);
            assert!(said.len() > 10, "{source}: {said}");
        }
    }

    #[test]
    fn lines_are_counted() {
        let said = imports("a;\nb;\nimport('./c.js')").expect_err("a dynamic import");
        assert!(said.starts_with("line 3 "), "{said}");
    }

    #[test]
    fn odd_text_does_not_hang() {
        for source in ["}", "}}}", "import", "export {", "import {a", "export *", "é\u{2028}\u{feff}", "\\", "?.", "'\\", "`\\", "/\\"] {
            drop(imports(source));
        }
    }
}

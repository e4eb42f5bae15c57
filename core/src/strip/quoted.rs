//! What came, as a sentence shows it.

/// What came, in quotes, short and on one line.
pub(super) fn quoted(came: &str) -> String {
    const SHOWN: usize = 40;
    let came = came.trim();
    if came.is_empty() {
        return "nothing".to_owned();
    }
    let mut short: String = came.chars().take(SHOWN).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if came.chars().nth(SHOWN).is_some() {
        short.push('…');
    }
    format!("\"{short}\"")
}

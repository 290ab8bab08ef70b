//! Counts in words.

/// A number of things: `1 well`, `2 wells`.
#[must_use]
pub fn counted(number: usize, thing: &str) -> String {
    format!("{number} {thing}{}", if number == 1 { "" } else { "s" })
}

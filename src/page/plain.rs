//! Names and remarks from the user's files as text that stays in its place.
//!
//! The templates escape markup. What is left is done here: characters that cannot be seen, that no
//! HTML file may hold, or that turn the text around them.

/// A name is cut on the map after so many characters; tables and cards have all of it.
const LONGEST_LABEL: usize = 24;

/// The name of a thing beside the wells after so many.
const LONGEST_PLACE: usize = 40;

/// The same text with control characters made visible and without the power to turn the text
/// around it. Line ends and tabs become spaces.
pub(super) fn text(raw: &str) -> String {
    raw.chars().map(shown).collect()
}

/// The same for a label on the map.
pub(super) fn label(raw: &str) -> String {
    cut(raw, LONGEST_LABEL)
}

/// The same for the name of a stream or another thing beside the wells.
pub(super) fn place(raw: &str) -> String {
    cut(raw, LONGEST_PLACE)
}

fn cut(raw: &str, longest: usize) -> String {
    let text = text(raw);
    if text.chars().count() <= longest {
        return text;
    }
    text.chars().take(longest - 1).chain(['…']).collect()
}

fn shown(c: char) -> char {
    match c {
        '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => ' ',
        // The pictures of control characters stand in their order from U+2400.
        '\0'..='\u{1f}' => char::from_u32(0x2400 + c as u32).unwrap_or('\u{fffd}'),
        '\u{7f}' => '\u{2421}',
        // Control characters without a picture; marks that embed, override and isolate directions
        // of writing; what is no character.
        '\u{80}'..='\u{9f}'
        | '\u{202a}'..='\u{202e}'
        | '\u{2066}'..='\u{2069}'
        | '\u{fdd0}'..='\u{fdef}'
        | '\u{fffe}'
        | '\u{ffff}' => '\u{fffd}',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_seen_or_turns_text_around_is_made_visible() {
        assert_eq!(text("a\0b\u{7}c\u{7f}d\u{9b}e"), "a␀b␇c␡d\u{fffd}e");
        assert_eq!(text("MW-1\u{202e}gpj\u{2066}x"), "MW-1\u{fffd}gpj\u{fffd}x");
        assert_eq!(text("two\r\nlines\tand"), "two  lines and");
        for kept in ["بئر ٣", "観測井", "Ω-1 <b>&\"'", "é"] {
            assert_eq!(text(kept), kept);
        }
    }

    #[test]
    fn a_label_is_cut_and_says_so() {
        assert_eq!(label("MW-1"), "MW-1");
        let long = label(&"観".repeat(80));
        assert_eq!((long.chars().count(), long.ends_with('…')), (LONGEST_LABEL, true));
    }
}

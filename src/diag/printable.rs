//! Text of the user's files where a stray character would do something.

use std::borrow::Cow;

/// A text with every character that steers a terminal, a reader of XML or the direction of
/// writing replaced by one that is only seen.
///
/// Control characters below U+0020 and U+007F become their pictures (`␛` for escape); those of
/// U+0080 to U+009F, the marks that turn or embed the direction of writing, separators of lines
/// and paragraphs, and code points that are no characters become `�`. All other text, of whatever
/// script, stays as it is.
///
/// # References
/// XML 1.0, section 2.2; ECMA-48 for terminals; Unicode Standard Annex 9 for U+202A to U+202E and
/// U+2066 to U+2069.
#[must_use]
pub fn printable(text: &str) -> Cow<'_, str> {
    // Most texts are plain ASCII, and all names of a large map pass through here.
    if text.bytes().all(|b| matches!(b, b' '..=b'~')) || text.chars().all(|c| shown(c) == c) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().map(shown).collect())
}

/// The character that stands for one: itself for nearly all.
fn shown(c: char) -> char {
    match c {
        '\0'..='\x1f' => char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}'),
        '\x7f' => '\u{2421}',
        '\u{80}'..='\u{9f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2066}'..='\u{2069}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{fffe}'
        | '\u{ffff}' => '\u{fffd}',
        c => c,
    }
}

/// The first code point of a text that Unicode will never make a character, with its byte: the last
/// two of each plane and U+FDD0 to U+FDEF. XML and what is made of it take no text with some of
/// them.
///
/// # References
/// The Unicode Standard, section 23.7, Noncharacters.
#[must_use]
pub(crate) fn no_character(text: &str) -> Option<(usize, String)> {
    let none = |c: char| matches!(u32::from(c), 0xFDD0..=0xFDEF) || u32::from(c) & 0xFFFE == 0xFFFE;
    // Plain ASCII, which most tables are, has none.
    if text.is_ascii() {
        return None;
    }
    let (at, c) = text.char_indices().find(|(_, c)| none(*c))?;
    Some((at, format!("U+{:04X}", u32::from(c))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_is_shown_and_what_is_read_stays() {
        for (text, expected) in [
            ("MW-1", "MW-1"),
            ("\u{1b}[31mred", "␛[31mred"),
            ("a\0b\tc\r\nd\u{7f}", "a␀b␉c␍␊d␡"),
            ("\u{9b}31m", "\u{fffd}31m"),
            ("\u{202e}1-WM", "\u{fffd}1-WM"),
            ("井戸 1, בְּאֵר, بئر\u{200c}ها", "井戸 1, בְּאֵר, بئر\u{200c}ها"),
            ("<b>&amp;'\"", "<b>&amp;'\""),
        ] {
            assert_eq!(printable(text), expected);
        }
        assert!(matches!(printable("MW-1"), Cow::Borrowed(_)));
    }

    #[test]
    fn what_is_no_character_is_found() {
        for (text, found) in [
            ("井戸 \u{feff}\u{fdcf}\u{fdf0}\u{fffd}\u{10000}", None),
            ("a\u{fffe}", Some((1, "U+FFFE"))),
            ("ü\u{ffff}", Some((2, "U+FFFF"))),
            ("\u{fdd0}", Some((0, "U+FDD0"))),
            ("\u{fdef}", Some((0, "U+FDEF"))),
            ("\u{1fffe}", Some((0, "U+1FFFE"))),
            ("\u{10ffff}", Some((0, "U+10FFFF"))),
        ] {
            let expected = found.map(|(at, name)| (at, name.to_owned()));
            assert_eq!(no_character(text), expected, "{text:?}");
        }
    }
}

//! Numbers as people write them, and why some are refused.

use crate::units::brief_to;

/// Why a text is not taken as a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::read) enum NotNumber {
    /// Feet and inches, with the decimal feet they come to.
    FeetAndInches(f64),
    /// It would be one with a decimal comma.
    DecimalComma,
    /// It has a decimal point where a comma is declared.
    DecimalPoint,
    /// It has separators between thousands.
    Thousands,
    /// Scientific notation, in which spreadsheets lose digits.
    Scientific,
    /// Degrees, minutes and seconds.
    Sexagesimal,
    /// A number with something after it, such as a unit.
    Trailing,
    /// Anything else, infinities and not-a-number included.
    Text,
}

impl NotNumber {
    /// What to do about it.
    pub(in crate::read) fn advice(self) -> String {
        match self {
            Self::FeetAndInches(feet) => format!(
                "write decimal feet, as an engineer's scale shows them (7 in = 0.58 ft): {}",
                brief_to(feet, 2)
            ),
            Self::DecimalComma => "if the file has decimal commas, write decimal = \",\" under \
                                   [tables] in site.toml"
                .to_owned(),
            Self::DecimalPoint => "site.toml declares decimal = \",\" under [tables]; write a \
                                   decimal comma here or remove the declaration"
                .to_owned(),
            Self::Thousands => "write it without thousands separators".to_owned(),
            Self::Scientific => "write all digits; a spreadsheet that shows 4.62E+06 has saved \
                                 only those digits, so format the column as a plain number and \
                                 save again"
                .to_owned(),
            Self::Sexagesimal => "write decimal degrees with a minus sign for west and south, \
                                  such as -93.2105"
                .to_owned(),
            Self::Trailing => "write the number alone; the unit belongs in the heading or in \
                               site.toml, a remark in the remark column"
                .to_owned(),
            Self::Text => "write a plain decimal number, or leave the cell empty".to_owned(),
        }
    }
}

/// A number that a sign makes less than one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::read) enum Signed {
    /// `>9.5`: more than it.
    Above(f64),
    /// `<0.01`: less than it.
    Below(f64),
    /// `~9.4`: about it.
    About(f64),
}

/// The words and signs of a number that is only near.
pub(in crate::read) const ABOUT: [&str; 7] =
    ["~", "\u{2248}", "ca.", "ca", "approx.", "approx", "est."];

/// A number behind a sign or a word that makes it a bound or an estimate.
pub(in crate::read) fn signed(text: &str, decimal_comma: bool) -> Option<Signed> {
    let lower = text.trim().to_lowercase();
    let behind = |marks: &[&str]| {
        let rest = marks.iter().find_map(|mark| lower.strip_prefix(mark))?;
        parse(rest.trim(), decimal_comma).ok()
    };
    None.or_else(|| behind(&[">=", "\u{2265}", ">"]).map(Signed::Above))
        .or_else(|| behind(&["<=", "\u{2264}", "<"]).map(Signed::Below))
        .or_else(|| behind(&ABOUT).map(Signed::About))
}

/// A plain decimal: digits with an optional sign and decimal mark.
///
/// # Errors
/// Why it is none.
pub(in crate::read) fn parse(text: &str, decimal_comma: bool) -> Result<f64, NotNumber> {
    let value = if decimal_comma && text.contains(',') && !text.contains('.') {
        plain(&text.replace(',', "."))
    } else if decimal_comma && text.contains('.') {
        None
    } else {
        plain(text)
    };
    value.ok_or_else(|| reason(text, decimal_comma))
}

/// How many decimals a number is written with, be there a sign or a word before it.
pub(in crate::read) fn decimals(text: &str) -> u8 {
    let bytes = text.as_bytes();
    let Some(mark) = bytes.iter().rposition(|b| matches!(b, b'.' | b',')) else { return 0 };
    let count = bytes[mark + 1..].iter().take_while(|b| b.is_ascii_digit()).count();
    u8::try_from(count).unwrap_or(u8::MAX)
}

/// The value of a plain decimal with a point; nothing for a text that is none, or too large.
fn plain(text: &str) -> Option<f64> {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let mut seen_digit = false;
    let mut seen_point = false;
    for b in digits.bytes() {
        match b {
            b'0'..=b'9' => seen_digit = true,
            b'.' if !seen_point => seen_point = true,
            _ => return None,
        }
    }
    if !seen_digit {
        return None;
    }
    text.parse().ok().filter(|v: &f64| v.is_finite())
}

fn reason(text: &str, decimal_comma: bool) -> NotNumber {
    if let Some(feet) = feet_and_inches(text) {
        return NotNumber::FeetAndInches(feet);
    }
    if text.contains('°') {
        return NotNumber::Sexagesimal;
    }
    if decimal_comma && plain(text).is_some() {
        return NotNumber::DecimalPoint;
    }
    if let Some(thousands) = separated(text, decimal_comma) {
        return thousands;
    }
    if text.parse::<f64>().is_ok()
        && text.contains(['e', 'E'])
        && text.contains(|c: char| c.is_ascii_digit())
    {
        return NotNumber::Scientific;
    }
    let number_end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | ',')))
        .unwrap_or(text.len());
    let head = text[..number_end].replace(',', ".");
    if number_end < text.len() && plain(&head).is_some() {
        return NotNumber::Trailing;
    }
    NotNumber::Text
}

/// A decimal comma or separators between thousands.
fn separated(text: &str, decimal_comma: bool) -> Option<NotNumber> {
    let unsigned = text.strip_prefix(['+', '-']).unwrap_or(text);
    if !unsigned.starts_with(|c: char| c.is_ascii_digit())
        || !unsigned.ends_with(|c: char| c.is_ascii_digit())
        || !unsigned.chars().all(|c| {
            c.is_ascii_digit()
                || matches!(c, ',' | '.' | ' ' | '\'' | '\u{2019}')
                || c.is_whitespace()
        })
    {
        return None;
    }
    let commas = unsigned.matches(',').count();
    let others = unsigned.chars().filter(|c| !c.is_ascii_digit() && *c != ',').count();
    match (commas, others) {
        (1, 0) if !decimal_comma => Some(NotNumber::DecimalComma),
        (0, 0) => None,
        _ => Some(NotNumber::Thousands),
    }
}

/// `5'7"`, `5' 7`, `5-7`, `5 ft 7 in`, `5ft7in`, `5' 7 1/2"` and their like, in decimal feet.
fn feet_and_inches(text: &str) -> Option<f64> {
    let text = text
        .to_lowercase()
        .replace(['\u{2019}', '\u{2018}', '\u{2032}', '`', '\u{b4}'], "'")
        .replace(['\u{201d}', '\u{201c}', '\u{2033}'], "\"")
        .replace("''", "\"")
        .replace("feet", "'")
        .replace("foot", "'")
        .replace("ft.", "'")
        .replace("ft", "'")
        .replace("inches", "\"")
        .replace("inch", "\"")
        .replace("in.", "\"")
        .replace("in", "\"");
    let text = text.trim();
    let feet_end = text.find(|c: char| !c.is_ascii_digit())?;
    let feet: f64 = text[..feet_end].parse().ok()?;
    let rest = text[feet_end..].trim_start();
    let rest = rest.strip_prefix('\'').or_else(|| rest.strip_prefix('-'))?;
    let rest = rest.trim_start_matches([' ', '-', ',']);
    let inches = rest.strip_suffix('"').unwrap_or(rest).trim();
    if inches.is_empty() {
        // 5' alone is a number with a unit.
        return None;
    }
    let mut value = 0.0;
    for part in inches.split([' ', '-']).filter(|p| !p.is_empty()) {
        value += match part.split_once('/') {
            Some((over, under)) => {
                let under = plain(under).filter(|u| *u > 0.0)?;
                plain(over)? / under
            }
            None => plain(part).filter(|_| !part.starts_with(['+', '-']))?,
        };
    }
    (value < 12.0).then_some(feet + value / 12.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_decimals_are_numbers() {
        for (text, value) in
            [("10", 10.0), ("-0.5", -0.5), ("+3.25", 3.25), (".5", 0.5), ("5.", 5.0), ("007", 7.0)]
        {
            assert_eq!(parse(text, false), Ok(value), "{text}");
        }
        assert_eq!(parse("-10,25", true), Ok(-10.25));
        assert_eq!(parse("10", true), Ok(10.0));
    }

    #[test]
    fn decimals_are_counted_as_they_are_written() {
        for (text, count) in
            [("4.00", 2), ("4", 0), ("5.", 0), ("-10,250", 3), ("~9.4", 1), ("ca. 9.40", 2)]
        {
            assert_eq!(decimals(text), count, "{text}");
        }
    }

    #[test]
    fn everything_else_is_refused_with_its_reason() {
        for (text, why) in [
            ("10,25", NotNumber::DecimalComma),
            ("1,234.5", NotNumber::Thousands),
            ("1'234.5", NotNumber::Thousands),
            ("1 234", NotNumber::Thousands),
            ("1.5e3", NotNumber::Scientific),
            ("93\u{b0}16'", NotNumber::Sexagesimal),
            ("5.5 ft", NotNumber::Trailing),
            ("5'", NotNumber::Trailing),
            ("5'13\"", NotNumber::Trailing),
            ("2026-04-14", NotNumber::Text),
            ("-", NotNumber::Text),
            (".", NotNumber::Text),
            ("", NotNumber::Text),
            ("nan", NotNumber::Text),
            ("infinity", NotNumber::Text),
        ] {
            assert_eq!(parse(text, false), Err(why), "{text}");
        }
        assert_eq!(parse("10.25", true), Err(NotNumber::DecimalPoint));
        assert_eq!(parse("1.234,5", true), Err(NotNumber::Thousands));
    }

    #[test]
    fn feet_and_inches_come_to_twelfths_of_a_foot() {
        for (text, inches) in [
            ("5'7\"", 67.0),
            ("5-7", 67.0),
            ("5ft 7.5in", 67.5),
            ("12' 11 3/4\"", 155.75),
            ("0'6\"", 6.0),
            ("6 feet, 0 inches", 72.0),
        ] {
            let Err(NotNumber::FeetAndInches(feet)) = parse(text, false) else { panic!("{text}") };
            assert!((feet - inches / 12.0).abs() < 1e-12, "{text}");
        }
    }
}

//! What to do about dates and times that cannot be read, and the pattern they seem to follow.

use super::moment::{BadMoment, DateRule, moment};

/// English names of months, as patterns of dates know them.
pub(super) const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// A longer text is no date.
const LONGEST: usize = 40;

/// What to do about such a text.
pub(in crate::read) fn advice(why: BadMoment, text: &str) -> String {
    if matches!(why, BadMoment::Zone | BadMoment::Serial | BadMoment::TwelveHour) {
        return plain(why).to_owned();
    }
    let found: Vec<String> = patterns(text).iter().map(|p| format!("\"{p}\"")).collect();
    let declare = match found.as_slice() {
        [] => return plain(why).to_owned(),
        [one] => format!("date_format = {one} under [round] in site.toml"),
        several => format!(
            "date_format = {} under [round] in site.toml, whichever applies",
            several.join(" or ")
        ),
    };
    match why {
        BadMoment::NotAsDeclared | BadMoment::Year(_) => {
            format!("if all dates are written like this one, declare {declare}")
        }
        _ if found.len() > 1 => {
            format!("04/05 may mean 5 April or 4 May: write 2026-04-05, or declare {declare}")
        }
        _ => format!("write dates as 2026-04-14, or declare {declare}"),
    }
}

/// The same where no pattern fits the text.
fn plain(why: BadMoment) -> &'static str {
    match why {
        BadMoment::Ambiguous => {
            "write dates as 2026-04-14, or declare their format as date_format under [round] in \
             site.toml"
        }
        BadMoment::Year(_) => "write all four digits of the year, such as 2026-04-14",
        BadMoment::Zone => {
            "write the local clock time of the site without an offset, such as 2026-04-14T09:35; or \
             declare its time_zone under [round] in site.toml, such as \"America/Denver\", to have times \
             with an offset converted"
        }
        BadMoment::Serial => {
            "this looks like a spreadsheet's day number: format the column as a date \
                 (yyyy-mm-dd) and save again"
        }
        BadMoment::TwelveHour => {
            "write the time on the 24-hour clock, such as 14:05, or with minutes as 2:05 PM"
        }
        BadMoment::Unknown => {
            "write dates as 2026-04-14, times as 09:35 or 09:35:20, both in one cell as \
                 2026-04-14T09:35"
        }
        BadMoment::NotAsDeclared => {
            "write it in the date_format of site.toml, or as an ISO date such as 2026-04-14"
        }
    }
}

/// The patterns that read a text, in the order of preference: more than one where day and month
/// cannot be told apart. None for a text that is no date.
fn patterns(text: &str) -> Vec<String> {
    orders(text).into_iter().map(|(_, pattern)| pattern).collect()
}

/// The same with the order of day, month and year in each: `mdy`.
pub(super) fn orders(text: &str) -> Vec<(&'static str, String)> {
    let parts = parts(text);
    let date: Vec<usize> = (0..parts.len()).filter(|&i| is_field(parts[i])).take(3).collect();
    let &[first, second, third] = date.as_slice() else { return Vec::new() };
    let clock = clock(&parts[third + 1..]);
    let mut found: Vec<(&str, String)> = Vec::new();
    for order in ["mdy", "dmy", "ymd", "ydm"] {
        let mut pattern = String::new();
        for (at, part) in parts.iter().enumerate().take(third + 1) {
            let field = [first, second, third].iter().position(|i| *i == at);
            match field.and_then(|f| order.chars().nth(f)) {
                None => pattern += part,
                Some('d') => pattern += "%d",
                Some('y') => pattern += if part.len() == 4 { "%Y" } else { "%y" },
                Some(_) => pattern += month(part),
            }
        }
        let Some(clock) = &clock else { continue };
        pattern += clock;
        let reads = DateRule::of(&pattern).is_ok_and(|rule| moment(text, &rule).is_ok());
        // A year of two digits is not looked for in front, and behind a year the month comes first.
        let odd = order.starts_with('y') && (parts[first].len() < 4 || !found.is_empty());
        if reads && !odd {
            found.push((order, pattern));
        }
    }
    found
}

/// Runs of digits, of letters, and of what stands between.
fn parts(text: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let kind = |c: char| (c.is_ascii_digit(), c.is_alphabetic());
    let mut rest = if text.len() > LONGEST { "" } else { text };
    while let Some(first) = rest.chars().next() {
        let end = rest.find(|c| kind(c) != kind(first)).unwrap_or(rest.len());
        let (part, behind) = rest.split_at(end);
        parts.push(part);
        rest = behind;
    }
    parts
}

/// Whether a part may be a day, a month or a year.
fn is_field(part: &str) -> bool {
    part.starts_with(|c: char| c.is_ascii_digit()) || month(part) != "%m"
}

/// How a month is written: as a number, in three letters or in full.
fn month(part: &str) -> &'static str {
    let lower = part.to_lowercase();
    // "May" is both, and short beside short ones.
    if MONTHS.iter().any(|m| m[..3] == lower) {
        "%b"
    } else if MONTHS.contains(&lower.as_str()) {
        "%B"
    } else {
        "%m"
    }
}

/// The pattern of a time of day behind a date; "" where there is none, nothing where what stands
/// there is no time.
fn clock(parts: &[&str]) -> Option<String> {
    let mut pattern = String::new();
    let (mut numbers, mut hour) = (0, "%H");
    for (at, part) in parts.iter().enumerate() {
        // What would be read as a sign or as a letter may be an offset from UTC or the name of a zone.
        if at > 0 && (part.contains(['+', '-']) || is_zone(part)) {
            return None;
        }
        if part.starts_with(|c: char| c.is_ascii_digit()) {
            pattern += ["%H", "%M", "%S"].get(numbers)?;
            numbers += 1;
        } else if ["am", "pm"].contains(&part.to_ascii_lowercase().as_str()) {
            pattern += "%p";
            hour = "%I";
        } else {
            pattern += part;
        }
    }
    Some(pattern.replace("%H", hour))
}

/// Whether letters behind a time may be a zone: `Z`, `EST`, `MEZ`.
fn is_zone(part: &str) -> bool {
    const MOST_LETTERS: usize = 5;
    let lower = part.to_ascii_lowercase();
    let capitals = part.len() <= MOST_LETTERS && part.bytes().all(|b| b.is_ascii_uppercase());
    ["z", "utc", "gmt"].contains(&lower.as_str())
        || (capitals && !["am", "pm"].contains(&lower.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_fit_the_text() {
        for (text, patterns) in [
            ("04/05/2026", &["%m/%d/%Y", "%d/%m/%Y"][..]),
            ("4/14/26", &["%m/%d/%y"]),
            ("14.04.2026", &["%d.%m.%Y"]),
            ("14.04.2026 9:35", &["%d.%m.%Y %H:%M"]),
            ("4/14/2026 2:05 PM", &["%m/%d/%Y %I:%M %p"]),
            ("14-Apr-26", &["%d-%b-%y"]),
            ("14-April-2026", &["%d-%B-%Y"]),
            ("Apr 14, 2026", &["%b %d, %Y"]),
            ("2026/04/14", &["%Y/%m/%d"]),
            ("2026.04.14 09:35:20", &["%Y.%m.%d %H:%M:%S"]),
            ("44/55/2026", &[]),
            ("yesterday", &[]),
            ("12.5", &[]),
            ("4/14/0026", &[]),
            ("14-04-2026T09:35", &["%d-%m-%YT%H:%M"]),
        ] {
            assert_eq!(super::patterns(text), patterns, "{text}");
        }
    }

    #[test]
    fn advice_fits_the_text() {
        let says = |why, text, part: &str| {
            let advice = advice(why, text);
            assert!(advice.contains(part), "{text}: {advice}");
        };
        says(BadMoment::Year(26), "4/14/26", "declare date_format = \"%m/%d/%y\" under");
        says(BadMoment::Ambiguous, "04/05/26", "\"%m/%d/%y\" or \"%d/%m/%y\"");
        says(BadMoment::Ambiguous, "99.99.2026", "write dates as 2026-04-14");
        says(BadMoment::TwelveHour, "2026-04-14 2 PM", "24-hour");
    }
}

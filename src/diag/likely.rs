//! What may have been meant by a name that is not known.

use super::code::Code;

/// The known name that a misspelt one is nearest to: none where it is far from all, or as near to two.
///
/// Case, gaps and signs do not count, nor do leading zeros. From the first digit on both have to be alike, for a
/// digit and what follows it tell things apart: `MW-3` is not `MW-2` misspelt, nor `PZ-1S` `PZ-1D`. Before it there
/// may be one letter for every four that is wrong, missing or too many, or two neighbours in the wrong order.
///
/// ```
/// use headfall::diag::likely;
///
/// let known = ["crs", "elevation_unit", "MW-2", "upper sand", "lower sand"];
/// assert_eq!(likely("elevation unt", known), Some("elevation_unit"));
/// assert_eq!(likely("Uper sand", known), Some("upper sand"));
/// assert_eq!(likely("WM-02", known), Some("MW-2"));
/// assert_eq!(likely("MW-3", known), None);
/// ```
#[must_use]
pub fn likely<'k>(given: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let given = bare(given);
    if given.is_empty() {
        return None;
    }
    let mut nearest: Option<(usize, &str)> = None;
    let mut is_alone = true;
    for name in known {
        let Some(away) = away(&given, &bare(name)) else { continue };
        match nearest {
            Some((least, one)) if away == least => is_alone &= one == name,
            Some((least, _)) if away > least => {}
            _ => (nearest, is_alone) = (Some((away, name)), true),
        }
    }
    nearest.filter(|_| is_alone).map(|(_, name)| name)
}

/// What to do about a name that is not known: the one that may have been meant, and what else to do.
pub(crate) fn did_you_mean<'k>(
    given: &str,
    known: impl IntoIterator<Item = &'k str>,
    advice: &str,
) -> String {
    match likely(given, known) {
        Some(meant) => format!("did you mean {meant}? Otherwise {advice}"),
        None => advice.to_owned(),
    }
}

/// How far two bare names are from each other; nothing where one is not the other misspelt.
fn away(given: &str, name: &str) -> Option<usize> {
    let parted = |text: &str| text.find(|c: char| c.is_numeric()).unwrap_or(text.len());
    let (given, from) = given.split_at(parted(given));
    let (name, same) = name.split_at(parted(name));
    if from != same {
        return None;
    }
    let letters = |text: &str| {
        let mut letters: Vec<char> = text.chars().collect();
        letters.sort_unstable();
        letters
    };
    let (ours, theirs) = (letters(given), letters(name));
    let most = usize::from(ours == theirs).max(ours.len().max(theirs.len()) / 4);
    // What differs in length alone by more is not counted letter by letter.
    if ours.len().abs_diff(theirs.len()) > most {
        return None;
    }
    Some(strsim::osa_distance(given, name)).filter(|away| *away <= most)
}

/// A name without case, gaps, signs and leading zeros: `MW-01` and `mw 1` are alike.
pub(crate) fn bare(name: &str) -> String {
    let mut bare = String::new();
    for c in name.to_lowercase().chars().filter(|c| c.is_alphanumeric()) {
        if c.is_ascii_digit() {
            let digits = bare.len() - bare.trim_end_matches(|d: char| d.is_ascii_digit()).len();
            if digits == 1 && bare.ends_with('0') {
                bare.pop();
            }
        }
        bare.push(c);
    }
    bare
}

impl Code {
    /// The code with this name, in whatever case.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|code| code.id().eq_ignore_ascii_case(name.trim()))
    }

    /// Codes that may have been meant by a name, in order: one character wrong, missing or too many, or all of them
    /// in another order.
    pub fn like(name: &str) -> impl Iterator<Item = Self> {
        let sorted = |text: &str| {
            let mut all: Vec<char> = text.chars().collect();
            all.sort_unstable();
            all
        };
        let name = name.trim().to_uppercase();
        // A long text is no code; it is not compared with all.
        let is_short = name.chars().nth(6).is_none();
        let is_like = move |code: &Self| {
            is_short
                && (strsim::osa_distance(code.id(), &name) <= 1
                    || sorted(code.id()) == sorted(&name))
        };
        Self::ALL.iter().copied().filter(is_like)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_meant_is_found_and_nothing_else_is_proposed() {
        let keys = ["cell", "crs", "interval", "vertical_datum", "window_hours", "depth_unit"];
        for (given, meant) in [
            ("cel", Some("cell")),
            ("csr", Some("crs")),
            ("intervall", Some("interval")),
            ("Vertical-Datum", Some("vertical_datum")),
            ("windows_hour", Some("window_hours")),
            ("depth", None),
            ("dpi", None),
            ("c", None),
            ("", None),
        ] {
            assert_eq!(likely(given, keys), meant, "{given}");
        }
    }

    #[test]
    fn digits_and_what_follows_them_tell_things_apart() {
        for (given, known) in
            [("MW-12", "MW-13"), ("MW-1A", "MW-1B"), ("OBS-1S", "OBS-1D"), ("2025-10", "2025-11")]
        {
            assert_eq!(likely(given, [known]), None, "{given}");
        }
        assert_eq!(likely("OSB-1S", ["OBS-1S", "OBS-1D"]), Some("OBS-1S"));
        assert_eq!(likely("2025_10", ["2025-10"]), Some("2025-10"));
        assert_eq!(likely("upper", ["lower"]), None);
        assert_eq!(likely("north", ["south"]), None);
    }

    #[test]
    fn of_two_as_near_none_is_proposed() {
        assert_eq!(likely("wall east", ["wall eastA", "wall eastB"]), None);
        assert_eq!(likely("walls", ["wall", "wall"]), Some("wall"), "one name given twice is one");
    }

    #[test]
    fn codes_are_found_in_any_case_and_by_one_wrong_character() {
        assert_eq!(Code::named(" c308 "), Code::named("C308"));
        assert_eq!(Code::named("C308").map(Code::id), Some("C308"));
        assert_eq!(Code::named("C3080"), None);
        for wrong in ["c38", "C3O8", "3C08", "C3088", "308C"] {
            assert!(Code::like(wrong).any(|code| code.id() == "C308"), "{wrong}");
        }
        assert_eq!(Code::like("gradient").count(), 0);
    }
}

//! The heading that most likely stands for a column that was not found.

use super::columns::Column;
use super::heading;

/// No more headings than these are listed in a message.
pub(super) const MOST_LISTED: usize = 40;

/// Words that hint at a column though no heading that we know has them.
const HINTS: &[(Column, &[&str])] = &[
    (Column::DepthToWater, &["tape", "swl", "level", "read", "gauged"]),
    (Column::Elevation, &["swl", "level"]),
    (Column::MeasuringPointElevation, &["wellhead", "datum", "collar", "rim", "cap", "surveyed"]),
    (Column::Date, &["visit", "visited", "when", "gauged", "sampled", "on"]),
    (Column::Id, &["wells", "label", "number"]),
];

/// The heading that most likely stands for a column: the one that shares most words with its
/// headings, and more of them than with those of any other column. None where no heading shares
/// any.
pub(in crate::read) fn suggested<'a>(
    column: Column,
    headings: impl Iterator<Item = &'a str>,
) -> Option<&'a str> {
    let mut best: Option<(usize, &str)> = None;
    for heading in headings.take(MOST_LISTED) {
        let words = heading::loose_words(heading);
        let own = shared(column, &words);
        let others = Column::ALL.iter().filter(|c| **c != column).map(|c| shared(*c, &words));
        // A level may be a depth or an elevation: it is offered for both.
        if own > 0 && (heading::is_level(heading) || own >= others.max().unwrap_or(0)) {
            // The first of equals stays.
            if best.is_none_or(|(most, _)| own > most) {
                best = Some((own, heading));
            }
        }
    }
    best.map(|(_, heading)| heading)
}

/// How many of these words a column's best heading has, and its hints: a hint counts for more, as
/// it says what other columns' headings only touch on.
fn shared(column: Column, words: &[String]) -> usize {
    let common = |heading: &str| {
        heading
            .split([' ', '_'])
            .filter(|w| !matches!(*w, "to" | "of" | "and") && words.iter().any(|o| o == w))
            .count()
    };
    let best = column.headings().iter().copied().chain([column.name()]).map(common).max();
    let hinted = HINTS
        .iter()
        .filter(|(c, _)| *c == column)
        .flat_map(|(_, hints)| hints.iter())
        .filter(|h| words.iter().any(|w| w == *h))
        .count();
    2 * best.unwrap_or(0) + 3 * hinted
}

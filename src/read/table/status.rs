//! The words for the state a well was found in, and for its kind.

use crate::read::wells::reading::Status;
use crate::read::wells::well::WellKind;

/// Every status with the words that stand for it, lower case, gaps as single spaces.
pub(in crate::read) const STATUS_WORDS: &[(Status, &[&str])] = &[
    (Status::Static, &["static", "ok", "measured", "at rest"]),
    (
        Status::Dry,
        &["dry", "no water", "well dry", "dry well", "dry to bottom", "no water encountered"],
    ),
    (
        Status::Obstructed,
        &[
            "obstructed",
            "obstruction",
            "obstruction in well",
            "blocked",
            "blockage",
            "plugged",
            "bent casing",
            "frozen",
            "frozen over",
            "ice",
        ],
    ),
    (
        Status::NotAccessible,
        &[
            "not accessible",
            "inaccessible",
            "no access",
            "could not access",
            "could not locate",
            "could not find",
            "could not open",
            "unable to access",
            "unable to locate",
            "unable to open",
            "cannot locate",
            "not located",
            "not found",
            "cnl",
            "paved over",
            "buried",
            "covered",
            "snow covered",
            "under snow",
            "under water",
            "flooded",
            "submerged",
            "locked",
        ],
    ),
    (
        Status::NotMeasured,
        &[
            "not measured",
            "nm",
            "n m",
            "not gauged",
            "ng",
            "n g",
            "not read",
            "no reading",
            "nr",
            "n r",
            "not recorded",
            "no data",
            "nd",
            "n d",
            "ne",
            "none",
            "na",
            "n a",
            "skipped",
        ],
    ),
    (
        Status::Destroyed,
        &[
            "destroyed",
            "well destroyed",
            "abandoned",
            "well abandoned",
            "decommissioned",
            "plugged and abandoned",
            "removed",
        ],
    ),
    (Status::Flowing, &["flowing", "artesian", "flowing artesian"]),
    (Status::Pumping, &["pumping", "pumped"]),
    (Status::Recovering, &["recovering", "recently pumped"]),
    (Status::Cascading, &["cascading", "cascading water"]),
    (
        Status::NotUsed,
        &["not used", "excluded", "rejected", "not contoured", "do not contour", "left out"],
    ),
];

/// The two kinds with the words that stand for them.
pub(in crate::read) const KIND_WORDS: &[(WellKind, &[&str])] = &[
    (WellKind::Well, &["well", "monitoring well", "piezometer", "borehole", "bore"]),
    (
        WellKind::Gauge,
        &["gauge", "gage", "staff gauge", "staff gage", "reference mark", "surface water"],
    ),
];

/// What a column of floating product says where it has no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::read) enum NoProduct {
    /// None was found.
    None,
    /// So little that no thickness was read: the head is not corrected.
    Film,
    /// Nobody looked.
    NotMeasured,
}

/// Every way of saying that no product was measured, with its words.
pub(in crate::read) const PRODUCT_WORDS: &[(NoProduct, &[&str])] = &[
    (
        NoProduct::None,
        &[
            "none",
            "nd",
            "n d",
            "np",
            "n p",
            "ne",
            "n e",
            "no",
            "nil",
            "no product",
            "no lnapl",
            "no free product",
            "not detected",
            "none detected",
            "not encountered",
            "not present",
            "not observed",
            "none observed",
            "absent",
        ],
    ),
    (
        NoProduct::Film,
        &["sheen", "trace", "tr", "film", "slight sheen", "light sheen", "heavy sheen", "globules"],
    ),
    (
        NoProduct::NotMeasured,
        &["not measured", "nm", "n m", "not gauged", "ng", "n g", "na", "n a"],
    ),
];

/// The status a word stands for. Dashes alone are the mark of a reading that is not there.
pub(in crate::read) fn status(word: &str) -> Option<Status> {
    if is_dash(word) { Some(Status::NotMeasured) } else { look_up(STATUS_WORDS, word) }
}

/// What a word in the place of a depth to product or of its thickness says. Dashes alone say none.
pub(in crate::read) fn no_product(word: &str) -> Option<NoProduct> {
    if is_dash(word) { Some(NoProduct::None) } else { look_up(PRODUCT_WORDS, word) }
}

/// Whether a cell is struck out.
fn is_dash(word: &str) -> bool {
    const DASHES: [char; 5] = ['-', '\u{2010}', '\u{2012}', '\u{2013}', '\u{2014}'];
    !word.is_empty() && word.chars().all(|c| DASHES.contains(&c) || c == ' ')
}

/// Whether a word is written as one writes words. Other signs, such as a question mark or the `#` of a
/// spreadsheet's error, may mean something that the word does not.
pub(in crate::read) fn is_plain(word: &str) -> bool {
    word.chars().all(|c| c.is_alphanumeric() || c.is_whitespace() || "-_/.".contains(c))
}

/// Whether a column in which this state occurs is most likely one of states, and none of remarks on caps,
/// locks and the like.
pub(in crate::read) const fn is_telling(status: Status) -> bool {
    !matches!(status, Status::Static | Status::NotAccessible | Status::NotMeasured)
}

/// The name of a status.
pub(in crate::read) fn name(status: Status) -> &'static str {
    STATUS_WORDS.iter().find(|(known, _)| *known == status).map_or("", |(_, words)| words[0])
}

/// The kind a word stands for.
pub(in crate::read) fn kind(word: &str) -> Option<WellKind> {
    look_up(KIND_WORDS, word)
}

/// The words known, for advice.
pub(in crate::read) fn known<T>(words: &[(T, &[&str])]) -> String {
    words.iter().map(|(_, w)| w[0]).collect::<Vec<_>>().join(", ")
}

fn look_up<T: Copy>(table: &[(T, &[&str])], word: &str) -> Option<T> {
    if word.len() > 40 {
        return None;
    }
    let lower = word.to_lowercase();
    let plain: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let plain = plain.join(" ");
    table.iter().find(|(_, words)| words.contains(&plain.as_str())).map(|(value, _)| *value)
}

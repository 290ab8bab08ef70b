//! The words for the state a well was found in, and for its kind.

use crate::read::wells::reading::Status;
use crate::read::wells::well::WellKind;

/// Every status with the words that stand for it, lower case, gaps as single spaces.
pub(in crate::read) const STATUS_WORDS: &[(Status, &[&str])] = &[
    (Status::Static, &["static", "ok", "measured", "at rest"]),
    (Status::Dry, &["dry", "no water"]),
    (Status::Obstructed, &["obstructed", "obstruction", "blocked", "blockage"]),
    (
        Status::NotAccessible,
        &[
            "not accessible",
            "inaccessible",
            "no access",
            "nm",
            "n m",
            "not measured",
            "not gauged",
            "not read",
            "na",
            "n a",
        ],
    ),
    (Status::Flowing, &["flowing", "artesian", "flowing artesian"]),
    (Status::Pumping, &["pumping", "pumped"]),
    (Status::Recovering, &["recovering", "recently pumped"]),
    (Status::Cascading, &["cascading", "cascading water"]),
];

/// The two kinds with the words that stand for them.
pub(in crate::read) const KIND_WORDS: &[(WellKind, &[&str])] = &[
    (WellKind::Well, &["well", "monitoring well", "piezometer", "borehole", "bore"]),
    (
        WellKind::Gauge,
        &["gauge", "gage", "staff gauge", "staff gage", "reference mark", "surface water"],
    ),
];

/// The status a word stands for.
pub(in crate::read) fn status(word: &str) -> Option<Status> {
    look_up(STATUS_WORDS, word)
}

/// Whether a word is written as one writes words. Other signs, such as a question mark or the `#` of a
/// spreadsheet's error, may mean something that the word does not.
pub(in crate::read) fn is_plain(word: &str) -> bool {
    word.chars().all(|c| c.is_alphanumeric() || c.is_whitespace() || "-_/.".contains(c))
}

/// Whether a column in which this state occurs is most likely one of states, and none of remarks on caps,
/// locks and the like.
pub(in crate::read) const fn is_telling(status: Status) -> bool {
    !matches!(status, Status::Static | Status::NotAccessible)
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

//! Words of a heading that run together: `depthtowater`, `tocelev`.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::columns::Column;
use super::vocabulary::{self, ABBREVIATIONS, LEVEL};

/// Shorter words are not parted: `nm` is not a northing in metres.
const SHORTEST: usize = 5;

/// Longer ones neither.
const LONGEST: usize = 40;

/// A heading that can be parted in more ways is none that we know.
const MOST_WAYS: usize = 64;

/// Every word of a heading that we know, as people write it.
static KNOWN: LazyLock<BTreeSet<&str>> = LazyLock::new(|| {
    let headings = Column::ALL
        .iter()
        .flat_map(|c| c.headings().iter().copied().chain([c.name()]))
        .flat_map(|h| h.split([' ', '_']));
    let short = ABBREVIATIONS.iter().map(|(short, _)| *short);
    let levels = LEVEL.iter().flat_map(|h| h.split(' '));
    headings.chain(short).chain(levels).chain(vocabulary::mark_words()).collect()
});

/// All the ways in which the words can be parted into known ones, where one at least is parted;
/// fewest pieces first.
pub(in crate::read) fn parted(words: &[String]) -> Vec<Vec<&str>> {
    let mut ways: Vec<Vec<&str>> = vec![Vec::new()];
    let mut any = false;
    for word in words {
        let pieces = if KNOWN.contains(word.as_str()) { Vec::new() } else { pieces(word) };
        if pieces.is_empty() {
            for way in &mut ways {
                way.push(word);
            }
            continue;
        }
        any = true;
        if ways.len() * pieces.len() > MOST_WAYS {
            return Vec::new();
        }
        ways = ways
            .iter()
            .flat_map(|way| pieces.iter().map(move |p| way.iter().chain(p).copied().collect()))
            .collect();
    }
    if !any {
        return Vec::new();
    }
    ways.sort_by_key(Vec::len);
    ways
}

/// The ways of one word; none when there are too many.
fn pieces(word: &str) -> Vec<Vec<&str>> {
    if !(SHORTEST..=LONGEST).contains(&word.len()) || !word.is_ascii() {
        return Vec::new();
    }
    // The ways to part what stands before each byte.
    let mut before: Vec<Vec<Vec<&str>>> = vec![Vec::new(); word.len() + 1];
    before[0].push(Vec::new());
    for end in 1..=word.len() {
        let mut here: Vec<Vec<&str>> = Vec::new();
        for start in 0..end {
            let piece = &word[start..end];
            if before[start].is_empty() || !KNOWN.contains(piece) {
                continue;
            }
            here.extend(before[start].iter().map(|way| {
                let mut longer = way.clone();
                longer.push(piece);
                longer
            }));
            if here.len() > MOST_WAYS {
                return Vec::new();
            }
        }
        before[end] = here;
    }
    before.pop().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ways(word: &str) -> Vec<String> {
        parted(&[word.to_owned()]).into_iter().map(|w| w.join(" ")).collect()
    }

    #[test]
    fn words_are_parted_into_known_ones() {
        assert!(ways("depthtowater").contains(&"depth to water".to_owned()));
        assert!(ways("tocelev").contains(&"toc elev".to_owned()));
        assert!(ways("wellington").is_empty());
        assert!(ways("well").is_empty(), "known as it is");
        assert!(ways("nm").is_empty(), "too short to tell");
        assert!(ways(&"ft".repeat(30)).is_empty(), "too long");
        assert!(ways(&"nm".repeat(19)).len() <= MOST_WAYS);
    }
}

//! Names shortened to a length, so that names that differ stay different.

use std::collections::BTreeMap;

use unicode_segmentation::UnicodeSegmentation;

use super::faces::Letters;
use super::font::{Words, width};

/// Bold names shortened to a length so that names that differ stay different: where leaving out the
/// middle makes several alike, the part that tells them apart is kept, with as much of both ends as
/// fits. A name that no shorter form tells apart is written whole.
pub(super) fn fitted_apart<'a>(
    names: impl Iterator<Item = &'a str>,
    letters: &Letters,
    length: f64,
    size: f64,
) -> Vec<Words> {
    let whole: Vec<Words> = names.map(|name| Words::of(name, letters)).collect();
    let mut fitted: Vec<Words> =
        whole.iter().map(|name| name.clone().fitted(length, size, true)).collect();
    for group in alike(&whole, &fitted) {
        let letters: Vec<Vec<&str>> =
            group.iter().map(|i| whole[*i].text().graphemes(true).collect()).collect();
        let (before, after) = in_common(&letters);
        for (i, letters) in group.iter().zip(&letters) {
            let (head, rest) = letters.split_at(before);
            let (own, tail) = rest.split_at(rest.len() - after);
            fitted[*i] = around(&whole[*i], [head, own, tail], length, size);
        }
    }
    for i in alike(&whole, &fitted).into_iter().flatten() {
        fitted[i] = whole[i].clone();
    }
    fitted
}

/// Groups of names that differ and have become alike.
fn alike(whole: &[Words], fitted: &[Words]) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, words) in fitted.iter().enumerate() {
        groups.entry(words.text()).or_default().push(i);
    }
    let differ = |group: &Vec<usize>| group.iter().any(|i| whole[*i] != whole[group[0]]);
    groups.into_values().filter(differ).collect()
}

/// How many letters all have in common at their beginning and at their end, up to the words in
/// which they differ.
fn in_common(names: &[Vec<&str>]) -> (usize, usize) {
    let first = &names[0];
    let shortest = names.iter().map(Vec::len).min().unwrap_or(0);
    let same = |k: usize, from_end: bool| {
        let letter = |n: &Vec<&str>| (if from_end { n[n.len() - 1 - k] } else { n[k] }).to_owned();
        names.iter().all(|n| letter(n) == letter(first))
    };
    let mut before = (0..shortest).take_while(|k| same(*k, false)).count();
    let mut after = (0..shortest - before).take_while(|k| same(*k, true)).count();
    let part_of_word = |letter: &str| letter.chars().any(char::is_alphanumeric);
    while before > 0 && part_of_word(first[before - 1]) {
        before -= 1;
    }
    while after > 0 && part_of_word(first[first.len() - after]) {
        after -= 1;
    }
    (before, after)
}

/// A name's own part with as much of what stands before and after it as fits.
fn around(name: &Words, [head, own, tail]: [&[&str]; 3], length: f64, size: f64) -> Words {
    let with = |kept: usize| {
        let before = (kept * 3).div_ceil(5).min(head.len());
        let after = (kept - before).min(tail.len());
        let (mut start, mut end) = (head[..before].concat(), tail[tail.len() - after..].concat());
        if before < head.len() {
            start = format!("{}…", start.trim_end());
        }
        if after < tail.len() {
            end = format!("…{}", end.trim_start());
        }
        name.part(format!("{start}{}{end}", own.concat()))
    };
    let fits = |kept: &usize| width(&with(*kept), size, true) <= length;
    let kept = (0..=head.len() + tail.len()).take_while(fits).last();
    kept.map_or_else(|| name.part(own.concat()).fitted(length, size, true), with)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::draw::faces::fonts;

    #[test]
    fn long_names_keep_what_tells_them_apart() {
        let names: Vec<String> = (1..=12)
            .map(|k| format!("Monitoring well {k:02} behind the old boiler house"))
            .chain(["B-1".to_owned(), "OBS 3 Shallow interval of the terrace gravel".to_owned()])
            .collect();
        let fitted = fitted_apart(names.iter().map(String::as_str), &Letters::default(), 62.0, 6.2);
        let different: BTreeSet<&str> = fitted.iter().map(Words::text).collect();
        assert_eq!(different.len(), names.len(), "{fitted:?}");
        for (k, words) in fitted.iter().take(12).enumerate() {
            assert!(words.text().contains(&format!("{:02}", k + 1)), "{}", words.text());
            assert!(words.text().starts_with('M'), "{}", words.text());
            assert!(width(words, 6.2, true) <= 62.0, "{}", words.text());
        }
        assert_eq!(fitted[12], Words::new("B-1"));
    }

    #[test]
    fn names_from_right_to_left_keep_what_tells_them_apart() {
        let names: Vec<String> =
            (1..=9).map(|k| format!("בור ניטור {k} מאחורי בית הדוודים הישן")).collect();
        let letters = fonts(&["hebrew.ttf"]);
        let fitted = fitted_apart(names.iter().map(String::as_str), &letters, 62.0, 6.2);
        let different: BTreeSet<&str> = fitted.iter().map(Words::text).collect();
        assert_eq!(different.len(), names.len());
        for (k, words) in fitted.iter().enumerate() {
            assert!(words.text().contains(&(k + 1).to_string()), "{}", words.text());
            assert!(width(words, 6.2, true) <= 62.0, "{}", words.text());
        }
    }
}

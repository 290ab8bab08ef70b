//! Vertices that repeat where a level equals the head of a node.
//!
//! A level that equals a node's head crosses several of the node's edges at the node itself:
//! there a line stands still, or runs into a valley of no width and back. Both are taken out,
//! which changes no place where the surface crosses the level.

use geo::Coord;

/// An open line without repeats; `None` when it is no more than one point.
pub(super) fn open(points: &[Coord]) -> Option<Vec<Coord>> {
    let kept = without_repeats(points);
    (kept.len() >= 2).then_some(kept)
}

/// A closed line without repeats, its first vertex repeated at the end; `None` when it encloses
/// nothing. `points` does not repeat the first.
pub(super) fn closed(points: &[Coord]) -> Option<Vec<Coord>> {
    let kept = without_repeats(points);
    // The same across the seam between last and first.
    let mut ring = &kept[..];
    loop {
        ring = match ring {
            [first, inner @ .., last] if first == last => &ring[..=inner.len()],
            [_, second, .., last] if second == last => &ring[1..],
            [first, .., last_but_one, _] if first == last_but_one => &ring[..ring.len() - 1],
            _ => break,
        };
    }
    let first = *ring.first()?;
    (ring.len() >= 3).then(|| ring.iter().copied().chain([first]).collect())
}

/// Without vertices equal to the one before and without ways there and straight back.
fn without_repeats(points: &[Coord]) -> Vec<Coord> {
    let mut kept: Vec<Coord> = Vec::with_capacity(points.len());
    for p in points {
        match &kept[..] {
            [.., last] if last == p => {}
            [.., last_but_one, _] if last_but_one == p => {
                kept.pop();
            }
            _ => kept.push(*p),
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    #![expect(clippy::float_cmp, reason = "whole numbers")]
    use super::*;

    fn points(names: &str) -> Vec<Coord> {
        names.bytes().map(|b| Coord { x: f64::from(b), y: 0.0 }).collect()
    }

    fn names(points: Option<&Vec<Coord>>) -> String {
        let name = |p: &Coord| (b'a'..=b'z').find(|b| f64::from(*b) == p.x).map(char::from);
        points.into_iter().flatten().filter_map(name).collect()
    }

    #[test]
    fn open_lines_lose_repeats_and_ways_there_and_back() {
        for (from, to) in [
            ("abc", "abc"),
            ("aabbbcc", "abc"),
            ("abac", "ac"),
            ("abcbad", "ad"),
            ("abccbd", "abd"),
            ("aa", ""),
            ("aba", ""),
            ("abca", "abca"),
        ] {
            assert_eq!(names(open(&points(from)).as_ref()), to, "{from}");
        }
    }

    #[test]
    fn closed_lines_do_so_across_their_seam_too() {
        for (from, to) in [
            ("abc", "abca"),
            ("aabcca", "abca"),
            ("abcb", ""),
            ("ab", ""),
            ("a", ""),
            ("", ""),
            ("abcbad", ""),
            ("xabcax", "abca"),
            ("axabc", "abca"),
            ("abcaxyx", "abca"),
            ("xyabcayx", "abca"),
        ] {
            assert_eq!(names(closed(&points(from)).as_ref()), to, "{from}");
        }
    }
}

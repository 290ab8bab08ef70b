//! Lows of the surface: what explains one, and the way over its rim where the readings do not rule it out.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BinaryHeap};

/// A place on the rim's way, the lowest first.
#[derive(PartialEq)]
struct Reached {
    /// The highest head on the way there.
    rim: f64,
    head: f64,
    node: usize,
}

impl Eq for Reached {}

impl Ord for Reached {
    fn cmp(&self, other: &Self) -> Ordering {
        let by = |r: &Self| (r.rim, r.head);
        let ((rim, head), (other_rim, other_head)) = (by(self), by(other));
        rim.total_cmp(&other_rim).then(head.total_cmp(&other_head)).then(self.node.cmp(&other.node))
    }
}

impl PartialOrd for Reached {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The way out of a low: over the lowest place of its rim.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct WayOut {
    /// From the low to the first place lower than it, or to the edge of the surface.
    pub(super) nodes: Vec<usize>,
    /// The highest place on the way.
    pub(super) rim: usize,
}

/// The way out of a low, `None` where there is none.
///
/// # References
/// The lowest rim is found as in the filling of depressions of terrain: Barnes, Lehman and Mulla (2014),
/// Computers and Geosciences 62, 117-127 (from memory).
///
/// # Units
/// - `head`: any one unit; nodes without one are not part of the surface
pub(super) fn way_out(
    low: usize,
    head: impl Fn(usize) -> Option<f64>,
    neighbours: impl Fn(usize) -> Vec<usize>,
    is_edge: impl Fn(usize) -> bool,
) -> Option<WayOut> {
    let bottom = head(low)?;
    let mut from: BTreeMap<usize, usize> = BTreeMap::new();
    let mut open = BinaryHeap::from([Reverse(Reached { rim: bottom, head: bottom, node: low })]);
    from.insert(low, low);
    while let Some(Reverse(Reached { rim, head: here, node })) = open.pop() {
        if node != low && (here < bottom || is_edge(node)) {
            let mut nodes = vec![node];
            while let Some(before) =
                nodes.last().and_then(|n| from.get(n)).filter(|b| **b != nodes[nodes.len() - 1])
            {
                nodes.push(*before);
            }
            nodes.reverse();
            let rim = nodes.iter().copied().max_by(|a, b| {
                let of = |n: usize| head(n).unwrap_or(f64::NEG_INFINITY);
                of(*a).total_cmp(&of(*b)).then(b.cmp(a))
            })?;
            return Some(WayOut { nodes, rim });
        }
        for next in neighbours(node) {
            let Some(there) = head(next) else { continue };
            if let std::collections::btree_map::Entry::Vacant(slot) = from.entry(next) {
                slot.insert(node);
                open.push(Reverse(Reached { rim: rim.max(there), head: there, node: next }));
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A row of heads: the low at 2 is left over 3 and not over 1, which is higher.
    #[test]
    fn a_low_is_left_over_the_lowest_place_of_its_rim() {
        let heads = [0.0, 9.0, 1.0, 4.0, 3.5, 3.9, 0.5, 7.0];
        let beside = |i: usize| {
            [i.checked_sub(1), Some(i + 1)].into_iter().flatten().filter(|k| *k < 8).collect()
        };
        let out = way_out(2, |i| Some(heads[i]), beside, |_| false).expect("a way");
        assert_eq!(out, WayOut { nodes: vec![2, 3, 4, 5, 6], rim: 3 });
        // The edge of the surface is a way out, too.
        let out = way_out(2, |i| Some(heads[i]), beside, |i| i == 4).expect("a way");
        assert_eq!(out.nodes, [2, 3, 4]);
        let none = way_out(2, |i| (1..4).contains(&i).then_some(heads[i]), beside, |_| false);
        assert_eq!(none, None);
    }
}

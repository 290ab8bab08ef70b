//! Lows of the surface: what explains one, and the way over its rim where the readings do not rule it out.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BinaryHeap};

/// A head in the order of heads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Height(pub(super) f64);

impl Eq for Height {}

impl Ord for Height {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl PartialOrd for Height {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// A node of a grid and those around it, nine within the grid, row by row.
pub(super) fn around(node: usize, [rows, columns]: [usize; 2]) -> impl Iterator<Item = usize> {
    let (row, column) = (node / columns, node % columns);
    let rows = row.saturating_sub(1)..(row + 2).min(rows);
    rows.flat_map(move |r| {
        (column.saturating_sub(1)..(column + 2).min(columns)).map(move |c| r * columns + c)
    })
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
/// The lowest place of the rim is found as for depressions of terrain: Barnes, Callaghan and Wickert (2020), Earth
/// Surface Dynamics 8, 431-445.
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
    // The highest head on the way to each node, its own, and which it is: the lowest first.
    let mut open = BinaryHeap::from([Reverse((Height(bottom), Height(bottom), low))]);
    from.insert(low, low);
    while let Some(Reverse((Height(rim), Height(here), node))) = open.pop() {
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
                open.push(Reverse((Height(rim.max(there)), Height(there), next)));
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

//! What a level does in one cell.
//!
//! A node is above a level when its head is greater; a head equal to the level counts as below.

/// The sides of a cell, in the order of [`paths`].
pub(super) const SOUTH: usize = 0;
pub(super) const EAST: usize = 1;
pub(super) const NORTH: usize = 2;
pub(super) const WEST: usize = 3;

/// The way of a level through a cell, from side to side, with the nodes above it on the left.
///
/// `above` has one bit for each corner above the level: 1 south-west, 2 south-east, 4
/// north-east, 8 north-west. Where opposite corners are above, the cell is a saddle: a centre
/// above the level joins them, one below parts them.
pub(super) fn paths(above: u8, centre_above: impl Fn() -> bool) -> &'static [(usize, usize)] {
    match above {
        0b0001 => &[(SOUTH, WEST)],
        0b0010 => &[(EAST, SOUTH)],
        0b0011 => &[(EAST, WEST)],
        0b0100 => &[(NORTH, EAST)],
        0b0101 if centre_above() => &[(NORTH, WEST), (SOUTH, EAST)],
        0b0101 => &[(SOUTH, WEST), (NORTH, EAST)],
        0b0110 => &[(NORTH, SOUTH)],
        0b0111 => &[(NORTH, WEST)],
        0b1000 => &[(WEST, NORTH)],
        0b1001 => &[(SOUTH, NORTH)],
        0b1010 if centre_above() => &[(WEST, SOUTH), (EAST, NORTH)],
        0b1010 => &[(EAST, SOUTH), (WEST, NORTH)],
        0b1011 => &[(EAST, NORTH)],
        0b1100 => &[(WEST, EAST)],
        0b1101 => &[(SOUTH, EAST)],
        0b1110 => &[(WEST, SOUTH)],
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each side's midpoint, and the corners in the order of the bits.
    const MIDDLES: [(f64, f64); 4] = [(0.5, 0.0), (1.0, 0.5), (0.5, 1.0), (0.0, 0.5)];
    const CORNERS: [(f64, f64); 4] = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    /// The two corners of each side.
    const ENDS: [(u8, u8); 4] = [(0, 1), (1, 2), (3, 2), (0, 3)];

    #[test]
    fn every_side_that_is_crossed_is_met_once_and_no_other() {
        for above in 0..16u8 {
            for centre in [false, true] {
                let mut met: Vec<usize> =
                    paths(above, || centre).iter().flat_map(|(a, b)| [*a, *b]).collect();
                met.sort_unstable();
                let crossed: Vec<usize> = (0..4)
                    .filter(|s| (above >> ENDS[*s].0 & 1) != (above >> ENDS[*s].1 & 1))
                    .collect();
                assert_eq!(met, crossed, "{above:04b}");
            }
        }
    }

    #[test]
    fn what_is_above_lies_left_of_the_way_or_across_another_way() {
        for above in 0..16u8 {
            for centre in [false, true] {
                for (from, to) in paths(above, || centre) {
                    let (a, b) = (MIDDLES[*from], MIDDLES[*to]);
                    // The corners of the two sides the way meets are next to it.
                    for side in [*from, *to] {
                        for corner in [ENDS[side].0, ENDS[side].1] {
                            let c = CORNERS[usize::from(corner)];
                            let left = (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0) > 0.0;
                            assert_eq!(left, above >> corner & 1 == 1, "{above:04b}, {centre}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn the_centre_decides_a_saddle() {
        // South-west and north-east above. Joined, each way cuts off one low corner.
        assert_eq!(paths(0b0101, || true), [(NORTH, WEST), (SOUTH, EAST)]);
        assert_eq!(paths(0b0101, || false), [(SOUTH, WEST), (NORTH, EAST)]);
        assert_eq!(paths(0b1010, || true), [(WEST, SOUTH), (EAST, NORTH)]);
        assert_eq!(paths(0b1010, || false), [(EAST, SOUTH), (WEST, NORTH)]);
    }
}

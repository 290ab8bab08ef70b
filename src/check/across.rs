//! Control points of values that were worked out from several rounds.

use std::collections::{BTreeMap, BTreeSet};

use super::place::from_west;
use super::types::{ControlPoint, ControlSet};

impl ControlSet {
    /// The wells and gauges on the map, by their place in the register, each with whether its head does not fit its
    /// neighbours.
    #[must_use]
    pub fn by_well(&self) -> BTreeMap<usize, bool> {
        self.points.iter().filter_map(|p| Some((p.well()?, p.is_off()))).collect()
    }

    /// The wells and gauges of some maps, the earliest first, that have a value, with it in the place of their heads: what a
    /// surface of something else than the heads of one round is drawn through, in the frame of the last map. `None` where
    /// they are fewer than three.
    ///
    /// # Units
    /// - `of`: the value of a well, by its place in the register, elevation unit, and whether it is worked out from a head
    ///   in doubt
    #[must_use]
    pub fn across(sets: &[&Self], of: impl Fn(usize) -> Option<(f64, bool)>) -> Option<Self> {
        let mut set = Self::clone(sets.last()?);
        set.judged.clear();
        set.left_out.clear();
        set.points.clear();
        let mut seen = BTreeSet::new();
        for point in sets.iter().rev().flat_map(|other| &other.points) {
            let valued = point.well().and_then(|well| Some((well, of(well)?)));
            let Some((well, (head, from_doubtful))) = valued else { continue };
            if seen.insert(well) {
                set.points.push(ControlPoint {
                    local: set.frame.to_local(point.crs),
                    head,
                    from_doubtful,
                    // What is known of one reading is not known of what was worked out from several.
                    depth: None,
                    measuring_point: None,
                    product_thickness: None,
                    moment: None,
                    leave_one_out: None,
                    beside_pumping: None,
                    ..point.clone()
                });
            }
        }
        set.points.sort_by(|a, b| from_west(a.crs, b.crs));
        let first = sets.iter().find_map(|other| other.from_to);
        let last = sets.iter().rev().find_map(|other| other.from_to);
        set.from_to = first.zip(last).map(|((from, _), (_, to))| (from, to));
        (set.points.len() >= 3).then_some(set)
    }
}

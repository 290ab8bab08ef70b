//! Places that stand together.

use std::collections::BTreeMap;

use geo::Coord;

/// The places within a distance of each other, or linked by places that are: groups of two and more, in the
/// order of their first places, as indices in their order.
///
/// # Units
/// - any one length
#[must_use]
pub fn together(places: &[Coord], within: f64) -> Vec<Vec<usize>> {
    let mut by_east: Vec<usize> = (0..places.len()).collect();
    by_east.sort_by(|a, b| places[*a].x.total_cmp(&places[*b].x).then(a.cmp(b)));
    let mut chief: Vec<usize> = (0..places.len()).collect();
    for (k, &i) in by_east.iter().enumerate() {
        for &j in &by_east[k + 1..] {
            let d = places[j] - places[i];
            if d.x > within {
                break;
            }
            if libm::hypot(d.x, d.y) <= within {
                let (a, b) = (find(&chief, i), find(&chief, j));
                chief[a.max(b)] = a.min(b);
            }
        }
    }
    // The chief of a group is its first place.
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for i in 0..places.len() {
        let first = find(&chief, i);
        if first != i {
            groups.entry(first).or_insert_with(|| vec![first]).push(i);
        }
    }
    groups.into_values().collect()
}

/// The first of the group that a place belongs to.
fn find(chief: &[usize], mut i: usize) -> usize {
    while chief[i] != i {
        i = chief[i];
    }
    i
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_together_when_others_link_them() {
        let at = |x: f64, y: f64| Coord { x, y };
        let places = [at(9.0, 0.0), at(0.0, 0.0), at(50.0, 0.0), at(5.0, 0.0), at(50.0, 4.0)];
        assert_eq!(together(&places, 5.0), [vec![0, 1, 3], vec![2, 4]]);
        assert_eq!(together(&places, 3.9), Vec::<Vec<usize>>::new());
    }
}

//! Whether an area has an inside and an outside.

use geo::algorithm::validation::{InvalidPolygon, RingRole};
use geo::coordinate_position::CoordPos;
use geo::dimensions::Dimensions;
use geo::{
    BoundingRect, Intersects, Line, LineString, Polygon, PreparedGeometry, Relate,
    RemoveRepeatedPoints,
};

use crate::geom::Pieces;

/// What is wrong with the outlines of an area, if anything: the first of what the geometry library's
/// own check finds, which holds every side of a ring against every other.
///
/// # References
/// OGC 06-103r4, Simple feature access, part 1, 6.1.11.1: the assertions for polygons.
pub(super) fn check(area: &Polygon) -> Result<(), InvalidPolygon> {
    let holes = area.interiors().iter().enumerate().map(|(i, r)| (RingRole::Interior(i), r));
    let holes: Vec<_> = holes.filter(|(_, ring)| !ring.0.is_empty()).collect();
    for (role, ring) in std::iter::once((RingRole::Exterior, area.exterior())).chain(holes.clone())
    {
        if ring.remove_repeated_points().0.len() < 4 {
            return Err(InvalidPolygon::TooFewPointsInRing(role));
        }
        if meets_itself(ring) {
            return Err(InvalidPolygon::SelfIntersection(role));
        }
    }
    let whole = |ring: &LineString| Polygon::new(ring.clone(), Vec::new());
    let along = (CoordPos::OnBoundary, CoordPos::OnBoundary, Dimensions::OneDimensional);
    let outside = PreparedGeometry::from(whole(area.exterior()));
    for (i, (role, ring)) in holes.iter().enumerate() {
        let hole = PreparedGeometry::from(whole(ring));
        let within = outside.relate(&hole);
        if !within.is_contains() {
            return Err(InvalidPolygon::InteriorRingNotContainedInExteriorRing(*role));
        }
        if within.get(along.0, along.1) == along.2 {
            return Err(InvalidPolygon::IntersectingRingsOnALine(RingRole::Exterior, *role));
        }
        for (other, ring) in &holes[i + 1..] {
            let both = hole.relate(&whole(ring));
            if both.get(CoordPos::Inside, CoordPos::Inside) == Dimensions::TwoDimensional {
                return Err(InvalidPolygon::IntersectingRingsOnAnArea(*role, *other));
            }
            if both.get(along.0, along.1) == along.2 {
                return Err(InvalidPolygon::IntersectingRingsOnALine(*role, *other));
            }
        }
    }
    Ok(())
}

/// Whether two sides of a ring have a place in common that is not the vertex between them.
fn meets_itself(ring: &LineString) -> bool {
    let sides: Vec<Line> = ring.lines().collect();
    let index = Pieces::new(sides.iter().map(|l| [l.start, l.end]).collect());
    sides.iter().enumerate().any(|(i, side)| {
        let bounds = side.bounding_rect();
        let near = index.in_box(bounds.min(), bounds.max()).filter(|j| *j > i).map(|j| sides[j]);
        near.into_iter().any(|other| {
            side.start != other.end && side.end != other.start && side.intersects(&other)
        })
    })
}

#[cfg(test)]
mod tests {
    use geo::Validation;
    use proptest::prelude::*;

    use super::*;
    use crate::geom::work;

    fn ring(points: &[(i32, i32)]) -> LineString {
        points.iter().map(|(x, y)| (f64::from(*x), f64::from(*y))).collect()
    }

    proptest! {
        /// The library's own check is the reference; places of a small lattice touch, cross, repeat
        /// and lie along each other.
        #[test]
        fn the_same_is_found_as_by_holding_every_side_against_every_other(
            outline in prop::collection::vec((0..7, 0..7), 0..9),
            holes in prop::collection::vec(prop::collection::vec((0..7, 0..7), 0..6), 0..3),
        ) {
            let holes: Vec<LineString> = holes.iter().map(|h| ring(h)).collect();
            let area = Polygon::new(ring(&outline), holes);
            if !area.exterior().0.is_empty() {
                prop_assert_eq!(check(&area), area.check_validation(), "{:?}", area);
            }
        }

        /// Outlines that are sound, with holes that may be.
        #[test]
        fn holes_are_judged_alike(
            holes in prop::collection::vec((0..9, 0..9, 1..5, 1..5), 0..4),
        ) {
            let square = |x: i32, y: i32, w: i32, h: i32| {
                ring(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)])
            };
            let holes = holes.into_iter().map(|(x, y, w, h)| square(x, y, w, h)).collect();
            let area = Polygon::new(square(0, 0, 10, 10), holes);
            prop_assert_eq!(check(&area), area.check_validation(), "{:?}", area);
        }
    }

    /// A circle of ten times as many sides takes some ten times as many looks, not a hundred.
    #[test]
    fn the_sides_of_a_long_outline_are_not_held_against_each_other() {
        let looked_at = |sides: usize| {
            let turn = |k: usize| std::f64::consts::TAU * (k % sides) as f64 / sides as f64;
            let circle = (0..=sides).map(|k| (libm::cos(turn(k)), libm::sin(turn(k)))).collect();
            let (found, looks) = work::of(|| meets_itself(&circle));
            assert!(!found);
            looks as f64 / sides as f64
        };
        assert!(looked_at(100_000) < 3.0 * looked_at(1000), "{}", looked_at(100_000));
    }
}

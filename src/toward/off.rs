//! A source or a receptor that lies off the map.

use geo::{Contains, Coord, LineString, Polygon};

use super::place::SitePlace;
use crate::diag::{Code, Diagnostic};
use crate::geom::Pieces;
use crate::geom::distance;
use crate::geom::tolerance::FAR_PLACE_EXTENTS;
use crate::map::Map;
use crate::units::GroundUnit;

/// T502: how far it lies from the nearest triangle, and whether beyond the wells or among them, where
/// a barrier took the triangles out. Farther than [`FAR_PLACE_EXTENTS`] times the diagonal of the
/// wells' box, its coordinates are doubted.
pub(super) fn told(map: &Map, place: &SitePlace) -> Diagnostic {
    let mesh = &map.mesh;
    let hull: Vec<Coord> = mesh.hull().iter().map(|i| mesh.local()[*i]).collect();
    let outline = Polygon::new(LineString(hull), Vec::new());
    let inside = place.starts.iter().any(|p| outline.contains(p));
    let triangles = mesh.triangles().iter().map(|t| mesh.corners(t));
    let sides = Pieces::new(triangles.flat_map(|[a, b, c]| [[a, b], [b, c], [c, a]]).collect());
    let off_m = place.starts.iter().map(|p| sides.distance(*p)).fold(f64::INFINITY, f64::min);
    let (low, high) = map.control.bounds();
    let extent_m = distance(low, high) * map.control.frame().metres_per_unit();
    let (role, name) = (place.role.word(), &place.name);
    let unit = map.control.elevation_unit();
    let off = GroundUnit::of(unit).away(off_m);
    let (text, advice) = if inside {
        (
            format!(
                "{role} {name} is within the outline of the wells, but {off} from the nearest \
                 triangle: a barrier removed those around it"
            ),
            "no head is mapped there and no path can start there: add wells on its side of the \
             barrier; paths from elsewhere are still compared with it",
        )
    } else if off_m > FAR_PLACE_EXTENTS * extent_m {
        (
            format!(
                "{role} {name} lies {off} beyond the wells, which span {}",
                GroundUnit::of(unit).away(extent_m)
            ),
            "check its coordinates, their CRS and their unit: it is too far away to be part of \
             this site",
        )
    } else {
        (
            format!("{role} {name} lies {off} beyond the wells"),
            "no head is mapped there and no path can start there: add wells around it; paths from \
             elsewhere are still compared with it",
        )
    };
    Diagnostic::new(Code::OffTheMap, text).at(&place.origin).advice(advice)
}

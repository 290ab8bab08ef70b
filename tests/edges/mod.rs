//! Where the map ends: heads along the outline, contours up to the outline and the boundary, arrows
//! on their own side.
//!
//! The sites are invented. Expected values are closed forms (planes, heads linear from well to well)
//! and lines that general-purpose libraries traced and cut (`tests/data/edges/make_planes.py`).
//! Whether a place is inside, or a line crosses, is asked of the `geo` library's own predicates.

/// Arrows keep to their side of barriers, boundaries and streams.
mod arrows;

/// Contours end at the outline, at the boundary and nowhere else.
mod contours;

/// Heads along the outline follow the wells that stand on it.
mod outline;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use geo::Coord;
use headfall::read::{Method, Overrides, Page, Site};
use headfall::run::{self, Map};

/// A site below `tests/data/edges`.
fn kept(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/edges").join(name)
}

/// The map of a site after something was changed about its settings.
fn map_of(source: &Path, overrides: &Overrides, change: impl Fn(&mut Site)) -> Map {
    let mut findings = Vec::new();
    let mut heads = run::heads(source, overrides, &mut findings).expect("heads");
    change(Arc::make_mut(&mut heads.site));
    run::map(heads, &mut findings).unwrap_or_else(|e| panic!("{e:?}\n{findings:#?}"))
}

/// The map of a site by one method.
fn by(source: &Path, method: Method) -> Map {
    map_of(source, &Overrides::default(), |site| {
        site.settings.surface.method = method;
        // Room for more arrows than usual, so that there is more to be looked at.
        site.settings.sheet.page = Some(Page::A3);
        site.settings.sheet.arrow_spacing_mm = 10.0;
    })
}

/// The sides of the outline of the wells, CRS units, with the heads at both ends.
fn sides(map: &Map) -> Vec<[(Coord, f64); 2]> {
    let points = map.control.points();
    let hull = map.mesh.hull();
    let well = |k: usize| (points[hull[k % hull.len()]].crs, points[hull[k % hull.len()]].head);
    (0..hull.len()).map(|k| [well(k), well(k + 1)]).collect()
}

/// The distance from a place to a straight piece, and the share of it before the foot.
fn off(p: Coord, a: Coord, b: Coord) -> (f64, f64) {
    let way = b - a;
    let square = way.x * way.x + way.y * way.y;
    let share = (((p.x - a.x) * way.x + (p.y - a.y) * way.y) / square).clamp(0.0, 1.0);
    ((p.x - a.x - share * way.x).hypot(p.y - a.y - share * way.y), share)
}

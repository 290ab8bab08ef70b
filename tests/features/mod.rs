//! Lines and areas beside the wells.
//!
//! The wells are invented. Expected heads are closed forms: planes on each side of a wall, stages
//! in proportion to length. Whether a place is inside, or a line crosses, is asked of the `geo`
//! library's own predicates. Positions of projections are published (IOGP/EPSG Guidance Note 7-2).

/// The area the map ends at.
mod boundary;

/// Walls that part heads.
mod barriers;

/// GeoPackages whose tables are worked out.
mod databases;

/// Every format, read back, and every way a file can be wrong.
pub(crate) mod files;

/// Past the ends of walls.
mod past_walls;

/// Stages at vertices, and streams that contradict each other.
mod stages;

/// Stages along streams.
mod streams;

/// Files and what belongs to them: on record, and never changed.
mod untouched;

/// Views past a wall, against general-purpose libraries.
mod views;

/// Sites with walls.
mod walled;

use std::fmt::Write as _;
use std::sync::Arc;

use geo::Coord;
use headfall::diag::Diagnostic;
use headfall::read::{Method, Overrides, Site};
use headfall::run::{self, Map};

pub(crate) use crate::support::{EAST, NORTH};
use crate::support::{Folder, hold_brief, of_heads};

/// A site folder with wells at places counted from [`EAST`], [`NORTH`], and what is written under
/// the settings.
pub(crate) fn site(wells: &[(f64, f64, f64)], toml: &str) -> Folder {
    let wells = wells.iter().enumerate();
    of_heads(wells.map(|(i, (x, y, head))| (format!("W{i}"), [*x, *y], *head)), toml)
}

/// What the files of a site say, and the findings; the refusals when there are any.
pub(crate) fn read(folder: &Folder) -> Result<(Site, Vec<Diagnostic>), Vec<Diagnostic>> {
    match headfall::read::site(folder.path(), &Overrides::default()) {
        Ok(site) => {
            hold_brief(&site.findings);
            Ok((site.value, site.findings))
        }
        Err(error) => {
            hold_brief(error.diagnostics());
            Err(error.diagnostics().to_vec())
        }
    }
}

/// The map of a site, after something was changed about its settings.
pub(crate) fn map_with(
    folder: &Folder,
    change: impl Fn(&mut Site),
) -> (Result<Map, headfall::Error>, Vec<Diagnostic>) {
    let mut findings = Vec::new();
    let result =
        run::heads(folder.path(), &Overrides::default(), &mut findings).and_then(|mut heads| {
            change(Arc::make_mut(&mut heads.site));
            run::map(heads, &mut findings)
        });
    if let Err(error) = &result {
        findings.extend(error.diagnostics().iter().cloned());
    }
    hold_brief(&findings);
    (result, findings)
}

/// The map of a site by one method; kriging with a plane for a drift and a given covariance.
pub(crate) fn by(folder: &Folder, method: Method) -> Map {
    let (map, findings) = map_with(folder, |site| {
        let surface = &mut site.settings.surface;
        surface.method = method;
        surface.kriging.drift = Some(true);
        surface.kriging.partial_sill = Some(4.0);
        surface.kriging.range = Some(300.0);
    });
    map.unwrap_or_else(|e| panic!("{method:?}: {e:?}\n{findings:#?}"))
}

/// A position counted from [`EAST`], [`NORTH`].
pub(crate) fn from_corner(p: Coord) -> Coord {
    Coord { x: p.x - EAST, y: p.y - NORTH }
}

/// A CSV file with geometries as WKT, counted from [`EAST`], [`NORTH`] by the caller.
pub(crate) fn wkt(rows: &[&str]) -> String {
    let mut text = "WKT,name\n".to_owned();
    for (i, row) in rows.iter().enumerate() {
        let _ = writeln!(text, "\"{row}\",feature {}", i + 1);
    }
    text
}

/// Points counted from [`EAST`], [`NORTH`] as WKT coordinates.
pub(crate) fn ring(points: &[(f64, f64)]) -> String {
    let words: Vec<String> =
        points.iter().map(|(x, y)| format!("{} {}", EAST + x, NORTH + y)).collect();
    words.join(", ")
}

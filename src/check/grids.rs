//! What the datum grids of a site did.

use geo::{Coord, Distance, Haversine, Point};

use super::positions::all_at_once;
use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::Crs;
use crate::read::Site;
use crate::units::{GroundUnit, LengthUnit};

/// How far datum grids move the wells, where they do (C328): against positions that were had
/// without, on the ground. `source` is the CRS of the positions as given where it is not `crs`.
///
/// # Units
/// - `unit`: the elevation unit, for the message; `wells`: each as given, and on earth in degrees of longitude and latitude
pub(super) fn moved(
    crs: &Crs,
    source: Option<&Crs>,
    unit: LengthUnit,
    wells: impl Iterator<Item = (Coord, Coord)>,
) -> Option<Diagnostic> {
    let grids = crs.grids()?;
    let (given, with): (Vec<Coord>, Vec<Coord>) = wells.unzip();
    let without = all_at_once(&crs.clone().with_grids(None), source, &given);
    let metres = with.into_iter().zip(without).filter_map(|(with, without)| {
        Some(Haversine.distance(Point::from(with), Point::from(without?.lon_lat?)))
    });
    let furthest = metres.fold(0.0, f64::max);
    (furthest > 0.0).then(|| {
        let used: Vec<String> = grids.opened().into_iter().collect();
        Diagnostic::new(
            Code::GridUsed,
            format!(
                "longitude and latitude of the wells were computed with {}, which shifts them by \
                 up to {}",
                used.join(", "),
                GroundUnit::of(unit).away(furthest)
            ),
        )
        .advice("check one well against its known position on WGS 84")
    })
}

/// The datum grids that no position was transformed with (C329).
pub(super) fn idle(site: &Site) -> Option<Diagnostic> {
    let grids = site.settings.grids.as_ref()?;
    let opened = grids.opened();
    let idle: Vec<&str> = grids.names().filter(|name| !opened.contains(*name)).collect();
    (!idle.is_empty()).then(|| {
        Diagnostic::new(
            Code::GridIdle,
            format!("no position was transformed with the datum grid {}", idle.join(", ")),
        )
        .at(&Origin::file("site.toml"))
        .advice(
            "PROJ uses a grid only under the file name in its database, such as BETA2007.gsb, and \
             only between the datums it was made for: rename the file, or remove it from grids \
             under [crs]",
        )
    })
}

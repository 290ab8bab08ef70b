//! The map of values that were worked out from several rounds.

use std::sync::Arc;

use geo::Coord;

use crate::check::{ControlSet, HeadSd};
use crate::contour;
use crate::error::Error;
use crate::flow;
use crate::interpolate::{self, GridSpec};
use crate::map::{AcrossRounds, Map, Surfaced};
use crate::read::{EnsembleOptions, Round, Site};
use crate::triangulate;
use crate::uncertainty;

/// The surface through the values of these control points, its contours and where they are inferred; or why there is none.
/// `site` is that of [`of_values`].
///
/// # Units
/// - `sds`: standard deviation of each value, elevation unit
/// - `box_of_all`: what the grid holds at least, CRS units
pub(super) fn map(
    site: &Arc<Site>,
    round: &Round,
    control: ControlSet,
    (sds, box_of_all): (&[f64], (Coord, Coord)),
    across: AcrossRounds,
) -> Result<Map, String> {
    let why = |error: Error| super::rounds::refusal(&error);
    let mesh = triangulate::mesh(&control).value;
    if mesh.triangles().is_empty() {
        return Err("the wells are on one line".to_owned());
    }
    let flow = flow::site(&control, &mesh).map_err(why)?.value;
    let (low, high) = super::stages::shared_bounds(site, box_of_all);
    let spec = GridSpec::choose(low, high, site.settings.cell, control.crs().unit_name());
    let spec = spec.map_err(why)?;
    let settings = &site.settings;
    let surface = interpolate::surface(site, &control, &mesh, spec, sds).map_err(why)?.value;
    let metres = control.elevation_unit().metres();
    let errors: Vec<HeadSd> =
        sds.iter().map(|sd| HeadSd { sd_m: sd * metres, ..HeadSd::default() }).collect();
    let usual_sd = uncertainty::usual_sd(&control, &errors);
    let contours = contour::lines(
        &surface,
        control.beside().boundary(),
        settings.interval,
        settings.base_level,
        usual_sd,
        settings.elevation_unit,
    );
    let mut contours = contours.map_err(why)?.value;
    let sure = uncertainty::site(settings, &control, &mesh, &flow, &mut contours, &surface, errors);
    let round = Arc::new(Round { name: across.period.clone(), ..round.clone() });
    let (site, across) = (Arc::clone(site), Some(across));
    let surfaced = Surfaced { site, round, control, mesh, flow, surface, across };
    Ok(Map { surfaced: Arc::new(surfaced), contours, uncertainty: sure.value })
}

/// The site with the settings of such a map: squares of a thickness and cones of wells are those of the heads of a round, and
/// directions of flow are not asked for.
pub(super) fn of_values(site: &Site) -> Site {
    let mut site = site.clone();
    site.settings.surface.unconfined_base = None;
    site.pumped_wells.clear();
    site.settings.uncertainty.ensemble =
        EnsembleOptions { members: 0, ..site.settings.uncertainty.ensemble };
    site.settings.uncertainty.rasters = false;
    site
}

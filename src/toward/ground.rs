//! The surface against the ground.

use geo::Coord;
use rayon::prelude::*;

use super::target::Target;
use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::geom::tolerance::{GROUND_OFF_M, UNIT_RATIO};
use crate::interpolate::Grid;
use crate::map::Map;
use crate::read::{GroundSettings, InputFile, LandSurface, WellKind};
use crate::units::{GroundUnit, LengthUnit, brief_to, median, place, told_apart};

/// Depth to water below the land surface.
#[derive(Debug, Clone)]
pub struct GroundComparison {
    /// Ground less surface at the nodes, elevation unit: negative where water would stand above
    /// the ground.
    pub depth: Grid,
    /// The raster and all that says more about it, for the record.
    pub inputs: Vec<InputFile>,
    /// Nodes of the surface where the ground is not known.
    pub unknown: usize,
    /// Nodes where the surface stands above the ground away from water.
    pub above: usize,
    /// Their area, m².
    pub above_area_m2: f64,
    /// The highest of them: its place, CRS units, and by how much, elevation unit.
    pub highest: Option<(Coord, f64)>,
}

/// Reads the ground under the map and holds the surface against it.
///
/// # Errors
/// Those of [`LandSurface::at`].
pub(super) fn compare(
    map: &Map,
    land: &LandSurface,
    water_m: f64,
    said: &mut Vec<Diagnostic>,
) -> Result<GroundComparison, Error> {
    let grid = &map.surface.heads;
    let spec = *grid.spec();
    let frame = map.control.frame();
    let unit = map.control.elevation_unit();
    let node = |k: usize| (k / spec.columns, k % spec.columns);
    let supported: Vec<usize> = (0..spec.rows * spec.columns)
        .filter(|k| grid.head(node(*k).0, node(*k).1).is_some())
        .collect();
    let registered = registered(map);
    let nodes = supported.iter().map(|k| spec.node(node(*k).0, node(*k).1));
    let places: Vec<Coord> = nodes.chain(registered.iter().map(|(at, _)| *at)).collect();
    let crs = map.control.crs();
    let (ground, settings) = (land.at(crs, &places, unit)?, land.declared());
    let (at_nodes, at_wells) = ground.elevations.split_at(supported.len());
    let mut depths = vec![f64::NAN; spec.rows * spec.columns];
    for (k, elevation) in supported.iter().zip(at_nodes) {
        let (row, column) = node(*k);
        if let (Some(ground), Some(head)) = (elevation, grid.head(row, column)) {
            depths[*k] = ground - head;
        }
    }
    let unknown = at_nodes.iter().filter(|e| e.is_none()).count();
    if unknown == supported.len() {
        return Err(Error::Map(vec![
            Diagnostic::new(
                Code::GroundElsewhere,
                format!(
                    "{} has no elevation at any of the {unknown} nodes of the map",
                    settings.raster
                ),
            )
            .at(&settings.origin)
            .advice("give a raster that covers the wells, with its own CRS, or remove [ground]"),
        ]));
    }
    said.extend(against_wells(settings, unit, at_wells, &registered));
    let waters = waters(map);
    let above: Vec<(Coord, f64)> = supported
        .par_iter()
        .filter(|k| depths[**k] < 0.0)
        .map(|k| (spec.node(node(*k).0, node(*k).1), -depths[*k]))
        .filter(|(p, _)| waters.iter().all(|w| w.distance(frame.to_local(*p)) > water_m))
        .collect();
    let cell_m = spec.cell * frame.metres_per_unit();
    let highest = above.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a });
    if let Some((at, by)) = highest {
        said.push(
            Diagnostic::new(
                Code::AboveGround,
                format!(
                    "the surface is above the ground at {} of {} nodes farther than {} from \
                     streams and gauges, by up to {} {unit} at {}",
                    above.len(),
                    supported.len() - unknown,
                    GroundUnit::of(unit).away(water_m),
                    brief_to(by, 2),
                    place(at.x, at.y)
                ),
            )
            .at(&settings.origin)
            .advice(
                "unless there is a spring or wetland, the surface is wrong there: check the \
                 vertical datum of heads and raster, and add control points; in a confined unit \
                 it means flowing wells",
            ),
        );
    }
    if unknown > 0 {
        said.push(
            Diagnostic::new(
                Code::GroundMissing,
                format!(
                    "{} has no elevation at {unknown} of {} nodes",
                    settings.raster,
                    supported.len()
                ),
            )
            .at(&settings.origin)
            .advice("give a raster that covers all wells, or use no depths there"),
        );
    }
    Ok(GroundComparison {
        depth: Grid::new(spec, depths),
        inputs: ground.inputs,
        unknown,
        above: above.len(),
        above_area_m2: above.len() as f64 * cell_m * cell_m,
        highest,
    })
}

/// Where wells stand, CRS units, and their ground or else their measuring point, elevation unit.
fn registered(map: &Map) -> Vec<(Coord, f64)> {
    let wells = map.control.points().iter().filter(|p| p.kind() == Some(WellKind::Well));
    wells
        .filter_map(|p| {
            let well = map.site.wells.iter().find(|w| w.id == p.id)?;
            Some((p.crs, well.ground_elevation.or(p.measuring_point)?))
        })
        .collect()
}

/// T513 when the raster, between its pixels, lies far from the ground or the measuring points of the
/// wells: the median over the wells is compared, so that one wrong well says nothing.
fn against_wells(
    settings: &GroundSettings,
    unit: LengthUnit,
    ground: &[Option<f64>],
    registered: &[(Coord, f64)],
) -> Option<Diagnostic> {
    let pairs = ground.iter().zip(registered);
    let both: Vec<(f64, f64)> = pairs.filter_map(|(z, (_, own))| Some(((*z)?, *own))).collect();
    let off = median(both.iter().map(|(z, own)| z - own))?;
    let bound = LengthUnit::Metre.convert(GROUND_OFF_M, unit);
    if off.abs() <= bound {
        return None;
    }
    let ratio = median(both.iter().map(|(z, own)| z / own)).unwrap_or(1.0);
    let feet = LengthUnit::Foot.metres();
    let by_unit = [feet, 1.0 / feet].iter().any(|r| (ratio / r - 1.0).abs() < UNIT_RATIO);
    let advice = if by_unit {
        "the two differ by the ratio of metres and feet: correct unit under [ground]"
    } else {
        "compare the vertical datum, the unit and the CRS of the raster with those of the register"
    };
    let (shown, limit) = told_apart(off.abs(), bound, 1);
    let message = format!(
        "{} is {} {unit} {} the ground or the measuring points of the register, median of {} \
         wells; more than {} {unit} is not stick-up",
        settings.raster,
        shown,
        if off > 0.0 { "above" } else { "below" },
        both.len(),
        limit
    );
    Some(Diagnostic::new(Code::GroundUnlikeWells, message).at(&settings.origin).advice(advice))
}

/// Streams and gauges: where water may stand above the ground.
fn waters(map: &Map) -> Vec<Target> {
    let frame = map.control.frame();
    let streams = map.site.features.streams.iter().map(|s| s.line.clone().into());
    let gauges = map
        .control
        .points()
        .iter()
        .filter(|p| p.kind() != Some(WellKind::Well) && !p.is_judged())
        .map(|p| geo::Point(p.crs).into());
    streams.chain(gauges).map(|g: geo::Geometry| Target::new(&g, frame)).collect()
}

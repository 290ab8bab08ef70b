//! The capture zones of a site's pumped wells.

use geo::Coord;

use super::capture::{ClosedForm, Mapped, closed_form, mapped};
use super::path::{End, FlowPath};
use crate::check::pumped_position;
use crate::diag::{Code, Diagnostic};
use crate::geom::distance;
use crate::map::Map;
use crate::units::Span;

/// So many places of the grid are followed for one well.
const MOST_PLACES: usize = 20_000;

/// The capture zone of one pumped well.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpedZone {
    /// The well's name.
    pub well: String,
    /// Its position, m.
    pub at: Coord,
    /// Whether its own level carries the map.
    pub level_used: bool,
    /// Its rate, m³/d, where given with a unit.
    pub rate_m3_per_day: Option<f64>,
    /// Transmissivity, m²/d.
    pub transmissivity_m2_per_day: Option<Span>,
    /// The gradient of the closed form: that of the plane through all wells.
    pub gradient: f64,
    /// The zone in closed form.
    pub closed_form: Option<ClosedForm>,
    /// The zone on the mapped surface.
    pub mapped: Mapped,
}

/// Every pumped well that has a position, with what is to be told.
pub(super) fn zones(
    map: &Map,
    capture_m: f64,
    trace: &(impl Fn(Coord) -> FlowPath + Sync),
    said: &mut Vec<Diagnostic>,
) -> Vec<PumpedZone> {
    let settings = &map.site.settings;
    let aquifer = &settings.receptors.aquifer;
    let frame = map.control.frame();
    let slope = map.flow.plane.slope;
    let gradient = map.flow.plane_gradient;
    let flow = if gradient > 0.0 {
        Coord { x: -slope.east / gradient, y: -slope.north / gradient }
    } else {
        Coord { x: 0.0, y: 1.0 }
    };
    let (places, spacing_m) = lattice(map);
    let mut zones = Vec::new();
    for pumped in &map.site.pumped_wells {
        let at = pumped_position(pumped, &map.site, &map.control);
        let Some(at) = at.map(|p| frame.to_local(p)) else { continue };
        let point = map.control.points().iter().position(|p| p.id == pumped.well);
        let near = capture_m.max(2.0 * map.surface.heads.spec().cell * frame.metres_per_unit());
        let ends_there = |path: &FlowPath| match path.end {
            End::Stops { well: Some(well) } => Some(well) == point,
            End::Stops { well: None } => {
                path.points.last().is_some_and(|p| distance(*p, at) <= near)
            }
            _ => false,
        };
        let mapped = mapped(&places, spacing_m, at, flow, trace, ends_there);
        let rate = pumped.rate.zip(aquifer.rate_m3_per_day).map(|(q, unit)| q * unit);
        let transmissivity = aquifer.transmissivity_m2_per_day;
        let closed = rate.zip(transmissivity).and_then(|(q, t)| closed_form(q, t, gradient));
        if mapped.captured.is_empty() {
            said.push(
                Diagnostic::new(
                    Code::NoCone,
                    format!("no path of the mapped surface ends at pumped well {}", pumped.well),
                )
                .well(&pumped.well)
                .advice(
                    "the wells around it do not show its cone: use --surface kriging, which fits \
                     cones of pumped wells, or the closed-form capture zone, and add wells",
                ),
            );
        }
        let missing = missing(pumped.rate, aquifer.rate_m3_per_day, transmissivity, gradient);
        if closed.is_none() && !missing.is_empty() {
            said.push(
                Diagnostic::new(
                    Code::NoClosedForm,
                    format!(
                        "pumped well {} has no capture zone in closed form: {} not given",
                        pumped.well,
                        missing.join(", ")
                    ),
                )
                .well(&pumped.well)
                .advice(
                    "give rate under [[pumped_wells]], pumping_rate_unit and transmissivity (or \
                     conductivity and thickness) under [aquifer]",
                ),
            );
        }
        zones.push(PumpedZone {
            well: pumped.well.clone(),
            at,
            level_used: point.is_some(),
            rate_m3_per_day: rate,
            transmissivity_m2_per_day: transmissivity,
            gradient,
            closed_form: closed,
            mapped,
        });
    }
    zones
}

/// What the closed form lacks; nothing of a well that recharges, which has no capture zone.
fn missing(
    rate: Option<f64>,
    unit: Option<f64>,
    transmissivity: Option<Span>,
    gradient: f64,
) -> Vec<&'static str> {
    if rate.is_some_and(|q| q <= 0.0) {
        return Vec::new();
    }
    let known = [
        ("rate", rate.is_some()),
        ("pumping_rate_unit", unit.is_some()),
        ("transmissivity", transmissivity.is_some()),
        ("the gradient of the plane through all wells", gradient > 0.0),
    ];
    known.into_iter().filter(|(_, known)| !known).map(|(name, _)| name).collect()
}

/// Nodes of the grid, thinned, and their distance, m.
fn lattice(map: &Map) -> (Vec<Coord>, f64) {
    let grid = &map.surface.heads;
    let spec = grid.spec();
    let frame = map.control.frame();
    let mut stride = 1;
    while spec.rows.div_ceil(stride) * spec.columns.div_ceil(stride) > MOST_PLACES {
        stride += 1;
    }
    let places = (0..spec.rows)
        .step_by(stride)
        .flat_map(|row| (0..spec.columns).step_by(stride).map(move |column| (row, column)))
        .filter(|(row, column)| grid.head(*row, *column).is_some())
        .map(|(row, column)| frame.to_local(spec.node(row, column)))
        .collect();
    (places, stride as f64 * spec.cell * frame.metres_per_unit())
}

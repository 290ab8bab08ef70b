//! The capture zones of a site's pumped wells.

use geo::Coord;
use schemars::JsonSchema;
use serde::Serialize;

use super::capture::{ClosedForm, Mapped, closed_form, mapped};
use super::path::{End, FlowPath};
use crate::check::pumped_position;
use crate::diag::{Code, Diagnostic};
use crate::interpolate::kriging::TrendTerm;
use crate::interpolate::{KrigingReport, transmissivity};
use crate::map::Map;
use crate::uncertainty::NORMAL_SDS;
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
    /// The gradient of the closed form, of the flow without the pumping, and where it is from; `None` where
    /// neither the settings nor the surface give it.
    pub gradient: Option<(Span, GradientFrom)>,
    /// The transmissivity that the cone on the surface implies (Thiem), m²/d; only of wells with rates.
    pub implied_transmissivity_m2_per_day: Option<Span>,
    /// The zone in closed form.
    pub closed_form: Option<ClosedForm>,
    /// The zone on the mapped surface.
    pub mapped: Mapped,
}

/// Every pumped well that has a position, with what is to be told.
pub(super) fn zones(
    map: &Map,
    trace: &(impl Fn(Coord) -> FlowPath + Sync),
    said: &mut Vec<Diagnostic>,
) -> Vec<PumpedZone> {
    let settings = &map.site.settings;
    let aquifer = &settings.receptors.aquifer;
    let frame = map.control.frame();
    let regional = regional(map);
    let flow = flow_direction(map);
    let (places, spacing_m) = lattice(map);
    let mut zones = Vec::new();
    for (number, pumped) in map.site.pumped_wells.iter().enumerate() {
        let at = pumped_position(pumped, &map.site, &map.control);
        let Some(at) = at.map(|p| frame.to_local(p)) else { continue };
        let point = map.control.points().iter().position(|p| p.id == pumped.well);
        let ends_there = |path: &FlowPath| path.end == End::Pumped { well: number };
        let mapped = mapped(&places, spacing_m, at, flow, trace, ends_there);
        let rate = pumped.rate.zip(aquifer.rate_m3_per_day).map(|(q, unit)| q * unit);
        let transmissivity = aquifer.transmissivity_m2_per_day;
        let known = rate.zip(transmissivity).zip(regional);
        let closed = known.and_then(|((q, t), (i, _))| closed_form(q, t, i));
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
        let missing = missing(pumped.rate, aquifer.rate_m3_per_day, transmissivity, regional);
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
                    "give rate under [[pumped_wells]], and pumping_rate_unit, transmissivity (or \
                     conductivity and thickness) and regional_gradient under [aquifer]",
                ),
            );
        }
        zones.push(PumpedZone {
            well: pumped.well.clone(),
            at,
            level_used: point.is_some(),
            rate_m3_per_day: rate,
            transmissivity_m2_per_day: transmissivity,
            gradient: regional,
            implied_transmissivity_m2_per_day: implied_transmissivity(map, at),
            closed_form: closed,
            mapped,
        });
    }
    zones
}

/// Where the gradient without the pumping is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum GradientFrom {
    /// `regional_gradient` under `[aquifer]`.
    Declared,
    /// The plane of a kriged surface, fitted together with the cones.
    Surface,
}

/// The gradient of the flow without the pumping: as declared, or that of the plane which kriging fits together
/// with the cones, with its 95 % interval. A plane through all wells would feel the cones.
fn regional(map: &Map) -> Option<(Span, GradientFrom)> {
    let aquifer = &map.site.settings.receptors.aquifer;
    if let Some(declared) = aquifer.regional_gradient {
        return Some((declared, GradientFrom::Declared));
    }
    let [east, north] = map.kriging_of_heads()?.slopes()?;
    let metres = map.control.elevation_unit().metres();
    let gradient = libm::hypot(east.factor, north.factor);
    let along = |term: &TrendTerm| term.factor * term.standard_error / gradient;
    let half = NORMAL_SDS * libm::hypot(along(east), along(north));
    let span = Span { low: (gradient - half).max(0.0), high: gradient + half };
    (gradient > 0.0).then(|| (span.times(metres), GradientFrom::Surface))
}

/// The unit vector of the site's flow without the pumping, as far as that is known.
fn flow_direction(map: &Map) -> Coord {
    let declared = map.site.settings.receptors.aquifer.regional_direction_deg;
    if let Some(azimuth) = declared {
        let (sin, cos) = libm::sincos(azimuth.to_radians());
        return Coord { x: sin, y: cos };
    }
    let kriged = map.surface.kriging.as_ref().and_then(KrigingReport::slopes);
    let plane = map.flow.plane.slope;
    let (east, north) = kriged.map_or((plane.east, plane.north), |[e, n]| (e.factor, n.factor));
    let steep = libm::hypot(east, north);
    if steep > 0.0 {
        Coord { x: -east / steep, y: -north / steep }
    } else {
        Coord { x: 0.0, y: 1.0 }
    }
}

/// The transmissivity that the cone of a pumped well implies, with the 95 % interval of its factor.
fn implied_transmissivity(map: &Map, at: Coord) -> Option<Span> {
    let unit = map.site.settings.receptors.aquifer.rate_m3_per_day?;
    let rated = map.site.pumped_wells.iter().any(|p| p.rate.is_some());
    let mut cones = map.kriging_of_heads().filter(|_| rated)?.cones();
    // Wells with rates share the first cone.
    let (_, term) = cones.next().filter(|(wells, _)| wells.iter().any(|w| w.position == at))?;
    let metres = map.control.elevation_unit().metres();
    let half = NORMAL_SDS * term.standard_error;
    let of = |factor: f64| transmissivity(unit, factor * metres);
    (term.factor - half > 0.0)
        .then(|| Span { low: of(term.factor + half), high: of(term.factor - half) })
}

/// What the closed form lacks; nothing of a well that recharges, which has no capture zone.
fn missing(
    rate: Option<f64>,
    unit: Option<f64>,
    transmissivity: Option<Span>,
    gradient: Option<(Span, GradientFrom)>,
) -> Vec<&'static str> {
    if rate.is_some_and(|q| q <= 0.0) {
        return Vec::new();
    }
    let known = [
        ("rate", rate.is_some()),
        ("pumping_rate_unit", unit.is_some()),
        ("transmissivity", transmissivity.is_some()),
        ("the gradient without the pumping", gradient.is_some_and(|(i, _)| i.low > 0.0)),
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

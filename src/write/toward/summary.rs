//! `toward.json`.

use serde::Serialize;

use super::files;
use super::rows::{PlaceRow, PumpedRow, ReachRow, Rows, VerdictRow, VerticalRow};
use crate::diag::Diagnostic;
use crate::read::InputFile;
use crate::read::ReceptorSettings;
use crate::read::Span;
use crate::results::TowardResults;
use crate::toward::Role;
use crate::toward::STEP_ERROR;
use crate::units::LengthUnit;
use crate::write::decimals;
use crate::write::summary::Foot;

/// What the answer must be read with.
///
/// # References
/// First arrival before the mean by dispersion: common practice, no source. The others as those
/// of the map.
const CAUTIONS: &[&str] = &[
    "A path is the way of the mean flow on this map. Dispersion spreads a plume to all sides of it \
     and makes the first arrival earlier than the times given.",
    "Preferential pathways are not considered: channels of gravel, fractures, utility trenches and \
     leaking wells carry water faster and elsewhere.",
    "The map holds for the time of the round. Directions and gradients change with seasons, stages \
     and pumping, and a plume follows all of them one after another.",
    "Flow is taken as horizontal in one aquifer unit. Water that rises or sinks between units \
     leaves the map unseen.",
    "Velocities and times rest on ranges of conductivity and porosity. They are ranges and no \
     single value within them is the answer.",
    "Decay, volatilisation and sources that change are not considered; retardation is that of \
     linear sorption at equilibrium.",
    "Beyond the wells nothing is known: a path that leaves the mapped area may go anywhere.",
    "The probabilities speak of the errors of the heads alone, not of what the water table does \
     between wells.",
    "Levels read in pumped wells hold the losses of the well: uncorrected they exaggerate its \
     capture zone. The closed form holds for a homogeneous, isotropic aquifer of uniform \
     thickness, a fully penetrating well, steady flow, and no recharge or vertical flow.",
    "This is a screening aid. Local codes and the judgement of a licensed professional decide.",
];

/// All that is said about where the water goes: the content of `toward.json`, which
/// `docs/toward.schema.json` describes.
#[derive(Debug, Serialize)]
pub struct TowardSummary<'a> {
    /// The version of headfall.
    pub headfall: &'static str,
    /// The site's name.
    pub site: &'a str,
    /// The round's name.
    pub round: &'a str,
    /// The first reading, local clock time of the site.
    pub from: Option<String>,
    /// The last reading.
    pub to: Option<String>,
    /// The aquifer unit mapped.
    pub aquifer_unit: Option<&'a str>,
    /// The vertical datum of heads.
    pub vertical_datum: Option<&'a str>,
    /// The unit of heads.
    pub elevation_unit: LengthUnit,
    /// The foot that `_ft` stands for.
    pub foot: Foot,
    /// Every file read.
    pub inputs: Vec<&'a InputFile>,
    /// How heads between wells were worked out.
    pub surface: &'a str,
    /// How paths were followed on it.
    pub paths_by: String,
    /// `[aquifer]`, `[toward]` and `[ground]`.
    pub options: &'a ReceptorSettings,
    /// The distances used, m.
    pub distances: Distances,
    /// Retardation, dimensionless, where sorption is given.
    pub retardation: Option<Span>,
    /// Sources.
    pub sources: Vec<PlaceRow<'a>>,
    /// Receptors.
    pub receptors: Vec<PlaceRow<'a>>,
    /// Every source with every receptor.
    pub verdicts: Vec<VerdictRow<'a>>,
    /// Count of paths in `paths.geojson`.
    pub paths: usize,
    /// Water-level pairs along lines.
    pub reaches: Vec<ReachRow<'a>>,
    /// Capture zones.
    pub pumped_wells: Vec<PumpedRow<'a>>,
    /// Nested wells.
    pub vertical_gradients: Vec<VerticalRow<'a>>,
    /// The surface against the ground.
    pub ground: Option<GroundSummary>,
    /// All that was found.
    pub findings: &'a [Diagnostic],
    /// The files written, by name.
    pub files: Vec<&'static str>,
    /// What the answer must be read with.
    pub cautions: &'static [&'static str],
}

/// Distances, m.
#[derive(Debug, Clone, Copy, Serialize)]
#[expect(
    clippy::struct_field_names,
    reason = "the unit is part of every name that leaves the program"
)]
pub struct Distances {
    /// A path this near to a point reaches it.
    pub capture_m: f64,
    /// How far to each side of a line the surface was read.
    pub pair_m: f64,
    /// Wells this near to each other count as nested.
    pub nested_m: f64,
    /// Nearer to water than this the surface may stand above the ground.
    pub water_m: f64,
}

/// The surface against the ground.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct GroundSummary {
    /// Nodes without an elevation of the ground.
    pub nodes_unknown: usize,
    /// Nodes where the surface stands above the ground away from water.
    pub nodes_above: usize,
    /// Their area, m².
    pub area_above_m2: f64,
    /// By how much at most, elevation unit.
    pub highest: Option<f64>,
}

/// Sums up where the water goes.
///
/// # Units
/// Named by the members; rounded as `docs/outputs.md` says.
#[must_use]
pub fn toward_summary<'a>(results: &'a TowardResults<'a>) -> TowardSummary<'a> {
    let TowardResults { map, toward } = results;
    let rows = Rows::new(results);
    let control = map.control;
    let foot = control.elevation_unit().foot();
    let places = |role: Role| {
        (0..toward.places.len())
            .filter(|i| toward.places[*i].role == role)
            .map(|i| rows.place(i))
            .collect()
    };
    let reaches = toward
        .lines
        .iter()
        .enumerate()
        .flat_map(|(i, line)| line.reaches.iter().map(move |reach| (i, reach)))
        .map(|(i, reach)| rows.reach(i, reach));
    TowardSummary {
        headfall: env!("CARGO_PKG_VERSION"),
        site: &map.site.settings.name,
        round: &map.site.round,
        from: control.from_to().map(|(from, _)| from.to_string()),
        to: control.from_to().map(|(_, to)| to.to_string()),
        aquifer_unit: control.aquifer_unit(),
        vertical_datum: map.site.settings.vertical_datum.as_deref(),
        elevation_unit: control.elevation_unit(),
        foot: Foot { unit: foot, metres: foot.metres() },
        inputs: map.site.inputs.iter().chain(toward.ground.as_ref().map(|g| &g.input)).collect(),
        surface: &map.surface.words,
        paths_by: paths_by(toward.on_triangles),
        options: &map.site.settings.receptors,
        distances: Distances {
            capture_m: decimals::length(toward.capture_m),
            pair_m: decimals::length(toward.pair_m),
            nested_m: decimals::length(toward.nested_m),
            water_m: decimals::length(toward.water_m),
        },
        retardation: toward
            .conductor
            .and_then(|c| c.retardation)
            .map(|r| Span { low: decimals::range_end(r.low), high: decimals::range_end(r.high) }),
        sources: places(Role::Source),
        receptors: places(Role::Receptor),
        verdicts: toward.verdicts.iter().map(|v| rows.verdict(v)).collect(),
        paths: toward.paths.len(),
        reaches: reaches.collect(),
        pumped_wells: toward.pumped.iter().map(Rows::pumped).collect(),
        vertical_gradients: toward.vertical.iter().map(|g| rows.vertical(g)).collect(),
        ground: toward.ground.as_ref().map(|g| GroundSummary {
            nodes_unknown: g.unknown,
            nodes_above: g.above,
            area_above_m2: decimals::area(g.above_area_m2),
            highest: g.highest.map(|(_, by)| decimals::height(by)),
        }),
        findings: map.findings,
        files: files(toward),
        cautions: CAUTIONS,
    }
}

fn paths_by(on_triangles: bool) -> String {
    if on_triangles {
        "straight lines down each triangle's plane, exact".to_owned()
    } else {
        format!(
            "Runge-Kutta steps of orders 5 and 4 over cubic convolution of the grid, estimated \
             error at most {STEP_ERROR} of the length"
        )
    }
}

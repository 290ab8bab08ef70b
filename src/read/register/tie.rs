//! Local coordinates tied to the project CRS by wells that are known in both.

use std::fmt::Write as _;

use geo::Coord;

use crate::diag::{Code, Diagnostic, Origin, Severity, did_you_mean, listed};
use crate::geom::tolerance::{
    TIE_REACH, TIE_RESIDUAL_M, TIE_RESIDUAL_PART, TIE_SCALE_DOUBTFUL, TIE_SCALE_WRONG,
};
use crate::geom::{Crs, Similarity, bounds, distance};
use crate::read::files::names::SITE_TOML;
use crate::read::settings::declared::Declared;
use crate::read::settings::ties::{DeclaredTie, Tie, TiePoint};
use crate::read::table::rows::shown;
use crate::read::wells::order::by_name;
use crate::units::{GroundUnit, LengthUnit, brief_to, round_to};

use super::coordinates::Systems;
use super::wells::Register;

/// How ties are written, for advice.
const WRITE_TIES: &str = "write two or more [[tie]] tables in site.toml, each with well, easting and northing \
                          in the project CRS";

/// Ties local coordinates to the project CRS where the site asks for it, and moves the wells there (R138).
/// R137, R139 and R102 where what the site says of local coordinates does not fit together.
///
/// # Units
/// - `unit`: of elevations, for messages
pub(in crate::read) fn tied(
    systems: &mut Systems,
    declared: &Declared,
    register: &mut Register,
    unit: LengthUnit,
    said: &mut Vec<Diagnostic>,
) -> Option<Tie> {
    if let Some(refused) = at_odds(systems, declared) {
        said.push(refused);
        return None;
    }
    let (project, local) = systems.to_tie()?;
    let ties = &declared.ties;
    let mut found: Vec<(usize, &DeclaredTie)> = Vec::new();
    for tie in ties {
        let Some(well) = register.wells.iter().position(|w| w.id == tie.well) else {
            let text = format!("[[tie]]: well \"{}\" is not in the register", shown(&tie.well));
            let names = register.wells.iter().map(|w| w.id.as_str());
            let advice = did_you_mean(&tie.well, names, "use a well name from the register");
            said.push(refuse(text, &advice).at(&tie.origin));
            return None;
        };
        if found.iter().any(|(w, _)| *w == well) {
            let text = format!("well {} is tied twice", shown(&tie.well));
            said.push(refuse(text, "remove one of the two [[tie]] tables").at(&tie.origin));
            return None;
        }
        found.push((well, tie));
    }
    // Whatever the order of rows, sums run in this one.
    found.sort_by(|a, b| by_name(&a.1.well, &b.1.well));
    let place = |well: usize| {
        let well = &register.wells[well];
        Coord { x: well.easting, y: well.northing }
    };
    let pairs: Vec<(Coord, Coord)> = found
        .iter()
        .map(|(well, tie)| (place(*well), Coord { x: tie.easting, y: tie.northing }))
        .collect();
    let fit = match fitted(project, local, &pairs) {
        Ok(fit) => fit,
        Err(told) => {
            said.push(ties.iter().fold(*told, |told, tie| told.at(&tie.origin)));
            return None;
        }
    };
    let metres = |k: usize| {
        let (from, to) = pairs[k];
        distance(fit.moves.apply(from), to) * project.metres_per_unit()
    };
    let points = found.iter().enumerate().map(|(k, (well, tie))| TiePoint {
        well: register.wells[*well].id.clone(),
        local_easting: pairs[k].0.x,
        local_northing: pairs[k].0.y,
        easting: tie.easting,
        northing: tie.northing,
        residual_m: round_to(metres(k), 4),
    });
    let tie = Tie {
        scale: round_to(fit.scale, 8),
        site_north_azimuth_grid_deg: round_to(fit.moves.north_deg(), 6),
        points: points.collect(),
    };
    let (low, high) = bounds(register.wells.iter().map(|w| Coord { x: w.easting, y: w.northing }));
    let extent_m = distance(low, high) * local.metres_per_unit();
    let told = account(&tie, &fit, project, extent_m, GroundUnit::of(unit));
    said.push(ties.iter().fold(told, |told, tie| told.at(&tie.origin)));
    for well in &mut register.wells {
        let there = fit.moves.apply(Coord { x: well.easting, y: well.northing });
        (well.easting, well.northing) = (there.x, there.y);
    }
    systems.tie(fit.moves);
    Some(tie)
}

/// What of local coordinates does not fit together.
fn at_odds(systems: &Systems, declared: &Declared) -> Option<Diagnostic> {
    let (project, register) = (systems.project()?, systems.register_alone());
    let site = Origin::file(SITE_TOML);
    let tied_at = declared.ties.first().map(|tie| &tie.origin);
    if !project.is_on_earth() {
        let text = "[[tie]] ties local coordinates to a CRS, but crs is local";
        let advice = "write crs = \"EPSG:...\", the CRS that the ties are in, and coordinates_crs = \
                      \"local\" under [site] in site.toml; or remove the ties";
        return tied_at.map(|at| refuse(text.to_owned(), advice).at(at));
    }
    if declared.site_north_azimuth.is_some() {
        let text = format!(
            "site_north_azimuth is given, but the map is in {}, which has its own north",
            project.definition()
        );
        let advice = "remove site_north_azimuth; it belongs to crs = \"local\"";
        return Some(Diagnostic::new(Code::SiteSetting, text).at(&site).advice(advice));
    }
    let ties = declared.ties.len();
    match register.is_some_and(|r| !r.is_on_earth()) {
        true if ties < 2 => {
            let text = format!(
                "coordinates_crs is local, and {} {} to {}: at least two are needed",
                ties,
                if ties == 1 { "well is tied" } else { "wells are tied" },
                project.definition()
            );
            let advice = format!("{WRITE_TIES}; or write crs = \"local\" and no coordinates_crs");
            Some(refuse(text, advice).at(tied_at.unwrap_or(&site)))
        }
        false => tied_at.map(|at| {
            let text = "[[tie]] ties local coordinates, but the coordinates are not local";
            let advice =
                "write coordinates_crs = \"local\" under [site] in site.toml, or remove the ties";
            refuse(text.to_owned(), advice).at(at)
        }),
        true => None,
    }
}

fn refuse(text: String, advice: impl Into<String>) -> Diagnostic {
    Diagnostic::new(Code::TieUnusable, text).advice(advice)
}

/// A transformation that was found sound.
struct Fitted {
    moves: Similarity,
    /// Distance in the CRS over distance in local coordinates, both in m.
    scale: f64,
    /// The same as the CRS has it against the ground.
    of_crs: f64,
    /// Longest distance between two ties, m.
    apart_m: f64,
}

impl Fitted {
    /// How far the scale is off, as a part of it.
    fn off(&self) -> f64 {
        self.scale / self.of_crs - 1.0
    }
}

fn fitted(project: &Crs, local: &Crs, pairs: &[(Coord, Coord)]) -> Result<Fitted, Box<Diagnostic>> {
    let moves = Similarity::fit(pairs).ok_or_else(|| {
        refuse(
            "all ties are one place".to_owned(),
            "tie wells that are far apart, at the edges of the site",
        )
    })?;
    let middle = pairs.iter().fold(Coord::zero(), |sum, p| sum + p.1) / pairs.len() as f64;
    let of_crs = project.factors(&[middle]).map_err(|e| {
        refuse(
            format!("the ties are no place in {}: {e}", project.definition()),
            "check easting and northing of the ties, and crs",
        )
    })?[0]
        .scale;
    let scale = moves.scale() * project.metres_per_unit() / local.metres_per_unit();
    let apart = pairs.iter().enumerate().flat_map(|(i, p)| {
        pairs[..i].iter().map(move |q| distance(p.0, q.0) * local.metres_per_unit())
    });
    let fitted = Fitted { moves, scale, of_crs, apart_m: apart.fold(0.0, f64::max) };
    if fitted.off().abs() <= TIE_SCALE_WRONG {
        return Ok(fitted);
    }
    let other = LengthUnit::ALL.into_iter().find(|unit| {
        let ratio = scale / of_crs * local.metres_per_unit() / unit.metres();
        (ratio - 1.0).abs() <= TIE_SCALE_DOUBTFUL
    });
    let advice = match other {
        Some(unit) => format!(
            "the ties fit when the local coordinates are in {unit}: correct length_unit or the headings, or \
             the ties"
        ),
        None => "check the ties, which must be in the project CRS and its unit, the wells they name, and the \
                 unit of the local coordinates"
            .to_owned(),
    };
    Err(Box::new(refuse(
        format!(
            "the ties make a distance of 1 {} in local coordinates {} in {} (bound 1 +- {TIE_SCALE_WRONG})",
            local.unit_name(),
            brief_to(scale / of_crs, 4),
            project.definition()
        ),
        advice,
    )))
}

/// What the tie is, and how well it fits (R138).
fn account(tie: &Tie, fit: &Fitted, project: &Crs, extent_m: f64, unit: GroundUnit) -> Diagnostic {
    let residuals = tie.points.iter().map(|p| {
        let (well, metres) = (&p.well, p.residual_m);
        format!("{} {}", shown(well), unit.away_to(metres, 2))
    });
    let mut text = format!(
        "{} wells tie the local coordinates to {}: scale {}, site north {} degrees clockwise from grid \
         north; residuals {}",
        tie.points.len(),
        project.definition(),
        brief_to(tie.scale, 6),
        brief_to(tie.site_north_azimuth_grid_deg, 2),
        listed(residuals.collect::<Vec<_>>())
    );
    let mut advice = vec!["check one more well against its known position"];
    if tie.points.len() == 2 {
        text.push_str(", as always with two: nothing checks the ties");
        advice = vec!["tie a third well, which checks the other two"];
    }
    let bound_m = TIE_RESIDUAL_M.min(TIE_RESIDUAL_PART * fit.apart_m);
    let mut doubtful = false;
    if tie.points.iter().any(|p| p.residual_m > bound_m) {
        let _ = write!(text, "; more than {} is too much", unit.away_to(bound_m, 2));
        advice.insert(0, "find the tie with the wrong coordinates, or the wrong well");
        doubtful = true;
    }
    if fit.off().abs() > TIE_SCALE_DOUBTFUL {
        let _ = write!(
            text,
            "; the scale is {} % off the CRS's {} (bound {} %)",
            brief_to(100.0 * fit.off(), 2),
            brief_to(fit.of_crs, 6),
            100.0 * TIE_SCALE_DOUBTFUL
        );
        advice.insert(0, "every gradient is off by as much: survey the ties again");
        doubtful = true;
    }
    if fit.apart_m < TIE_REACH * extent_m {
        let _ = write!(
            text,
            "; the ties lie within {}, the wells within {}",
            unit.away(fit.apart_m),
            unit.away(extent_m)
        );
        advice.insert(0, "tie wells at the edges of the site");
        doubtful = true;
    }
    let mut told = Diagnostic::new(Code::Tied, text).advice(advice.join("; "));
    if doubtful {
        told.severity = Severity::Warning;
    }
    tie.points.iter().fold(told, |told, p| told.well(&p.well))
}

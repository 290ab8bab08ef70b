//! How sure the map is, as sentences and figures.

use serde::Serialize;

use crate::page::site;
use crate::page::site::Site;
use crate::page::tables;
use crate::report::measures;
use crate::uncertainty::Basis;
use crate::uncertainty::GradientError;
use crate::uncertainty::HeadSd;
use crate::uncertainty::PlaneFit;
use crate::units::median;

/// The figures of the uncertainty statement.
#[derive(Debug, Serialize)]
pub(super) struct Sure {
    parts: Vec<Part>,
    sd_least: String,
    sd_middle: String,
    sd_most: String,
    plane: Option<PlaneWords>,
    triangles: usize,
    /// Triangles that a direction may be read off.
    fit: usize,
    /// Those in which the readings rule out a level water table, and how many chance would make.
    resolved: usize,
    by_chance: String,
    /// Those whose direction is known, and their part of the mapped area.
    known: usize,
    known_area_percent: String,
    within_deg: String,
    direction_basis: &'static str,
    inferred_rule: String,
    seed: u64,
    realizations: usize,
    realizations_asked: usize,
    /// The middle of the triangles' circular standard deviations over the realizations, degrees.
    spread_deg: Option<String>,
}

/// One part of a head's error.
#[derive(Debug, Serialize)]
struct Part {
    name: &'static str,
    setting: &'static str,
    declared: String,
    unit: String,
    /// The largest it is for any well, elevation unit.
    most: String,
}

/// The plane's error.
#[derive(Debug, Serialize)]
struct PlaneWords {
    gradient: String,
    direction: String,
    resolved: bool,
    /// Whether the residuals, not the declared errors, are what it is stated from.
    from_residuals: bool,
    variance_ratio: Option<String>,
    /// Whether the residuals are more than error of the heads.
    beyond_errors: bool,
    /// From the declared errors alone.
    head_errors: String,
    head_errors_direction: String,
    /// From the residuals alone.
    residuals: Option<String>,
    residuals_direction: Option<String>,
}

/// The statement of a site.
pub(super) fn sure(site: &Site) -> Sure {
    let uncertainty = &site.results.uncertainty;
    let mut sds: Vec<f64> =
        (0..uncertainty.heads.len()).filter_map(|i| tables::sd(site, i)).collect();
    sds.sort_by(f64::total_cmp);
    let sd = |k: usize| sds.get(k).map_or_else(String::new, |v| measures::sd(*v));
    let triangles = site.results.mesh.triangles();
    let is_known = |i: &usize| site.results.known(*i).is_some_and(|d| d.known);
    let area = |i: usize| triangles[i].area_m2;
    let all: f64 = (0..triangles.len()).map(area).sum();
    let known: f64 = (0..triangles.len()).filter(is_known).map(area).sum();
    let resolved = site.results.resolved();
    let directions = &uncertainty.directions;
    let settings = &site.results.site.settings.uncertainty;
    Sure {
        parts: parts(site),
        sd_least: sd(0),
        sd_middle: median(sds.iter().copied()).map_or_else(String::new, measures::sd),
        sd_most: sd(sds.len().saturating_sub(1)),
        plane: plane(site),
        triangles: triangles.len(),
        fit: resolved.fit,
        resolved: resolved.resolved,
        by_chance: measures::fixed(resolved.by_chance, 0),
        known: directions.known(),
        known_area_percent: measures::fixed(100.0 * known / all.max(f64::MIN_POSITIVE), 0),
        within_deg: measures::significant(directions.within_deg, 3),
        direction_basis: directions.basis.words(),
        inferred_rule: uncertainty.inferred_rule.clone(),
        seed: uncertainty.realizations.seed,
        realizations: uncertainty.realizations.members,
        realizations_asked: settings.ensemble.members,
        spread_deg: middle_spread(site),
    }
}

fn middle_spread(site: &Site) -> Option<String> {
    let middle = median(site.results.uncertainty.spreads.iter().map(|s| s.sd_deg));
    Some(measures::significant(middle.filter(|s| s.is_finite())?, 2))
}

fn parts(site: &Site) -> Vec<Part> {
    let declared = site.results.round.head_errors;
    let (elevation, depth) = (site.elevation, site.depth);
    let length = |metres: f64, unit: crate::units::LengthUnit| {
        let value = crate::units::LengthUnit::Metre.convert(metres, unit);
        (measures::significant(value, 2), unit.in_words().to_owned())
    };
    let plain = |value: f64, unit: &str| (measures::significant(value, 2), unit.to_owned());
    let most = |part: fn(&HeadSd) -> f64| {
        let metres = site.results.uncertainty.heads.iter().map(part).fold(0.0, f64::max);
        measures::fixed(site.in_elevation_unit(metres), 4)
    };
    let part = |name, setting, (declared, unit): (String, String), most| Part {
        name,
        setting,
        declared,
        unit,
        most,
    };
    vec![
        part(
            "one reading",
            "reading_sd",
            length(declared.reading_sd_m, depth),
            most(|h| h.reading_m),
        ),
        part(
            "length of the tape",
            "tape_sd_per_length",
            plain(declared.tape_sd_per_length, "of the depth"),
            most(|h| h.tape_m),
        ),
        part(
            "survey of the measuring point",
            "survey_sd",
            length(declared.survey_sd_m, elevation),
            most(|h| h.survey_m),
        ),
        part(
            "lean of the well",
            "lean_per_length",
            plain(declared.lean_per_length, "of the depth, sideways"),
            most(|h| h.lean_m),
        ),
        part(
            "change of levels during the round",
            "level_change_per_hour",
            {
                let (value, unit) = length(declared.level_change_m_per_hour, elevation);
                (value, format!("{unit} per hour"))
            },
            most(|h| h.time_m),
        ),
        part(
            "specific gravity of floating product",
            "specific_gravity_sd",
            plain(declared.specific_gravity_sd, "of its thickness"),
            most(|h| h.product_m),
        ),
        part(
            "position of the well",
            "position_sd",
            {
                let sd = site.results.site.settings.uncertainty.position_sd;
                let (value, unit) =
                    length(sd * site.results.control.crs().metres_per_unit(), elevation);
                let own = site.results.site.wells.iter().any(|w| w.position_sd.is_some());
                (value, if own { format!("{unit}, or as in the register") } else { unit })
            },
            most(|h| h.position_m),
        ),
    ]
}

fn plane(site: &Site) -> Option<PlaneWords> {
    let error = site.results.uncertainty.plane.as_ref()?;
    let azimuth = site.results.flow.plane_azimuth();
    let interval = |e: &GradientError| measures::magnitude(e.magnitude);
    let direction = |e: &GradientError| site::direction(azimuth, Some(e), site.norths);
    let stated = &error.stated;
    Some(PlaneWords {
        gradient: interval(stated),
        direction: direction(stated),
        resolved: stated.resolved,
        from_residuals: error.basis == Basis::Residuals,
        variance_ratio: error.variance_ratio.map(|v| measures::significant(v, 2)),
        beyond_errors: error.fit != PlaneFit::WithinErrors,
        head_errors: interval(&error.from_head_errors),
        head_errors_direction: direction(&error.from_head_errors),
        residuals: error.from_residuals.as_ref().map(interval),
        residuals_direction: error.from_residuals.as_ref().map(direction),
    })
}

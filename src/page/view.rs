//! Everything the page shows, as the templates take it.

use serde::Serialize;

use crate::diag::Severity;
use crate::flow::{MOST_OF_AREA, OverMap};
use crate::page::explain;
use crate::page::explain::Group;
use crate::page::limits::MOST_ROWS;
use crate::page::map;
use crate::page::map::Map;
use crate::page::measures;
use crate::page::plain;
use crate::page::record;
use crate::page::record::Record;
use crate::page::residuals;
use crate::page::residuals::Residuals;
use crate::page::rose;
use crate::page::rose::Rose;
use crate::page::site;
use crate::page::site::Site;
use crate::page::sure;
use crate::page::sure::Sure;
use crate::page::tables;
use crate::page::tables::{AsideRow, HeadRow, Table, TriangleRow};
use crate::page::toward;
use crate::page::toward::Answers;
use crate::reduce::Fate;
use crate::report::Results;
use crate::units::LengthUnit;
use crate::units::clean;

/// The page.
#[derive(Debug, Serialize)]
pub(super) struct Page {
    head: Head,
    answer: Answer,
    map: Map,
    rose: Rose,
    rose_reach: f64,
    rose_arrow: f64,
    residuals: Residuals,
    heads: Table<HeadRow>,
    aside: Table<AsideRow>,
    findings: Vec<Group>,
    warnings: usize,
    notes: usize,
    triangles: Table<TriangleRow>,
    sure: Sure,
    /// What the water meets, where that was asked.
    pub(super) toward: Option<Answers>,
    surface: Surface,
    record: Record,
    cautions: Vec<&'static str>,
    most_rows: usize,
}

/// What was mapped.
#[derive(Debug, Serialize)]
struct Head {
    site: String,
    round: String,
    from: Option<String>,
    to: Option<String>,
    aquifer_unit: Option<String>,
    vertical_datum: Option<String>,
    elevation_unit: &'static str,
    depth_unit: &'static str,
    /// Whether a unit of the page is the US survey foot, which then is explained.
    survey_foot: bool,
    interval: String,
    /// What carries the map.
    carriers: String,
    lowest: String,
    highest: String,
    readings: usize,
    used: usize,
    set_aside: usize,
}

/// What the heads say as a whole.
#[derive(Debug, Serialize)]
struct Answer {
    gradient: String,
    gradient_interval: Option<String>,
    /// The direction of flow against true north; none where it is not resolved.
    toward: Option<String>,
    /// Its 95 % interval, degrees.
    arc: Option<String>,
    toward_grid: Option<String>,
    /// Whether it is resolved by so little that it holds in fewer than 95 of 100 rounds.
    only_just: bool,
    /// What is said where there is no direction.
    verdict: &'static str,
    /// Whether the plane does not describe the heads.
    poor: bool,
    /// What holds over the map.
    over_map: Option<Over>,
    r_squared: Option<String>,
    residual_sd: Option<String>,
    mean_gradient: String,
    mean_direction: Option<String>,
    agreement: String,
}

/// Gradient and direction as they range over most of the map.
#[derive(Debug, Serialize)]
struct Over {
    /// The part of the mapped area, percent.
    percent: String,
    gradient: String,
    /// Against true north; none where there is no single direction.
    toward: Option<String>,
}

/// How heads between wells were worked out.
#[derive(Debug, Serialize)]
struct Surface {
    /// The method's name, which chooses its part of the method statement.
    method: &'static str,
    words: String,
    unconfined_base: Option<String>,
    has_sd: bool,
    kriging: Option<Kriging>,
}

/// What kriging rests on.
#[derive(Debug, Serialize)]
struct Kriging {
    model: &'static str,
    partial_sill: String,
    range: String,
    nugget: String,
    anisotropy: Option<(String, String)>,
    fitted: bool,
    trend: Vec<(String, String, String)>,
}

impl Page {
    /// The page of a map.
    pub(super) fn of(results: &Results) -> Self {
        let site = &Site::of(results);
        Self {
            head: head(site),
            answer: answer(site),
            map: map::map(site),
            rose: rose::rose(site),
            rose_reach: rose::REACH,
            rose_arrow: rose::ARROW_LENGTH,
            residuals: residuals::residuals(site),
            heads: tables::heads(site),
            aside: tables::aside(site),
            findings: explain::groups(results.findings),
            warnings: results.findings_of(Severity::Warning),
            notes: results.findings_of(Severity::Note),
            triangles: tables::triangles(site),
            sure: sure::sure(site),
            toward: toward::answers(site),
            surface: surface(site),
            record: record::record(site),
            cautions: results.cautions(),
            most_rows: MOST_ROWS,
        }
    }
}

fn head(site: &Site) -> Head {
    let (control, file) = (&site.results.control, &site.results.site);
    let readings = site.results.control.accounts().iter().count();
    let used = site.results.control.accounts().iter().filter(|a| a.fate == Fate::Used).count();
    // A stage between surveyed places was not measured.
    let heads = || control.wells().into_iter().map(|i| control.points()[i].head);
    Head {
        site: plain::text(&file.settings.name),
        round: plain::text(&site.results.round.name),
        from: control.from_to().map(|(from, _)| site::moment(from)),
        to: control.from_to().map(|(_, to)| site::moment(to)),
        aquifer_unit: control.aquifer_unit().map(plain::text),
        vertical_datum: file.settings.vertical_datum.as_deref().map(plain::text),
        elevation_unit: site.elevation.in_words(),
        depth_unit: site.depth.in_words(),
        survey_foot: [site.elevation, site.depth].contains(&LengthUnit::UsSurveyFoot),
        interval: format!(
            "{} {}",
            clean(site.results.contours.interval),
            site.elevation.in_words()
        ),
        carriers: site.results.control_words(),
        lowest: measures::height(heads().fold(f64::INFINITY, f64::min), site.elevation),
        highest: measures::height(heads().fold(f64::NEG_INFINITY, f64::max), site.elevation),
        readings,
        used,
        set_aside: readings - used,
    }
}

fn answer(site: &Site) -> Answer {
    let flow = &site.results.flow;
    let error = site.results.uncertainty.plane.as_ref().map(|p| p.stated);
    let convergence = site.factors().convergence_deg;
    let resolved = error.is_none_or(|e| e.resolved);
    Answer {
        gradient: measures::significant(flow.plane_gradient, 2),
        gradient_interval: error.map(|e| {
            let end = |v| measures::significant(v, 2);
            format!("{} to {}", end(e.magnitude.low), end(e.magnitude.high))
        }),
        toward: flow.plane_azimuth_true.filter(|_| resolved).map(site::toward),
        arc: error.filter(|_| resolved).map(|e| measures::arc(e.direction.turned(convergence))),
        toward_grid: flow
            .plane_azimuth_grid
            .filter(|_| resolved)
            .map(|a| format!("{}°", a.whole_degrees())),
        only_just: error.is_some_and(|e| e.only_just),
        verdict: if flow.plane_azimuth_true.is_none() {
            "none: the heads are level"
        } else {
            "direction not resolved"
        },
        poor: !site.results.plane_describes(),
        over_map: flow.over_map.as_ref().map(over_map),
        r_squared: flow.plane.r_squared.map(|r| measures::fixed(r, 3)),
        residual_sd: flow.plane.residual_sd.map(|sd| {
            format!("{} {}", measures::sd(site.in_elevation_unit(sd)), site.elevation.in_words())
        }),
        mean_gradient: measures::significant(flow.mean.gradient, 2),
        mean_direction: flow.mean.azimuth_true.filter(|_| resolved).map(site::toward),
        agreement: measures::fixed(flow.mean.agreement, 2),
    }
}

fn over_map(range: &OverMap) -> Over {
    let number = |v| measures::significant(v, 2);
    Over {
        percent: measures::fixed(100.0 * MOST_OF_AREA, 0),
        gradient: format!("{} to {}", number(range.gradient_low), number(range.gradient_high)),
        toward: range
            .azimuths_true
            .map(|[from, to]| format!("{}° to {}°", from.whole_degrees(), to.whole_degrees())),
    }
}

fn surface(site: &Site) -> Surface {
    let surface = &site.results.surface;
    let settings = &site.results.site.settings.surface;
    Surface {
        method: surface.method.name(),
        words: plain::text(&surface.words),
        unconfined_base: settings.unconfined_base.map(|b| site.head(b)),
        has_sd: surface.sd.is_some(),
        kriging: surface.kriging.as_ref().map(|k| Kriging {
            model: k.covariance.model.name(),
            partial_sill: measures::three_digits(k.covariance.partial_sill),
            range: site.ground().brief(k.covariance.range_m),
            nugget: measures::three_digits(k.covariance.nugget),
            anisotropy: k
                .covariance
                .anisotropy
                .map(|a| (measures::fixed(a.azimuth_deg, 0), measures::fixed(a.ratio, 2))),
            fitted: k.fit.is_some(),
            trend: k
                .trend
                .iter()
                .map(|t| {
                    let number = measures::three_digits;
                    (plain::text(&t.name), number(t.factor), number(t.standard_error))
                })
                .collect(),
        }),
    }
}

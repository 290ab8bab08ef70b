//! Everything the page shows, as the templates take it.

use serde::Serialize;

use crate::page::explain;
use crate::page::explain::Group;
use crate::page::limits::MOST_ROWS;
use crate::page::map;
use crate::page::map::Map;
use crate::page::nests;
use crate::page::nests::Nests;
use crate::page::plain;
use crate::page::record;
use crate::page::record::Record;
use crate::page::residuals;
use crate::page::residuals::Residuals;
use crate::page::rose;
use crate::page::rose::Rose;
use crate::page::site::Site;
use crate::page::sure;
use crate::page::sure::Sure;
use crate::page::tables;
use crate::page::tables::{AsideRow, HeadRow, JudgedRow, Table, TriangleRow};
use crate::page::toward;
use crate::page::toward::Answers;
use crate::report::measures;
use crate::report::{Facts, Results, Statement};
use crate::units::LengthUnit;

/// The page.
#[derive(Debug, Serialize)]
pub(super) struct Page {
    head: Head,
    answer: Statement,
    map: Map,
    rose: Rose,
    rose_reach: f64,
    rose_arrow: f64,
    residuals: Residuals,
    heads: Table<HeadRow>,
    nests: Option<Nests>,
    judged: Table<JudgedRow>,
    aside: Table<AsideRow>,
    findings: Vec<Group>,
    triangles: Table<TriangleRow>,
    sure: Sure,
    /// What the water meets, where that was asked.
    pub(super) toward: Option<Answers>,
    surface: Surface,
    record: Record,
    cautions: Vec<&'static str>,
    most_rows: usize,
}

/// What was mapped, with names that are safe to show.
#[derive(Debug, Serialize)]
struct Head {
    #[serde(flatten)]
    facts: Facts,
    /// Whether a unit of the page is the US survey foot, which then is explained.
    survey_foot: bool,
}

/// How heads between wells were worked out.
#[derive(Debug, Serialize)]
struct Surface {
    /// The method's name, which chooses its part of the method statement.
    method: &'static str,
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
            answer: Statement::of(results),
            map: map::map(site),
            rose: rose::rose(site),
            rose_reach: rose::REACH,
            rose_arrow: rose::ARROW_LENGTH,
            residuals: residuals::residuals(site),
            heads: tables::heads(site),
            nests: nests::nests(site),
            judged: tables::judged(site),
            aside: tables::aside(site),
            findings: explain::groups(results.findings),
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
    let facts = Facts::of(site.results);
    let safe = |text: Option<String>| text.as_deref().map(plain::text);
    Head {
        facts: Facts {
            site: plain::text(&facts.site),
            round: plain::text(&facts.round),
            aquifer_unit: safe(facts.aquifer_unit),
            vertical_datum: safe(facts.vertical_datum),
            surface: plain::text(&facts.surface),
            ..facts
        },
        survey_foot: [site.elevation, site.depth].contains(&LengthUnit::UsSurveyFoot),
    }
}

fn surface(site: &Site) -> Surface {
    let surface = &site.results.surface;
    let settings = &site.results.site.settings.surface;
    Surface {
        method: surface.method.name(),
        unconfined_base: settings.unconfined_base.map(|b| site.head(b)),
        has_sd: surface.sd.is_some(),
        kriging: surface.kriging.as_ref().map(|k| Kriging {
            model: k.covariance.model.name(),
            partial_sill: measures::three_digits(k.covariance.partial_sill),
            range: site.ground().away(k.covariance.range_m),
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

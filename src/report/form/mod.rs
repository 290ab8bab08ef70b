//! The field sheet for the next round: its rows, decided once for table, page and terminal.

mod expected;
mod past;

use std::sync::Arc;

use geo::Coord;
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use crate::check::Parts;
use crate::diag::{Code, Diagnostic};
use crate::geom::{Crs, CrsKind, round_trip, trip_length};
use crate::read::{InputFile, Site, Status, Well, WellKind};
use crate::record::ReducedRound;
use crate::report::digits;
use crate::report::site_record::SiteRecord;
use crate::schema::Day;
use crate::units::{GroundUnit, LengthUnit};

pub use expected::{Expected, ExpectedBy, expected};

use past::{Past, Quantity};

/// Decimals of a field sheet: those of the readings, within these.
const DECIMALS: (i32, i32) = (2, 3);

/// The field sheet for the next round of a site.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Form {
    /// The site.
    #[serde(skip)]
    pub site: Arc<Site>,
    /// The day of the next round, where it was given.
    #[schemars(with = "Option<Day>")]
    pub day: Option<String>,
    /// The day whose season is expected: that of the next round, else of the newest.
    #[schemars(with = "Option<Day>")]
    pub season_of: Option<String>,
    /// The newest round.
    pub newest_round: Option<String>,
    /// Unit of what is read.
    #[serde(skip)]
    pub depth_unit: LengthUnit,
    /// Decimals of what is read.
    #[serde(skip)]
    pub decimals: i32,
    /// The wells in the order in which they are walked to.
    pub wells: Vec<FormRow>,
    /// The way past all of them and back in straight lines, m, or ft where elevations are in feet; none where the places
    /// have no length unit.
    pub round_trip: Option<f64>,
    /// Its unit.
    #[schemars(extend("enum" = ["m", "ft"]))]
    pub round_trip_unit: &'static str,
    /// Wells that were found destroyed when they were last looked for.
    pub destroyed: Vec<String>,
    /// Rounds that could not be read, and why.
    pub not_read: Vec<(String, String)>,
    /// Every file read, each once.
    pub inputs: Vec<InputFile>,
}

/// A well of a field sheet.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FormRow {
    /// Its place in the walking order, from 1 on.
    #[schemars(range(min = 1))]
    pub order: usize,
    /// The well.
    pub well: String,
    /// `well` or `gauge`.
    #[schemars(with = "WellKind")]
    pub kind: &'static str,
    /// What is read: `depth to water`, `pressure head`, `stage` or `elevation`.
    #[schemars(extend("enum" = ["depth to water", "pressure head", "stage", "elevation"]))]
    pub reads: &'static str,
    /// Elevation of its measuring point, elevation unit.
    pub measuring_point: Option<f64>,
    /// What was read last, from the measuring point of today, in the unit of what is read.
    pub last: Option<f64>,
    /// The day of that reading.
    #[schemars(with = "Option<Day>")]
    pub last_read: Option<String>,
    /// Between which values it is expected this time, in the same unit.
    pub expected: Option<Expected>,
    /// Depth of the bottom below the measuring point, sounded or as built, depth unit.
    pub bottom: Option<f64>,
    /// Whether product was ever read in it.
    pub product: bool,
    /// Whether it is read with a chalked tape.
    pub chalked: bool,
    /// Whether the last reading is doubtful: read twice this time.
    pub take_again: bool,
    /// What to know before it is read.
    pub remarks: Vec<String>,
}

impl Form {
    /// The sheet for the round of a day, or of the season of the newest one.
    ///
    /// `rounds` are those of the record, and `newest` what was found in the newest of them.
    #[must_use]
    pub fn new(
        record: SiteRecord,
        rounds: &[ReducedRound<'_>],
        newest: &[Diagnostic],
        day: Option<Date>,
    ) -> Self {
        let site = Arc::clone(&record.site);
        let place = |r: &ReducedRound<'_>| {
            record.record.rounds.iter().position(|row| row.round == r.round.name)
        };
        let mut rounds = rounds.to_vec();
        rounds.sort_by_key(place);
        let last = record.record.rounds.last();
        let season = day.or_else(|| last?.day.as_ref()?.parse().ok());
        let unit = site.settings.depth_unit.or_else(|| rounds.last().map(|r| r.round.depth_unit));
        let unit = unit.unwrap_or(site.settings.elevation_unit);
        let point = |well: &Well| past::measuring_point(&site, &well.id, season);
        let points: Vec<Option<f64>> = site.wells.iter().map(point).collect();
        let past =
            |(i, point): (usize, &Option<f64>)| past::of_well(&site, &rounds, i, *point, unit);
        let pasts: Vec<Vec<Past<'_>>> = points.iter().enumerate().map(past).collect();
        let decimals = pasts.iter().flatten().filter_map(|p| p.decimals).max();
        let decimals = decimals.unwrap_or(DECIMALS.0).clamp(DECIMALS.0, DECIMALS.1);
        let is_gone = |i: &usize| pasts[*i].last().is_some_and(|p| p.status == Status::Destroyed);
        let all = 0..site.wells.len();
        let (gone, there): (Vec<usize>, Vec<usize>) = all.partition(is_gone);
        let (places, metres) = places(&site, &there);
        let way = round_trip(&places);
        let doubtful = record.doubtful();
        let doubts = |well: &str| -> Vec<String> {
            let Some(last) = last else { return Vec::new() };
            let of_record = doubtful.iter().filter(|d| d.well == well && d.round == last.round);
            let mut found: Vec<String> = of_record
                .map(|d| match d.would_explain.as_str() {
                    "" => format!("{} in {}", d.kind, d.round),
                    why => format!("{} in {} ({why})", d.kind, d.round),
                })
                .collect();
            let of_round = |d: &&Diagnostic| {
                d.code == Code::OffNeighbours && d.wells.iter().any(|w| w == well)
            };
            if newest.iter().any(|d| of_round(&d)) {
                found.push(format!("did not fit its neighbours in {}", last.round));
            }
            found
        };
        let row = |(order, at): (usize, &usize)| {
            let i = there[*at];
            let doubts = doubts(&site.wells[i].id);
            row(&site, (order + 1, i), (points[i], &pasts[i]), doubts, season, (unit, decimals))
        };
        let ground = GroundUnit::of(site.settings.elevation_unit);
        let wells = way.iter().enumerate().map(row).collect();
        Self {
            day: day.map(|day| day.to_string()),
            season_of: season.map(|day| day.to_string()),
            newest_round: last.map(|r| r.round.clone()),
            depth_unit: unit,
            decimals,
            wells,
            round_trip: metres.map(|metres| {
                let length = trip_length(&places, &way) * metres;
                digits::length(ground.length(length))
            }),
            round_trip_unit: ground.name(),
            destroyed: gone.into_iter().map(|i| site.wells[i].id.clone()).collect(),
            not_read: record.not_read,
            inputs: record.inputs,
            site,
        }
    }

    /// Whether product was ever read in some well.
    #[must_use]
    pub fn has_product(&self) -> bool {
        self.wells.iter().any(|w| w.product)
    }
}

/// Positions of the wells in the project CRS, or as given where the conversion fails; and the length of their unit, m,
/// where it is known.
fn places(site: &Site, wells: &[usize]) -> (Vec<Coord>, Option<f64>) {
    let given = wells.iter().map(|i| &site.wells[*i]);
    let given: Vec<Coord> = given.map(|w| Coord { x: w.easting, y: w.northing }).collect();
    let Ok(crs) = Crs::of(&site.settings.crs, site.settings.length_unit) else {
        return (given, None);
    };
    let metres = (crs.kind() != CrsKind::Geographic).then(|| crs.metres_per_unit());
    let Some(source) = &site.settings.coordinates_crs else { return (given, metres) };
    let mut places = given.clone();
    let converted = Crs::lookup(source).and_then(|source| crs.convert_from(&source, &mut places));
    if converted.is_ok() { (places, metres) } else { (given, None) }
}

fn row(
    site: &Site,
    (order, i): (usize, usize),
    (measuring_point, pasts): (Option<f64>, &[Past<'_>]),
    doubts: Vec<String>,
    season: Option<Date>,
    (unit, decimals): (LengthUnit, i32),
) -> FormRow {
    let well = &site.wells[i];
    let last = pasts.iter().rev().find(|p| p.read.is_some());
    let (quantity, value) =
        last.and_then(|p| p.read).map_or((None, None), |(q, v)| (Some(q), Some(v)));
    let usual = if well.kind == WellKind::Gauge { Quantity::Stage } else { Quantity::Depth };
    let quantity = quantity.unwrap_or(usual);
    let of_kind: Vec<(Option<Date>, f64)> = pasts
        .iter()
        .filter(|p| p.is_static)
        .filter_map(|p| Some((p.day, p.read.filter(|(q, _)| *q == quantity)?.1)))
        .collect();
    let parts = Parts::of(well, measuring_point, &site.settings);
    let bottom = parts.sounded.or(parts.bottom).zip(measuring_point);
    let bottom =
        bottom.map(|(bottom, point)| site.settings.elevation_unit.convert(point - bottom, unit));
    let mut remarks = Vec::new();
    match pasts.last() {
        None => remarks.push("no reading in any round".to_owned()),
        Some(p) => remarks.extend(state(p)),
    }
    if measuring_point.is_none() && quantity != Quantity::Elevation {
        remarks.push("no elevation of the measuring point is known: survey it".to_owned());
    }
    let take_again = !doubts.is_empty();
    remarks.extend(doubts.into_iter().map(|doubt| format!("read it twice: {doubt}")));
    FormRow {
        order,
        well: well.id.clone(),
        kind: well.kind.word(),
        reads: match quantity {
            Quantity::Depth => "depth to water",
            Quantity::PressureHead => "pressure head",
            Quantity::Stage => "stage",
            Quantity::Elevation => "elevation",
        },
        measuring_point: measuring_point.map(digits::height),
        last: value.map(digits::height),
        last_read: last.and_then(|p| p.day).map(|day| day.to_string()),
        expected: expected(&of_kind, season, decimals),
        bottom: bottom.map(digits::height),
        product: pasts.iter().any(|p| p.has_product),
        chalked: last.is_some_and(|p| p.is_chalked),
        take_again,
        remarks,
    }
}

/// The state in which a well was found last, unless it was at rest.
fn state(past: &Past<'_>) -> Option<String> {
    let state = match past.status {
        Status::Static => return None,
        Status::NotUsed => "left out",
        status => status.word(),
    };
    Some(format!("{state} in {}", past.round))
}

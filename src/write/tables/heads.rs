//! `heads.csv`.

use std::borrow::Cow;
use std::io;
use std::path::Path;

use serde::Serialize;

use crate::diag::Code;
use crate::read::Measurement;
use crate::read::WellKind;
use crate::reduce::Fate;
use crate::reduce::ReadingAccount;
use crate::report::digits;
use crate::units::LengthUnit;
use crate::write::context::Context;
use crate::write::tables::cell;
use crate::write::tables::table::table;

#[derive(Default, Serialize)]
struct Row<'a> {
    well: Cow<'a, str>,
    kind: Option<WellKind>,
    aquifer_unit: Option<Cow<'a, str>>,
    easting: Option<f64>,
    northing: Option<f64>,
    read_at: Option<String>,
    number: Option<u32>,
    status: &'static str,
    instrument: Option<Cow<'a, str>>,
    depth_unit: Option<LengthUnit>,
    depth_to_water: Option<f64>,
    depth_to_product: Option<f64>,
    specific_gravity: Option<f64>,
    hold: Option<f64>,
    cut: Option<f64>,
    pressure_head: Option<f64>,
    stage: Option<f64>,
    corrected_depth: Option<f64>,
    product_thickness: Option<f64>,
    elevation_unit: Option<LengthUnit>,
    elevation: Option<f64>,
    measuring_point_elevation: Option<f64>,
    head_m: Option<f64>,
    head_ft: Option<f64>,
    fate: &'static str,
    reason: Option<Cow<'a, str>>,
    finding: Option<&'static str>,
    remark: Option<Cow<'a, str>>,
    file: Cow<'a, str>,
    line: Option<u64>,
}

/// Writes every reading of the round, in the order of wells and readings.
pub(in crate::write) fn heads(context: &Context, path: &Path) -> io::Result<()> {
    let accounts = context.results.control.accounts();
    table(path, accounts.len(), |i| row(context, &accounts[i]))
}

fn row<'a>(context: &Context<'a>, account: &'a ReadingAccount) -> Row<'a> {
    let (site, round) = (&context.results.site, &context.results.round);
    let (well, reading) = (&site.wells[account.well], &round.readings[account.reading]);
    let position = context.results.control.places()[account.well].map(|p| p.crs);
    let head = account.head.map(|h| context.units.elevation(h));
    let read = AsRead::of(&reading.measurement);
    let (fate, reason, finding) = match &account.fate {
        Fate::Used => ("used", None, None),
        Fate::NotUsed { code, reason } => ("not used", Some(reason.as_str()), *code),
    };
    Row {
        well: cell::text(&well.id),
        kind: Some(well.kind),
        aquifer_unit: well.aquifer_unit.as_deref().map(cell::text),
        easting: position.map(|p| digits::position(p.x)),
        northing: position.map(|p| digits::position(p.y)),
        read_at: reading.moment.map(|m| m.to_string()),
        number: reading.number,
        status: reading.status.word(),
        instrument: reading.instrument.as_deref().map(cell::text),
        depth_unit: Some(context.units.depth),
        depth_to_water: read.depth_to_water,
        depth_to_product: read.depth_to_product,
        specific_gravity: read.specific_gravity,
        hold: read.hold,
        cut: read.cut,
        pressure_head: read.pressure_head,
        stage: read.stage,
        corrected_depth: account.corrected_depth.map(digits::height),
        product_thickness: account.product_thickness.map(digits::height),
        elevation_unit: Some(context.units.elevation),
        elevation: read.elevation.or(reading.written_elevation),
        measuring_point_elevation: account.measuring_point.map(digits::height),
        head_m: head.map(|h| h.m),
        head_ft: head.map(|h| h.ft),
        fate,
        reason: reason.map(cell::text),
        finding: finding.map(Code::id),
        remark: reading.remark.as_deref().map(cell::text),
        file: cell::text(&reading.origin.file),
        line: reading.origin.row(),
    }
}

/// A measurement spread over the columns it came from, with every digit as read.
#[derive(Default)]
struct AsRead {
    depth_to_water: Option<f64>,
    depth_to_product: Option<f64>,
    specific_gravity: Option<f64>,
    hold: Option<f64>,
    cut: Option<f64>,
    pressure_head: Option<f64>,
    stage: Option<f64>,
    elevation: Option<f64>,
}

impl AsRead {
    fn of(measurement: &Measurement) -> Self {
        let none = Self::default();
        match *measurement {
            Measurement::None => none,
            Measurement::Depth(d) => Self { depth_to_water: Some(d), ..none },
            Measurement::HoldAndCut { hold, cut } => {
                Self { hold: Some(hold), cut: Some(cut), ..none }
            }
            Measurement::Product { to_product, to_water, specific_gravity } => Self {
                depth_to_product: Some(to_product),
                depth_to_water: Some(to_water),
                specific_gravity,
                ..none
            },
            Measurement::PressureHead(p) => Self { pressure_head: Some(p), ..none },
            Measurement::Stage(s) => Self { stage: Some(s), ..none },
            Measurement::Elevation(e) => Self { elevation: Some(e), ..none },
        }
    }
}

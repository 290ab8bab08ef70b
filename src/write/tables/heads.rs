//! `heads.csv`: every reading, and the mean where a head is one, with the terms that the head is the sum of.

use geo::Coord;

use crate::diag::Code;
use crate::read::Reading;
use crate::read::Well;
use crate::report::Contoured;
use crate::report::Level;
use crate::report::Terms;
use crate::report::digits;
use crate::units::Decimal;
use crate::units::LengthUnit;
use crate::write::context::Context;
use crate::write::tables::columns::Columns;
use crate::write::tables::grid::Grid;

/// A row: a reading, or a mean.
struct Row<'a> {
    level: &'a Level<'a>,
    /// The reading, of a mean the last one.
    reading: &'a Reading,
    well: &'a Well,
    position: Option<Coord>,
    terms: Terms,
}

impl<'a> Row<'a> {
    fn is_mean(&self) -> bool {
        self.level.accounts.len() > 1
    }

    /// What is a reading's own and no mean's.
    fn own<T>(&self, of: impl FnOnce(&'a Reading) -> T) -> Option<T> {
        (!self.is_mean()).then(|| of(self.reading))
    }
}

fn whole(number: u32) -> Decimal {
    Decimal::new(f64::from(number), 0)
}

/// Every reading of the round, in the order of wells and readings.
pub(in crate::write) fn heads<'a>(context: &'a Context<'a>) -> Grid<'a> {
    let rows = context.levels.rows();
    columns(context).with_round(&context.of).grid(rows.len(), move |i| {
        let level = &rows[i];
        Row {
            level,
            reading: context.levels.reading(level),
            well: &context.results.site.wells[level.well],
            position: context.results.control.places()[level.well].map(|p| p.crs),
            terms: context.levels.terms(level),
        }
    })
}

fn columns<'a>(context: &'a Context<'a>) -> Columns<'a, Row<'a>> {
    let (depth, elevation) = (context.units.depth, context.units.elevation);
    let of_depth = |name: &str| format!("{name}_{}", depth.in_names());
    let of_elevation = |name: &str| format!("{name}_{}", elevation.in_names());
    let position = |value: f64| Decimal::new(digits::position(value), 0);
    let columns = Columns::new()
        .with("well", |r: &Row<'a>| r.well.id.as_str())
        .with("kind", |r| r.well.kind.word())
        .with("aquifer_unit", |r| r.well.aquifer_unit.as_deref())
        .with("easting", move |r| r.position.map(|p| position(p.x)))
        .with("northing", move |r| r.position.map(|p| position(p.y)))
        .with("row", |r| if r.is_mean() { "mean" } else { "reading" })
        .with("used_for_contouring", |r| match r.level.contoured {
            Contoured::Yes => "yes",
            Contoured::InTheMean => "in the mean",
            Contoured::No { .. } => "no",
        })
        .with("read_at", |r| r.reading.moment.map(|m| m.to_string()))
        .with("number", |r| r.own(|reading| reading.number).flatten().map(whole))
        .with("status", |r| r.reading.status.word())
        .with("instrument", |r| r.own(|reading| reading.instrument.as_deref()).flatten())
        .with(of_depth("hold"), |r| r.terms.hold)
        .with(of_depth("cut"), |r| r.terms.cut)
        .with(of_depth("depth_to_product"), |r| r.terms.to_product)
        .with(of_depth("depth_to_water"), |r| r.terms.to_water)
        .with(of_depth("instrument_correction"), |r| r.terms.instrument_correction)
        .with(of_depth("product_thickness"), |r| r.terms.product_thickness)
        .with("specific_gravity", |r| r.terms.specific_gravity)
        .with(of_depth("product_correction"), |r| r.terms.product_correction)
        .with(of_depth("corrected_depth"), |r| r.terms.corrected_depth)
        .with(of_depth("pressure_head"), |r| r.terms.pressure_head)
        .with(of_depth("stage"), |r| r.terms.stage)
        .with(of_elevation("measuring_point_elevation"), |r| r.terms.measuring_point)
        .with("measuring_point_surveyed", |r| r.terms.surveyed.map(|day| day.to_string()))
        .with(of_elevation("measuring_point_elevation_before"), |r| r.terms.changed_from)
        .with(of_elevation("elevation"), |r| r.terms.elevation)
        .with(of_elevation("head"), |r| r.terms.head);
    // Heads in metres are there for whatever the site's unit.
    let columns = if elevation == LengthUnit::Metre {
        columns
    } else {
        columns.with("head_m", move |r| {
            r.terms.head.map(|head| {
                let metres = elevation.convert(head.value(), LengthUnit::Metre);
                Decimal::new(digits::height(metres), 0)
            })
        })
    };
    columns
        .with(of_elevation("mean_of"), |r| {
            let heads: Vec<String> = r.terms.mean_of.iter().map(Decimal::to_string).collect();
            heads.join(" ")
        })
        .with(of_elevation("recorded_elevation"), |r| {
            let recorded = r.own(|reading| reading.written_elevation).flatten();
            recorded.map(|elevation| Decimal::new(elevation, 0))
        })
        .with("reason", |r| match r.level.contoured {
            Contoured::No { reason, .. } => Some(reason),
            Contoured::Yes | Contoured::InTheMean => None,
        })
        .with("finding", |r| match r.level.contoured {
            Contoured::No { code, .. } => code.map(Code::id),
            Contoured::Yes | Contoured::InTheMean => None,
        })
        .with("remark", |r| r.own(|reading| reading.remark.as_deref()).flatten())
        .with("file", |r| &*r.reading.origin.file)
        .with("line", |r| {
            r.own(|reading| reading.origin.line).flatten().map(|line| Decimal::new(line as f64, 0))
        })
}

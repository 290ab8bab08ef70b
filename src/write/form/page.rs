//! `form.html`: the sheet to print.

use minijinja::value::Serde;
use minijinja::{Environment, UndefinedBehavior, Value, context};
use serde::Serialize;

use crate::report::{ExpectedBy, Form, FormRow, counted};
use crate::units::fixed;

#[derive(Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "the template asks for each by itself")]
struct Row<'a> {
    order: usize,
    well: &'a str,
    gauge: bool,
    /// What is read, where it is no depth to water.
    reads: Option<&'a str>,
    measuring_point: String,
    last: String,
    last_read: &'a str,
    expected: Option<[String; 2]>,
    /// Whether the expected range is that of all readings.
    of_all: bool,
    bottom: String,
    product: bool,
    take_again: bool,
    remarks: String,
}

impl<'a> Row<'a> {
    fn of(row: &'a FormRow, decimals: i32) -> Self {
        let number = |v: Option<f64>| v.map_or_else(String::new, |v| fixed(v, decimals));
        Self {
            order: row.order,
            well: &row.well,
            gauge: row.kind == "gauge",
            reads: Some(row.reads).filter(|reads| *reads != "depth to water"),
            measuring_point: number(row.measuring_point),
            last: number(row.last),
            last_read: row.last_read.as_deref().unwrap_or_default(),
            expected: row.expected.map(|e| [e.low, e.high].map(|end| fixed(end, decimals))),
            of_all: row.expected.is_some_and(|e| e.by == ExpectedBy::AllReadings),
            bottom: number(row.bottom),
            product: row.product,
            take_again: row.take_again,
            remarks: row.remarks.join("; "),
        }
    }
}

/// The sheet as HTML.
pub(super) fn page(form: &Form) -> String {
    let settings = &form.site.settings;
    let rows: Vec<Row> = form.wells.iter().map(|w| Row::of(w, form.decimals)).collect();
    let seasonal = form.wells.iter().filter_map(|w| w.expected);
    let has_season = seasonal.into_iter().any(|e| e.by == ExpectedBy::Season);
    let fill = || -> Result<String, minijinja::Error> {
        let mut templates = Environment::new();
        templates.set_undefined_behavior(UndefinedBehavior::Strict);
        templates.add_template("page.html", include_str!("page.html"))?;
        templates.get_template("page.html")?.render(context! {
            site => &settings.name,
            datum => settings.vertical_datum.as_deref().unwrap_or_default(),
            depth_unit => form.depth_unit.in_words(),
            elevation_unit => settings.elevation_unit.in_words(),
            day => form.day.as_deref().unwrap_or_default(),
            season => form.season_of.as_deref().unwrap_or_default(),
            newest => form.newest_round.as_deref().unwrap_or_default(),
            count => counted(rows.len(), "well"),
            trip => form.round_trip.map(|trip| fixed(trip, 0)),
            trip_unit => form.round_trip_unit,
            product => form.has_product(),
            has_season,
            of_all => rows.iter().any(|r| r.of_all),
            destroyed => form.destroyed.join(", "),
            rows => Value::from(Serde(&rows)),
        })
    };
    fill()
        .unwrap_or_else(|e| panic!("this is a bug in headfall: the page of the field sheet: {e:#}"))
}

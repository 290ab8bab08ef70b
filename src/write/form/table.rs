//! `form.csv`: the table that is filled in and put into `rounds/`.

use std::io;

use crate::read::TableMarks;
use crate::report::{Form, FormRow};
use crate::units::fixed;
use crate::write::tables;

/// A column: its heading, and its cell in a row.
type Column<'a> = (String, Box<dyn Fn(&FormRow) -> String + 'a>);

/// The table as text. Its first columns are those of a round; the last ones help whoever fills it in and are not read.
/// Delimiter and decimal mark are those that the site declares for its tables.
pub(super) fn text(form: &Form) -> io::Result<String> {
    let marks = form.site.settings.tables;
    let columns = columns(form, marks);
    let mut text = tables::writer(marks);
    let headings = columns.iter().map(|(heading, _)| heading.as_str());
    text.write_record(headings).map_err(io::Error::other)?;
    for row in &form.wells {
        let cells = columns.iter().map(|(_, cell)| cell(row));
        text.write_record(cells).map_err(io::Error::other)?;
    }
    String::from_utf8(tables::whole(marks, text)?).map_err(io::Error::other)
}

fn columns<'a>(form: &'a Form, marks: TableMarks) -> Vec<Column<'a>> {
    let unit = form.depth_unit.name().replace('-', "_");
    let number = move |value: Option<f64>| {
        marks.number(value.map_or_else(String::new, |v| fixed(v, form.decimals)))
    };
    let reads = |what: &str| form.wells.iter().any(|w| w.reads == what);
    let mut columns: Vec<Column<'a>> = vec![
        ("walking_order".to_owned(), Box::new(|w| w.order.to_string())),
        ("id".to_owned(), Box::new(|w| tables::safe(&w.well))),
        ("date".to_owned(), Box::new(|_| form.day.clone().unwrap_or_default())),
    ];
    let mut empty = |heading: String| columns.push((heading, Box::new(|_| String::new())));
    empty("time".to_owned());
    empty("reading".to_owned());
    // A table of readings has one of these at least.
    let others = reads("stage") || reads("pressure head") || reads("elevation");
    if reads("depth to water") || !others {
        empty(format!("depth_to_water_{unit}"));
    }
    if form.has_product() {
        empty(format!("depth_to_product_{unit}"));
    }
    if form.wells.iter().any(|w| w.chalked) {
        empty(format!("hold_{unit}"));
        empty(format!("cut_{unit}"));
    }
    if reads("pressure head") {
        empty(format!("pressure_head_{unit}"));
    }
    if reads("stage") {
        empty(format!("stage_{unit}"));
    }
    if reads("elevation") {
        let unit = form.site.settings.elevation_unit.name().replace('-', "_");
        empty(format!("water_level_elevation_{unit}"));
    }
    for heading in ["status", "instrument", "remark"] {
        empty(heading.to_owned());
    }
    let low = move |w: &FormRow| number(w.expected.map(|e| e.low));
    columns.push(("last_value".to_owned(), Box::new(move |w| number(w.last))));
    columns.push(("last_read".to_owned(), Box::new(|w| w.last_read.clone().unwrap_or_default())));
    columns.push(("expected_low".to_owned(), Box::new(low)));
    columns
        .push(("expected_high".to_owned(), Box::new(move |w| number(w.expected.map(|e| e.high)))));
    columns.push(("bottom".to_owned(), Box::new(move |w| number(w.bottom))));
    let heed = |w: &FormRow| tables::text(&w.remarks.join("; ")).into_owned();
    columns.push(("before_reading".to_owned(), Box::new(heed)));
    columns
}

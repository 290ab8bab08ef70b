//! The files of the record of a site: `record.html`, `record.pdf`, `record.xlsx`, `record.gpkg`, `record.json` and a table for each kind
//! of row.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::diag::Diagnostic;
use crate::error::Error;
use crate::read::TableMarks;
use crate::report::{OfRound, OfSite, SiteRecord, SiteRecordSummary};
use crate::write::geotiff;
use crate::write::json::json;
use crate::write::made::{AskedFor, Command, Made};
use crate::write::page;
use crate::write::record::RECORD;
use crate::write::sheet;
use crate::write::tables;
use crate::write::vector;
use crate::write::written::{Written, placed, staging};

/// The names of the tables and of what always is there.
const NAMES: &[&str] = &[
    RECORD,
    "record-doubtful.csv",
    "record-levels.csv",
    "record-nests.csv",
    "record-rounds.csv",
    "record-surfaces.csv",
    "record-visit.csv",
    "record-wells.csv",
    "record.json",
];

const WORKBOOK: &str = "record.xlsx";
const LAYERS: &str = "record.gpkg";

/// The folder of rasters of the highest, the lowest and the mean heads.
const SURFACES: &str = "surfaces";

/// The names of the files of a record, sorted: no workbook where it has no room, no layers where nothing has a place.
fn names(record: &SiteRecord) -> Vec<&'static str> {
    let mut names = NAMES.to_vec();
    names.extend(page::SITE_RECORD);
    names.extend(sheet::RECORD_SHEETS);
    names.extend(tables::record_fits(record).then_some(WORKBOOK));
    names.extend(record.ground.is_some().then_some(LAYERS));
    if record.has_surfaces() {
        names.push(SURFACES);
        names.extend(sheet::SURFACE_SHEETS);
    }
    names.sort_unstable();
    names
}

/// All that the record says, with the files written: the content of `record.json`.
///
/// # Units
/// Named by the members; rounded as `docs/outputs.md` says.
#[must_use]
pub fn summary<'a>(record: &'a SiteRecord, findings: &'a [Diagnostic]) -> SiteRecordSummary<'a> {
    record.summary(findings, names(record))
}

/// Writes the record of a site into the folder `out`, all files or none, as [`crate::write::write`] does.
///
/// # Units
/// Given in the column `unit`, and in the name of each other column.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
pub fn record(record: &SiteRecord, findings: &[Diagnostic], out: &Path) -> Result<Written, Error> {
    let staging = staging(out)?;
    let of = &OfSite::new(&record.site).made_safe(tables::safe);
    let marks = record.site.settings.tables;
    let text = |text: &String| tables::safe(text);
    staging.make("record-levels.csv", |path| {
        table((path, marks), of, &record.levels(), |mut row| {
            (row.well, row.round) = (text(&row.well), text(&row.round));
            (row.since, row.year_before) =
                (row.since.as_ref().map(text), row.year_before.as_ref().map(text));
            row
        })
    })?;
    staging.make("record-wells.csv", |path| {
        table((path, marks), of, &record.wells(), |mut row| {
            row.well = text(&row.well);
            (row.lowest_in, row.highest_in) =
                (row.lowest_in.as_ref().map(text), row.highest_in.as_ref().map(text));
            row
        })
    })?;
    staging.make("record-rounds.csv", |path| {
        table((path, marks), of, &record.rounds(), |mut row| {
            (row.round, row.since) = (text(&row.round), row.since.as_ref().map(text));
            row
        })
    })?;
    staging.make("record-doubtful.csv", |path| {
        table((path, marks), of, &record.doubtful(), |mut row| {
            (row.well, row.round) = (text(&row.well), text(&row.round));
            row.would_explain = text(&row.would_explain);
            row
        })
    })?;
    staging.make("record-nests.csv", |path| {
        table((path, marks), of, &record.nests(), |mut row| {
            (row.upper, row.lower, row.round) =
                (text(&row.upper), text(&row.lower), text(&row.round));
            row
        })
    })?;
    staging.make("record-visit.csv", |path| {
        table((path, marks), of, &record.next_visit(), |mut row| {
            (row.well, row.why) = (text(&row.well), text(&row.why));
            row
        })
    })?;
    staging.make("record-surfaces.csv", |path| {
        table((path, marks), of, &record.values(), |mut row| {
            (row.well, row.rounds) = (text(&row.well), text(&row.rounds));
            row.read_in = row.read_in.as_ref().map(text);
            row
        })
    })?;
    if record.has_surfaces() {
        staging.make(SURFACES, |path| rasters(record, path))?;
        sheet::surface_sheets(record, &staging)?;
    }
    for name in page::SITE_RECORD {
        staging.make(name, |path| page::site_record(record, findings, path))?;
    }
    for name in sheet::RECORD_SHEETS {
        staging.make(name, |path| sheet::record_sheets(record, path))?;
    }
    if tables::record_fits(record) {
        staging.make(WORKBOOK, |path| tables::record_workbook(record, path))?;
    }
    if let Some(ground) = &record.ground {
        staging.make(LAYERS, |path| vector::record_geopackage(record, ground, path))?;
    }
    staging.make_of("record.json", Ok(json(&summary(record, findings)) + "\n"))?;
    let asked = AskedFor::of(Command::Record, &record.site);
    placed(staging, out, names(record), Made::now(&asked, &record.inputs))
}

/// A raster for each map of values over a period.
#[expect(clippy::disallowed_methods, reason = "results are written here")]
fn rasters(record: &SiteRecord, folder: &Path) -> io::Result<()> {
    std::fs::create_dir(folder)?;
    for one in &record.surfaces {
        let Ok(map) = &one.map else { continue };
        let of = OfRound::new(&map.site, &map.round, &map.control);
        geotiff::across(&map.surfaced, one.worked.noun(), of, &folder.join(one.file()))?;
    }
    Ok(())
}

/// A table of rows whose texts no spreadsheet runs.
fn table<R: Serialize + Default + Clone + Sync>(
    path: (&Path, TableMarks),
    of: &OfSite,
    rows: &[R],
    safe: impl Fn(R) -> R + Sync,
) -> io::Result<()> {
    tables::table(path, of, rows.len(), |i| safe(rows[i].clone()))
}

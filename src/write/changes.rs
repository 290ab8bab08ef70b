//! The files of what changed between two rounds: `changes.csv`, `changes.json`, and where there is a surface `change.tif`,
//! `changes.geojson`, `change-contours.geojson` and the sheet `change.pdf`, `.png`, `.svg`.

use std::io;
use std::path::Path;

use geo::{LineString, Point};
use schemars::JsonSchema;
use serde::Serialize;

use crate::diag::Diagnostic;
use crate::error::Error;
use crate::map::Map;
use crate::read::InputFile;
use crate::report::{Changes, Results, VolumeOfChange, WellChange, digits};
use crate::units::{LengthUnit, clean};
use crate::write::antimeridian;
use crate::write::geotiff;
use crate::write::json::json;
use crate::write::layers::layer;
use crate::write::made::{AskedFor, Command, Made};
use crate::write::record::RECORD;
use crate::write::sheet;
use crate::write::tables;
use crate::write::written::{Written, placed, staging};

const TABLE: &str = "changes.csv";
const ACCOUNT: &str = "changes.json";
const RASTER: &str = "change.tif";
const WELLS: &str = "changes.geojson";
const CONTOURS: &str = "change-contours.geojson";

/// What changed, with the files written: the content of `changes.json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ChangesSummary<'a> {
    /// The version of headfall.
    headfall: &'static str,
    /// The site's name.
    site: &'a str,
    /// The earlier round and the later one.
    rounds: &'a [String; 2],
    /// The unit of heads and changes.
    #[schemars(with = "LengthUnit")]
    unit: &'static str,
    /// How many wells rose and fell.
    in_words: String,
    /// Every well.
    wells: &'a [WellChange],
    /// The surface, in words.
    surface: Option<&'a str>,
    /// Why there is none.
    why_no_surface: Option<&'a str>,
    /// Difference of neighbouring contours, in `unit`.
    interval: Option<f64>,
    /// The least and the greatest change of the surface, in `unit`.
    range: Option<[f64; 2]>,
    /// The water behind the change, where the site declares a specific yield.
    volume: Option<VolumeOfChange>,
    /// All that was found in both rounds.
    findings: &'a [Diagnostic],
    /// Every file read.
    inputs: &'a [InputFile],
    /// The files written, by name.
    files: Vec<&'static str>,
}

/// The names of the files, sorted.
fn names(changes: &Changes) -> Vec<&'static str> {
    let mut names = vec![RECORD, TABLE, ACCOUNT];
    if let Ok(map) = &changes.map {
        names.push(RASTER);
        let results = Results::of(map, &[]);
        names.extend(sheet::files(&results, &sheet::CHANGE));
        if map.surfaced.control.crs().is_on_earth() {
            names.extend([WELLS, CONTOURS]);
        }
    }
    names.sort_unstable();
    names
}

/// All that is said of the changes.
///
/// # Units
/// Named by the members; rounded as `docs/outputs.md` says.
#[must_use]
pub fn summary<'a>(changes: &'a Changes, findings: &'a [Diagnostic]) -> ChangesSummary<'a> {
    let map = changes.map.as_ref().ok();
    ChangesSummary {
        headfall: env!("CARGO_PKG_VERSION"),
        site: &changes.site.settings.name,
        rounds: &changes.rounds,
        unit: changes.unit().name(),
        in_words: changes.in_words(),
        wells: &changes.wells,
        surface: map.map(|map| map.surfaced.surface.words.as_str()),
        why_no_surface: changes.map.as_ref().err().map(String::as_str),
        interval: map.and_then(|map| map.contours.interval),
        range: map
            .and_then(|map| map.contours.range)
            .map(|(low, high)| [low, high].map(digits::height)),
        volume: changes.volume(),
        findings,
        inputs: &changes.inputs,
        files: names(changes),
    }
}

/// Writes what changed into the folder `out`, all files or none, as [`crate::write::write`] does.
///
/// # Units
/// Given in the name of each column and property, or beside it.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
pub fn changes(changes: &Changes, findings: &[Diagnostic], out: &Path) -> Result<Written, Error> {
    let staging = staging(out)?;
    staging.make(TABLE, |path| {
        let (marks, of) = (changes.site.settings.tables, changes.of.made_safe(tables::safe));
        tables::table((path, marks), &of, changes.wells.len(), |i| {
            let row = changes.wells[i].clone();
            WellChange { well: tables::safe(&row.well), ..row }
        })
    })?;
    staging.make_of(ACCOUNT, Ok(json(&summary(changes, findings)) + "\n"))?;
    if let Ok(map) = &changes.map {
        let results = Results::of(map, &[]);
        if sheet::wanted(&results) {
            sheet::write(&results, sheet::CHANGE, &staging)?;
        }
        staging.make(RASTER, |path| {
            geotiff::across(&map.surfaced, "change of head", changes.of.clone(), path)
        })?;
        if map.surfaced.control.crs().is_on_earth() {
            staging.make(WELLS, |path| wells(changes, map, path))?;
            staging.make(CONTOURS, |path| contours(changes, map, path))?;
        }
    }
    let asked = AskedFor::of(Command::Compare, &changes.site);
    let asked = AskedFor { between: Some(changes.rounds.clone()), ..asked };
    placed(staging, out, names(changes), Made::now(&asked, &changes.inputs))
}

/// The wells that the surface goes through.
fn wells(changes: &Changes, map: &Map, path: &Path) -> io::Result<()> {
    let points = map.surfaced.control.points();
    layer(path, &changes.of, points.len(), |i| {
        let row = changes.wells[points[i].well()?].clone();
        Some((Point(digits::lon_lat(points[i].lon_lat?)).into(), row))
    })
}

#[derive(Serialize)]
struct Line {
    change: f64,
    unit: &'static str,
    closed: bool,
}

fn contours(changes: &Changes, map: &Map, path: &Path) -> io::Result<()> {
    let crs = map.surfaced.control.crs();
    let mut courses = Vec::with_capacity(map.contours.lines.len());
    for line in &map.contours.lines {
        let mut places = line.points.clone();
        crs.to_lon_lat(&mut places).map_err(|e| io::Error::other(e.to_string()))?;
        let places: LineString = places.into_iter().map(digits::lon_lat).collect();
        courses.push(places);
    }
    layer(path, &changes.of, courses.len(), |i| {
        let line = &map.contours.lines[i];
        let properties = Line {
            change: clean(line.level),
            unit: changes.unit().name(),
            closed: line.is_closed(),
        };
        Some((antimeridian::line(&courses[i].0)?, properties))
    })
}

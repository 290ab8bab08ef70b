//! What the summary of a result says of its round.

#![expect(clippy::disallowed_methods, reason = "results are looked up here")]

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use serde::Serialize;
use serde_json::Value;

use crate::report::OfRound;
use crate::write::record::Record;

/// One map among those that are gathered. What is not skipped is its row in the layer of rounds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GatheredRound {
    /// Its folder, as it was given.
    #[serde(skip)]
    pub folder: PathBuf,
    /// Site and round.
    #[serde(skip)]
    pub of: OfRound,
    /// Whether it has flow paths.
    #[serde(skip)]
    pub toward: bool,
    /// Control points.
    pub control_points: i64,
    /// Gradient of the plane through the heads.
    pub gradient: Option<f64>,
    /// Its direction, degrees clockwise from true north.
    pub flow_azimuth_true_deg: Option<f64>,
    /// Whether the readings resolve it.
    pub direction_resolved: Option<bool>,
    /// Warnings that nobody accepted.
    pub warnings: usize,
    /// Notes.
    pub notes: usize,
    /// The program that drew it.
    pub by: Option<String>,
    /// Why its layers are not among those gathered.
    #[serde(skip)]
    pub without_layers: Option<String>,
}

impl GatheredRound {
    /// That of a folder; `None` where it holds no map.
    pub(super) fn of(folder: &Path) -> io::Result<Option<Self>> {
        let text = match fs::read_to_string(folder.join("summary.json")) {
            Ok(text) => text,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(e),
        };
        let unclear = |e| io::Error::other(format!("{}/summary.json: {e}", folder.display()));
        let summary: Value = serde_json::from_str(&text).map_err(unclear)?;
        let record = Record::read(folder)?;
        let text = |name: &str| summary[name].as_str().map(str::to_owned);
        let plane = &summary["flow"]["plane"];
        let findings = summary["findings"].as_array().map_or(&[][..], Vec::as_slice);
        let count = |severity: &str| {
            let is_one = |f: &&Value| f["severity"] == severity && f["accepted"] != true;
            findings.iter().filter(is_one).count()
        };
        let whole = record.as_ref().is_some_and(|record| record.unchanged(folder) == *record);
        let on_earth = folder.join("wells.geojson").is_file();
        let without_layers = if !whole {
            Some("files were changed since they were written".to_owned())
        } else if on_earth {
            None
        } else {
            Some("in local coordinates: it has no place on earth".to_owned())
        };
        Ok(Some(Self {
            folder: folder.to_owned(),
            of: OfRound {
                site: text("site").unwrap_or_default(),
                round: text("round").unwrap_or_default(),
                read_from: text("from"),
                read_to: text("to"),
                mapped_unit: text("aquifer_unit"),
                vertical_datum: text("vertical_datum"),
                elevation_unit: text("elevation_unit").unwrap_or_default(),
            },
            toward: summary["toward"].is_object(),
            control_points: summary["counts"]["control_points"].as_i64().unwrap_or_default(),
            gradient: plane["gradient"].as_f64(),
            flow_azimuth_true_deg: plane["flow_azimuth_true_deg"].as_f64(),
            direction_resolved: plane["direction_resolved"].as_bool(),
            warnings: count("warning"),
            notes: count("note"),
            by: record.and_then(|record| Some(record.made?.program)),
            without_layers,
        }))
    }

    /// By site, then in time.
    pub(super) fn order(&self) -> impl Ord + use<'_> {
        (
            &self.of.site,
            &self.of.read_from,
            &self.of.round,
            &self.of.mapped_unit,
            self.toward,
            &self.folder,
        )
    }
}

//! From what and by what the map was made.

use serde::Serialize;

use crate::geom::tolerance::Tolerances;
use crate::page::options;
use crate::page::options::Setting;
use crate::page::plain;
use crate::page::site::Site;
use crate::read::InputFile;
use crate::report::measures;
use crate::units::clean;

/// The provenance.
#[derive(Debug, Serialize)]
pub(super) struct Record {
    version: &'static str,
    inputs: Vec<Input>,
    settings: Vec<Setting>,
    instruments: Vec<Setting>,
    tolerances: Vec<Setting>,
    crs_name: String,
    crs_definition: String,
    crs_unit: String,
    /// None where true north is not known.
    convergence_deg: Option<String>,
    on_earth: bool,
    scale: String,
    distances_corrected: bool,
    cell: String,
    columns: usize,
    rows: usize,
}

/// A file that was read.
#[derive(Debug, Serialize)]
pub(super) struct Input {
    file: String,
    sha256: String,
}

impl Input {
    pub(super) fn of(input: &InputFile) -> Self {
        Self { file: plain::text(&input.file), sha256: input.sha256.clone() }
    }
}

/// The provenance of a site's map.
pub(super) fn record(site: &Site) -> Record {
    let (control, file) = (&site.results.control, &site.results.site);
    let (crs, spec) = (control.crs(), site.results.surface.heads.spec());
    Record {
        version: env!("CARGO_PKG_VERSION"),
        inputs: site.results.inputs().map(Input::of).collect(),
        settings: options::settings(&site.results.options()),
        instruments: options::settings(&file.instruments),
        tolerances: options::settings(&Tolerances),
        crs_name: plain::text(crs.name()),
        crs_definition: plain::text(crs.definition()),
        crs_unit: plain::text(crs.unit_name()),
        convergence_deg: site.norths.convergence_deg.map(|deg| measures::fixed(deg, 3)),
        on_earth: crs.is_on_earth(),
        scale: measures::fixed(control.factors().scale, 6),
        distances_corrected: control.scale_corrected(),
        cell: clean(spec.cell).to_string(),
        columns: spec.columns,
        rows: spec.rows,
    }
}

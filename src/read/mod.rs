//! Files, and what they say. Values keep the user's units and remember their file and line.
//!
//! | file | what it does |
//! |---|---|
//! | `input` | bytes to UTF-8 text, with a hash |
//! | `settings` | `site.toml` to declarations |
//! | `table`, `columns`, `heading`, `layout` | text to cells, headings to columns |
//! | `number`, `moment`, `status`, `cells` | cells to values |
//! | `register`, `measuring_points`, `round`, `rounds`, `unknown` | rows to wells and readings |
//! | `units`, `coordinates`, `finish` | units agreed, positions in CRS units |
//! | `folder`, `single` | a site folder, or one table for everything |
//! | `aquifer`, `materials` | what `[aquifer]`, `[toward]` and `[ground]` say |
//! | `features` | lines, areas and places beside the wells |
//! | `raster`, `datum_grids` | the land surface, and the grids that positions need |
//! | `record` | names and hashes of files that GDAL opens |
//! | `unread` | files that look like inputs and are none |
//! | `start` | a site folder to fill in |
//!
//! The formats are described in `docs/site-folder.md`.

mod aquifer;
mod bounds;
mod cells;
mod columns;
mod contradictions;
mod coordinates;
mod date_advice;
mod datum_grids;
mod features;
mod finish;
mod folder;
mod formats;
mod geodetic_tiff;
mod head_errors;
mod heading;
mod input;
mod layout;
mod materials;
mod measuring_points;
mod moment;
mod ntv2;
mod number;
mod order;
mod raster;
mod record;
mod register;
mod round;
mod rounds;
mod run_together;
mod settings;
mod sheet;
mod single;
mod start;
mod status;
mod surface;
mod surface_keys;
mod table;
mod twice;
mod types;
mod units;
mod unknown;
mod unread;

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin, Warned, bounded};
use crate::error::Error;

pub use aquifer::{AquiferSettings, GroundSettings, ReceptorSettings, Span, TowardSettings};
pub use features::{Barrier, Features, Place, Stream, StreamPoint};
pub use formats::VectorFormat;
pub use head_errors::{
    EnsembleOptions, HeadErrorTable, HeadErrors, InferredRule, UncertaintySettings,
};
pub(crate) use input::hash;
pub use materials::{MATERIALS, Material};
pub(crate) use order::by_name;
pub(crate) use raster::Quiet;
use raster::files_of;
pub use raster::{Ground, ground};
pub use sheet::{DPI, Orientation, Page, SheetOverrides, SheetSettings};
pub use start::start;
pub use surface::{
    CovarianceModel, InverseDistanceSettings, KrigingSettings, Method, PumpedWellSettings,
    SurfaceSettings, ThinPlateSettings,
};
pub use types::{
    Calibration, DepthDatum, InputFile, Measurement, MeasuringPoint, Moment, Overrides, Reading,
    Settings, SiteFile, Status, Well, WellKind,
};
pub(crate) use unread::OF_INPUTS;

/// Reads a site folder, or a single table of wells and readings.
///
/// A folder, or the `site.toml` in it, is read as a site folder; any other file as a single
/// table. All that is wrong in all files is listed at once.
///
/// # Units
/// - positions: CRS units of the project, or as given where the register has a CRS of its own
/// - [`Settings::cell`]: CRS units of the project
/// - everything else: as in the files, see [`Settings`]
///
/// # Errors
/// [`Error::Read`] with every refusal found, R101 to R117 and D206, and the findings beside them.
#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
pub fn site(path: &Path, overrides: &Overrides) -> Result<Warned<SiteFile>, Error> {
    let mut said = Vec::new();
    let site = if path.is_dir() {
        folder::read(path, overrides, &mut said)
    } else if path.file_name().is_some_and(|n| n == settings::SITE_TOML) {
        let parent = path.parent().filter(|p| !p.as_os_str().is_empty());
        folder::read(parent.unwrap_or(Path::new(".")), overrides, &mut said)
    } else if path.exists() {
        single::read(path, overrides, &mut said)
    } else {
        let name = path.display().to_string();
        said.push(
            Diagnostic::new(Code::FileUnreadable, format!("there is no file or folder {name}"))
                .at(&Origin::file(&name))
                .advice("give a site folder, or a table with wells and readings"),
        );
        None
    };
    match site {
        Some(value) if !said.iter().any(Diagnostic::is_refusal) => Ok(Warned::new(value, said)),
        _ => Err(Error::Read(bounded(said))),
    }
}

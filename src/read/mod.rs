//! Files, and what they say. Values keep the user's units and remember their file and line.
//!
//! | file | what it does |
//! |---|---|
//! | `input` | bytes to UTF-8 text, with a hash |
//! | `settings` | `site.toml` to declarations |
//! | `table`, `columns`, `heading`, `layout` | text to cells, headings to columns |
//! | `number`, `moment`, `status`, `cells` | cells to values |
//! | `register`, `measuring_points`, `round`, `unknown` | rows to wells and readings |
//! | `round_files`, `newest`, `rounds` | the rounds of a site, and which is meant |
//! | `units`, `coordinates`, `finish`, `settle` | units agreed, positions in CRS units |
//! | `folder`, `single` | a site folder, or one table for everything |
//! | `aquifer`, `materials` | what `[aquifer]`, `[toward]` and `[ground]` say |
//! | `features` | lines, areas and places beside the wells |
//! | `land_surface`, `raster`, `datum_grids` | the land surface, and the grids that positions need |
//! | `without` | what is said in GDAL's place where it is not built in |
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
#[cfg(feature = "formats")]
mod geodetic_tiff;
mod head_errors;
mod heading;
mod input;
mod input_file;
mod land_surface;
mod layout;
mod materials;
mod measuring_points;
mod method;
mod moment;
mod names;
mod newest;
#[cfg(feature = "formats")]
mod ntv2;
mod number;
mod open;
mod order;
mod pumped;
#[cfg(feature = "formats")]
mod raster;
mod reader;
mod record;
mod register;
mod round;
mod round_files;
mod rounds;
mod run_together;
mod said;
mod settings;
mod settle;
mod sheet;
mod single;
mod site;
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
mod vocabulary;
#[cfg(not(feature = "formats"))]
mod without;

use std::path::Path;
use std::sync::Arc;

use said::settled;

use crate::diag::{Code, Diagnostic, Origin, Warned};
use crate::error::Error;

pub use aquifer::{AquiferSettings, GroundSettings, ReceptorSettings, TowardSettings};
pub use features::{Barrier, Features, Place, Stream, StreamPoint};
pub use formats::VectorFormat;
pub use head_errors::{
    EnsembleOptions, HeadErrorTable, HeadErrors, InferredRule, UncertaintySettings,
};
pub use input_file::InputFile;
pub use land_surface::{Ground, LandSurface};
pub use materials::{MATERIALS, Material};
pub use method::{Fact, Method};
pub(crate) use order::by_name;
pub use pumped::PumpedWell;
pub use rounds::Rounds;
pub use sheet::{DPI, Orientation, Page, SheetOverrides, SheetSettings};
pub use site::Site;
pub use start::start;
pub use surface::{
    CovarianceModel, InverseDistanceSettings, KrigingSettings, SurfaceSettings, ThinPlateSettings,
};
pub use types::{
    Calibration, DepthDatum, Measurement, MeasuringPoint, Moment, Overrides, Reading, Round,
    Settings, Status, Well, WellKind,
};
#[cfg(feature = "formats")]
pub(crate) use {input::hash, raster::Quiet, unread::OF_INPUTS};
#[cfg(not(feature = "formats"))]
use {without as geodetic_tiff, without as raster};

/// Reads a site folder, or a single table of wells and readings: all but the rounds, which
/// [`Site::round`] reads.
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
pub fn site(path: &Path, overrides: &Overrides) -> Result<Warned<Site>, Error> {
    let mut said = Vec::new();
    let site = match opened(path, overrides, &mut said) {
        Some(Opened::Folder(parts, tables)) => finish::site(parts, &mut said)
            .map(|site| Site { rounds: Rounds::files(tables), ..site }),
        Some(Opened::Table(parts, rows)) => of_table(parts, rows, &mut said).map(|(site, _)| site),
        None => None,
    };
    settled(site, said)
}

/// Reads a site and one of its rounds, `overrides.round` or the newest: as [`site`] and
/// [`Site::round`], and what is wrong in the files of both is listed at once.
///
/// # Errors
/// Those of both.
pub fn site_and_round(
    path: &Path,
    overrides: &Overrides,
) -> Result<Warned<(Site, Arc<Round>)>, Error> {
    let mut said = Vec::new();
    let both = match opened(path, overrides, &mut said) {
        Some(Opened::Folder(parts, tables)) => {
            let rows = tables.rows(overrides.round.as_deref(), &mut said);
            finish::site(parts, &mut said).zip(rows).map(|(site, rows)| {
                let round = settle::round(&site.settings, rows, &mut said);
                (Site { rounds: Rounds::files(tables), ..site }, Arc::new(round))
            })
        }
        Some(Opened::Table(parts, rows)) => of_table(parts, rows, &mut said),
        None => None,
    };
    settled(both, said)
}

/// Files that were opened, before units are agreed.
enum Opened {
    Folder(finish::Parts, Arc<rounds::RoundTables>),
    Table(finish::Parts, settle::Rows),
}

#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
fn opened(path: &Path, overrides: &Overrides, said: &mut Vec<Diagnostic>) -> Option<Opened> {
    let folder = |folder: &Path, said: &mut Vec<Diagnostic>| {
        folder::open(folder, overrides, said).map(|(parts, tables)| Opened::Folder(parts, tables))
    };
    if path.is_dir() {
        folder(path, said)
    } else if path.file_name().is_some_and(|n| n == names::SITE_TOML) {
        let parent = path.parent().filter(|p| !p.as_os_str().is_empty());
        folder(parent.unwrap_or(Path::new(".")), said)
    } else if path.exists() {
        single::open(path, overrides, said).map(|(parts, rows)| Opened::Table(parts, rows))
    } else {
        let name = path.display().to_string();
        said.push(
            Diagnostic::new(Code::FileUnreadable, format!("there is no file or folder {name}"))
                .at(&Origin::file(&name))
                .advice("give a site folder, or a table with wells and readings"),
        );
        None
    }
}

fn of_table(
    parts: finish::Parts,
    rows: settle::Rows,
    said: &mut Vec<Diagnostic>,
) -> Option<(Site, Arc<Round>)> {
    let site = finish::site(parts, said)?;
    let round = Arc::new(settle::round(&site.settings, rows, said));
    Some((Site { rounds: Rounds::given(vec![Arc::clone(&round)]), ..site }, round))
}

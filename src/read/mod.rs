//! Files, and what they say. Values keep the user's units and remember their file and line.
//!
//! | folder | what it reads |
//! |---|---|
//! | `files` | bytes, with a hash |
//! | `table` | text to cells, headings to columns, cells to values |
//! | `settings` | `site.toml` to declarations, units agreed with the headings |
//! | `fonts` | the fonts of the map sheet |
//! | `raster` | the land surface, colours of a picture, and the grids that positions need |
//! | `register` | rows to wells and surveys, in the project CRS |
//! | `features` | lines, areas and places beside the wells |
//! | `rounds` | the rounds of a site: which is meant, rows to readings |
//! | `site` | a site folder, or one table for everything |
//!
//! `wells` holds what a well and a reading are, `start` a site folder to fill in. A folder uses those
//! above it in this list.
//!
//! The formats are described in `docs/site-folder.md`.

mod features;
mod files;
mod fonts;
mod raster;
mod register;
mod rounds;
mod settings;
mod site;
mod start;
mod table;
mod wells;

use std::path::Path;
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Origin, Warned};
use crate::error::Error;

use files::names;
use rounds::list::RoundTables;
use rounds::settle::{self, Rows};
use site::finish::{self, Parts};
use site::said::settled;
use site::{folder, single};

pub use features::picture::SitePicture;
pub use features::types::{
    Barrier, BaseFeature, ControlLine, Features, JudgedPoint, Judgement, Place, Stream, StreamPoint,
};
#[cfg(feature = "formats")]
pub(crate) use files::input::hash;
pub use files::input_file::InputFile;
#[cfg(feature = "sheet")]
pub(crate) use fonts::face::{Bytes, Face};
pub use fonts::sheet_font::SheetFont;
#[cfg(feature = "sheet")]
pub(crate) use fonts::sheet_font::{BOLD, REGULAR};
pub use raster::colours::PictureDots;
pub use raster::land_surface::{Ground, LandSurface};
#[cfg(feature = "formats")]
pub(crate) use raster::pixels::Quiet;
pub use rounds::list::Rounds;
pub use rounds::round::Round;
pub use settings::aquifer::{
    AquiferKind, AquiferSettings, Dispersivity, Distribution, GroundSettings, ReceptorSettings,
    TowardSettings,
};
pub use settings::base_style::BaseStyle;
pub use settings::common_frame::{CommonFrame, Panel, SheetFrame};
pub use settings::contours::ContourDrawing;
pub use settings::formats::{TableMarks, VectorFormat};
pub use settings::head_errors::{
    EnsembleOptions, HeadErrorTable, HeadErrors, InferredRule, UncertaintySettings,
};
pub use settings::materials::{MATERIALS, Material};
pub use settings::method::{Fact, Method};
pub use settings::of_site::Settings;
pub use settings::overrides::Overrides;
pub use settings::sheet::{
    DPI, NorthUp, Orientation, Page, PanelPlace, SheetExtent, SheetOverrides, SheetSettings,
};
pub use settings::sheet_file::SheetFile;
pub use settings::surface::{
    CovarianceModel, InverseDistanceSettings, KrigingSettings, SurfaceSettings, ThinPlateSettings,
};
pub use settings::ties::{Tie, TiePoint};
pub use settings::title_block::TitleBlock;
#[cfg(feature = "formats")]
pub(crate) use settings::units::NO_DATUM;
#[cfg(feature = "formats")]
pub(crate) use site::unread::OF_INPUTS;
pub use site::whole::Site;
pub use start::start;
#[cfg(feature = "formats")]
pub(crate) use start::{made, unmade};
#[cfg(feature = "formats")]
pub use table::workbook::WORKBOOK_THREAD;
pub use wells::left_out::LeftOut;
pub(crate) use wells::order::by_name;
pub use wells::pumped::PumpedWell;
pub use wells::reading::{Measurement, Moment, Reading, Status};
pub(crate) use wells::unit::key as unit_key;
pub use wells::well::{Calibration, DepthDatum, MeasuringPoint, Well, WellKind};

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
        Some(Opened::Table(table)) => of_table(table, &mut said).map(|(site, _)| site),
        None => None,
    };
    settled(site.map(|site| Site { table: table_of(path), ..site }), said)
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
                let round = Arc::new(settle::round(&site.settings, rows, &mut said));
                let site = Site { rounds: Rounds::files(tables), ..site };
                let round = site.dated(round);
                (site, round)
            })
        }
        Some(Opened::Table(table)) => of_table(table, &mut said),
        None => None,
    };
    let table = |site| Site { table: table_of(path), ..site };
    settled(both.map(|(site, round)| (table(site), round)), said)
}

/// The name of the one table that a site is read from, where it is no folder.
#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
fn table_of(path: &Path) -> Option<String> {
    let is_folder = path.is_dir() && !rounds::open::is_layer(path);
    let name = path.file_name().filter(|name| !is_folder && *name != names::SITE_TOML)?;
    Some(name.to_string_lossy().into_owned())
}

/// Files that were opened, before units are agreed.
enum Opened {
    Folder(Parts, Arc<RoundTables>),
    /// With the names of all rounds of the table.
    Table((Parts, Rows, Vec<String>)),
}

#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
fn opened(path: &Path, overrides: &Overrides, said: &mut Vec<Diagnostic>) -> Option<Opened> {
    let folder = |folder: &Path, said: &mut Vec<Diagnostic>| {
        folder::open(folder, overrides, said).map(|(parts, tables)| Opened::Folder(parts, tables))
    };
    if path.is_dir() && !rounds::open::is_layer(path) {
        folder(path, said)
    } else if path.file_name().is_some_and(|n| n == names::SITE_TOML) {
        let parent = path.parent().filter(|p| !p.as_os_str().is_empty());
        folder(parent.unwrap_or(Path::new(".")), said)
    } else if let Some(opened) = sheets(path, overrides, said) {
        opened.map(|(parts, tables)| Opened::Folder(parts, tables))
    } else if path.exists() {
        single::open(path, overrides, said).map(Opened::Table)
    } else {
        let name = path.display().to_string();
        said.push(
            Diagnostic::new(Code::FileUnreadable, format!("there is no file or folder {name}"))
                .at(&Origin::file(&name))
                .advice("give a site folder, or a table of wells and readings"),
        );
        None
    }
}

/// A workbook with one sheet of wells and one of readings.
#[expect(clippy::option_option, reason = "what is no such workbook is read as one table")]
fn sheets(
    path: &Path,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Option<Option<(Parts, Arc<RoundTables>)>> {
    #[cfg(feature = "formats")]
    if overrides.worksheet.is_none() && rounds::open::is_workbook(path) {
        return folder::open_workbook(path, overrides, said);
    }
    #[cfg(not(feature = "formats"))]
    let _ = (path, overrides, said);
    None
}

fn of_table(
    (parts, rows, among): (Parts, Rows, Vec<String>),
    said: &mut Vec<Diagnostic>,
) -> Option<(Site, Arc<Round>)> {
    let site = finish::site(parts, said)?;
    let round = Arc::new(settle::round(&site.settings, rows, said));
    Some((Site { rounds: Rounds::one_of(Arc::clone(&round), among), ..site }, round))
}

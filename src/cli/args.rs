//! The command line as clap sees it, and nothing more.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};
use headfall::read::{Method, Page, VectorFormat};
use headfall::units::LengthUnit;

use super::values::{code, formats, methods, papers, units};
use super::{examples, version};
use clap_complete::Shell;
use headfall::diag::Code;
use jiff::civil::Date;

/// From depths to water to a defensible potentiometric map.
///
/// headfall reduces one synoptic round of groundwater levels to heads, checks them, and draws
/// contours, gradients and directions of flow. The map is a screening aid: local codes and a
/// licensed professional decide.
#[derive(Debug, Parser)]
#[command(version, long_version = version::long(), after_help = examples::ALL)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Draw the map of a round, or of many rounds and sites, and write its files
    #[command(after_help = examples::DRAW)]
    Draw(Draw),
    /// Read, reduce and check one round; print the heads and the findings, write nothing
    #[command(after_help = examples::CHECK)]
    Check(Check),
    /// Draw the map with flow paths from the site's sources and back from its receptors
    #[command(after_help = examples::TOWARD)]
    Toward(Toward),
    /// Leave out each well in turn: compare surfaces, and find wells that control the direction
    #[command(after_help = examples::CROSS_VALIDATE)]
    CrossValidate(CrossValidate),
    /// Put all rounds side by side: levels, changes, trends, gradients, readings that do not fit
    #[command(after_help = examples::RECORD)]
    Record(Record),
    /// Take one round from another: rise and fall at each well, and as a surface
    #[command(after_help = examples::COMPARE)]
    Compare(Compare),
    /// Make the field sheet for the next round: to print, and as a table to fill in
    #[command(after_help = examples::FORM)]
    Form(Form),
    /// Hold results against their record, their inputs and the same run once more
    #[command(after_help = examples::VERIFY)]
    Verify(Verify),
    /// Gather the layers of many results in one GeoPackage, with a page that lists them
    #[command(after_help = examples::GATHER)]
    Gather(Gather),
    /// Create a small site folder with comments, to fill in
    #[command(after_help = examples::START)]
    Start(Start),
    /// Say what a finding means and what to do about it; without a code list all of them
    #[command(after_help = examples::EXPLAIN)]
    Explain {
        /// Codes as they are before findings, such as C308
        #[arg(value_name = "CODE", value_parser = code)]
        codes: Vec<Code>,
    },
    /// Print the JSON schema of what is written or printed
    #[command(after_help = examples::SCHEMA)]
    Schema {
        /// Which
        #[arg(value_name = "NAME", value_parser = super::schema::names())]
        name: String,
    },
    /// Print the completions for a shell
    #[command(after_help = examples::COMPLETIONS)]
    Completions {
        /// Which
        #[arg(value_name = "SHELL")]
        shell: Shell,
    },
    /// Write the man pages
    #[command(after_help = examples::MAN)]
    Man {
        /// The folder for them
        dir: PathBuf,
    },
    /// Print the licences and notices of everything in this program
    Licences,
}

impl Command {
    /// Whether all aquifer units are asked for where only one can be.
    pub(super) fn asks_for_all_units(&self) -> bool {
        match self {
            Self::Check(Check { source })
            | Self::Toward(Toward { source, .. })
            | Self::CrossValidate(CrossValidate { source, .. })
            | Self::Record(Record { source, .. }) => source.has_all_units(),
            Self::Compare(Compare { how, .. }) | Self::Form(Form { how, .. }) => {
                how.has_all_units()
            }
            _ => false,
        }
    }
}

/// A site, one of its rounds, and how they are read.
#[derive(Debug, clap::Args)]
pub(crate) struct Source {
    /// A site folder (site.toml, wells.csv, rounds/), one table of wells and readings, or a folder
    /// with a table of wells and tables of their readings
    #[arg(value_name = "SITE")]
    pub(crate) path: PathBuf,

    /// The round to use: a file in rounds/ without .csv, or its day or month such as 2025-10; for
    /// toward also all [default: the newest]
    #[arg(long, short, value_name = "NAME")]
    pub(crate) round: Option<String>,

    #[command(flatten)]
    pub(crate) how: How,
}

/// How sites are read and what is said.
#[derive(Debug, clap::Args)]
pub(crate) struct How {
    /// The sheet to read where a table is a workbook [default: the only one with known headings]
    #[arg(long, value_name = "NAME")]
    pub(crate) worksheet: Option<String>,

    /// The layer to read where the wells are in a vector file [default: the only one with features]
    #[arg(long, value_name = "NAME")]
    pub(crate) layer: Option<String>,

    /// The project CRS, such as EPSG:26915, or local for the coordinates of a site plan
    #[arg(long, value_name = "CODE")]
    pub(crate) crs: Option<String>,

    /// The aquifer unit to map, as the register names it; for draw also all, for a map of each [default: that of
    /// site.toml]
    #[arg(long, value_name = "NAME")]
    pub(crate) aquifer_unit: Option<String>,

    /// The unit of elevations: m, ft (international foot) or ft-us (US survey foot)
    #[arg(long, value_name = "UNIT", value_parser = units())]
    pub(crate) unit: Option<LengthUnit>,

    /// Threads to use [default: all]
    #[arg(long, short = 'j', value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,

    /// Print findings only
    #[arg(long, short)]
    pub(crate) quiet: bool,

    /// Print the summary as JSON on standard output, and nothing else
    #[arg(long)]
    pub(crate) json: bool,

    /// Exit with 1 if there is a finding of this severity or higher
    #[arg(long, value_name = "SEVERITY", value_enum, default_value = "never")]
    pub(crate) fail_on: FailOn,
}

/// The word that stands for all rounds of a site, and for all its aquifer units.
pub(super) const ALL: &str = "all";

#[derive(Debug, clap::Args)]
pub(crate) struct Draw {
    /// One or more sites: site folders (site.toml, wells.csv, rounds/), tables of wells and readings, or folders with a
    /// table of wells and tables of their readings
    #[arg(value_name = "SITE", required = true)]
    pub(crate) paths: Vec<PathBuf>,

    /// A round to draw: a file in rounds/ without .csv, or its day or month such as 2025-10; all for every one; may be
    /// repeated [default: the newest]
    #[arg(long = "round", short, value_name = "NAME")]
    pub(crate) rounds: Vec<String>,

    #[command(flatten)]
    pub(crate) how: How,

    /// The folder for the results [default: SITE/out/ROUND]. Of several rounds it has ROUND, of several
    /// sites SITE/ROUND; in SITE/out/ROUND and these the map of an aquifer unit that is named here is in units/NAME
    #[arg(long, short, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,

    /// Of several rounds or sites draw also what would become the same again
    #[arg(long, short)]
    pub(crate) force: bool,

    #[command(flatten)]
    pub(crate) making: Making,
}

/// How a map is made and which of its files are written.
#[derive(Debug, clap::Args)]
pub(crate) struct Making {
    /// The method of interpolation between wells [default: linear]
    #[arg(long, value_name = "METHOD", value_parser = methods())]
    pub(crate) surface: Option<Method>,

    /// Spacing of grid nodes, in the site's length unit [default: from the size of the site]
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true)]
    pub(crate) cell: Option<f64>,

    /// A format to write besides GeoJSON, GeoPackage and tables of text; may be repeated
    #[arg(long, value_name = "NAME", value_parser = formats())]
    pub(crate) format: Vec<VectorFormat>,

    /// Also write rasters of uncertainty: head-sd.tif and direction-spread.tif
    #[arg(long)]
    pub(crate) rasters: bool,

    /// Contour interval, in the elevation unit [default: from the heads]
    #[arg(long, value_name = "HEIGHT", allow_negative_numbers = true)]
    pub(crate) interval: Option<f64>,

    /// Paper size of the map sheet [default: Letter for sites in feet, otherwise A4]
    #[arg(long, value_name = "PAPER", value_parser = papers(), ignore_case = true)]
    pub(crate) page: Option<Page>,

    /// Resolution of map.png, dots per inch [default: 150]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(50..=600))]
    pub(crate) dpi: Option<u16>,

    /// Shade the heads on the map sheet
    #[arg(long)]
    pub(crate) shade: bool,

    /// Leave out the map sheet, the report page and the GeoPackage
    #[arg(long)]
    pub(crate) data_only: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Check {
    #[command(flatten)]
    pub(crate) source: Source,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Toward {
    #[command(flatten)]
    pub(crate) source: Source,

    /// The folder for the results [default: SITE/out/ROUND/toward]
    #[arg(long, short, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) making: Making,
}

#[derive(Debug, clap::Args)]
pub(crate) struct CrossValidate {
    #[command(flatten)]
    pub(crate) source: Source,

    /// The method of interpolation between wells [default: linear]
    #[arg(long, value_name = "METHOD", value_parser = methods())]
    pub(crate) surface: Option<Method>,

    /// The folder for the results [default: SITE/out/ROUND/cross-validation]
    #[arg(long, short, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Record {
    #[command(flatten)]
    pub(crate) source: Source,

    /// The folder for the results [default: SITE/out/record]
    #[arg(long, short, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Compare {
    /// A site folder, or one table of wells and readings
    #[arg(value_name = "SITE")]
    pub(crate) path: PathBuf,

    /// Two rounds: files in rounds/ without .csv, or days or months such as 2025-10
    #[arg(value_name = "ROUND", num_args = 2, required = true)]
    pub(crate) rounds: Vec<String>,

    #[command(flatten)]
    pub(crate) how: How,

    /// The method of interpolation between wells [default: linear]
    #[arg(long, value_name = "METHOD", value_parser = methods())]
    pub(crate) surface: Option<Method>,

    /// Spacing of grid nodes, in the site's length unit [default: from the size of the site]
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true)]
    pub(crate) cell: Option<f64>,

    /// Interval of the lines of equal change, in the elevation unit [default: from the changes]
    #[arg(long, value_name = "HEIGHT", allow_negative_numbers = true)]
    pub(crate) interval: Option<f64>,

    /// The folder for the results [default: SITE/out/changes/EARLIER to LATER]
    #[arg(long, short, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Form {
    /// A site folder, or one table of wells and readings
    #[arg(value_name = "SITE")]
    pub(crate) path: PathBuf,
    /// The day of the next round, such as 2026-10-14 [default: not stated, and the season is that of the newest round]
    #[arg(long, value_name = "DAY")]
    pub(crate) date: Option<Date>,

    #[command(flatten)]
    pub(crate) how: How,

    /// The folder for the results [default: SITE/out/form]
    #[arg(long, short, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Gather {
    /// Folders of results, or folders that have some below
    #[arg(value_name = "DIR", required = true)]
    pub(crate) dirs: Vec<PathBuf>,

    /// The GeoPackage to write; the page is beside it
    #[arg(long, short, value_name = "FILE")]
    pub(crate) out: PathBuf,

    /// The CRS of all layers
    #[arg(long, value_name = "CODE", default_value = "EPSG:4326")]
    pub(crate) crs: String,

    /// Write each layer as a GeoParquet file too, NAME-LAYER.parquet beside the GeoPackage
    #[arg(long)]
    pub(crate) geoparquet: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Verify {
    /// Folders of results, or folders that have some below
    #[arg(value_name = "DIR", required = true)]
    pub(crate) dirs: Vec<PathBuf>,

    /// The site that the results were made from [default: the folder above them that has its files]
    #[arg(long, value_name = "SITE")]
    pub(crate) site: Option<PathBuf>,

    /// Make each run once more as it is recorded, and compare all bytes
    #[arg(long)]
    pub(crate) redraw: bool,

    /// Print a line of JSON for each folder on standard output, and nothing else
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Start {
    /// The folder to create
    #[arg(value_name = "DIR")]
    pub(crate) dir: PathBuf,

    /// Make it from this table of wells and readings, with every round of it [default: an invented site]
    #[arg(long, value_name = "TABLE")]
    pub(crate) from: Option<PathBuf>,

    /// The sheet to read where the table is a workbook
    #[arg(long, value_name = "NAME", requires = "from")]
    pub(crate) worksheet: Option<String>,

    /// The layer to read where the table is in a vector file
    #[arg(long, value_name = "NAME", requires = "from")]
    pub(crate) layer: Option<String>,

    /// The project CRS, such as EPSG:26915, or local for the coordinates of a site plan
    #[arg(long, value_name = "CODE", requires = "from")]
    pub(crate) crs: Option<String>,

    /// The unit of elevations: m, ft (international foot) or ft-us (US survey foot)
    #[arg(long, value_name = "UNIT", value_parser = units(), requires = "from")]
    pub(crate) unit: Option<LengthUnit>,
}

/// The severity of a finding that makes the exit code 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum FailOn {
    /// Any finding
    Note,
    /// Warnings
    Warning,
    /// Whatever is found
    Never,
}

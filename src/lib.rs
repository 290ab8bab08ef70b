//! headfall turns a synoptic round of groundwater levels into a defensible potentiometric map.
//!
//! The modules follow the data's way, and each looks only at those above it:
//!
//! | module | takes | gives |
//! |---|---|---|
//! | [`read`] | a site folder or a table | a site and its rounds |
//! | [`reduce`] | readings | heads, and an account of every reading |
//! | [`check`] | heads | control points fit to be mapped, or a refusal |
//! | [`triangulate`] | control points | Delaunay triangles |
//! | [`interpolate`] | triangles | a surface, its heads on a grid |
//! | [`contour`] | the surface | lines of equal head |
//! | [`flow`] | triangles | gradients and directions |
//! | [`uncertainty`] | heads and their errors | intervals, bands, spreads |
//! | [`cross_validate`] | all methods, each well left out | which surface suits the wells |
//! | [`map`] | all of these | one bundle |
//! | [`toward`] | a map | flow paths and what they meet |
//! | [`record`] | the rounds of a site | trends, changes, turns, readings that do not fit |
//! | [`report`] | a map | what is said of it |
//! | [`draw`] | a report | the map sheet |
//! | [`page`] | a report | `report.html` |
//! | [`mod@write`] | a report | files |
//! | [`run`] | a folder | the whole way |
//!
//! # Example
//! Three wells of a site that no file describes. The head falls by 1 m over 100 m to the east:
//!
//! ```
//! use std::sync::Arc;
//!
//! use headfall::geo::Coord;
//! use headfall::{LengthUnit, Measurement, Reading, Round, Settings, Site, Well, run};
//!
//! # fn main() -> Result<(), headfall::Error> {
//! let settings = Settings::local("Low Field", LengthUnit::Metre, LengthUnit::Metre);
//! let wells = [("MW-1", 0.0, 0.0, 10.0), ("MW-2", 100.0, 0.0, 9.0), ("MW-3", 0.0, 100.0, 10.0)];
//! let readings = wells.iter().map(|w| Reading::new(w.0, Measurement::Elevation(w.3))).collect();
//! let round = Round::new("spring", readings, &settings);
//! let site = Site::new(settings, wells.iter().map(|w| Well::new(w.0, w.1, w.2)).collect());
//!
//! let mut findings = Vec::new();
//! let map = run::map(run::reduced(Arc::new(site), Arc::new(round), &mut findings)?, &mut findings)?;
//! assert!((map.flow.plane_gradient - 0.01).abs() < 1e-9);
//! let azimuth = map.flow.plane_azimuth_grid.expect("it slopes");
//! assert!((azimuth.degrees() - 90.0).abs() < 1e-6, "to the east");
//! // Half way from MW-1 to MW-2.
//! let head = map.surface.heads.at(Coord { x: 50.0, y: 0.0 }).expect("between the wells");
//! assert!((head - 9.5).abs() < 1e-9);
//! # Ok(())
//! # }
//! ```
//!
//! [`Settings::new`] takes a CRS in place of local coordinates, [`run::heads`] a site folder or a table. More
//! in `examples/`: a site in memory, a table, contours of a grid of one's own, flow paths.
//!
//! # What is promised
//! The names at the top of the crate, the functions of [`run`], [`contour::lines`] and
//! [`sealed::drop_environment`], and the fields and methods of all that these take and give: they change only
//! with a version number that says so, and `docs/CHANGELOG.md` tells how. The numbers that they give stand in
//! `docs/methods.md`, and the codes of findings in `docs/findings.md`.
//!
//! Everything else that is public, be it documented or not, serves the program, its tests and its
//! measurements, and changes with them.
//!
//! # Features
//! | feature | what it adds | by |
//! |---|---|---|
//! | none | reduction, checks, triangulation, surfaces, contours, gradients, intervals, `cross-validate`, flow paths, in local coordinates | |
//! | `crs` | sites in a CRS: positions on earth, true north | PROJ |
//! | `formats` | vector files and rasters read, results written; takes `crs` | GDAL |
//! | `sheet` | the map sheet | resvg, krilla |
//! | `page` | `report.html` | minijinja |
//! | `cli` | the program; takes all others | clap |
//!
//! All are there by default. With `default-features = false` neither PROJ nor GDAL is built, and what takes
//! one of them is refused in words that name the feature.
//!
//! PROJ and GDAL see what is built in and what the site names, and nothing of the machine: see [`sealed`].

#![cfg_attr(
    not(feature = "cli"),
    allow(
        dead_code,
        reason = "what only some features need: the whole build finds what nobody needs"
    )
)]

/// What PROJ and GDAL may see.
pub mod sealed;

/// How far long work has come.
pub mod progress;

/// What JSON schemas say of results.
pub mod schema;

/// Elements of XML.
#[cfg(any(feature = "formats", feature = "sheet"))]
mod xml;

/// Units, directions, rounding.
pub mod units;

/// Findings and refusals.
pub mod diag;

/// Plane geometry and projections.
pub mod geom;

/// The public error.
pub mod error;

/// Files and what they say.
pub mod read;

/// Readings to heads.
pub mod reduce;

/// Heads to control points.
pub mod check;

/// Control points to triangles.
pub mod triangulate;

/// Triangles to a grid.
pub mod interpolate;

/// The surface to contours.
pub mod contour;

/// Triangles to gradients.
pub mod flow;

/// How sure heads, gradients and directions are.
pub mod uncertainty;

/// Which surface suits the wells.
pub mod cross_validate;

/// A map: everything that is computed of one round.
pub mod map;

/// Where the water goes and what it meets.
pub mod toward;

/// What the rounds of a site say side by side.
pub mod record;

/// What is said of a map, decided once.
pub mod report;

/// The map sheet.
#[cfg(feature = "sheet")]
pub mod draw;

/// Results to a page for people.
#[cfg(feature = "page")]
pub mod page;

/// Results to files.
#[cfg(feature = "formats")]
pub mod write;

/// The whole way.
pub mod run;

pub use contour::{ContourLine, Contours};
pub use diag::{Diagnostic, Severity};
pub use error::Error;
pub use geo;
pub use interpolate::{Grid, GridSpec, Surface};
pub use map::Map;
pub use read::{Measurement, MeasuringPoint, Method, Reading, Round, Settings, Site, Well};
pub use units::{Azimuth, LengthUnit};

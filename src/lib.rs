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
//! use headfall::units::LengthUnit;
//! use headfall::{Measurement, Reading, Round, Settings, Site, Well, run};
//!
//! # fn main() -> Result<(), headfall::Error> {
//! let settings = Settings::new("Low Field", "EPSG:26915", LengthUnit::Metre);
//! let wells = [("MW-1", 0.0, 0.0, 10.0), ("MW-2", 100.0, 0.0, 9.0), ("MW-3", 0.0, 100.0, 10.0)];
//! let readings = wells.iter().map(|w| Reading::new(w.0, Measurement::Elevation(w.3))).collect();
//! let round = Round::new("spring", readings, &settings);
//! let register = wells.iter().map(|w| Well::new(w.0, 500_000.0 + w.1, 4_980_000.0 + w.2)).collect();
//! let site = Site::new(settings, register);
//!
//! let mut findings = Vec::new();
//! let map = run::map(run::reduced(Arc::new(site), Arc::new(round), &mut findings)?, &mut findings)?;
//! assert!((map.flow.plane_gradient - 0.01).abs() < 1e-9);
//! let azimuth = map.flow.plane_azimuth_grid.expect("it slopes");
//! assert!((azimuth.degrees() - 90.0).abs() < 1e-6, "to the east");
//! # Ok(())
//! # }
//! ```
//!
//! More in `examples/`: a site in memory, a table, contours of a grid of one's own, flow paths.

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

pub use error::Error;
pub use geo;
pub use map::Map;
pub use read::{Measurement, Reading, Round, Settings, Site, Well};

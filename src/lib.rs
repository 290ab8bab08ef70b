//! headfall turns a synoptic round of groundwater levels into a defensible potentiometric map.
//!
//! The modules follow the data's way, and each looks only at those above it:
//!
//! | module | takes | gives |
//! |---|---|---|
//! | [`read`] | a site folder or a table | what the files say |
//! | [`reduce`] | readings | heads, and an account of every reading |
//! | [`check`] | heads | control points fit to be mapped, or a refusal |
//! | [`triangulate`] | control points | Delaunay triangles |
//! | [`interpolate`] | triangles | a surface, its heads on a grid |
//! | [`contour`] | the surface | lines of equal head |
//! | [`flow`] | triangles | gradients and directions |
//! | [`uncertainty`] | heads and their errors | intervals, bands, spreads |
//! | [`compare`] | all methods, each well left out | which surface suits the wells |
//! | [`toward`] | the surface | flow paths and what they meet |
//! | [`draw`] | all of these | the map sheet |
//! | [`page`] | all of these | `report.html` |
//! | [`mod@write`] | all of these | files |
//! | [`run`] | a folder | the whole way |

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
pub mod compare;

/// Where the water goes and what it meets.
pub mod toward;

/// Everything one map holds.
pub mod results;

/// The map sheet.
pub mod draw;

/// Results to a page for people.
pub mod page;

/// Results to files.
pub mod write;

/// The whole way.
pub mod run;

pub use error::Error;

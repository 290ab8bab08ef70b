//! Lines and areas that stand beside the wells: boundary, barriers, streams, sources, receptors.
//!
//! | file | what it does |
//! |---|---|
//! | `types` | what they are |
//! | `layer` | what a vector file holds |
//! | `vector` | a vector file to layers, fields and geometries (GDAL) |
//! | `around` | what features are read against |
//! | `files` | declared files to features in the project CRS |
//! | `into_project` | vertices of a file into the project CRS |
//! | `places` | sources and receptors of `site.toml` itself |
//! | `shape` | which geometry fits which role |
//! | `stage` | the stage along a stream |
//! | `points` | streams to control points |
//! | `judged` | judged points and control lines to control points |

pub(super) mod around;
pub(super) mod files;
#[cfg(feature = "formats")]
mod geopackage;
mod into_project;
pub(super) mod judged;
mod layer;
pub(super) mod places;
pub(super) mod points;
mod rings;
mod shape;
mod stage;
pub(super) mod types;
#[cfg(feature = "formats")]
mod vector;
#[cfg(not(feature = "formats"))]
mod without;

#[cfg(not(feature = "formats"))]
use without as vector;

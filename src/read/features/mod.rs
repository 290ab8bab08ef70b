//! Lines and areas that stand beside the wells: boundary, barriers, streams, sources, receptors.
//!
//! | file | what it does |
//! |---|---|
//! | `types` | what they are |
//! | `layer` | what a vector file holds |
//! | `faults` | why it holds none, in words |
//! | `vector` | a vector file to layers, fields and geometries (GDAL) |
//! | `around` | what features are read against |
//! | `files` | declared files to features in the project CRS |
//! | `into_project` | vertices of a file into the project CRS |
//! | `picture` | the picture below the site plan |
//! | `points_table` | a layer of points to the text of a table |
//! | `places` | sources and receptors of `site.toml` itself |
//! | `shape` | which geometry fits which role |
//! | `stage` | the stage along a stream |
//! | `points` | streams to control points |
//! | `judged` | judged points and control lines to control points |

pub(super) mod around;
mod faults;
pub(super) mod files;
#[cfg(feature = "formats")]
mod geopackage;
mod into_project;
pub(super) mod judged;
mod layer;
pub(super) mod picture;
pub(super) mod places;
pub(super) mod points;
pub(super) mod points_table;
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

//! Rasters: the land surface, the picture below a site plan, and the datum grids that positions need.
//!
//! | file | what it does |
//! |---|---|
//! | `land_surface` | elevations at places |
//! | `pixels` | a raster of elevations (GDAL) |
//! | `colours` | pixels with colours to the dots of a sheet |
//! | `picture` | a raster of colours (GDAL) |
//! | `logo` | the logo of the title block |
//! | `datum_grids` | the grids of `[crs]` |
//! | `ntv2`, `geodetic_tiff` | the two forms of them |
//! | `without` | what is said in GDAL's place where it is not built in |

pub(super) mod colours;
pub(super) mod datum_grids;
#[cfg(feature = "formats")]
pub(super) mod geodetic_tiff;
pub(super) mod land_surface;
#[cfg(feature = "sheet")]
pub(super) mod logo;
#[cfg(not(feature = "sheet"))]
#[path = "no_logo.rs"]
pub(super) mod logo;
#[cfg(feature = "formats")]
pub(super) mod ntv2;
#[cfg(feature = "formats")]
pub(super) mod picture;
#[cfg(feature = "formats")]
pub(super) mod pixels;
#[cfg(not(feature = "formats"))]
pub(super) mod without;

#[cfg(not(feature = "formats"))]
pub(super) use without as picture;
#[cfg(not(feature = "formats"))]
use {without as geodetic_tiff, without as pixels};

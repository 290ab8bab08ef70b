//! Grids: the land surface, and the datum grids that positions need.
//!
//! | file | what it does |
//! |---|---|
//! | `land_surface` | a raster of elevations (GDAL) |
//! | `datum_grids` | the grids of `[crs]` |
//! | `ntv2`, `geodetic_tiff` | the two forms of them |

pub(super) mod datum_grids;
pub(super) mod geodetic_tiff;
pub(super) mod land_surface;
pub(super) mod ntv2;

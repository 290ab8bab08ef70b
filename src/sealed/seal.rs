//! The seal itself.

use std::sync::Once;

use super::files;
#[cfg(feature = "formats")]
use super::options;

/// Closes PROJ and GDAL off: for the process once, and GDAL's search for its own tables once on
/// each thread. To be called before each use of either.
pub(crate) fn seal() {
    static SEALED: Once = Once::new();
    SEALED.call_once(|| {
        files::close_proj();
        options::close_gdal();
    });
    options::close_here();
}

/// Without GDAL there is none to close.
#[cfg(not(feature = "formats"))]
mod options {
    pub(super) const fn close_gdal() {}
    pub(super) const fn close_here() {}
}

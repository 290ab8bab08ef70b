//! What is said in GDAL's place where it is not built in.

use std::path::Path;

use super::layer::{Fault, Layer};

/// No layer of a vector file is read.
pub(super) const fn read(_path: &Path, _wanted: Option<&str>) -> Result<Layer, Fault> {
    Err(Fault::Closed(
        "cannot be read: this headfall was built without GDAL",
        "build headfall with the feature `formats`",
    ))
}

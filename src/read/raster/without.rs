//! What is said in GDAL's place where it is not built in.

use std::path::Path;

use geo::Coord;

use super::colours::{Fault, Fineness, Lattice, Opened, PictureDots};
use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::geom::Crs;
use crate::read::files::input_file::InputFile;
use crate::read::settings::aquifer::GroundSettings;
use crate::units::LengthUnit;

/// No raster is read.
pub(super) fn elevations(
    _folder: &Path,
    settings: &GroundSettings,
    _crs: &Crs,
    _places: &[Coord],
    _unit: LengthUnit,
) -> Result<(Vec<Option<f64>>, Vec<InputFile>), Error> {
    let message = format!(
        "the raster {} cannot be read: this headfall was built without GDAL",
        settings.raster
    );
    let told = Diagnostic::new(Code::FileUnreadable, message).at(&settings.origin);
    Err(Error::Read(vec![told.advice("build headfall with the feature `formats`")]))
}

/// No geodetic TIFF is read.
pub(super) fn to_ntv2(_bytes: Vec<u8>) -> Result<Vec<u8>, String> {
    Err("is a TIFF, and this headfall was built without GDAL, which reads it".to_owned())
}

const NO_GDAL: &str = "this headfall was built without GDAL";

/// No raster of colours is opened.
pub(in crate::read) fn look(_path: &Path) -> Result<Opened, Fault> {
    Err(Fault::Format(NO_GDAL.to_owned()))
}

/// And none of its dots are read.
pub(in crate::read) fn dots(
    _path: &Path,
    _lattice: &Lattice,
    _fineness: Fineness,
) -> Result<Option<PictureDots>, Fault> {
    Err(Fault::Format(NO_GDAL.to_owned()))
}

//! The file of the register or of a table for everything. What a vector file says of the CRS of its points
//! counts as declared.

use std::path::Path;

use crate::diag::{Diagnostic, Origin};
use crate::geom::CrsKind;
use crate::read::features::points_table::{PointsFile, PointsTable};
use crate::read::files::input::Text;
use crate::read::rounds::open;
use crate::read::settings::declared::Declared;
use crate::read::table::columns::Column;
use crate::read::table::layout::Layout;
use crate::read::table::rows::Table;
use crate::read::table::rules::How;

/// Reads the file. Nothing where it cannot be read, which is said.
pub(super) fn text(
    folder: &Path,
    file: &str,
    among: &[Column],
    declared: &mut Declared,
    said: &mut Vec<Diagnostic>,
) -> Option<Text> {
    if !open::is_layer(Path::new(file)) {
        let text = open::text(&folder.join(file), file, among, &declared.how);
        return text.map_err(|fault| said.push(*fault)).ok();
    }
    let named = declared.register.as_ref().filter(|r| r.file == file);
    let origin = named.map_or_else(|| Origin::file(file), |r| r.origin.clone());
    let (origin, how) = (&origin, &declared.how);
    let crs = declared.coordinates_crs.as_deref();
    let PointsTable { text, crs } =
        PointsFile { folder, file, origin, among, how, crs }.read(said)?;
    if declared.crs.is_none() && crs.kind() == CrsKind::Projected {
        declared.crs = Some(crs.definition().to_owned());
    }
    declared.of_points = true;
    // A declared length unit is that of eastings in tables: points are in the unit of their CRS.
    if declared.crs.as_deref() != Some(crs.definition()) || declared.length_unit.is_some() {
        declared.coordinates_crs.get_or_insert_with(|| crs.definition().to_owned());
    }
    Some(text)
}

/// The table of such a file, with its columns.
pub(super) fn open(
    folder: &Path,
    file: &str,
    among: &[Column],
    how: &mut How,
    said: &mut Vec<Diagnostic>,
) -> Option<(Table, Layout)> {
    if !open::is_layer(Path::new(file)) {
        return open::open(&folder.join(file), file, among, how, said);
    }
    let origin = &Origin::file(file);
    let points = PointsFile { folder, file, origin, among, how, crs: None }.read(said)?;
    open::of_text(points.text, among, how, said)
}

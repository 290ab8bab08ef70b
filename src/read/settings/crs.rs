//! What a CRS is called, and `[crs]`: the datum grids that positions need.

use serde::Deserialize;
use toml::Spanned;

use crate::diag::Origin;
use crate::geom::Crs;

use super::reader::Reader;

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct CrsKeys {
    grids: Vec<Spanned<String>>,
}

/// A datum grid, as it is named and where.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredGrid {
    /// As the settings name it, counted from the site folder.
    pub(in crate::read) file: String,
    pub(in crate::read) origin: Origin,
}

/// A definition without spaces around it; `local` in whatever letters.
pub(in crate::read) fn definition(given: &str) -> String {
    let given = given.trim();
    if given.eq_ignore_ascii_case(Crs::LOCAL) { Crs::LOCAL } else { given }.to_owned()
}

impl Reader<'_> {
    /// The datum grids of `[crs]`.
    pub(in crate::read) fn grids(&self, keys: CrsKeys) -> Vec<DeclaredGrid> {
        let declared = |grid: Spanned<String>| DeclaredGrid {
            origin: self.origin(&grid.span()),
            file: grid.into_inner(),
        };
        keys.grids.into_iter().map(declared).collect()
    }
}

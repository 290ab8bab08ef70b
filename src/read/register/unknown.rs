//! Names that the register does not have, and the name that may have been meant.

use std::collections::BTreeMap;

use crate::diag::{Code, Diagnostic, MOST_TOLD, bare, likely};
use crate::read::table::cells::Cells;
use crate::read::table::columns::Column;
use crate::read::table::rows::shown;

/// Says which rows belong to no well of the register.
#[derive(Debug)]
pub(in crate::read) struct Unknown<'f> {
    register_file: &'f str,
    alike: Option<BTreeMap<String, String>>,
    /// Names that the register does not have, with the well that was likely meant: as many as messages list.
    near: BTreeMap<String, Option<String>>,
}

impl<'f> Unknown<'f> {
    /// For a register in this file.
    pub(in crate::read) fn new(register_file: &'f str) -> Self {
        Self { register_file, alike: None, near: BTreeMap::new() }
    }

    /// R109 about a row. `wells` gives the names there are, in the order of the register.
    pub(in crate::read) fn say<'w>(
        &mut self,
        cells: &Cells<'_>,
        id: &str,
        what: &str,
        wells: impl FnOnce() -> Vec<&'w str>,
    ) -> Diagnostic {
        let by_bare = |id: &str| (bare(id), id.to_owned());
        let alike = self.alike.get_or_insert_with(|| wells().into_iter().map(by_bare).collect());
        let meant = alike.get(&bare(id)).or_else(|| {
            if self.near.len() < MOST_TOLD && !self.near.contains_key(id) {
                let near = likely(id, alike.values().map(String::as_str)).map(str::to_owned);
                self.near.insert(id.to_owned(), near);
            }
            self.near.get(id)?.as_ref()
        });
        let advice = match meant {
            Some(meant) => format!("the register has {meant}; use the same name in both"),
            None => format!("correct the name, or add the well to {}", self.register_file),
        };
        let message =
            format!("{what} names well {}, which is not in {}", shown(id), self.register_file);
        cells.about(Column::Id, Code::WellUnknown, message).advice(advice)
    }
}

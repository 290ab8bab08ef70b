//! Names that the register does not have, and the name that may have been meant.

use std::collections::BTreeMap;

use crate::diag::{Code, Diagnostic};
use crate::read::table::cells::Cells;
use crate::read::table::columns::Column;
use crate::read::table::rows::shown;

/// Says which rows belong to no well of the register.
#[derive(Debug)]
pub(in crate::read) struct Unknown<'f> {
    register_file: &'f str,
    alike: Option<BTreeMap<String, String>>,
}

impl<'f> Unknown<'f> {
    /// For a register in this file.
    pub(in crate::read) fn new(register_file: &'f str) -> Self {
        Self { register_file, alike: None }
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
        let advice = match alike.get(&bare(id)) {
            Some(meant) => format!("the register has {meant}; use the same name in both"),
            None => format!("correct the name, or add the well to {}", self.register_file),
        };
        let message =
            format!("{what} names well {}, which is not in {}", shown(id), self.register_file);
        cells.about(Column::Id, Code::WellUnknown, message).advice(advice)
    }
}

/// A name without case, gaps, signs and leading zeros: `MW-01` and `mw 1` are alike.
fn bare(id: &str) -> String {
    let mut bare = String::new();
    for c in id.to_lowercase().chars().filter(|c| c.is_alphanumeric()) {
        if c.is_ascii_digit() {
            let digits = bare.len() - bare.trim_end_matches(|d: char| d.is_ascii_digit()).len();
            if digits == 1 && bare.ends_with('0') {
                bare.pop();
            }
        }
        bare.push(c);
    }
    bare
}

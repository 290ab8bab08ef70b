//! How a site's tables are to be read.

use crate::diag::Origin;

use super::columns::Column;
use super::heading;
use super::moment::DateRule;

/// How cells are to be read.
#[derive(Debug, Clone, Default)]
pub(in crate::read) struct Rules {
    /// The declared delimiter.
    pub(in crate::read) delimiter: Option<u8>,
    /// Whether numbers have a decimal comma, where that is declared.
    pub(in crate::read) decimal_comma: Option<bool>,
    /// The sheet of a workbook.
    pub(in crate::read) worksheet: Option<String>,
    /// The layer of a vector file.
    pub(in crate::read) layer: Option<String>,
    /// How dates are written.
    pub(in crate::read) dates: DateRule,
}

/// A heading that `[columns]` names for one of our columns, or as one that is not used.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredColumn {
    /// Our column; nothing where the heading is not used.
    pub(in crate::read) column: Option<Column>,
    /// The heading in the file.
    pub(in crate::read) heading: String,
    /// Where it is declared.
    pub(in crate::read) origin: Origin,
    /// Whether a table had the heading.
    pub(in crate::read) found: bool,
}

impl DeclaredColumn {
    /// Whether this is the heading that is declared.
    pub(in crate::read) fn is(&self, heading: &str) -> bool {
        let wanted = heading::words(&self.heading);
        heading == self.heading || (!wanted.is_empty() && heading::words(heading) == wanted)
    }

    /// What the heading is declared to be, as `[columns]` has it.
    pub(in crate::read) const fn name(&self) -> &'static str {
        match self.column {
            Some(column) => column.name(),
            None => NOT_USED,
        }
    }
}

/// The key of `[columns]` that lists the headings of columns that are not used.
pub(in crate::read) const NOT_USED: &str = "not_used";

/// How tables are read.
#[derive(Debug, Clone, Default)]
pub(in crate::read) struct How {
    pub(in crate::read) rules: Rules,
    /// What `[columns]` says.
    pub(in crate::read) columns: Vec<DeclaredColumn>,
}

//! The cells of one row by column, with what is wrong about them said at their place.

use jiff::civil::Date;

use super::rules::Rules;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::{EARLIEST_YEAR, LATEST_YEAR};

use super::columns::Column;
use super::date_advice;
use super::layout::Layout;
use super::moment::{self, BadMoment, DateRule};
use super::number::{self, NotNumber};
use super::rows::{Row, shown};

/// Marks a value that is not there because something was said about it already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::read) struct Reported;

/// The cells of one row.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) struct Cells<'a> {
    /// The row.
    pub(in crate::read) row: Row<'a>,
    /// Where the columns are.
    pub(in crate::read) layout: &'a Layout,
    /// How cells are to be read.
    pub(in crate::read) rules: &'a Rules,
}

impl<'a> Cells<'a> {
    /// The cell's text; nothing when it is empty or there is no such column.
    #[inline]
    pub(in crate::read) fn text(&self, column: Column) -> Option<&'a str> {
        let cell = self.row.cell(self.layout.place(column)?);
        (!cell.is_empty()).then_some(cell)
    }

    /// The cell's text, kept.
    pub(in crate::read) fn owned(&self, column: Column) -> Option<String> {
        self.text(column).map(str::to_owned)
    }

    /// The well's name; R115 when the row has none.
    pub(in crate::read) fn id(&self, said: &mut Vec<Diagnostic>) -> Result<&'a str, Reported> {
        self.text(Column::Id).ok_or_else(|| {
            said.push(
                self.about(Column::Id, Code::CellMissing, "a row has no well name")
                    .advice("write the well name, or remove the row"),
            );
            Reported
        })
    }

    /// A number, where there is one; R105 or R106 when the text is none.
    pub(in crate::read) fn number(
        &self,
        column: Column,
        said: &mut Vec<Diagnostic>,
    ) -> Result<Option<f64>, Reported> {
        let Some(text) = self.text(column) else { return Ok(None) };
        match number::parse(text, self.row.decimal_comma()) {
            Ok(value) => Ok(Some(value)),
            Err(why) => {
                said.push(self.not_a_number(column, text, why));
                Err(Reported)
            }
        }
    }

    /// A number of a column that nothing rests on, where there is one.
    pub(in crate::read) fn aside(&self, column: Column) -> Option<f64> {
        number::parse(self.text(column)?, self.row.decimal_comma()).ok()
    }

    /// A number that must be there; R115 when the cell is empty.
    pub(in crate::read) fn needed(
        &self,
        column: Column,
        said: &mut Vec<Diagnostic>,
    ) -> Result<f64, Reported> {
        self.number(column, said)?.ok_or_else(|| {
            said.push(self.empty(column));
            Reported
        })
    }

    /// A day, where there is one; R107 when the text is none.
    pub(in crate::read) fn day(
        &self,
        column: Column,
        said: &mut Vec<Diagnostic>,
    ) -> Result<Option<Date>, Reported> {
        let Some(text) = self.text(column) else { return Ok(None) };
        match moment::day(text, self.dates(column)?) {
            Ok(day) => Ok(Some(day)),
            Err(why) => {
                said.push(self.bad_moment(column, text, why));
                Err(Reported)
            }
        }
    }

    /// How the dates of a column are written; nothing where all of them were refused.
    pub(in crate::read) fn dates(&self, column: Column) -> Result<&'a DateRule, Reported> {
        self.layout.dates_of(column, &self.rules.dates).ok_or(Reported)
    }

    /// R105 or R106 about a cell.
    pub(in crate::read) fn not_a_number(
        &self,
        column: Column,
        text: &str,
        why: NotNumber,
    ) -> Diagnostic {
        let (code, is) = match why {
            NotNumber::FeetAndInches(_) => (Code::FeetAndInches, "is feet and inches"),
            _ => (Code::NotANumber, "is not a number"),
        };
        let message = format!("{} \"{}\"{} {is}", column.words(), shown(text), self.of_well());
        self.about(column, code, message).advice(why.advice())
    }

    /// R107 about a cell.
    pub(in crate::read) fn bad_moment(
        &self,
        column: Column,
        text: &str,
        why: BadMoment,
    ) -> Diagnostic {
        let date = if column == Column::Time { "" } else { text };
        let is = match why {
            BadMoment::Year(year) => {
                format!("is in the year {year}, which is not from {EARLIEST_YEAR} to {LATEST_YEAR}")
            }
            BadMoment::Zone => {
                "has an offset from UTC, and no time zone of the site is declared".to_owned()
            }
            _ if column == Column::Time => "cannot be read as a time of day".to_owned(),
            _ => "cannot be read as a date".to_owned(),
        };
        let message = format!("{} \"{}\"{} {is}", column.words(), shown(text), self.of_well());
        self.about(column, Code::BadTime, message).advice(date_advice::advice(why, date))
    }

    /// R115 about a cell.
    pub(in crate::read) fn empty(&self, column: Column) -> Diagnostic {
        let message = format!("{}{} is empty", column.words(), self.of_well());
        self.about(column, Code::CellMissing, message).advice("fill in the cell, or remove the row")
    }

    /// Something about a cell, with its place and its well.
    pub(in crate::read) fn about(
        &self,
        column: Column,
        code: Code,
        message: impl Into<String>,
    ) -> Diagnostic {
        let origin = match self.layout.place(column) {
            Some(place) => self.row.cell_origin(place),
            None => self.row.origin(),
        };
        let diagnostic = Diagnostic::new(code, message).at(&origin);
        match self.text(Column::Id) {
            Some(id) => diagnostic.well(id),
            None => diagnostic,
        }
    }

    /// ` of well MW-3`, or nothing when the row names none.
    pub(in crate::read) fn of_well(&self) -> String {
        self.text(Column::Id).map(|id| format!(" of well {}", shown(id))).unwrap_or_default()
    }
}

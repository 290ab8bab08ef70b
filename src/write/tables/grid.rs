//! A table before it is written: headings, and the cells of each row. Files of text and sheets of a workbook are made of the
//! same.

use std::borrow::Cow;
use std::io;
use std::path::Path;

use crate::read::TableMarks;
use crate::units::Decimal;
use crate::write::tables::{cell, marks};

/// What a cell holds.
#[derive(Debug, Clone)]
pub(super) enum Cell<'a> {
    Empty,
    Text(Cow<'a, str>),
    /// A text that [`cell::text`] has made safe already.
    Safe(String),
    Number(Decimal),
    /// A number as it is written with a point, with all the digits that it has.
    Figure(String),
}

impl From<Option<Decimal>> for Cell<'_> {
    fn from(value: Option<Decimal>) -> Self {
        value.map_or(Self::Empty, Self::Number)
    }
}

impl<'a> From<&'a str> for Cell<'a> {
    fn from(text: &'a str) -> Self {
        if text.is_empty() { Self::Empty } else { Self::Text(Cow::Borrowed(text)) }
    }
}

impl From<String> for Cell<'_> {
    fn from(text: String) -> Self {
        if text.is_empty() { Self::Empty } else { Self::Text(Cow::Owned(text)) }
    }
}

impl<'a> From<Option<&'a str>> for Cell<'a> {
    fn from(text: Option<&'a str>) -> Self {
        text.map_or(Self::Empty, Self::from)
    }
}

impl From<Option<String>> for Cell<'_> {
    fn from(text: Option<String>) -> Self {
        text.map_or(Self::Empty, Self::from)
    }
}

impl Cell<'_> {
    /// As it stands in a table of text.
    pub(super) fn text(&self, marks: TableMarks) -> Cow<'_, str> {
        match self {
            Self::Empty => Cow::Borrowed(""),
            Self::Text(text) => cell::text(text),
            Self::Safe(text) => Cow::Borrowed(text),
            Self::Figure(number) => Cow::Owned(marks.number(number.clone())),
            Self::Number(number) => Cow::Owned(marks.number(number.to_string())),
        }
    }
}

/// The cells of a row by its number.
pub(super) type Rows<'a> = Box<dyn Fn(usize) -> io::Result<Vec<Cell<'a>>> + Sync + 'a>;

/// A table.
pub(in crate::write) struct Grid<'a> {
    pub(super) headings: Vec<String>,
    /// How many rows there are.
    pub(super) count: usize,
    pub(super) cells: Rows<'a>,
}

impl Grid<'_> {
    /// Writes it as a table of text with these marks.
    pub(in crate::write) fn csv(&self, (path, of_site): (&Path, TableMarks)) -> io::Result<()> {
        let headings = self.headings.iter().map(|heading| cell::text(heading).into_owned());
        let cells = |i: usize| {
            let cells = (self.cells)(i)?;
            Ok(cells.iter().map(|cell| cell.text(of_site).into_owned()).collect())
        };
        marks::file(path, of_site, headings, self.count, cells)
    }
}

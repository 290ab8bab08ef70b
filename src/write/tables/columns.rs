//! Tables whose headings name the site's unit: one column after another, each with its heading and its cells.

use std::borrow::Cow;
use std::io;
use std::path::Path;

use crate::read::TableMarks;
use crate::report::OfRound;
use crate::units::Decimal;
use crate::write::tables::cell;
use crate::write::tables::marks;

/// What a cell holds.
#[derive(Debug, Clone)]
pub(super) enum Cell<'a> {
    Empty,
    Text(Cow<'a, str>),
    Number(Decimal),
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
    fn text(&self, marks: TableMarks) -> Cow<'_, str> {
        match self {
            Self::Empty => Cow::Borrowed(""),
            Self::Text(text) => cell::text(text),
            Self::Number(number) => Cow::Owned(marks.number(number.to_string())),
        }
    }
}

/// A column: its heading, and its cell in a row.
type Column<'a, R> = (Cow<'static, str>, Box<dyn Fn(&R) -> Cell<'a> + Sync + 'a>);

/// The columns of a table whose rows are made of `R`.
pub(super) struct Columns<'a, R>(Vec<Column<'a, R>>);

impl<'a, R> Columns<'a, R> {
    pub(super) const fn new() -> Self {
        Self(Vec::new())
    }

    /// The same with one column more.
    pub(super) fn with<C: Into<Cell<'a>>>(
        mut self,
        heading: impl Into<Cow<'static, str>>,
        cell: impl Fn(&R) -> C + Sync + 'a,
    ) -> Self {
        self.0.push((heading.into(), Box::new(move |row| cell(row).into())));
        self
    }

    /// The same with what each row belongs to.
    pub(super) fn with_round(self, of: &'a OfRound) -> Self {
        self.with("site", |_| of.site.as_str())
            .with("round", |_| of.round.as_str())
            .with("read_from", |_| of.read_from.as_deref())
            .with("read_to", |_| of.read_to.as_deref())
            .with("mapped_unit", |_| of.mapped_unit.as_deref())
            .with("vertical_datum", |_| of.vertical_datum.as_deref())
            .with("elevation_unit", |_| of.elevation_unit.as_str())
    }

    /// The headings.
    pub(super) fn headings(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(|(heading, _)| heading.as_ref())
    }

    /// The cells of a row.
    pub(super) fn cells(&self, row: &R) -> Vec<Cell<'a>> {
        self.0.iter().map(|(_, cell)| cell(row)).collect()
    }

    /// Writes `count` rows as a table of text with these marks.
    pub(super) fn write(
        &self,
        (path, of_site): (&Path, TableMarks),
        count: usize,
        row: impl Fn(usize) -> R + Sync,
    ) -> io::Result<()> {
        // The vertical datum in a heading is the site's own word.
        let headings = self.headings().map(|heading| cell::text(heading).into_owned());
        let cells = |i: usize| {
            let cells = self.cells(&row(i));
            Ok(cells.iter().map(|cell| cell.text(of_site).into_owned()).collect())
        };
        marks::file(path, of_site, headings, count, cells)
    }
}

/// What a row belongs to, for a table of another kind: the headings, and the cells of each row.
pub(in crate::write) fn of_round(of: &OfRound) -> (Vec<String>, Vec<String>) {
    let columns = Columns::<()>::new().with_round(of);
    let cells = columns.cells(&());
    // It has no numbers.
    let text = |cell: &Cell| cell.text(TableMarks::default()).into_owned();
    let cells = cells.iter().map(text).collect();
    (columns.headings().map(str::to_owned).collect(), cells)
}

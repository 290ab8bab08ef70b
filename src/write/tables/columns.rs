//! Tables whose headings name the site's unit: one column after another, each with its heading and its cells.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::borrow::Cow;
use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;

use crate::report::OfRound;
use crate::units::Decimal;
use crate::write::stream;
use crate::write::tables::cell;

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
    fn text(&self) -> Cow<'_, str> {
        match self {
            Self::Empty => Cow::Borrowed(""),
            Self::Text(text) => cell::text(text),
            Self::Number(number) => Cow::Owned(number.to_string()),
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

    /// Writes `count` rows as comma-separated text.
    pub(super) fn write(
        &self,
        path: &Path,
        count: usize,
        row: impl Fn(usize) -> R + Sync,
    ) -> io::Result<()> {
        let mut file = File::create_new(path)?;
        let mut headings = csv::Writer::from_writer(Vec::new());
        // The vertical datum in a heading is the site's own word.
        let texts = self.headings().map(|heading| cell::text(heading).into_owned());
        headings.write_record(texts).map_err(io::Error::other)?;
        file.write_all(&headings.into_inner().map_err(|e| io::Error::other(e.to_string()))?)?;
        stream::rows(
            count,
            |range| {
                let mut text = csv::Writer::from_writer(Vec::with_capacity(stream::TEXT));
                for i in range {
                    let cells = self.cells(&row(i));
                    let texts = cells.iter().map(Cell::text);
                    text.write_record(texts.map(Cow::into_owned)).map_err(io::Error::other)?;
                }
                text.into_inner().map_err(|e| io::Error::other(e.to_string()))
            },
            |text| file.write_all(text),
        )
    }
}

/// What a row belongs to, for a table of another kind: the headings, and the cells of each row.
pub(in crate::write) fn of_round(of: &OfRound) -> (Vec<String>, Vec<String>) {
    let columns = Columns::<()>::new().with_round(of);
    let cells = columns.cells(&());
    let cells = cells.iter().map(|cell| cell.text().into_owned()).collect();
    (columns.headings().map(str::to_owned).collect(), cells)
}

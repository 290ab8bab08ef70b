//! Tables whose headings name the site's unit: one column after another, each with its heading and its cells.

use std::borrow::Cow;

use crate::read::TableMarks;
use crate::report::OfRound;
use crate::write::tables::grid::{Cell, Grid};

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

    /// A table of `count` rows.
    pub(super) fn grid(self, count: usize, row: impl Fn(usize) -> R + Sync + 'a) -> Grid<'a>
    where
        R: 'a,
    {
        // The vertical datum in a heading is the site's own word.
        let headings = self.headings().map(str::to_owned).collect();
        let cells = move |i: usize| Ok(self.cells(&row(i)));
        Grid { headings, count, cells: Box::new(cells) }
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

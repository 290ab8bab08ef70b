//! Dates of a table: those of its headings, and how those of its columns are written.

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::wells::reading::Moment;

use super::columns::{Column, Quantity};
use super::date_advice;
use super::dates::{Orders, Written};
use super::layout::{Layout, Stated, quoted};
use super::moment::{BadMoment, DateRule, moment};
use super::rows::{Table, shown};
use super::rules::{DeclaredColumn, How};
use super::wide::{self, WideDay};
use super::zone;

/// So many dates are looked at to see whether a column has any that are not ISO 8601.
const LOOKED_AT: usize = 40;

impl Layout {
    /// Finds the dates of the table: columns headed with one, and how the cells are written where
    /// nothing declares it (R131). R107 where day and month cannot be told apart.
    pub(in crate::read) fn find_dates(
        &mut self,
        table: &Table,
        among: &[Column],
        how: &How,
        said: &mut Vec<Diagnostic>,
    ) {
        self.find_days(table, among, how, said);
        said.extend(self.converted(table, &how.rules.dates));
        if how.rules.dates.is_declared() {
            return;
        }
        let columns: Vec<(Column, usize)> = self.places.clone();
        for (column, at) in columns {
            if column.quantity() != Quantity::Time || column == Column::Time {
                continue;
            }
            let id = self.place(Column::Id);
            let Some((written, first)) = written(table, at, id) else { continue };
            let of = format!("dates in column {} of {}", quoted(&table.headings[at]), table.file);
            if let Some(rule) = settle(&of, written, first, said) {
                let zone = how.rules.dates.zone().cloned();
                self.dates.push((column, rule.ok().map(|rule| rule.in_zone(zone))));
            }
        }
    }

    /// R145: times that have an offset from UTC are converted to the time zone of the site.
    fn converted(&self, table: &Table, rule: &DateRule) -> Option<Diagnostic> {
        let zone = rule.zone()?;
        let times = self.places.iter().filter(|(c, _)| c.quantity() == Quantity::Time);
        let times: Vec<usize> = times.map(|(_, at)| *at).collect();
        let mut first = None;
        table.each_until(|row| {
            let with_offset = |at: &&usize| zone::parted(row.cell(**at)).is_some();
            first = times
                .iter()
                .find(with_offset)
                .map(|at| (row.cell(*at).to_owned(), row.cell_origin(*at)));
            first.is_none()
        });
        let (text, origin) = first?;
        let text = format!(
            "times of {} with an offset from UTC, such as \"{}\", are converted to {}",
            table.file,
            shown(&text),
            zone.name
        );
        Some(
            Diagnostic::new(Code::TimesConverted, text)
                .at(&origin)
                .advice("times without an offset are taken for the clock of the site as they are"),
        )
    }

    /// How the dates of a column are written; nothing where that was refused.
    pub(in crate::read) fn dates_of<'a>(
        &'a self,
        column: Column,
        declared: &'a DateRule,
    ) -> Option<&'a DateRule> {
        match self.dates.iter().find(|(c, _)| *c == column) {
            Some((_, rule)) => rule.as_ref(),
            None => Some(declared),
        }
    }

    fn find_days(
        &mut self,
        table: &Table,
        among: &[Column],
        how: &How,
        said: &mut Vec<Diagnostic>,
    ) {
        let dated = [Column::Date, Column::DateTime].iter().any(|c| self.has(*c));
        if dated || !among.contains(&Column::DepthToWater) {
            return;
        }
        // A heading that [columns] declares may be one of the dates, and says what all of them hold.
        let is_declared = |at: usize, d: &DeclaredColumn| {
            d.is(&table.headings[at]) && d.column.and_then(|c| self.place(c)) == Some(at)
        };
        let declared = |at: usize| how.columns.iter().find(|d| is_declared(at, d));
        let free = |at: usize| self.places.iter().all(|(_, p)| *p != at) || declared(at).is_some();
        let headings = table.headings.iter().enumerate().filter(|(at, _)| free(*at));
        let headings = headings.map(|(at, heading)| (at, heading.as_str()));
        let (mut days, written) =
            wide::days(headings, among, &how.rules.dates, table.decimal_comma);
        let of = format!("dates in the headings of {}", table.file);
        let first = (table.heading_origin(), None);
        if settle(&of, written, first, said).is_some_and(|read| read.is_err()) {
            return;
        }
        let named = days.iter().flat_map(|d| &d.places).find_map(|p| declared(p.at));
        let named = named.and_then(|d| d.column);
        // Beside a column of levels that is not dated, a date is not what the heading is about.
        let own = days.iter().flat_map(|d| &d.places).map(|p| p.at).collect::<Vec<_>>();
        let other = [Column::DepthToWater, Column::Elevation];
        if days.is_empty()
            || other.iter().any(|c| self.place(*c).is_some_and(|p| !own.contains(&p)))
        {
            return;
        }
        if let Some(column) = named {
            self.places.retain(|(_, p)| !own.contains(p));
            self.stated.retain(|s| s.column != column);
            Self::hold(&mut days, column);
        }
        self.wide = days;
        self.show();
    }

    /// Has all columns that are headed with a date alone hold this.
    fn hold(days: &mut [WideDay], column: Column) {
        for place in days.iter_mut().flat_map(|d| &mut d.places).filter(|p| p.bare) {
            place.column = column;
            place.bare = false;
        }
    }

    /// Whether the table has columns headed with dates.
    pub(in crate::read) fn is_wide(&self) -> bool {
        !self.wide.is_empty()
    }

    /// The places of the columns that are headed with a date alone.
    pub(in crate::read) fn bare_days(&self) -> Vec<usize> {
        let places = self.wide.iter().flat_map(|d| &d.places);
        places.filter(|p| p.bare).map(|p| p.at).collect()
    }

    /// The columns headed with dates, the earliest day first.
    pub(in crate::read) fn wide(&self) -> &[WideDay] {
        &self.wide
    }

    /// Shows the columns of all days as known, and those of the first as the table's.
    fn show(&mut self) {
        for (number, day) in self.wide.iter().enumerate() {
            for place in &day.places {
                self.places.push((place.column, place.at));
                if number == 0 {
                    self.by_column[place.column as usize] = Some(place.at);
                }
            }
        }
    }

    /// The columns of each day of a wide table that is asked for.
    pub(in crate::read) fn days(&self, table: &Table, asked: impl Fn(Moment) -> bool) -> Vec<Self> {
        let of_days = self.wide.iter().filter(|d| asked(Moment::Day(d.day)));
        of_days.map(|day| self.of_day(table, day)).collect()
    }

    fn of_day(&self, table: &Table, day: &WideDay) -> Self {
        let mut of_day = Self { day: Some(day.day), wide: Vec::new(), ..self.clone() };
        for place in self.wide.iter().flat_map(|d| &d.places) {
            of_day.by_column[place.column as usize] = None;
        }
        let origin = table.heading_origin();
        of_day.of_day = day.places.iter().map(|p| p.at).collect();
        for place in &day.places {
            of_day.by_column[place.column as usize] = Some(place.at);
            let heading = &table.headings[place.at];
            of_day.stated.push(Stated {
                column: place.column,
                heading: heading.clone(),
                marks: place.marks,
                origin: origin.column(heading),
            });
        }
        of_day
    }

    /// Whether these are the columns of a day of a wide table and a row has nothing in them.
    pub(in crate::read) fn is_without(&self, empty: impl Fn(usize) -> bool) -> bool {
        self.day.is_some() && self.of_day.iter().all(|at| empty(*at))
    }
}

/// Where the first of some dates stands, and its well.
type First = (Origin, Option<String>);

/// How the dates of a column are written, and where the first stands that is not ISO 8601; nothing
/// where the first ones all are, or are none.
fn written(table: &Table, at: usize, id: Option<usize>) -> Option<(Written, First)> {
    let mut looked = 0;
    let mut first: Option<First> = None;
    table.each_until(|row| {
        let cell = row.cell(at);
        if cell.is_empty() {
            return true;
        }
        looked += 1;
        let other = [Err(BadMoment::Ambiguous), Err(BadMoment::Unknown)];
        if other.contains(&moment(cell, &DateRule::default())) {
            let well = id.map(|id| row.cell(id)).filter(|id| !id.is_empty());
            first = Some((row.cell_origin(at), well.map(str::to_owned)));
        }
        first.is_none() && looked < LOOKED_AT
    });
    let first = first?;
    let mut orders = Orders::of(table.decimal_comma);
    table.each_until(|row| {
        let cell = row.cell(at);
        if !cell.is_empty() {
            orders.see(cell);
        }
        true
    });
    Some((orders.written(), first))
}

/// Says how dates are read (R131), or that they cannot be (R107).
fn settle(
    of: &str,
    written: Written,
    (place, well): First,
    said: &mut Vec<Diagnostic>,
) -> Option<Result<DateRule, ()>> {
    match written {
        Written::Plain => None,
        Written::So { rule, order, example: (text, day) } => {
            said.push(
                Diagnostic::new(
                    Code::DatesRead,
                    format!("{of} are read as {order}: \"{}\" is {day}", shown(&text)),
                )
                .at(&place)
                .advice(
                    "no other order fits all of them; if it is wrong, declare date_format under \
                     [round] in site.toml",
                ),
            );
            Some(Ok(rule))
        }
        Written::Ambiguous { example } => {
            let whose = well.as_ref().map(|w| format!(" of well {}", shown(w)));
            let mut refusal = Diagnostic::new(
                Code::BadTime,
                format!(
                    "{of} may be day or month first, such as \"{}\"{}, and none of them settles it",
                    shown(&example),
                    whose.unwrap_or_default()
                ),
            )
            .at(&place)
            .advice(date_advice::advice(BadMoment::Ambiguous, &example));
            refusal.wells.extend(well);
            said.push(refusal);
            Some(Err(()))
        }
    }
}

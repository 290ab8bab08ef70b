//! Decimal commas, as the numbers of a table show them.

use crate::diag::{Code, Diagnostic};

use super::columns::{Column, Quantity};
use super::layout::{Layout, quoted};
use super::number;
use super::rows::{Table, shown};

/// Digits between two separators of thousands.
const GROUP: usize = 3;

/// What a cell says about the decimal mark of its table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    /// It is a point.
    Point,
    /// It is a comma.
    Comma,
    /// A comma that may part thousands as well: `1,234`.
    Either,
    /// Nothing.
    Nothing,
}

impl Table {
    /// Reads the numbers of the table with a decimal comma where nothing is declared, all that have a mark
    /// have a comma, and at least one of them cannot have it between thousands (R146). A number with a point
    /// leaves everything as it is.
    pub(in crate::read) fn find_decimal(
        &mut self,
        layout: &Layout,
        declared: Option<bool>,
        said: &mut Vec<Diagnostic>,
    ) {
        if declared.is_some() || !self.may_have_commas() {
            return;
        }
        let no_numbers = |at: &usize| {
            let of = Column::ALL.iter().find(|c| layout.place(**c) == Some(*at));
            of.is_some_and(|c| matches!(c.quantity(), Quantity::Text | Quantity::Time))
        };
        let columns: Vec<usize> = (0..self.headings.len()).filter(|at| !no_numbers(at)).collect();
        let (mut point, mut example) = (false, None);
        self.each_until(|row| {
            for &at in &columns {
                let cell = row.cell(at);
                match mark(cell) {
                    Mark::Point => point = true,
                    Mark::Comma if example.is_none() => {
                        example = Some((cell.to_owned(), row.cell_origin(at), at));
                    }
                    _ => {}
                }
            }
            !point
        });
        let Some((text, origin, at)) = example.filter(|_| !point) else { return };
        self.decimal_comma = true;
        said.push(
            Diagnostic::new(
                Code::DecimalComma,
                format!(
                    "numbers of {} are read with a decimal comma, such as \"{}\" in column {}",
                    self.file,
                    shown(&text),
                    quoted(&self.headings[at]),
                ),
            )
            .at(&origin)
            .advice(
                "none of its numbers has a point; write decimal = \",\" under [tables] in site.toml to \
                 declare it, or decimal = \".\" if the comma is no decimal mark",
            ),
        );
    }
}

/// What a cell shows.
fn mark(cell: &str) -> Mark {
    if !cell.contains(['.', ',']) {
        return Mark::Nothing;
    }
    let reads =
        |comma: bool| number::parse(cell, comma).is_ok() || number::signed(cell, comma).is_some();
    if cell.contains(',') && !cell.contains('.') && reads(true) {
        let digits = |part: &str| part.chars().filter(char::is_ascii_digit).count();
        let (before, behind) = cell.split_once(',').unwrap_or((cell, ""));
        let may_part = digits(behind) == GROUP && (1..=GROUP).contains(&digits(before));
        return if may_part { Mark::Either } else { Mark::Comma };
    }
    let thousands = cell.rfind(',').is_some_and(|comma| {
        let plain = cell.replace(',', "");
        cell.rfind('.').is_some_and(|point| point > comma) && number::parse(&plain, false).is_ok()
    });
    if reads(false) || thousands { Mark::Point } else { Mark::Nothing }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_shows_its_decimal_mark() {
        for (cell, shows) in [
            ("11,30", Mark::Comma),
            ("-0,5", Mark::Comma),
            ("478120,400", Mark::Comma),
            (">9,5", Mark::Comma),
            ("1,234", Mark::Either),
            ("-1,234", Mark::Either),
            ("11.30", Mark::Point),
            ("~9.4", Mark::Point),
            ("1,234.5", Mark::Point),
            ("12", Mark::Nothing),
            ("dry", Mark::Nothing),
            ("dry, cap loose", Mark::Nothing),
            ("14.04.2026", Mark::Nothing),
            ("1.234,5", Mark::Nothing),
            ("", Mark::Nothing),
        ] {
            assert_eq!(mark(cell), shows, "{cell}");
        }
    }
}

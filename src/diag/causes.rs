//! Refusals of many rows that have one cause, told once.

use std::collections::HashMap;

use super::bounded::MOST_TOLD;
use super::code::Code;
use super::diagnostic::Diagnostic;

/// So many rows with one cause are told row by row; more are told together.
const FEW: usize = 2;

/// More causes than this are not kept apart.
const MOST_CAUSES: usize = 10_000;

/// What makes refusals of several rows one problem: the code, the column and what to do about it.
type Key = (Code, Option<String>, Option<String>);

/// Refusals by their cause, in the order in which the causes were met.
#[derive(Debug, Default)]
pub(crate) struct Causes {
    numbers: HashMap<Key, usize>,
    causes: Vec<Cause>,
}

#[derive(Debug)]
struct Cause {
    /// Those told row by row; the first one gets all wells and places where there are more.
    first: Vec<Diagnostic>,
    count: usize,
}

impl Causes {
    /// Takes the refusals out of what was said of a row.
    pub(crate) fn take(&mut self, said: &mut Vec<Diagnostic>, before: usize) {
        let mut at = before;
        while at < said.len() {
            if said[at].is_refusal() {
                let refusal = said.remove(at);
                self.add(refusal);
            } else {
                at += 1;
            }
        }
    }

    fn add(&mut self, refusal: Diagnostic) {
        let column = refusal.origins.first().and_then(|o| o.column.clone());
        let key = (refusal.code, column, refusal.advice.clone());
        let next = self.causes.len();
        let number = *self.numbers.entry(key).or_insert(next);
        let Some(cause) = self.causes.get_mut(number) else {
            self.causes.push(Cause { first: vec![refusal], count: 1 });
            return;
        };
        cause.count += 1;
        if cause.count <= FEW {
            cause.first.push(refusal);
            return;
        }
        let mut later = std::mem::take(&mut cause.first).into_iter();
        let Some(mut first) = later.next() else { return };
        for other in later.chain([refusal]) {
            join(&mut first, other);
        }
        cause.first.push(first);
    }

    /// Whether so many causes were met that they are better told than kept.
    pub(crate) fn is_full(&self) -> bool {
        self.causes.len() > MOST_CAUSES
    }

    /// Says what was met, each cause once.
    pub(crate) fn tell(self, said: &mut Vec<Diagnostic>) {
        for Cause { mut first, count } in self.causes {
            if let Some(one) = first.first_mut().filter(|_| count > FEW) {
                let more = count - 1;
                one.message = format!("{}; the same in {more} more rows", one.message);
            }
            said.append(&mut first);
        }
    }
}

/// Adds the wells and places of a further row, as many as are told.
fn join(first: &mut Diagnostic, other: Diagnostic) {
    for well in other.wells {
        if first.wells.contains(&well) {
            continue;
        }
        if first.wells.len() < MOST_TOLD { first.wells.push(well) } else { first.more_wells += 1 }
    }
    for origin in other.origins {
        if first.origins.contains(&origin) {
            continue;
        }
        if first.origins.len() < MOST_TOLD {
            first.origins.push(origin);
        } else {
            first.more_places += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::diag::{Origin, Severity};

    use super::*;

    fn cell(line: u64, column: &str, advice: &str) -> Diagnostic {
        Diagnostic::new(Code::NotANumber, format!("cell {line}"))
            .well(&format!("W{line}"))
            .at(&Origin::line("r.csv", line).column(column))
            .advice(advice)
    }

    #[test]
    fn rows_of_one_cause_are_told_once() {
        let mut causes = Causes::default();
        let mut note = cell(9, "x", "do");
        note.severity = Severity::Note;
        let mut said = vec![note.clone()];
        for line in 1..=30 {
            said.push(cell(line, "x", "do"));
            causes.take(&mut said, 1);
        }
        said.extend([
            cell(31, "y", "do"),
            note.clone(),
            cell(32, "y", "do"),
            cell(33, "x", "else"),
        ]);
        causes.take(&mut said, 1);
        causes.tell(&mut said);
        let told: Vec<(&str, usize)> =
            said.iter().map(|d| (d.message.as_str(), d.origins.len() + d.more_places)).collect();
        assert_eq!(
            told,
            [
                ("cell 9", 1),
                ("cell 9", 1),
                ("cell 1; the same in 29 more rows", 30),
                ("cell 31", 1),
                ("cell 32", 1),
                ("cell 33", 1),
            ]
        );
        assert_eq!((said[2].wells.len(), said[2].more_wells), (MOST_TOLD, 10));
    }
}

//! How dates are written that are not ISO 8601, as all of them together show.

use std::collections::HashSet;

use super::date_advice;
use super::moment::{DateRule, moment};
use super::zone;
use crate::read::wells::reading::Moment;

/// What the dates of a column or of a line of headings show.
#[derive(Debug)]
pub(in crate::read) enum Written {
    /// All ISO 8601, or none that can be read.
    Plain,
    /// In one way only.
    So {
        rule: DateRule,
        /// The order in words.
        order: &'static str,
        /// One of the texts and its day.
        example: (String, Moment),
    },
    /// Day and month cannot be told apart in any of them, such as this one.
    Ambiguous { example: String },
}

/// The orders in which all texts so far can be read.
#[derive(Debug, Default)]
pub(in crate::read) struct Orders {
    /// None before the first text.
    left: Option<Vec<&'static str>>,
    /// Patterns with their order, and the rule of each.
    patterns: Vec<(&'static str, String, DateRule)>,
    /// The first text that only one of the orders reads, else the first.
    example: Option<String>,
    /// Whether two orders read some text as two days.
    differ: bool,
    /// Texts that were looked at; many rows have one day.
    seen: HashSet<String>,
    /// Whether points part day, month and year, in this order.
    day_first: bool,
}

/// No more different texts are remembered: times of day make each its own.
const MOST_SEEN: usize = 1000;

impl Orders {
    /// Of a table, where numbers may have a decimal comma: nobody who writes one puts the month first before
    /// a point. Common practice, no source.
    pub(in crate::read) fn of(decimal_comma: bool) -> Self {
        Self { day_first: decimal_comma, ..Self::default() }
    }

    /// Looks at one more text.
    pub(in crate::read) fn see(&mut self, text: &str) {
        // An offset from UTC is no part of how a date is written.
        let text = zone::parted(text).map_or(text, |(local, _)| local);
        if self.seen.contains(text) || moment(text, &DateRule::default()).is_ok() {
            return;
        }
        if self.seen.len() < MOST_SEEN {
            self.seen.insert(text.to_owned());
        }
        let mut reads = self.known(text);
        if reads.is_empty() {
            let turned = |pattern: &str| self.day_first && pattern.starts_with("%m.");
            let orders = date_advice::orders(text).into_iter();
            for (order, pattern) in orders.filter(|(_, pattern)| !turned(pattern)) {
                let rule = DateRule::found(std::slice::from_ref(&pattern));
                self.patterns.push((order, pattern, rule));
            }
            reads = self.known(text);
        }
        if reads.is_empty() {
            return;
        }
        let left = self.left.get_or_insert_with(|| reads.iter().map(|(o, _)| *o).collect());
        let before = left.len();
        left.retain(|order| reads.iter().any(|(o, _)| o == order));
        if self.example.is_none() || left.len() < before {
            self.example = Some(text.to_owned());
        }
        self.differ |= reads.iter().any(|(_, m)| *m != reads[0].1);
    }

    /// The orders in which the patterns that are known read a text, each once.
    fn known(&self, text: &str) -> Vec<(&'static str, Moment)> {
        let mut reads: Vec<(&'static str, Moment)> = Vec::new();
        for (order, _, rule) in &self.patterns {
            if let Ok(read) = moment(text, rule)
                && !reads.iter().any(|(o, _)| o == order)
            {
                reads.push((order, read));
            }
        }
        reads
    }

    /// What all texts show together.
    pub(in crate::read) fn written(self) -> Written {
        let (Some(left), Some(example)) = (self.left, self.example) else {
            return Written::Plain;
        };
        let of = |order: &str| -> Vec<String> {
            let own = self.patterns.iter().filter(|(o, ..)| *o == order);
            own.map(|(_, pattern, _)| pattern.clone()).collect()
        };
        let Some(&order) = left.first() else { return Written::Plain };
        if left.len() > 1 && self.differ {
            return Written::Ambiguous { example };
        }
        let rule = DateRule::found(&of(order));
        let Ok(day) = moment(&example, &rule) else { return Written::Plain };
        let order = match order {
            "mdy" => "month, day, year",
            "dmy" => "day, month, year",
            "ydm" => "year, day, month",
            _ => "year, month, day",
        };
        Written::So { rule, order, example: (example, day) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(texts: &[&str]) -> Written {
        let mut orders = Orders::default();
        for text in texts {
            orders.see(text);
        }
        orders.written()
    }

    #[test]
    fn one_date_settles_how_all_are_read() {
        for (texts, read, as_day) in [
            (&["10/14/2025"][..], "10/14/2025", "2025-10-14"),
            (&["04/05/2026", "04/14/2026"], "04/05/2026", "2026-04-05"),
            (&["04/05/2026", "14/05/2026"], "04/05/2026", "2026-05-04"),
            (&["14-Oct-25"], "14-Oct-25", "2025-10-14"),
            (&["14.10.2025", "2025-10-15"], "14.10.2025", "2025-10-14"),
            (&["2025/10/14"], "2025/10/14", "2025-10-14"),
            (&["4/4/2026"], "4/4/2026", "2026-04-04"),
            (&["4/5/2026 9:35", "4/14/2026"], "4/5/2026 9:35", "2026-04-05T09:35:00"),
            (&["4/14/2026", "4/5/2026 2:05 PM"], "4/5/2026 2:05 PM", "2026-04-05T14:05:00"),
        ] {
            let Written::So { rule, .. } = written(texts) else { panic!("{texts:?}") };
            let moment = moment(read, &rule).expect(read).to_string();
            assert_eq!(moment, as_day, "{texts:?}");
        }
    }

    #[test]
    fn day_and_month_that_cannot_be_told_apart_are_a_question() {
        for texts in [&["04/05/2026"][..], &["04/05/2026", "06/07/2026"], &["10-11-12"]] {
            assert!(matches!(written(texts), Written::Ambiguous { .. }), "{texts:?}");
        }
    }

    #[test]
    fn dates_that_contradict_each_other_and_texts_that_are_none_show_nothing() {
        for texts in [&["04/14/2026", "14/04/2026"][..], &["yesterday"], &["2026-04-14"], &[]] {
            assert!(matches!(written(texts), Written::Plain), "{texts:?}");
        }
    }
}

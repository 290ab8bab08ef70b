//! Answers counted: how often what was said was so.

use super::shares::Answered;

/// A class of answers and how many of them were so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Count {
    pub(crate) of: usize,
    pub(crate) so: usize,
}

impl Count {
    /// Of some answers, those that a question applies to.
    pub(crate) fn of(answers: &[Answered], asked: impl Fn(&Answered) -> Option<bool>) -> Self {
        let found: Vec<bool> = answers.iter().filter_map(asked).collect();
        Self { of: found.len(), so: found.iter().filter(|so| **so).count() }
    }

    /// "41 of 47".
    pub(crate) fn words(self) -> String {
        format!("{} of {}", self.so, self.of)
    }
}

/// How often the water did reach where the share is in a class.
pub(crate) fn reached(answers: &[Answered], class: impl Fn(f64) -> bool) -> Count {
    Count::of(answers, |a| {
        let (low, high) = a.said.shares?;
        class(f64::midpoint(low, high)).then_some(a.truth_days.is_some())
    })
}

/// How often the answer was right where the share is at least `sure`, or at most `1 - sure`.
pub(crate) fn right_when_sure(answers: &[Answered], sure: f64) -> Count {
    Count::of(answers, |a| {
        let (low, high) = a.said.shares?;
        let is_sure = low >= sure || high <= 1.0 - sure;
        is_sure.then_some((low >= sure) == a.truth_days.is_some())
    })
}

/// The classes of shares of the table, and their names.
pub(crate) const CLASSES: [(&str, f64, f64); 7] = [
    ("up to 1 %", -0.001, 0.01),
    ("1 to 10 %", 0.01, 0.1),
    ("10 to 30 %", 0.1, 0.3),
    ("30 to 70 %", 0.3, 0.7),
    ("70 to 90 %", 0.7, 0.9),
    ("90 to 99 %", 0.9, 0.99),
    ("over 99 %", 0.99, 1.0),
];

/// The rows of the table of `docs/toward.md` for one kind of aquifer and surface.
pub(crate) fn rows(name: &str, answers: &[Answered]) -> Vec<String> {
    let right = Count::of(answers, Answered::is_right);
    let days = Count::of(answers, Answered::days_hold);
    let sure = [0.9, 0.99].map(|sure| right_when_sure(answers, sure).words());
    let mean = |count: Count| {
        let shares = answers.iter().filter_map(|a| a.said.shares);
        shares.map(|(low, high)| f64::midpoint(low, high)).sum::<f64>() / count.of as f64
    };
    let all = reached(answers, |_| true);
    let mut rows = vec![format!(
        "| {name} | {} | {} | {} | {} | {} | {} | {:.0} | {:.0} |",
        answers.len(),
        right.words(),
        all.of,
        sure[0],
        sure[1],
        days.words(),
        100.0 * mean(all),
        100.0 * all.so as f64 / all.of as f64,
    )];
    rows.extend(CLASSES.iter().map(|(class, over, to)| {
        let count = reached(answers, |share| share > *over && share <= *to);
        format!("| {name} | {class} | {} | {} |", count.of, count.so)
    }));
    rows
}

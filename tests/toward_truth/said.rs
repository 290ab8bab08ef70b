//! What an answer of the program comes to: the one place here that knows its words.

use headfall::toward::{Outcome, Toward};
use headfall::units::Span;

/// What is said of one source and one receptor.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Said {
    /// Whether the water reaches the receptor; `None` where the answer is that this is not known.
    pub(crate) reaches: Option<bool>,
    /// The share of realizations in which it does, where one is given.
    pub(crate) share: Option<f64>,
    /// What the share lies between, with the realizations that leave it open on either side.
    pub(crate) shares: Option<(f64, f64)>,
    /// The range of its days.
    pub(crate) days: Option<Span>,
    /// In the words of the program.
    pub(crate) words: &'static str,
}

impl Said {
    /// The answer for the source and the receptor with these names.
    pub(crate) fn of(toward: &Toward, source: &str, receptor: &str) -> Self {
        let is = |place: usize, name: &str| toward.places[place].name == name;
        let mut verdicts = toward.verdicts.iter();
        let verdict = verdicts.find(|v| is(v.source, source) && is(v.receptor, receptor));
        let verdict = verdict.expect("every source is asked about every receptor");
        let reaches = match verdict.outcome {
            _ if verdict.unresolved => None,
            Outcome::Reaches => Some(true),
            // Sheet and page call all of them "not reached".
            Outcome::Passes
            | Outcome::Stops
            | Outcome::Stream
            | Outcome::Pumped
            | Outcome::FlowsAway => Some(false),
            Outcome::LeavesMap
            | Outcome::Level
            | Outcome::NotOnMap
            | Outcome::Low
            | Outcome::Barrier
            | Outcome::OtherUnit
            | Outcome::PumpedUnknown => None,
        };
        Self {
            reaches,
            share: verdict.probability().map(|p| p.share),
            shares: verdict.realizations.map(|r| r.shares()),
            days: verdict.days,
            words: if verdict.unresolved { "not resolved" } else { verdict.outcome.words() },
        }
    }
}

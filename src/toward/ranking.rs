//! The receptors of a site, by what reaches them earliest.

use schemars::JsonSchema;
use serde::Serialize;

use super::answer::{Outcome, Verdict};
use super::place::{Role, SitePlace};
use super::verdict;

/// How an answer is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum KnownBy {
    /// The map and 95 % of the realizations say that water reaches the receptor.
    MapAndRealizations,
    /// The map says so; the realizations do not all agree, or none are drawn.
    Map,
    /// Whether water reaches it is open.
    Open,
    /// The map and 95 % of the realizations say that none does.
    NotReached,
}

/// A receptor in the order of arrival.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranked {
    /// Index of the receptor.
    pub receptor: usize,
    /// The verdict that decides its place in the order.
    pub verdict: usize,
    /// How that is known.
    pub known: KnownBy,
}

impl KnownBy {
    /// From the map and the realizations together: neither alone is enough to be sure.
    #[must_use]
    pub fn of(verdict: &Verdict) -> Self {
        let reaches = verdict.outcome == Outcome::Reaches && !verdict.unresolved;
        match verdict.realizations {
            Some(_) if verdict.unresolved => Self::Open,
            Some(_) if verdict.is_sure() && reaches => Self::MapAndRealizations,
            Some(_) if verdict.is_sure() => Self::NotReached,
            _ if reaches => Self::Map,
            // What few realizations rule out, the map says alone.
            _ => Self::Open,
        }
    }
}

/// Each receptor with the source whose water reaches it earliest; then those that are open, by the share of the
/// realizations that reach them, and last those that no water reaches.
pub(super) fn of(places: &[SitePlace], verdicts: &[Verdict]) -> Vec<Ranked> {
    let earliest = |v: &Verdict| match (v.days, v.beyond.and_then(|b| b.days)) {
        (Some(days), _) | (None, Some(days)) => days.low,
        (None, None) => f64::INFINITY,
    };
    let share = |v: &Verdict| v.realizations.map_or(0.0, |r| r.shares().1);
    let key = |i: usize| {
        let v = &verdicts[i];
        let known = KnownBy::of(v);
        let reached = known <= KnownBy::Map;
        (known.max(KnownBy::Map), if reached { earliest(v) } else { -share(v) }, earliest(v), i)
    };
    let before = |a: &usize, b: &usize| {
        let (a, b) = (key(*a), key(*b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2)).then(a.3.cmp(&b.3))
    };
    let first = |receptor: usize| {
        let of = (0..verdicts.len()).filter(|i| verdicts[*i].receptor == receptor);
        of.min_by(before)
    };
    let mut all: Vec<usize> =
        verdict::of(places, Role::Receptor).into_iter().filter_map(first).collect();
    all.sort_by(before);
    let ranked = |i: usize| Ranked {
        receptor: verdicts[i].receptor,
        verdict: i,
        known: KnownBy::of(&verdicts[i]),
    };
    all.into_iter().map(ranked).collect()
}

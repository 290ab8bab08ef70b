//! Which states of one well cannot both be.

use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::REST_H;
use crate::read::{Moment, Reading, Round, Site, Status};
use crate::reduce::reading::Judged;
use crate::reduce::words::name;
use crate::units::duration;

/// Warnings of wells that were found dry and with a level, or pumping and then at rest, within a
/// day of each other.
pub(super) fn contradicting_states(
    site: &Site,
    round: &Round,
    judged: &[Judged],
) -> Vec<Diagnostic> {
    let reading = |j: &Judged| &round.readings[j.account.reading];
    // Few readings are of these states: only their wells are looked at.
    let mut odd: Vec<(usize, &Reading)> = judged
        .iter()
        .map(|j| (j.account.well, reading(j)))
        .filter(|(_, r)| matches!(r.status, Status::Dry | Status::Pumping | Status::Recovering))
        .collect();
    if odd.is_empty() {
        return Vec::new();
    }
    odd.sort_by_key(|(well, _)| *well);
    let mut findings = Vec::new();
    for j in judged.iter().filter(|j| j.is_candidate()) {
        let level = reading(j);
        let well = j.account.well;
        let from = odd.partition_point(|(w, _)| *w < well);
        for (_, other) in odd[from..].iter().take_while(|(w, _)| *w == well) {
            let Some(apart) = apart(other, level) else { continue };
            let (text, advice) = if other.status == Status::Dry {
                (
                    format!("{} was dry and had a level {apart}", name(&site.wells[well])),
                    "one of the two rows is wrong: read the well again, and remove the wrong row",
                )
            } else {
                (
                    format!(
                        "{} was {} and has a static level {apart}; recovery takes {REST_H} h or \
                         more",
                        name(&site.wells[well]),
                        other.status.word()
                    ),
                    "give the reading the status recovering, or read the well again after recovery",
                )
            };
            findings.push(
                Diagnostic::new(Code::StatesContradict, text)
                    .well(&site.wells[well].id)
                    .at(&other.origin)
                    .at(&level.origin)
                    .advice(advice),
            );
        }
    }
    findings
}

/// How long after the odd state the level was read, in words, where the two are too near: within
/// [`REST_H`] either way for a dry well, and not before the pump for a pumped one.
fn apart(odd: &Reading, level: &Reading) -> Option<String> {
    let (Some(odd_at), Some(level_at)) = (odd.moment, level.moment) else {
        return Some("in the same round, with no dates to show how long after".to_owned());
    };
    let either_way = odd.status == Status::Dry;
    if let (Moment::Time(a), Moment::Time(b)) = (odd_at, level_at) {
        let between = b.duration_since(a);
        let hours = between.as_secs_f64() / 3600.0;
        let near = if either_way { hours.abs() < REST_H } else { (0.0..REST_H).contains(&hours) };
        let word = if hours < 0.0 { "before" } else { "after" };
        return near.then(|| format!("{} {word} that", duration(between.abs().as_secs())));
    }
    (odd_at.date() == level_at.date()).then(|| "on the same day".to_owned())
}

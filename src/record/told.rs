//! What does not fit through time as findings: C338, C339, C340.

use super::cause::Cause;
use super::rows::{HeadRow, Record};
use super::through_time::{OddLevel, StuckLevel};
use crate::diag::{Code, Diagnostic, Origin, listed};
use crate::units::{LengthUnit, brief, brief_to};

/// The findings of a record, each with the index of its round: of a level that stays, the last in which it did.
#[must_use]
pub fn findings(record: &Record) -> Vec<(usize, Diagnostic)> {
    let mut found: Vec<(usize, Diagnostic)> = Vec::new();
    for odd in &record.unfitting.odd {
        // A level that stays is unlike itself because it stays: one cause, one finding.
        if record.unfitting.stuck.iter().any(|s| s.has(odd.well, odd.round)) {
            continue;
        }
        match exchanged(record, odd) {
            Some(other) if other.well > odd.well => {
                found.push((odd.round, exchange(record, odd, other)));
            }
            Some(_) => {}
            None => found.push((odd.round, unlike(record, odd))),
        }
    }
    found.extend(record.unfitting.stuck.iter().map(|stuck| (stuck.to, stays(record, stuck))));
    found
}

/// The head of another well that is as unlike itself, and that the exchange of both readings explains too.
fn exchanged<'r>(record: &'r Record, odd: &OddLevel) -> Option<&'r OddLevel> {
    let with = |one: &OddLevel, well: usize| {
        one.causes.iter().any(|c| matches!(c, Cause::Exchanged { with } if *with == well))
    };
    let both = |o: &&OddLevel| o.round == odd.round && with(odd, o.well) && with(o, odd.well);
    record.unfitting.odd.iter().find(both)
}

fn unlike(record: &Record, odd: &OddLevel) -> Diagnostic {
    let unit = record.elevation_unit;
    let (well, round) = (name(record, odd.well), round(record, odd.round));
    let causes: Vec<String> = odd.causes.iter().map(|c| words(record, c)).collect();
    let explains = if causes.is_empty() {
        String::new()
    } else {
        format!("; it would be explained by {}", listed(causes))
    };
    let message = format!(
        "well {well} in round {round}: the head is {} {unit} {} than the other rounds and wells give it ({} standard \
         deviations, {} are the bound){explains}",
        brief_to(odd.off.abs(), 2),
        if odd.off > 0.0 { "higher" } else { "lower" },
        brief_to(odd.score, 1),
        brief_to(odd.bound, 1)
    );
    Diagnostic::new(Code::UnlikeItself, message)
        .well(well)
        .at_each(origin(record, odd.well, odd.round))
        .advice(
            "compare the field sheet, and read the well again on the next visit; if the level is real, say why under \
             [[accepted]]; nothing was changed",
        )
}

fn exchange(record: &Record, one: &OddLevel, other: &OddLevel) -> Diagnostic {
    let unit = record.elevation_unit;
    let off = |odd: &OddLevel| {
        let sense = if odd.off > 0.0 { "higher" } else { "lower" };
        format!("{} {unit} {sense}", brief_to(odd.off.abs(), 2))
    };
    let [a, b] = [one, other].map(|odd| name(record, odd.well));
    let message = format!(
        "round {}: the heads of {a} ({}) and {b} ({}) fit the other rounds and wells when the two readings are \
         exchanged",
        round(record, one.round),
        off(one),
        off(other)
    );
    let origins = [one, other].map(|odd| origin(record, odd.well, odd.round));
    Diagnostic::new(Code::ExchangedInTime, message)
        .well(a)
        .well(b)
        .at_each(origins.into_iter().flatten())
        .advice("compare the field sheet: the two rows may be exchanged; nothing was changed")
}

fn stays(record: &Record, stuck: &StuckLevel) -> Diagnostic {
    let well = name(record, stuck.well);
    let message = format!("well {well}: {}", unmoved(record, stuck));
    Diagnostic::new(Code::StaysTheSame, message)
        .well(well)
        .at_each(origin(record, stuck.well, stuck.to))
        .advice(
            "check whether a depth was copied from the round before, and whether water still enters the well; sound \
             and, where needed, redevelop it",
        )
}

/// What a level that stays did, in words.
pub(crate) fn unmoved(record: &Record, stuck: &StuckLevel) -> String {
    let unit: LengthUnit = record.elevation_unit;
    format!(
        "depth {} in {} rounds from {} to {}, while the other wells moved by {} {unit}",
        brief(stuck.depth),
        stuck.rounds,
        round(record, stuck.from),
        round(record, stuck.to),
        brief_to(stuck.others_moved, 2)
    )
}

/// A mistake that would explain a head, in words.
pub(crate) fn words(record: &Record, cause: &Cause) -> String {
    match cause {
        Cause::Exchanged { with } => {
            format!("its reading exchanged with that of {}", name(record, *with))
        }
        Cause::DecimalMoved { depth } => {
            format!("the decimal point moved: a depth of {} fits", brief(*depth))
        }
        Cause::WholeUnit { depth } => {
            format!("a whole unit read otherwise: a depth of {} fits", brief(*depth))
        }
        Cause::FeetAndInches { feet, inches } => {
            format!("inches written as decimals: {} ft {} in", brief(*feet), brief(*inches))
        }
        Cause::AsBefore => "the depth of the round before, to the last digit".to_owned(),
        Cause::MeasuringPoint { from, to, fits_before } => format!(
            "the measuring point at {} instead of {}{}",
            brief(*to),
            brief(*from),
            if *fits_before { ": the head fits with the one before" } else { "" }
        ),
        Cause::Instrument { from, to } => format!("the instrument {to} instead of {from}"),
    }
}

fn name(record: &Record, well: usize) -> &str {
    &record.wells[well].well
}

fn round(record: &Record, round: usize) -> &str {
    &record.rounds[round].round
}

fn origin(record: &Record, well: usize, round: usize) -> Option<&Origin> {
    let row: Option<&HeadRow> = record.heads_of(well).iter().find(|h| h.round == round);
    row.map(|h| &h.origin)
}

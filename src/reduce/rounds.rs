//! Whether a table holds readings of several rounds.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};

use crate::diag::{Code, Diagnostic};
use crate::read::{Moment, Reading, Round, Site};
use crate::units::{brief, duration};

/// How much longer than the window the readings of one well lie apart, s; nothing where they do
/// not. Readings of which one has no time are compared by days.
pub(super) fn apart<'a>(readings: impl Iterator<Item = &'a Reading>, window_h: f64) -> Option<i64> {
    let moments: Vec<Moment> = readings.filter_map(|r| r.moment).collect();
    let timed = moments.iter().all(|m| matches!(m, Moment::Time(_)));
    let clock = |m: &Moment| -> DateTime {
        match m {
            Moment::Time(t) if timed => *t,
            other => other.date().at(0, 0, 0, 0),
        }
    };
    let (first, last) = (moments.iter().map(clock).min()?, moments.iter().map(clock).max()?);
    let between = last.duration_since(first);
    (between.as_secs_f64() > window_h * 3600.0).then_some(between.as_secs())
}

/// D219: one refusal for all wells whose readings lie further apart than one round takes, with the
/// days that the table has.
pub(super) fn several(
    site: &Site,
    round: &Round,
    mut far: Vec<(usize, i64)>,
) -> Option<Diagnostic> {
    const MOST_LISTED: usize = 12;
    far.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| site.wells[a.0].id.cmp(&site.wells[b.0].id)));
    let &(farthest, seconds) = far.first()?;
    let mut days: BTreeMap<Date, usize> = BTreeMap::new();
    for moment in round.readings.iter().filter_map(|r| r.moment) {
        *days.entry(moment.date()).or_default() += 1;
    }
    let mut listed: Vec<String> =
        days.iter().take(MOST_LISTED).map(|(day, count)| format!("{day} ({count})")).collect();
    if days.len() > MOST_LISTED {
        listed.push(format!("and {} more days", days.len() - MOST_LISTED));
    }
    let text = format!(
        "readings of {} are further apart than the round's window of {} h, such as {} by {}: the \
         table holds several rounds; readings on {}",
        if far.len() == 1 { "1 well".to_owned() } else { format!("{} wells", far.len()) },
        brief(site.settings.round_window_h),
        site.wells[farthest].id,
        duration(seconds),
        listed.join(", "),
    );
    let mut refusal = Diagnostic::new(Code::SeveralRounds, text).advice(
        "a map shows one round, and no gap in time parts these: keep each round in its own table, or \
         set a shorter window_hours under [round] in site.toml; if a well was only read again, keep \
         the correct row or set a longer one",
    );
    for &(well, _) in &far {
        refusal = refusal.well(&site.wells[well].id);
    }
    let file = round.readings.iter().find(|r| r.well == site.wells[farthest].id);
    refusal.origins.extend(file.map(|r| crate::diag::Origin::file(&r.origin.file)));
    Some(refusal)
}

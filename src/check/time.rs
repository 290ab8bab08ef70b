//! Whether a round is one moment.

use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::read::{Moment, Round, Site};
use crate::reduce::{ReadingAccount, WellHead};
use crate::units::{brief, duration};

/// When each reading behind the map was taken, and its well: also the earlier of two whose mean is
/// a head.
fn moments<'a>(
    round: &'a Round,
    heads: &'a [&'a WellHead],
    accounts: &'a [ReadingAccount],
) -> impl Iterator<Item = (Moment, usize)> + 'a {
    heads.iter().flat_map(|h| {
        let of = |a: &usize| Some((round.readings[accounts[*a].reading].moment?, h.well));
        h.accounts.iter().filter_map(of)
    })
}

/// The first and last reading behind the map.
pub(super) fn from_to(
    round: &Round,
    heads: &[&WellHead],
    accounts: &[ReadingAccount],
) -> Option<(Moment, Moment)> {
    let first = moments(round, heads, accounts).min_by_key(|m| start(m.0))?;
    let last = moments(round, heads, accounts).max_by_key(|m| start(m.0))?;
    Some((first.0, last.0))
}

/// A day without a time counts from midnight, so that two readings of one day are never apart.
fn start(m: Moment) -> jiff::civil::DateTime {
    match m {
        Moment::Time(t) => t,
        Moment::Day(d) => d.at(0, 0, 0, 0),
    }
}

/// C306 when the readings span more than the round's window.
///
/// # References
/// US EPA ERT SOP 2043 (2000): all wells within 24 hours, closer if levels move.
pub(super) fn window(
    (site, round): (&Site, &Round),
    heads: &[&WellHead],
    accounts: &[ReadingAccount],
    findings: &mut Vec<Diagnostic>,
) {
    let Some((first, last)) = from_to(round, heads, accounts) else { return };
    // Days alone are compared with days: a reading "on the 14th" is not at midnight.
    let exact = matches!((first, last), (Moment::Time(_), Moment::Time(_)));
    let (a, b) = if exact {
        (start(first), start(last))
    } else {
        (first.date().at(0, 0, 0, 0), last.date().at(0, 0, 0, 0))
    };
    let took = b.duration_since(a);
    let hours = took.as_secs_f64() / 3600.0;
    if hours <= site.settings.round_window_h {
        return;
    }
    let who = |m: Moment| {
        let of = moments(round, heads, accounts).find(|(moment, _)| *moment == m);
        of.map_or("", |(_, well)| site.wells[well].id.as_str())
    };
    findings.push(
        Diagnostic::new(
            Code::RoundTooLong,
            format!(
                "round \"{}\" took {}, from {first} ({}) to {last} ({}); its window is {} h",
                round.name,
                duration(took.as_secs()),
                who(first),
                who(last),
                brief(site.settings.round_window_h)
            ),
        )
        .well(who(first))
        .well(who(last))
        .advice(
            "levels may have changed in that time; read the early wells again, or set a longer \
             `window_hours` under [round] in site.toml and justify it",
        ),
    );
}

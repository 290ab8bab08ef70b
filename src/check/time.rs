//! Whether a round is one moment.

use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::read::{Moment, SiteFile};
use crate::reduce::WellHead;

/// The first and last reading behind the map.
pub(super) fn from_to(heads: &[WellHead]) -> Option<(Moment, Moment)> {
    let first = heads.iter().filter_map(|h| h.moment).min_by_key(|m| start(*m))?;
    let last = heads.iter().filter_map(|h| h.moment).max_by_key(|m| start(*m))?;
    Some((first, last))
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
pub(super) fn window(site: &SiteFile, heads: &[WellHead], findings: &mut Vec<Diagnostic>) {
    let Some((first, last)) = from_to(heads) else { return };
    // Days alone are compared with days: a reading "on the 14th" is not at midnight.
    let exact = matches!((first, last), (Moment::Time(_), Moment::Time(_)));
    let (a, b) = if exact {
        (start(first), start(last))
    } else {
        (first.date().at(0, 0, 0, 0), last.date().at(0, 0, 0, 0))
    };
    let hours = b.duration_since(a).as_secs_f64() / 3600.0;
    if hours <= site.settings.round_window_h {
        return;
    }
    let who = |m: Moment| {
        heads.iter().find(|h| h.moment == Some(m)).map_or("", |h| site.wells[h.well].id.as_str())
    };
    findings.push(
        Diagnostic::new(
            Code::RoundTooLong,
            format!(
                "round \"{}\" took {hours:.1} h, from {first} ({}) to {last} ({}); its window is \
                 {} h",
                site.round,
                who(first),
                who(last),
                site.settings.round_window_h
            ),
        )
        .well(who(first))
        .well(who(last))
        .advice(
            "levels may have moved in that time; re-read the early wells, or state a longer \
             `window_hours` under [round] in site.toml and why",
        ),
    );
}

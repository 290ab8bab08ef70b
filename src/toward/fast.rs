//! Travel times that groundwater does not have.

use super::answer::{Outcome, Verdict};
use super::place::SitePlace;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::{FAST_DAYS, FAST_LENGTH_M};
use crate::map::Map;
use crate::units::{GroundUnit, brief, round_to_significant};

/// T517 where the water reaches a receptor in less than a day over tens of metres even at the slow end of its
/// range: one finding, which names the first.
pub(super) fn travel_times(
    map: &Map,
    places: &[SitePlace],
    verdicts: &[Verdict],
    said: &mut Vec<Diagnostic>,
) {
    let reaching = verdicts.iter().filter(|v| v.outcome == Outcome::Reaches);
    let mut fast = reaching
        .filter(|v| v.length_m > FAST_LENGTH_M)
        .filter_map(|v| Some((v, v.days.filter(|days| days.high < FAST_DAYS)?)));
    let Some((first, days)) = fast.next() else { return };
    let others = others(fast.count());
    let [source, receptor] = [first.source, first.receptor].map(|place| &places[place]);
    let [low, high] = [days.low, days.high].map(|days| brief(round_to_significant(days, 2)));
    let unit = GroundUnit::of(map.control.elevation_unit());
    let message = format!(
        "water from source {} reaches receptor {}, {} away along the path, in {low} to {high} days, less than \
         the bound of {} day over more than {}{others}",
        source.name,
        receptor.name,
        unit.away(first.length_m),
        brief(FAST_DAYS),
        unit.away(FAST_LENGTH_M),
    );
    said.push(
        Diagnostic::new(Code::TravelFast, message).at(&source.origin).at(&receptor.origin).advice(
            "check conductivity, effective_porosity and their units, and the heads along the path: only \
             karst, open fractures and coarse gravel on a steep gradient are so fast",
        ),
    );
}

fn others(as_short: usize) -> String {
    match as_short {
        0 => String::new(),
        1 => "; 1 more travel time is as short".to_owned(),
        more => format!("; {more} more travel times are as short"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_time_is_and_two_are() {
        assert_eq!(others(0), "");
        assert!(others(1).contains("1 more travel time is "));
        assert!(others(2).contains("2 more travel times are "));
    }
}

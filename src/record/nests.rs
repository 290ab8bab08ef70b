//! Up or down between nested wells, round by round.

use super::read_off::ReducedRound;
use super::rows::NestRow;
use crate::check::nested_distance_m;
use crate::read::Site;
use crate::toward::nests;

/// The vertical gradients of all nests in every round that has a map, by pair and round.
pub(super) fn nest_rows(site: &Site, rounds: &[ReducedRound<'_>]) -> Vec<NestRow> {
    let mut found: Vec<NestRow> = Vec::new();
    for (round, of) in rounds.iter().enumerate() {
        let Some(control) = of.control else { continue };
        let distance_m = nested_distance_m(&site.settings, control.frame());
        let (gradients, _) = nests(site, of.round, control, distance_m);
        found.extend(gradients.into_iter().map(|vertical| NestRow { round, vertical }));
    }
    found.sort_by_key(|row| (row.vertical.upper, row.vertical.lower, row.round));
    found
}

//! Which checks could not be made, because the tables do not say enough.

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::{DepthDatum, Round, Site, Well};
use crate::reduce::types::WellHead;

/// Notes on checks that were left out for want of a date or of a ground elevation.
pub(super) fn unchecked(site: &Site, round: &Round, heads: &[WellHead]) -> Vec<Diagnostic> {
    let well = |head: &WellHead| &site.wells[head.well];
    let undated: Vec<&Well> = heads.iter().filter(|h| h.moment.is_none()).map(well).collect();
    let mut findings = Vec::new();
    if !undated.is_empty() {
        let text = format!(
            "{} without a date: the length of the round and the age of the measuring points could \
             not be checked",
            counted(undated.len(), heads.len(), "reading", "readings")
        );
        // "All" needs no names.
        let names = if undated.len() == heads.len() { &[] } else { undated.as_slice() };
        let round = round.readings.first().map(|r| Origin::file(&r.origin.file));
        findings.push(
            naming(text, names, round)
                .advice("give the date of each reading, preferably with the time"),
        );
    }
    let no_ground: Vec<&Well> = heads
        .iter()
        .map(well)
        .filter(|w| site.settings.depths_from == DepthDatum::Ground && has_depths(w))
        .filter(|w| w.ground_elevation.is_none())
        .collect();
    if !no_ground.is_empty() {
        let text = format!(
            "{} without a ground elevation: depths are from the ground, so levels could not be \
             checked against bottom and screen",
            counted(no_ground.len(), heads.len(), "well", "wells")
        );
        let origins = no_ground.iter().map(|w| w.origin.clone());
        findings.push(naming(text, &no_ground, origins).advice(
            "give ground_elevation in the register, or give the depths from the measuring point",
        ));
    }
    findings
}

/// Whether the register says anything of the well's parts.
fn has_depths(well: &Well) -> bool {
    [well.total_depth, well.sounded_depth, well.screen_top, well.screen_bottom]
        .iter()
        .any(Option::is_some)
}

fn counted(some: usize, all: usize, one: &str, many: &str) -> String {
    match (some, all) {
        (1, 1) => format!("the only {one} is"),
        (some, all) if some == all => format!("all {all} {many} are"),
        (1, _) => format!("1 of {all} {many} is"),
        _ => format!("{some} of {all} {many} are"),
    }
}

fn naming(text: String, wells: &[&Well], origins: impl IntoIterator<Item = Origin>) -> Diagnostic {
    let mut finding = Diagnostic::new(Code::Unchecked, text);
    finding.origins.extend(origins);
    finding.wells = wells.iter().map(|w| w.id.clone()).collect();
    finding
}

//! What the sheet says of the way of the water: receptors and pumped wells.

use super::panel::Block;
use super::style;
use crate::diag::{Code, Diagnostic};
use crate::report::Results;
use crate::units::{GroundUnit, Span, two_digits};

/// What the paths meet, where that was asked.
pub(super) fn receptors(results: &Results, width: f64) -> Option<Block> {
    /// So many pairs of source and receptor are told.
    const MOST: usize = 5;
    let toward = results.toward?;
    let mut block = Block::new(&results.site.fonts, width, "Flow-path evaluation");
    for sentence in toward.in_words(results) {
        block.say(&sentence, true, style::INK);
    }
    block.space(2.0);
    let name = |place: usize| toward.places[place].name.as_str();
    let verdicts = toward.by_weight();
    for v in verdicts.iter().take(MOST) {
        let pair = format!("{} to {}", name(v.source), name(v.receptor));
        block.under(&pair, &toward.answer(v, &results.control));
    }
    if verdicts.len() > MOST {
        let more = format!("and {} more, see receptors.csv", verdicts.len() - MOST);
        block.say(&more, false, style::GREY);
    }
    let open = toward.open_sources();
    if !open.is_empty() {
        let text = format!(
            "Flow direction not resolved at {}: base no decision on the paths from there.",
            open.join(", ")
        );
        block.say(&text, true, style::INK);
    }
    block.space(2.0);
    if let Some(ranges) = toward.ranges(GroundUnit::of(results.control.elevation_unit())) {
        let text = format!("Travel times are ranges over 95 % of the realizations, {ranges}.");
        block.say(&text, false, style::INK);
    }
    block.say(&results.paths_leave_out(), false, style::INK);
    Some(block)
}

/// The warnings that qualify the answers, in full: a reader of the sheet may have nothing else.
pub(super) fn warnings(results: &Results, width: f64) -> Option<Block> {
    /// So many are written out.
    const MOST: usize = 4;
    results.toward?;
    // An open direction is named with the answers, and what realizations contradict is called not resolved.
    let said = |code: Code| matches!(code, Code::DirectionOpen | Code::RoundsDisagree);
    let qualifies = |f: &&Diagnostic| f.is_open_warning() && f.code.is_of_paths() && !said(f.code);
    let all: Vec<&Diagnostic> = results.findings.iter().filter(qualifies).collect();
    all.first()?;
    let mut block = Block::new(&results.site.fonts, width, "Warnings about the flow paths");
    for found in all.iter().take(MOST) {
        block.entry(&[found.code.id()], &found.message);
    }
    if all.len() > MOST {
        block.say(&format!("and {} more, see report.html", all.len() - MOST), false, style::GREY);
    }
    Some(block)
}

/// The capture zones of pumped wells, where paths were asked for.
pub(super) fn capture(results: &Results, width: f64) -> Option<Block> {
    /// So many wells are told.
    const MOST: usize = 4;
    let toward = results.toward.filter(|t| !t.pumped.is_empty())?;
    let unit = GroundUnit::of(results.control.elevation_unit());
    let name = unit.name();
    let mut block = Block::new(&results.site.fonts, width, "Capture zones of pumped wells");
    for zone in toward.pumped.iter().take(MOST) {
        let mut parts = Vec::new();
        if let Some(closed) = zone.closed_form {
            let range = |s: Span| {
                let s = s.times(unit.length(1.0));
                format!("{} to {}", two_digits(s.low), two_digits(s.high))
            };
            parts.push(format!(
                "closed form: width {} {name} at the well, {} {name} far upgradient, {} {name} to \
                 the stagnation point",
                range(closed.width_at_well),
                range(closed.width_far),
                range(closed.to_stagnation)
            ));
        }
        parts.push(match zone.mapped.known(zone.mapped.width_m) {
            Some(m) => format!("on this map: width {}", unit.whole(m)),
            None => "on this map: no flow path ends at it".to_owned(),
        });
        block.under(&zone.well, &parts.join("; "));
    }
    if toward.pumped.len() > MOST {
        let more = format!("and {} more, see report.html", toward.pumped.len() - MOST);
        block.say(&more, false, style::GREY);
    }
    block.say(
        "Neither width proves capture. Closed form: homogeneous, isotropic aquifer, steady flow, no \
         recharge.",
        false,
        style::INK,
    );
    Some(block)
}

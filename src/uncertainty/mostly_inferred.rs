//! A map whose contours are nearly all inferred, and why.

use super::carried::Tally;
use super::confidence::NORMAL_SDS;
use super::inferred::REASONS;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::MOSTLY_INFERRED;
use crate::interpolate::RoundNumber;
use crate::read::InferredRule;
use crate::units::{fixed, significant};

/// Each reason in a few words, in the order of the rule.
const REASON: [&str; REASONS] = [
    "they are far from all wells",
    "the triangles around them are marked",
    "their levels are beyond all heads",
    "their position is uncertain by more than the distance to the next contour",
    "they rest on judged heads",
    "they rest on heads that do not fit their neighbours",
];

/// That of them which a wider interval mends.
const UNSURE: usize = 3;

/// M422 where more than [`MOSTLY_INFERRED`] of the contours' length is inferred, with the parts that
/// each reason makes and what would mend them.
pub(super) fn told(control: &ControlSet, tally: &Tally, rule: InferredRule) -> Option<Diagnostic> {
    let percent = |length: f64| fixed(100.0 * length / tally.all_m, 0);
    if tally.all_m <= 0.0 || tally.inferred_m <= MOSTLY_INFERRED * tally.all_m {
        return None;
    }
    let mut reasons: Vec<(f64, &str)> = tally.by_m.into_iter().zip(REASON).collect();
    reasons.sort_by(|a, b| b.0.total_cmp(&a.0));
    let reasons: Vec<String> = reasons
        .into_iter()
        .filter(|(length, _)| *length > 0.0)
        .map(|(length, why)| format!("{} % because {why}", percent(length)))
        .collect();
    let text = format!(
        "{} % of the contours' length is inferred: {}",
        percent(tally.inferred_m),
        reasons.join(", ")
    );
    let unit = control.elevation_unit();
    let advice = match middle(&tally.sds) {
        Some(sd) if tally.by_m[UNSURE] > 0.5 * tally.all_m => format!(
            "the standard deviation of heads along the contours is {} {unit} (errors of the \
             readings and the surface between the wells): an interval of {} {unit} or more would \
             leave half of the contours solid; or add wells",
            significant(sd, 2),
            RoundNumber::at_least(NORMAL_SDS * sd / rule.interval_part).value()
        ),
        _ => "add wells where the contours matter; the map there is an interpretation".to_owned(),
    };
    Some(Diagnostic::new(Code::MostlyInferred, text).advice(advice))
}

/// The middle of some values by the length that each holds for.
fn middle(values: &[(f64, f64)]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = sorted.iter().map(|v| v.1).sum::<f64>() / 2.0;
    let mut below = 0.0;
    sorted.iter().find_map(|(value, length)| {
        below += length;
        (below >= half).then_some(*value)
    })
}

//! The signs of a map, and what its arrows mean.

use std::collections::BTreeSet;

use super::arrows;
use super::view::View;
use crate::report::{Followed, Results};
use crate::uncertainty::DirectionBasis;
use crate::units;

/// Signs that not every map has: the legend explains those that this one has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sign {
    Pumped,
    Aside,
    Corrected,
    Shortened,
    Index,
    Inferred,
    Ticks,
    Known,
    Unknown,
    Path,
    PathBack,
}

/// What the map itself tells, once it is drawn.
#[derive(Debug, Clone)]
pub(super) struct Told {
    /// Wells with their name on the map, and all wells on the map.
    pub(super) named: (usize, usize),
    /// Contours that have no room for a label.
    pub(super) unlabelled: usize,
    /// Names of things beside the wells that have no room.
    pub(super) unnamed: usize,
    /// The signs that the map has.
    pub(super) signs: BTreeSet<Sign>,
    /// The gradient of an arrow of the legend's length.
    pub(super) arrow: Option<f64>,
    /// Where the map looks.
    pub(super) view: View,
}

/// Whether a sign is explained: before the map is drawn all are, to measure the panel.
pub(super) fn has(told: Option<&Told>, sign: Sign) -> bool {
    told.is_none_or(|told| told.signs.contains(&sign))
}

/// A number with three significant digits.
pub(super) fn significant(value: f64) -> String {
    units::significant(value, 3)
}

/// What a filled arrow means and the scale of arrows, in words.
pub(super) fn known_words(results: &Results, told: Option<&Told>) -> String {
    format!("{}, known to within {}{}", flow_words(results), within(results), scale_of_arrows(told))
}

/// What a hollow arrow means; the scale of arrows where there are no others.
pub(super) fn unknown_words(results: &Results, told: Option<&Told>) -> String {
    let scale = if has(told, Sign::Known) { String::new() } else { scale_of_arrows(told) };
    format!("{}, not known to within {}{scale}", flow_words(results), within(results))
}

fn flow_words(results: &Results) -> &'static str {
    match results.arrows_follow() {
        Followed::Triangles => "direction of flow by a plane through three wells",
        Followed::Planes => "direction of flow",
        Followed::Surface => "direction of flow on this surface",
    }
}

/// The angle within which a direction is known, and what that takes into account.
fn within(results: &Results) -> String {
    let directions = &results.uncertainty.directions;
    let error = match directions.basis {
        DirectionBasis::ReadingsOnly => ", reading error only",
        DirectionBasis::Surface | DirectionBasis::SurfaceBound => "",
    };
    format!("{}° (95 %{error})", directions.within_deg)
}

fn scale_of_arrows(told: Option<&Told>) -> String {
    let mm = |points: f64| points / 72.0 * 25.4;
    // Before the map is drawn, the measure of the longest that may stand here.
    told.map_or(Some(0.000_123), |t| t.arrow).map_or_else(String::new, |gradient| {
        format!(
            ": an arrow of this length is a gradient of {}; none is shorter than {} mm or longer than \
             {} mm",
            significant(gradient),
            units::fixed(mm(arrows::SHORTEST), 0),
            units::fixed(mm(arrows::LONGEST), 0)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_digits_are_kept() {
        for (value, text) in [
            (0.004_123, "0.00412"),
            (0.0401, "0.0401"),
            (1.234, "1.23"),
            (0.0, "0"),
            (123.4, "123"),
            (0.005, "0.00500"),
        ] {
            assert_eq!(significant(value), text);
        }
    }
}

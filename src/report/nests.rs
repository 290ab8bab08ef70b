//! What is said of nested wells: up or down between them.

use schemars::JsonSchema;
use serde::Serialize;

use super::digits;
use super::measures;
use super::results::Results;
use crate::check::nested_distance_m;
use crate::map::Map;
use crate::toward::{self, VerticalGradient};
use crate::units::{GroundUnit, LengthUnit, two_digits};

/// A vertical gradient between nested wells.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct VerticalRow<'a> {
    /// The upper well.
    pub upper: &'a str,
    /// The lower well.
    pub lower: &'a str,
    /// `up`, `down` or `not resolved`.
    pub water_flows: &'static str,
    /// Elevation of the midpoint of the upper screen, m; of its part below the water level, where that is inside it.
    pub upper_midpoint_m: f64,
    /// Whether it is that of the part below the water level.
    pub upper_saturated_part: bool,
    /// Elevation of the midpoint of the lower screen, m, in the same way.
    pub lower_midpoint_m: f64,
    /// Whether it is that of the part below the water level.
    pub lower_saturated_part: bool,
    /// Lower head less upper, m.
    pub head_difference_m: f64,
    /// The same, ft.
    pub head_difference_ft: f64,
    /// Its standard deviation, m.
    pub sd_m: f64,
    /// Distance of the midpoints of the screens, m.
    pub distance_m: f64,
    /// Gradient, positive up.
    pub gradient: f64,
    /// Lower end of its 95 % interval.
    pub gradient_low: f64,
    /// Upper end.
    pub gradient_high: f64,
}

impl<'a> VerticalRow<'a> {
    pub(super) fn of(map: &'a Map, g: &VerticalGradient) -> Self {
        let wells = &map.site.wells;
        let foot = map.site.settings.elevation_unit.foot();
        let [upper, lower] = g.middles;
        Self {
            upper: &wells[g.upper].id,
            lower: &wells[g.lower].id,
            water_flows: g.direction(),
            upper_midpoint_m: digits::height(upper.elevation_m),
            upper_saturated_part: upper.saturated,
            lower_midpoint_m: digits::height(lower.elevation_m),
            lower_saturated_part: lower.saturated,
            head_difference_m: digits::height(g.head_difference_m),
            head_difference_ft: digits::height(
                LengthUnit::Metre.convert(g.head_difference_m, foot),
            ),
            sd_m: digits::height(g.sd_m),
            distance_m: digits::height(g.distance_m),
            gradient: digits::gradient(g.gradient),
            gradient_low: digits::gradient(g.low),
            gradient_high: digits::gradient(g.high),
        }
    }
}

/// The nests of a round: their wells may be of any aquifer unit.
#[derive(Debug)]
pub(crate) struct Nests<'a> {
    /// From each well of a nest to the next below it.
    pub(crate) gradients: Vec<VerticalRow<'a>>,
    /// Why others have none.
    pub(crate) without: Vec<String>,
    /// How near to each other wells are nested, in words.
    pub(crate) within: String,
}

impl<'a> Nests<'a> {
    /// Those of a map.
    pub(crate) fn of(results: &Results<'a>) -> Self {
        let Map { surfaced, .. } = results.map;
        let (site, control) = (&surfaced.site, &surfaced.control);
        let distance_m = nested_distance_m(&site.settings, control.frame());
        let (found, none) = toward::nests(site, &surfaced.round, control, distance_m);
        Self {
            gradients: found.iter().map(|g| VerticalRow::of(results.map, g)).collect(),
            without: none.into_iter().map(|why| why.in_words(&site.wells)).collect(),
            within: GroundUnit::of(control.elevation_unit()).away(distance_m),
        }
    }

    /// Whether the register has no nest that was read.
    pub(crate) fn is_empty(&self) -> bool {
        self.gradients.is_empty() && self.without.is_empty()
    }

    /// How many gradients go which way, and how steep they are: `3 of 3 up, 0.053 to 0.13`. `None` where there are none.
    pub(crate) fn in_words(&self) -> Option<String> {
        let ways = ["up", "down", "not resolved"];
        let count = |way| self.gradients.iter().filter(|g| g.water_flows == way).count();
        let all = self.gradients.len();
        let of = ways.map(|way| (count(way), way));
        let of = of.iter().filter(|(n, _)| *n > 0).map(|(n, way)| format!("{n} of {all} {way}"));
        let steep = self.gradients.iter().map(|g| g.gradient.abs());
        let [low, high] = [steep.clone().fold(f64::INFINITY, f64::min), steep.fold(0.0, f64::max)];
        let range = match [two_digits(low.min(high)), two_digits(high)] {
            [low, high] if low == high => low,
            [low, high] => format!("{low} to {high}"),
        };
        (all > 0).then(|| format!("{}; {range}", of.collect::<Vec<_>>().join(", ")))
    }
}

/// A gradient with its sign, and its interval.
pub(crate) fn gradient_words(g: &VerticalRow<'_>) -> [String; 2] {
    let number = measures::three_digits;
    [number(g.gradient), format!("{} to {}", number(g.gradient_low), number(g.gradient_high))]
}

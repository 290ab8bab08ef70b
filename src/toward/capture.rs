//! The capture zone of a pumped well in closed form, beside the one that the map shows.

use std::f64::consts::TAU;

use geo::Coord;
use rayon::prelude::*;
use serde::Serialize;

use super::path::FlowPath;
use crate::progress;
use crate::units::Span;

/// The capture zone of one well in uniform flow, in closed form. All lengths are in the unit that
/// `rate / (transmissivity x gradient)` has.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ClosedForm {
    /// From the well downgradient to the stagnation point: `Q / (2 pi T i)`.
    pub to_stagnation: Span,
    /// Full width at the well: `Q / (2 T i)`.
    pub width_at_well: Span,
    /// Full width far upgradient: `Q / (T i)`.
    pub width_far: Span,
}

/// The closed-form capture zone.
///
/// It holds for a homogeneous, isotropic aquifer of uniform thickness, a well that is open to all
/// of it, a steady state, and no recharge or vertical flow. `None` when the rate or the low end
/// of the gradient is not positive.
///
/// # Units
/// - `rate`: m³/d; `transmissivity`: m²/d; `gradient`: dimensionless, of the flow without the
///   well; returns: m. Any other one unit of length and time serves as well.
///
/// # References
/// US EPA (2008), A Systematic Approach for Evaluation of Capture Zones at Pump and Treat Systems,
/// EPA 600/R-08/003 (formulas as quoted in county files).
#[must_use]
pub fn closed_form(rate: f64, transmissivity: Span, gradient: Span) -> Option<ClosedForm> {
    if !(rate > 0.0 && gradient.low > 0.0 && transmissivity.low > 0.0) {
        return None;
    }
    let width_far = Span {
        low: rate / (transmissivity.high * gradient.high),
        high: rate / (transmissivity.low * gradient.low),
    };
    Some(ClosedForm {
        to_stagnation: width_far.times(1.0 / TAU),
        width_at_well: width_far.times(0.5),
        width_far,
    })
}

/// The capture zone that the mapped surface shows: the places whose paths end at the well.
#[derive(Debug, Clone, PartialEq)]
pub struct Mapped {
    /// How many places were tried, and how many of them the well captures.
    pub tried: usize,
    /// Places captured, m.
    pub captured: Vec<Coord>,
    /// Their area, m².
    pub area_m2: f64,
    /// Their extent across the site's flow, m.
    pub width_m: f64,
    /// How far they reach downgradient of the well, m.
    pub downgradient_m: f64,
}

impl Mapped {
    /// A measure of the zone; `None` where no place is captured, and the map shows no zone.
    #[must_use]
    pub fn known(&self, measure: f64) -> Option<f64> {
        (!self.captured.is_empty()).then_some(measure)
    }
}

/// The mapped capture zone of a well.
///
/// # Units
/// - `places`: m, on a square lattice `spacing_m` apart; `well`: m
/// - `flow`: unit vector of the site's flow
/// - `ends_there`: whether a path ends at the well
pub fn mapped(
    places: &[Coord],
    spacing_m: f64,
    well: Coord,
    flow: Coord,
    trace: impl Fn(Coord) -> FlowPath + Sync,
    ends_there: impl Fn(&FlowPath) -> bool + Sync,
) -> Mapped {
    let steps = progress::steps(places.len());
    let is_captured = |p: &&Coord| {
        let captured = ends_there(&trace(**p));
        steps.done();
        captured
    };
    let captured: Vec<Coord> = places.par_iter().filter(is_captured).copied().collect();
    let (mut left, mut right, mut downgradient_m) = (0.0_f64, 0.0_f64, 0.0_f64);
    for p in &captured {
        let d = *p - well;
        let across = d.x * flow.y - d.y * flow.x;
        left = left.min(across);
        right = right.max(across);
        downgradient_m = downgradient_m.max(d.x * flow.x + d.y * flow.y);
    }
    Mapped {
        tried: places.len(),
        area_m2: captured.len() as f64 * spacing_m * spacing_m,
        captured,
        width_m: right - left,
        downgradient_m,
    }
}

/// Places on a circle about a well, from which paths are followed back.
///
/// # Units
/// - `well`, `radius_m`: m
#[must_use]
pub fn about(well: Coord, radius_m: f64, count: u32) -> Vec<Coord> {
    (0..count)
        .map(|k| {
            let turn = TAU * f64::from(k) / f64::from(count);
            well + Coord { x: radius_m * libm::sin(turn), y: radius_m * libm::cos(turn) }
        })
        .collect()
}

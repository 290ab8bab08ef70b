//! Gradient and direction of flow of the whole site, as sheet, page and terminal state them.

use serde::Serialize;

use super::measures;
use super::norths::{North, Norths};
use super::results::Results;
use crate::diag::Code;
use crate::flow::{MOST_OF_AREA, OverMap};
use crate::units::{Azimuth, LengthUnit, fixed};

/// What the heads state as a whole. Where the plane through the wells does not describe them,
/// [`Statement::over_map`] comes first, and the plane's figures are not reported.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Statement {
    /// Whether the plane through the wells describes their heads.
    pub planar: bool,
    /// Gradient of the plane, m/m.
    pub gradient: String,
    /// Its 95 % interval.
    pub gradient_interval: Option<String>,
    /// What directions are stated against, and what is up on the map.
    pub norths: Norths,
    /// The direction of flow against the stated north; none where it is not resolved.
    pub toward: Option<String>,
    /// Its 95 % interval.
    pub arc: Option<String>,
    /// The direction against the plan's north, where that is not the stated one.
    pub toward_grid: Option<String>,
    /// What is stated where there is no direction.
    pub verdict: &'static str,
    /// What the direction must be read with.
    pub cautions: Vec<&'static str>,
    /// Gradient and direction as they range over the map.
    pub over_map: Option<Over>,
    /// R² of the plane.
    pub r_squared: Option<String>,
    /// Standard deviation of its residuals, with the unit.
    pub residual_sd: Option<String>,
    /// Mean of the triangles, weighted by area: its gradient, m/m.
    pub mean_gradient: String,
    /// Its direction; none where the plane's is not resolved.
    pub mean_direction: Option<String>,
    /// Length of the mean direction of the triangles.
    pub agreement: String,
}

/// Gradient and direction as they range over most of the map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Over {
    /// The part of the mapped area, percent.
    pub percent: String,
    /// Gradient from and to, m/m.
    pub gradient: String,
    /// What directions are stated against.
    pub north: North,
    /// Direction from and to against it; none where there is no single direction.
    pub toward: Option<String>,
}

/// Where the plane does not describe the heads.
pub const NOT_PLANAR: &str =
    "the water table is not planar (M416): no gradient or direction of the whole site is reported";

/// A plane through three wells.
const EXACT: &str = "a plane through three wells always fits: its fit proves nothing";

/// A direction that the errors only just allow.
const ONLY_JUST: &str = "direction only just resolved: it holds in fewer than 95 of 100 rounds";

/// Wells that give little across their line.
const ON_ONE_LINE: &str = "wells nearly on one line: the direction across it is poorly known";

impl Statement {
    /// What is stated of a map.
    #[must_use]
    pub fn of(results: &Results) -> Self {
        let (flow, control) = (&results.flow, &results.control);
        let unit = control.elevation_unit();
        let error = results.uncertainty.plane.as_ref().map(|p| p.stated);
        let norths = Norths::of(control);
        let resolved = error.is_none_or(|e| e.resolved);
        let planar = results.plane_describes();
        let has = |code| results.findings.iter().any(|f| f.code == code);
        let cautions = [
            (planar && error.is_some_and(|e| e.only_just), ONLY_JUST),
            (flow.plane.residual_sd.is_none(), EXACT),
            (has(Code::ThinNetwork), ON_ONE_LINE),
        ];
        Self {
            planar,
            gradient: measures::gradient(flow.plane_gradient),
            gradient_interval: error.map(|e| interval(e.magnitude.low, e.magnitude.high)),
            norths,
            toward: flow.plane_azimuth().filter(|_| resolved).map(measures::toward),
            arc: error
                .filter(|_| resolved)
                .map(|e| measures::degrees(e.direction.turned(norths.turn_deg()))),
            toward_grid: flow
                .plane_azimuth_grid
                .filter(|_| resolved && norths.both)
                .map(|a| format!("{}°", a.whole_degrees())),
            verdict: if flow.plane_azimuth_grid.is_none() {
                "none: the plane is level"
            } else {
                "direction not resolved"
            },
            cautions: cautions.into_iter().filter(|c| c.0).map(|c| c.1).collect(),
            over_map: flow.over_map.as_ref().map(|range| over_map(range, norths)),
            r_squared: flow.plane.r_squared.map(|r| fixed(r, 3)),
            residual_sd: flow.plane.residual_sd.map(|metres| {
                let sd = LengthUnit::Metre.convert(metres, unit);
                format!("{} {}", measures::sd(sd), unit.in_words())
            }),
            mean_gradient: measures::gradient(flow.mean.gradient),
            mean_direction: flow.mean.azimuth().filter(|_| resolved).map(measures::toward),
            agreement: fixed(flow.mean.agreement, 2),
        }
    }

    /// The gradient with its interval: `0.0068 (95 %: 0.0064 to 0.0071)`.
    #[must_use]
    pub fn gradient_words(&self) -> String {
        match &self.gradient_interval {
            Some(interval) => format!("{} (95 %: {interval})", self.gradient),
            None => self.gradient.clone(),
        }
    }

    /// The direction with its interval: `175° (S), true north (95 %: 170° to 180°)`.
    #[must_use]
    pub fn direction_words(&self) -> String {
        let north = self.norths.stated.words();
        match (&self.toward, &self.arc) {
            (None, _) => self.verdict.to_owned(),
            (Some(toward), None) => format!("{toward}, {north}"),
            (Some(toward), Some(arc)) => format!("{toward}, {north} (95 %: {arc})"),
        }
    }
}

impl Over {
    /// The gradient with the part of the area: `0.004 to 0.01 over 90 % of the area`.
    #[must_use]
    pub fn gradient_words(&self) -> String {
        format!("{} over {} % of the area", self.gradient, self.percent)
    }

    /// The direction with the part of the area.
    #[must_use]
    pub fn direction_words(&self) -> String {
        let area = format!("over {} % of the area", self.percent);
        match &self.toward {
            Some(toward) => format!("{toward}, {}, {area}", self.north.words()),
            None => format!("no single direction: more than half the circle {area}"),
        }
    }
}

fn interval(low: f64, high: f64) -> String {
    format!("{} to {}", measures::gradient(low), measures::gradient(high))
}

fn over_map(range: &OverMap, norths: Norths) -> Over {
    Over {
        north: norths.stated,
        percent: fixed(100.0 * MOST_OF_AREA, 0),
        gradient: interval(range.gradient_low, range.gradient_high),
        toward: range.azimuths().map(|azimuths| {
            let [from, to] = azimuths.map(Azimuth::whole_degrees);
            format!("{from}° to {to}°")
        }),
    }
}

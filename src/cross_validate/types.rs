//! What a comparison says.

use crate::interpolate::KrigingReport;
use crate::read::{Fact, Method};
use crate::units::Azimuth;

/// A method as it is compared: kriging counts twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Candidate {
    /// The method.
    pub method: Method,
    /// Whether kriging has a linear drift.
    pub drift: bool,
}

impl Candidate {
    /// All of them, in the order they are told: each method, and with a linear drift again where it
    /// takes one.
    #[must_use]
    pub fn all() -> Vec<Self> {
        let of = |method: Method| {
            let drifts = [Some(false), method.has(Fact::Drift).then_some(true)];
            drifts.into_iter().flatten().map(move |drift| Self { method, drift })
        };
        Method::ALL.into_iter().flat_map(of).collect()
    }

    /// Its name in tables: that of the method, `kriging-with-drift` for kriging with a drift.
    #[must_use]
    pub const fn name(self) -> &'static str {
        if self.drift { "kriging-with-drift" } else { self.method.name() }
    }

    /// The names of all of them.
    pub(crate) fn names() -> Vec<&'static str> {
        Self::all().into_iter().map(Self::name).collect()
    }

    /// Whether its predictions have a standard deviation of their own.
    #[must_use]
    pub(crate) fn has_sd(self) -> bool {
        self.method.has(Fact::OwnSd)
    }

    /// What it is, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        if self.drift { "kriging with a linear drift" } else { self.method.words() }
    }
}

/// The head at a well from all other wells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prediction {
    /// The head there from the others, elevation unit.
    pub head: f64,
    /// Observed minus predicted, elevation unit: positive where the others say too little.
    pub residual: f64,
    /// The residual over the standard deviation of the prediction, for methods that have one
    /// (`Candidate::has_sd`).
    pub standardised: Option<f64>,
}

/// How well a method foretells a set of wells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scores {
    /// Count of wells.
    pub wells: usize,
    /// Mean of the residuals, elevation unit.
    pub mean_error: f64,
    /// Mean of their sizes, elevation unit.
    pub mean_absolute_error: f64,
    /// Root of the mean of their squares, elevation unit.
    pub root_mean_square_error: f64,
    /// Mean of the standardised residuals.
    pub standardised_mean: Option<f64>,
    /// Root of the mean of their squares.
    pub standardised_root_mean_square: Option<f64>,
}

/// What a method says when each well is left out.
#[derive(Debug, Clone)]
pub struct LeftOut {
    /// For each control point; `None` where the others do not reach.
    pub predictions: Vec<Option<Prediction>>,
    /// Over all wells that could be predicted; `None` when none could.
    pub all: Option<Scores>,
    /// Over the wells that every usable method could predict: the fair comparison.
    pub common: Option<Scores>,
    /// The wells with a prediction by the size of their residual, the worst first.
    pub worst: Vec<usize>,
    /// What a kriged surface rests on.
    pub kriging: Option<KrigingReport>,
}

/// Why a method cannot be used with these wells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// The reasons, as a map would be refused with them.
    pub reason: String,
    /// What to do about it.
    pub advice: Option<String>,
}

/// One method in the comparison.
#[derive(Debug, Clone)]
pub struct MethodResult {
    /// Which.
    pub candidate: Candidate,
    /// Whether the site's settings ask for it.
    pub asked: bool,
    /// What it says, or why it cannot be used.
    pub outcome: Result<LeftOut, Refused>,
}

/// A gradient and direction of the site without one well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// Hydraulic gradient without it, dimensionless.
    pub gradient: f64,
    /// Direction of flow without it against grid north; `None` when level.
    pub azimuth_grid: Option<Azimuth>,
    /// The same against true north.
    pub azimuth_true: Option<Azimuth>,
    /// By how much the direction turns when the well is left out, degrees, clockwise positive,
    /// above -180 to 180; `None` when there is no direction before or after.
    pub turn_deg: Option<f64>,
}

/// What the site's gradient and direction are without one well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Without {
    /// Of the plane through all other wells; `None` when these stand on one line.
    pub plane: Option<Effect>,
    /// Of the mean of the triangles of the other wells, weighted by area; `None` when there are
    /// none.
    pub mean: Option<Effect>,
}

/// The whole comparison. All other lists have an entry for each control point, in their order.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Every method.
    pub methods: Vec<MethodResult>,
    /// The control points that were left out in turn: wells and gauges. Points of streams stay in
    /// place.
    pub wells: Vec<usize>,
    /// Whether each well could be predicted by all methods that can be used.
    pub in_common: Vec<bool>,
    /// What the site's gradient and direction are without each well.
    pub without: Vec<Without>,
}

impl Comparison {
    /// The well without which the plane's direction turns most.
    #[must_use]
    pub fn most_turning(&self) -> Option<usize> {
        let turn = |i: &usize| self.without[*i].plane.and_then(|e| e.turn_deg).map(f64::abs);
        // The last of equals wins a maximum; the first is wanted.
        (0..self.without.len())
            .rev()
            .filter(|i| turn(i).is_some())
            .max_by(|a, b| turn(a).unwrap_or(0.0).total_cmp(&turn(b).unwrap_or(0.0)))
    }
}

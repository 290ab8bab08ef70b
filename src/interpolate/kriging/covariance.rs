//! How alike heads are as a function of their distance.

use geo::Coord;
use schemars::JsonSchema;
use serde::Serialize;

use super::error::BadParameter;
use crate::geom::tolerance;
pub use crate::read::CovarianceModel as Model;

/// The root of `(1 + s) exp(-s) = exp(-3)`.
const MATERN32_AT_RANGE: f64 = 4.749_031_386_012_701;
/// The root of `(1 + s + s²/3) exp(-s) = exp(-3)`.
const MATERN52_AT_RANGE: f64 = 5.924_462_618_951_796;

/// A range that depends on the direction as the radius of an ellipse does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Anisotropy {
    /// The direction of the longest range, degrees clockwise from grid north.
    pub azimuth_deg: f64,
    /// The range across that direction over the range along it, above 0, at most 1.
    pub ratio: f64,
}

/// A covariance of heads.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Covariance {
    /// Its shape.
    pub model: Model,
    /// Variance of the part that is alike over a distance, head unit².
    pub partial_sill: f64,
    /// Effective range, m; with anisotropy the longest one.
    pub range_m: f64,
    /// Variance that neighbours do not share and that belongs to the head all the same, head
    /// unit². The surface passes through the wells and jumps there. Errors of reading are not among it.
    pub nugget: f64,
    /// Dependence on direction, where there is one.
    pub anisotropy: Option<Anisotropy>,
}

impl Covariance {
    /// A covariance that is equal in all directions, without nugget.
    ///
    /// # Units
    /// - `partial_sill`: head unit²; `range_m`: m
    #[must_use]
    pub const fn new(model: Model, partial_sill: f64, range_m: f64) -> Self {
        Self { model, partial_sill, range_m, nugget: 0.0, anisotropy: None }
    }

    /// The semivariance at a separation, head unit²: what [`super::Kriging`] works with, for
    /// drawing beside the wells' own.
    ///
    /// # Units
    /// - `separation`: m east and north
    #[must_use]
    pub fn semivariance(&self, separation: Coord) -> f64 {
        let at = self.metric().apply(separation);
        let h = libm::hypot(at.x, at.y);
        if h <= tolerance::SAME_POSITION_M {
            return 0.0;
        }
        self.nugget
            + match self.model {
                Model::Linear => self.partial_sill / self.range_m * h,
                _ => self.partial_sill - self.structure(0.0).at(h),
            }
    }

    /// What is out of bounds.
    pub(super) fn faults(&self) -> Vec<BadParameter> {
        let mut bad = Vec::new();
        let mut claim = |name: &str, value: f64, holds: bool, bound: &'static str| {
            if !(value.is_finite() && holds) {
                bad.push(BadParameter { name: name.to_owned(), value, bound });
            }
        };
        let sill = self.partial_sill;
        // A pure nugget is a covariance too.
        let some = sill > 0.0 || (sill == 0.0 && self.nugget > 0.0);
        claim("the partial sill", sill, some, "positive, in square head units (0 with a nugget)");
        claim("the range", self.range_m, self.range_m > 0.0, "positive, in m");
        claim("the nugget", self.nugget, self.nugget >= 0.0, "0 or positive, in square head units");
        if let Some(a) = self.anisotropy {
            claim(
                "the anisotropy's azimuth",
                a.azimuth_deg,
                true,
                "in degrees clockwise from north",
            );
            let holds = a.ratio > 0.0 && a.ratio <= 1.0;
            claim("the anisotropy's ratio", a.ratio, holds, "above 0 and at most 1");
        }
        bad
    }

    /// The map in which distances are those along the longest range.
    pub(super) fn metric(&self) -> Metric {
        match self.anisotropy {
            None => Metric { xx: 1.0, xy: 0.0, yx: 0.0, yy: 1.0 },
            Some(a) => {
                let angle = a.azimuth_deg.to_radians();
                let (sin, cos) = (libm::sin(angle), libm::cos(angle));
                Metric { xx: sin, xy: cos, yx: cos / a.ratio, yy: -sin / a.ratio }
            }
        }
    }

    /// The part without the nugget, of any model but the linear one.
    pub(crate) fn shape(&self) -> Shape {
        self.structure(0.0)
    }

    /// The part without the nugget. The linear model is raised to be positive definite among
    /// wells that lie within `span_m` of each other in the metric.
    ///
    /// With a constant in the drift, a constant added to the covariance changes neither heads nor
    /// variances. Among points within a disk of radius R the linear model needs to be raised by
    /// `(pi / 2) R` times its slope (Hinrichs, Nickolas and Wolf 2011, from memory), and the
    /// disk about a rectangle of diagonal `d` has `R = d / 2`.
    pub(super) fn structure(&self, span_m: f64) -> Shape {
        let Self { model, partial_sill, range_m, .. } = *self;
        match model {
            Model::Linear => {
                let slope = partial_sill / range_m;
                Shape { model, sill: slope * span_m, scale: slope }
            }
            Model::Exponential => Shape { model, sill: partial_sill, scale: 3.0 / range_m },
            Model::Spherical => Shape { model, sill: partial_sill, scale: 1.0 / range_m },
            Model::Gaussian => {
                Shape { model, sill: partial_sill, scale: 3.0 / (range_m * range_m) }
            }
            Model::Matern32 => {
                Shape { model, sill: partial_sill, scale: MATERN32_AT_RANGE / range_m }
            }
            Model::Matern52 => {
                Shape { model, sill: partial_sill, scale: MATERN52_AT_RANGE / range_m }
            }
        }
    }
}

/// A linear map of the plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Metric {
    xx: f64,
    xy: f64,
    yx: f64,
    yy: f64,
}

impl Metric {
    pub(super) fn apply(self, p: Coord) -> Coord {
        Coord { x: self.xx * p.x + self.xy * p.y, y: self.yx * p.x + self.yy * p.y }
    }
}

/// A covariance without nugget, ready to be evaluated.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shape {
    model: Model,
    /// The value at distance 0.
    pub(super) sill: f64,
    scale: f64,
}

impl Shape {
    /// The covariance at a distance.
    pub(crate) fn at(&self, h: f64) -> f64 {
        let s = self.scale * h;
        match self.model {
            Model::Linear => self.sill - s,
            Model::Exponential => self.sill * libm::exp(-s),
            Model::Spherical if s < 1.0 => self.sill * (1.0 - s * (1.5 - 0.5 * s * s)),
            Model::Spherical => 0.0,
            Model::Gaussian => self.sill * libm::exp(-s * h),
            Model::Matern32 => self.sill * (1.0 + s) * libm::exp(-s),
            Model::Matern52 => self.sill * (1.0 + s + s * s / 3.0) * libm::exp(-s),
        }
    }

    /// The value at distance 0.
    pub(crate) const fn sill(&self) -> f64 {
        self.sill
    }

    pub(crate) const fn model(&self) -> Model {
        self.model
    }

    /// What distances are multiplied by; of the gaussian, their squares.
    pub(crate) const fn scale(&self) -> f64 {
        self.scale
    }

    /// Half the variance of the difference of two heads at a distance.
    pub(crate) fn semivariance(&self, h: f64) -> f64 {
        self.sill - self.at(h)
    }

    /// The distance at which the covariance has a kink.
    pub(super) fn kink_m(&self) -> Option<f64> {
        (self.model == Model::Spherical).then(|| 1.0 / self.scale)
    }
}

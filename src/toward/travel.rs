//! How fast the water goes: seepage velocity and travel time as ranges.

use serde::Serialize;

use super::path::{FlowPath, ROUNDING_M};
use crate::geom::distance;
use crate::read::AquiferSettings;
use crate::units::Span;

/// Steps shorter than this have no gradient of their own, m.
const SHORT_M: f64 = 1e-3;

/// What velocities are worked out with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Conductor {
    /// Hydraulic conductivity, m/d.
    pub conductivity_m_per_day: Span,
    /// Effective porosity, dimensionless.
    pub effective_porosity: Span,
    /// Retardation of a substance, dimensionless, where its sorption is given.
    pub retardation: Option<Span>,
}

impl Conductor {
    /// What the settings give; `None` when conductivity or effective porosity is not known.
    #[must_use]
    pub fn new(settings: &AquiferSettings) -> Option<Self> {
        let sorption = settings
            .distribution_coefficient_ml_per_g
            .zip(settings.bulk_density_g_per_cm3)
            .zip(settings.total_porosity);
        Some(Self {
            conductivity_m_per_day: settings.conductivity_m_per_day?,
            effective_porosity: settings.effective_porosity?,
            retardation: sorption
                .map(|((kd, density), porosity)| retardation(density, kd, porosity)),
        })
    }

    /// Seepage velocity `v = K i / n`, m/d: lowest with the lowest conductivity and gradient and the
    /// highest porosity.
    ///
    /// # Units
    /// - `gradient`: hydraulic gradient, dimensionless, as a range
    ///
    /// # References
    /// Heath (1983), USGS Water-Supply Paper 2220, "Ground-water velocity".
    #[must_use]
    pub fn velocity(&self, gradient: Span) -> Span {
        let (k, n) = (self.conductivity_m_per_day, self.effective_porosity);
        Span { low: k.low * gradient.low / n.high, high: k.high * gradient.high / n.low }
    }

    /// Time along a path, days: the sum over its steps of length over velocity, each with its own
    /// gradient as it is drawn; see [`super::MeanGradient::widened`]. `None` of a path without fall.
    ///
    /// # Units
    /// - `metres`: m in one unit of head
    #[must_use]
    pub fn days(&self, path: &FlowPath, metres: f64) -> Option<Span> {
        let metres_over_gradient = length_over_gradient(path, f64::INFINITY, metres)?;
        let at_one = self.velocity(Span { low: 1.0, high: 1.0 });
        Some(Span {
            low: metres_over_gradient / at_one.high,
            high: metres_over_gradient / at_one.low,
        })
    }

    /// A time of the water as that of a retarded substance.
    #[must_use]
    pub fn retarded(&self, days: Span) -> Option<Span> {
        let r = self.retardation?;
        Some(Span { low: days.low * r.low, high: days.high * r.high })
    }
}

/// The sum over a path's steps of length over gradient, m, to a place along it: the time but for conductivity and
/// porosity. Steps shorter than [`SHORT_M`] are taken together with their neighbours: their fall is lost in the rounding
/// of heads. `None` of a path without fall.
///
/// # Units
/// - `until_m`: m along the path; `metres`: m in one unit of head
pub(super) fn length_over_gradient(path: &FlowPath, until_m: f64, metres: f64) -> Option<f64> {
    let over = |(length, fall): (f64, f64)| {
        if length > 0.0 { length * length / (fall.abs() * metres) } else { 0.0 }
    };
    let (mut whole, mut last) = (0.0, (0.0, 0.0));
    let mut left_m = until_m;
    for (w, h) in path.points.windows(2).zip(path.heads.windows(2)) {
        if left_m <= ROUNDING_M {
            break;
        }
        let (mut length, mut fall) = (distance(w[0], w[1]), h[0] - h[1]);
        if length > left_m {
            (length, fall) = (left_m, fall * (left_m / length));
        }
        left_m -= length;
        if last.0 <= SHORT_M || length <= SHORT_M {
            last = (last.0 + length, last.1 + fall);
        } else {
            whole += over(last);
            last = (length, fall);
        }
    }
    whole += over(last);
    (whole.is_finite() && whole > 0.0).then_some(whole)
}

/// Retardation by linear sorption at equilibrium: `R = 1 + density Kd / porosity`.
///
/// # Units
/// - `density`: dry bulk density, g/cm³; `coefficient`: Kd, mL/g; `porosity`: total, dimensionless
///
/// # References
/// Freeze and Cherry (1979), Groundwater, eq. 9.14 (from memory).
#[must_use]
pub fn retardation(density: Span, coefficient: Span, porosity: Span) -> Span {
    Span {
        low: 1.0 + density.low * coefficient.low / porosity.high,
        high: 1.0 + density.high * coefficient.high / porosity.low,
    }
}

#[cfg(test)]
mod tests {
    use geo::Coord;

    use super::*;
    use crate::toward::path::{End, Way};

    /// 100 m at 0.01 and 50 m at 0.005: 10 000 and 10 000 m of length over gradient, whatever tiny
    /// steps stand between them, before them or after them.
    #[test]
    fn a_step_too_short_to_fall_takes_no_time() {
        let path = |places: &[(f64, f64)]| FlowPath {
            way: Way::Down,
            points: places.iter().map(|p| Coord { x: p.0, y: 0.0 }).collect(),
            heads: places.iter().map(|p| p.1).collect(),
            end: End::Level,
        };
        let tiny = 1e-13;
        for places in [
            vec![(0.0, 840.0), (100.0, 839.0), (150.0, 838.75)],
            vec![(0.0, 840.0), (100.0, 839.0), (150.0, 838.75), (150.0 + tiny, 838.75)],
            vec![(0.0, 840.0), (tiny, 840.0), (100.0, 839.0), (150.0, 838.75)],
            vec![(0.0, 840.0), (100.0, 839.0), (100.0 + tiny, 839.0), (150.0, 838.75)],
        ] {
            let found = length_over_gradient(&path(&places), f64::INFINITY, 1.0).expect("it falls");
            assert!((found - 20_000.0).abs() < 1e-6, "{found} of {places:?}");
        }
        assert!(
            length_over_gradient(&path(&[(0.0, 5.0), (9.0, 5.0)]), f64::INFINITY, 1.0).is_none()
        );
        assert!(length_over_gradient(&path(&[(0.0, 5.0)]), f64::INFINITY, 1.0).is_none());
    }
}

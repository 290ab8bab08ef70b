//! What is known of the surface beforehand, up to factors.

use geo::Coord;

use super::error::BadParameter;

/// A pumped (or recharged) well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpedWell {
    /// Where it stands, m.
    pub position: Coord,
    /// Its radius, m. Nearer than this the cone of depression is as deep as at the radius.
    pub radius_m: f64,
    /// Its pumping rate in any unit that all wells of the term share, negative for recharge.
    pub rate: f64,
}

impl PumpedWell {
    /// The well's part of its cone's term at a place: `rate x ln(max(r, radius))`.
    ///
    /// # Units
    /// - `p`: m; returns: the rate's unit
    pub(crate) fn cone_at(&self, p: Coord) -> f64 {
        let r = libm::hypot(p.x - self.position.x, p.y - self.position.y);
        self.rate * libm::log(r.max(self.radius_m))
    }
}

/// The drift: a constant, which is always there, and more terms where wanted. The factor of each is
/// found from the heads.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drift {
    /// A plane: universal kriging.
    pub plane: bool,
    /// Cones of depression. Each term is `sum of rate x ln(max(r, radius))` over its wells: wells
    /// with known rates belong into one term, a well whose rate is not known is a term of its own.
    ///
    /// For steady flow in a confined aquifer of even transmissivity T the term's factor is
    /// `1 / (2 pi T)` (Thiem).
    ///
    /// # References
    /// Tonkin and Larson (2002), Ground Water 40(2), 185-193.
    pub cones: Vec<Vec<PumpedWell>>,
}

impl Drift {
    /// Count of terms, the constant with them.
    pub(in crate::interpolate) fn terms(&self) -> usize {
        1 + 2 * usize::from(self.plane) + self.cones.len()
    }

    /// The name of a term, for messages and reports.
    pub(in crate::interpolate) fn name(&self, term: usize) -> String {
        let cones = 1 + 2 * usize::from(self.plane);
        match term {
            0 => "constant".to_owned(),
            1 if self.plane => "slope to the east".to_owned(),
            2 if self.plane => "slope to the north".to_owned(),
            _ => format!("cone of pumped wells {}", term - cones + 1),
        }
    }

    /// What is out of bounds.
    pub(super) fn faults(&self) -> Vec<BadParameter> {
        let mut bad = Vec::new();
        for (c, cone) in self.cones.iter().enumerate() {
            for (w, well) in cone.iter().enumerate() {
                let mut claim = |what: &str, value: f64, holds: bool, bound: &'static str| {
                    if !(value.is_finite() && holds) {
                        let name = format!("the {what} of pumped well {} of cone {}", w + 1, c + 1);
                        bad.push(BadParameter { name, value, bound });
                    }
                };
                claim("easting", well.position.x, true, "finite, in m");
                claim("northing", well.position.y, true, "finite, in m");
                claim("radius", well.radius_m, well.radius_m > 0.0, "positive, in m");
                claim("rate", well.rate, true, "finite");
            }
        }
        bad
    }

    /// The terms at a place, written to `out`. Positions of the plane count from `centre`.
    pub(super) fn at(&self, p: Coord, centre: Coord, out: &mut [f64]) {
        out[0] = 1.0;
        let mut next = 1;
        if self.plane {
            out[1] = p.x - centre.x;
            out[2] = p.y - centre.y;
            next = 3;
        }
        for (slot, cone) in out[next..].iter_mut().zip(&self.cones) {
            *slot = cone.iter().map(|w| w.cone_at(p)).sum();
        }
    }
}

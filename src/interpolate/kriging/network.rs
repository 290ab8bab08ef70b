//! The wells and their heads, fit to be kriged.

use faer::Mat;
use geo::Coord;

use super::drift::Drift;
use super::error::BadParameter;
use super::error::KrigingError;
use crate::geom::tolerance;
use crate::geom::tolerance::MOST_KRIGED_WELLS;

/// The covariance counts as singular when the part of a well's variance that the wells before it
/// leave unexplained is below this part of the largest such.
pub(super) const SINGULAR: f64 = 1e-12;

/// Heads at wells.
#[derive(Debug, Clone, Copy)]
pub struct Heads<'a> {
    /// Where the wells stand, m.
    pub wells: &'a [Coord],
    /// Their heads, head unit.
    pub values: &'a [f64],
    /// The standard deviation of each head's reading, head unit, where the surface is to be that
    /// of heads without errors of reading: it then passes by the wells as far as these errors
    /// allow. `None`, or 0 for one well, holds the head for exact.
    pub sd: Option<&'a [f64]>,
}

/// Wells, heads and drift, checked.
#[derive(Debug, Clone)]
pub(super) struct Network {
    pub(super) wells: Vec<Coord>,
    pub(super) values: Vec<f64>,
    /// Variance of each reading, head unit².
    pub(super) error_variances: Vec<f64>,
    pub(super) drift: Drift,
    /// The middle of the wells, from which the plane's positions count, m.
    pub(super) centre: Coord,
    /// The drift's terms at the wells, a row for each well.
    pub(super) terms: Mat<f64>,
}

impl Network {
    /// Checks all that does not depend on the covariance.
    pub(super) fn new(heads: &Heads<'_>, drift: &Drift) -> Result<Self, KrigingError> {
        let n = heads.wells.len();
        let sds = heads.sd.map_or(n, <[f64]>::len);
        if heads.values.len() != n || sds != n {
            return Err(KrigingError::Lengths { wells: n, heads: heads.values.len(), sds });
        }
        let mut bad = drift.faults();
        let mut claim = |what: &str, well: usize, value: f64, holds: bool, bound| {
            if !(value.is_finite() && holds) {
                bad.push(BadParameter { name: format!("the {what} of well {well}"), value, bound });
            }
        };
        for (i, (p, h)) in heads.wells.iter().zip(heads.values).enumerate() {
            claim("easting", i, p.x, true, "finite, in m");
            claim("northing", i, p.y, true, "finite, in m");
            claim("head", i, *h, true, "finite, in the elevation unit");
        }
        for (i, sd) in heads.sd.unwrap_or_default().iter().enumerate() {
            claim("standard deviation", i, *sd, *sd >= 0.0, "0 or positive, in the elevation unit");
        }
        if !bad.is_empty() {
            return Err(KrigingError::Parameters(bad));
        }
        let needed = drift.terms() + 1;
        if n < needed {
            let why = "one more than the drift has terms";
            return Err(KrigingError::TooFewWells { wells: n, needed, why });
        }
        if n > MOST_KRIGED_WELLS {
            return Err(KrigingError::TooManyWells { wells: n, most: MOST_KRIGED_WELLS });
        }
        let count = n as f64;
        let centre = Coord {
            x: heads.wells.iter().map(|p| p.x).sum::<f64>() / count,
            y: heads.wells.iter().map(|p| p.y).sum::<f64>() / count,
        };
        let mut terms = Mat::zeros(n, drift.terms());
        let mut row = vec![0.0; drift.terms()];
        for (i, p) in heads.wells.iter().enumerate() {
            drift.at(*p, centre, &mut row);
            for (j, t) in row.iter().enumerate() {
                terms[(i, j)] = *t;
            }
        }
        let network = Self {
            wells: heads.wells.to_vec(),
            values: heads.values.to_vec(),
            error_variances: heads
                .sd
                .map_or_else(|| vec![0.0; n], |s| s.iter().map(|x| x * x).collect()),
            drift: drift.clone(),
            centre,
            terms,
        };
        network.distinct()?;
        Ok(network)
    }

    /// Some of its wells; the plane's positions count from the middle of all.
    pub(super) fn part(&self, wells: &[usize]) -> Self {
        let of = |values: &[f64]| wells.iter().map(|i| values[*i]).collect();
        Self {
            wells: wells.iter().map(|i| self.wells[*i]).collect(),
            values: of(&self.values),
            error_variances: of(&self.error_variances),
            drift: self.drift.clone(),
            centre: self.centre,
            terms: Mat::from_fn(wells.len(), self.terms.ncols(), |k, j| self.terms[(wells[k], j)]),
        }
    }

    /// Refuses two exact heads at one position.
    fn distinct(&self) -> Result<(), KrigingError> {
        let mut order: Vec<usize> = (0..self.wells.len()).collect();
        order.sort_by(|a, b| self.wells[*a].x.total_cmp(&self.wells[*b].x).then(a.cmp(b)));
        for (k, &i) in order.iter().enumerate() {
            for &j in &order[k + 1..] {
                if self.wells[j].x - self.wells[i].x > tolerance::SAME_POSITION_M {
                    break;
                }
                let exact = self.error_variances[i] == 0.0 && self.error_variances[j] == 0.0;
                if exact && self.distance(i, j) <= tolerance::SAME_POSITION_M {
                    return Err(KrigingError::SamePosition {
                        first: i.min(j),
                        second: i.max(j),
                        bound_m: tolerance::SAME_POSITION_M,
                    });
                }
            }
        }
        Ok(())
    }

    /// The refusal of a covariance of which a well's part is `unexplained` by those before it.
    pub(super) fn singular(&self, well: usize, unexplained: f64) -> KrigingError {
        let (nearest, distance_m) = self.nearest(well);
        KrigingError::Singular { well, nearest, distance_m, unexplained, bound: SINGULAR }
    }

    /// The distance of two wells, m.
    pub(super) fn distance(&self, i: usize, j: usize) -> f64 {
        let (a, b) = (self.wells[i], self.wells[j]);
        libm::hypot(a.x - b.x, a.y - b.y)
    }

    /// The nearest other well and its distance, m.
    pub(super) fn nearest(&self, i: usize) -> (usize, f64) {
        (0..self.wells.len())
            .filter(|j| *j != i)
            .map(|j| (j, self.distance(i, j)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((i, 0.0))
    }
}

/// The diagonal of the rectangle about some points.
pub(super) fn diagonal(points: &[Coord]) -> f64 {
    let (mut low, mut high) = (points[0], points[0]);
    for p in points {
        low = Coord { x: low.x.min(p.x), y: low.y.min(p.y) };
        high = Coord { x: high.x.max(p.x), y: high.y.max(p.y) };
    }
    libm::hypot(high.x - low.x, high.y - low.y)
}

//! A rectangle of nodes at once: wells far from it act on it smoothly.
//!
//! Over a rectangle the covariance with a well some way off is an analytic function of the
//! position and is interpolated from `ORDER x ORDER` Chebyshev nodes with an error that falls
//! geometrically with the order. The covariances of a node are then `B g`, with one matrix `B` for
//! the whole rectangle and a short vector `g`: the Lagrange polynomials at the node, and the
//! covariances with the wells near by as they are. So are the head, linear in them, and the
//! explained variance, quadratic in them: `g' (B' K⁻¹ B) g`.
//!
//! # References
//! Interpolation in Chebyshev nodes and its rate: Trefethen (2013), Approximation Theory and
//! Approximation Practice, ch. 8. Its use for covariances between distant groups of points: Fong
//! and Darve (2009), Journal of Computational Physics 228, 8712-8725 (from memory).

use faer::Mat;
use geo::Coord;

use super::linear;
use super::system::Prediction;
use super::system::System;
use crate::geom::distance;

/// Chebyshev nodes along each side.
const ORDER: usize = 12;

/// A well is near when it is closer to the rectangle's centre than this many half diagonals.
const NEAR: f64 = 1.7;

/// The error allowed: of heads over the covariance's standard deviation, of variances over its
/// variance.
const ALLOWED: f64 = 1e-8;

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub(super) enum Ask<'m> {
    /// Heads alone.
    Heads,
    /// Variances too; with `L⁻¹` where there are wells enough for [`Far::may_pay`].
    Variances(Option<&'m Mat<f64>>),
}

impl Ask<'_> {
    pub(super) const fn variances(self) -> bool {
        matches!(self, Self::Variances(_))
    }
}

/// A rectangle of nodes, prepared.
#[derive(Debug)]
pub(super) struct Far<'a> {
    kriging: &'a System,
    columns: usize,
    near: Vec<usize>,
    /// The Lagrange polynomials (rows) at the nodes' columns and rows.
    across: Mat<f64>,
    up: Mat<f64>,
    /// The head's random part for each Chebyshev node; the second axis runs faster.
    heads: Vec<f64>,
    sure: Option<Sure>,
}

/// What variances need, for Chebyshev nodes first and near wells then.
#[derive(Debug)]
struct Sure {
    /// `B' K⁻¹ B`.
    explained: Mat<f64>,
    /// `B' L⁻' Q`.
    shared: Mat<f64>,
}

impl<'a> Far<'a> {
    /// Whether there are wells enough for any rectangle to gain.
    pub(super) fn may_pay(kriging: &System) -> bool {
        kriging.dual.len() > 2 * ORDER * ORDER
    }

    /// Prepares a rectangle; `None` when that would cost more than it saves.
    ///
    /// `nodes` are row by row, `wanted` of them are needed.
    pub(super) fn new(
        kriging: &'a System,
        nodes: &[Coord],
        columns: usize,
        wanted: usize,
        ask: Ask<'_>,
    ) -> Option<Self> {
        let f = &kriging.factored;
        let (first, last) = (*nodes.first()?, *nodes.last()?);
        let centre = midway(first, last, 0.5, 0.5);
        let place = f.metric.apply(centre);
        let radius = [(0.0, 0.0), (0.0, 1.0)]
            .map(|(x, y)| distance(place, f.metric.apply(midway(first, last, x, y))))
            .into_iter()
            .fold(0.0, f64::max);
        let near: Vec<usize> = (0..f.places.len())
            .filter(|i| {
                let h = distance(place, f.places[*i]);
                h <= NEAR * radius
                    || f.structure.kink_m().is_some_and(|kink| (h - kink).abs() <= radius)
            })
            .collect();
        let size = ORDER * ORDER + near.len();
        if !Self::may_pay(kriging) || 2 * size > f.places.len() || 2 * size > wanted {
            return None;
        }
        let rows = nodes.len() / columns;
        let mut b = Mat::<f64>::zeros(f.places.len(), size);
        let mut is_far = vec![true; f.places.len()];
        for i in &near {
            is_far[*i] = false;
        }
        let parts = chebyshev().map(|t| f64::midpoint(1.0, t));
        for c in 0..ORDER * ORDER {
            let p = midway(first, last, parts[c / ORDER], parts[c % ORDER]);
            let place = f.metric.apply(p);
            for (i, slot) in b.col_as_slice_mut(c).iter_mut().enumerate() {
                if is_far[i] {
                    *slot = f.structure.at(distance(place, f.places[i]));
                }
            }
        }
        let heads =
            (0..ORDER * ORDER).map(|c| linear::dot(linear::column(&b, c), &kriging.dual)).collect();
        let sure = match ask {
            Ask::Heads => None,
            Ask::Variances(inverse) => Some(Sure::new(kriging, b, &near, inverse?)),
        };
        let (across, up) = (lagrange(columns), lagrange(rows));
        Some(Self { kriging, columns, near, across, up, heads, sure })
    }

    /// All nodes, row by row; `None` when the interpolation is not as good as allowed.
    pub(super) fn evaluate(&self, nodes: &[Coord]) -> Option<Vec<Prediction>> {
        let halves: Vec<Mat<f64>> = self.sure.as_ref().map_or_else(Vec::new, |s| {
            (0..ORDER)
                .map(|c| {
                    let part = s.explained.as_ref().subcols(c * ORDER, ORDER);
                    let mut half = Mat::zeros(part.nrows(), self.up.ncols());
                    linear::multiply(half.as_mut(), part, self.up.as_ref());
                    half
                })
                .collect()
        });
        let done: Vec<Prediction> = nodes
            .chunks_exact(self.columns)
            .enumerate()
            .flat_map(|(row, nodes)| self.row(row, nodes, &halves))
            .collect();
        self.is_good(nodes, &done).then_some(done)
    }

    /// One row of nodes.
    fn row(&self, row: usize, nodes: &[Coord], halves: &[Mat<f64>]) -> Vec<Prediction> {
        let k = self.kriging;
        let size = ORDER + self.near.len();
        let up = linear::column(&self.up, row);
        let mut g = Mat::<f64>::zeros(size, nodes.len());
        for (j, p) in nodes.iter().enumerate() {
            let place = k.factored.metric.apply(*p);
            let (far, near) = g.col_as_slice_mut(j).split_at_mut(ORDER);
            far.copy_from_slice(linear::column(&self.across, j));
            for (slot, i) in near.iter_mut().zip(&self.near) {
                *slot = k.factored.covariance(place, *i);
            }
        }
        let dual: Vec<f64> = self
            .heads
            .chunks_exact(ORDER)
            .map(|c| linear::dot(c, up))
            .chain(self.near.iter().map(|i| k.dual[*i]))
            .collect();
        let head = |j: usize| k.trend_at(nodes[j]) + linear::dot(&dual, linear::column(&g, j));
        let Some(sure) = &self.sure else {
            let variance = f64::NAN;
            return (0..nodes.len()).map(|j| Prediction { head: head(j), variance }).collect();
        };
        let (explained, shared) = sure.of_row(row, up, halves, self.near.len());
        let mut product = Mat::zeros(size, nodes.len());
        linear::multiply(product.as_mut(), explained.as_ref(), g.as_ref());
        (0..nodes.len())
            .map(|j| {
                let explained = linear::dot(linear::column(&g, j), linear::column(&product, j));
                let shared = linear::project(&shared, linear::column(&g, j));
                Prediction { head: head(j), variance: k.variance(nodes[j], explained, &shared) }
            })
            .collect()
    }

    /// Compares the corners, the middles of the sides and some places between with what they are
    /// without interpolation.
    fn is_good(&self, nodes: &[Coord], done: &[Prediction]) -> bool {
        let (n, m) = (nodes.len() / self.columns - 1, self.columns - 1);
        let parts =
            [(0, 0), (0, 4), (0, 8), (4, 0), (8, 0), (4, 8), (8, 4), (8, 8), (3, 1), (6, 5)];
        let probes = parts.map(|(y, x)| (n * y / 8) * self.columns + m * x / 8);
        let places = probes.map(|i| nodes[i]);
        let sill = self.kriging.factored.structure.sill + self.kriging.factored.nugget;
        let sure = self.sure.is_some();
        self.kriging.directly(&places, sure).iter().zip(probes).all(|(exact, i)| {
            (exact.head - done[i].head).abs() <= ALLOWED * sill.sqrt()
                && (!sure || (exact.variance - done[i].variance).abs() <= ALLOWED * sill)
        })
    }
}

impl Sure {
    /// `b` holds the covariances of the Chebyshev nodes; near wells' columns are still empty.
    fn new(kriging: &System, mut b: Mat<f64>, near: &[usize], inverse: &Mat<f64>) -> Self {
        let far = b.as_mut().subcols_mut(0, ORDER * ORDER);
        linear::solve_lower(kriging.factored.lower.as_ref(), far);
        for (c, i) in near.iter().enumerate() {
            b.col_as_slice_mut(ORDER * ORDER + c).copy_from_slice(linear::column(inverse, *i));
        }
        let q = &kriging.factored.regression.q;
        let shared = Mat::from_fn(b.ncols(), q.ncols(), |c, t| {
            linear::dot(linear::column(q, t), linear::column(&b, c))
        });
        Self { explained: linear::gram(b.as_ref()), shared }
    }

    /// The same for one row of nodes, where only the first axis is left to be interpolated along.
    ///
    /// `up` are the Lagrange polynomials at the row, `halves` the explained variances already
    /// interpolated along the second axis on their right side.
    fn of_row(
        &self,
        row: usize,
        up: &[f64],
        halves: &[Mat<f64>],
        near: usize,
    ) -> (Mat<f64>, Mat<f64>) {
        let (size, all) = (ORDER + near, ORDER * ORDER);
        let mut explained = Mat::zeros(size, size);
        for (c, half) in halves.iter().enumerate() {
            let column = linear::column(half, row);
            for (r, part) in column[..all].chunks_exact(ORDER).enumerate() {
                explained[(r, c)] = linear::dot(part, up);
            }
            for (r, x) in column[all..].iter().enumerate() {
                explained[(ORDER + r, c)] = *x;
                explained[(c, ORDER + r)] = *x;
            }
        }
        for c in 0..near {
            let from = &linear::column(&self.explained, all + c)[all..];
            explained.col_as_slice_mut(ORDER + c)[ORDER..].copy_from_slice(from);
        }
        let shared = Mat::from_fn(size, self.shared.ncols(), |c, t| {
            let of = linear::column(&self.shared, t);
            if c < ORDER {
                linear::dot(&of[c * ORDER..(c + 1) * ORDER], up)
            } else {
                of[all + c - ORDER]
            }
        });
        (explained, shared)
    }
}

/// The place at parts `x` and `y` of the way from the first to the last corner.
fn midway(first: Coord, last: Coord, x: f64, y: f64) -> Coord {
    Coord { x: first.x + x * (last.x - first.x), y: first.y + y * (last.y - first.y) }
}

/// Chebyshev nodes of the first kind on -1..1.
fn chebyshev() -> [f64; ORDER] {
    std::array::from_fn(|k| {
        libm::cos(std::f64::consts::PI * (2 * k + 1) as f64 / (2 * ORDER) as f64)
    })
}

/// The Lagrange polynomials of the Chebyshev nodes (rows) at `count` even steps from -1 to 1.
fn lagrange(count: usize) -> Mat<f64> {
    let nodes = chebyshev();
    Mat::from_fn(ORDER, count, |k, i| {
        let t = if count > 1 { 2.0 * i as f64 / (count - 1) as f64 - 1.0 } else { 0.0 };
        (0..ORDER).filter(|j| *j != k).map(|j| (t - nodes[j]) / (nodes[k] - nodes[j])).product()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interpolate::kriging::Anisotropy;
    use crate::interpolate::kriging::Covariance;
    use crate::interpolate::kriging::Drift;
    use crate::interpolate::kriging::Heads;
    use crate::interpolate::kriging::Model;
    use crate::interpolate::kriging::network::Network;
    use crate::interpolate::kriging::solved::whole;

    /// 700 wells over 1 km, and 50 x 40 nodes 3 m apart in their middle.
    fn site(model: Model, range_m: f64, drift: &Drift) -> (System, Vec<Coord>) {
        let part = |i: i32, k: f64| 1000.0 * (f64::from(i) * k).fract();
        let wells: Vec<Coord> = (0..700)
            .map(|i| Coord { x: part(i, 0.754_877_666), y: part(i, 0.569_840_291) })
            .collect();
        let values: Vec<f64> = wells
            .iter()
            .map(|p| 300.0 - 0.004 * p.x + libm::sin(p.x / 170.0) + libm::cos(p.y / 230.0))
            .collect();
        let anisotropy = Some(Anisotropy { azimuth_deg: 60.0, ratio: 0.6 });
        let covariance =
            Covariance { nugget: 0.01, anisotropy, ..Covariance::new(model, 2.0, range_m) };
        let heads = Heads { wells: &wells, values: &values, sd: None };
        let network = Network::new(&heads, drift).expect("a network");
        let kriging = whole(network, &covariance).expect("a surface");
        let nodes = (0..40)
            .flat_map(|r| (0..50).map(move |c| (r, c)))
            .map(|(r, c)| Coord { x: 410.0 + 3.0 * f64::from(c), y: 440.0 + 3.0 * f64::from(r) })
            .collect();
        (kriging, nodes)
    }

    #[test]
    fn every_model_is_interpolated_as_closely_as_allowed() {
        for (model, range_m) in [
            (Model::Linear, 400.0),
            (Model::Exponential, 400.0),
            // Its kink crosses few of the wells.
            (Model::Spherical, 900.0),
            (Model::Gaussian, 250.0),
            (Model::Matern32, 400.0),
            (Model::Matern52, 400.0),
        ] {
            for plane in [false, true] {
                let (kriging, nodes) = site(model, range_m, &Drift { plane, cones: Vec::new() });
                let inverse = kriging.factored.inverse();
                for ask in [Ask::Variances(Some(&inverse)), Ask::Heads] {
                    let far = Far::new(&kriging, &nodes, 50, nodes.len(), ask).expect("it pays");
                    let Some(done) = far.evaluate(&nodes) else {
                        panic!("{model:?}, plane {plane}: not as good as allowed");
                    };
                    let exact = kriging.directly(&nodes, ask.variances());
                    for (e, d) in exact.iter().zip(&done) {
                        let off = (e.head - d.head).abs();
                        assert!(off <= 2.0 * ALLOWED * 2f64.sqrt(), "{model:?}: {off:e}");
                        let off = (e.variance - d.variance).abs();
                        assert!(
                            !ask.variances() || off <= 2.0 * ALLOWED * 2.0,
                            "{model:?}: {off:e}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn what_is_not_as_good_as_allowed_is_refused() {
        let (kriging, nodes) = site(Model::Exponential, 400.0, &Drift::default());
        let mut far = Far::new(&kriging, &nodes, 50, nodes.len(), Ask::Heads).expect("it pays");
        far.heads[ORDER / 2] += 1e-6;
        assert!(far.evaluate(&nodes).is_none(), "a wrong coefficient is noticed");
    }
}

//! A smooth random field as a sum of plane waves.

use geo::Coord;

use super::types::Lattice;
use crate::interpolate::kriging::{Covariance, Model};
use crate::uncertainty::ensemble::Normal;

/// Waves of one field. Their directions are spread evenly; given wave numbers the field is normal, whatever
/// their count.
const WAVES: usize = 96;

/// A random field: `sum of a cos(w . x) + b sin(w . x)`.
///
/// # References
/// The randomization method, as the manual of the crate gstools-core 1.1.0 writes it. The spectrum of a Matern
/// covariance: Stein (1999), Interpolation of Spatial Data, p. 50, as the manual of the R package spectralGP 1.3.4
/// writes it; in the plane it is that of Student's distribution.
#[derive(Debug)]
pub(super) struct Waves {
    all: Vec<Wave>,
}

#[derive(Debug, Clone, Copy)]
struct Wave {
    /// Radians for each metre east and north.
    number: Coord,
    cos: f64,
    sin: f64,
}

impl Waves {
    /// A field with the smooth part of a covariance.
    pub(super) fn draw(covariance: &Covariance, normal: &mut Normal) -> Self {
        let shape = covariance.shape();
        let amplitude = (shape.sill() / WAVES as f64).sqrt();
        // The square of a normal deviate for each degree of freedom of the spectrum.
        let freedom = match shape.model() {
            Model::Matern32 => Some(3),
            Model::Matern52 => Some(5),
            _ => None,
        };
        let turn = normal.share();
        let all = (0..WAVES)
            .map(|k| {
                let radius = {
                    let (u, v) = (normal.next(), normal.next());
                    libm::hypot(u, v)
                };
                let number = match freedom {
                    Some(n) => {
                        let square: f64 = (0..n).map(|_| normal.next()).map(|z| z * z).sum();
                        shape.scale() * radius / square.sqrt()
                    }
                    None => (2.0 * shape.scale()).sqrt() * radius,
                };
                let angle = std::f64::consts::PI * (k as f64 + turn) / WAVES as f64;
                let (sin, cos) = libm::sincos(angle);
                Wave {
                    number: Coord { x: number * cos, y: number * sin },
                    cos: amplitude * normal.next(),
                    sin: amplitude * normal.next(),
                }
            })
            .collect();
        Self { all }
    }

    /// The field at a place.
    pub(super) fn at(&self, p: Coord) -> f64 {
        let of = |w: &Wave| {
            let (sin, cos) = libm::sincos(w.number.x * p.x + w.number.y * p.y);
            w.cos * cos + w.sin * sin
        };
        self.all.iter().map(of).sum()
    }

    /// Adds the field to the nodes of a lattice.
    pub(super) fn add_to(&self, lattice: Lattice, heads: &mut [f64]) {
        let Lattice { corner, cell_m, columns, .. } = lattice;
        let (mut cosines, mut sines) = (vec![0.0; columns], vec![0.0; columns]);
        for w in &self.all {
            let along = turning(w.number.x * corner.x, w.number.x * cell_m);
            for ((c, s), (cos, sin)) in cosines.iter_mut().zip(&mut sines).zip(along) {
                (*c, *s) = (cos, sin);
            }
            let rows = turning(w.number.y * corner.y, w.number.y * cell_m);
            for (heads, (cos, sin)) in heads.chunks_mut(columns).zip(rows) {
                let (even, odd) = (w.cos * cos + w.sin * sin, w.sin * cos - w.cos * sin);
                for ((head, c), s) in heads.iter_mut().zip(&cosines).zip(&sines) {
                    *head += even * c + odd * s;
                }
            }
        }
    }
}

/// Cosine and sine of an angle that grows by the same step: turned by it each time, which over the hundred nodes of a
/// row is as exact as calling the functions and takes a fraction of the time.
fn turning(from: f64, step: f64) -> impl Iterator<Item = (f64, f64)> {
    let (step_sin, step_cos) = libm::sincos(step);
    let (sin, cos) = libm::sincos(from);
    std::iter::successors(Some((cos, sin)), move |(cos, sin)| {
        Some((cos * step_cos - sin * step_sin, sin * step_cos + cos * step_sin))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The covariance of many fields is the one that was asked for, at every distance.
    #[test]
    fn fields_have_their_covariance() {
        for model in [Model::Matern32, Model::Matern52, Model::Gaussian] {
            let covariance = Covariance::new(model, 2.0, 120.0);
            let shape = covariance.shape();
            let mut sums = [0.0; 4];
            let distances = [0.0, 20.0, 50.0, 100.0];
            let count = 4000;
            for k in 0..count {
                let waves = Waves::draw(&covariance, &mut Normal::new(3, k, 9));
                let at = waves.at(Coord { x: 11.0, y: -4.0 });
                for (sum, d) in sums.iter_mut().zip(distances) {
                    *sum += at * waves.at(Coord { x: 11.0 + 0.6 * d, y: -4.0 + 0.8 * d });
                }
            }
            for (sum, d) in sums.iter().zip(distances) {
                let (found, asked) =
                    (sum / f64::from(u32::try_from(count).expect("few")), shape.at(d));
                // Five standard errors of a covariance of normal fields.
                assert!(
                    (found - asked).abs() < 5.0 * 2.0 * (2.0 / 4000.0_f64).sqrt(),
                    "{model:?} {d}: {found} for {asked}"
                );
            }
        }
    }

    #[test]
    fn nodes_have_the_field_of_their_places() {
        let waves =
            Waves::draw(&Covariance::new(Model::Matern32, 1.0, 80.0), &mut Normal::new(3, 1, 9));
        let lattice =
            Lattice { corner: Coord { x: -30.0, y: 12.0 }, cell_m: 7.0, columns: 5, rows: 4 };
        let mut heads = vec![0.0; 20];
        waves.add_to(lattice, &mut heads);
        for (k, head) in heads.iter().enumerate() {
            assert!((head - waves.at(lattice.place(k))).abs() < 1e-9);
        }
    }
}

//! Surfaces that agree with the readings: what may be between the wells, drawn at random.
//!
//! Each is a conditional simulation: a plane, the cones of pumped wells and a smooth random part whose
//! covariance is drawn from those the wells agree with ([`BetweenWells`]), all fitted to the heads with a new
//! random error of each reading. Equations, sources and proven shares: `docs/toward.md`.

mod conditioned;
mod types;
mod waves;

use geo::Coord;
use rayon::prelude::*;

use super::between::{BetweenWells, KnownHeads};
use super::ensemble::Normal;
use crate::interpolate::kriging::PumpedWell;
use crate::progress;
use crate::read::EnsembleOptions;
use conditioned::Nodes;
pub use types::{Drawn, Lattice};
use waves::Waves;

/// What may be between some wells, as far as they show it.
#[derive(Debug)]
pub struct Simulation<'a> {
    wells: KnownHeads<'a>,
    between: BetweenWells,
    cones: &'a [Vec<PumpedWell>],
    lattice: Lattice,
}

impl<'a> Simulation<'a> {
    /// `None` where the wells show nothing of what is between them.
    ///
    /// # Units
    /// - `wells`: m; `spacing_m`: the usual spacing of the wells, m; `cones`: those whose drift is part of the
    ///   heads, and their factors as found from the heads, m for one unit of rate
    #[must_use]
    pub fn new(
        wells: KnownHeads<'a>,
        (spacing_m, between): (f64, Option<&BetweenWells>),
        (cones, factors): (&'a [Vec<PumpedWell>], &[f64]),
        lattice: Lattice,
    ) -> Option<Self> {
        let between = if cones.is_empty() {
            between.cloned().or_else(|| BetweenWells::of_even_heads(wells, spacing_m))?
        } else {
            // The random part is what the cones leave of the heads.
            let depth = |p: Coord| -> f64 {
                let of = |(cone, factor): (&Vec<PumpedWell>, &f64)| {
                    factor * cone.iter().map(|w| w.cone_at(p)).sum::<f64>()
                };
                cones.iter().zip(factors).map(of).sum()
            };
            let places = wells.places.iter().zip(wells.heads);
            let rest: Vec<f64> = places.map(|(p, h)| h - depth(*p)).collect();
            BetweenWells::of_even_heads(KnownHeads { heads: &rest, ..wells }, spacing_m)?
        };
        Some(Self { wells, between, cones, lattice })
    }

    /// What `f` makes of each of the surfaces, in their order; `None` where the wells do not determine the drift.
    ///
    /// Each surface has a random stream of its own, so that neither the count of threads nor that of surfaces
    /// changes any of them.
    ///
    /// # References
    /// Conditioning by kriging: Hadavand and Deutsch (2020), in Geostatistics Lessons. Drawing the covariance,
    /// too: Handcock and Stein (1993), Technometrics 35(4), 403-410.
    pub fn map<T: Send>(
        &self,
        options: EnsembleOptions,
        f: impl Fn(Drawn) -> T + Sync,
    ) -> Option<Vec<T>> {
        let steps = progress::steps(options.members);
        let mut all = Vec::with_capacity(options.members);
        let (mut below, mut first) = (0.0, 0);
        let count = self.between.members.len();
        for (m, member) in self.between.members.iter().enumerate() {
            below += member.weight;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "from 0 to the count of surfaces"
            )]
            let until = if m + 1 == count {
                options.members
            } else {
                ((below * options.members as f64).round() as usize).clamp(first, options.members)
            };
            if first == until {
                continue;
            }
            let nodes = Nodes::new(self.wells, member.covariance, self.cones, self.lattice);
            let conditioned = nodes.of(nodes.all().collect())?;
            let one = |k: usize| {
                let mut normal = Normal::new(options.seed, k as u64, SURFACES);
                let waves = Waves::draw(&member.covariance, &mut normal);
                let made = f(conditioned.draw(&waves, &mut normal));
                steps.done();
                made
            };
            all.extend((first..until).into_par_iter().map(one).collect::<Vec<T>>());
            first = until;
        }
        Some(all)
    }

    /// The surface that is expected from all wells, and from all but each of them, with the covariance that is most
    /// probable; `None` where the wells do not determine the drift, and within for a well that they need for it.
    #[must_use]
    pub fn expected_without_each(&self) -> Option<(Drawn, Vec<Option<Drawn>>)> {
        let covariance = self.between.most_probable().members.first()?.covariance;
        let nodes = Nodes::new(self.wells, covariance, self.cones, self.lattice);
        Some((nodes.expected()?, nodes.without_each()))
    }
}

/// The random streams of surfaces, apart from those of the readings alone.
const SURFACES: u64 = 1;

#[cfg(test)]
mod tests {
    use super::*;

    /// Wells of a plane with a bend: every drawn surface passes the wells within their errors, and between
    /// the wells the surfaces spread as kriging's variance says.
    #[test]
    fn surfaces_pass_the_wells_and_spread_between_them() {
        let places: Vec<Coord> = (0..16_u32)
            .map(|i| Coord {
                x: 100.0 * f64::from(i % 4),
                y: 100.0 * f64::from(i / 4) + 7.0 * f64::from(i % 3),
            })
            .collect();
        let heads: Vec<f64> = places
            .iter()
            .map(|p| 50.0 - 0.004 * p.x + 0.4 * libm::sin(p.x / 60.0) * libm::cos(p.y / 80.0))
            .collect();
        let sds = vec![1e-4; 16];
        let wells = KnownHeads { places: &places, heads: &heads, sds: &sds };
        let between = BetweenWells::of(wells, 100.0).expect("16 wells");
        let lattice = Lattice { corner: places[0], cell_m: 25.0, columns: 13, rows: 13 };
        let options = EnsembleOptions { seed: 5, members: 600 };
        let simulation = Simulation::new(wells, (100.0, Some(&between)), (&[], &[]), lattice);
        let all = simulation.and_then(|s| s.map(options, |d| d.heads)).expect("surfaces");
        assert_eq!(all.len(), 600);
        let at = |row: usize, column: usize| -> (f64, f64) {
            let values: Vec<f64> = all.iter().map(|h| h[row * 13 + column]).collect();
            let mean = values.iter().sum::<f64>() / 600.0;
            (mean, (values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / 599.0).sqrt())
        };
        // A well that is a node.
        let (mean, sd) = at(0, 0);
        assert!((mean - heads[0]).abs() < 0.02 && sd < 0.05, "{mean} {sd} {}", heads[0]);
        // The middle of four wells: the mean square about a head there, by the sums over all covariances.
        let middle = lattice.node(6, 6);
        let (mean, sd) = at(6, 6);
        let square = between.mean_square_about(wells, middle, mean).expect("wells around");
        assert!((sd * sd / square - 1.0).abs() < 0.25, "{} {square}", sd * sd);
    }
}

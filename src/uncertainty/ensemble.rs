//! Many sets of heads that could have been read: those of the round with random errors of their sizes.

use chacha20::ChaCha8Rng;
use chacha20::rand_core::{Rng, SeedableRng};
use geo::Coord;
use rayon::prelude::*;
use serde::Serialize;

use crate::geom::{Slope, SlopeOfHeads};
use crate::progress;
use crate::read::EnsembleOptions;
use crate::units::Azimuth;

/// Triangles worked on together: their heads fit into the fastest memory.
const TOGETHER: usize = 256;

/// Realizations of the heads: those that were read, with errors drawn at random.
#[derive(Debug, Clone)]
pub struct Ensemble {
    members: Vec<Vec<f64>>,
}

impl Ensemble {
    /// Draws the realizations: every head gets an independent normal error of its standard deviation.
    ///
    /// Each realization has a random stream of its own (`ChaCha` with 8 rounds; seed and number of the
    /// realization choose the stream), so that neither the count of threads nor the count of realizations
    /// changes any of them.
    ///
    /// # Units
    /// - `heads`, `sds`: any one unit, one for each well in canonical order
    ///
    /// # Panics
    /// When the two slices differ in length.
    ///
    /// # References
    /// Normal deviates: Box and Muller (1958), Annals of Mathematical Statistics 29(2), 610-611.
    #[must_use]
    pub fn draw(heads: &[f64], sds: &[f64], options: EnsembleOptions) -> Self {
        assert_eq!(heads.len(), sds.len(), "this is a bug in headfall: not one sd for each head");
        let members = (0..options.members as u64)
            .into_par_iter()
            .map(|member| {
                let mut normal = Normal::new(options.seed, member, READINGS);
                heads.iter().zip(sds).map(|(h, sd)| h + sd * normal.next()).collect()
            })
            .collect();
        Self { members }
    }

    /// The simulated heads, one list for each round.
    #[must_use]
    pub fn members(&self) -> &[Vec<f64>] {
        &self.members
    }

    /// What `f` makes of the heads of each realization, in the order of the realizations.
    pub fn map<T: Send>(&self, f: impl Fn(&[f64]) -> T + Sync) -> Vec<T> {
        let steps = progress::steps(self.members.len());
        let each = |heads: &Vec<f64>| {
            let made = f(heads);
            steps.done();
            made
        };
        self.members.par_iter().map(each).collect()
    }

    /// In how many of the realizations something holds, such as that a flow path reaches a receptor.
    pub fn share(&self, holds: impl Fn(&[f64]) -> bool + Sync) -> Share {
        let count = self.members.par_iter().filter(|heads| holds(heads)).count();
        Share::new(count, self.members.len())
    }

    /// How far the direction of flow of each triangle spreads over the realizations, in the triangles'
    /// order. At a node of the linear surface it is that of the triangle around it.
    ///
    /// # Units
    /// - `points`: m
    ///
    /// # Panics
    /// When an index of a triangle is not that of a point.
    #[must_use]
    pub fn triangle_spreads(
        &self,
        points: &[Coord],
        triangles: &[[usize; 3]],
    ) -> Vec<DirectionSpread> {
        let of_some = |triangles: &[[usize; 3]]| {
            let slopes: Vec<_> =
                triangles.iter().map(|t| SlopeOfHeads::new(t.map(|i| points[i]))).collect();
            let mut tallies = vec![Tally::default(); triangles.len()];
            // Round by round: the heads of one round lie together.
            for heads in &self.members {
                for (i, t) in triangles.iter().enumerate() {
                    if let Some(slope) = &slopes[i] {
                        tallies[i].add(slope.of(t.map(|i| heads[i])));
                    }
                }
            }
            tallies.into_iter().map(Tally::spread)
        };
        triangles.par_chunks(TOGETHER).flat_map_iter(of_some).collect()
    }
}

/// A share of the realizations, with what the finite count of realizations leaves open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Share {
    /// Realizations in which it holds.
    pub count: usize,
    /// All realizations.
    pub of: usize,
    /// The share, 0 to 1.
    pub share: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end of its 95 % interval.
    pub high: f64,
}

impl Share {
    /// A share and its 95 % interval; of no realizations, 0 to 1.
    ///
    /// # References
    /// Wilson (1927), Journal of the American Statistical Association 22, 209-212.
    #[must_use]
    pub fn new(count: usize, of: usize) -> Self {
        if of == 0 {
            return Self { count, of, share: 0.0, low: 0.0, high: 1.0 };
        }
        let (n, z) = (of as f64, super::confidence::Confidence::known().sds);
        let share = count as f64 / n;
        let shrunk = 1.0 + z * z / n;
        let centre = (share + z * z / (2.0 * n)) / shrunk;
        let half = z / shrunk * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
        let low = if count == 0 { 0.0 } else { (centre - half).max(0.0) };
        let high = if count == of { 1.0 } else { (centre + half).min(1.0) };
        Self { count, of, share, low, high }
    }
}

/// How far directions of flow spread.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DirectionSpread {
    /// Their mean direction; `None` when they cancel out.
    pub mean: Option<Azimuth>,
    /// Length of the mean of the unit vectors: 1 when all agree, 0 when they cancel out.
    pub agreement: f64,
    /// Circular standard deviation, degrees: `sqrt(-2 ln agreement)`. For narrow spreads the usual
    /// standard deviation; beyond about 80 degrees the direction is open.
    pub sd_deg: f64,
}

/// The spread of the directions of flow down some slopes. Level ones have no direction and count as
/// disagreement.
///
/// # References
/// Mardia and Jupp (2000), Directional Statistics, 2.3 (from memory).
#[must_use]
pub fn direction_spread(slopes: impl Iterator<Item = Slope>) -> DirectionSpread {
    let mut tally = Tally::default();
    slopes.for_each(|slope| tally.add(slope));
    tally.spread()
}

/// The sum of unit vectors down slopes.
#[derive(Clone, Default)]
struct Tally {
    count: f64,
    east: f64,
    north: f64,
}

impl Tally {
    fn add(&mut self, slope: Slope) {
        self.count += 1.0;
        // Slopes are nowhere near the ends of what numbers can hold: the plain root will do, and it
        // is taken for every triangle and round.
        let steepness = (slope.east * slope.east + slope.north * slope.north).sqrt();
        if steepness > 0.0 {
            self.east -= slope.east / steepness;
            self.north -= slope.north / steepness;
        }
    }

    fn spread(self) -> DirectionSpread {
        let Self { count, east, north } = self;
        let agreement = if count > 0.0 { (libm::hypot(east, north) / count).min(1.0) } else { 0.0 };
        DirectionSpread {
            mean: Azimuth::of_vector(east, north),
            agreement,
            sd_deg: (-2.0 * libm::log(agreement.max(f64::MIN_POSITIVE))).sqrt().to_degrees(),
        }
    }
}

/// The random streams of the readings' errors.
const READINGS: u64 = 0;

/// A stream of standard normal deviates.
pub(super) struct Normal {
    uniform: ChaCha8Rng,
    kept: Option<f64>,
}

impl Normal {
    /// One of the streams of a kind.
    pub(super) fn new(seed: u64, stream: u64, kind: u64) -> Self {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        key[8..16].copy_from_slice(&kind.to_le_bytes());
        let mut uniform = ChaCha8Rng::from_seed(key);
        uniform.set_stream(stream);
        Self { uniform, kept: None }
    }

    /// The next of them.
    pub(super) fn next(&mut self) -> f64 {
        if let Some(kept) = self.kept.take() {
            return kept;
        }
        let radius = (-2.0 * libm::log(self.share())).sqrt();
        let angle = 2.0 * std::f64::consts::PI * self.share();
        let (sin, cos) = libm::sincos(angle);
        self.kept = Some(radius * sin);
        radius * cos
    }

    /// Uniform between 0 and 1, 0 left out.
    pub(super) fn share(&mut self) -> f64 {
        const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
        let steps = ((self.uniform.next_u64() >> 11) + 1) as f64;
        steps * STEP
    }
}

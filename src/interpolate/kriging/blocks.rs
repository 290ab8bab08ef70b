//! The likelihood of many wells in blocks: each block's heads given those of some wells before it.
//!
//! The density of all heads is the product of the densities of each block given all blocks before
//! it. Wells near a block screen off those farther away, so that the nearest of the wells before it
//! stand for all of them. The first block is spread over the whole site: it carries what reaches
//! over long distances. All that is left out is information: what is maximised is a sum of proper
//! conditional densities.
//!
//! # References
//! Vecchia (1988), Journal of the Royal Statistical Society B 50, 297-312; blocks, and restricted
//! likelihood: Stein, Chi and Welty (2004), same journal 66, 275-296; the order: Guinness (2018),
//! Technometrics 60, 415-429 (all from memory).

use faer::Mat;
use geo::Coord;
use rayon::prelude::*;

use super::covariance::{Covariance, Model};
use super::error::KrigingError;
use super::factored::{Pivots, fill, log_determinant};
use super::linear;
use super::network::Network;
use super::network::diagonal;
use super::regression::Regression;
use crate::interpolate::cells::{cells, nearest, spread_out};

/// Wells of the first block, which are spread over the site.
const FIRST: usize = 200;

/// The most wells of each other block, and so many before it stand for all.
pub(in crate::interpolate) const BLOCK_WELLS: usize = 100;
const GIVEN: usize = 120;

/// The same for the gaussian covariance, of which near wells screen off little.
const GIVEN_SMOOTH: usize = 300;

/// Blocks, the first with them, that are looked at in a first search.
const ROUGHLY: usize = 5;

/// Wells in blocks.
#[derive(Debug, Clone)]
pub(super) struct Blocks(Vec<Block>);

/// A block.
#[derive(Debug, Clone)]
struct Block {
    /// Wells before it, and then its own.
    wells: Vec<usize>,
    /// How many are before it.
    given: usize,
}

/// What the likelihood is made of.
#[derive(Debug)]
pub(super) struct Likely {
    /// `log |K| + log |F' K⁻¹ F| - log |F' F|`.
    pub(super) log_determinants: f64,
    /// Heads and drift, made independent.
    pub(super) regression: Regression,
}

impl Blocks {
    pub(super) fn new(wells: &[Coord], model: Model) -> Self {
        let most = if model == Model::Gaussian { GIVEN_SMOOTH } else { GIVEN };
        let mut first = spread_out(wells, FIRST);
        first.sort_unstable();
        let rest: Vec<usize> =
            (0..wells.len()).filter(|i| first.binary_search(i).is_err()).collect();
        let places: Vec<Coord> = rest.iter().map(|i| wells[*i]).collect();
        let cells = cells(&places, BLOCK_WELLS);
        let middles: Vec<Coord> = cells.iter().map(|c| c.bounds.center()).collect();
        let mut before = first.clone();
        let mut blocks = vec![Block { wells: first, given: 0 }];
        for cell in spread_out(&middles, cells.len()).into_iter().map(|k| &cells[k]) {
            let own: Vec<usize> = cell.own.iter().map(|i| rest[*i]).collect();
            let mut near = nearest(wells, before.iter().copied(), &cell.bounds, most);
            near.sort_unstable();
            let given = near.len();
            near.extend(&own);
            blocks.push(Block { wells: near, given });
            before.extend(own);
        }
        Self(blocks)
    }

    /// The first few blocks, which lie over the whole site; `None` where there are no more.
    pub(super) fn roughly(&self) -> Option<Self> {
        (self.0.len() > ROUGHLY).then(|| Self(self.0[..ROUGHLY].to_vec()))
    }

    /// Heads and drift of a network, made independent under a covariance.
    ///
    /// # Errors
    /// [`KrigingError::Singular`] and [`KrigingError::DriftNotEstimable`].
    pub(super) fn likely(
        &self,
        network: &Network,
        covariance: &Covariance,
        log_terms: f64,
    ) -> Result<Likely, KrigingError> {
        let metric = covariance.metric();
        let places: Vec<Coord> = network.wells.iter().map(|p| metric.apply(*p)).collect();
        let shape = covariance.structure(diagonal(&places));
        let factored = |block: &Block| {
            let each = |distances: &mut [f64]| shape.at_each(distances);
            let mut lower = fill(network, &places, covariance.nugget, &block.wells, each);
            linear::cholesky(&mut lower).map_err(|k| block.wells[k])?;
            let independent = |value: &dyn Fn(usize) -> f64| {
                let mut x: Vec<f64> = block.wells.iter().map(|i| value(*i)).collect();
                linear::solve_lower_one(&lower, &mut x);
                x.split_off(block.given)
            };
            let terms: Vec<Vec<f64>> = (0..network.terms.ncols())
                .map(|j| independent(&|i| network.terms[(i, j)]))
                .collect();
            let heads = independent(&|i| network.values[i]);
            let pivots: Vec<f64> =
                (block.given..block.wells.len()).map(|k| lower[(k, k)]).collect();
            Ok((terms, heads, pivots))
        };
        let done: Vec<Result<_, usize>> = self.0.par_iter().map(factored).collect();
        // Rows in the order of the wells, whatever that of the blocks.
        let own = |block: &Block| block.wells[block.given..].to_vec();
        let mut rows: Vec<usize> = self.0.iter().flat_map(own).collect();
        rows.sort_unstable();
        let mut terms = Mat::<f64>::zeros(rows.len(), network.terms.ncols());
        let mut heads = vec![0.0; rows.len()];
        let mut pivots = Pivots::default();
        for (block, done) in self.0.iter().zip(done) {
            let (of_terms, of_heads, roots) = done.map_err(|well| network.singular(well, 0.0))?;
            for (k, well) in block.wells[block.given..].iter().enumerate() {
                let row = rows.binary_search(well).unwrap_or_default();
                heads[row] = of_heads[k];
                for (j, term) in of_terms.iter().enumerate() {
                    terms[(row, j)] = term[k];
                }
                pivots.add(*well, roots[k]);
            }
        }
        pivots.sound(network)?;
        let regression = Regression::new(network, terms, heads)?;
        let log_determinants = pivots.log_determinant + log_determinant(&regression.r) - log_terms;
        Ok(Likely { log_determinants, regression })
    }
}

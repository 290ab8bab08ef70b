//! How likely the heads are under a covariance.

use crate::geom::tolerance::WHOLE_LIKELIHOOD_WELLS;
use crate::interpolate::kriging::blocks::{Blocks, Likely};
use crate::interpolate::kriging::covariance::{Covariance, Model};
use crate::interpolate::kriging::error::KrigingError;
use crate::interpolate::kriging::factored::{Factored, log_determinant_of_terms};
use crate::interpolate::kriging::network::Network;

/// The restricted likelihood of a network's heads.
#[derive(Debug)]
pub(super) struct Likelihood<'a> {
    pub(super) network: &'a Network,
    pub(super) log_terms: f64,
    /// `None` where all heads are looked at at once.
    pub(super) blocks: Option<Blocks>,
}

impl<'a> Likelihood<'a> {
    /// # Errors
    /// [`KrigingError::DriftNotEstimable`].
    pub(super) fn new(network: &'a Network, model: Model) -> Result<Self, KrigingError> {
        let log_terms = log_determinant_of_terms(network)?;
        let many = network.wells.len() > WHOLE_LIKELIHOOD_WELLS;
        let blocks = many.then(|| Blocks::new(&network.wells, model));
        Ok(Self { network, log_terms, blocks })
    }

    /// That of some of the wells, to look for a start; `None` where all is quick enough.
    pub(super) fn roughly(&self) -> Option<Self> {
        let blocks = self.blocks.as_ref()?.roughly();
        Some(Self { network: self.network, log_terms: self.log_terms, blocks: Some(blocks?) })
    }

    pub(super) const fn is_in_blocks(&self) -> bool {
        self.blocks.is_some()
    }

    /// # Errors
    /// Those of [`Factored::new`].
    pub(super) fn at(&self, covariance: &Covariance) -> Result<Likely, KrigingError> {
        if let Some(blocks) = &self.blocks {
            return blocks.likely(self.network, covariance, self.log_terms);
        }
        let factored = Factored::new(self.network, covariance)?;
        let log_determinants = factored.log_determinants(self.log_terms);
        Ok(Likely { log_determinants, regression: factored.regression })
    }

    /// `1/2 [(n - p) log 2 pi + log |K| + log |F' K⁻¹ F| - log |F' F| + (h - F b)' K⁻¹ (h - F b)]`.
    ///
    /// # Errors
    /// Those of [`Factored::new`].
    pub(super) fn minus_log(&self, covariance: &Covariance) -> Result<f64, KrigingError> {
        let likely = self.at(covariance)?;
        let regression = &likely.regression;
        let constant = regression.contrasts() as f64 * libm::log(2.0 * std::f64::consts::PI);
        Ok(0.5 * (constant + likely.log_determinants + regression.sum_of_squares()))
    }
}

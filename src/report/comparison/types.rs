//! Methods compared, each well left out in turn.

use std::ops::Deref;
use std::sync::Arc;

use crate::check::ControlSet;
use crate::cross_validate::Comparison;
use crate::diag::Diagnostic;
use crate::flow::SiteFlow;
use crate::read::{InputFile, Round, Site};
use crate::units::HeightUnits;

/// Every method tried on one round, each well left out in turn.
#[derive(Debug)]
pub struct Compared {
    /// The site.
    pub site: Arc<Site>,
    /// The round.
    pub round: Arc<Round>,
    /// The control points and the account of every reading.
    pub control: ControlSet,
    /// Gradients and directions of all wells together.
    pub flow: SiteFlow,
    /// The standard deviation of each head, elevation unit.
    pub sds: Vec<f64>,
    /// What each method says of each well from the others.
    pub comparison: Comparison,
}

/// Everything one comparison of methods holds.
#[derive(Debug, Clone, Copy)]
pub struct ComparisonResults<'a> {
    /// What was compared.
    pub compared: &'a Compared,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
}

impl Deref for ComparisonResults<'_> {
    type Target = Compared;

    fn deref(&self) -> &Compared {
        self.compared
    }
}

impl<'a> ComparisonResults<'a> {
    /// Every file read.
    pub fn inputs(&self) -> impl Iterator<Item = &'a InputFile> + use<'a> {
        self.compared.site.inputs.iter().chain(&self.compared.round.inputs)
    }

    /// The units of its heights.
    pub(crate) fn units(&self) -> HeightUnits {
        let elevation = self.compared.control.elevation_unit();
        HeightUnits { elevation, depth: elevation }
    }
}

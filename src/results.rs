//! Everything one map holds.

use crate::check::ControlSet;
use crate::compare::Comparison;
use crate::contour::Contours;
use crate::diag::Diagnostic;
use crate::flow::SiteFlow;
use crate::interpolate::Surface;
use crate::read::SiteFile;
use crate::triangulate::Mesh;
use crate::uncertainty::SiteUncertainty;

/// Everything one map holds: what the drawing and the writing of files begin with.
#[derive(Debug, Clone, Copy)]
pub struct Results<'a> {
    /// What the files say.
    pub site: &'a SiteFile,
    /// The control points and the account of every reading.
    pub control: &'a ControlSet,
    /// The triangles.
    pub mesh: &'a Mesh,
    /// The heads at the nodes, and how they were worked out.
    pub surface: &'a Surface,
    /// The lines of equal head.
    pub contours: &'a Contours,
    /// Gradients and directions.
    pub flow: &'a SiteFlow,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
    /// How sure all of it is.
    pub uncertainty: &'a SiteUncertainty,
}

/// Everything one comparison of methods holds.
#[derive(Debug, Clone, Copy)]
pub struct ComparisonResults<'a> {
    /// What the files say.
    pub site: &'a SiteFile,
    /// The control points and the account of every reading.
    pub control: &'a ControlSet,
    /// Gradients and directions of all wells together.
    pub flow: &'a SiteFlow,
    /// The standard deviation of each head, elevation unit.
    pub sds: &'a [f64],
    /// What each method says of each well from the others.
    pub comparison: &'a Comparison,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
}

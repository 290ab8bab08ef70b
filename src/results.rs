//! Everything one map holds.

use crate::check::ControlSet;
use crate::contour::Contours;
use crate::diag::Diagnostic;
use crate::flow::SiteFlow;
use crate::interpolate::Surface;
use crate::read::SiteFile;
use crate::triangulate::Mesh;
use crate::uncertainty::SiteUncertainty;

/// The part of a map that its rasters show. It is known before contours and uncertainty are, so that
/// rasters, which take the longest, can be written while those are worked out.
#[derive(Debug, Clone, Copy)]
pub struct Fields<'a> {
    /// What the files say.
    pub site: &'a SiteFile,
    /// The control points and the account of every reading.
    pub control: &'a ControlSet,
    /// The heads at the nodes, and how they were worked out.
    pub surface: &'a Surface,
}

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

impl<'a> Results<'a> {
    /// What the map's rasters show.
    #[must_use]
    pub const fn fields(&self) -> Fields<'a> {
        Fields { site: self.site, control: self.control, surface: self.surface }
    }
}

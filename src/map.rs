//! A map: everything that is computed of one round of a site.

use std::ops::{Deref, DerefMut};
use std::sync::Arc;

use crate::check::ControlSet;
use crate::contour::Contours;
use crate::flow::SiteFlow;
use crate::interpolate::{KrigingReport, Surface};
use crate::read::{Round, Site};
use crate::triangulate::Mesh;
use crate::uncertainty::SiteUncertainty;

/// The heads of a round with the surface through them: what contours are drawn on.
#[derive(Debug, Clone)]
pub struct Surfaced {
    /// The site; its other rounds share it.
    pub site: Arc<Site>,
    /// The round.
    pub round: Arc<Round>,
    /// The control points and the account of every reading.
    pub control: ControlSet,
    /// Their triangulation.
    pub mesh: Mesh,
    /// Gradients and directions.
    pub flow: SiteFlow,
    /// The surface at nodes.
    pub surface: Surface,
    /// Where the values of the control points are not the heads of the round: what they are.
    pub across: Option<AcrossRounds>,
}

/// What is worked out at each well from several rounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Worked {
    /// The head of the later of two rounds less that of the earlier.
    Change,
    /// The highest head.
    Highest,
    /// The lowest head.
    Lowest,
    /// The mean head.
    Mean,
}

/// A map whose values were worked out from several rounds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AcrossRounds {
    /// What they are.
    pub worked: Worked,
    /// The rounds, the earliest first.
    pub rounds: Vec<String>,
    /// What the rounds are together: `2025`, or `2025-04 to 2025-10`.
    pub period: String,
    /// The wells of the register that were read in one of them and have no value, with the reason.
    pub without: Vec<(usize, String)>,
}

impl Surfaced {
    /// What a kriged surface of heads rests on; `None` of other surfaces, and where squares of the saturated
    /// thickness were kriged, whose plane and cones are not those of heads.
    pub(crate) fn kriging_of_heads(&self) -> Option<&KrigingReport> {
        let squares = self.site.settings.surface.unconfined_base.is_some();
        self.surface.kriging.as_ref().filter(|_| !squares)
    }
}

/// A map, computed and not yet written.
#[derive(Debug, Clone)]
pub struct Map {
    /// The heads and the surface through them.
    pub surfaced: Arc<Surfaced>,
    /// Its contours.
    pub contours: Contours,
    /// How sure all of it is.
    pub uncertainty: SiteUncertainty,
}

impl Deref for Map {
    type Target = Surfaced;

    fn deref(&self) -> &Surfaced {
        &self.surfaced
    }
}

impl DerefMut for Map {
    fn deref_mut(&mut self) -> &mut Surfaced {
        Arc::make_mut(&mut self.surfaced)
    }
}

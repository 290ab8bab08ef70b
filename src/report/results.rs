//! A map with what was found on the way, and what is said of it as a whole.

use std::ops::Deref;

use schemars::JsonSchema;
use serde::Serialize;

use super::finding_counts::FindingCounts;
use crate::diag::Diagnostic;
use crate::map::Map;
use crate::read::{InputFile, PumpedWell, Round, Settings};
use crate::toward::Toward;
use crate::uncertainty::PlaneFit;

/// Everything one map holds: what the drawing and the writing of files begin with.
#[derive(Debug, Clone, Copy)]
pub struct Results<'a> {
    /// The map.
    pub map: &'a Map,
    /// Where its water goes, when that was asked.
    pub toward: Option<&'a Toward>,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
}

impl Deref for Results<'_> {
    type Target = Map;

    fn deref(&self) -> &Map {
        self.map
    }
}

/// Every setting of a map, declared or by default: those of its site, and those of its round.
#[derive(Debug, Clone, Copy, Serialize, JsonSchema)]
pub struct Options<'a> {
    #[serde(flatten)]
    site: &'a Settings,
    #[serde(flatten)]
    round: &'a Round,
    /// Pumped wells: `[[pumped_wells]]`.
    pumped_wells: &'a [PumpedWell],
}

impl<'a> Results<'a> {
    /// Those of a map whose water was not followed.
    #[must_use]
    pub const fn of(map: &'a Map, findings: &'a [Diagnostic]) -> Self {
        Self { map, toward: None, findings }
    }

    /// Every setting, declared or by default.
    #[must_use]
    pub fn options(&self) -> Options<'a> {
        Options {
            site: &self.map.site.settings,
            round: &self.map.round,
            pumped_wells: &self.map.site.pumped_wells,
        }
    }

    /// Every file read.
    pub fn inputs(&self) -> impl Iterator<Item = &'a InputFile> + use<'a> {
        let ground = self.toward.and_then(|t| t.ground.as_ref());
        let read = self.map.site.inputs.iter().chain(&self.map.round.inputs);
        read.chain(ground.into_iter().flat_map(|g| &g.inputs))
    }

    /// Whether the plane through the wells describes their heads. Where it does not, gradient and
    /// direction are told as they range over the map ([`crate::flow::SiteFlow::over_map`]), and the plane after
    /// them with its warning (M416).
    #[must_use]
    pub fn plane_describes(&self) -> bool {
        self.map.uncertainty.plane.as_ref().is_none_or(|p| p.fit != PlaneFit::Poor)
    }

    /// How many findings there are.
    #[must_use]
    pub fn finding_counts(&self) -> FindingCounts {
        FindingCounts::of(self.findings)
    }

    /// Whether the surface has cones of pumped wells.
    #[must_use]
    pub fn has_cones(&self) -> bool {
        self.map.site.has_cones()
    }
}

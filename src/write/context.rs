//! What several files need, worked out once.

use super::Results;
use super::heights::Units;

/// The results with the units their files share.
#[derive(Debug, Clone, Copy)]
pub(super) struct Context<'a> {
    /// All that is to be written.
    pub(super) results: &'a Results<'a>,
    /// Units of heads and depths.
    pub(super) units: Units,
}

impl<'a> Context<'a> {
    pub(super) const fn new(results: &'a Results<'a>) -> Self {
        let settings = &results.site.settings;
        let units = Units { elevation: settings.elevation_unit, depth: settings.depth_unit };
        Self { results, units }
    }
}

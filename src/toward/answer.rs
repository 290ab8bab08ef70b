//! The answer for one source and one receptor.

use serde::Serialize;

use super::fall::MeanGradient;
use super::meeting::Meeting;
use super::path::{End, FlowPath};
use crate::uncertainty::Share;
use crate::units::Azimuth;
use crate::units::Span;

/// What becomes of the water from a source, as far as one receptor is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// A path reaches it.
    Reaches,
    /// The nearest path passes it by.
    Passes,
    /// The nearest path leaves the mapped area before.
    LeavesMap,
    /// The nearest path stops at a low.
    Stops,
    /// The nearest path comes to where the surface is level.
    Level,
    /// The source does not lie on the map.
    NotOnMap,
}

impl Outcome {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Reaches => "reaches",
            Self::Passes => "passes",
            Self::LeavesMap => "leaves the mapped area",
            Self::Stops => "stops at a low",
            Self::Level => "comes to a level place",
            Self::NotOnMap => "not on the map",
        }
    }
}

/// One source and one receptor.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Index of the source.
    pub source: usize,
    /// Index of the receptor.
    pub receptor: usize,
    /// What becomes of the water.
    pub outcome: Outcome,
    /// Paths followed from the source.
    pub paths: usize,
    /// How many of them reach the receptor.
    pub reaching: usize,
    /// How many of these end at the edge of the grid's surface within a cell of it.
    pub at_edge: usize,
    /// The path by which the water reaches it earliest, or that comes nearest: an index into [`super::Toward::paths`].
    pub path: Option<usize>,
    /// Where that path meets or is nearest.
    pub meeting: Option<Meeting>,
    /// That path up to there: its length, m.
    pub length_m: f64,
    /// Its fall over its length.
    pub gradient: Option<MeanGradient>,
    /// Head at the source and where the path meets or is nearest, elevation unit.
    pub heads: Option<(f64, f64)>,
    /// Seepage velocity over the interval of that gradient, m/d.
    pub velocity_m_per_day: Option<Span>,
    /// Time of travel of the water over that interval, days, without end where it holds 0; only
    /// where a path reaches the receptor.
    pub days: Option<Span>,
    /// The same for a retarded substance.
    pub retarded_days: Option<Span>,
    /// From the start of the path to the nearest place of the receptor, against grid north.
    pub bearing_grid: Option<Azimuth>,
    /// Whether any place of the receptor, seen from there, lies in the 95 % interval of the
    /// direction of flow at the source.
    pub bearing_agrees: Option<bool>,
    /// What becomes of the water in the realizations; `None` where [`super::Toward::cones`].
    pub realizations: Option<Realizations>,
    /// Paths upgradient from the receptor, and how many of them come from the source.
    pub upgradient: (usize, usize),
}

impl Verdict {
    /// The share of the realizations in which a path reaches the receptor; `None` without realizations
    /// and when some of them leave it open.
    #[must_use]
    pub fn probability(&self) -> Option<Share> {
        self.realizations?.probability()
    }

    /// Whether most of the realizations say what the map says; `None` without realizations.
    #[must_use]
    pub fn realizations_agree(&self) -> Option<bool> {
        self.realizations.map(|r| r.agree(self.outcome))
    }
}

/// One source and one receptor in the realizations, on triangles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Realizations {
    /// All realizations.
    pub of: usize,
    /// Realizations in which a path reaches the receptor.
    pub reaching: usize,
    /// Realizations in which none does and the nearest path leaves the mapped area while it still comes
    /// nearer; or, where the receptor lies beyond the map, any path leaves it nearer to the receptor
    /// than it began. Whether the water reaches the receptor is not known in them.
    pub leaving: usize,
}

impl Realizations {
    /// The share of realizations in which a path reaches the receptor; `None` when some of them leave it
    /// open.
    #[must_use]
    pub fn probability(&self) -> Option<Share> {
        (self.leaving == 0).then(|| Share::new(self.reaching, self.of))
    }

    /// What that share lies between at 95 %, with the realizations that leave it open counted as not
    /// reaching at the low end and as reaching at the high end.
    #[must_use]
    pub fn bounds(&self) -> (f64, f64) {
        let low = Share::new(self.reaching, self.of).low;
        (low, Share::new(self.reaching + self.leaving, self.of).high)
    }

    /// Whether most realizations say the same as the map does.
    #[must_use]
    pub fn agree(&self, outcome: Outcome) -> bool {
        let (low, high) = self.bounds();
        if outcome == Outcome::Reaches { high >= 0.5 } else { low <= 0.5 }
    }
}

/// What becomes of the water, as far as one path says.
pub(super) fn outcome(met: &Meeting, path: &FlowPath) -> Outcome {
    /// A path is nearest at its end when less than this is left of it, m.
    const AT_THE_END: f64 = 0.01;
    if met.reached.is_some() {
        return Outcome::Reaches;
    }
    if met.nearest.along_m < path.length_m() - AT_THE_END {
        return Outcome::Passes;
    }
    match path.end {
        End::LeavesMap { .. } => Outcome::LeavesMap,
        End::Stops { .. } => Outcome::Stops,
        End::Level => Outcome::Level,
        End::NotOnMap => Outcome::NotOnMap,
        End::Unfinished => Outcome::Passes,
    }
}

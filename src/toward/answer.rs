//! The answer for one source and one receptor.

use geo::Coord;
use serde::Serialize;

use super::arrivals::{Arrivals, Decides};
use super::fall::MeanGradient;
use super::meeting::Meeting;
use super::path::{End, FlowPath};
use crate::uncertainty::{LEVEL, Share};
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
    /// The nearest path stops at a low where something takes the water.
    Stops,
    /// The nearest path ends at a pumped well.
    Pumped,
    /// The nearest path ends in a low that nothing explains.
    Low,
    /// The nearest path joins a stream before.
    Stream,
    /// The nearest path comes to a barrier before.
    Barrier,
    /// The water flows away from it: no path comes nearer than it begins.
    FlowsAway,
    /// A pumped well is declared whose cone the surface does not have: where the water goes is not known.
    PumpedUnknown,
    /// Source or receptor is in another aquifer unit than the one mapped.
    OtherUnit,
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
            Self::Pumped => "is drawn in by a pumped well",
            Self::Low => "ends in a low that nothing explains",
            Self::Stream => "joins a stream first",
            Self::Barrier => "comes to a barrier",
            Self::FlowsAway => "flows away from it",
            Self::PumpedUnknown => "not known: pumping is not in this surface",
            Self::OtherUnit => "not known: in another aquifer unit",
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
    /// Whether that is not resolved: most realizations contradict it, or the direction of flow at the source is
    /// open and the realizations do not agree either.
    pub unresolved: bool,
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
    /// When the water arrives over the realizations, with conductivity and porosity drawn as they are declared.
    pub arrivals: Option<Arrivals>,
    /// What makes the travel time's range wide, and how many times its low end that alone is.
    pub decides: Option<(Decides, f64)>,
    /// When the first of a substance arrives, where its dispersivity is declared, days.
    pub first_arrival_days: Option<Span>,
    /// The share of it that is left there, where its half-life is declared.
    pub left: Option<Span>,
    /// From the start of the path to the nearest place of the receptor, against grid north.
    pub bearing_grid: Option<Azimuth>,
    /// Whether any place of the receptor, seen from there, lies in the 95 % interval of the
    /// direction of flow at the source.
    pub bearing_agrees: Option<bool>,
    /// What becomes of the water on surfaces drawn between the wells, the errors of the readings included; `None`
    /// where none are drawn.
    pub realizations: Option<Realizations>,
    /// The same if only the readings err and the surface runs straight from well to well; `None` where
    /// [`super::Toward::cones`].
    pub readings: Option<Realizations>,
    /// What the answer hangs on; `None` where no surfaces are drawn.
    pub hangs_on: Option<HangsOn>,
    /// Straight on from where the nearest path leaves the mapped area.
    pub beyond: Option<Beyond>,
    /// Paths upgradient from the receptor, and how many of them come from the source.
    pub upgradient: (usize, usize),
}

impl Verdict {
    /// Of a source and a receptor of which nothing is known yet.
    pub(super) const fn unanswered(source: usize, receptor: usize) -> Self {
        Self {
            source,
            receptor,
            outcome: Outcome::NotOnMap,
            unresolved: false,
            paths: 0,
            reaching: 0,
            at_edge: 0,
            path: None,
            meeting: None,
            length_m: 0.0,
            gradient: None,
            heads: None,
            velocity_m_per_day: None,
            days: None,
            retarded_days: None,
            arrivals: None,
            decides: None,
            first_arrival_days: None,
            left: None,
            bearing_grid: None,
            bearing_agrees: None,
            realizations: None,
            readings: None,
            hangs_on: None,
            beyond: None,
            upgradient: (0, 0),
        }
    }

    /// The share of the realizations in which a path reaches the receptor; `None` without realizations
    /// and when some of them leave it open.
    #[must_use]
    pub fn probability(&self) -> Option<Share> {
        self.realizations?.probability()
    }

    /// Whether 95 % of the realizations say what the map says.
    #[must_use]
    pub fn is_sure(&self) -> bool {
        let Some(realizations) = self.realizations else { return false };
        let (least, most) = realizations.shares();
        if self.outcome == Outcome::Reaches { least >= LEVEL } else { most <= 1.0 - LEVEL }
    }

    /// Whether most of the realizations say what the map says; `None` without realizations.
    #[must_use]
    pub fn realizations_agree(&self) -> Option<bool> {
        self.realizations.map(|r| r.agree(self.outcome))
    }
}

/// What an answer hangs on.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct HangsOn {
    /// Control points without which the expected surface gives the other answer.
    pub wells: Vec<usize>,
    /// Where the head would tell most about the answer, m, and the share of the answer's variance over the
    /// realizations that it would explain; `None` where the realizations agree.
    pub next_well: Option<(Coord, f64)>,
}

/// Straight on from the edge of the mapped area at the last gradient of a path. No well shows that water goes there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    /// The direction, against grid north.
    pub azimuth_grid: Azimuth,
    /// How far it would be from the edge to where it meets the receptor, m; `None` where it passes it.
    pub to_receptor_m: Option<f64>,
    /// How far it passes, m; 0 where it meets it.
    pub off_m: f64,
    /// Time from the source to there, days.
    pub days: Option<Span>,
}

/// Why no surfaces are drawn between the wells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotDrawn {
    /// There are barriers.
    Barriers,
    /// There are too many control points for a system of all of them.
    ManyWells,
    /// The wells are too few, or lie on a plane exactly.
    FewWells,
    /// The surface does not have the cone of a pumped well.
    Pumped,
    /// None were asked for.
    NotAsked,
}

impl NotDrawn {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Barriers => {
                "no share is given: what is between the wells is not drawn past barriers"
            }
            Self::ManyWells => "no share is given: there are more than 400 control points",
            Self::FewWells => "no share is given: the wells do not show what is between them",
            Self::Pumped => {
                "no share is given: the surface does not have the cone of a pumped well"
            }
            Self::NotAsked => "no share is given: no realizations were asked for",
        }
    }
}

/// One in so many realizations may leave an answer open without changing it.
const FEW: usize = 50;

/// One source and one receptor in the realizations.
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
    /// The share of realizations in which a path reaches the receptor; `None` when more than one in fifty of
    /// them leave it open.
    #[must_use]
    pub fn probability(&self) -> Option<Share> {
        (FEW * self.leaving <= self.of).then(|| Share::new(self.reaching, self.of))
    }

    /// What the share lies between: the realizations that leave it open counted as not reaching, and as reaching.
    #[must_use]
    pub fn shares(&self) -> (f64, f64) {
        let of = self.of.max(1) as f64;
        (self.reaching as f64 / of, (self.reaching + self.leaving) as f64 / of)
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
///
/// # Units
/// - `capture_m`: m; a path to a stream is nearest at its end where less is left of it
pub(super) fn outcome(met: &Meeting, path: &FlowPath, capture_m: f64) -> Outcome {
    /// A path is nearest at its end when less than this is left of it, m.
    const AT_THE_END: f64 = 0.01;
    if met.reached.is_some() {
        return Outcome::Reaches;
    }
    let length = path.length_m();
    match path.end {
        // Where the water is going is not known, and what takes it is, whatever it passed before.
        End::Low { .. } => Outcome::Low,
        End::Pumped { .. } => Outcome::Pumped,
        _ if met.nearest.along_m <= AT_THE_END && length > AT_THE_END => Outcome::FlowsAway,
        End::Stream { .. } if met.nearest.along_m >= length - capture_m => Outcome::Stream,
        _ if met.nearest.along_m < length - AT_THE_END => Outcome::Passes,
        End::LeavesMap { .. } => Outcome::LeavesMap,
        End::Stream { .. } => Outcome::Stream,
        End::Barrier => Outcome::Barrier,
        End::Stops { .. } => Outcome::Stops,
        End::Level => Outcome::Level,
        End::NotOnMap => Outcome::NotOnMap,
        End::Unfinished => Outcome::Passes,
    }
}

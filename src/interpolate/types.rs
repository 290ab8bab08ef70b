//! A surface as it was worked out, and what it rests on.

use std::fmt::Write as _;

use geo::Coord;
use schemars::JsonSchema;
use serde::Serialize;

use super::grid::Grid;
use super::kriging::{Covariance, Fit, PumpedWell, TrendTerm};
use super::relief::{Relief, Sloping};
use super::rim::Rim;
use crate::read::{CovarianceModel, Method, Site};
use crate::units::GroundUnit;

/// The potentiometric surface on a grid.
#[derive(Debug, Clone)]
pub struct Surface {
    /// The heads, elevation unit.
    pub heads: Grid,
    /// Their standard deviation where the method gives one, elevation unit.
    pub sd: Option<Grid>,
    /// How heads between wells were worked out.
    pub method: Method,
    /// The same in words, for legends and files.
    pub words: String,
    /// What kriging rests on.
    pub kriging: Option<KrigingReport>,
    /// The largest step past the barriers; `None` where there are no barriers, or no step.
    pub step: Option<Step>,
    /// The heads at the same nodes without judged ones, where some were judged and the surface is not of
    /// planes, which are then elsewhere beyond the triangles at these: its nodes have no head where there
    /// is no such surface.
    pub measured: Option<Grid>,
    /// The planes it is made of, where it is.
    pub(super) planes: Option<Sloping>,
    /// Where the outline cuts the grid, and the heads there.
    pub(super) rim: Rim,
    /// The heads before the boundary takes those beyond it, where it takes any that contours are
    /// traced on.
    pub(super) whole: Option<Grid>,
    /// See [`Surface::range`].
    pub(super) range: Option<(f64, f64)>,
}

/// What one set of wells makes of the nodes and of the outline.
pub(super) struct Fields {
    pub(super) heads: Grid,
    pub(super) sd: Option<Grid>,
    pub(super) planes: Option<Sloping>,
    pub(super) rim: Rim,
    pub(super) kriging: Option<KrigingReport>,
}

impl Surface {
    /// A surface that is known at nodes and nowhere else, such as one from a raster.
    ///
    /// # Units
    /// - `heads`: elevation unit
    #[must_use]
    pub fn of_nodes(heads: Grid, method: Method) -> Self {
        let (range, words) = (heads.range(), method.words().to_owned());
        let (planes, rim, whole) = (None, Rim::default(), None);
        Self {
            heads,
            sd: None,
            method,
            words,
            kriging: None,
            step: None,
            measured: None,
            planes,
            rim,
            whole,
            range,
        }
    }

    /// Whether the heads between wells are those of the planes through three wells each.
    #[must_use]
    pub(crate) fn is_planes(&self) -> bool {
        self.planes.as_ref().is_some_and(Sloping::is_of_heads)
    }

    /// Whether its lines of equal head are straight through each triangle: where it is planes, of
    /// the heads or of the squares of the saturated thickness.
    #[must_use]
    pub(crate) const fn is_on_planes(&self) -> bool {
        self.planes.is_some()
    }

    /// The lowest and the highest head of the surface, elevation unit: at nodes, and at wells and
    /// on the outline as far as the surface has heads of its own there; `None` when it has none.
    #[must_use]
    pub const fn range(&self) -> Option<(f64, f64)> {
        self.range
    }

    /// What its lines of equal head are traced on.
    pub(crate) fn relief(&self) -> Relief<'_> {
        match &self.planes {
            Some(planes) => Relief::Planes(planes),
            None => Relief::Nodes(self.whole.as_ref().unwrap_or(&self.heads), &self.rim),
        }
    }
}

/// What a kriged surface rests on. Covariances are in the elevation unit, or in its square where
/// the surface is that of an unconfined unit.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct KrigingReport {
    /// The covariance used; lengths in m, variances in the elevation unit squared, with `unconfined_base` to the
    /// fourth power.
    pub covariance: Covariance,
    /// How it was fitted by restricted maximum likelihood; none where its parameters were given.
    pub fit: Option<Fit>,
    /// In how many patches heads were worked out; left out where they are from all wells at once.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required)]
    pub patches: Option<usize>,
    /// Whether a plane is in its drift: the second and third of its terms.
    #[serde(skip)]
    pub plane: bool,
    /// The pumped wells of each cone in its drift: its last terms. Past barriers there are none here.
    #[serde(skip)]
    pub cones: Vec<Vec<PumpedWell>>,
    /// The drift's terms as found.
    pub trend: Vec<TrendTerm>,
}

impl KrigingReport {
    /// The plane of the drift, east and north, in heads for a metre; `None` without one.
    pub(crate) fn slopes(&self) -> Option<[&TrendTerm; 2]> {
        match self.trend.as_slice() {
            [_, east, north, ..] if self.plane => Some([east, north]),
            _ => None,
        }
    }

    /// The term of each cone with its pumped wells.
    pub(crate) fn cones(&self) -> impl Iterator<Item = (&[PumpedWell], &TrendTerm)> {
        let terms = self.trend.iter().skip(1 + 2 * usize::from(self.plane));
        self.cones.iter().map(Vec::as_slice).zip(terms)
    }

    /// Which kriging, in words: its drift, its covariance, and the pumped wells whose cones it has.
    pub(super) fn words(&self, site: &Site) -> String {
        /// So many pumped wells are named.
        const MOST: usize = 3;
        let Covariance { model, range_m, .. } = self.covariance;
        let kind = if self.plane { "universal kriging with a plane" } else { "ordinary kriging" };
        let mut words = format!("{kind}, {} covariance", model.name());
        // The linear one has a slope and no range.
        if model != CovarianceModel::Linear {
            let decimals = if range_m >= 100.0 { 0 } else { 2 };
            let unit = site.settings.elevation_unit;
            let longest = if self.covariance.anisotropy.is_some() { "longest " } else { "" };
            let range = GroundUnit::of(unit).away_to(range_m, decimals);
            let _ = write!(words, ", {longest}effective range {range}");
        }
        let names: Vec<&str> = site.pumped_wells.iter().map(|p| p.well.as_str()).collect();
        match names.len() {
            0 => {}
            n @ 1..=MOST => {
                let cones = if n == 1 { "a cone" } else { "cones" };
                let _ = write!(words, ", with {cones} at {}", names.join(", "));
            }
            n => {
                let _ = write!(words, ", with cones at {n} pumped wells");
            }
        }
        words
    }
}

/// A step between two neighbouring nodes that no barrier parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// By how much more the head changes between them than from either to the next node along the
    /// same line, elevation unit. Even ground has none however steep it is.
    pub head: f64,
    /// The middle between them, CRS units.
    pub at: Coord,
}

impl Step {
    /// How many contour intervals it has.
    ///
    /// # Units
    /// - `interval`: elevation unit
    #[must_use]
    pub fn intervals(&self, interval: f64) -> f64 {
        self.head / interval
    }
}

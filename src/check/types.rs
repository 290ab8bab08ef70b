//! What the checks give.

use std::sync::Arc;

use geo::Coord;

use super::beside::Beside;
use crate::diag::Origin;
use crate::geom;
use crate::geom::{Crs, Factors, Frame};
use crate::read::{JudgedPoint, Judgement, Moment, Site, Well, WellKind};
use crate::reduce::ReadingAccount;
use crate::units::LengthUnit;

/// How a head compares with the plane of its neighbours, itself left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeaveOneOut {
    /// The neighbours' head at the well, elevation unit.
    pub predicted: f64,
    /// Observed minus predicted, elevation unit.
    pub residual: f64,
    /// The residual over its standard deviation, by the scatter of the others.
    pub score: f64,
    /// The score beyond which a head does not fit, by how many wells the scatter is known from.
    pub bound: f64,
    /// Whether the head does not fit its neighbours (C307, C308).
    pub off: bool,
}

/// Where a well stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Position in the project CRS, CRS units.
    pub crs: Coord,
    /// Longitude and latitude on WGS 84, degrees; `None` in local coordinates.
    pub lon_lat: Option<Coord>,
}

/// What stands behind the head of a control point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carrier {
    /// A well or gauge that was read.
    Read {
        /// Index into [`crate::read::Site::wells`].
        well: usize,
        /// Well or gauge.
        kind: WellKind,
    },
    /// The stage of a stream, which nobody read at this place: it carries the surface, and neither
    /// the site's plane nor the checks of wells rest on it.
    Stream {
        /// Index into [`crate::read::Features::streams`].
        stream: usize,
        /// Index into [`crate::read::Features::stream_points`].
        point: usize,
    },
    /// A head that somebody judged and nobody measured: the surface honours it, and neither planes,
    /// intervals nor checks rest on it.
    Judged {
        /// Index into [`crate::read::Features::judged_points`].
        point: usize,
    },
}

/// A point whose head carries the map.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlPoint {
    /// The name of the well, or of the place on a stream.
    pub id: String,
    /// What stands behind its head.
    pub carrier: Carrier,
    /// Position in the project CRS, CRS units.
    pub crs: Coord,
    /// Position in the local frame, m.
    pub local: Coord,
    /// Longitude and latitude on WGS 84, degrees; `None` in local coordinates.
    pub lon_lat: Option<Coord>,
    /// The head, elevation unit.
    pub head: f64,
    /// Depth to water, depth unit.
    pub depth: Option<f64>,
    /// Measuring point elevation, elevation unit.
    pub measuring_point: Option<f64>,
    /// Thickness of floating product, depth unit.
    pub product_thickness: Option<f64>,
    /// When it was read.
    pub moment: Option<Moment>,
    /// How it fits its neighbours; `None` below five wells.
    pub leave_one_out: Option<LeaveOneOut>,
    /// Whether it was worked out from a head that does not fit its neighbours or other rounds.
    pub from_doubtful: bool,
    /// The well beside it, of the register, that was pumping when it was read (C327).
    pub beside_pumping: Option<usize>,
}

/// A head that is not contoured because somebody decided so.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOutHead {
    /// The name of the well.
    pub id: String,
    /// Index into [`crate::read::Site::wells`].
    pub well: usize,
    /// Its head, elevation unit.
    pub head: f64,
    /// Where the well stands; `None` where its coordinates do not fit the CRS.
    pub place: Option<Place>,
    /// Who decided it and why, as it is told: `left out by ...: ...`.
    pub reason: String,
    /// Where the decision is written.
    pub origin: Origin,
}

/// A judgement behind a map: a judged point, or a control line with its points.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedHead {
    /// The name of the point or of the line.
    pub name: String,
    /// The head, elevation unit.
    pub head: f64,
    /// Where a judged point lies, CRS units; `None` for a control line.
    pub crs: Option<Coord>,
    /// Its control points on this map: indices into [`crate::read::Features::judged_points`], ascending.
    pub points: Vec<usize>,
    /// Who decided it and why, and where that is declared.
    pub judgement: Judgement,
}

impl JudgedHead {
    /// Whether a control point is one of its own.
    #[must_use]
    pub fn has(&self, point: &ControlPoint) -> bool {
        point.is_judged() && self.points.binary_search(&point.place()).is_ok()
    }
}

/// Control points fit to be mapped: at least three, finite, distinct, not on one line, of one
/// aquifer unit, in canonical order (easting, then northing).
///
/// Only the check stage makes one.
#[derive(Debug, Clone)]
pub struct ControlSet {
    pub(super) points: Vec<ControlPoint>,
    pub(super) accounts: Arc<Vec<ReadingAccount>>,
    pub(super) crs: Crs,
    pub(super) frame: Frame,
    pub(super) factors: Factors,
    pub(super) scale_corrected: bool,
    pub(super) places: Vec<Option<Place>>,
    pub(super) elevation_unit: LengthUnit,
    pub(super) aquifer_unit: Option<String>,
    pub(super) from_to: Option<(Moment, Moment)>,
    pub(super) beside: Beside,
    pub(super) left_out: Vec<LeftOutHead>,
    pub(super) judged: Vec<JudgedHead>,
}

impl ControlPoint {
    /// The well or gauge that was read: index into [`crate::read::Site::wells`]. `None` for a place on
    /// a stream and for a judged head.
    #[must_use]
    pub const fn well(&self) -> Option<usize> {
        match self.carrier {
            Carrier::Read { well, .. } => Some(well),
            Carrier::Stream { .. } | Carrier::Judged { .. } => None,
        }
    }

    /// Whether it is a well or a gauge that was read; `None` for a place on a stream and a judged head.
    #[must_use]
    pub const fn kind(&self) -> Option<WellKind> {
        match self.carrier {
            Carrier::Read { kind, .. } => Some(kind),
            Carrier::Stream { .. } | Carrier::Judged { .. } => None,
        }
    }

    /// The stream it lies on: index into [`crate::read::Features::streams`].
    #[must_use]
    pub const fn stream(&self) -> Option<usize> {
        match self.carrier {
            Carrier::Read { .. } | Carrier::Judged { .. } => None,
            Carrier::Stream { stream, .. } => Some(stream),
        }
    }

    /// Whether somebody judged its head, which nobody measured.
    #[must_use]
    pub const fn is_judged(&self) -> bool {
        matches!(self.carrier, Carrier::Judged { .. })
    }

    /// The judgement behind its head, where there is one.
    #[must_use]
    pub fn judged<'a>(&self, site: &'a Site) -> Option<&'a JudgedPoint> {
        self.is_judged().then(|| &site.features.judged_points[self.place()])
    }

    /// Its index among those of its kind: of the register, of [`crate::read::Features::stream_points`] or
    /// of [`crate::read::Features::judged_points`].
    #[must_use]
    pub const fn place(&self) -> usize {
        match self.carrier {
            Carrier::Read { well, .. } => well,
            Carrier::Stream { point, .. } | Carrier::Judged { point } => point,
        }
    }

    /// The row of the register that it is read at; `None` for a place on a stream and a judged head.
    #[must_use]
    pub fn row<'a>(&self, site: &'a Site) -> Option<&'a Well> {
        self.well().map(|well| &site.wells[well])
    }

    /// Whether its head does not fit its neighbours (C307, C308).
    #[must_use]
    pub fn is_off(&self) -> bool {
        self.from_doubtful || self.leave_one_out.is_some_and(|l| l.off)
    }

    /// Whether its head was corrected for floating product.
    #[must_use]
    pub(crate) fn is_corrected(&self) -> bool {
        self.product_thickness.is_some_and(|t| t > 0.0)
    }
}

impl ControlSet {
    /// The control points, in canonical order.
    #[must_use]
    pub fn points(&self) -> &[ControlPoint] {
        &self.points
    }

    /// The south-western and north-eastern corner of the box about the control points, CRS units.
    #[must_use]
    pub fn bounds(&self) -> (Coord, Coord) {
        geom::bounds(self.points.iter().map(|p| p.crs))
    }

    /// Every reading of the round with its final fate, in the round's file order.
    #[must_use]
    pub fn accounts(&self) -> &[ReadingAccount] {
        &self.accounts
    }

    /// The project CRS.
    #[must_use]
    pub const fn crs(&self) -> &Crs {
        &self.crs
    }

    /// The local frame.
    #[must_use]
    pub const fn frame(&self) -> &Frame {
        &self.frame
    }

    /// Convergence and scale at the site's centre.
    #[must_use]
    pub const fn factors(&self) -> Factors {
        self.factors
    }

    /// Meridian convergence at the site's centre, degrees, positive when grid north is east of true; in
    /// local coordinates the azimuth of site north, `None` where nobody knows it.
    #[must_use]
    pub fn convergence_deg(&self) -> Option<f64> {
        self.crs.knows_true_north().then_some(self.factors.convergence_deg)
    }

    /// Where each well of the register stands, in register order; `None` for a well whose
    /// coordinates do not fit the CRS and which carries nothing on this map.
    #[must_use]
    pub fn places(&self) -> &[Option<Place>] {
        &self.places
    }

    /// The wells of the mapped unit that somebody decided to leave out, by name.
    #[must_use]
    pub fn left_out(&self) -> &[LeftOutHead] {
        &self.left_out
    }

    /// The judgements behind the map: judged points as they are declared, then control lines.
    #[must_use]
    pub fn judged(&self) -> &[JudgedHead] {
        &self.judged
    }

    /// Whether distances were divided by the projection's scale.
    #[must_use]
    pub const fn scale_corrected(&self) -> bool {
        self.scale_corrected
    }

    /// The unit of heads.
    #[must_use]
    pub const fn elevation_unit(&self) -> LengthUnit {
        self.elevation_unit
    }

    /// The aquifer unit mapped, where it has a name.
    #[must_use]
    pub fn aquifer_unit(&self) -> Option<&str> {
        self.aquifer_unit.as_deref()
    }

    /// What stands beside the control points.
    #[must_use]
    pub const fn beside(&self) -> &Beside {
        &self.beside
    }

    /// The indices of the control points that are wells or gauges, and neither points of streams nor judged.
    #[must_use]
    pub fn wells(&self) -> Vec<usize> {
        (0..self.points.len()).filter(|i| self.points[*i].well().is_some()).collect()
    }

    /// Whether somebody judged a head of the map.
    #[must_use]
    pub fn has_judged(&self) -> bool {
        !self.judged.is_empty()
    }

    /// The control points without judged heads; `None` where there are none of these.
    #[must_use]
    pub fn measured(&self) -> Option<Self> {
        self.has_judged().then(|| {
            let mut measured = self.clone();
            measured.points.retain(|p| !p.is_judged());
            measured.judged.clear();
            measured
        })
    }

    /// The first and the last reading behind the map.
    #[must_use]
    pub const fn from_to(&self) -> Option<(Moment, Moment)> {
        self.from_to
    }
}

#[cfg(test)]
impl ControlSet {
    /// A set that no check has seen, for the tests of later stages.
    #[expect(clippy::too_many_arguments, reason = "a test says everything by hand")]
    pub(crate) fn for_tests(
        points: Vec<ControlPoint>,
        accounts: Vec<ReadingAccount>,
        crs: Crs,
        frame: Frame,
        factors: Factors,
        places: Vec<Option<Place>>,
        elevation_unit: LengthUnit,
        aquifer_unit: Option<String>,
        from_to: Option<(Moment, Moment)>,
    ) -> Self {
        let scale_corrected = false;
        Self {
            points,
            accounts: Arc::new(accounts),
            crs,
            frame,
            factors,
            scale_corrected,
            places,
            elevation_unit,
            aquifer_unit,
            from_to,
            beside: Beside::default(),
            left_out: Vec::new(),
            judged: Vec::new(),
        }
    }

    /// Makes a well one whose coordinates do not fit the CRS.
    pub(crate) fn forget_position(&mut self, well: usize) {
        self.places[well] = None;
    }
}

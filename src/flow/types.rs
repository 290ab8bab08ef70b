//! What the flow stage gives.

use geo::Coord;

use crate::geom::{FittedPlane, Slope};
use crate::units::Azimuth;

/// Gradient and direction of one triangle.
#[derive(Debug, Clone, PartialEq)]
pub struct TriangleFlow {
    /// The slope of the head, dimensionless (m of head per m); `None` where the corners stand on
    /// one line.
    pub slope: Option<Slope>,
    /// Hydraulic gradient, dimensionless; `None` where the corners stand on one line.
    pub gradient: Option<f64>,
    /// Direction of flow against grid north, which is site north in local coordinates; `None` for a flat
    /// triangle and one without a gradient.
    pub azimuth_grid: Option<Azimuth>,
    /// Direction of flow against true north; `None` as for grid north, and where true
    /// north is not known.
    pub azimuth_true: Option<Azimuth>,
    /// Meridian convergence at the centroid, degrees, positive when grid north is east of true; in local
    /// coordinates the azimuth of site north, `None` where nobody knows it.
    pub convergence_deg: Option<f64>,
    /// The centroid, CRS units.
    pub centroid: Coord,
}

/// Area-weighted vector mean of the triangles' gradients.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VectorMean {
    /// Its magnitude, dimensionless.
    pub gradient: f64,
    /// Its direction of flow against grid north.
    pub azimuth_grid: Option<Azimuth>,
    /// The same against true north, with the convergence of the site's centre; `None` where
    /// true north is not known.
    pub azimuth_true: Option<Azimuth>,
    /// Length of the area-weighted sum of unit directions: 1 when all triangles agree.
    pub agreement: f64,
}

/// The ranges of gradient and direction that hold nine tenths of the area of the triangles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverMap {
    /// The lower end of the range of gradients, dimensionless.
    pub gradient_low: f64,
    /// Its upper end.
    pub gradient_high: f64,
    /// The range of directions of flow, clockwise from the first to the second, against grid north;
    /// `None` where it is more than half the circle: then there is no single direction.
    pub azimuths_grid: Option<[Azimuth; 2]>,
    /// The same against true north, with the convergence of the site's centre; `None` where
    /// true north is not known.
    pub azimuths_true: Option<[Azimuth; 2]>,
}

impl TriangleFlow {
    /// The direction of flow as it is stated: against true north, or against site north where true north
    /// is not known.
    #[must_use]
    pub(crate) fn azimuth(&self) -> Option<Azimuth> {
        self.azimuth_true.or(self.azimuth_grid)
    }

    /// Whether its three heads are equal: its gradient is 0.
    #[must_use]
    pub(crate) fn is_flat(&self) -> bool {
        self.slope.is_some() && self.azimuth_grid.is_none()
    }
}

impl VectorMean {
    /// The direction of flow as it is stated: against true north, or against site north where true north
    /// is not known.
    #[must_use]
    pub(crate) fn azimuth(&self) -> Option<Azimuth> {
        self.azimuth_true.or(self.azimuth_grid)
    }
}

impl OverMap {
    /// The range of directions as it is stated, likewise.
    #[must_use]
    pub(crate) fn azimuths(&self) -> Option<[Azimuth; 2]> {
        self.azimuths_true.or(self.azimuths_grid)
    }
}

/// What the whole site says.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteFlow {
    /// One for each triangle of the mesh, in its order.
    pub triangles: Vec<TriangleFlow>,
    /// The least-squares plane through wells and gauges, heads in m. Its residuals are those of all
    /// control points, points of streams included.
    pub plane: FittedPlane,
    /// The plane's hydraulic gradient, dimensionless.
    pub plane_gradient: f64,
    /// The plane's direction of flow against grid north.
    pub plane_azimuth_grid: Option<Azimuth>,
    /// The same against true north, with the convergence of the site's centre; `None` where
    /// true north is not known.
    pub plane_azimuth_true: Option<Azimuth>,
    /// Area-weighted vector mean.
    pub mean: VectorMean,
    /// What holds over the map; `None` where no triangle has a gradient.
    pub over_map: Option<OverMap>,
}

impl SiteFlow {
    /// The plane's direction of flow as it is stated: against true north, or against site north where true
    /// north is not known.
    #[must_use]
    pub fn plane_azimuth(&self) -> Option<Azimuth> {
        self.plane_azimuth_true.or(self.plane_azimuth_grid)
    }
}

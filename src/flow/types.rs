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
    /// Direction of flow against grid north; `None` for a flat triangle and one without a gradient.
    pub azimuth_grid: Option<Azimuth>,
    /// Direction of flow against true north; `None` as for grid north, and in local coordinates.
    pub azimuth_true: Option<Azimuth>,
    /// Meridian convergence at the centroid, degrees, positive when grid north is east of true; 0 in
    /// local coordinates.
    pub convergence_deg: f64,
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
    /// The same against true north, with the convergence of the site's centre; `None` in local
    /// coordinates.
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
    /// The same against true north, with the convergence of the site's centre; `None` in local
    /// coordinates.
    pub azimuths_true: Option<[Azimuth; 2]>,
}

impl TriangleFlow {
    /// Whether its three heads are equal: its gradient is 0.
    #[must_use]
    pub(crate) fn is_flat(&self) -> bool {
        self.slope.is_some() && self.azimuth_grid.is_none()
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
    /// The same against true north, with the convergence of the site's centre; `None` in local
    /// coordinates.
    pub plane_azimuth_true: Option<Azimuth>,
    /// Area-weighted vector mean.
    pub mean: VectorMean,
    /// What holds over the map; `None` where no triangle has a gradient.
    pub over_map: Option<OverMap>,
}

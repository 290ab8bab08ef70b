//! The coordinate reference system: what PROJ knows about it, and the way to longitude and
//! latitude. With the way from one to another below it, the only place that speaks to PROJ.

mod path;
mod projjson;

use std::collections::BTreeMap;
use std::sync::Mutex;

use geo::Coord;
use proj::Proj;
use serde::Serialize;
use serde_json::Value;

use crate::sealed::Grids;
use path::{Path, Way, kept};
use projjson::{axis_unit, base_of, counts_otherwise, ellipsoid, horizontal_part};

/// Longitude and latitude on WGS 84 in the order RFC 7946 asks for.
const LON_LAT: &str = "OGC:CRS84";

/// Step of the differences that convergence and scale come from, rad: 64 m on the ground, where
/// neither the projection's bend nor the digits of a northing matter at 1e-9.
const STEP: f64 = 1e-5;

/// Looking a CRS up takes PROJ milliseconds, a map of a hundred wells takes it as many: it is done
/// once. What PROJ answers depends on the definition alone.
static KNOWN: Mutex<BTreeMap<String, Crs>> = Mutex::new(BTreeMap::new());

/// Why a CRS cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CrsError {
    /// PROJ does not know it.
    #[error("PROJ does not know the CRS \"{definition}\" ({cause})")]
    Unknown {
        /// As the user wrote it.
        definition: String,
        /// PROJ's word.
        cause: String,
    },
    /// It is neither projected nor geographic: geocentric, vertical, engineering.
    #[error("the CRS \"{definition}\" is a {kind}, which has no map coordinates")]
    NotAMap {
        /// As the user wrote it.
        definition: String,
        /// PROJ's word for its kind.
        kind: String,
    },
    /// A coordinate cannot be transformed.
    #[error("the position ({x}, {y}) cannot be transformed")]
    Untransformable {
        /// Easting or longitude.
        x: f64,
        /// Northing or latitude.
        y: f64,
    },
}

/// Projected or geographic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CrsKind {
    /// Eastings and northings.
    Projected,
    /// Longitudes and latitudes.
    Geographic,
}

/// The area a CRS is meant for, in degrees of longitude and latitude. West may exceed east across
/// the antimeridian.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "the names say it")]
pub struct Area {
    pub west: f64,
    pub south: f64,
    pub east: f64,
    pub north: f64,
}

impl Area {
    /// How far a position lies outside, in degrees of the larger difference; 0 inside.
    #[must_use]
    pub fn degrees_outside(&self, lon_lat: Coord) -> f64 {
        let width = (self.east - self.west).rem_euclid(360.0);
        let from_west = (lon_lat.x - self.west).rem_euclid(360.0);
        let lon = if from_west <= width || width == 0.0 {
            0.0
        } else {
            (from_west - width).min(360.0 - from_west)
        };
        let lat = (self.south - lon_lat.y).max(lon_lat.y - self.north).max(0.0);
        lon.max(lat)
    }
}

/// How the projection behaves at one place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Factors {
    /// Meridian convergence in degrees, positive when grid north lies east of true north:
    /// true azimuth = grid azimuth + convergence.
    pub convergence_deg: f64,
    /// Grid distance over ground distance on the ellipsoid: square root of the areal scale.
    pub scale: f64,
}

/// A coordinate reference system that PROJ knows.
#[derive(Debug, Clone)]
pub struct Crs {
    definition: String,
    name: String,
    kind: CrsKind,
    unit_name: String,
    metres_per_unit: f64,
    area: Option<Area>,
    turned: bool,
    base: String,
    semi_major_m: f64,
    flattening: f64,
    grids: Option<Grids>,
}

impl Crs {
    /// Looks a CRS up: an authority code such as `EPSG:26915`, a WKT or a PROJJSON text.
    ///
    /// # Errors
    /// [`CrsError::Unknown`] when PROJ does not know it, [`CrsError::NotAMap`] when it is
    /// neither projected nor geographic.
    pub fn lookup(definition: &str) -> Result<Self, CrsError> {
        let known = || KNOWN.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(crs) = known().get(definition) {
            return Ok(crs.clone());
        }
        let crs = Self::asked(definition)?;
        known().insert(definition.to_owned(), crs.clone());
        Ok(crs)
    }

    /// Asks PROJ.
    fn asked(definition: &str) -> Result<Self, CrsError> {
        let unknown =
            |cause: String| CrsError::Unknown { definition: definition.to_owned(), cause };
        let proj = kept(|| Proj::new(definition)).map_err(|e| unknown(e.to_string()))?;
        let text = proj
            .to_projjson(Some(false), None, None)
            .map_err(|_| unknown("it is an operation, not a CRS".to_owned()))?;
        let json: Value = serde_json::from_str(&text).map_err(|e| unknown(e.to_string()))?;
        let horizontal = horizontal_part(&json);
        let kind = match horizontal["type"].as_str().unwrap_or_default() {
            "ProjectedCRS" | "DerivedProjectedCRS" => CrsKind::Projected,
            "GeographicCRS" => CrsKind::Geographic,
            other => {
                return Err(CrsError::NotAMap {
                    definition: definition.to_owned(),
                    kind: other.to_owned(),
                });
            }
        };
        let base = match kind {
            CrsKind::Projected => base_of(horizontal),
            CrsKind::Geographic => horizontal.clone(),
        };
        let (semi_major_m, flattening) =
            ellipsoid(&base).ok_or_else(|| unknown("its ellipsoid is not given".to_owned()))?;
        let (unit_name, metres_per_unit) = axis_unit(horizontal);
        let area = proj.area_of_use().ok().and_then(|(area, _)| area).map(|a| Area {
            west: a.west,
            south: a.south,
            east: a.east,
            north: a.north,
        });
        Ok(Self {
            definition: definition.to_owned(),
            name: json["name"].as_str().unwrap_or(definition).to_owned(),
            kind,
            unit_name,
            metres_per_unit,
            area,
            turned: counts_otherwise(horizontal),
            base: base.to_string(),
            semi_major_m,
            flattening,
            grids: None,
        })
    }

    /// The same with datum grids for the way to and from other CRS.
    #[must_use]
    pub fn with_grids(self, grids: Option<Grids>) -> Self {
        Self { grids, ..self }
    }

    /// The datum grids for the way to and from other CRS.
    #[must_use]
    pub const fn grids(&self) -> Option<&Grids> {
        self.grids.as_ref()
    }

    /// The definition as the user wrote it.
    #[must_use]
    pub fn definition(&self) -> &str {
        &self.definition
    }

    /// The CRS's name in PROJ's database.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Projected or geographic.
    #[must_use]
    pub const fn kind(&self) -> CrsKind {
        self.kind
    }

    /// The name of the axes' unit, such as `metre` or `US survey foot`.
    #[must_use]
    pub fn unit_name(&self) -> &str {
        &self.unit_name
    }

    /// Metres in one unit of easting or northing; radians in one unit of a geographic CRS.
    #[must_use]
    pub const fn metres_per_unit(&self) -> f64 {
        self.metres_per_unit
    }

    /// The area of use, where PROJ's database has one.
    #[must_use]
    pub const fn area(&self) -> Option<Area> {
        self.area
    }

    /// Whether coordinates grow to the west or to the south, so that the grid's own north is not
    /// north.
    #[must_use]
    pub const fn is_turned(&self) -> bool {
        self.turned
    }

    /// Whether positions on WGS 84 are known to some metres only: the CRS stands on an ellipsoid
    /// other than WGS 84's and GRS 80's, and the datum grids that would tell more are not built in.
    #[must_use]
    pub fn lon_lat_is_approximate(&self) -> bool {
        (self.semi_major_m - 6_378_137.0).abs() > 1e-3
            || (self.flattening - 1.0 / 298.257_223_563).abs() > 1e-9
    }

    /// Turns positions into longitude and latitude on WGS 84, in place.
    ///
    /// # Units
    /// - in: CRS units, (easting, northing); out: degrees, (longitude, latitude)
    ///
    /// # Errors
    /// [`CrsError::Untransformable`] for the first position that has no longitude and latitude.
    pub fn to_lon_lat(&self, points: &mut [Coord]) -> Result<(), CrsError> {
        Path { from: &self.definition, to: LON_LAT, grids: self.grids() }.go(Way::Forth, points)
    }

    /// Turns positions given in another CRS into this one, in place, with this one's datum grids or,
    /// where it has none, the other's.
    ///
    /// # Errors
    /// [`CrsError::Untransformable`] for the first position that cannot be transformed.
    pub fn convert_from(&self, other: &Self, points: &mut [Coord]) -> Result<(), CrsError> {
        let grids = self.grids().or(other.grids());
        Path { from: &other.definition, to: &self.definition, grids }.go(Way::Forth, points)
    }

    /// Meridian convergence and scale at some places, from PROJ's projection by central
    /// differences of 1e-5 rad on the CRS's own ellipsoid.
    ///
    /// # Units
    /// - `points`: CRS units
    ///
    /// # Errors
    /// [`CrsError::Untransformable`] when a place has no longitude and latitude.
    ///
    /// # References
    /// Snyder (1987), USGS Professional Paper 1395, eqs. 4-1 to 4-21; sign as in the UTM
    /// convention (`docs/methods.md`, eq. 7).
    pub fn factors(&self, points: &[Coord]) -> Result<Vec<Factors>, CrsError> {
        let geographic = self.geographic(points)?;
        let north = self.derivatives(&geographic, Coord { x: 0.0, y: STEP })?;
        let east = self.derivatives(&geographic, Coord { x: STEP, y: 0.0 })?;
        let e2 = self.flattening * (2.0 - self.flattening);
        let both = north.iter().zip(&east);
        Ok(geographic
            .iter()
            .zip(both)
            .map(|(p, (n, e))| {
                let (sin, cos) = (libm::sin(p.y.to_radians()), libm::cos(p.y.to_radians()));
                let w2 = 1.0 - e2 * sin * sin;
                let parallel_m = self.semi_major_m * cos / w2.sqrt();
                let meridian_m = self.semi_major_m * (1.0 - e2) / (w2 * w2.sqrt());
                Factors {
                    convergence_deg: convergence(*n),
                    scale: ((e.x * n.y - n.x * e.y).abs() / (parallel_m * meridian_m)).sqrt(),
                }
            })
            .collect())
    }

    /// Meridian convergence at many places, without the scale.
    ///
    /// # Units
    /// - `points`: CRS units; returns: degrees, positive when grid north is east of true north
    ///
    /// # Errors
    /// [`CrsError::Untransformable`] when a place has no longitude and latitude.
    pub fn convergences(&self, points: &[Coord]) -> Result<Vec<f64>, CrsError> {
        let north = self.derivatives(&self.geographic(points)?, Coord { x: 0.0, y: STEP })?;
        Ok(north.into_iter().map(convergence).collect())
    }

    /// The projection alone, on the CRS's own datum.
    fn projection(&self) -> Path<'_> {
        Path { from: &self.base, to: &self.definition, grids: None }
    }

    /// Longitude and latitude on the CRS's own datum, degrees.
    fn geographic(&self, points: &[Coord]) -> Result<Vec<Coord>, CrsError> {
        let mut geographic = points.to_vec();
        self.projection().go(Way::Back, &mut geographic)?;
        Ok(geographic)
    }

    /// How a position on the map moves, m per rad, as one steps on the ellipsoid: central
    /// differences over `step` radians of longitude and latitude.
    fn derivatives(&self, geographic: &[Coord], step: Coord) -> Result<Vec<Coord>, CrsError> {
        let (dx, dy) = (step.x.to_degrees(), step.y.to_degrees());
        let mut pairs: Vec<Coord> = geographic
            .iter()
            .flat_map(|p| [-1.0, 1.0].map(|s| Coord { x: p.x + s * dx, y: p.y + s * dy }))
            .collect();
        self.projection().go(Way::Forth, &mut pairs)?;
        let per = self.metres_per_unit / (2.0 * (step.x + step.y));
        Ok(pairs
            .chunks_exact(2)
            .map(|p| Coord { x: (p[1].x - p[0].x) * per, y: (p[1].y - p[0].y) * per })
            .collect())
    }
}

/// Meridian convergence, degrees, from the way a step to true north moves on the map: the
/// meridian's own direction on the grid is its opposite.
fn convergence(north: Coord) -> f64 {
    -libm::atan2(north.x, north.y).to_degrees()
}

//! The coordinate reference system: what is known about it, and the way to longitude and latitude.
//!
//! Two functions ask PROJ: what it knows of a definition, and where points of one CRS lie in another.
//! Without the feature `crs` both say that PROJ is not built in, and local coordinates remain.

#[cfg(feature = "crs")]
mod asked;
#[cfg(feature = "crs")]
mod path;
mod types;
#[cfg(not(feature = "crs"))]
mod without;

use std::collections::BTreeMap;
use std::sync::Mutex;

use geo::Coord;

use crate::sealed::Grids;
use crate::units::LengthUnit;

pub use types::{Area, CrsError, CrsKind, Factors};
use types::{Earth, Known, Path, Way};
#[cfg(not(feature = "crs"))]
use without::{asked, go};
#[cfg(feature = "crs")]
use {asked::asked, path::go};

/// Longitude and latitude on WGS 84 in the order RFC 7946 asks for.
const LON_LAT: &str = "OGC:CRS84";

/// Step of the differences that convergence and scale come from, rad: 64 m on the ground, where
/// neither the projection's bend nor the digits of a northing matter at 1e-9.
const STEP: f64 = 1e-5;

/// Looking a CRS up takes PROJ milliseconds, a map of a hundred wells takes it as many: it is done
/// once. What PROJ answers depends on the definition alone.
static KNOWN: Mutex<BTreeMap<String, Crs>> = Mutex::new(BTreeMap::new());

/// A coordinate reference system: one that PROJ knows, or local coordinates.
#[derive(Debug, Clone)]
pub struct Crs {
    definition: String,
    known: Known,
    grids: Option<Grids>,
    /// Where the north of local coordinates points, degrees clockwise from true north.
    site_north: Option<f64>,
}

impl Crs {
    /// The definition of local coordinates.
    pub const LOCAL: &str = "local";

    /// Local coordinates: eastings and northings of a plan, at true length, on no datum. Their north is site
    /// north; by how much it differs from true north, [`Crs::with_site_north`] says where it is known.
    ///
    /// # Units
    /// - `unit`: of eastings and northings
    #[must_use]
    pub fn local(unit: LengthUnit) -> Self {
        let unit_name = match unit {
            LengthUnit::Metre => "metre",
            LengthUnit::Foot => "foot",
            LengthUnit::UsSurveyFoot => "US survey foot",
        };
        let known = Known {
            name: "local coordinates".to_owned(),
            kind: CrsKind::Local,
            unit_name: unit_name.to_owned(),
            metres_per_unit: unit.metres(),
            area: None,
            turned: false,
            x_may_be_north: false,
            earth: None,
        };
        Self { definition: Self::LOCAL.to_owned(), known, grids: None, site_north: None }
    }

    /// Local coordinates where the definition is [`Crs::LOCAL`], in the length unit; any other as
    /// [`Crs::lookup`].
    ///
    /// # Errors
    /// [`CrsError::NoUnit`] for local coordinates without a unit, and those of [`Crs::lookup`].
    pub fn of(definition: &str, length_unit: Option<LengthUnit>) -> Result<Self, CrsError> {
        if definition == Self::LOCAL {
            return length_unit.map(Self::local).ok_or(CrsError::NoUnit);
        }
        Self::lookup(definition)
    }

    /// Whether a WKT is that of a plan, which says nothing of where on earth it is.
    #[must_use]
    pub(crate) fn is_plan(wkt: &str) -> bool {
        let keyword = wkt.split('[').next().unwrap_or_default().trim();
        ["LOCAL_CS", "ENGCRS", "ENGINEERINGCRS"].iter().any(|k| keyword.eq_ignore_ascii_case(k))
    }

    /// Looks a CRS up: an authority code such as `EPSG:26915`, a WKT or a PROJJSON text.
    ///
    /// # Errors
    /// [`CrsError::Unknown`] when PROJ does not know it, [`CrsError::NotAMap`] when it is
    /// neither projected nor geographic, [`CrsError::NotBuiltIn`] without the feature `crs`.
    pub fn lookup(definition: &str) -> Result<Self, CrsError> {
        let known = || KNOWN.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(crs) = known().get(definition) {
            return Ok(crs.clone());
        }
        let crs = Self {
            definition: definition.to_owned(),
            known: asked(definition)?,
            grids: None,
            site_north: None,
        };
        known().insert(definition.to_owned(), crs.clone());
        Ok(crs)
    }

    /// The same with datum grids for the way to and from other CRS.
    #[must_use]
    pub(crate) fn with_grids(self, grids: Option<Grids>) -> Self {
        Self { grids, ..self }
    }

    /// Local coordinates with the azimuth of site north, where it is known; any other CRS as it is.
    ///
    /// # Units
    /// - `azimuth_deg`: of site north, degrees clockwise from true north: 10 where site north points 10
    ///   degrees east of true north, so that true azimuth = azimuth from site north + 10
    #[must_use]
    pub fn with_site_north(self, azimuth_deg: Option<f64>) -> Self {
        // Half the circle to either side: nobody says that north lies 350 degrees east of north.
        let turned = |deg: f64| match deg {
            near if near > -180.0 && near <= 180.0 => near,
            far => 180.0 - (180.0 - far).rem_euclid(360.0),
        };
        let site_north = azimuth_deg.filter(|_| !self.is_on_earth()).map(turned);
        Self { site_north, ..self }
    }

    /// Whether true north is known: on earth always, in local coordinates where somebody measured the
    /// azimuth of site north.
    #[must_use]
    pub const fn knows_true_north(&self) -> bool {
        self.is_on_earth() || self.site_north.is_some()
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
        &self.known.name
    }

    /// Projected or geographic.
    #[must_use]
    pub const fn kind(&self) -> CrsKind {
        self.known.kind
    }

    /// The name of the axes' unit, such as `metre` or `US survey foot`.
    #[must_use]
    pub fn unit_name(&self) -> &str {
        &self.known.unit_name
    }

    /// Metres in one unit of easting or northing; radians in one unit of a geographic CRS.
    #[must_use]
    pub const fn metres_per_unit(&self) -> f64 {
        self.known.metres_per_unit
    }

    /// The area of use, where PROJ's database has one.
    #[must_use]
    pub const fn area(&self) -> Option<Area> {
        self.known.area
    }

    /// Whether coordinates grow to the west or to the south, so that the grid's own north is not
    /// north.
    #[must_use]
    pub(crate) const fn is_turned(&self) -> bool {
        self.known.turned
    }

    /// Whether X may be its name for northings: they are the first of its coordinates, or are abbreviated so.
    #[must_use]
    pub(crate) const fn x_may_be_north(&self) -> bool {
        self.known.x_may_be_north
    }

    /// Whether positions on WGS 84 are known to some metres only: the CRS stands on an ellipsoid
    /// other than WGS 84's and GRS 80's, and the datum grids that would tell more are not built in.
    #[must_use]
    pub(crate) fn lon_lat_is_approximate(&self) -> bool {
        self.known.earth.as_ref().is_some_and(|earth| {
            (earth.semi_major_m - 6_378_137.0).abs() > 1e-3
                || (earth.flattening - 1.0 / 298.257_223_563).abs() > 1e-9
        })
    }

    /// Whether positions have a longitude and latitude; in local coordinates they have none.
    #[must_use]
    pub const fn is_on_earth(&self) -> bool {
        self.known.earth.is_some()
    }

    /// Turns positions into longitude and latitude on WGS 84, in place.
    ///
    /// # Units
    /// - in: CRS units, (easting, northing); out: degrees, (longitude, latitude)
    ///
    /// # Errors
    /// [`CrsError::Untransformable`] for the first position that has no longitude and latitude,
    /// [`CrsError::Local`] for local coordinates.
    pub fn to_lon_lat(&self, points: &mut [Coord]) -> Result<(), CrsError> {
        self.earth()?;
        go(Path { from: &self.definition, to: LON_LAT, grids: self.grids() }, Way::Forth, points)
    }

    /// Turns positions given in another CRS into this one, in place, with this one's datum grids or,
    /// where it has none, the other's.
    ///
    /// # Errors
    /// [`CrsError::Untransformable`] for the first position that cannot be transformed,
    /// [`CrsError::Local`] where one of the two is local coordinates.
    pub fn convert_from(&self, other: &Self, points: &mut [Coord]) -> Result<(), CrsError> {
        self.earth()?;
        other.earth()?;
        let grids = self.grids().or(other.grids());
        go(Path { from: &other.definition, to: &self.definition, grids }, Way::Forth, points)
    }

    /// Meridian convergence and scale at some places, from PROJ's projection by central
    /// differences of 1e-5 rad on the CRS's own ellipsoid. In local coordinates the scale is 1, and the
    /// convergence the azimuth of site north, 0 where nobody knows it.
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
        let Some(earth) = &self.known.earth else {
            return Ok(vec![Factors { convergence_deg: self.on_plan(), scale: 1.0 }; points.len()]);
        };
        let geographic = self.geographic(earth, points)?;
        let north = self.derivatives(earth, &geographic, Coord { x: 0.0, y: STEP })?;
        let east = self.derivatives(earth, &geographic, Coord { x: STEP, y: 0.0 })?;
        let e2 = earth.flattening * (2.0 - earth.flattening);
        let both = north.iter().zip(&east);
        Ok(geographic
            .iter()
            .zip(both)
            .map(|(p, (n, e))| {
                let (sin, cos) = (libm::sin(p.y.to_radians()), libm::cos(p.y.to_radians()));
                let w2 = 1.0 - e2 * sin * sin;
                let parallel_m = earth.semi_major_m * cos / w2.sqrt();
                let meridian_m = earth.semi_major_m * (1.0 - e2) / (w2 * w2.sqrt());
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
    pub(crate) fn convergences(&self, points: &[Coord]) -> Result<Vec<f64>, CrsError> {
        let Some(earth) = &self.known.earth else {
            return Ok(vec![self.on_plan(); points.len()]);
        };
        let geographic = self.geographic(earth, points)?;
        let north = self.derivatives(earth, &geographic, Coord { x: 0.0, y: STEP })?;
        Ok(north.into_iter().map(convergence).collect())
    }

    /// The convergence of local coordinates, degrees.
    fn on_plan(&self) -> f64 {
        self.site_north.unwrap_or(0.0)
    }

    /// The projection alone, on the CRS's own datum.
    fn projection<'a>(&'a self, earth: &'a Earth) -> Path<'a> {
        Path { from: &earth.base, to: &self.definition, grids: None }
    }

    fn earth(&self) -> Result<&Earth, CrsError> {
        self.known.earth.as_ref().ok_or(CrsError::Local)
    }

    /// Longitude and latitude of places on the CRS's own datum, degrees.
    pub(crate) fn own_lon_lat(&self, points: &[Coord]) -> Result<Vec<Coord>, CrsError> {
        self.geographic(self.earth()?, points)
    }

    /// Longitude and latitude on the CRS's own datum, degrees.
    fn geographic(&self, earth: &Earth, points: &[Coord]) -> Result<Vec<Coord>, CrsError> {
        let mut geographic = points.to_vec();
        go(self.projection(earth), Way::Back, &mut geographic)?;
        Ok(geographic)
    }

    /// How a position on the map moves, m per rad, as one steps on the ellipsoid: central
    /// differences over `step` radians of longitude and latitude.
    fn derivatives(
        &self,
        earth: &Earth,
        geographic: &[Coord],
        step: Coord,
    ) -> Result<Vec<Coord>, CrsError> {
        let (dx, dy) = (step.x.to_degrees(), step.y.to_degrees());
        let mut pairs: Vec<Coord> = geographic
            .iter()
            .flat_map(|p| [-1.0, 1.0].map(|s| Coord { x: p.x + s * dx, y: p.y + s * dy }))
            .collect();
        go(self.projection(earth), Way::Forth, &mut pairs)?;
        let per = self.known.metres_per_unit / (2.0 * (step.x + step.y));
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

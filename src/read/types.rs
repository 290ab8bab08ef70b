//! What a site's files say, before anything is worked out.

use jiff::civil::{Date, DateTime};
use serde::{Deserialize, Serialize};

use crate::diag::Origin;
use crate::geom::{Crs, tolerance};
use crate::sealed::Grids;
use crate::units::{HeightUnits, LengthUnit};

use super::aquifer::ReceptorSettings;
use super::formats::VectorFormat;
use super::head_errors::{HeadErrors, UncertaintySettings};
use super::input_file::InputFile;
use super::method::Method;
use super::sheet::{SheetOverrides, SheetSettings};
use super::surface::SurfaceSettings;

/// What the command line says over `site.toml`.
#[derive(Debug, Clone, Default)]
pub struct Overrides {
    /// The project CRS.
    pub crs: Option<String>,
    /// The unit of elevations.
    pub elevation_unit: Option<LengthUnit>,
    /// The node distance, in the site's length unit (the CRS's own unless declared).
    pub cell: Option<f64>,
    /// The contour interval, elevation unit.
    pub interval: Option<f64>,
    /// How heads between wells are worked out.
    pub surface: Option<Method>,
    /// Whether rasters of uncertainty are asked for.
    pub rasters: bool,
    /// The round to map, by its file's name without the ending.
    pub round: Option<String>,
    /// Formats beside those of `site.toml`.
    pub formats: Vec<VectorFormat>,
    /// How the map sheet is drawn.
    pub sheet: SheetOverrides,
}

/// A synoptic round of a site: the readings, and what holds for them alone. On record are its
/// settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Round {
    /// Its name: its file's name without the ending.
    #[serde(skip)]
    pub name: String,
    /// The readings, in the order of wells' names, numbers and times.
    #[serde(skip)]
    pub readings: Vec<Reading>,
    /// Unit of depths, product depths, pressure heads, hold and cut.
    pub depth_unit: LengthUnit,
    /// Repeated readings agree within this, depth unit.
    pub repeat_tolerance: f64,
    /// How sure heads are taken to be.
    pub head_errors: HeadErrors,
    /// Each file read for the round alone, for the record.
    #[serde(skip)]
    pub inputs: Vec<InputFile>,
}

impl Round {
    /// A round of a site, its depths in the site's elevation unit, with the usual errors of heads.
    #[must_use]
    pub fn new(name: &str, readings: Vec<Reading>, settings: &Settings) -> Self {
        let depth_unit = settings.elevation_unit;
        Self {
            name: name.to_owned(),
            readings,
            depth_unit,
            repeat_tolerance: Self::usual_tolerance(depth_unit),
            head_errors: HeadErrors::default(),
            inputs: Vec::new(),
        }
    }

    /// Repeated readings agree within this unless the site says otherwise, depth unit.
    pub(super) const fn usual_tolerance(depth_unit: LengthUnit) -> f64 {
        if depth_unit.is_foot() { tolerance::REPEAT_FT } else { tolerance::REPEAT_M }
    }

    /// The units of its heads and of its depths.
    #[must_use]
    pub const fn units(&self, settings: &Settings) -> HeightUnits {
        HeightUnits { elevation: settings.elevation_unit, depth: self.depth_unit }
    }
}

/// From where depths of wells and screens are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DepthDatum {
    /// Below the measuring point.
    MeasuringPoint,
    /// Below the ground surface.
    Ground,
}

/// What is declared about the site as a whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Settings {
    /// The site's name.
    pub name: String,
    /// The project CRS: an authority code, WKT or PROJJSON, or [`Crs::LOCAL`].
    pub crs: String,
    /// The CRS of the register's coordinates, where it is not the project's.
    pub coordinates_crs: Option<String>,
    /// The datum grids of the site, for the ways between its CRS and others.
    pub grids: Option<Grids>,
    /// Unit of eastings and northings in the register and of `cell`, where declared; the CRS's
    /// own otherwise.
    pub length_unit: Option<LengthUnit>,
    /// Unit of elevations, heads, contour levels.
    pub elevation_unit: LengthUnit,
    /// Whether `elevation_unit` was taken from the CRS because nothing declared it.
    pub elevation_unit_assumed: bool,
    /// Unit of depths in the rounds, where declared; as a round's headings say, or the elevation
    /// unit otherwise: [`Round::depth_unit`].
    #[serde(skip)]
    pub depth_unit: Option<LengthUnit>,
    /// The vertical datum's name, as it is to stand on the map.
    pub vertical_datum: Option<String>,
    /// The aquifer unit to map, where the register has several.
    pub aquifer_unit: Option<String>,
    /// From where total depths and screens are counted.
    pub depths_from: DepthDatum,
    /// From where sounded depths are counted: a heading may say the measuring point where the
    /// other depths are counted from the ground.
    pub sounded_from: DepthDatum,
    /// The longest time a round may take, hours.
    pub round_window_h: f64,
    /// Repeated readings agree within this, in the depth unit, where declared:
    /// [`Round::repeat_tolerance`].
    #[serde(skip)]
    pub repeat_tolerance: Option<f64>,
    /// A measuring point older than this, in years, is stale.
    pub measuring_point_age_years: f64,
    /// Node distance in CRS units; chosen from the site's size when `None`.
    pub cell: Option<f64>,
    /// Contour interval in the elevation unit; chosen from the heads when `None`.
    pub interval: Option<f64>,
    /// A level that the contour levels count from, elevation unit.
    pub base_level: f64,
    /// Specific gravity of floating product for wells and readings that give none of their own.
    pub specific_gravity: Option<f64>,
    /// Distance of control points along streams, CRS units; the usual spacing of wells when `None`.
    pub stream_spacing: Option<f64>,
    /// How far from the nearest well a stream carries the map, CRS units;
    /// [`crate::geom::tolerance::STREAM_REACH_SPACINGS`] usual spacings of wells when `None`.
    pub stream_reach: Option<f64>,
    /// Vector formats to write beside GeoJSON and GeoPackage, each once, in order.
    pub formats: Vec<VectorFormat>,
    /// How heads between wells are worked out.
    pub surface: SurfaceSettings,
    /// How sure heads are taken to be.
    pub uncertainty: UncertaintySettings,
    /// How the map sheet is drawn.
    pub sheet: SheetSettings,
    /// The aquifer, its receptors, the land surface.
    pub receptors: ReceptorSettings,
}

impl Settings {
    /// A site of a name in a projected CRS, with what is usual for all that `site.toml` may declare.
    ///
    /// # Units
    /// - `crs`: an authority code, WKT or PROJJSON; `elevation_unit`: of elevations and heads
    #[must_use]
    pub fn new(name: &str, crs: &str, elevation_unit: LengthUnit) -> Self {
        Self {
            name: name.to_owned(),
            crs: crs.to_owned(),
            coordinates_crs: None,
            grids: None,
            length_unit: None,
            elevation_unit,
            elevation_unit_assumed: false,
            depth_unit: None,
            vertical_datum: None,
            aquifer_unit: None,
            depths_from: DepthDatum::MeasuringPoint,
            sounded_from: DepthDatum::MeasuringPoint,
            round_window_h: tolerance::ROUND_WINDOW_H,
            repeat_tolerance: None,
            measuring_point_age_years: tolerance::MEASURING_POINT_AGE_YEARS,
            cell: None,
            interval: None,
            base_level: 0.0,
            specific_gravity: None,
            stream_spacing: None,
            stream_reach: None,
            formats: Vec::new(),
            surface: SurfaceSettings::default(),
            uncertainty: UncertaintySettings::default(),
            sheet: SheetSettings::default(),
            receptors: ReceptorSettings::default(),
        }
    }

    /// A site of a name in local coordinates, of which nobody knows where on earth they are. Its north is
    /// that of the plan.
    ///
    /// # Units
    /// - `length_unit`: of eastings and northings; `elevation_unit`: of elevations and heads
    #[must_use]
    pub fn local(name: &str, length_unit: LengthUnit, elevation_unit: LengthUnit) -> Self {
        Self { length_unit: Some(length_unit), ..Self::new(name, Crs::LOCAL, elevation_unit) }
    }
}

/// A well, or a gauge on surface water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum WellKind {
    /// A monitoring well or piezometer.
    Well,
    /// A surface-water gauge or reference mark: a control point of the surface.
    Gauge,
}

/// One row of the register.
#[derive(Debug, Clone, PartialEq)]
pub struct Well {
    /// The well's name, trimmed.
    pub id: String,
    /// Well or gauge.
    pub kind: WellKind,
    /// Easting (or longitude), as given.
    pub easting: f64,
    /// Northing (or latitude), as given.
    pub northing: f64,
    /// The aquifer unit its screen is open to.
    pub aquifer_unit: Option<String>,
    /// Ground elevation, elevation unit.
    pub ground_elevation: Option<f64>,
    /// Built depth of the well, elevation unit, from [`Settings::depths_from`].
    pub total_depth: Option<f64>,
    /// Depth last sounded, elevation unit, from [`Settings::sounded_from`].
    pub sounded_depth: Option<f64>,
    /// Depth of the screen's top, elevation unit, from [`Settings::depths_from`].
    pub screen_top: Option<f64>,
    /// Depth of the screen's bottom, elevation unit, from [`Settings::depths_from`].
    pub screen_bottom: Option<f64>,
    /// Specific gravity of the product that floats in it.
    pub specific_gravity: Option<f64>,
    /// Where the row stands.
    pub origin: Origin,
}

impl Well {
    /// A well of a name at a place, of which nothing more is known.
    ///
    /// # Units
    /// - `easting`, `northing`: CRS units
    #[must_use]
    pub fn new(id: &str, easting: f64, northing: f64) -> Self {
        Self {
            id: id.to_owned(),
            kind: WellKind::Well,
            easting,
            northing,
            aquifer_unit: None,
            ground_elevation: None,
            total_depth: None,
            sounded_depth: None,
            screen_top: None,
            screen_bottom: None,
            specific_gravity: None,
            origin: Origin::file(GIVEN),
        }
    }
}

/// What stands for the file of that which no file says.
const GIVEN: &str = "given in memory";

/// A measuring point's elevation, from a survey.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuringPoint {
    /// The first day it is valid; `None` when it is valid from the beginning.
    pub valid_from: Option<Date>,
    /// Elevation, elevation unit.
    pub elevation: f64,
    /// Where it stands.
    pub origin: Origin,
}

/// A tape's calibration: true depth = reading + offset + stretch x reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Calibration {
    /// To be added to every reading, depth unit.
    pub offset: f64,
    /// To be added for each unit of length read, dimensionless.
    pub stretch: f64,
}

/// When a reading was taken: local clock time of the site, or a day without a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moment {
    /// A day and a time of day.
    Time(DateTime),
    /// A day only.
    Day(Date),
}

impl Moment {
    /// The day.
    #[must_use]
    pub fn date(self) -> Date {
        match self {
            Self::Time(t) => t.date(),
            Self::Day(d) => d,
        }
    }
}

impl std::fmt::Display for Moment {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Time(t) => write!(f, "{}", t.strftime("%Y-%m-%dT%H:%M:%S")),
            Self::Day(d) => write!(f, "{d}"),
        }
    }
}

/// The state a well was found in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// A level at rest, or nothing said.
    Static,
    /// No water above the bottom.
    Dry,
    /// The probe does not pass.
    Obstructed,
    /// Could not be reached or opened.
    NotAccessible,
    /// Water stands above the measuring point.
    Flowing,
    /// The pump runs in the well.
    Pumping,
    /// The pump has stopped and the level still rises.
    Recovering,
    /// Water falls down the casing and wets the probe.
    Cascading,
}

impl Status {
    /// The word as it is written in tables.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Static => "static",
            Self::Dry => "dry",
            Self::Obstructed => "obstructed",
            Self::NotAccessible => "not accessible",
            Self::Flowing => "flowing",
            Self::Pumping => "pumping",
            Self::Recovering => "recovering",
            Self::Cascading => "cascading",
        }
    }
}

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measurement {
    /// Nothing: a status word alone.
    None,
    /// Depth to water below the measuring point, depth unit; negative above it.
    Depth(f64),
    /// A chalked tape: the length held at the measuring point and the length wetted, depth unit.
    HoldAndCut {
        /// Tape reading at the measuring point.
        hold: f64,
        /// Tape reading at the wetted line.
        cut: f64,
    },
    /// Product on water: depths below the measuring point, depth unit.
    Product {
        /// Depth to product.
        to_product: f64,
        /// Depth to water.
        to_water: f64,
        /// Specific gravity, where the row gives it.
        specific_gravity: Option<f64>,
    },
    /// Pressure head above the measuring point, as a height of water in the depth unit.
    PressureHead(f64),
    /// Height of a water surface above the gauge's reference mark, depth unit.
    Stage(f64),
    /// The elevation itself, elevation unit.
    Elevation(f64),
}

/// One row of a round.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The well's name.
    pub well: String,
    /// When.
    pub moment: Option<Moment>,
    /// Which of several readings of the well this is, where the round numbers them.
    pub number: Option<u32>,
    /// What was measured.
    pub measurement: Measurement,
    /// An elevation written down beside a depth, for comparison, elevation unit.
    pub written_elevation: Option<f64>,
    /// A thickness of floating product written down beside depths to water and to product, for
    /// comparison, depth unit. Where the depth to product is not written, it is had from this.
    pub written_thickness: Option<f64>,
    /// The state of the well.
    pub status: Status,
    /// The instrument, where named.
    pub instrument: Option<String>,
    /// The remark, as written.
    pub remark: Option<String>,
    /// Where the row stands.
    pub origin: Origin,
}

impl Reading {
    /// A reading of a well at rest, of which nothing more is known.
    #[must_use]
    pub fn new(well: &str, measurement: Measurement) -> Self {
        Self {
            well: well.to_owned(),
            moment: None,
            number: None,
            measurement,
            written_elevation: None,
            written_thickness: None,
            status: Status::Static,
            instrument: None,
            remark: None,
            origin: Origin::file(GIVEN),
        }
    }
}

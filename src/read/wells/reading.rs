//! A reading: when, what was measured, and in what state the well was found.

use jiff::civil::{Date, DateTime};
use serde::Serialize;

use crate::diag::Origin;

use super::well::GIVEN;

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
    /// Could not be found, reached or opened.
    NotAccessible,
    /// No level was read, and nothing more is said.
    NotMeasured,
    /// There is no well to read any more.
    Destroyed,
    /// Water stands above the measuring point.
    Flowing,
    /// The pump runs in the well.
    Pumping,
    /// The pump has stopped and the level still rises.
    Recovering,
    /// Water falls down the casing and wets the probe.
    Cascading,
    /// Whoever read it decided that it is not to be contoured; the remark says why.
    NotUsed,
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
            Self::NotMeasured => "not measured",
            Self::Destroyed => "destroyed",
            Self::Flowing => "flowing",
            Self::Pumping => "pumping",
            Self::Recovering => "recovering",
            Self::Cascading => "cascading",
            Self::NotUsed => "not used",
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
    /// How many decimals the numbers of the measurement are written with, in the order of its fields; `None` where
    /// no table says so.
    pub written_decimals: Option<[u8; 2]>,
    /// The depth below the measuring point down to which a dry well has no water, where the reading says
    /// it, as `>9.5` does, depth unit.
    pub dry_to: Option<f64>,
    /// The state of the well.
    pub status: Status,
    /// The instrument, where named.
    pub instrument: Option<String>,
    /// The remark, as written, and behind it the words that were in the place of numbers.
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
            written_decimals: None,
            dry_to: None,
            status: Status::Static,
            instrument: None,
            remark: None,
            origin: Origin::file(GIVEN),
        }
    }
}

//! Files, and what they say. Values keep the user's units and remember their file and line.

mod types;

pub use types::{
    Calibration, DepthDatum, InputFile, Measurement, MeasuringPoint, Moment, Reading, Settings,
    SiteFile, Status, Well, WellKind,
};

//! What reduction gives.

use std::sync::Arc;

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use crate::diag::Code;
use crate::read::Moment;

/// What became of a reading.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "fate", rename_all = "kebab-case")]
pub enum Fate {
    /// It is the well's head, or part of the mean that is.
    Used,
    /// It is not, and why.
    NotUsed {
        /// The finding that explains it, where one was made.
        code: Option<Code>,
        /// The reason in words, such as `pumping: not a static level`.
        reason: String,
    },
}

/// The account of one reading: what it became.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingAccount {
    /// Index into [`crate::read::Round::readings`].
    pub reading: usize,
    /// Index into [`crate::read::Site::wells`].
    pub well: usize,
    /// The measuring point elevation it was reduced from, elevation unit.
    pub measuring_point: Option<f64>,
    /// The first day on which that elevation holds; `None` where it holds from the beginning.
    pub surveyed: Option<Date>,
    /// The other elevation that held in the round before, or by the survey before where no earlier round is
    /// known, elevation unit.
    pub changed_from: Option<f64>,
    /// What was added to the depth to water for its tape, depth unit; `None` where the site declares no
    /// calibration of it.
    pub instrument_correction: Option<f64>,
    /// Depth to water after tape correction, depth unit.
    pub corrected_depth: Option<f64>,
    /// Thickness of floating product, depth unit.
    pub product_thickness: Option<f64>,
    /// Specific gravity of the product, of the reading, the well or the site.
    pub specific_gravity: Option<f64>,
    /// What was taken off the corrected depth for floating product, depth unit.
    pub product_correction: Option<f64>,
    /// Depth below the measuring point down to which a dry well has no water, where it was read, after tape
    /// correction, depth unit.
    pub dry_to: Option<f64>,
    /// The head this reading gives by itself, elevation unit, cleaned to 1e-9.
    pub head: Option<f64>,
    /// Whether it is behind the head of its well, be that mapped or not.
    pub behind: bool,
    /// Used or not used.
    pub fate: Fate,
}

impl ReadingAccount {
    /// One of a reading of which nothing is known yet.
    pub(crate) const fn blank(reading: usize, well: usize) -> Self {
        Self {
            reading,
            well,
            measuring_point: None,
            surveyed: None,
            changed_from: None,
            instrument_correction: None,
            corrected_depth: None,
            product_thickness: None,
            specific_gravity: None,
            product_correction: None,
            dry_to: None,
            head: None,
            behind: false,
            fate: Fate::Used,
        }
    }
}

/// The head of one well in the round.
#[derive(Debug, Clone, PartialEq)]
pub struct WellHead {
    /// Index into [`crate::read::Site::wells`].
    pub well: usize,
    /// The head, elevation unit, cleaned to 1e-9.
    pub head: f64,
    /// Depth to water behind it (mean of the accepted readings, tape-corrected), depth unit.
    pub depth: Option<f64>,
    /// Measuring point elevation behind it, elevation unit.
    pub measuring_point: Option<f64>,
    /// Thickness of floating product, depth unit.
    pub product_thickness: Option<f64>,
    /// When the last accepted reading was taken.
    pub moment: Option<Moment>,
    /// Indices into [`Reduced::accounts`] of the readings behind it.
    pub accounts: Vec<usize>,
}

/// The whole round, reduced.
#[derive(Debug, Clone, PartialEq)]
pub struct Reduced {
    /// One for each well with a static head, sorted by well id.
    pub heads: Vec<WellHead>,
    /// One for each reading, in the order of [`crate::read::Round::readings`]; shared with the checks, which
    /// copy them where they take readings off the map.
    pub accounts: Arc<Vec<ReadingAccount>>,
    /// Wells of the register without any reading: indices into the register, sorted by id.
    pub not_read: Vec<usize>,
}

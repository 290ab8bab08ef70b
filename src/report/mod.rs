//! What is said of a map, decided once for sheet, page, files and terminal.
//!
//! | file | what it decides |
//! |---|---|
//! | `results` | the map as a whole |
//! | `across` | maps of values worked out from several rounds |
//! | `wells` | which wells carry the map, which do not and why, which are pumped |
//! | `posted` | the sign that each well wears |
//! | `levels` | every reading with the terms of its head, as tables print them |
//! | `water_levels`, `well_table` | the tables of a report: levels, wells |
//! | `arrows` | where arrows of flow may be drawn, and how long they are |
//! | `drawn_contours` | lines of equal head as they are drawn |
//! | `directions` | what arrows follow, which directions the readings resolve |
//! | `cautions` | what a map and an answer must be read with |
//! | `facts` | what was mapped, when, on which surface |
//! | `finding_counts` | how many findings there are |
//! | `of_round` | what each row of a file says it belongs to |
//! | `volume` | the water behind a change of head |
//! | `norths` | what directions are stated against |
//! | `statement` | gradient and direction of the whole site |
//! | `nests` | up or down between nested wells |
//! | `answers` | where the water goes: rows and sentences |
//! | `over_rounds` | the same over all rounds of a site |
//! | `site_record` | the record of a site: all levels, wells and rounds |
//! | `form` | the field sheet for the next round |
//! | `comparison` | the methods compared |
//! | `summary` | all of it at once: the content of `summary.json` |
//! | `digits`, `heights`, `intervals` | how each quantity is rounded for files |
//! | `axis` | the ticks of an axis |
//! | `measures` | how each quantity is written for a reader |

mod across;
mod answers;
mod arrows;
pub(crate) mod axis;
mod cautions;
mod changes;
mod comparison;
#[cfg(any(feature = "formats", feature = "sheet"))]
mod contour_sign;
pub(crate) mod digits;
mod directions;
#[cfg(any(feature = "page", feature = "sheet"))]
mod drawn_contours;
mod facts;
mod finding_counts;
mod form;
mod heights;
mod intervals;
mod levels;
mod look;
pub(crate) mod measures;
mod nests;
mod norths;
mod of_round;
mod over_rounds;
mod posted;
mod results;
mod site_record;
mod statement;
mod summary;
mod volume;
mod water_levels;
mod well_table;
mod wells;
mod words;

pub use answers::{
    AcrossRow, Distances, FlowRow, GroundSummary, PathRow, PlaceRow, PumpedRow, RankRow, ReachRow,
    TowardSummary, VerdictRow,
};
pub use cautions::{CAUTIONS, RECORD_CAUTIONS, TOWARD_CAUTIONS};
pub use changes::{Changes, WellChange};
pub use comparison::{
    Compared, ComparisonResults, ComparisonSummary, EffectSummary, LeftOutSummary, MethodSummary,
    PredictionSummary, ScoreSummary, WellSummary,
};
pub use directions::{Followed, Resolved};
pub use facts::Facts;
pub use finding_counts::FindingCounts;
pub use form::{Expected, ExpectedBy, Form, FormRow, expected};
pub use intervals::Intervals;
pub use look::Look;
pub use nests::VerticalRow;
pub use norths::{North, Norths};
pub use of_round::{OfRound, OfSite};
pub use over_rounds::{
    AnswersOfRound, OverRounds, OverRoundsSummary, PairOverRounds, RoundAnswers, RoundPath,
    RoundSummary, RoundVerdict, Swing,
};
pub use results::{Options, Results};
pub use site_record::{
    DoubtfulOfRecord, LevelOfRecord, NestOfRecord, NotReadOfRecord, PeriodMap, RecordStatement,
    RoundOfRecord, SiteRecord, SiteRecordSummary, SurfaceOfRecord, ValueOfRecord, VisitOfRecord,
    WellOfRecord,
};
pub use statement::{NOT_PLANAR, Over, Statement};
pub use summary::{
    ContourSummary, Counts, CrsSummary, FlowSummary, Foot, MarkCounts, Opening, PlaneSummary,
    Summary, UncertaintySummary, VectorMeanSummary, WellResidual,
};
pub use volume::VolumeOfChange;
pub use wells::{NotUsed, PumpedPlace, carriers};
pub use words::counted;

#[cfg(any(feature = "formats", feature = "page"))]
pub(crate) use answers::Rows;
#[cfg(any(feature = "formats", feature = "page", feature = "sheet"))]
pub(crate) use arrows::{ArrowScale, FlowArrow};
#[cfg(any(feature = "formats", feature = "sheet"))]
pub(crate) use contour_sign::ContourSign;
#[cfg(any(feature = "formats", feature = "sheet"))]
pub(crate) use facts::surface_of;
#[cfg(feature = "formats")]
pub(crate) use heights::Height;
#[cfg(feature = "formats")]
pub(crate) use levels::{Contoured, Level, Levels, Terms};
#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use nests::Nests;
#[cfg(feature = "page")]
pub(crate) use nests::gradient_words;
#[cfg(feature = "sheet")]
pub(crate) use posted::{CORRECTED, UNFIT, not_used};
#[cfg(any(feature = "formats", feature = "page", feature = "sheet"))]
pub(crate) use posted::{Posted, WellSign};
#[cfg(feature = "page")]
pub(crate) use site_record::Doubt;
#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use site_record::{Directed, HydrographGroup, Plot, Ranged, TimeAxis, noon};
#[cfg(feature = "formats")]
pub(crate) use water_levels::{WaterLevel, day_and_time, water_levels};
#[cfg(feature = "formats")]
pub(crate) use well_table::{WellRow, well_table};

//! The record of a site as flat rows, rounded: what its tables, its page, its account and the terminal show.
//!
//! | file | what it knows |
//! |---|---|
//! | `types` | the rows |
//! | `rows` | the record and its rows, rounded |
//! | `time`, `plot` | an axis of days; where values lie on a plot |
//! | `hydrographs`, `directed` | what hydrographs and compass show, for page and sheets |
//! | `statement` | what it says in a few sentences |
//! | `visit` | what it asks for on the next visit |
//! | `period_map`, `surfaces` | the highest, the lowest and the mean heads of years and seasons; as rows |
//! | `summary` | all of it at once |

mod directed;
mod hydrographs;
mod period_map;
mod plot;
mod rows;
mod statement;
mod summary;
mod surfaces;
mod time;
mod types;
mod visit;

#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use directed::Directed;
#[cfg(feature = "page")]
pub(crate) use hydrographs::Doubt;
#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use hydrographs::{Group as HydrographGroup, Ranged};
pub use period_map::PeriodMap;
#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use plot::Plot;
pub use rows::SiteRecord;
pub use statement::RecordStatement;

#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use time::{TimeAxis, noon};
pub use types::{
    DoubtfulOfRecord, LevelOfRecord, NestOfRecord, NotReadOfRecord, RoundOfRecord,
    SiteRecordSummary, SurfaceOfRecord, ValueOfRecord, VisitOfRecord, WellOfRecord,
};

//! The record of a site as flat rows, rounded: what its tables, its page, its account and the terminal show.
//!
//! | file | what it knows |
//! |---|---|
//! | `types` | the rows |
//! | `rows` | the record and its rows, rounded |
//! | `statement` | what it says in a few sentences |
//! | `visit` | what it asks for on the next visit |
//! | `summary` | all of it at once |

mod rows;
mod statement;
mod summary;
mod types;
mod visit;

pub use rows::SiteRecord;
pub use statement::RecordStatement;
pub use types::{
    DoubtfulOfRecord, LevelOfRecord, NestOfRecord, NotReadOfRecord, RoundOfRecord,
    SiteRecordSummary, VisitOfRecord, WellOfRecord,
};

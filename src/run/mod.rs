//! The whole way: the stages in order.
//!
//! | file | what it does |
//! |---|---|
//! | `stages` | from files or memory to a map, to the way of its water, to a comparison of methods |
//! | `telling` | what the stages found, held against what somebody accepted |
//! | `rounds` | the rounds of a site, read one after another |
//! | `all_rounds` | all of them, each read and reduced |
//! | `over_rounds` | where the water goes in each of them |
//! | `record` | all of them side by side |
//! | `across` | the map of values worked out from several rounds |
//! | `compare` | what changed between two of them |
//! | `form` | the field sheet for the next one |
//! | `aquifer_units` | the folders of aquifer units |
//! | `files` | the same, and the results written |
//! | `batch` | many sites and rounds |
//! | `start_from` | a site folder from one table |
//! | `verify` | results held against what they were made from |

mod across;
mod all_rounds;
#[cfg(feature = "formats")]
mod aquifer_units;
#[cfg(all(feature = "formats", feature = "sheet"))]
mod batch;
mod compare;
#[cfg(feature = "formats")]
mod files;
mod form;
mod over_rounds;
mod record;
mod rounds;
mod stages;
#[cfg(feature = "formats")]
mod start_from;
mod telling;
#[cfg(feature = "formats")]
mod verify;

pub use crate::map::Map;
pub use crate::report::Compared;
#[cfg(all(feature = "formats", feature = "sheet"))]
pub use batch::{Asked, Batch, Event, State, Unit, UnitSummary, draw_all, folder_of};
pub use compare::compare;
#[cfg(feature = "formats")]
pub use files::{
    Drawn, draw, toward, write_changes, write_comparison, write_form, write_over_rounds,
    write_record,
};
pub use form::form;
pub use over_rounds::over_rounds;
pub use record::record;
pub use stages::{Heads, control, cross_validate, follow, heads, map, map_for_paths, reduced};
#[cfg(feature = "formats")]
pub use start_from::start_from;
#[cfg(feature = "formats")]
pub use verify::{Again, Difference, Outdated, Verified, outdated, verify};

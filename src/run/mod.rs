//! The whole way: the stages in order.
//!
//! | file | what it does |
//! |---|---|
//! | `stages` | from files or memory to a map, to the way of its water, to a comparison of methods |
//! | `files` | the same, and the results written |

#[cfg(feature = "formats")]
mod files;
mod stages;

pub use crate::map::Map;
pub use crate::report::Compared;
#[cfg(feature = "formats")]
pub use files::{Drawn, draw, toward, write_comparison};
pub use stages::{Heads, cross_validate, follow, heads, map, reduced};

//! The rounds of a site: which there are, which is meant, rows to readings.
//!
//! | file | what it does |
//! |---|---|
//! | `round_files` | the files of `rounds/` |
//! | `open` | a file to a table whose columns are known |
//! | `newest` | the round that was measured last |
//! | `times`, `measured` | when, and what was measured |
//! | `spans`, `part`, `one_of` | the rounds of one table, and the rows of one of them |
//! | `elevations` | whether numbers below a date are depths |
//! | `readings` | rows to readings |
//! | `settle` | readings to a round, units agreed |
//! | `round` | a synoptic round |
//! | `list` | all rounds, each read once |

pub(super) mod elevations;
pub(super) mod list;
pub(super) mod measured;
pub(super) mod newest;
pub(super) mod one_of;
pub(super) mod open;
pub(super) mod part;
pub(super) mod readings;
pub(super) mod round;
pub(super) mod round_files;
pub(super) mod settle;
pub(super) mod spans;
pub(super) mod times;

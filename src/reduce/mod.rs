//! Readings to heads: one head for each well of the round, and an account of every reading.
//!
//! | file | what it knows |
//! |---|---|
//! | `formula` | the arithmetic, one pure function each |
//! | `join` | which reading and which measuring point belong to which well |
//! | `lengths` | the lengths behind a reading, and the head they give |
//! | `survey` | which measuring point elevation holds on a day |
//! | `status` | what the state of a well means for its reading |
//! | `product` | what floating product cannot be |
//! | `rounds` | readings that are of several rounds |
//! | `sound` | what cannot stand like that |
//! | `plausible` | numbers that no level can have |
//! | `reading` | what one reading says by itself |
//! | `repeats` | which of several readings of a well count |
//! | `states` | which states of one well cannot both be |
//! | `unchecked` | which checks could not be made |
//! | `round` | the whole round |
//! | `words` | how findings name wells and values |
//!
//! The rules, with their sources, are written out in `docs/reduction.md`.

mod formula;
mod join;
mod lengths;
mod plausible;
mod product;
mod reading;
mod repeats;
mod round;
mod rounds;
mod sound;
mod states;
mod status;
mod survey;
mod types;
mod unchecked;
mod words;

pub use formula::{
    corrected_depth, freshwater_head, head_above, head_of_depth, product_correction,
};
pub use round::round;
pub(crate) use survey::valid_at;
pub use types::{Fate, ReadingAccount, Reduced, WellHead};

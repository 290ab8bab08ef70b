//! Wells, gauges and what is measured in them: types, and the order they are kept in.
//!
//! | file | what it does |
//! |---|---|
//! | `well` | a well or gauge, its measuring points, the instruments |
//! | `unit` | names of aquifer units |
//! | `reading` | what was measured in it, when, and its state |
//! | `order` | wells by name, readings by well and time |
//! | `pumped` | pumped wells |

pub(super) mod left_out;
pub(super) mod order;
pub(super) mod pumped;
pub(super) mod reading;
pub(super) mod unit;
pub(super) mod well;

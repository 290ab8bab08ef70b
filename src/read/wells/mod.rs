//! Wells, gauges and what is measured in them: types, and the order they are kept in.
//!
//! | file | what it does |
//! |---|---|
//! | `types` | the register, a round, the settings |
//! | `order` | wells by name, readings by well and time |
//! | `pumped` | pumped wells |

pub(super) mod order;
pub(super) mod pumped;
pub(super) mod types;

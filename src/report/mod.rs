//! What is said of a map, decided once for sheet, page, files and terminal.
//!
//! | file | what it decides |
//! |---|---|
//! | `results` | the map as a whole |
//! | `wells` | which wells carry the map, which do not and why, which are pumped |
//! | `directions` | what arrows follow, which directions the readings resolve |
//! | `cautions` | what a map and an answer must be read with |
//! | `comparison` | the methods compared |

mod cautions;
mod comparison;
mod directions;
mod results;
mod wells;
mod words;

pub use cautions::{CAUTIONS, TOWARD_CAUTIONS};
pub use comparison::{Compared, ComparisonResults};
pub use directions::{Followed, Resolved};
pub use results::{Options, Results};
pub use wells::{PumpedPlace, SetAside, carriers};
pub use words::counted;

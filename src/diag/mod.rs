//! What headfall tells people: findings and refusals, each with a code, a place and advice.

mod accepted;
mod bounded;
mod causes;
mod code;
mod diagnostic;
mod likely;
mod printable;
mod section;
mod severity;
mod warned;

pub use accepted::{Accepted, accept, no_longer_found};
pub(crate) use bounded::bound_from;
pub use bounded::{LONGEST_TEXT, MOST_TOLD, bounded, listed};
pub(crate) use causes::Causes;
pub use code::Code;
pub use diagnostic::{Decision, Diagnostic, Origin};
pub use likely::likely;
pub(crate) use likely::{bare, did_you_mean};
pub(crate) use printable::no_character;
pub use printable::printable;
pub use severity::Severity;
pub use warned::Warned;

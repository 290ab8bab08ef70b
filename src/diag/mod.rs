//! What headfall tells people: findings and refusals, each with a code, a place and advice.

mod code;
mod diagnostic;
mod warned;

pub use code::Code;
pub use diagnostic::{Diagnostic, Origin, Severity};
pub use warned::Warned;

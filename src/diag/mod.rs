//! What headfall tells people: findings and refusals, each with a code, a place and advice.

mod code;
mod diagnostic;
mod printable;
mod warned;

pub use code::Code;
pub use diagnostic::{Diagnostic, Origin, Severity};
pub use printable::{no_character, printable};
pub use warned::Warned;

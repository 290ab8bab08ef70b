//! Wells that somebody decided to leave out of the contouring.

use crate::diag::Origin;

/// A well that is not contoured, by whose decision and why: `[[left_out]]`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Its name in the register.
    pub well: String,
    /// The round in which it is left out; `None` in every round.
    pub round: Option<String>,
    /// Why.
    pub reason: String,
    /// Who decided it.
    pub by: String,
    /// Where it is declared.
    pub origin: Origin,
}

impl LeftOut {
    /// Whether it is left out of a round.
    #[must_use]
    pub fn applies_to(&self, round: &str) -> bool {
        self.round.as_deref().is_none_or(|own| own == round)
    }
}

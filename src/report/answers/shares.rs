//! Shares of realizations in words.

use crate::toward::{Outcome, Realizations};
use crate::units::percent;

impl Realizations {
    /// What the realizations say, in the words of a table cell: the share that reaches the receptor, or how
    /// many leave that open.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { of, reaching, leaving } = self;
        match (self.probability(), *reaching) {
            (Some(p), _) => share_words(p.share),
            (None, 0) => format!("not determined: {leaving} of {of} leave the map first"),
            (None, _) => {
                let (least, most) = self.shares();
                format!("{} to {}", percent(least, 0), share_words(most))
            }
        }
    }

    /// The same in a clause on the map.
    pub(super) fn sentence(&self, outcome: Outcome) -> String {
        let Self { of, reaching, leaving } = self;
        let but = if self.agree(outcome) { "" } else { "but " };
        match self.probability() {
            Some(p) => format!("{but}reached in {} of realizations", share_words(p.share)),
            None if *reaching == 0 => format!(
                "probability not determined: in {leaving} of {of} realizations the paths leave the mapped \
                 area first"
            ),
            None => format!(
                "{but}reached in {reaching} of {of} realizations, not determined in {leaving}, whose paths \
                 leave the mapped area first"
            ),
        }
    }
}

/// A share of realizations; of a thousand that agree nobody knows more than that it is nearly all.
fn share_words(share: f64) -> String {
    if share >= 0.995 {
        "over 99 %".to_owned()
    } else if share <= 0.005 {
        "under 1 %".to_owned()
    } else {
        format!("{} %", percent(share, 0))
    }
}

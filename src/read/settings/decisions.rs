//! `[[left_out]]`: decisions about wells, each with its reason and who made it.

use serde::Deserialize;
use toml::Spanned;

use super::reader::Reader;
use crate::read::wells::left_out::LeftOut;

/// `[[left_out]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct LeftOutKeys {
    well: Spanned<String>,
    round: Option<Spanned<String>>,
    reason: Spanned<String>,
    by: Spanned<String>,
}

impl Reader<'_> {
    /// A well left out; every key but `round` is needed, and none may be empty.
    pub(in crate::read) fn left_out(&mut self, keys: LeftOutKeys) -> LeftOut {
        let origin = self.origin(&keys.well.span());
        let mut words = |key, given| self.words(key, given).unwrap_or_default();
        LeftOut {
            well: words("well", Some(keys.well)),
            reason: words("reason", Some(keys.reason)),
            by: words("by", Some(keys.by)),
            round: keys.round.map(|round| words("round", Some(round))),
            origin,
        }
    }
}

//! Takes readings off the map.

use crate::diag::Code;
use crate::reduce::{Fate, ReadingAccount, WellHead};

/// Takes a well's readings off the map, with the reason.
pub(super) fn exclude(head: &WellHead, accounts: &mut [ReadingAccount], code: Code, reason: &str) {
    for i in &head.accounts {
        accounts[*i].fate = Fate::NotUsed { code: Some(code), reason: reason.to_owned() };
    }
}

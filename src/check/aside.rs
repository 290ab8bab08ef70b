//! Takes readings off the map.

use std::sync::Arc;

use crate::diag::Code;
use crate::reduce::{Fate, ReadingAccount, WellHead};

/// Takes a well's readings off the map, with the reason.
pub(super) fn exclude(
    head: &WellHead,
    accounts: &mut Arc<Vec<ReadingAccount>>,
    code: Code,
    reason: &str,
) {
    // Few rounds have any that is taken off, and then those of the reduction are copied.
    let accounts = Arc::make_mut(accounts);
    for i in &head.accounts {
        accounts[*i].fate = Fate::NotUsed { code: Some(code), reason: reason.to_owned() };
    }
}

//! Wells that somebody decided to leave out of the contouring.

use std::cell::LazyCell;
use std::sync::Arc;

use super::aside::exclude;
use super::types::{LeftOutHead, Place};
use crate::diag::{Code, Diagnostic, Origin, did_you_mean};
use crate::read::{LeftOut, Round, Site, unit_key};
use crate::reduce::{Fate, ReadingAccount, WellHead};

/// Takes the wells of `[[left_out]]` off the map, with who decided it and why. A well without a head in
/// this round has nothing to leave out.
pub(super) fn exclude_declared(
    (site, round): (&Site, &Round),
    heads: &mut Vec<&WellHead>,
    accounts: &mut Arc<Vec<ReadingAccount>>,
) -> Vec<LeftOutHead> {
    let mut left = Vec::new();
    for decision in site.left_out.iter().filter(|d| d.applies_to(&round.name)) {
        heads.retain(|h| {
            if site.wells[h.well].id != decision.well {
                return true;
            }
            let reason = words(decision);
            exclude(h, accounts, Code::LeftOut, &reason);
            let origin = decision.origin.clone();
            left.push(LeftOutHead {
                id: decision.well.clone(),
                well: h.well,
                head: h.head,
                place: None,
                reason,
                origin,
            });
            false
        });
    }
    left
}

/// The wells whose readings say that they are not used, with their last head.
pub(super) fn by_reading(
    (site, round): (&Site, &Round),
    accounts: &[ReadingAccount],
) -> Vec<LeftOutHead> {
    let mut left: Vec<LeftOutHead> = Vec::new();
    for account in accounts {
        let Fate::NotUsed { code: Some(Code::LeftOut), reason } = &account.fate else { continue };
        let (Some(head), well) = (account.head, account.well) else { continue };
        let origin: Origin = round.readings[account.reading].origin.clone();
        left.retain(|l| l.well != well);
        left.push(LeftOutHead {
            id: site.wells[well].id.clone(),
            well,
            head,
            place: None,
            reason: reason.clone(),
            origin,
        });
    }
    let wanted = site.settings.aquifer_unit.as_deref().map(unit_key);
    left.retain(|l| {
        let own = site.wells[l.well].aquifer_unit.as_deref().map(unit_key);
        own.is_none() || wanted.is_none() || own == wanted
    });
    left
}

/// The same where the wells stand, by name.
pub(super) fn placed(mut left: Vec<LeftOutHead>, places: &[Option<Place>]) -> Vec<LeftOutHead> {
    for one in &mut left {
        one.place = places[one.well];
    }
    left.sort_by_key(|l| l.well);
    left
}

/// R109 for a well left out that the register does not have, R111 for a decision of `[[left_out]]` or
/// `[[accepted]]` about a round that there is not: it would have no effect.
pub(super) fn known(site: &Site, rounds: &RoundNames<'_>, findings: &mut Vec<Diagnostic>) {
    for decision in &site.left_out {
        if !site.wells.iter().any(|w| w.id == decision.well) {
            let names = site.wells.iter().map(|w| w.id.as_str());
            findings.push(
                Diagnostic::new(
                    Code::WellUnknown,
                    format!("[[left_out]]: well \"{}\" is not in the register", decision.well),
                )
                .at(&decision.origin)
                .advice(did_you_mean(
                    &decision.well,
                    names,
                    "use a well name from the register",
                )),
            );
        }
        let (round, origin) = (decision.round.as_deref(), &decision.origin);
        findings.extend(unknown_round(rounds, "[[left_out]]", round, origin));
    }
    for decision in &site.accepted {
        let (round, origin) = (decision.round.as_deref(), &decision.origin);
        findings.extend(unknown_round(rounds, "[[accepted]]", round, origin));
    }
}

/// The names of a site's rounds. To name them may be to read them all, so that they are asked for where a
/// decision needs them, and once.
pub(super) type RoundNames<'a> = LazyCell<Vec<String>, Box<dyn FnOnce() -> Vec<String> + 'a>>;

/// R111 where a decision names a round that there is not.
pub(super) fn unknown_round(
    rounds: &RoundNames<'_>,
    what: &str,
    round: Option<&str>,
    origin: &Origin,
) -> Option<Diagnostic> {
    let round = round?;
    if rounds.is_empty() || rounds.iter().any(|name| name == round) {
        return None;
    }
    let text = format!("{what}: the site has no round \"{round}\"");
    let told = Diagnostic::new(Code::RoundUnclear, text).at(origin);
    let otherwise = format!("use one of: {}", rounds.join(", "));
    Some(told.advice(did_you_mean(round, rounds.iter().map(String::as_str), &otherwise)))
}

fn words(decision: &LeftOut) -> String {
    format!("left out by {}: {}", decision.by, decision.reason)
}

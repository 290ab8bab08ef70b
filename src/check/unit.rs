//! One aquifer unit on one map.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::aside::exclude;
use crate::diag::{Code, Diagnostic, did_you_mean, listed};
use crate::read::Site;
use crate::reduce::{ReadingAccount, Reduced, WellHead};

/// Aquifer units are compared without regard to case and outer spaces.
pub(crate) fn key(unit: &str) -> String {
    unit.trim().to_lowercase()
}

/// The name of the unit mapped: the declared one, or that of the wells on the map. A well that was not
/// read may be of another.
pub(super) fn name(site: &Site, mapped: &[&WellHead]) -> Option<String> {
    site.settings.aquifer_unit.clone().or_else(|| {
        let units: BTreeSet<&str> =
            mapped.iter().filter_map(|h| site.wells[h.well].aquifer_unit.as_deref()).collect();
        units.into_iter().next().map(str::to_owned)
    })
}

/// The heads that belong to the unit to map. Wells of other units are excluded by name (C314);
/// an unclear unit is refused (C313).
pub(super) fn mapped<'a>(
    site: &Site,
    reduced: &'a Reduced,
    accounts: &mut Arc<Vec<ReadingAccount>>,
    findings: &mut Vec<Diagnostic>,
) -> Vec<&'a WellHead> {
    let unit_of = |h: &WellHead| site.wells[h.well].aquifer_unit.as_deref();
    let named: BTreeSet<String> = reduced.heads.iter().filter_map(unit_of).map(key).collect();
    let wanted = site.settings.aquifer_unit.as_deref().map(key);
    if named.is_empty() && wanted.is_none() {
        return reduced.heads.iter().collect();
    }
    let list = || {
        let names: BTreeSet<&str> = reduced.heads.iter().filter_map(unit_of).collect();
        listed(names.into_iter().map(|n| format!("\"{n}\"")))
    };
    let wanted = match wanted {
        Some(wanted) if named.is_empty() || named.contains(&wanted) => wanted,
        Some(_) => {
            findings.push(
                Diagnostic::new(
                    Code::UnitUnnamed,
                    format!(
                        "no well read in this round is in aquifer unit \"{}\"; the register has {}",
                        site.settings.aquifer_unit.as_deref().unwrap_or_default(),
                        list()
                    ),
                )
                .advice(did_you_mean(
                    site.settings.aquifer_unit.as_deref().unwrap_or_default(),
                    reduced.heads.iter().filter_map(unit_of),
                    "write one of these as `aquifer_unit` under [site] in site.toml",
                )),
            );
            return Vec::new();
        }
        None if named.len() == 1 => named.first().cloned().unwrap_or_default(),
        None => {
            findings.push(
                Diagnostic::new(
                    Code::UnitUnnamed,
                    format!("the wells read are in {} aquifer units: {}", named.len(), list()),
                )
                .advice(
                    "give the one to map as `aquifer_unit` under [site] in site.toml; heads of \
                     different units are never mixed",
                ),
            );
            return Vec::new();
        }
    };
    let mut unnamed = Vec::new();
    let mut kept = Vec::new();
    for head in &reduced.heads {
        match unit_of(head) {
            Some(unit) if key(unit) == wanted => kept.push(head),
            // A register without any unit names is a register of one unit.
            None if named.is_empty() => kept.push(head),
            None => unnamed.push(head),
            Some(unit) => {
                let well = &site.wells[head.well];
                exclude(
                    head,
                    accounts,
                    Code::OtherUnit,
                    &format!("in aquifer unit \"{unit}\", not the one mapped"),
                );
                findings.push(
                    Diagnostic::new(
                        Code::OtherUnit,
                        format!("well {}: in aquifer unit \"{unit}\", not used", well.id),
                    )
                    .well(&well.id)
                    .at(&well.origin),
                );
            }
        }
    }
    if !unnamed.is_empty() {
        let mut told = Diagnostic::new(
            Code::UnitUnnamed,
            format!("aquifer unit missing for {} of the wells read in this round", unnamed.len()),
        )
        .advice("fill in `aquifer_unit` for them in the register");
        for head in unnamed {
            told = told.well(&site.wells[head.well].id).at(&site.wells[head.well].origin);
        }
        findings.push(told);
    }
    kept
}

//! One aquifer unit on one map.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::aside::exclude;
use crate::diag::{Code, Diagnostic, did_you_mean, listed};
use crate::read::{Site, unit_key as key};
use crate::reduce::{ReadingAccount, Reduced, WellHead};

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
    let quoted = |units: Vec<&str>| listed(units.into_iter().map(|n| format!("\"{n}\"")));
    let wanted = match wanted {
        // A unit of the register of which no head is known has no wells to map: that is counted with the others.
        Some(wanted) if named.is_empty() || is_of_register(site, &wanted) => wanted,
        Some(_) => {
            findings.push(misspelt(site, &quoted(site.aquifer_units())));
            return Vec::new();
        }
        None if named.len() == 1 => named.first().cloned().unwrap_or_default(),
        None => {
            let read = reduced.heads.iter().filter_map(unit_of).collect::<BTreeSet<&str>>();
            let list = quoted(read.into_iter().collect());
            findings.push(
                Diagnostic::new(
                    Code::UnitUnnamed,
                    format!("the wells read are in {} aquifer units: {list}", named.len()),
                )
                .advice(
                    "give the one to map as `aquifer_unit` under [site] in site.toml, or with --aquifer-unit; heads \
                     of different units are never mixed",
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

fn is_of_register(site: &Site, wanted: &str) -> bool {
    site.aquifer_units().into_iter().any(|unit| key(unit) == wanted)
}

/// C313 where the register has no such unit, with the name that was likely meant.
fn misspelt(site: &Site, known: &str) -> Diagnostic {
    let asked = site.settings.aquifer_unit.as_deref().unwrap_or_default();
    let text = format!("no well of the register is in aquifer unit \"{asked}\"; it has {known}");
    let place = match site.asked.aquifer_unit {
        Some(_) => "with --aquifer-unit",
        None => "as `aquifer_unit` under [site] in site.toml",
    };
    let advice = did_you_mean(asked, site.aquifer_units(), &format!("give one of these {place}"));
    Diagnostic::new(Code::UnitUnnamed, text).advice(advice)
}

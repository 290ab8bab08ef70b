//! Names of aquifer units.

use std::collections::BTreeMap;

use super::well::Well;

/// Aquifer units are compared without regard to case and outer spaces.
pub(crate) fn key(unit: &str) -> String {
    unit.trim().to_lowercase()
}

/// The units that wells name, each once as the first of them writes it, in the order of their names.
pub(in crate::read) fn of_wells(wells: &[Well]) -> Vec<&str> {
    let mut units: BTreeMap<String, &str> = BTreeMap::new();
    for unit in wells.iter().filter_map(|well| well.aquifer_unit.as_deref()) {
        units.entry(key(unit)).or_insert(unit);
    }
    units.into_values().collect()
}

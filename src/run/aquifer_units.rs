//! Aquifer units that the command line names: each has a folder of its own.

use std::path::PathBuf;

use crate::read::{Site, unit_key};

/// The folder of results of units that the command line names, in that of the same results of the site's own unit.
const UNITS: &str = "units";

/// The longest name of a folder, in characters: file systems take 255 bytes, of which a character has up to four.
const LONGEST: usize = 60;

/// Where results go that would go into `usual`: into a folder of their own in it where the command line names the
/// aquifer unit, so that no map takes the place of another unit's.
pub(super) fn of_unit(usual: PathBuf, site: &Site) -> PathBuf {
    match &site.asked.aquifer_unit {
        Some(unit) => usual.join(UNITS).join(folder_name(unit, &site.aquifer_units())),
        None => usual,
    }
}

/// The name of a unit's folder: its letters, digits, spaces and hyphens. Of units whose folders would have the same name all
/// but the first have a number behind it, in the order of `units`.
fn folder_name(unit: &str, units: &[&str]) -> String {
    // File systems may take upper and lower case for the same.
    let own = safe(&unit_key(unit));
    let before = units.iter().map(|other| unit_key(other)).take_while(|key| *key != unit_key(unit));
    let same = before.filter(|key| safe(key) == own).count();
    if same == 0 { own } else { format!("{own} {}", same + 1) }
}

/// A name without signs that mean something in a path.
fn safe(name: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() || matches!(c, ' ' | '-' | '_') { c } else { '-' };
    let plain: String = name.chars().map(plain).take(LONGEST).collect();
    let plain = plain.trim();
    if plain.is_empty() { "-".to_owned() } else { plain.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_has_a_folder_of_its_own() {
        let units = ["../etc", "..\\etc", "A/B", "Lower gravel", "a-b", "a:b", "kies", "é"];
        let names = units.map(|unit| folder_name(unit, &units));
        assert_eq!(
            names,
            ["---etc", "---etc 2", "a-b", "lower gravel", "a-b 2", "a-b 3", "kies", "é"]
        );
        assert_eq!(folder_name("LOWER GRAVEL ", &units), "lower gravel");
        assert_eq!(folder_name("", &[]), "-");
        assert_eq!(safe(&"井".repeat(100)).chars().count(), LONGEST);
        assert_eq!(safe("aux."), "aux-", "no dot ends a name");
    }
}

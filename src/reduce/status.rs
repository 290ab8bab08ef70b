//! What the state of a well means for its reading.

use crate::diag::{Code, Diagnostic};
use crate::read::{Measurement, Reading, Site, Status, Well};
use crate::reduce::words::{name, show};
use crate::units::{HeightUnits, LengthUnit};

/// Why the well's state keeps a reading off the map, if it does: the words that follow "is".
pub(super) fn off_map(
    reading: &Reading,
    measuring_point: impl FnOnce() -> Option<f64>,
    units: HeightUnits,
) -> Option<String> {
    let reason = match reading.status {
        Status::Static => return None,
        Status::Flowing if reading.measurement != Measurement::None => return None,
        Status::Flowing => {
            let place = measuring_point()
                .map_or(String::new(), |e| format!(" at {} {}", show(e), units.elevation));
            return Some(format!(
                "flowing, with no pressure head measured: the head is above the measuring \
                 point{place}"
            ));
        }
        Status::Dry => match reading.dry_to {
            Some(depth) => return Some(dry_down_to(depth, units.depth)),
            None => "dry: the level is below its bottom",
        },
        Status::Obstructed => "obstructed: the probe did not reach the water",
        Status::NotAccessible => "not accessible: no level was measured",
        Status::NotMeasured => "not measured: no level was read",
        Status::Destroyed => "destroyed or abandoned: there is no well to read",
        Status::Pumping => "pumping: not a static level",
        Status::Recovering => "recovering: not a static level",
        Status::Cascading => {
            "cascading: water running down the casing wets the probe, so the level is not reliable"
        }
        Status::NotUsed => {
            let why = reading.remark.as_deref().unwrap_or_default();
            return Some(format!("left out in the round: {why}"));
        }
    };
    Some(reason.to_owned())
}

/// That there is no water down to a depth.
fn dry_down_to(depth: f64, unit: LengthUnit) -> String {
    format!("dry down to {} {unit}: the level is deeper", show(depth))
}

/// Whether a reading in this state has a head worth keeping in its account.
pub(super) const fn has_head(status: Status) -> bool {
    matches!(
        status,
        Status::Static | Status::Flowing | Status::Pumping | Status::Recovering | Status::NotUsed
    )
}

/// D220 for a reading that is not used by decision, without a word why.
pub(super) fn without_reason(well: &Well, reading: &Reading) -> Option<Diagnostic> {
    let given = reading.remark.as_deref().is_some_and(|r| !r.trim().is_empty());
    (!given).then(|| {
        Diagnostic::new(
            Code::NotUsedWhy,
            format!("{} has the status {} and no remark", name(well), reading.status.word()),
        )
        .well(&well.id)
        .at(&reading.origin)
        .advice(
            "write in the remark column why the level is not to be contoured, and who decided it",
        )
    })
}

/// The note that a reading was kept off the map.
pub(super) fn finding(well: &Well, reading: &Reading, site: &Site, reason: &str) -> Diagnostic {
    let declared = site.pumped_wells.iter().any(|p| p.well == well.id);
    let advice = match reading.status {
        Status::Flowing => "measure the pressure head, or the level in a raised casing",
        Status::Dry if reading.dry_to.is_some() => {
            "the level is somewhere below that depth; the mapped surface is checked against it (M418)"
        }
        Status::Dry => {
            "the level is somewhere below the bottom of the well; if the register gives the \
             well's depths, the mapped surface is checked against them (M418)"
        }
        Status::Pumping if declared => {
            "site.toml declares it as a pumped well: its level includes well losses, so the map \
             uses the wells around it"
        }
        Status::Pumping | Status::Recovering => {
            "read it again after at least 24 hours without pumping"
        }
        Status::Destroyed => {
            "leave it out of the rounds to come; its row in the register serves the earlier ones"
        }
        _ => "read it again when possible; the map has no control there",
    };
    Diagnostic::new(Code::NoStaticLevel, format!("{} is {reason}", name(well)))
        .well(&well.id)
        .at(&reading.origin)
        .advice(advice)
}

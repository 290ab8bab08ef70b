//! `site.toml`: what is known, and as comments what is not.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::read::NO_DATUM;
use crate::read::{DepthDatum, Round, Site};

/// What nothing but the user knows.
const UNDECIDED: &str = include_str!("undecided.toml");

/// The text. What the table does not say is a comment with what to fill in.
pub(super) fn text(site: &Site, rounds: &[&Round], table: &str) -> String {
    let settings = &site.settings;
    let mut text = format!(
        "# Made from {} by `headfall start --from`. Check what is here, and fill in what is a comment.\n\n[site]\n",
        quoted(table)
    );
    let mut line = |line: String| {
        let _ = writeln!(text, "{line}");
    };
    line(format!("name = {}", quoted(&settings.name)));
    line(format!("crs = {}", quoted(&settings.crs)));
    if let Some(crs) = &settings.coordinates_crs {
        line(format!("coordinates_crs = {}", quoted(crs)));
    }
    if let Some(unit) = settings.length_unit {
        line(format!("length_unit = {}", quoted(unit.name())));
    }
    line(String::new());
    let unit = settings.elevation_unit.name();
    if settings.elevation_unit_assumed {
        line("# The table does not say the unit of elevations. This is the unit of the CRS: check it.".to_owned());
    }
    line(format!("elevation_unit = {}", quoted(unit)));
    if let Some(round) = rounds.iter().find(|r| r.depth_unit != settings.elevation_unit) {
        line(format!("depth_unit = {}", quoted(round.depth_unit.name())));
    }
    // A folder has to name it, and a table need not.
    let datum = settings.vertical_datum.as_deref().unwrap_or(NO_DATUM);
    line(
        "\n# The datum of the elevations, as the survey names it, such as \"NAVD 88\": fill it in."
            .to_owned(),
    );
    line(format!("vertical_datum = {}", quoted(datum)));
    let units: BTreeSet<&str> =
        site.wells.iter().filter_map(|w| w.aquifer_unit.as_deref()).collect();
    match (&settings.aquifer_unit, units.len()) {
        (Some(unit), _) => line(format!("\naquifer_unit = {}", quoted(unit))),
        (None, 0) => {}
        (None, _) => {
            line("\n# The aquifer unit to map, one of these:".to_owned());
            for unit in units {
                line(format!("# aquifer_unit = {}", quoted(unit)));
            }
        }
    }
    let has_depths = site.wells.iter().any(|w| {
        [w.total_depth, w.sounded_depth, w.screen_top, w.screen_bottom].iter().any(Option::is_some)
    });
    if has_depths {
        let from = match settings.depths_from {
            DepthDatum::MeasuringPoint => "measuring-point",
            DepthDatum::Ground => "ground",
        };
        line(format!(
            "\n# From where depths of wells and screens are counted, \"measuring-point\" or \"ground\": check it.\n\
             depths_from = {}",
            quoted(from)
        ));
    }
    text + UNDECIDED
}

/// A text as TOML has it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

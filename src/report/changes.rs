//! What changed between two rounds, as rows.

use std::sync::Arc;

use schemars::JsonSchema;
use serde::Serialize;

use super::digits;
use super::of_round::OfRound;
use super::volume::VolumeOfChange;
use super::words::counted;
use crate::check::ControlPoint;
use crate::map::Map;
use crate::read::{InputFile, Moment, Round, Site};
use crate::record::{Record, Way};
use crate::units::LengthUnit;

/// What changed between two rounds of a site.
#[derive(Debug)]
pub struct Changes {
    /// The site.
    pub site: Arc<Site>,
    /// The earlier round and the later one.
    pub rounds: [String; 2],
    /// What its rows belong to: from the first reading of the earlier map to the last of the later one.
    pub of: OfRound,
    /// Every well of the register, in its order.
    pub wells: Vec<WellChange>,
    /// The map through the changes of the wells that are on the maps of both rounds, or why there is none.
    pub map: Result<Map, String>,
    /// Every file read, each once.
    pub inputs: Vec<InputFile>,
}

/// A well in two rounds.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct WellChange {
    /// The well.
    pub well: String,
    /// Its head in the earlier round, elevation unit.
    pub earlier: Option<f64>,
    /// Its head in the later one.
    pub later: Option<f64>,
    /// The later one less the earlier: positive is a rise.
    pub change: Option<f64>,
    /// Standard deviation of the change: errors that both heads share cancel.
    pub change_sd: Option<f64>,
    /// Lower end of its 95 % interval.
    pub change_low: Option<f64>,
    /// Upper end.
    pub change_high: Option<f64>,
    /// `rose`, `fell` or `not shown`, at 95 %.
    #[schemars(extend("enum" = ["rose", "fell", "not shown", null]))]
    pub way: Option<&'static str>,
    /// Whether the surface of the changes goes through it.
    pub on_map: bool,
    /// Why there is no change.
    pub why_none: Option<String>,
    /// The unit.
    #[schemars(with = "LengthUnit")]
    pub unit: &'static str,
}

impl Changes {
    /// Those of a record of two rounds.
    #[must_use]
    pub fn new(
        site: Arc<Site>,
        rounds: [&Round; 2],
        read: [Option<(Moment, Moment)>; 2],
        record: &Record,
        map: Result<Map, String>,
    ) -> Self {
        let mut on_map = vec![false; record.wells.len()];
        let points = map.iter().flat_map(|map| map.surfaced.control.points());
        for well in points.filter_map(ControlPoint::well) {
            on_map[well] = true;
        }
        let unit = record.elevation_unit.name();
        let wells = (0..record.wells.len()).map(|well| {
            let head = |round: usize| {
                let row = record.heads_of(well).iter().find(|h| h.round == round);
                row.and_then(|h| h.head)
            };
            let (earlier, later) = (head(0), head(1));
            let row = record.change_to(well, 1).map(|c| c.change);
            let none = |i: usize| format!("no head in {}", rounds[i].name);
            WellChange {
                well: record.wells[well].well.clone(),
                earlier: earlier.map(digits::height),
                later: later.map(digits::height),
                change: row.map(|c| digits::height(c.change)),
                change_sd: row.map(|c| digits::height(c.sd)),
                change_low: row.map(|c| digits::height(c.low)),
                change_high: row.map(|c| digits::height(c.high)),
                way: row.map(|c| match c.way {
                    Way::Up => "rose",
                    Way::Down => "fell",
                    Way::NotShown => "not shown",
                }),
                on_map: on_map[well],
                why_none: match (earlier, later) {
                    (Some(_), Some(_)) => None,
                    (None, Some(_)) => Some(none(0)),
                    (Some(_), None) => Some(none(1)),
                    (None, None) => Some("no head in either".to_owned()),
                },
                unit,
            }
        });
        let wells = wells.collect();
        let inputs = site.inputs.iter().chain(rounds.iter().flat_map(|round| &round.inputs));
        let inputs = InputFile::each_once(inputs).into_iter().cloned().collect();
        let rounds = rounds.map(|round| round.name.clone());
        let of = OfRound {
            site: site.settings.name.clone(),
            round: rounds.join(" to "),
            read_from: read[0].map(|(from, _)| from.to_string()),
            read_to: read[1].map(|(_, to)| to.to_string()),
            mapped_unit: site.settings.aquifer_unit.clone(),
            vertical_datum: site.settings.vertical_datum.clone(),
            elevation_unit: unit.to_owned(),
        };
        Self { site, rounds, of, wells, map, inputs }
    }

    /// The unit of heads and changes.
    #[must_use]
    pub fn unit(&self) -> LengthUnit {
        self.site.settings.elevation_unit
    }

    /// The water behind the change, where the site declares a specific yield.
    #[must_use]
    pub fn volume(&self) -> Option<VolumeOfChange> {
        VolumeOfChange::of(self.map.as_ref().ok()?)
    }

    /// How many wells rose, fell, and did neither that can be told.
    #[must_use]
    pub fn in_words(&self) -> String {
        let of = |way: &str| self.wells.iter().filter(|w| w.way == Some(way)).count();
        format!(
            "{} rose, {} fell, of {} neither is shown",
            counted(of("rose"), "well"),
            of("fell"),
            of("not shown")
        )
    }
}

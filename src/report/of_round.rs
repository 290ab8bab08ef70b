//! What each row of a layer or table says of what it belongs to, so that rows of many sites and rounds can be in one.

use serde::Serialize;

use crate::check::ControlSet;
use crate::read::{Round, Site};

/// What a row belongs to where it is of one round.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct OfRound {
    /// The site.
    pub site: String,
    /// The round.
    pub round: String,
    /// The first reading behind the map, local clock time of the site.
    pub read_from: Option<String>,
    /// The last one.
    pub read_to: Option<String>,
    /// The aquifer unit that is mapped.
    pub mapped_unit: Option<String>,
    /// The vertical datum of heads.
    pub vertical_datum: Option<String>,
    /// The unit of heads: `m`, `ft` or `ft-us`. Columns that end in `_ft` are in feet of this kind.
    pub elevation_unit: String,
}

/// What a row belongs to where it is of several rounds, or says itself of which.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct OfSite {
    /// The site.
    pub site: String,
    /// The vertical datum of heads.
    pub vertical_datum: Option<String>,
}

impl OfRound {
    /// That of a round and the heads of its map.
    #[must_use]
    pub fn new(site: &Site, round: &Round, control: &ControlSet) -> Self {
        Self {
            site: site.settings.name.clone(),
            round: round.name.clone(),
            read_from: control.from_to().map(|(from, _)| from.to_string()),
            read_to: control.from_to().map(|(_, to)| to.to_string()),
            mapped_unit: control.aquifer_unit().map(str::to_owned),
            vertical_datum: site.settings.vertical_datum.clone(),
            elevation_unit: control.elevation_unit().name().to_owned(),
        }
    }

    /// Site, unit and round in words.
    #[must_use]
    pub fn in_words(&self) -> String {
        let unit = self.mapped_unit.as_ref().map_or_else(String::new, |unit| format!(", {unit}"));
        format!("{}{unit}, {}", self.site, self.round)
    }

    /// The same with each text of the user's as `safe` gives it.
    #[must_use]
    pub fn made_safe(&self, safe: impl Fn(&str) -> String) -> Self {
        Self {
            site: safe(&self.site),
            round: safe(&self.round),
            mapped_unit: self.mapped_unit.as_deref().map(&safe),
            vertical_datum: self.vertical_datum.as_deref().map(&safe),
            ..self.clone()
        }
    }
}

impl OfSite {
    /// That of a site.
    #[must_use]
    pub fn new(site: &Site) -> Self {
        Self {
            site: site.settings.name.clone(),
            vertical_datum: site.settings.vertical_datum.clone(),
        }
    }

    /// The same with each text of the user's as `safe` gives it.
    #[must_use]
    pub fn made_safe(&self, safe: impl Fn(&str) -> String) -> Self {
        Self { site: safe(&self.site), vertical_datum: self.vertical_datum.as_deref().map(safe) }
    }
}

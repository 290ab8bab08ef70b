//! `[[left_out]]` and `[[judged_points]]`: decisions about wells and heads, each with its reason and who
//! made it.

use geo::Coord;
use serde::Deserialize;
use toml::Spanned;

use super::bounds::Bound;
use super::reader::Reader;
use crate::read::features::types::Judgement;
use crate::read::wells::left_out::LeftOut;

/// `[[left_out]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct LeftOutKeys {
    well: Spanned<String>,
    round: Option<Spanned<String>>,
    reason: Spanned<String>,
    by: Spanned<String>,
}

/// `[[judged_points]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct JudgedPointKeys {
    name: Option<Spanned<String>>,
    #[serde(alias = "longitude")]
    easting: Spanned<f64>,
    #[serde(alias = "latitude")]
    northing: Spanned<f64>,
    head: Spanned<f64>,
    reason: Spanned<String>,
    by: Spanned<String>,
    round: Option<Spanned<String>>,
    aquifer_unit: Option<Spanned<String>>,
}

/// A judged point as it is declared.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredPoint {
    pub(in crate::read) name: Option<String>,
    /// As in the register.
    pub(in crate::read) position: Coord,
    /// Elevation unit.
    pub(in crate::read) head: f64,
    pub(in crate::read) judgement: Judgement,
}

impl Reader<'_> {
    /// A judged point; nothing where a number is out of bounds.
    pub(in crate::read) fn judged_point(&mut self, keys: JudgedPointKeys) -> Option<DeclaredPoint> {
        let origin = self.origin(&keys.head.span());
        let x = self.number("easting", Some(keys.easting), Bound::POSITION);
        let y = self.number("northing", Some(keys.northing), Bound::POSITION);
        let head = self.number("head", Some(keys.head), Bound::LEVEL);
        let mut words = |key, given: Option<Spanned<String>>| {
            given.and_then(|given| self.words(key, Some(given)))
        };
        let name = words("name", keys.name);
        let judgement = Judgement {
            reason: words("reason", Some(keys.reason)).unwrap_or_default(),
            by: words("by", Some(keys.by)).unwrap_or_default(),
            round: words("round", keys.round),
            aquifer_unit: words("aquifer_unit", keys.aquifer_unit),
            origin,
        };
        Some(DeclaredPoint { name, position: Coord { x: x?, y: y? }, head: head?, judgement })
    }

    /// A well left out; every key but `round` is needed, and none may be empty.
    pub(in crate::read) fn left_out(&mut self, keys: LeftOutKeys) -> LeftOut {
        let origin = self.origin(&keys.well.span());
        let mut words = |key, given| self.words(key, given).unwrap_or_default();
        LeftOut {
            well: words("well", Some(keys.well)),
            reason: words("reason", Some(keys.reason)),
            by: words("by", Some(keys.by)),
            round: keys.round.map(|round| words("round", Some(round))),
            origin,
        }
    }
}

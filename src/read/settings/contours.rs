//! `[contours]`: which levels are drawn.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use super::bounds::Bound;
use super::reader::Reader;
use crate::geom::tolerance::MOST_LEVELS;
use crate::units::{as_given, clean};

/// `[contours]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct ContourKeys {
    interval: Option<Spanned<f64>>,
    base: Option<Spanned<f64>>,
    levels: Option<Spanned<Vec<f64>>>,
    drawn: ContourDrawing,
}

/// How contours are drawn on sheet and page.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ContourDrawing {
    /// As they were computed.
    #[default]
    Computed,
    /// With their corners rounded, where the surface is planes.
    Smooth,
}

/// Which levels are drawn, elevation unit.
#[derive(Debug, Clone, Default)]
pub(in crate::read) struct DeclaredContours {
    pub(in crate::read) interval: Option<f64>,
    pub(in crate::read) base: f64,
    /// Ascending and distinct; with them there is neither interval nor base.
    pub(in crate::read) levels: Option<Vec<f64>>,
    pub(in crate::read) drawn: ContourDrawing,
}

impl Reader<'_> {
    pub(in crate::read) fn contours(&mut self, keys: ContourKeys) -> DeclaredContours {
        let both = [("interval", &keys.interval), ("base", &keys.base)];
        let beside = both.into_iter().find_map(|(key, given)| Some((key, given.as_ref()?.span())));
        if let Some((key, at)) = beside.filter(|_| keys.levels.is_some()) {
            self.refuse(
                &at,
                format!("[contours] has both levels and {key}"),
                format!("remove {key} to draw the levels listed, or remove levels"),
            );
        }
        DeclaredContours {
            interval: self.number("interval", keys.interval, Bound::INTERVAL),
            base: self.number("base", keys.base, Bound::LEVEL).unwrap_or(0.0),
            levels: keys.levels.and_then(|levels| self.levels(levels)),
            drawn: keys.drawn,
        }
    }

    /// Levels that are listed: within their bounds, ascending, each once.
    fn levels(&mut self, given: Spanned<Vec<f64>>) -> Option<Vec<f64>> {
        let at = given.span();
        let levels = given.into_inner();
        let beyond = levels.iter().find(|level| !Bound::LEVEL.holds(**level));
        let turned = levels.windows(2).find(|pair| clean(pair[1]) <= clean(pair[0]));
        let (message, advice) = if levels.is_empty() {
            ("levels under [contours] is empty".to_owned(), "list at least one level")
        } else if let Some(level) = beyond {
            let level = as_given(*level);
            (format!("levels has {level}, not {}", Bound::LEVEL.words()), "correct the level")
        } else if let Some(pair) = turned {
            let [first, second] = [pair[0], pair[1]].map(as_given);
            (
                format!("levels has {second} after {first}"),
                "list the levels from the lowest to the highest, each once",
            )
        } else if levels.len() > MOST_LEVELS {
            (
                format!("levels lists {} levels; the limit is {MOST_LEVELS}", levels.len()),
                "list fewer levels",
            )
        } else {
            return Some(levels.into_iter().map(clean).collect());
        };
        self.refuse(&at, message, advice);
        None
    }
}

//! The nested wells of a site: which of them have a head and a screen.

use std::collections::BTreeMap;

use super::vertical::{Nested, NoGradient, VerticalGradient, gradients};
use crate::check::{ControlSet, Screen};
use crate::diag::{Code, Diagnostic};
use crate::map::Map;
use crate::read::{Round, Site, Well, WellKind};
use crate::reduce::{Fate, ReadingAccount};
use crate::uncertainty::Situation;

/// The vertical gradients of the register's nests, and why some have none.
pub(super) fn vertical(
    map: &Map,
    distance_m: f64,
    said: &mut Vec<Diagnostic>,
) -> Vec<VerticalGradient> {
    let (found, none) = nests(&map.site, &map.round, &map.control, distance_m);
    said.extend(none.into_iter().map(|why| told(map.site.wells.as_slice(), why)));
    found
}

/// The vertical gradients of the nests in a round. Wells of every aquifer unit take part: those excluded from the map
/// because of their unit too.
pub(crate) fn nests(
    site: &Site,
    round: &Round,
    control: &ControlSet,
    distance_m: f64,
) -> (Vec<VerticalGradient>, Vec<NoGradient>) {
    let settings = &site.settings;
    let (metres, depth_m) = (settings.elevation_unit.metres(), round.depth_unit.metres());
    let mut heads: BTreeMap<usize, &ReadingAccount> = BTreeMap::new();
    for account in control.accounts() {
        let at_rest = match &account.fate {
            Fate::Used => true,
            Fate::NotUsed { code, .. } => *code == Some(Code::OtherUnit),
        };
        if at_rest && account.head.is_some() && site.wells[account.well].kind == WellKind::Well {
            heads.insert(account.well, account);
        }
    }
    let nested: Vec<Nested> = heads
        .into_iter()
        .filter_map(|(well, account)| {
            let at = control.frame().to_local(control.places()[well]?.crs);
            let sd = round.head_errors.of(Situation {
                depth_m: account.corrected_depth.map(|d| d * depth_m),
                hours_from_middle: None,
                // Nested wells are at one place, wherever that is.
                position_m: 0.0,
                product_thickness_m: account.product_thickness.map(|t| t * depth_m),
            });
            let screen_m =
                Screen::of(&site.wells[well], account.measuring_point, settings.depths_from)
                    .map(|s| (s.bottom * metres, s.top * metres));
            Some(Nested { well, at, head_m: account.head? * metres, sd_m: sd.sd_m, screen_m })
        })
        .collect();
    gradients(&nested, distance_m)
}

impl NoGradient {
    /// What is missing, in words.
    pub(crate) fn in_words(self, wells: &[Well]) -> String {
        let id = |i: usize| &wells[i].id;
        match self {
            Self::NoScreen(i) => {
                format!("well {} is in a nest, but its screen is not given", id(i))
            }
            Self::BelowScreen(i) => {
                format!("well {} is in a nest, but its level is below its screen", id(i))
            }
            Self::Overlap(i, j) => {
                format!("the screens of nested wells {} and {} overlap", id(i), id(j))
            }
        }
    }
}

fn told(wells: &[Well], why: NoGradient) -> Diagnostic {
    let (of, advice) = match why {
        NoGradient::NoScreen(i) => {
            (vec![i], "give screen_top and screen_bottom, and the elevation of their reference")
        }
        NoGradient::BelowScreen(i) => (vec![i], "check the reading and the depths of the screen"),
        NoGradient::Overlap(i, j) => {
            (vec![i, j], "a vertical gradient needs screens at different depths")
        }
    };
    let found = Diagnostic::new(Code::NoVerticalGradient, why.in_words(wells)).advice(advice);
    of.into_iter().fold(found, |found, i| found.well(&wells[i].id).at(&wells[i].origin))
}

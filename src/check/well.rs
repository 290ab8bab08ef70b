//! A level against the well it was read in: bottom, screen, silt, ground.

use std::sync::Arc;

use super::aside::exclude;
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::tolerance;
use crate::read::by_name;
use crate::read::{DepthDatum, Measurement, Round, Settings, Site, Status, Well, WellKind};
use crate::reduce::{Fate, ReadingAccount, WellHead};
use crate::units::{LengthUnit, brief, brief_to, clean, told_apart};

/// Elevations of a well's parts, elevation unit, where the register gives them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parts {
    pub(crate) bottom: Option<f64>,
    pub(crate) sounded: Option<f64>,
    pub(crate) screen_top: Option<f64>,
    pub(crate) screen_bottom: Option<f64>,
}

impl Parts {
    /// Those of a well with this measuring point, elevation unit, and depths counted as the site says.
    pub(crate) fn of(well: &Well, measuring_point: Option<f64>, settings: &Settings) -> Self {
        let from = |datum| match datum {
            DepthDatum::MeasuringPoint => measuring_point,
            DepthDatum::Ground => well.ground_elevation,
        };
        let elevation = |depth: Option<f64>| Some(from(settings.depths_from)? - depth?);
        Self {
            bottom: elevation(well.total_depth),
            sounded: from(settings.sounded_from).zip(well.sounded_depth).map(|(e, d)| e - d),
            screen_top: elevation(well.screen_top),
            screen_bottom: elevation(well.screen_bottom),
        }
    }

    /// The lowest elevation at which a well would have water, elevation unit, and what is there: where the
    /// reading says down to where it was dry, that depth, `read`; else the highest of bottom, sounded bottom and
    /// screen's bottom, for water below the screen does not enter. `None` for a well whose screen is closed by
    /// silt.
    pub(crate) fn lowest_water(self, read: Option<f64>) -> Option<(f64, &'static str)> {
        let Self { bottom, sounded, screen_top, screen_bottom } = self;
        if sounded.zip(screen_top).is_some_and(|(sounded, top)| sounded >= top) {
            return None;
        }
        if let Some(read) = read {
            return Some((read, "the depth down to which it was dry"));
        }
        let all = [
            (bottom, "its bottom"),
            (sounded, "its sounded bottom"),
            (screen_bottom, "its screen's bottom"),
        ];
        // The first of equal ones.
        let rev = all.into_iter().rev().filter_map(|(at, what)| Some((at?, what)));
        rev.max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// How much shallower than built the well was sounded, elevation unit, where that is silt and no error of sounding.
    pub(crate) fn silt(&self, unit: LengthUnit) -> Option<f64> {
        let silt = self.sounded? - self.bottom?;
        (silt * unit.metres() > tolerance::SILTED_M).then_some(silt)
    }
}

/// Says of dry wells what their level is below, where the depths of the well are known and no reading says how far down it was
/// dry.
pub(super) fn bound_dry((site, round): (&Site, &Round), accounts: &mut Arc<Vec<ReadingAccount>>) {
    let unit = site.settings.elevation_unit;
    let bounds: Vec<(usize, String)> = accounts
        .iter()
        .enumerate()
        .filter(|(_, a)| round.readings[a.reading].status == Status::Dry && a.dry_to.is_none())
        .filter(|(_, a)| matches!(a.fate, Fate::NotUsed { .. }))
        .filter_map(|(i, a)| {
            let parts = Parts::of(&site.wells[a.well], a.measuring_point, &site.settings);
            let (lowest, what) = parts.lowest_water(None)?;
            let lowest = brief_to(lowest, 2);
            Some((i, format!("dry: the level is below {what} at {lowest} {}", unit.in_words())))
        })
        .collect();
    if bounds.is_empty() {
        return;
    }
    let accounts = Arc::make_mut(accounts);
    for (i, bound) in bounds {
        if let Fate::NotUsed { reason, .. } = &mut accounts[i].fate {
            *reason = bound;
        }
    }
}

/// Removes heads that cannot be a level of the aquifer: below the well's bottom or its screen's
/// bottom (C304), or in a well silted up over its screen (C305). Tells silt that leaves the
/// screen open, too.
///
/// # References
/// Common practice, no source: water below the screen is trapped in the sump and says nothing
/// about the aquifer.
pub(super) fn checked(
    (site, round): (&Site, &Round),
    heads: &mut Vec<&WellHead>,
    accounts: &mut Arc<Vec<ReadingAccount>>,
    findings: &mut Vec<Diagnostic>,
) {
    let unit = site.settings.elevation_unit;
    heads.retain(|head| {
        let well = &site.wells[head.well];
        let parts = Parts::of(well, head.measuring_point, &site.settings);
        let mut tell = |code, text: String, advice: &str| {
            findings.push(
                Diagnostic::new(code, format!("well {}: {text}", well.id))
                    .well(&well.id)
                    .at(&well.origin)
                    .advice(advice),
            );
        };
        if let (Some(silt), Some(sounded)) = (parts.silt(unit), parts.sounded) {
            if parts.screen_top.is_some_and(|top| sounded >= top) {
                let reason = format!(
                    "sounded bottom at {} {unit} is at or above the screen's top: the screen is \
                     no longer open",
                    brief_to(sounded, 2)
                );
                tell(Code::Silted, reason.clone() + ", not used", "redevelop or replace the well");
                exclude(head, accounts, Code::Silted, &reason);
                return false;
            }
            let screen = parts.screen_top.zip(parts.screen_bottom);
            let covered = screen.map(|(top, bottom)| (sounded - bottom, top - bottom));
            let covered = covered.filter(|(covered, _)| *covered > 0.0);
            let covered = covered.map_or_else(String::new, |(covered, screen)| {
                let [covered, screen] = [covered, screen].map(|length| brief_to(length, 2));
                format!(
                    ", {covered} {unit} of its {screen} {unit} of screen below the sounded bottom"
                )
            });
            tell(
                Code::Silted,
                format!("sounded {} {unit} shallower than built{covered}", brief_to(silt, 2)),
                "part of the screen may be silted up; consider redevelopment",
            );
        }
        // Under floating product the water itself was met below the corrected head.
        let depth = head.depth.map(|d| round.depth_unit.convert(d, unit));
        let water = head.measuring_point.zip(depth).map(|(point, depth)| clean(point - depth));
        let water = water.filter(|_| head.product_thickness.is_some_and(|t| t > 0.0));
        let below = |level: &str, is: f64, what: &str, at: Option<f64>| {
            let at = at.filter(|at| is < *at)?;
            let (is_told, at_told) = told_apart(is, at, 2);
            let by = if is_told == at_told {
                format!("{} {unit} ", brief(clean(at - is)))
            } else {
                String::new()
            };
            Some(format!("{level} {is_told} {unit} is {by}below the {what} at {at_told} {unit}"))
        };
        let bottoms = [("well's bottom", parts.bottom), ("sounded bottom", parts.sounded)];
        let reason = bottoms
            .iter()
            .chain(&[("screen's bottom", parts.screen_bottom)])
            .find_map(|&(what, at)| below("head", head.head, what, at))
            .or_else(|| {
                let water = water?;
                bottoms.iter().find_map(|&(what, at)| below("water at", water, what, at))
            });
        if let Some(reason) = reason {
            tell(
                Code::BelowBottom,
                reason.clone() + ", not used",
                "the well is dry, holds trapped water, or a number is wrong: check the reading, \
                 the measuring point and the well log",
            );
            exclude(head, accounts, Code::BelowBottom, &reason);
            return false;
        }
        true
    });
}

/// C325: heads of wells farther above the register's own ground than water stands there, where
/// nothing says that the well flows. A measured pressure head says it, and a negative depth is told
/// as such.
pub(super) fn above_ground(
    (site, round): (&Site, &Round),
    heads: &[&WellHead],
    accounts: &[ReadingAccount],
    findings: &mut Vec<Diagnostic>,
) {
    let unit = site.settings.elevation_unit;
    let bound = LengthUnit::Metre.convert(tolerance::ABOVE_GROUND_M, unit);
    let flows = |account: &usize| {
        let reading = &round.readings[accounts[*account].reading];
        reading.status == Status::Flowing
            || matches!(reading.measurement, Measurement::PressureHead(_))
    };
    let mut above: Vec<(&Well, String)> = Vec::new();
    for head in heads {
        let well = &site.wells[head.well];
        let Some(ground) = well.ground_elevation.filter(|_| well.kind == WellKind::Well) else {
            continue;
        };
        let negative = head.depth.is_some_and(|d| d < 0.0);
        if clean(head.head - ground) > bound && !negative && !head.accounts.iter().any(flows) {
            let [head, ground] = [head.head, ground].map(|v| brief_to(v, 2));
            let text = format!("{} (head {head} {unit}, ground {ground} {unit})", well.id);
            above.push((well, text));
        }
    }
    if above.is_empty() {
        return;
    }
    above.sort_by(|(a, _), (b, _)| by_name(&a.id, &b.id));
    let list: Vec<&str> = above.iter().map(|(_, text)| text.as_str()).collect();
    let text = format!(
        "heads more than {} {unit} above the ground at wells not recorded as flowing: {}",
        brief_to(bound, 2),
        listed(list)
    );
    let mut finding = Diagnostic::new(Code::HeadAboveGround, text).advice(
        "water would be above the ground there: check depth, measuring point and ground \
         elevation, their units and their datum; if the well flows or the ground is flooded the \
         head may be right; nothing was changed",
    );
    for (well, _) in above {
        finding = finding.well(&well.id).at(&well.origin);
    }
    findings.push(finding);
}

//! A level against the well it was read in: bottom, screen, silt.

use super::set_aside;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance;
use crate::read::{DepthDatum, SiteFile, Well};
use crate::reduce::{ReadingAccount, WellHead};
use crate::units::clean;

/// Elevations of a well's parts, elevation unit, where the register gives them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parts {
    pub(crate) bottom: Option<f64>,
    pub(crate) sounded: Option<f64>,
    pub(crate) screen_top: Option<f64>,
    pub(crate) screen_bottom: Option<f64>,
}

impl Parts {
    /// Those of a well with this measuring point, elevation unit, and depths counted from `datum`.
    pub(crate) fn of(well: &Well, measuring_point: Option<f64>, datum: DepthDatum) -> Self {
        let from = match datum {
            DepthDatum::MeasuringPoint => measuring_point,
            DepthDatum::Ground => well.ground_elevation,
        };
        let elevation = |depth: Option<f64>| Some(from? - depth?);
        Self {
            bottom: elevation(well.total_depth),
            sounded: elevation(well.sounded_depth),
            screen_top: elevation(well.screen_top),
            screen_bottom: elevation(well.screen_bottom),
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
    site: &SiteFile,
    heads: &mut Vec<&WellHead>,
    accounts: &mut [ReadingAccount],
    findings: &mut Vec<Diagnostic>,
) {
    let unit = site.settings.elevation_unit;
    heads.retain(|head| {
        let well = &site.wells[head.well];
        let parts = Parts::of(well, head.measuring_point, site.settings.depths_from);
        let mut tell = |code, text: String, advice: &str| {
            findings.push(
                Diagnostic::new(code, format!("well {}: {text}", well.id))
                    .well(&well.id)
                    .at(&well.origin)
                    .advice(advice),
            );
        };
        if let (Some(bottom), Some(sounded)) = (parts.bottom, parts.sounded)
            && (sounded - bottom) * unit.metres() > tolerance::SILTED_M
        {
            let silt = sounded - bottom;
            if parts.screen_top.is_some_and(|top| sounded >= top) {
                let reason = format!(
                    "sounded bottom at {sounded:.2} {unit} stands at or above the screen's top: \
                     the screen is no longer open"
                );
                tell(Code::Silted, reason.clone() + ", set aside", "redevelop or replace the well");
                set_aside(head, accounts, Code::Silted, &reason);
                return false;
            }
            tell(
                Code::Silted,
                format!("sounded {silt:.2} {unit} shallower than built"),
                "part of the screen may be closed; consider redevelopment",
            );
        }
        // Under floating product the water itself was met below the corrected head.
        let depth = head.depth.map(|d| site.settings.depth_unit.convert(d, unit));
        let water = head.measuring_point.zip(depth).map(|(point, depth)| clean(point - depth));
        let water = water.filter(|_| head.product_thickness.is_some_and(|t| t > 0.0));
        let below = |level: &str, is: f64, what: &str, at: Option<f64>| {
            at.filter(|at| is < *at)
                .map(|at| format!("{level} {is:.2} {unit} is below the {what} at {at:.2} {unit}"))
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
                reason.clone() + ", set aside",
                "the well is dry, holds trapped water, or a number is wrong: check the reading, \
                 the measuring point and the well's record",
            );
            set_aside(head, accounts, Code::BelowBottom, &reason);
            return false;
        }
        true
    });
}

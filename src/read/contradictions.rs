//! What rows of the register say that cannot all be true.

use std::collections::BTreeMap;

use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::{SILTED_M, STICKUP_M};
use crate::units::{LengthUnit, clean};

use super::order::by_name;
use super::types::{MeasuringPoint, Well, WellKind};

/// Warns of depths and elevations of one well that contradict each other (R122), one finding for
/// each kind of contradiction. Lengths in the elevation unit.
pub(super) fn tell(
    wells: &[Well],
    points: &BTreeMap<String, Vec<MeasuringPoint>>,
    unit: LengthUnit,
    said: &mut Vec<Diagnostic>,
) {
    let stickup = LengthUnit::Metre.convert(STICKUP_M, unit);
    let deeper = LengthUnit::Metre.convert(SILTED_M, unit);
    let mut kinds = [
        Kind::new("depths that are not above 0 and count as unknown".to_owned(), DEPTHS),
        Kind::new("screens whose top is below their bottom".to_owned(), SCREEN),
        Kind::new(
            format!("screens that end below the well's bottom by more than {deeper:.2} {unit}"),
            BOTTOM,
        ),
        Kind::new(
            format!("wells sounded deeper than they were built by more than {deeper:.2} {unit}"),
            SOUNDED,
        ),
        Kind::new(
            format!("measuring points more than {stickup:.1} {unit} above or below the ground"),
            GROUND,
        ),
    ];
    for well in wells {
        let [depths, screens, bottoms, sounded_deeper, grounds] = &mut kinds;
        let named = [
            ("total depth", well.total_depth, true),
            ("sounded depth", well.sounded_depth, true),
            ("screen top", well.screen_top, false),
            ("screen bottom", well.screen_bottom, true),
        ];
        for (what, depth, zero_too) in named {
            if let Some(depth) = depth.filter(|d| *d < 0.0 || (zero_too && *d == 0.0)) {
                depths.add(well, &format!("{what} {depth} {unit}"));
            }
        }
        if let (Some(top), Some(bottom)) = (well.screen_top, well.screen_bottom)
            && top > bottom
        {
            screens.add(well, &format!("{top} to {bottom} {unit}"));
        }
        if let (Some(bottom), Some(depth)) = (well.screen_bottom, well.total_depth)
            && clean(bottom - depth) > deeper
        {
            bottoms.add(well, &format!("screen to {bottom} {unit}, depth {depth} {unit}"));
        }
        if let (Some(sounded), Some(built)) = (well.sounded_depth, well.total_depth)
            && clean(sounded - built) > deeper
        {
            sounded_deeper.add(well, &format!("sounded {sounded} {unit}, built {built} {unit}"));
        }
        if let (Some(ground), WellKind::Well) = (well.ground_elevation, well.kind)
            && let Some(of_well) = points.get(&well.id)
        {
            let far = of_well.iter().find(|p| clean((p.elevation - ground).abs()) > stickup);
            if let Some(point) = far {
                let elevation = point.elevation;
                let text = format!("measuring point {elevation} {unit}, ground {ground} {unit}");
                grounds.add(well, &text);
            }
        }
    }
    said.extend(kinds.into_iter().filter_map(Kind::finding));
}

const DEPTHS: &str = "depths are counted down, as positive numbers; correct the sign or the \
                      value, or leave the cell empty where it is not known";
const SCREEN: &str = "screen_top is the smaller depth; the two are probably swapped";
const BOTTOM: &str = "correct screen_bottom or total_depth, and check that both are counted from \
                      the same place (depths_from in site.toml)";
const SOUNDED: &str = "check the well's name, and that both depths are counted from the same place: \
                       soundings start at the measuring point, well logs at the ground";
const GROUND: &str = "check both elevations, their unit and their datum: a wrong measuring point \
                      moves the head by as much";

/// Takes out the depths that cannot be, which [`tell`] has told: many databases write 0 for a depth
/// that is not known. A screen may begin at 0.
pub(super) fn forget_impossible(wells: &mut [Well]) {
    for well in wells {
        for depth in [&mut well.total_depth, &mut well.sounded_depth, &mut well.screen_bottom] {
            *depth = depth.filter(|d| *d > 0.0);
        }
        well.screen_top = well.screen_top.filter(|d| *d >= 0.0);
    }
}

/// One kind of contradiction, and the wells that show it.
struct Kind<'a> {
    what: String,
    advice: &'static str,
    wells: Vec<(&'a Well, String)>,
}

impl<'a> Kind<'a> {
    const fn new(what: String, advice: &'static str) -> Self {
        Self { what, advice, wells: Vec::new() }
    }

    fn add(&mut self, well: &'a Well, text: &str) {
        self.wells.push((well, format!("{} ({text})", well.id)));
    }

    fn finding(mut self) -> Option<Diagnostic> {
        if self.wells.is_empty() {
            return None;
        }
        self.wells.sort_by(|(a, s), (b, t)| by_name(&a.id, &b.id).then_with(|| s.cmp(t)));
        let list: Vec<&str> = self.wells.iter().map(|(_, text)| text.as_str()).collect();
        let text = format!("{}: {}", self.what, list.join(", "));
        let mut finding = Diagnostic::new(Code::RegisterContradicts, text).advice(self.advice);
        for (well, _) in &self.wells {
            if finding.wells.last() != Some(&well.id) {
                finding = finding.well(&well.id).at(&well.origin);
            }
        }
        Some(finding)
    }
}

//! What rows of the register say that cannot all be true.

use std::collections::BTreeMap;

use crate::diag::{Code, Diagnostic, listed};
use crate::geom::tolerance::{SILTED_M, STICKUP_M};
use crate::read::wells::order::by_name;
use crate::read::wells::well::{MeasuringPoint, Well, WellKind};
use crate::units::{LengthUnit, brief, brief_to, clean};

/// Warns of depths and elevations of one well that contradict each other (R122), one finding for
/// each kind of contradiction. Lengths in the elevation unit. `sounded_from_point`: soundings are
/// counted from the measuring point and the other depths from the ground.
pub(in crate::read) fn tell(
    wells: &[Well],
    points: &BTreeMap<String, Vec<MeasuringPoint>>,
    unit: LengthUnit,
    sounded_from_point: bool,
    said: &mut Vec<Diagnostic>,
) {
    let stickup = LengthUnit::Metre.convert(STICKUP_M, unit);
    let deeper = LengthUnit::Metre.convert(SILTED_M, unit);
    let by = brief_to(deeper, 2);
    let mut kinds = [
        Kind::new("depths not above 0, treated as unknown".to_owned(), DEPTHS),
        Kind::new(
            "screens with their top below their bottom, treated as unknown".to_owned(),
            SCREEN,
        ),
        Kind::new(
            format!("screens that end more than {by} {unit} below the bottom of the well"),
            BOTTOM,
        ),
        Kind::new(format!("wells sounded more than {by} {unit} deeper than built"), SOUNDED),
        Kind::new(
            format!(
                "measuring points more than {} {unit} above or below the ground",
                brief_to(stickup, 1)
            ),
            GROUND,
        ),
        Kind::new("standard deviations of positions below 0, treated as unknown".to_owned(), SD),
    ];
    for well in wells {
        let [depths, screens, bottoms, sounded_deeper, grounds, sds] = &mut kinds;
        if let Some(sd) = well.position_sd.filter(|sd| *sd < 0.0) {
            sds.add(well, &brief(sd));
        }
        let named = [
            ("total depth", well.total_depth, true),
            ("sounded depth", well.sounded_depth, true),
            ("screen top", well.screen_top, false),
            ("screen bottom", well.screen_bottom, true),
        ];
        for (what, depth, zero_too) in named {
            if let Some(depth) = depth.filter(|d| *d < 0.0 || (zero_too && *d == 0.0)) {
                depths.add(well, &format!("{what} {} {unit}", brief(depth)));
            }
        }
        if let Some((top, bottom)) = upside_down(well) {
            screens.add(well, &format!("{} to {} {unit}", brief(top), brief(bottom)));
        }
        // What counts as unknown contradicts nothing.
        let known = |depth: Option<f64>| depth.filter(|d| *d > 0.0);
        let built = known(well.total_depth);
        let above = if sounded_from_point { stands_above(well, points) } else { Some(0.0) };
        let screen_bottom = known(well.screen_bottom).filter(|_| upside_down(well).is_none());
        if let (Some(bottom), Some(depth)) = (screen_bottom, built)
            && clean(bottom - depth) > deeper
        {
            let [bottom, depth] = [bottom, depth].map(brief);
            bottoms.add(well, &format!("screen to {bottom} {unit}, depth {depth} {unit}"));
        }
        let sounded = known(well.sounded_depth).zip(above).map(|(d, above)| clean(d - above));
        if let (Some(sounded), Some(built)) = (sounded, built)
            && clean(sounded - built) > deeper
        {
            let [sounded, built] = [sounded, built].map(brief);
            sounded_deeper.add(well, &format!("sounded {sounded} {unit}, built {built} {unit}"));
        }
        if let (Some(ground), WellKind::Well) = (well.ground_elevation, well.kind)
            && let Some(of_well) = points.get(&well.id)
        {
            let far = of_well.iter().find(|p| clean((p.elevation - ground).abs()) > stickup);
            if let Some(point) = far {
                let [elevation, ground] = [point.elevation, ground].map(brief);
                let text = format!("measuring point {elevation} {unit}, ground {ground} {unit}");
                grounds.add(well, &text);
            }
        }
    }
    said.extend(kinds.into_iter().filter_map(Kind::finding));
}

const DEPTHS: &str = "depths are positive downward: correct the sign or the value, or leave the \
                      cell empty if unknown";
const SCREEN: &str = "screen_top must be the smaller depth; the two are probably swapped";
const BOTTOM: &str = "correct screen_bottom or total_depth, and check that both have the same \
                      reference (depths_from in site.toml)";
const SOUNDED: &str = "check the well name and the reference of both depths: soundings are from \
                       the measuring point, well logs from the ground; state it in the heading, \
                       such as \"sounded depth (btoc)\"";
const GROUND: &str = "check both elevations, their unit and their datum: an error in the \
                      measuring point is an equal error in the head";

const SD: &str = "correct the value, or leave the cell empty: then position_sd of site.toml counts";

/// How far the measuring point as last surveyed stands above the ground.
fn stands_above(well: &Well, points: &BTreeMap<String, Vec<MeasuringPoint>>) -> Option<f64> {
    Some(points.get(&well.id)?.last()?.elevation - well.ground_elevation?)
}

/// The top and the bottom of a screen whose top is the deeper one. A bottom that is not above 0 says
/// nothing.
fn upside_down(well: &Well) -> Option<(f64, f64)> {
    well.screen_top.zip(well.screen_bottom).filter(|(top, bottom)| *bottom > 0.0 && top > bottom)
}

/// Takes out the depths and errors that cannot be, which [`tell`] has told: many databases write 0 for a depth
/// that is not known. A screen may begin at 0. Of a screen upside down neither end is known: a level
/// must not be held against the wrong one.
pub(in crate::read) fn forget_impossible(wells: &mut [Well]) {
    for well in wells {
        if upside_down(well).is_some() {
            (well.screen_top, well.screen_bottom) = (None, None);
        }
        for depth in [&mut well.total_depth, &mut well.sounded_depth, &mut well.screen_bottom] {
            *depth = depth.filter(|d| *d > 0.0);
        }
        well.screen_top = well.screen_top.filter(|d| *d >= 0.0);
        well.position_sd = well.position_sd.filter(|sd| *sd >= 0.0);
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
        let text = format!("{}: {}", self.what, listed(list));
        let mut finding = Diagnostic::new(Code::RegisterContradicts, text).advice(self.advice);
        for (well, _) in &self.wells {
            if finding.wells.last() != Some(&well.id) {
                finding = finding.well(&well.id).at(&well.origin);
            }
        }
        Some(finding)
    }
}

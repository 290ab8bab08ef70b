//! Nested wells whose screens are apart, on one map.

use geo::Coord;

use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::{Frame, distance, together, tolerance};
use crate::read::{DepthDatum, Settings, Site, Well, WellKind};
use crate::units::{GroundUnit, brief_to};

/// A screened interval: elevations, or heights against any one level, in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Screen {
    /// Of its bottom.
    pub(crate) bottom: f64,
    /// Of its top.
    pub(crate) top: f64,
}

impl Screen {
    /// The elevations of a well's screen, elevation unit, where both its depths and their reference are known
    /// and in order.
    pub(crate) fn of(well: &Well, measuring_point: Option<f64>, from: DepthDatum) -> Option<Self> {
        let zero = match from {
            DepthDatum::MeasuringPoint => measuring_point,
            DepthDatum::Ground => well.ground_elevation,
        };
        zero.and_then(|zero| Self::below(well, zero))
    }

    /// The heights of a well's screen where its depths count from a height.
    fn below(well: &Well, zero: f64) -> Option<Self> {
        let (top, bottom) = well.screen_top.zip(well.screen_bottom).filter(|(t, b)| t < b)?;
        Some(Self { bottom: zero - bottom, top: zero - top })
    }

    /// The height of its middle.
    pub(crate) const fn middle(self) -> f64 {
        f64::midpoint(self.bottom, self.top)
    }
}

/// A well with its screen.
type Screened<T> = (T, Screen);

/// From the top of a nest down, each well and the next below it, and whether their screens share no depth.
pub(crate) fn stacked<T: Copy>(nest: &[Screened<T>]) -> Vec<(Screened<T>, Screened<T>, bool)> {
    let mut nest = nest.to_vec();
    nest.sort_by(|a, b| b.1.middle().total_cmp(&a.1.middle()));
    nest.windows(2).map(|pair| (pair[0], pair[1], pair[1].1.top <= pair[0].1.bottom)).collect()
}

/// How near to each other wells are nested, m.
pub(crate) fn nested_distance_m(settings: &Settings, frame: &Frame) -> f64 {
    let declared = settings.receptors.toward.nested_distance;
    declared.map_or(tolerance::NESTED_DISTANCE_M, |d| d * frame.metres_per_unit())
}

/// C330: nested wells whose screens share no depth and that are mapped as one surface, one warning for all of
/// them.
pub(super) fn one_surface(
    points: &[ControlPoint],
    site: &Site,
    frame: &Frame,
    findings: &mut Vec<Diagnostic>,
) {
    let wells: Vec<(&ControlPoint, &Well)> = points
        .iter()
        .filter(|p| p.kind() == Some(WellKind::Well))
        .filter_map(|p| Some((p, &site.wells[p.well()?])))
        .collect();
    let places: Vec<Coord> = wells.iter().map(|(p, _)| p.local).collect();
    let mut pairs: Vec<(&ControlPoint, &ControlPoint, f64)> = Vec::new();
    for nest in together(&places, nested_distance_m(&site.settings, frame)) {
        let nest: Vec<(&ControlPoint, &Well)> = nest.into_iter().map(|i| wells[i]).collect();
        let from = site.settings.depths_from;
        let elevation = |(p, w): &(&ControlPoint, &Well)| Screen::of(w, p.measuring_point, from);
        // Where a reference is not known, the depths themselves tell: the wells are side by side.
        let known = nest.iter().all(|w| elevation(w).is_some());
        let screened: Vec<(&ControlPoint, Screen)> = nest
            .iter()
            .filter_map(|w| {
                let screen = if known { elevation(w) } else { Screen::below(w.1, 0.0) };
                Some((w.0, screen?))
            })
            .collect();
        let apart = stacked(&screened).into_iter().filter(|(.., apart)| *apart);
        pairs.extend(apart.map(|(u, l, _)| (u.0, l.0, u.1.bottom - l.1.top)));
    }
    if pairs.is_empty() {
        return;
    }
    pairs.sort_by(|a, b| crate::read::by_name(&a.0.id, &b.0.id));
    let unit = site.settings.elevation_unit;
    let each = pairs.iter().map(|(upper, lower, apart)| {
        format!(
            "{} and {} ({} apart, screens {} {unit} apart in depth, head of {} {} {unit} {})",
            upper.id,
            lower.id,
            GroundUnit::of(unit).away(distance(upper.local, lower.local)),
            brief_to(*apart, 1),
            lower.id,
            brief_to((lower.head - upper.head).abs(), 2),
            if lower.head < upper.head { "lower" } else { "higher" }
        )
    });
    let message = format!(
        "{} of nested wells with screens at different depths {} mapped as one surface: {}",
        if pairs.len() == 1 { "one pair".to_owned() } else { format!("{} pairs", pairs.len()) },
        if pairs.len() == 1 { "is" } else { "are" },
        listed(each)
    );
    let mut told = Diagnostic::new(Code::NestedTogether, message).advice(
        "if they are open to different aquifer units, give each well its aquifer_unit in the register and \
         map one unit at a time; if the register has the units under another heading, declare it under \
         [columns] in site.toml, such as aquifer_unit = \"Zone\"",
    );
    for (upper, lower, _) in &pairs {
        for point in [upper, lower] {
            told = told.well(&point.id).at_each(point.row(site).map(|row| &row.origin));
        }
    }
    findings.push(told);
}

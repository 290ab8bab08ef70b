//! Pairs of water levels along a line: does the water go toward it or away from it.

use geo::Coord;
use serde::Serialize;

use crate::geom::{bends, distance, length};
use crate::uncertainty::{LinearSurface, NORMAL_SDS};
use crate::units::Azimuth;

/// Places along a line between two wells as far apart as usual. Common practice, no source.
pub(super) const STATIONS_BETWEEN_WELLS: f64 = 4.0;

/// A side of a line, seen in its direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

impl Side {
    /// The word in tables.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// What the water does on one side of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// It flows to the line.
    Toward,
    /// It flows away from the line.
    Away,
    /// The difference is within the error of the heads.
    NotResolved,
}

impl Sense {
    /// The word in tables.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Toward => "toward",
            Self::Away => "away",
            Self::NotResolved => "not resolved",
        }
    }
}

/// A difference of two water levels, the one beside the line less the one on it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Difference {
    /// The difference, elevation unit: positive when the water goes toward the line.
    pub value: f64,
    /// Its standard deviation, elevation unit.
    pub sd: f64,
    /// The distance over which it applies, m.
    pub distance_m: f64,
}

impl Difference {
    /// Toward, away, or within 1.96 standard deviations of neither.
    #[must_use]
    pub fn verdict(&self) -> Sense {
        if self.value.abs() <= NORMAL_SDS * self.sd {
            Sense::NotResolved
        } else if self.value > 0.0 {
            Sense::Toward
        } else {
            Sense::Away
        }
    }
}

/// A stretch of a line along which one side says the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// The side.
    pub side: Side,
    /// From the line to that side, at the middle of the reach.
    pub azimuth_grid: Azimuth,
    /// Where it begins and ends, m along the line.
    pub from_m: f64,
    /// Where it ends.
    pub to_m: f64,
    /// What the water does: every station of the reach says the same.
    pub sense: Sense,
    /// The surface beside the line less the line's level, the mean of the stations.
    pub mean: Difference,
    /// The smallest and the largest of the differences, elevation unit.
    pub range: (f64, f64),
    /// The well on this side that is nearest to the reach, by its index among the control points,
    /// with its head less the line's level at the nearest station.
    pub well: Option<(usize, Difference)>,
}

/// A line with the level on it where that was measured.
#[derive(Debug, Clone, Copy)]
pub struct Line<'a> {
    /// Its course, m.
    pub course: &'a [Coord],
    /// The stage at each vertex, elevation unit; without them the surface on the line is taken.
    pub stages: Option<&'a [f64]>,
    /// The standard deviation of the stages, elevation unit.
    pub stage_sd: f64,
    /// Vertices off the straight way by no more than this turn no side of the line, m.
    pub bend_m: f64,
}

/// What levels are compared with.
#[derive(Debug)]
pub struct Levels<'a> {
    /// The linear surface: the errors of differences are worked out on it.
    pub linear: &'a LinearSurface<'a>,
    /// The control points, m, their heads and standard deviations, elevation unit.
    pub wells: &'a [Coord],
    /// Heads.
    pub heads: &'a [f64],
    /// Standard deviations.
    pub sds: &'a [f64],
    /// The corners of the triangles.
    pub triangles: &'a [[usize; 3]],
}

/// One place along a line.
pub(super) struct Station {
    pub(super) along_m: f64,
    pub(super) at: Coord,
    /// Unit vector to the left.
    pub(super) left: Coord,
    stage: Option<f64>,
}

/// The reaches of a line, the left side before the right, in the line's direction.
///
/// Every `spacing_m` along the line the surface `aside_m` to each side is held against the line's
/// stage, or against the surface on the line; where either lies beyond the map there is no pair.
/// Neighbouring stations with the same verdict make a reach.
///
/// # Units
/// - `head`: m to elevation unit, the mapped surface; `aside_m`, `spacing_m`: m
///
/// # References
/// After the pairs of water levels of US EPA (2008), EPA 600/R-08/003 (steps as quoted in county
/// files). The errors of differences: `docs/toward.md`.
pub fn reaches(
    line: Line,
    levels: &Levels,
    head: impl Fn(Coord) -> Option<f64>,
    aside_m: f64,
    spacing_m: f64,
) -> Vec<Reach> {
    let length = length(line.course.iter().copied());
    let stations = stations(line, spacing_m);
    let mut all = Vec::new();
    for side in [Side::Left, Side::Right] {
        let sign = if side == Side::Left { 1.0 } else { -1.0 };
        let mut open: Vec<(&Station, Difference)> = Vec::new();
        for station in &stations {
            let beside = station.at + station.left * (sign * aside_m);
            let found = difference(line, levels, &head, station, beside, aside_m);
            let same =
                open.last().is_some_and(|(_, d)| found.is_some_and(|f| f.verdict() == d.verdict()));
            if !same {
                all.extend(reach(line, levels, &open, side, (length, spacing_m)));
                open.clear();
            }
            open.extend(found.map(|f| (station, f)));
        }
        all.extend(reach(line, levels, &open, side, (length, spacing_m)));
    }
    all
}

/// Places along a line, no more than `spacing_m` apart and half as far from its ends.
pub(super) fn stations(line: Line, spacing_m: f64) -> Vec<Station> {
    let length = length(line.course.iter().copied());
    let count = (length / spacing_m).ceil().clamp(1.0, 1000.0);
    let step = length / count;
    let mut stations = Vec::new();
    let (mut before, mut next) = (0.0, 0.5 * step);
    let bends = bends(line.course, line.bend_m);
    for (i, w) in line.course.windows(2).enumerate() {
        let long = distance(w[0], w[1]);
        while long > 0.0 && next <= before + long && next < length {
            let share = (next - before) / long;
            // Along the straight part that the piece belongs to.
            let after = bends.partition_point(|bend| *bend <= i);
            let part = [bends[after - 1], bends[after]].map(|bend| line.course[bend]);
            let ends = if part[0] == part[1] { [w[0], w[1]] } else { part };
            let along = (ends[1] - ends[0]) / distance(ends[0], ends[1]);
            stations.push(Station {
                along_m: next,
                at: w[0] + (w[1] - w[0]) * share,
                left: Coord { x: -along.y, y: along.x },
                stage: line.stages.map(|s| s[i] + share * (s[i + 1] - s[i])),
            });
            next += step;
        }
        before += long;
    }
    stations
}

fn difference(
    line: Line,
    levels: &Levels,
    head: &impl Fn(Coord) -> Option<f64>,
    station: &Station,
    beside: Coord,
    distance_m: f64,
) -> Option<Difference> {
    let there = head(beside)?;
    let (on, sd) = match station.stage {
        Some(stage) => (stage, libm::hypot(levels.linear.sd_at(beside)?, line.stage_sd)),
        None => (head(station.at)?, levels.sd_between(beside, station.at)?),
    };
    Some(Difference { value: there - on, sd, distance_m })
}

impl Levels<'_> {
    /// The standard deviation of the difference of the linear surface at two places: their common
    /// wells do not count against them.
    pub(super) fn sd_between(&self, p: Coord, q: Coord) -> Option<f64> {
        let (t, of_p) = self.linear.locate(p)?;
        let (u, of_q) = self.linear.locate(q)?;
        let weight = |well: usize, triangle: usize, weights: [f64; 3]| {
            let corners = self.triangles[triangle];
            corners.iter().position(|c| *c == well).map_or(0.0, |k| weights[k])
        };
        let mut wells: Vec<usize> = [self.triangles[t], self.triangles[u]].concat();
        wells.sort_unstable();
        wells.dedup();
        let variance: f64 = wells
            .into_iter()
            .map(|w| {
                let part = (weight(w, t, of_p) - weight(w, u, of_q)) * self.sds[w];
                part * part
            })
            .sum();
        Some(variance.sqrt())
    }
}

fn reach(
    line: Line,
    levels: &Levels,
    stations: &[(&Station, Difference)],
    side: Side,
    (length, spacing_m): (f64, f64),
) -> Option<Reach> {
    let (first, last) = (stations.first()?, stations.last()?);
    let count = stations.len() as f64;
    let mean = Difference {
        value: stations.iter().map(|s| s.1.value).sum::<f64>() / count,
        sd: stations.iter().map(|s| s.1.sd).sum::<f64>() / count,
        distance_m: first.1.distance_m,
    };
    let range = stations
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |r, s| (r.0.min(s.1.value), r.1.max(s.1.value)));
    let sign = if side == Side::Left { 1.0 } else { -1.0 };
    let middle = stations[stations.len() / 2].0;
    let azimuth_grid = Azimuth::of_vector(sign * middle.left.x, sign * middle.left.y)?;
    Some(Reach {
        side,
        azimuth_grid,
        from_m: (first.0.along_m - 0.5 * spacing_m).max(0.0),
        to_m: (last.0.along_m + 0.5 * spacing_m).min(length),
        sense: stations[0].1.verdict(),
        mean,
        range,
        well: nearest_well(line, levels, stations, sign),
    })
}

/// The nearest well on a side, held against the stage or the surface at the station beside it.
fn nearest_well(
    line: Line,
    levels: &Levels,
    stations: &[(&Station, Difference)],
    sign: f64,
) -> Option<(usize, Difference)> {
    let mut nearest: Option<(f64, usize, &Station)> = None;
    for (well, at) in levels.wells.iter().enumerate() {
        let beside = stations
            .iter()
            .map(|(s, _)| (distance(s.at, *at), *s))
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.along_m.total_cmp(&b.1.along_m)));
        let Some((away, station)) = beside else { continue };
        let d = *at - station.at;
        let aside = sign * (d.x * station.left.x + d.y * station.left.y);
        // A well on the line itself, a gauge, stands on no side.
        if aside > 0.05 * away && away > 1.0 && nearest.is_none_or(|n| away < n.0) {
            nearest = Some((away, well, station));
        }
    }
    let (distance_m, well, station) = nearest?;
    let (on, sd) = if let Some(stage) = station.stage {
        (stage, libm::hypot(levels.sds[well], line.stage_sd))
    } else {
        let (t, weights) = levels.linear.locate(station.at)?;
        let corners = levels.triangles[t];
        let on = (0..3).map(|k| weights[k] * levels.heads[corners[k]]).sum();
        (on, levels.sd_between(levels.wells[well], station.at)?)
    };
    Some((well, Difference { value: levels.heads[well] - on, sd, distance_m }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::triangulate::mesh_of;

    fn c(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    /// Wells on a lattice 100 m apart; the head falls to the line y = 0 from the north by 0.01 and
    /// goes on falling to the south by 0.002: the creek gains from the north, loses to the south.
    fn compared(stage: Option<f64>, sd: f64) -> Vec<Reach> {
        let (mut wells, mut heads) = (Vec::new(), Vec::new());
        for j in -3..=3 {
            for i in -3..=3 {
                let y = 100.0 * f64::from(j);
                wells.push(c(100.0 * f64::from(i), y));
                heads.push(50.0 + if j > 0 { 0.01 * y } else { 0.002 * y });
            }
        }
        let sds = vec![sd; wells.len()];
        let mesh = mesh_of(wells.clone(), heads.clone());
        let triangles: Vec<_> = mesh.triangles().iter().map(|t| t.corners).collect();
        let linear = LinearSurface::new(&wells, &heads, &sds, &triangles);
        let levels = Levels {
            linear: &linear,
            wells: &wells,
            heads: &heads,
            sds: &sds,
            triangles: &triangles,
        };
        let head = |p: Coord| {
            let (t, w) = linear.locate(p)?;
            Some((0..3).map(|k| w[k] * heads[triangles[t][k]]).sum())
        };
        let course = [c(-280.0, 0.0), c(280.0, 0.0)];
        let stages = stage.map(|s| [s, s]);
        let stages = stages.as_ref().map(<[f64; 2]>::as_slice);
        reaches(
            Line { course: &course, stages, stage_sd: sd, bend_m: 0.1 },
            &levels,
            head,
            50.0,
            40.0,
        )
    }

    #[test]
    fn a_creek_gains_on_one_side_and_loses_on_the_other() {
        let found = compared(None, 0.005);
        let said: Vec<_> = found.iter().map(|r| (r.side, r.sense)).collect();
        assert_eq!(said, [(Side::Left, Sense::Toward), (Side::Right, Sense::Away)]);
        let (north, south) = (&found[0], &found[1]);
        assert!((north.mean.value - 0.5).abs() < 1e-9 && north.azimuth_grid.degrees() == 0.0);
        assert!((south.mean.value + 0.1).abs() < 1e-9);
        assert!((south.azimuth_grid.degrees() - 180.0).abs() < 1e-9);
        assert!(north.from_m.abs() < 1e-9 && (north.to_m - 560.0).abs() < 1e-9);
        // Half of each of two wells against one at the line: sd times the root of 1/4 + 1/4 and
        // what the weights along the line add.
        assert!(north.mean.sd > 0.5 * 0.005 && north.mean.sd < 1.3 * 0.005, "{}", north.mean.sd);
        let (well, pair) = north.well.expect("a well to the north");
        assert!(well >= 28 && (pair.value - 1.0).abs() < 1e-9, "{well} {pair:?}");
    }

    #[test]
    fn a_stage_is_held_against_the_surface_beside_it_and_small_differences_are_not_resolved() {
        let found = compared(Some(49.0), 0.005);
        assert!(found.iter().all(|r| r.sense == Sense::Toward), "{found:?}");
        assert!((found[1].mean.value - 0.9).abs() < 1e-9);
        assert!((found[1].well.expect("a well").1.value - 0.8).abs() < 1e-9);
        let found = compared(None, 0.2);
        assert!(found.iter().any(|r| r.side == Side::Right && r.sense == Sense::NotResolved));
    }
}

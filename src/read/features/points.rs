//! Streams to the places along them that carry the map.

use std::collections::BTreeSet;

use geo::{Coord, Intersects, Polygon};
use rstar::RTree;

use super::around::Surroundings;
use super::files::distances;
use super::types::{Stream, StreamPoint};
use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::tolerance::{MOST_STREAM_POINTS, STREAM_BEND_M, STREAM_REACH_SPACINGS};
use crate::geom::usual_spacing;
use crate::read::settings::features::DeclaredFeatures;
use crate::read::table::rows::shown;
use crate::units::{GroundUnit, LengthUnit, clean, round_to};

/// A place on a line.
pub(super) struct At {
    pub(super) position: Coord,
    /// The stage of a stream, or the head of a control line.
    value: f64,
    /// From the first vertex, CRS units.
    along: f64,
}

/// A line with a value at each vertex.
#[derive(Clone, Copy)]
pub(super) struct Course<'a> {
    pub(super) line: &'a [Coord],
    pub(super) values: &'a [f64],
    /// From the first vertex, CRS units.
    pub(super) distances: &'a [f64],
}

/// The places along every stream that carry the map: at its ends and wherever its stage bends, and at equal
/// distances between these, where it is near wells or within the boundary.
///
/// `unit` is the aquifer unit mapped, where it has a name.
pub(in crate::read) fn stream_points(
    streams: &[Stream],
    boundary: &[Polygon],
    declared: &DeclaredFeatures,
    around: &Surroundings<'_>,
    unit: Option<&str>,
    said: &mut Vec<Diagnostic>,
) -> Vec<StreamPoint> {
    let mut made = Vec::new();
    if streams.is_empty() {
        return made;
    }
    let wells = distinct(&around.positions());
    let usual = usual_spacing(&wells);
    let spacing = declared.spacing(around.distance_unit).unwrap_or(usual);
    let reach = declared.reach(around.distance_unit).unwrap_or(STREAM_REACH_SPACINGS * usual);
    // Without wells there is no map, which is said elsewhere.
    if spacing <= 0.0 {
        return made;
    }
    let tree = RTree::bulk_load(wells.iter().map(|p| [p.x, p.y]).collect());
    let near = |p: Coord| {
        tree.nearest_neighbor(&[p.x, p.y])
            .is_some_and(|w| libm::hypot(w[0] - p.x, w[1] - p.y) <= reach)
            || boundary.iter().any(|area| area.intersects(&geo::Point(p)))
    };
    let metres = around.project.metres_per_unit();
    let mut taken: BTreeSet<String> = around.wells.iter().map(|w| w.id.clone()).collect();
    for (index, stream) in streams.iter().enumerate() {
        if other_unit(stream, unit, said) {
            continue;
        }
        let distances = distances(&stream.line);
        let bend = STREAM_BEND_M / around.elevation_unit.metres();
        let held = held(&distances, &stream.stages, bend);
        let pieces = |w: &[usize]| ((distances[w[1]] - distances[w[0]]) / spacing).ceil().max(1.0);
        let count: f64 = held.windows(2).map(pieces).sum();
        if made.len() as f64 + count > MOST_STREAM_POINTS as f64 {
            let (what, spacing) = (format!("stream {}", shown(&stream.name)), spacing * metres);
            let spacing = GroundUnit::of(around.elevation_unit).away(spacing);
            said.push(too_many(&what, &stream.origin, &spacing, "stream_spacing"));
            continue;
        }
        let course = Course { line: &stream.line.0, values: &stream.stages, distances: &distances };
        let all = places(course, &held, pieces);
        let total = all.len();
        let kept: Vec<At> = all.into_iter().filter(|at| near(at.position)).collect();
        if kept.len() < total {
            let reach = GroundUnit::of(around.elevation_unit).away(reach * metres);
            said.push(shortened(stream, kept.len(), total, &reach));
        }
        for at in kept {
            let single = stream.line.0.len() < 2;
            let name = at.name(&stream.name, around.elevation_unit, metres, single, &mut taken);
            let At { position, value: stage, .. } = at;
            made.push(StreamPoint { name, position, stage, stream: index });
        }
    }
    made
}

/// Each position once.
pub(super) fn distinct(positions: &[Option<Coord>]) -> Vec<Coord> {
    let mut wells: Vec<Coord> = positions.iter().flatten().copied().collect();
    wells.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    wells.dedup();
    wells
}

/// Whether a stream is in contact with another unit than the one mapped, which is told.
fn other_unit(stream: &Stream, unit: Option<&str>, said: &mut Vec<Diagnostic>) -> bool {
    let key = |name: &str| name.trim().to_lowercase();
    let (Some(own), Some(mapped)) = (&stream.aquifer_unit, unit) else { return false };
    if key(own) == key(mapped) {
        return false;
    }
    said.push(
        Diagnostic::new(
            Code::StreamShortened,
            format!(
                "stream {} is in contact with aquifer unit \"{}\", not with the mapped unit \
                 \"{}\": it is left out",
                shown(&stream.name),
                shown(own),
                shown(mapped)
            ),
        )
        .at(&stream.origin),
    );
    true
}

/// The vertices whose stage must be held, ascending: the ends, and those without which the stage
/// between the others, straight along the course, would be off by more than `bend` somewhere.
///
/// # Units
/// - `distances`: from the first vertex; `stages`, `bend`: elevation unit
///
/// # References
/// Douglas and Peucker (1973), Cartographica 10(2), 112-122, along the course (from memory).
fn held(distances: &[f64], stages: &[f64], bend: f64) -> Vec<usize> {
    // Of vertices at one place alone the first counts.
    let last = if distances.last() > Some(&0.0) { distances.len() - 1 } else { 0 };
    let mut held = vec![0, last];
    let mut open = vec![(0, last)];
    while let Some((from, to)) = open.pop() {
        let whole = distances[to] - distances[from];
        let off = |k: usize| {
            let share = if whole > 0.0 { (distances[k] - distances[from]) / whole } else { 0.0 };
            (stages[k] - stages[from] - (stages[to] - stages[from]) * share).abs()
        };
        let worst = (from + 1..to).max_by(|a, b| off(*a).total_cmp(&off(*b)).then(b.cmp(a)));
        if let Some(worst) = worst.filter(|k| off(*k) > bend) {
            held.push(worst);
            open.extend([(from, worst), (worst, to)]);
        }
    }
    held.sort_unstable();
    held.dedup();
    held
}

/// The places on a line: the vertices held, and the cuts between the equal pieces from one of them to the
/// next.
pub(super) fn places(
    course: Course<'_>,
    held: &[usize],
    pieces: impl Fn(&[usize]) -> f64,
) -> Vec<At> {
    let Course { line, values, distances } = course;
    let vertex = |k: usize| At { position: line[k], value: clean(values[k]), along: distances[k] };
    let cut = |s: f64| {
        let i = distances.partition_point(|a| *a <= s).clamp(1, line.len() - 1);
        let (a, b) = (distances[i - 1], distances[i]);
        let t = if b > a { ((s - a) / (b - a)).min(1.0) } else { 0.0 };
        let between = |from: f64, to: f64| from + (to - from) * t;
        let (p, q) = (line[i - 1], line[i]);
        At {
            position: Coord { x: between(p.x, q.x), y: between(p.y, q.y) },
            value: clean(between(values[i - 1], values[i])),
            along: s,
        }
    };
    let mut places = vec![vertex(0)];
    for w in held.windows(2) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number up to MOST_STREAM_POINTS"
        )]
        let pieces = pieces(w) as usize;
        let (from, to) = (distances[w[0]], distances[w[1]]);
        places.extend((1..pieces).map(|k| cut(from + (to - from) * k as f64 / pieces as f64)));
        places.push(vertex(w[1]));
    }
    places
}

impl At {
    /// A name that no well has: that of the line with the distance along it, unless the line is a
    /// `single` place.
    ///
    /// # Units
    /// - `metres`: in one CRS unit; `unit`: the elevation unit, for the name
    pub(super) fn name(
        &self,
        line: &str,
        unit: LengthUnit,
        metres: f64,
        single: bool,
        taken: &mut BTreeSet<String>,
    ) -> String {
        let along_m = self.along * metres;
        let (along, unit) = if unit.is_foot() {
            (LengthUnit::Metre.convert(along_m, unit), "ft")
        } else {
            (along_m, "m")
        };
        let plain = if single {
            line.to_owned()
        } else {
            format!("{line} @ {} {unit}", round_to(along, 0))
        };
        let finer = format!("{line} @ {} {unit}", round_to(along, 3));
        if taken.contains(&plain) && taken.insert(finer.clone()) {
            return finer;
        }
        free_name(&plain, taken)
    }
}

/// A name that is not taken: this one, or with a number behind it.
pub(super) fn free_name(plain: &str, taken: &mut BTreeSet<String>) -> String {
    let numbered = (2..).map(|n| format!("{plain} ({n})"));
    let free = std::iter::once(plain.to_owned()).chain(numbered).find(|n| !taken.contains(n));
    let name = free.expect("this is a bug in headfall: numbers do not end");
    taken.insert(name.clone());
    name
}

/// `key`: the setting that makes them fewer.
pub(super) fn too_many(what: &str, origin: &Origin, spacing: &str, key: &str) -> Diagnostic {
    Diagnostic::new(
        Code::FeatureUnusable,
        format!(
            "{what} has more than {MOST_STREAM_POINTS} control points at a spacing of {spacing}"
        ),
    )
    .at(origin)
    .advice(format!("set a larger {key} under [features] in site.toml, or shorten the line"))
}

fn shortened(stream: &Stream, kept: usize, of: usize, reach: &str) -> Diagnostic {
    Diagnostic::new(
        Code::StreamShortened,
        format!(
            "{kept} of {of} points of stream {} are used: the others are farther than {reach} from \
             every well and outside the boundary",
            shown(&stream.name)
        ),
    )
    .at(&stream.origin)
    .advice(
        "set stream_reach under [features] in site.toml if more of the stream belongs to the \
             site",
    )
}

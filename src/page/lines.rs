//! The contours of the page's map.

use geo::{Coord, LineString, Simplify};
use rayon::prelude::*;
use serde::Serialize;

use crate::contour::{DrawnLine, is_index};
use crate::geom::{Course, length};
use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::limits::{FINEST, MOST_LINES, MOST_VERTICES};
use crate::page::site::Site;
use crate::report::measures;
use crate::units::{clean, round_to};

/// No line is moved farther than this to save vertices, drawing units.
const COARSEST: f64 = 1.0;

/// Distance of the ticks on the low side, drawing units, and the most of one line.
const TICK_STEP: f64 = 24.0;
const MOST_TICKS: f64 = 60.0;

/// A contour on the drawing.
#[derive(Debug, Serialize)]
pub(super) struct Line {
    /// The level as it is written on the line.
    level: String,
    index: bool,
    /// The stretches that wells support.
    supported: String,
    /// The stretches that are inferred.
    inferred: String,
    /// Where a closed depression has its ticks, drawing units, and their direction, degrees from the
    /// drawing's right to its bottom.
    ticks: Vec<[f64; 3]>,
}

/// The contours that are drawn, what they tell, and what was left out.
#[derive(Debug)]
pub(super) struct Lines {
    pub(super) drawn: Vec<Line>,
    pub(super) facts: Vec<Facts>,
    pub(super) notes: Vec<String>,
    /// Part of the length of all contours that is inferred, 0 to 1.
    pub(super) inferred_part: f64,
}

/// A contour's stretches on the drawing, and the lengths of them.
struct Traced {
    /// Its level in intervals above the base.
    count: i64,
    level: f64,
    stretches: Vec<(bool, Vec<Coord>)>,
    ticks: Vec<[f64; 3]>,
    supported: f64,
    inferred: f64,
}

/// The contours on a drawing, by level.
pub(super) fn lines(site: &Site, drawing: &Drawing) -> Lines {
    let contours = &site.results.contours;
    let as_drawn = site.results.drawn_contours();
    let mut traced: Vec<Traced> =
        as_drawn.par_iter().enumerate().map(|(i, line)| trace(site, drawing, i, line)).collect();
    let (supported, inferred) =
        traced.iter().fold((0.0, 0.0), |s, t| (s.0 + t.supported, s.1 + t.inferred));
    let file = site.layer("contours");
    let rounding = site.results.rounding_words();
    let rounding =
        rounding.map(|rounding| format!("contours: {rounding}; {file} has them as computed"));
    let notes = thin(&mut traced, &file).into_iter().chain(rounding).collect();
    let decimals = contours.levels.iter().map(|l| decimals(*l)).max().unwrap_or(0);
    let told = |t: &Traced| {
        let level = measures::fixed(t.level, decimals);
        let line = Line {
            level: level.clone(),
            index: is_index(t.count),
            supported: paths(t, false),
            inferred: paths(t, true),
            ticks: t.ticks.clone(),
        };
        let part = t.inferred / (t.inferred + t.supported).max(f64::MIN_POSITIVE);
        let carried = match (t.supported > 0.0, t.inferred > 0.0) {
            (true, true) => {
                format!("inferred for {} % of its length", measures::fixed(100.0 * part, 0))
            }
            (false, true) => "inferred throughout".to_owned(),
            _ => "supported by wells throughout".to_owned(),
        };
        let facts = Facts::of(format!("contour {level} {}", site.elevation.in_words()))
            .with("support", carried);
        (line, facts)
    };
    let (drawn, facts) = traced.iter().map(told).unzip();
    let inferred_part = inferred / (supported + inferred).max(f64::MIN_POSITIVE);
    Lines { drawn, facts, notes, inferred_part }
}

fn trace(site: &Site, drawing: &Drawing, i: usize, as_drawn: &DrawnLine) -> Traced {
    let line = &site.results.contours.lines[i];
    let base = site.results.site.settings.base_level;
    let count = site.results.contours.steps(line.level, base);
    let low_side = if line.is_depression() {
        ticks(&drawing.line(&as_drawn.points(), FINEST))
    } else {
        Vec::new()
    };
    let (mut supported, mut inferred) = (0.0, 0.0);
    let stretches = site.results.uncertainty.contours[i]
        .stretches
        .iter()
        .map(|s| {
            let points = as_drawn.along(s.vertices(line.points.len()));
            let length = length(points.iter().copied());
            if s.inferred {
                inferred += length;
            } else {
                supported += length;
            }
            (s.inferred, drawing.line(&points, FINEST))
        })
        .collect();
    Traced { count, level: line.level, stretches, ticks: low_side, supported, inferred }
}

/// The ticks on the low side of a closed depression: on the right of its direction on the ground.
fn ticks(points: &[Coord]) -> Vec<[f64; 3]> {
    let tick = |(foot, along): (Coord, Coord)| {
        // The drawing's numbers grow downwards: a quarter turn to the right.
        let turned = libm::atan2(along.x, -along.y).to_degrees();
        [foot.x, foot.y, turned].map(|v| round_to(v, 1))
    };
    Course::new(points).at_steps(TICK_STEP, MOST_TICKS).into_iter().map(tick).collect()
}

/// Leaves vertices out, then levels, until the page can carry what is left.
fn thin(traced: &mut Vec<Traced>, file: &str) -> Option<String> {
    let vertices = |t: &Traced| t.stretches.iter().map(|s| s.1.len()).sum::<usize>();
    let mut tolerance = FINEST;
    while traced.iter().map(vertices).sum::<usize>() > MOST_VERTICES && tolerance < COARSEST {
        tolerance = (tolerance * 2.0).min(COARSEST);
        traced.par_iter_mut().flat_map(|t| &mut t.stretches).for_each(|(_, points)| {
            *points = LineString(std::mem::take(points)).simplify(tolerance).into_inner();
        });
    }
    let all = traced.len();
    let fits = |step: i64| {
        let kept = || traced.iter().filter(|t| t.count % step == 0);
        kept().count() <= MOST_LINES && kept().map(vertices).sum::<usize>() <= MOST_VERTICES
    };
    let steps = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
    let step = steps.into_iter().find(|step| fits(*step)).unwrap_or(i64::MAX);
    traced.retain(|t| t.count % step == 0);
    (step > 1).then(|| {
        let every = format!("every {step}th level");
        format!("contours: {} of {all} lines, {every}; {file} has all", traced.len())
    })
}

fn paths(traced: &Traced, inferred: bool) -> String {
    let of_kind = traced.stretches.iter().filter(|s| s.0 == inferred);
    of_kind.map(|s| drawing::path(&s.1)).collect()
}

/// Decimals that a level needs.
fn decimals(level: f64) -> i32 {
    let text = clean(level).to_string();
    let part = text.split_once('.').map_or(0, |(_, part)| part.len());
    i32::try_from(part).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn traced(count: i64, vertices: u32) -> Traced {
        // A spiral: no vertex of it can be left out.
        let spiral = (0..vertices)
            .map(|k| {
                let (angle, radius) = (f64::from(k), 100.0 + f64::from(k));
                Coord { x: radius * libm::cos(angle), y: radius * libm::sin(angle) }
            })
            .collect();
        Traced {
            ticks: Vec::new(),
            count,
            level: 0.0,
            stretches: vec![(false, spiral)],
            supported: 1.0,
            inferred: 0.0,
        }
    }

    #[test]
    fn levels_are_thinned_when_lines_are_too_many_for_a_page() {
        let mut all: Vec<Traced> = (0..100).map(|k| traced(k, 1100)).collect();
        let note = thin(&mut all, "contours.geojson").expect("it is told");
        assert_eq!(all.len(), 20, "every fifth level");
        assert!(all.iter().all(|t| t.count % 5 == 0));
        assert!(note.contains("20 of 100"), "{note}");
        let mut few: Vec<Traced> = (0..30).map(|k| traced(k, 1000)).collect();
        assert_eq!((thin(&mut few, "contours.geojson"), few.len()), (None, 30));
    }

    #[test]
    fn a_level_has_the_decimals_it_needs() {
        assert_eq!([101.25, 1250.0, 0.1 + 0.2, -0.5].map(decimals), [2, 0, 1, 1]);
    }
}

//! Lines on the sheet: made as plain as the eye allows, measured, walked along, interrupted.

use geo::{Coord, LineString, Simplify};

use super::room::{Patch, Rect};
use super::scene::{Run, at};

use crate::geom::distance;

/// No vertex is kept that lies closer to the one before, points: a twentieth of a millimetre.
const SAME: f64 = 0.15;

/// The drawn line strays no farther from the computed one, points: a thirtieth of a millimetre.
const STRAY: f64 = 0.1;

/// A line with no more vertices than its drawing needs. Ends stay where they are.
pub(super) fn plain(points: impl Iterator<Item = Coord>) -> Vec<Coord> {
    let mut kept: Vec<Coord> = Vec::new();
    let mut last = None;
    for p in points {
        if kept.last().is_none_or(|k| distance(*k, p) >= SAME) {
            kept.push(p);
        }
        last = Some(p);
    }
    if let (Some(end), Some(k)) = (last, kept.last_mut())
        && *k != end
    {
        if kept.len() > 1 {
            *kept.last_mut().unwrap_or(&mut at(0.0, 0.0)) = end;
        } else {
            kept.push(end);
        }
    }
    LineString(kept).simplify(STRAY).0
}

/// What is left of a line outside some patches.
pub(super) fn outside(points: &[Coord], patches: &[Patch]) -> Vec<Run> {
    if patches.is_empty() {
        return vec![Run { points: points.to_vec(), closed: false }];
    }
    let mut runs: Vec<Run> = Vec::new();
    let mut run: Vec<Coord> = points.first().copied().into_iter().collect();
    let mut hidden: Vec<(f64, f64)> = Vec::new();
    for w in points.windows(2) {
        let (a, b) = (w[0], w[1]);
        hidden.clear();
        hidden.extend(patches.iter().filter_map(|p| p.cut(a, b)));
        hidden.sort_by(|x, y| x.0.total_cmp(&y.0));
        let mut seen = 0.0;
        for (enters, leaves) in &hidden {
            if *enters > seen {
                run.push(a + (b - a) * *enters);
            }
            if *leaves > seen {
                if run.len() > 1 {
                    runs.push(Run { points: std::mem::take(&mut run), closed: false });
                }
                run.clear();
                run.push(a + (b - a) * *leaves);
                seen = *leaves;
            }
        }
        if seen < 1.0 {
            run.push(b);
        }
    }
    if run.len() > 1 {
        runs.push(Run { points: run, closed: false });
    }
    runs
}

/// The parts of a line inside a frame.
pub(super) fn inside(points: &[Coord], frame: &Rect) -> Vec<Run> {
    let patch = Patch::upright(frame.middle(), frame.width(), frame.height());
    let mut runs: Vec<Run> = Vec::new();
    for w in points.windows(2) {
        let (a, b) = (w[0], w[1]);
        let Some((enters, leaves)) = patch.cut(a, b) else { continue };
        let (from, to) = (a + (b - a) * enters, a + (b - a) * leaves);
        match runs.last_mut() {
            Some(run) if enters == 0.0 && run.points.last() == Some(&from) => run.points.push(to),
            _ => runs.push(Run { points: vec![from, to], closed: false }),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Course;

    #[test]
    fn a_plain_line_keeps_its_ends_and_its_corner() {
        let points = (0..=1000).map(|i| {
            let x = f64::from(i) * 0.01;
            at(x, if x < 5.0 { 0.0 } else { x - 5.0 })
        });
        let line = plain(points);
        assert!(line.len() <= 4, "{line:?}");
        assert_eq!((line[0], line[line.len() - 1]), (at(0.0, 0.0), at(10.0, 5.0)));
        let corner = at(5.0, 0.0);
        assert!(line.iter().any(|p| distance(*p, corner) < 0.2), "{line:?}");
    }

    #[test]
    fn a_line_is_interrupted_under_a_label() {
        let line = [at(0.0, 0.0), at(4.0, 0.0), at(10.0, 0.0)];
        let runs = outside(&line, &[Patch::upright(at(5.0, 0.0), 4.0, 2.0)]);
        let lengths: Vec<f64> = runs.iter().map(|r| Course::new(&r.points).length()).collect();
        assert_eq!(lengths, [3.0, 3.0]);
        let all = outside(&line, &[Patch::upright(at(5.0, 0.0), 40.0, 2.0)]);
        assert!(all.is_empty(), "{all:?}");
    }

    #[test]
    fn a_line_ends_at_the_frame() {
        let frame = Rect { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };
        let runs = inside(&[at(-5.0, 5.0), at(5.0, 5.0), at(5.0, 20.0), at(7.0, 20.0)], &frame);
        assert_eq!(runs.len(), 1);
        assert_eq!(runs[0].points, [at(0.0, 5.0), at(5.0, 5.0), at(5.0, 10.0)]);
    }
}

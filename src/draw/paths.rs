//! Flow paths on the sheet: chains of strokes and wedges that point where the water goes.

use geo::Coord;

use super::lines::{inside, outside, plain};
use super::room::Patch;
use super::scene::{Item, Paint, Run, Stroke, at};
use super::style;
use super::view::View;
use crate::geom::Course;
use crate::report::Results;
use crate::toward::ShownPath;

/// A path begins no closer than this to another that is drawn, points: what lies between is left
/// to the eye.
const APART: f64 = 17.0;

/// From one wedge to the next, points.
const STEP: f64 = 24.0;

/// The part of that which the wedge's gap takes, and the wedge in it.
const GAP: f64 = 7.4;
const WEDGE: f64 = 5.4;
const HALF_WEDGE: f64 = 1.9;

/// A path on the sheet, in the direction of the water.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    points: Vec<Coord>,
    /// Whether it was followed back from a receptor or a pumped well.
    pub(super) back: bool,
}

/// The paths that the sheet shows.
pub(super) fn drawn(results: &Results, view: &View) -> Vec<Drawn> {
    let Some(toward) = results.toward else { return Vec::new() };
    let apart_m = APART / view.points_per_m();
    let shown = toward.shown(&results.site, results.control.frame(), apart_m);
    let on_sheet = |path: ShownPath| Drawn {
        points: plain(path.points.iter().map(|p| view.to_sheet(*p))),
        back: path.back,
    };
    shown.into_iter().map(on_sheet).filter(|path| path.points.len() > 1).collect()
}

impl Drawn {
    pub(super) fn line(&self) -> &[Coord] {
        &self.points
    }
}

/// The paths, interrupted under labels.
pub(super) fn items(paths: &[Drawn], view: &View, labels: &[Patch]) -> Vec<Item> {
    let mut items = Vec::new();
    for path in paths {
        let near: Vec<Patch> = near(&path.points, labels);
        for run in inside(&path.points, &view.frame) {
            for run in outside(&run.points, &near) {
                items.extend(chain(&run.points, path.back));
            }
        }
    }
    items
}

/// The labels that a line may run under.
fn near(points: &[Coord], labels: &[Patch]) -> Vec<Patch> {
    let crosses = |p: &&Patch| points.windows(2).any(|w| p.cut(w[0], w[1]).is_some());
    labels.iter().filter(crosses).copied().collect()
}

/// A line as a chain of strokes with a wedge between each two, on white.
pub(super) fn chain(points: &[Coord], back: bool) -> Vec<Item> {
    let course = Course::new(points);
    let length = course.length();
    if points.len() < 2 || length <= 0.0 {
        return Vec::new();
    }
    // As many whole steps as fit, the strokes at both ends alike.
    let wedges = (length / STEP).floor().max(if length > 2.0 * GAP { 1.0 } else { 0.0 });
    let first = f64::midpoint(length, -(wedges - 1.0) * STEP);
    let mut strokes = Vec::new();
    let mut heads = Vec::new();
    let mut begun = 0.0;
    let mut stroke = |from: f64, to: f64| {
        let mut run = vec![course.place(from)];
        run.extend_from_slice(course.between(from, to));
        run.push(course.place(to));
        strokes.push(Run { points: run, closed: false });
    };
    let mut middle = first;
    while middle < length && wedges > 0.0 {
        stroke(begun, middle - GAP / 2.0);
        begun = middle + GAP / 2.0;
        heads.push(wedge(course.place(middle), course.direction(middle), back));
        middle += STEP;
    }
    stroke(begun, length);
    let (casing, line) =
        if back { (style::PATH_UNDER, style::PATH_BACK) } else { (style::PATH_UNDER, style::PATH) };
    let whole = Run { points: points.to_vec(), closed: false };
    let mut items = vec![
        Item::Path(vec![whole], Paint::stroke(casing)),
        Item::Path(strokes, Paint::stroke(line)),
    ];
    items.extend(heads);
    items
}

/// A wedge that points along the water: filled, or two strokes on a path that was followed back.
fn wedge(middle: Coord, way: Coord, back: bool) -> Item {
    let aside = at(-way.y, way.x) * HALF_WEDGE;
    let (tip, tail) = (middle + way * (WEDGE / 2.0), middle - way * (WEDGE / 2.0));
    if back {
        let points = vec![tail + aside, tip, tail - aside];
        let stroke = Stroke::new(style::PATH_BACK.colour, 0.8);
        return Item::Path(vec![Run { points, closed: false }], Paint::stroke(stroke));
    }
    Item::area(vec![tail + aside, tip, tail - aside], Paint::fill(style::PATH.colour))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every stroke and wedge of a chain lies on its line, and the wedges point along it.
    #[test]
    fn a_chain_is_its_line_with_wedges_along_the_water() {
        let items = chain(&[at(0.0, 0.0), at(60.0, 0.0), at(60.0, 40.0)], false);
        let Item::Path(strokes, _) = &items[1] else { panic!("{items:?}") };
        // 100 points hold four steps of 24; the strokes leave four gaps.
        assert_eq!((strokes.len(), items.len()), (5, 6));
        let inked: f64 = strokes.iter().map(|r| Course::new(&r.points).length()).sum();
        assert!((inked - (100.0 - 4.0 * GAP)).abs() < 1e-9, "{inked}");
        let Item::Path(last, _) = &items[5] else { panic!("{items:?}") };
        let tip = last[0].points[1];
        assert!(last[0].points.iter().all(|p| p.y <= tip.y), "downward on the sheet: {last:?}");
        assert!(chain(&[at(1.0, 1.0)], true).is_empty());
        assert_eq!(chain(&[at(0.0, 0.0), at(5.0, 0.0)], false).len(), 2, "too short for a wedge");
    }
}

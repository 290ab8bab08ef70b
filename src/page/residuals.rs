//! Residuals from the site's plane as dots along the plane's direction of flow: scatter is error of
//! the heads, a bend is shape of the water table.

use geo::Coord;
use serde::Serialize;

use crate::check::ControlPoint;
use crate::page::drawing;
use crate::page::limits;
use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables;
use crate::report::axis;

const WIDTH: f64 = 560.0;
const HEIGHT: f64 = 260.0;
const LEFT: f64 = 58.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 44.0;

/// Intervals are drawn for so many wells; more would hide each other.
const MOST_INTERVALS: usize = 60;

/// So many of the largest residuals are named.
const NAMED: usize = 3;

/// Width of a letter of a name, height of its line, and what lies between dot and name, drawing
/// units.
const LETTER: f64 = 7.0;
const LINE: f64 = 13.0;
const BESIDE: f64 = 7.0;

/// Half width of a head's 95 % interval, in standard deviations.
const SDS: f64 = 1.96;

/// The plot, ready to be drawn.
#[derive(Debug, Serialize)]
pub(super) struct Residuals {
    width: f64,
    height: f64,
    left: f64,
    right: f64,
    bottom: f64,
    zero: String,
    across: Vec<Tick>,
    up: Vec<Tick>,
    dots: Vec<Dot>,
    intervals: bool,
    /// Whether the horizontal axis runs down the plane; to the east where the plane is level.
    down_gradient: bool,
    ground_unit: &'static str,
    shown: usize,
    count: usize,
}

#[derive(Debug, Serialize)]
struct Tick {
    at: String,
    text: String,
}

#[derive(Debug, Serialize)]
struct Dot {
    x: String,
    y: String,
    high: String,
    low: String,
    name: Option<String>,
    /// Whether the name stands to the left of the dot.
    left: bool,
    title: String,
}

/// The residual plot of a site.
pub(super) fn residuals(site: &Site) -> Residuals {
    let results = site.results;
    // Judged heads are not held against the plane.
    let all = results.control.points();
    let kept: Vec<usize> = (0..all.len()).filter(|i| !all[*i].is_judged()).collect();
    let points: Vec<&ControlPoint> = kept.iter().map(|i| &all[*i]).collect();
    let plane = &results.flow.plane;
    let (slope, steep) = (plane.slope, results.flow.plane_gradient);
    let down_gradient = steep > 0.0;
    let along = |p: Coord| {
        let (east, north) = (p.x - plane.centre.x, p.y - plane.centre.y);
        let metres =
            if down_gradient { -(east * slope.east + north * slope.north) / steep } else { east };
        site.ground().length(metres)
    };
    let places: Vec<Coord> = points
        .iter()
        .zip(&kept)
        .map(|(p, i)| Coord { x: along(p.local), y: tables::residual(site, *i).unwrap_or(0.0) })
        .collect();
    let intervals = points.len() <= MOST_INTERVALS;
    let half =
        |i: usize| if intervals { SDS * tables::sd(site, kept[i]).unwrap_or(0.0) } else { 0.0 };
    let (mut west, mut east, mut reach) = (f64::INFINITY, f64::NEG_INFINITY, 0.0_f64);
    for (i, p) in places.iter().enumerate() {
        west = west.min(p.x);
        east = east.max(p.x);
        reach = reach.max(p.y.abs() + half(i));
    }
    reach = (reach * 1.06).max(1e-3);
    let inner = (WIDTH - LEFT - RIGHT - 24.0, HEIGHT - TOP - BOTTOM);
    let x = |v: f64| LEFT + 12.0 + (v - west) / (east - west).max(f64::MIN_POSITIVE) * inner.0;
    let y = |v: f64| TOP + (reach - v) / (2.0 * reach) * inner.1;
    let axis = |values: &[f64], to: &dyn Fn(f64) -> f64| {
        values
            .iter()
            .map(|v| Tick { at: drawing::number(to(*v)), text: axis::tick(*v, values) })
            .collect::<Vec<_>>()
    };
    let drawn: Vec<Coord> = places.iter().map(|p| Coord { x: x(p.x), y: y(p.y) }).collect();
    let length = |id: &str| LETTER * plain::label(id).chars().count() as f64;
    let named = largest(&places, &drawn, |i| length(&points[i].id));
    let (shown, _) = limits::spread(&drawn, limits::MOST_ROWS);
    let dots: Vec<Dot> = shown
        .into_iter()
        .map(|i| Dot {
            x: drawing::number(drawn[i].x),
            y: drawing::number(drawn[i].y),
            high: drawing::number(y(places[i].y + half(i))),
            low: drawing::number(y(places[i].y - half(i))),
            name: named.contains(&i).then(|| plain::label(&points[i].id)),
            left: drawn[i].x + BESIDE + length(&points[i].id) > WIDTH,
            title: format!("{}: {}", site.well(kept[i]), site.head(places[i].y)),
        })
        .collect();
    Residuals {
        width: WIDTH,
        height: HEIGHT,
        left: LEFT,
        right: WIDTH - RIGHT,
        bottom: HEIGHT - BOTTOM,
        zero: drawing::number(y(0.0)),
        across: axis(&axis::ticks(west, east, 6.0), &x),
        up: axis(&axis::ticks(-reach, reach, 5.0), &y),
        shown: dots.len(),
        count: points.len(),
        dots,
        intervals,
        down_gradient,
        ground_unit: site.ground().name(),
    }
}

/// The wells with the largest residuals, without those whose names would stand on one another.
fn largest(places: &[Coord], drawn: &[Coord], length: impl Fn(usize) -> f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|a, b| places[*b].y.abs().total_cmp(&places[*a].y.abs()));
    order.truncate(NAMED);
    let mut named: Vec<usize> = Vec::new();
    for i in order {
        let apart = |k: &usize| {
            let aside = length(i).max(length(*k)) + 2.0 * BESIDE;
            (drawn[i].y - drawn[*k].y).abs() >= LINE || (drawn[i].x - drawn[*k].x).abs() >= aside
        };
        if named.iter().all(apart) {
            named.push(i);
        }
    }
    named
}

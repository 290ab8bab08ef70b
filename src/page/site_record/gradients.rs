//! Gradients through time: that of the plane of each round, and those up and down in nests.

use serde::Serialize;

use super::plot::{Axes, LARGE, SMALL, Size};
use crate::page::drawing::number;
use crate::page::plain;
use crate::record::NestRow;
use crate::report::{SiteRecord, TimeAxis, measures, noon};
use crate::uncertainty::PlaneFit;

/// An interval is drawn to so many times the largest gradient.
const FARTHEST: f64 = 2.5;

/// Plots of nests that are shown.
const MOST_NESTS: usize = 60;

/// A plot of gradients, ready to be drawn.
#[derive(Debug, Serialize)]
pub(super) struct Gradients {
    title: String,
    axes: Axes,
    zero: Option<String>,
    dots: Vec<Dot>,
}

#[derive(Debug, Serialize)]
struct Dot {
    x: String,
    y: String,
    high: String,
    low: String,
    filled: bool,
    title: String,
}

/// A gradient of a round.
struct Value {
    day: f64,
    gradient: f64,
    low: f64,
    high: f64,
    filled: bool,
    title: String,
}

/// The gradients of the planes; `None` where fewer than two rounds have a day and a gradient.
pub(super) fn of_planes(record: &SiteRecord, time: &TimeAxis) -> Option<Gradients> {
    let values: Vec<Value> = record
        .record
        .rounds
        .iter()
        .filter_map(|r| {
            let g = r.gradient?;
            let interval = g.gradient_interval;
            Some(Value {
                day: noon(r.day.as_deref()?)?,
                gradient: g.gradient,
                low: interval.low,
                high: interval.high,
                filled: g.fit != PlaneFit::Poor,
                title: format!(
                    "{}: {}, 95 % {}",
                    plain::text(&r.round),
                    measures::three_digits(g.gradient),
                    measures::magnitude(interval)
                ),
            })
        })
        .collect();
    let (_, high) = reach(&values);
    (values.len() > 1).then(|| drawn(String::new(), LARGE, time, (0.0, high), &values))
}

/// The vertical gradients of each nest, all on one axis.
pub(super) fn of_nests(record: &SiteRecord, time: &TimeAxis) -> Vec<Gradients> {
    let rows = &record.record.nests;
    let pair = |row: &NestRow| (row.vertical.upper, row.vertical.lower);
    let nests: Vec<(&NestRow, Vec<Value>)> = rows
        .chunk_by(|a, b| pair(a) == pair(b))
        .take(MOST_NESTS)
        .map(|rows| (&rows[0], rows.iter().filter_map(|row| vertical(record, row)).collect()))
        .collect();
    let all = nests.iter().map(|(_, values)| reach(values));
    let ends = all.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))).unwrap_or((0.0, 0.0));
    let name = |well: usize| plain::text(&record.record.wells[well].well);
    let of = |(first, values): &(&NestRow, Vec<Value>)| {
        let (upper, lower) = pair(first);
        let title = format!("{} over {}", name(upper), name(lower));
        drawn(title, SMALL, time, ends, values)
    };
    nests.iter().filter(|(_, values)| !values.is_empty()).map(of).collect()
}

fn vertical(record: &SiteRecord, row: &NestRow) -> Option<Value> {
    let round = &record.record.rounds[row.round];
    let v = row.vertical;
    let number = measures::three_digits;
    Some(Value {
        day: noon(round.day.as_deref()?)?,
        gradient: v.gradient,
        low: v.low,
        high: v.high,
        filled: v.direction() != "not resolved",
        title: format!(
            "{}: {}, 95 % {} to {}, {}",
            plain::text(&round.round),
            number(v.gradient),
            number(v.low),
            number(v.high),
            v.direction()
        ),
    })
}

/// From where to where gradients and their intervals reach, zero among them.
fn reach(values: &[Value]) -> (f64, f64) {
    let largest = values.iter().map(|v| v.gradient.abs()).fold(0.0, f64::max).max(1e-6);
    let (low, high) =
        values.iter().fold((0.0_f64, 0.0_f64), |(low, high), v| (low.min(v.low), high.max(v.high)));
    let far = FARTHEST * largest;
    (1.06 * low.max(-far), 1.06 * high.min(far))
}

fn drawn(
    title: String,
    size: Size,
    time: &TimeAxis,
    (low, high): (f64, f64),
    values: &[Value],
) -> Gradients {
    let plot = size.plot(time, low, high);
    let dot = |v: &Value| Dot {
        x: number(plot.x(v.day)),
        y: number(plot.y(v.gradient)),
        high: number(plot.y(v.high)),
        low: number(plot.y(v.low)),
        filled: v.filled,
        title: v.title.clone(),
    };
    Gradients {
        title,
        axes: Axes::of(size, &plot, if size.height > 200.0 { 5.0 } else { 3.0 }),
        zero: plot.has(0.0).then(|| number(plot.y(0.0))),
        dots: values.iter().map(dot).collect(),
    }
}

//! The directions of all rounds on one circle: a ring for each, the earliest inside.

use serde::Serialize;

use crate::page::drawing::{arc, number, on_circle, path};
use crate::page::plain;
use crate::record::{RoundRow, Turned};
use crate::report::{SiteRecord, measures};
use crate::uncertainty::{DirectionInterval, PlaneFit};

/// Radius of the innermost ring and of the outermost, drawing units.
const RADII: (f64, f64) = (30.0, 122.0);

/// Rings that are shown; more would touch each other.
const MOST_RINGS: usize = 40;

/// Two years written on the rings are apart by so much, drawing units.
const LINE: f64 = 11.0;

/// The diagram, ready to be drawn.
#[derive(Debug, Serialize)]
pub(super) struct Compass {
    rings: Vec<Ring>,
    /// Lines from each resolved direction to the next.
    joined: Vec<String>,
    /// Where years are written, on the ring of their first round.
    years: Vec<Year>,
    /// Rounds with a direction that are not shown, the earliest.
    left_out: usize,
    /// Whether some direction is not resolved, and whether flow turned.
    unresolved: bool,
    turned: bool,
    doubtful: bool,
}

#[derive(Debug, Serialize)]
struct Ring {
    radius: String,
    x: String,
    y: String,
    arc: Option<String>,
    resolved: bool,
    turned: bool,
    /// Whether heads of it do not fit the record.
    doubtful: bool,
    title: String,
}

#[derive(Debug, Serialize)]
struct Year {
    x: String,
    y: String,
    text: String,
}

/// The compass of a record; `None` where no round has a direction.
pub(super) fn compass(record: &SiteRecord) -> Option<Compass> {
    let norths = record.norths();
    let directed: Vec<(usize, &RoundRow)> = record
        .record
        .rounds
        .iter()
        .enumerate()
        .filter(|(_, r)| r.gradient.is_some_and(|g| g.azimuth_grid.is_some()))
        .collect();
    let left_out = directed.len().saturating_sub(MOST_RINGS);
    let shown = &directed[left_out..];
    if shown.is_empty() {
        return None;
    }
    let step = (RADII.1 - RADII.0) / (shown.len() - 1).max(1) as f64;
    // A round alone is in the middle of its ring.
    let first = if shown.len() == 1 { f64::midpoint(RADII.0, RADII.1) } else { RADII.0 };
    let mut compass = Compass {
        rings: Vec::new(),
        joined: Vec::new(),
        years: Vec::new(),
        left_out,
        unresolved: false,
        turned: false,
        doubtful: false,
    };
    let away = record.record.directions.and_then(|d| d.mean).map_or(45.0, |mean| {
        // Where directions are fewest.
        norths.state(mean).turned(180.0).degrees()
    });
    let mut last = None;
    let mut written: Option<(String, f64)> = None;
    for (i, (index, round)) in shown.iter().enumerate() {
        let radius = first + step * i as f64;
        let Some((gradient, grid)) = round.gradient.and_then(|g| Some((g, g.azimuth_grid?))) else {
            continue;
        };
        let azimuth = norths.state(grid);
        let at = on_circle(radius, azimuth.degrees());
        let interval = gradient.direction_interval.turned(norths.turn_deg());
        let ends = match interval {
            DirectionInterval::Arc { from, to } if gradient.resolved => {
                let width = to.turned(-from.degrees()).degrees();
                Some(arc(radius, from.degrees(), from.degrees() + width, "M"))
            }
            _ => None,
        };
        let turned = round.turn.is_some_and(|t| t.turn.verdict == Turned::Turned);
        let planar = gradient.fit != PlaneFit::Poor;
        let state = match (gradient.resolved, planar) {
            (true, true) => format!("95 % {}", measures::degrees(interval)),
            (true, false) => format!("95 % {}; not planar (M416)", measures::degrees(interval)),
            (false, _) => "not resolved".to_owned(),
        };
        let name = plain::text(&round.round);
        compass.unresolved |= !gradient.resolved;
        let doubtful = record.doubtful_in(*index) > 0;
        compass.turned |= turned;
        compass.doubtful |= doubtful;
        if gradient.resolved
            && let Some(before) = last.replace(at)
        {
            compass.joined.push(path(&[before, at]));
        }
        let year = round.day.as_deref().and_then(|day| day.get(..4)).unwrap_or_default();
        let is_new =
            written.as_ref().is_none_or(|(before, r)| before != year && radius - r >= LINE);
        if is_new && !year.is_empty() {
            let place = on_circle(radius, away);
            compass.years.push(Year {
                x: number(place.x),
                y: number(place.y),
                text: year.to_owned(),
            });
            written = Some((year.to_owned(), radius));
        }
        compass.rings.push(Ring {
            radius: number(radius),
            x: number(at.x),
            y: number(at.y),
            arc: ends,
            resolved: gradient.resolved,
            turned,
            doubtful,
            title: format!(
                "{name}: {}, {state}{}",
                measures::toward(azimuth),
                if doubtful { "; with doubtful readings" } else { "" }
            ),
        });
    }
    Some(compass)
}

//! The directions of all rounds on one circle: a ring for each, the earliest inside.

use geo::Coord;
use serde::Serialize;

use crate::page::drawing::{arc, number, on_circle, path};
use crate::page::plain;
use crate::report::{Directed, SiteRecord, measures};

/// Radius of the innermost ring and of the outermost, drawing units.
const RADII: (f64, f64) = (30.0, 122.0);

/// Width and height that a year takes on the rings, drawing units.
const YEAR: (f64, f64) = (26.0, 11.0);

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
    let (shown, left_out) = record.on_rings();
    if shown.is_empty() {
        return None;
    }
    let step = (RADII.1 - RADII.0) / (shown.len() - 1).max(1) as f64;
    // A round alone is in the middle of its ring.
    let first = if shown.len() == 1 { f64::midpoint(RADII.0, RADII.1) } else { RADII.0 };
    let radius = |i: usize| first + step * i as f64;
    let places: Vec<(bool, Coord)> = shown
        .iter()
        .enumerate()
        .map(|(i, d)| (d.resolved, on_circle(radius(i), d.azimuth.degrees())))
        .collect();
    let resolved: Vec<Coord> = places.iter().filter(|(r, _)| *r).map(|(_, at)| *at).collect();
    let ring = |(i, d): (usize, &Directed)| Ring {
        radius: number(radius(i)),
        x: number(places[i].1.x),
        y: number(places[i].1.y),
        arc: d.ends().map(|(from, to)| arc(radius(i), from, to, "M")),
        resolved: d.resolved,
        turned: d.turned,
        doubtful: d.doubtful,
        title: title(record, d),
    };
    let away = record.away_from_directions();
    let year = |(i, text): (usize, &str)| {
        let place = on_circle(radius(i), away);
        Year { x: number(place.x), y: number(place.y), text: text.to_owned() }
    };
    Some(Compass {
        rings: shown.iter().enumerate().map(ring).collect(),
        joined: resolved.windows(2).map(path).collect(),
        years: record.years_on_rings(&shown, step, YEAR).into_iter().map(year).collect(),
        left_out,
        unresolved: shown.iter().any(|d| !d.resolved),
        turned: shown.iter().any(|d| d.turned),
        doubtful: shown.iter().any(|d| d.doubtful),
    })
}

fn title(record: &SiteRecord, of: &Directed) -> String {
    let known = if of.resolved {
        format!("95 % {}", measures::degrees(of.interval))
    } else {
        "not resolved".to_owned()
    };
    format!(
        "{}: {}, {known}{}{}",
        plain::text(&record.record.rounds[of.round].round),
        measures::toward(of.azimuth),
        if of.planar { "" } else { "; not planar (M416)" },
        if of.doubtful { "; with doubtful readings" } else { "" }
    )
}

//! The first sheet: what the record says, the compass, gradients through time, a table of rounds.

use super::axes::axes;
use super::compass::compass;
use crate::draw::font::Words;
use crate::draw::items::Items;
use crate::draw::room::Rect;
use crate::draw::scene::{Item, Paint, Stroke, at};
use crate::draw::style::{CONTOUR, GREY, INK, PALE, WHITE};
use crate::report::{Plot, RecordStatement, RoundOfRecord, SiteRecord, TimeAxis, measures, noon};
use crate::uncertainty::PlaneFit;
use crate::units::Azimuth;

/// Heights of letters and the distance of lines, points.
const BODY: (f64, f64) = (8.0, 10.4);
const NOTE: (f64, f64) = (6.6, 8.3);
const ROW: f64 = 9.6;

/// Between two figures, points.
const GUTTER: f64 = 16.0;

/// Draws it.
pub(super) fn first(record: &SiteRecord, time: Option<&TimeAxis>, room: Rect) -> Items {
    let mut items = Items::default();
    let letters = &record.site.fonts;
    let mut y = room.top + 8.0;
    for sentence in RecordStatement::of(record).sentences {
        y = items.paragraph(at(room.left, y), room.width(), BODY, INK, (&sentence, letters)) + 1.6;
    }
    let half = (room.width() - GUTTER) / 2.0;
    let side = half.min(210.0);
    let figures =
        Rect { left: room.left, top: y + 12.0, right: room.right, bottom: y + 12.0 + side };
    let (left, right) = (room.left, room.left + half + GUTTER);
    let title = |items: &mut Items, x: f64, text: &str| {
        items.bold(at(x, figures.top), 9.0, Words::new(text));
    };
    title(&mut items, left, "Directions through time");
    let square = Rect { left, top: figures.top + 6.0, right: left + half, bottom: figures.bottom };
    let (stated, mut lowest) = (record.norths().stated.words(), figures.bottom);
    if compass(&mut items, record, square) {
        let text = format!(
            "Up: {stated}. A ring for each round, the earliest inside. Dot: direction of the plane through the wells; arc: \
             its 95 % interval; open: not resolved; circled: turned since the round before; square: with doubtful \
             readings."
        );
        lowest =
            items.paragraph(at(left, figures.bottom + 8.0), half, NOTE, GREY, (&text, letters));
    }
    title(&mut items, right, "Gradient through time");
    if let Some(time) = time {
        let plot = Rect {
            left: right + 30.0,
            top: figures.top + 12.0,
            right: room.right,
            bottom: figures.bottom - 12.0,
        };
        gradients(&mut items, record, time, plot);
        let text = "Hydraulic gradient (m/m) of the plane through the wells; bars: 95 % interval; open: the water table \
                    is not planar (M416).";
        let end =
            items.paragraph(at(right, figures.bottom + 8.0), half, NOTE, GREY, (text, letters));
        lowest = lowest.max(end);
    }
    rounds(&mut items, record, Rect { top: lowest + 14.0, ..room });
    items
}

fn gradients(items: &mut Items, record: &SiteRecord, time: &TimeAxis, frame: Rect) {
    let rows: Vec<_> = record
        .record
        .rounds
        .iter()
        .filter_map(|r| Some((noon(r.day.as_deref()?)?, r.gradient?)))
        .collect();
    let largest = rows.iter().map(|(_, g)| g.gradient).fold(0.0, f64::max);
    let high = rows.iter().map(|(_, g)| g.gradient_interval.high).fold(0.0, f64::max);
    let high = (1.06 * high.min(2.5 * largest)).max(1e-6);
    let Rect { left, top, right, bottom } = frame;
    let plot = Plot { left, right, top, bottom, time, low: 0.0, high };
    axes(items, &plot, 5.0);
    for (day, g) in rows {
        let x = plot.x(day);
        let ends = [g.gradient_interval.low, g.gradient_interval.high].map(|v| at(x, plot.y(v)));
        items.line(ends, Stroke::new(CONTOUR, 0.7));
        let fill = if g.fit == PlaneFit::Poor { WHITE } else { CONTOUR };
        let paint = Paint::both(fill, Stroke::new(CONTOUR, 0.7));
        items.0.push(Item::Circle(at(x, plot.y(g.gradient)), 1.9, paint));
    }
}

/// The newest rounds that there is room for.
fn rounds(items: &mut Items, record: &SiteRecord, room: Rect) {
    let rows = record.rounds();
    let norths = record.norths();
    items.bold(at(room.left, room.top), 9.0, Words::new("Rounds"));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some dozens")]
    let lines = ((room.bottom - room.top - 24.0) / ROW).max(0.0) as usize;
    let left_out = if rows.len() > lines { rows.len() - lines.saturating_sub(1) } else { 0 };
    let toward = format!("toward (° from {})", norths.stated.words());
    let headings =
        ["Round", "Heads", "Gradient (m/m)", "95 %", &toward, "95 %", "Turn (°)", "95 %", ""];
    let shares = [0.0, 0.14, 0.2, 0.31, 0.45, 0.63, 0.72, 0.79, 0.89];
    let x = |k: usize| room.left + shares[k] * room.width();
    let mut y = room.top + 12.0;
    for (k, text) in headings.iter().enumerate() {
        items.text(at(x(k), y), 6.6, GREY, text);
    }
    items.line([at(room.left, y + 3.0), at(room.right, y + 3.0)], Stroke::new(PALE, 0.5));
    for row in &rows[left_out.min(rows.len())..] {
        y += ROW;
        for (k, text) in cells(record, row).iter().enumerate() {
            let next = shares.get(k + 1).map_or(1.0, |share| *share) - shares[k];
            let words =
                Words::of(text, &record.site.fonts).fitted(next * room.width() - 3.0, 7.2, false);
            items.words(at(x(k), y), 7.2, INK, words);
        }
    }
    if left_out > 0 {
        let text = format!("{left_out} earlier rounds: record-rounds.csv");
        items.text(at(room.left, y + ROW), 6.6, GREY, &text);
    }
}

fn cells(record: &SiteRecord, row: &RoundOfRecord) -> [String; 9] {
    let number = measures::three_digits;
    let none = || measures::NONE.to_owned();
    let or = |text: Option<String>| text.unwrap_or_else(none);
    let pair = |low: Option<f64>, high: Option<f64>, write: fn(f64) -> String| {
        or(low.zip(high).map(|(low, high)| format!("{} to {}", write(low), write(high))))
    };
    let turn_deg = record.norths().turn_deg();
    let state = |grid: f64| Azimuth::from_degrees(grid).turned(turn_deg).whole_degrees();
    let resolved = row.direction_resolved == Some(true);
    let judged = row.turned.is_some_and(|t| t != "not resolved");
    [
        row.round.clone(),
        row.heads.to_string(),
        or(row.gradient.map(number)),
        pair(row.gradient_low, row.gradient_high, number),
        match row.flow_azimuth_grid_deg {
            Some(grid) if resolved => state(grid),
            Some(_) => "not resolved".to_owned(),
            None => none(),
        },
        or(row
            .flow_from_grid_deg
            .zip(row.flow_to_grid_deg)
            .map(|(from, to)| format!("{} to {}", state(from), state(to)))),
        or(row.turn_deg.filter(|_| judged).map(measures::turn)),
        if judged { pair(row.turn_from_deg, row.turn_to_deg, measures::turn) } else { none() },
        match (row.turned, row.doubtful) {
            (Some("turned"), 0) => "turned".to_owned(),
            (Some("turned"), _) => "turned, doubtful".to_owned(),
            (_, 0) => String::new(),
            (_, n) => format!("{n} doubtful"),
        },
    ]
}

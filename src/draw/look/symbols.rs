//! What the sheet draws, as programs that draw layers know it.

use crate::draw::scene::{Colour, Item, Paint, Run, Stroke};

/// The white about a text on a line, points.
pub(super) const HALO: f64 = 1.0;

/// What is drawn of a feature.
#[derive(Debug, Clone)]
pub(super) enum Symbol {
    Line(Stroke),
    Area(Paint),
    Mark(Mark),
    Text(Label),
}

/// A mark at a place, with the measures of what the sheet draws.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    pub(super) shape: Shape,
    /// The side of the square that it fills, points.
    pub(super) size: f64,
    /// How far it is turned clockwise.
    pub(super) turn_deg: u16,
    pub(super) paint: Paint,
}

/// A mark that every program has to know (OGC 05-077r4, 11.3.2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Circle,
    Triangle,
    Square,
    Cross,
}

/// A text of a column.
#[derive(Debug, Clone, Copy)]
pub(super) struct Label {
    pub(super) column: &'static str,
    pub(super) letters: Letters,
    pub(super) beside: Beside,
}

/// How a text is set.
#[derive(Debug, Clone, Copy)]
pub(super) struct Letters {
    /// The height of their em, points.
    pub(super) size: f64,
    pub(super) bold: bool,
    pub(super) colour: Colour,
}

/// Where a text is.
#[derive(Debug, Clone, Copy)]
pub(super) enum Beside {
    /// On the right of a place, so many points off.
    Place(f64),
    /// Along a line.
    Line,
    /// In an area.
    Area,
}

/// A colour of a raster at a value.
pub(super) struct Step {
    pub(super) value: String,
    pub(super) colour: Colour,
}

pub(super) const fn text(column: &'static str, letters: Letters, beside: Beside) -> Symbol {
    Symbol::Text(Label { column, letters, beside })
}

/// Lines as the sheet draws them, one upon the other.
pub(super) fn lines(items: &[Item]) -> Vec<Symbol> {
    let stroke = |item: &Item| match item {
        Item::Path(_, paint) => paint.stroke.map(Symbol::Line),
        _ => None,
    };
    items.iter().filter_map(stroke).collect()
}

/// A sign as the sheet draws it at a place, one mark upon the other.
pub(super) fn sign(items: &[Item]) -> Vec<Symbol> {
    items.iter().map(|item| Symbol::Mark(mark(item))).collect()
}

fn mark(item: &Item) -> Mark {
    match item {
        Item::Circle(_, radius, paint) => {
            Mark { shape: Shape::Circle, size: 2.0 * radius, turn_deg: 0, paint: *paint }
        }
        Item::Path(runs, paint) => {
            let (shape, size, turn_deg) = shape(runs);
            Mark { shape, size, turn_deg, paint: *paint }
        }
        Item::Text(_) | Item::Picture(_) => {
            panic!("this is a bug in headfall: {item:?} is no sign")
        }
    }
}

/// The shape, the size and the turn (degrees) of the mark that has the shape of some lines.
fn shape(runs: &[Run]) -> (Shape, f64, u16) {
    let xs = || runs.iter().flat_map(|run| run.points.iter().map(|p| p.x));
    let width = xs().fold(f64::NEG_INFINITY, f64::max) - xs().fold(f64::INFINITY, f64::min);
    match runs {
        // The third corner is below the others: the sheet counts downward.
        [Run { points, closed: true }] if points.len() == 3 && points[2].y > points[0].y => {
            (Shape::Triangle, width, 180)
        }
        [Run { points, closed: true }]
            if points.len() == 4 && (points[0].x - points[2].x).abs() < 1e-6 =>
        {
            (Shape::Square, width / std::f64::consts::SQRT_2, 45)
        }
        [Run { points, closed: true }] if points.len() == 4 => (Shape::Square, width, 0),
        [_, _] => (Shape::Cross, width, 0),
        other => panic!("this is a bug in headfall: no mark has the shape of {other:?}"),
    }
}

/// A colour as styles of the web write it.
pub(super) fn web_colour(Colour(red, green, blue): Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

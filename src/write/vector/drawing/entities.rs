//! What a drawing consists of.

use geo::{Coord, Geometry, LineString, Polygon};

/// A thing on a layer of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entity {
    pub(super) layer: String,
    pub(super) shape: Shape,
    /// Its elevation, units of the drawing; `None` where it is drawn at 0.
    pub(super) z: Option<f64>,
}

/// What it is, with places in CRS units.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    Point(Coord),
    /// A closed line does not repeat its first vertex.
    Line {
        points: Vec<Coord>,
        closed: bool,
    },
    Text(Text),
}

impl Shape {
    /// Its places.
    pub(super) fn places(&self) -> &[Coord] {
        match self {
            Self::Point(at) | Self::Text(Text { at, .. }) => std::slice::from_ref(at),
            Self::Line { points, .. } => points,
        }
    }
}

/// Words in a drawing; lines of them are parted by a line feed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Text {
    pub(super) words: String,
    pub(super) at: Coord,
    pub(super) anchor: Anchor,
    /// Counter-clockwise from east, degrees.
    pub(super) turn_deg: f64,
}

/// The part of a text that is at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    LowerLeft,
    LowerMiddle,
    UpperLeft,
}

/// The points and lines that a geometry consists of; an area is drawn as its outlines.
pub(super) fn shapes(geometry: Geometry) -> Vec<Shape> {
    match geometry {
        Geometry::Point(p) => vec![Shape::Point(p.0)],
        Geometry::MultiPoint(points) => points.into_iter().map(|p| Shape::Point(p.0)).collect(),
        Geometry::LineString(line) => vec![course(line)],
        Geometry::MultiLineString(lines) => lines.into_iter().map(course).collect(),
        Geometry::Polygon(area) => outlines(area).collect(),
        Geometry::MultiPolygon(areas) => areas.into_iter().flat_map(outlines).collect(),
        _ => Vec::new(),
    }
}

fn outlines(area: Polygon) -> impl Iterator<Item = Shape> {
    let (outer, holes) = area.into_inner();
    std::iter::once(outer).chain(holes).map(course)
}

fn course(line: LineString) -> Shape {
    let mut points = line.0;
    let closed = points.len() > 3 && points.first() == points.last();
    if closed {
        points.pop();
    }
    Shape::Line { points, closed }
}

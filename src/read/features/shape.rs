//! Which geometry fits which role.

use geo::{
    Coord, Geometry, Line, LineString, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon,
};

use super::layer::{Feature, Part, Vertex};
use super::rings;
use crate::units::as_given;

/// What is wrong with a feature, and what to do about it.
pub(super) type Problem = (String, &'static str);

fn xy(v: &Vertex) -> Coord {
    Coord { x: v.0, y: v.1 }
}

fn line_of(vertices: &[Vertex]) -> LineString {
    vertices.iter().map(xy).collect()
}

fn polygon_of(rings: &[Vec<Vertex>]) -> Polygon {
    let mut rings = rings.iter().map(|r| line_of(r));
    Polygon::new(rings.next().unwrap_or_else(|| LineString::new(Vec::new())), rings.collect())
}

/// Refuses a feature without a geometry, of an unknown kind, or with coordinates that are no
/// numbers.
pub(super) fn sound(feature: &Feature) -> Result<(), Problem> {
    if let Some(kind) = feature.odd.first() {
        let text = format!("is a {kind}, not a point, line or area");
        return Err((text, "turn curves into lines and surfaces into polygons in a GIS"));
    }
    if feature.parts.is_empty() {
        return Err(("has no geometry".to_owned(), "delete it or draw it again"));
    }
    let finite = |v: &&Vertex| !(v.0.is_finite() && v.1.is_finite() && v.2.is_finite());
    let bad = feature.parts.iter().flat_map(Part::all).find(finite);
    if let Some((x, y, z)) = bad {
        let text = format!(
            "has a vertex ({}, {}, {}) that is not a finite position",
            as_given(*x),
            as_given(*y),
            as_given(*z)
        );
        return Err((text, "correct the vertex, or draw the feature again"));
    }
    Ok(())
}

impl Part {
    /// All vertices.
    pub(super) fn all(&self) -> impl Iterator<Item = &Vertex> {
        let (one, many): (&[Vertex], &[Vec<Vertex>]) = match self {
            Self::Point(p) => (std::slice::from_ref(p), &[]),
            Self::Line(line) => (line, &[]),
            Self::Area(rings) => (&[], rings),
        };
        one.iter().chain(many.iter().flatten())
    }

    /// All vertices, to be moved.
    pub(super) fn all_mut(&mut self) -> impl Iterator<Item = &mut Vertex> {
        let (one, many): (&mut [Vertex], &mut [Vec<Vertex>]) = match self {
            Self::Point(p) => (std::slice::from_mut(p), &mut []),
            Self::Line(line) => (line, &mut []),
            Self::Area(rings) => (&mut [], rings),
        };
        one.iter_mut().chain(many.iter_mut().flatten())
    }

    pub(super) const fn word(&self) -> &'static str {
        match self {
            Self::Point(_) => "a point",
            Self::Line(_) => "a line",
            Self::Area(_) => "an area",
        }
    }
}

/// The areas of a boundary. A closed line, as drawings have it, is an area.
pub(super) fn areas(parts: &[Part]) -> Result<Vec<Polygon>, Problem> {
    let mut areas = Vec::new();
    for part in parts {
        let area = match part {
            Part::Area(rings) => polygon_of(rings),
            Part::Line(line) if line.len() > 3 && line.first().map(xy) == line.last().map(xy) => {
                Polygon::new(line_of(line), Vec::new())
            }
            other => {
                let text = format!("is {}, but a boundary must be an area", other.word());
                return Err((text, "draw the boundary as a polygon or as a closed line"));
            }
        };
        rings::check(&area).map_err(|why| {
            (
                format!("is not a valid polygon: {why}"),
                "repair the polygon in a GIS: it must not cross or touch itself along a line",
            )
        })?;
        areas.push(area);
    }
    Ok(areas)
}

/// The lines of a barrier. The outline of an area, such as a wall all around, is a line.
pub(super) fn courses(parts: &[Part]) -> Result<Vec<LineString>, Problem> {
    let mut courses = Vec::new();
    for part in parts {
        let lines: Vec<LineString> = match part {
            Part::Line(line) => vec![line_of(line)],
            Part::Area(rings) => rings.iter().map(|r| line_of(r)).collect(),
            Part::Point(_) => {
                let text = "is a point, but a barrier must be a line".to_owned();
                return Err((text, "draw the barrier as a line"));
            }
        };
        for line in lines {
            courses.push(with_length(line)?);
        }
    }
    Ok(courses)
}

fn with_length(line: LineString) -> Result<LineString, Problem> {
    if line.lines().any(|l: Line| l.start != l.end) {
        return Ok(line);
    }
    let text = "is a line of zero length".to_owned();
    Err((text, "delete it or draw it again"))
}

/// The parts of a stream: lines, or places at which its stage was read.
pub(super) fn stream(parts: &[Part]) -> Result<Vec<Vec<Vertex>>, Problem> {
    parts
        .iter()
        .map(|part| match part {
            Part::Point(p) => Ok(vec![*p]),
            Part::Line(line) => with_length(line_of(line)).map(|_| line.clone()),
            Part::Area(_) => Err((
                "is an area, but a stream must be a line".to_owned(),
                "draw the bank or centre line of the stream, or the shore of the pond, as a line",
            )),
        })
        .collect()
}

/// The parts of a site plan as they were drawn: nothing is worked out from them, so that an outline which crosses itself
/// stays one.
pub(super) fn as_drawn(parts: &[Part]) -> impl Iterator<Item = Geometry> {
    parts.iter().map(|part| match part {
        Part::Point(p) => Point(xy(p)).into(),
        Part::Line(line) => line_of(line).into(),
        Part::Area(rings) => polygon_of(rings).into(),
    })
}

/// A source or receptor, whole.
pub(super) fn place(parts: &[Part]) -> Result<Geometry, Problem> {
    let (mut points, mut lines, mut polygons) = (Vec::new(), Vec::new(), Vec::new());
    for part in parts {
        match part {
            Part::Point(p) => points.push(Point(xy(p))),
            Part::Line(line) => lines.push(with_length(line_of(line))?),
            Part::Area(rings) => polygons.push(polygon_of(rings)),
        }
    }
    for area in &polygons {
        rings::check(area).map_err(|why| {
            (format!("is not a valid polygon: {why}"), "repair the polygon in a GIS")
        })?;
    }
    Ok(match (points.len(), lines.len(), polygons.len()) {
        (1, 0, 0) => Geometry::Point(points[0]),
        (0, 1, 0) => Geometry::LineString(lines.remove(0)),
        (0, 0, 1) => Geometry::Polygon(polygons.remove(0)),
        (_, 0, 0) => Geometry::MultiPoint(MultiPoint(points)),
        (0, _, 0) => Geometry::MultiLineString(MultiLineString(lines)),
        (0, 0, _) => Geometry::MultiPolygon(MultiPolygon(polygons)),
        _ => {
            return Err((
                "mixes points, lines and areas".to_owned(),
                "make each a separate feature",
            ));
        }
    })
}

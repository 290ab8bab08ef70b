//! The drawing: lines, areas, circles, words and one picture on a sheet of paper.
//!
//! Lengths are points (1/72 inch) from the sheet's upper left corner, to the right and down.

use geo::Coord;
use jiff::civil::Date;

use super::font::{Words, width};

/// A colour: red, green, blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Colour(pub(super) u8, pub(super) u8, pub(super) u8);

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stroke {
    pub(super) colour: Colour,
    /// Points.
    pub(super) width: f64,
    /// Lengths of dash and gap, points.
    pub(super) dash: Option<[f64; 2]>,
    /// Whether the ends are round, so that a line of no length is a dot.
    pub(super) round: bool,
}

impl Stroke {
    pub(super) const fn new(colour: Colour, width: f64) -> Self {
        Self { colour, width, dash: None, round: false }
    }

    pub(super) const fn dashed(self, dash: [f64; 2]) -> Self {
        Self { dash: Some(dash), ..self }
    }

    pub(super) const fn rounded(self) -> Self {
        Self { round: true, ..self }
    }

    fn enlarged(self, by: f64) -> Self {
        let dash = self.dash.map(|dash| dash.map(|length| length * by));
        Self { width: self.width * by, dash, ..self }
    }
}

/// One unbroken run of straight pieces.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    pub(super) points: Vec<Coord>,
    pub(super) closed: bool,
}

/// What is inside and what is along the edge.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Paint {
    pub(super) fill: Option<Colour>,
    pub(super) stroke: Option<Stroke>,
}

impl Paint {
    pub(super) const fn fill(colour: Colour) -> Self {
        Self { fill: Some(colour), stroke: None }
    }

    pub(super) const fn stroke(stroke: Stroke) -> Self {
        Self { fill: None, stroke: Some(stroke) }
    }

    pub(super) const fn both(colour: Colour, stroke: Stroke) -> Self {
        Self { fill: Some(colour), stroke: Some(stroke) }
    }
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Text {
    /// Where the baseline begins.
    pub(super) at: Coord,
    pub(super) words: Words,
    /// The height of the letters' em, points.
    pub(super) size: f64,
    pub(super) bold: bool,
    pub(super) colour: Colour,
    /// Turned clockwise about its beginning, degrees.
    pub(super) angle_deg: f64,
    /// The level of the heading that it is, from 1; `None` for other text.
    pub(super) heading: Option<u16>,
}

impl Text {
    /// A level line of text that begins at a place.
    pub(super) const fn new(
        at: Coord,
        words: Words,
        size: f64,
        bold: bool,
        colour: Colour,
    ) -> Self {
        Self { at, words, size, bold, colour, angle_deg: 0.0, heading: None }
    }

    /// The same as a heading of a level.
    pub(super) fn heading(self, level: u16) -> Self {
        Self { heading: Some(level), ..self }
    }

    /// Its length along the baseline, points.
    pub(super) fn width(&self) -> f64 {
        width(&self.words, self.size, self.bold)
    }

    /// The same with its middle where its beginning was.
    pub(super) fn centred(mut self) -> Self {
        self.at.x -= self.width() / 2.0;
        self
    }

    /// The same with its end where its beginning was.
    pub(super) fn ending(mut self) -> Self {
        self.at.x -= self.width();
        self
    }
}

/// A picture of square dots: red, green, blue, opacity, row by row from the upper left.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Picture {
    pub(super) at: Coord,
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) columns: u32,
    pub(super) rows: u32,
    pub(super) dots: Vec<u8>,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Item {
    Path(Vec<Run>, Paint),
    Circle(Coord, f64, Paint),
    Text(Text),
    Picture(Picture),
}

impl Item {
    /// One line.
    pub(super) fn line(points: Vec<Coord>, stroke: Stroke) -> Self {
        Self::Path(vec![Run { points, closed: false }], Paint::stroke(stroke))
    }

    /// One area.
    pub(super) fn area(points: Vec<Coord>, paint: Paint) -> Self {
        Self::Path(vec![Run { points, closed: true }], paint)
    }

    /// Makes it larger about the sheet's upper left corner.
    fn enlarge(&mut self, by: f64) {
        match self {
            Self::Path(runs, paint) => {
                for p in runs.iter_mut().flat_map(|r| &mut r.points) {
                    *p = *p * by;
                }
                paint.stroke = paint.stroke.map(|stroke| stroke.enlarged(by));
            }
            Self::Circle(at, radius, paint) => {
                *at = *at * by;
                *radius *= by;
                paint.stroke = paint.stroke.map(|stroke| stroke.enlarged(by));
            }
            Self::Text(text) => {
                text.at = text.at * by;
                text.size *= by;
            }
            Self::Picture(picture) => {
                picture.at = picture.at * by;
                picture.width *= by;
                picture.height *= by;
            }
        }
    }

    /// Moves it.
    pub(super) fn shift(&mut self, by: Coord) {
        let moved = |p: &mut Coord| *p = *p + by;
        match self {
            Self::Path(runs, _) => {
                runs.iter_mut().flat_map(|r| &mut r.points).for_each(moved);
            }
            Self::Circle(at, ..) => moved(at),
            Self::Text(text) => moved(&mut text.at),
            Self::Picture(picture) => moved(&mut picture.at),
        }
    }
}

/// What a layer is to somebody who has the drawing read out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Nothing: paper, or what is on every page.
    Decoration,
    /// A part of the figure, which has words in its place.
    Figure,
    /// Words; lines and signs beside them are decoration.
    Words,
}

/// Things drawn together under one name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layer {
    pub(super) name: &'static str,
    pub(super) role: Role,
    pub(super) items: Vec<Item>,
}

impl Layer {
    pub(super) const fn new(name: &'static str, role: Role, items: Vec<Item>) -> Self {
        Self { name, role, items }
    }
}

/// A whole sheet, bottom layer first.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scene {
    /// Points.
    pub(super) width: f64,
    /// Points.
    pub(super) height: f64,
    /// What the sheet shows, for its file's title.
    pub(super) title: String,
    /// The figure in words.
    pub(super) alternative: String,
    /// The day of the newest level that it rests on.
    pub(super) day: Option<Date>,
    pub(super) layers: Vec<Layer>,
}

impl Scene {
    /// The same in the middle of larger paper, points more on each side.
    pub(super) fn bordered(mut self, by: f64) -> Self {
        self.width += 2.0 * by;
        self.height += 2.0 * by;
        for item in self.layers.iter_mut().flat_map(|layer| &mut layer.items) {
            item.shift(at(by, by));
        }
        self
    }

    /// The same, larger: paper, lines, letters.
    pub(super) fn enlarged(mut self, by: f64) -> Self {
        self.width *= by;
        self.height *= by;
        for item in self.layers.iter_mut().flat_map(|layer| &mut layer.items) {
            item.enlarge(by);
        }
        self
    }
}

/// A place on the sheet.
pub(super) const fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

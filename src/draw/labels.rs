//! Labels on contours: on their line, upright, clear of everything else.
//!
//! A label stands where its line is straight, near the line's middle, crossing no other contour if
//! it can. Where the line has no straight part free its figures follow the curve. They may also stand level, or with one
//! end on the line, or be smaller; a label always touches its line.

use geo::Coord;

use super::contours::Drawn;
use super::font::{CAPITALS, Words, advances, width};
use super::room::{Patch, Pieces, Room};
use super::scene::{Item, Text, at};
use super::style;

use crate::geom::Course;
use crate::geom::distance;
use crate::units::{fixed, round_to};

/// Clear space at both ends of a label, points.
const PAD: f64 = 1.6;

/// Clear space above and below, points.
const LEAD: f64 = 1.0;

/// A longer line is labelled again after about this length, points.
const AGAIN: f64 = 340.0;

/// Places tried along a line.
const PLACES: f64 = 72.0;

/// Figures that follow a curve turn no more than so much from one to the next, degrees.
const MOST_TURN: f64 = 24.0;

/// None of them is turned farther from level than this, degrees.
const MOST_STEEP: f64 = 85.0;

/// A label of a contour.
#[derive(Debug, Clone)]
pub(super) struct Label {
    /// What it covers: one patch, or one for each figure that follows the curve.
    pub(super) patches: Vec<Patch>,
    /// Its words on the sheet, or its figures one by one.
    texts: Vec<Text>,
    middle: Coord,
}

/// Where a label may be.
struct Place {
    /// Patches with their angles, degrees.
    patches: Vec<(Patch, f64)>,
    /// The label's own angle, degrees.
    angle: f64,
    /// How much the line bends under it over the label's height.
    bend: f64,
}

impl Place {
    fn straight(patch: Patch, angle: f64, bend: f64) -> Self {
        Self { patches: vec![(patch, angle)], angle, bend }
    }
}

/// The words of a contour's level.
#[derive(Debug, Clone, Copy)]
pub(super) struct Figures {
    decimals: i32,
}

impl Figures {
    /// As many decimals as tell the levels exactly, six at most.
    pub(super) fn of(levels: &[f64]) -> Self {
        let exact = |decimals: i32| {
            levels.iter().all(|v| (round_to(*v, decimals) - v).abs() <= 1e-9 * v.abs().max(1.0))
        };
        Self { decimals: (0..6).find(|d| exact(*d)).unwrap_or(6) }
    }

    pub(super) fn words(self, level: f64) -> Words {
        Words::new(&fixed(level, self.decimals))
    }
}

/// The length of a contour's label at the usual size, clear space included, points.
pub(super) fn length_of(contour: &Drawn, figures: Figures) -> f64 {
    width(&figures.words(contour.level), style::LABEL, contour.index) + 2.0 * PAD
}

/// How a label may stand on its line, the best first.
#[derive(Clone, Copy, PartialEq)]
enum Stand {
    /// Along the line, which is straight there.
    Along,
    /// Figure by figure along the line.
    Curved,
    /// Along the line or level, which may bend under it.
    Bent,
    /// One end touches the line.
    Touching,
}

/// A label for a contour, if there is room.
pub(super) fn place(
    number: usize,
    contour: &Drawn,
    figures: Figures,
    room: &Room,
    pieces: &Pieces,
) -> Option<Label> {
    let stands = [
        (Stand::Along, style::LABEL),
        (Stand::Curved, style::LABEL),
        (Stand::Curved, style::SMALL_LABEL),
        (Stand::Bent, style::LABEL),
        (Stand::Bent, style::SMALL_LABEL),
        (Stand::Touching, style::LABEL),
        (Stand::Touching, style::SMALL_LABEL),
    ];
    let middle = contour.length / 2.0;
    stands.into_iter().find_map(|(stand, size)| {
        let search = Search { number, contour, figures, room, pieces, stand, size };
        search.best(0.0, contour.length, middle)
    })
}

/// Further labels of a long contour, each far from the others.
pub(super) fn repeat(
    number: usize,
    contour: &Drawn,
    figures: Figures,
    room: &mut Room,
    pieces: &Pieces,
    first: &Label,
) -> Vec<Label> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a sheet holds few labels"
    )]
    let parts = (contour.length / AGAIN).round() as usize;
    let mut labels: Vec<Label> = Vec::new();
    for part in 0..parts {
        let share = contour.length / parts as f64;
        let (from, to) = (share * part as f64, share * (part + 1) as f64);
        let search = Search {
            number,
            contour,
            figures,
            room,
            pieces,
            stand: Stand::Along,
            size: style::LABEL,
        };
        let Some(label) = search.best(from, to, f64::midpoint(from, to)) else { continue };
        let far = |other: &Label| distance(other.middle, label.middle) >= AGAIN / 2.0;
        if far(first) && labels.iter().all(far) {
            label.take(room);
            labels.push(label);
        }
    }
    labels
}

/// What is tried for one contour at one size.
struct Search<'a> {
    number: usize,
    contour: &'a Drawn,
    figures: Figures,
    room: &'a Room,
    pieces: &'a Pieces,
    stand: Stand,
    size: f64,
}

impl Search<'_> {
    /// The best free label between two ways along the line, `middle` being the place liked most.
    fn best(&self, from: f64, to: f64, middle: f64) -> Option<Label> {
        let words = self.figures.words(self.contour.level);
        let bold = self.contour.index;
        let length = width(&words, self.size, bold) + 2.0 * PAD;
        if self.contour.length < length {
            return None;
        }
        let course = Course::new(&self.contour.points);
        let whole = matches!(self.stand, Stand::Along | Stand::Curved);
        let end = if whole && !self.contour.closed { length / 2.0 } else { 0.0 };
        let (from, to) = (from.max(end), to.min(self.contour.length - end));
        let step = ((to - from) / PLACES).max(1.5);
        let mut best: Option<(f64, Label)> = None;
        let mut way = from;
        while way <= to {
            for place in self.places(&course, way, &words) {
                let away = (way - middle).abs() / self.contour.length;
                // At best; crossings only add to it.
                let cost = 6.0 * place.bend + away + place.angle.abs() / 240.0;
                let is_free = |(patch, _): &(Patch, f64)| self.room.is_free(patch);
                if best.as_ref().is_some_and(|b| b.0 <= cost) || !place.patches.iter().all(is_free)
                {
                    continue;
                }
                let across =
                    |(patch, _): &(Patch, f64)| self.pieces.across(patch, Some(self.number));
                let crossings: usize = place.patches.iter().map(across).sum();
                let cost = cost + 0.7 * crossings as f64;
                if best.as_ref().is_none_or(|b| cost < b.0) {
                    best = Some((cost, self.label(&place, &words)));
                }
            }
            way += step;
        }
        best.map(|b| b.1)
    }

    /// The places of a label at one place of the line.
    fn places(&self, course: &Course, way: f64, words: &Words) -> Vec<Place> {
        let length = width(words, self.size, self.contour.index) + 2.0 * PAD;
        let height = self.height();
        let here = course.place(way);
        match self.stand {
            Stand::Curved => self.along_curve(course, way, words).into_iter().collect(),
            Stand::Along | Stand::Bent => {
                let (from, to) = (way - length / 2.0, way + length / 2.0);
                let (a, b) = (self.place(course, from), self.place(course, to));
                let mut places = Vec::new();
                if distance(a, b) >= 0.5 * length || self.stand == Stand::Along {
                    let bend = bend(a, b, course, way, length) / height;
                    let middle = ((a + b) / 2.0 + here) / 2.0;
                    if self.stand == Stand::Bent || (bend <= 0.3 && distance(a, b) >= 0.9 * length)
                    {
                        let angle = upright(b - a);
                        let patch = |middle| Patch::turned(middle, length, height, angle);
                        places.push(Place::straight(patch(middle), angle, bend));
                        if self.stand == Stand::Bent {
                            places.push(Place::straight(patch(here), angle, bend));
                        }
                    }
                }
                if self.stand == Stand::Bent {
                    let angle = upright(course.direction(way));
                    places.extend([angle, 0.0].map(|angle| {
                        let patch = Patch::turned(here, length, height, angle);
                        Place::straight(patch, angle, 0.8)
                    }));
                }
                places
            }
            Stand::Touching => {
                let tangent = upright(course.direction(way));
                let across = if tangent > 0.0 { tangent - 90.0 } else { tangent + 90.0 };
                let mut places = Vec::new();
                for angle in [0.0, across, tangent] {
                    let turn = angle.to_radians();
                    let along = at(libm::cos(turn), libm::sin(turn)) * (length / 2.0 - PAD / 2.0);
                    let down = at(-libm::sin(turn), libm::cos(turn)) * (height / 2.0 - LEAD / 2.0);
                    for middle in [here + along, here - along, here + down, here - down] {
                        let patch = Patch::turned(middle, length, height, angle);
                        places.push(Place::straight(patch, angle, 1.0));
                    }
                }
                places
            }
        }
    }

    fn height(&self) -> f64 {
        self.size * CAPITALS + 2.0 * LEAD
    }

    /// Each figure on the line and turned as it is, read from the left.
    fn along_curve(&self, course: &Course, way: f64, words: &Words) -> Option<Place> {
        let length = width(words, self.size, self.contour.index);
        let ends = [way - length / 2.0, way + length / 2.0];
        let [a, b] = ends.map(|way| self.place(course, way));
        let forward = b.x >= a.x;
        let along = |share: f64| {
            let way = if forward { ends[0] + share } else { ends[1] - share };
            self.place(course, way)
        };
        let mut start = 0.0;
        let mut patches: Vec<(Patch, f64)> = Vec::new();
        let mut most_turn: f64 = 0.0;
        let advances = advances(words, self.contour.index);
        for advance in advances.iter().map(|advance| advance * self.size) {
            let (from, to) = (along(start), along(start + advance));
            let angle = libm::atan2(to.y - from.y, to.x - from.x).to_degrees();
            if let Some((_, before)) = patches.last() {
                most_turn = most_turn.max((angle - before).abs());
            }
            if angle.abs() > MOST_STEEP || most_turn > MOST_TURN {
                return None;
            }
            // Clear space at both ends, where the line goes on.
            let middle = (from + to) / 2.0;
            let patch = Patch::turned(middle, advance + 2.0 * PAD, self.height(), angle);
            patches.push((patch, angle));
            start += advance;
        }
        let angle = patches.get(patches.len() / 2)?.1;
        Some(Place { patches, angle, bend: most_turn / MOST_TURN })
    }

    /// A place along the line, round and round where it is closed.
    fn place(&self, course: &Course, way: f64) -> Coord {
        if self.contour.closed {
            course.place(way.rem_euclid(self.contour.length))
        } else {
            course.place(way)
        }
    }

    fn label(&self, place: &Place, words: &Words) -> Label {
        let text = |(patch, angle): &(Patch, f64), words: Words| {
            let mut text =
                Text::new(at(0.0, 0.0), words, self.size, self.contour.index, style::CONTOUR);
            text.angle_deg = *angle;
            text.at = start(patch.middle, *angle, text.width(), self.size);
            text
        };
        let texts = match place.patches.as_slice() {
            [whole] => vec![text(whole, words.clone())],
            figures => {
                let each = figures.iter().zip(words.text().chars());
                each.map(|(patch, figure)| text(patch, Words::new(&figure.to_string()))).collect()
            }
        };
        let patches: Vec<Patch> = place.patches.iter().map(|(patch, _)| *patch).collect();
        let middle = patches[patches.len() / 2].middle;
        Label { patches, texts, middle }
    }
}

impl Label {
    /// Takes its room.
    pub(super) fn take(&self, room: &mut Room) {
        self.patches.iter().for_each(|patch| room.take(*patch));
    }
}

/// Where the baseline of a turned text begins whose middle is given.
pub(super) fn start(middle: Coord, angle_deg: f64, width: f64, size: f64) -> Coord {
    let turn = angle_deg.to_radians();
    let (along, down) =
        (at(libm::cos(turn), libm::sin(turn)), at(-libm::sin(turn), libm::cos(turn)));
    middle - along * (width / 2.0) + down * (size * CAPITALS / 2.0)
}

/// The angle of a direction, clockwise, turned round where letters would stand on their head.
fn upright(direction: Coord) -> f64 {
    let angle = libm::atan2(direction.y, direction.x).to_degrees();
    if angle > 90.0 {
        angle - 180.0
    } else if angle <= -90.0 {
        angle + 180.0
    } else {
        angle
    }
}

/// How far the line strays from the straight line under a label, points.
fn bend(a: Coord, b: Coord, course: &Course, way: f64, length: f64) -> f64 {
    let chord = b - a;
    let chord_length = libm::hypot(chord.x, chord.y);
    if chord_length == 0.0 {
        return length;
    }
    let stray = |p: Coord| ((p.x - a.x) * chord.y - (p.y - a.y) * chord.x).abs() / chord_length;
    let vertices = course.between(way - length / 2.0, way + length / 2.0);
    vertices.iter().map(|p| stray(*p)).fold(stray(course.place(way)), f64::max)
}

/// The labels' words.
pub(super) fn items(labels: &[Label]) -> Vec<Item> {
    labels.iter().flat_map(|label| label.texts.iter().cloned().map(Item::Text)).collect()
}

//! Labels on contours: on their line, upright, clear of everything else.
//!
//! A label stands where its line is straight, near the line's middle, crossing no other contour if
//! it can. Where the line is short or bent it may also stand level, or with one of its ends on the
//! line, or in smaller figures; it always touches its line.

use geo::Coord;

use super::contours::Drawn;
use super::font::{CAPITALS, Words, width};
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

/// A label of a contour.
#[derive(Debug, Clone)]
pub(super) struct Label {
    /// What it covers.
    pub(super) patch: Patch,
    /// Its words on the sheet.
    pub(super) text: Text,
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
        let far = |other: &Label| distance(other.patch.middle, label.patch.middle) >= AGAIN / 2.0;
        if far(first) && labels.iter().all(far) {
            room.take(label.patch);
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
        let end =
            if self.stand == Stand::Along && !self.contour.closed { length / 2.0 } else { 0.0 };
        let (from, to) = (from.max(end), to.min(self.contour.length - end));
        let step = ((to - from) / PLACES).max(1.5);
        let mut best: Option<(f64, Label)> = None;
        let mut way = from;
        while way <= to {
            for (patch, angle, bend) in self.patches(&course, way, length) {
                let away = (way - middle).abs() / self.contour.length;
                // At best; crossings only add to it.
                let cost = 6.0 * bend + away + angle.abs() / 240.0;
                if best.as_ref().is_some_and(|b| b.0 <= cost) || !self.room.is_free(&patch) {
                    continue;
                }
                let crossings = self.pieces.across(&patch, Some(self.number));
                let cost = cost + 0.7 * crossings as f64;
                if best.as_ref().is_none_or(|b| cost < b.0) {
                    best = Some((cost, self.label(patch, angle, &words)));
                }
            }
            way += step;
        }
        best.map(|b| b.1)
    }

    /// The places of a label at one place of the line: what it covers, its angle, how much the
    /// line bends under it over the label's height.
    fn patches(&self, course: &Course, way: f64, length: f64) -> Vec<(Patch, f64, f64)> {
        let height = self.size * CAPITALS + 2.0 * LEAD;
        let here = course.place(way);
        match self.stand {
            Stand::Along | Stand::Bent => {
                let (from, to) = (way - length / 2.0, way + length / 2.0);
                let (a, b) = (self.place(course, from), self.place(course, to));
                let mut patches = Vec::new();
                if distance(a, b) >= 0.5 * length || self.stand == Stand::Along {
                    let bend = bend(a, b, course, way, length) / height;
                    let middle = ((a + b) / 2.0 + here) / 2.0;
                    if self.stand == Stand::Bent || (bend <= 0.3 && distance(a, b) >= 0.9 * length)
                    {
                        let angle = upright(b - a);
                        patches.push((Patch::turned(middle, length, height, angle), angle, bend));
                        if self.stand == Stand::Bent {
                            patches.push((Patch::turned(here, length, height, angle), angle, bend));
                        }
                    }
                }
                if self.stand == Stand::Bent {
                    let angle = upright(course.direction(way));
                    for angle in [angle, 0.0] {
                        patches.push((Patch::turned(here, length, height, angle), angle, 0.8));
                    }
                }
                patches
            }
            Stand::Touching => {
                let tangent = upright(course.direction(way));
                let across = if tangent > 0.0 { tangent - 90.0 } else { tangent + 90.0 };
                let mut patches = Vec::new();
                for angle in [0.0, across, tangent] {
                    let turn = angle.to_radians();
                    let along = at(libm::cos(turn), libm::sin(turn)) * (length / 2.0 - PAD / 2.0);
                    let down = at(-libm::sin(turn), libm::cos(turn)) * (height / 2.0 - LEAD / 2.0);
                    for middle in [here + along, here - along, here + down, here - down] {
                        patches.push((Patch::turned(middle, length, height, angle), angle, 1.0));
                    }
                }
                patches
            }
        }
    }

    /// A place along the line, round and round where it is closed.
    fn place(&self, course: &Course, way: f64) -> Coord {
        if self.contour.closed {
            course.place(way.rem_euclid(self.contour.length))
        } else {
            course.place(way)
        }
    }

    fn label(&self, patch: Patch, angle: f64, words: &Words) -> Label {
        let mut text =
            Text::new(at(0.0, 0.0), words.clone(), self.size, self.contour.index, style::CONTOUR);
        text.angle_deg = angle;
        text.at = start(patch.middle, angle, text.width(), self.size);
        Label { patch, text }
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
    labels.iter().map(|label| Item::Text(label.text.clone())).collect()
}

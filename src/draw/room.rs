//! Where there is room: what stands on the sheet already, for labels to keep clear of.

use geo::Coord;
use rstar::{AABB, RTree, RTreeObject};

use super::scene::at;

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rect {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Rect {
    pub(super) const fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(super) const fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub(super) const fn middle(&self) -> Coord {
        at(f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }

    /// The same with its sides moved inwards.
    pub(super) const fn inset(&self, by: f64) -> Self {
        Self {
            left: self.left + by,
            top: self.top + by,
            right: self.right - by,
            bottom: self.bottom - by,
        }
    }

    pub(super) fn holds(&self, p: Coord) -> bool {
        p.x >= self.left && p.x <= self.right && p.y >= self.top && p.y <= self.bottom
    }

    pub(super) fn corners(&self) -> Vec<Coord> {
        vec![
            at(self.left, self.top),
            at(self.right, self.top),
            at(self.right, self.bottom),
            at(self.left, self.bottom),
        ]
    }
}

/// A rectangle turned about its middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Patch {
    pub(super) middle: Coord,
    /// Unit vector along its length.
    along: Coord,
    half_length: f64,
    half_height: f64,
}

impl Patch {
    /// A rectangle of a length and a height, turned clockwise by an angle.
    pub(super) fn turned(middle: Coord, length: f64, height: f64, angle_deg: f64) -> Self {
        let angle = angle_deg.to_radians();
        let along = at(libm::cos(angle), libm::sin(angle));
        Self { middle, along, half_length: length / 2.0, half_height: height / 2.0 }
    }

    pub(super) fn upright(middle: Coord, length: f64, height: f64) -> Self {
        Self::turned(middle, length, height, 0.0)
    }

    pub(super) fn corners(&self) -> [Coord; 4] {
        let along = self.along * self.half_length;
        let down = at(-self.along.y, self.along.x) * self.half_height;
        [
            self.middle - along - down,
            self.middle + along - down,
            self.middle + along + down,
            self.middle - along + down,
        ]
    }

    fn inside(&self, frame: &Rect) -> bool {
        self.corners().iter().all(|c| frame.holds(*c))
    }

    /// Whether two rectangles have a point in common: none of their four sides' directions
    /// separates them.
    pub(super) fn meets(&self, other: &Self) -> bool {
        let apart = other.middle - self.middle;
        let separates = |axis: Coord| {
            let reach = |p: &Self| {
                p.half_length * dot(p.along, axis).abs()
                    + p.half_height * dot(at(-p.along.y, p.along.x), axis).abs()
            };
            dot(apart, axis).abs() > reach(self) + reach(other)
        };
        let across = |p: &Self| at(-p.along.y, p.along.x);
        ![self.along, across(self), other.along, across(other)].into_iter().any(separates)
    }

    /// The part of a straight piece that lies inside, from 0 at its start to 1 at its end.
    pub(super) fn cut(&self, from: Coord, to: Coord) -> Option<(f64, f64)> {
        let (start, way) = (from - self.middle, to - from);
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (axis, reach) in
            [(self.along, self.half_length), (at(-self.along.y, self.along.x), self.half_height)]
        {
            let (s, w) = (dot(start, axis), dot(way, axis));
            if w == 0.0 {
                if s.abs() > reach {
                    return None;
                }
                continue;
            }
            let (a, b) = ((-reach - s) / w, (reach - s) / w);
            enters = enters.max(a.min(b));
            leaves = leaves.min(a.max(b));
        }
        (enters < leaves).then_some((enters, leaves))
    }
}

fn dot(a: Coord, b: Coord) -> f64 {
    a.x * b.x + a.y * b.y
}

impl RTreeObject for Patch {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        let corners = self.corners();
        AABB::from_points(corners.map(|c| [c.x, c.y]).iter())
    }
}

/// The map's frame and what stands in it.
#[derive(Debug, Clone)]
pub(super) struct Room {
    frame: Rect,
    taken: RTree<Patch>,
}

impl Room {
    pub(super) fn new(frame: Rect, taken: Vec<Patch>) -> Self {
        Self { frame, taken: RTree::bulk_load(taken) }
    }

    /// Whether a patch lies inside the frame and meets nothing.
    pub(super) fn is_free(&self, patch: &Patch) -> bool {
        patch.inside(&self.frame)
            && !self
                .taken
                .locate_in_envelope_intersecting(&patch.envelope())
                .any(|other| other.meets(patch))
    }

    pub(super) fn take(&mut self, patch: Patch) {
        self.taken.insert(patch);
    }
}

/// Straight pieces of lines, each with the number of its line.
#[derive(Debug)]
pub(super) struct Pieces(RTree<Piece>);

#[derive(Debug)]
struct Piece {
    from: Coord,
    to: Coord,
    line: usize,
}

impl RTreeObject for Piece {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners([self.from.x, self.from.y], [self.to.x, self.to.y])
    }
}

impl Pieces {
    pub(super) fn new<'a>(lines: impl Iterator<Item = &'a [Coord]>) -> Self {
        let pieces = lines.enumerate().flat_map(|(line, points)| {
            points.windows(2).map(move |w| Piece { from: w[0], to: w[1], line })
        });
        Self(RTree::bulk_load(pieces.collect()))
    }

    /// How many pieces of lines other than `own` cross a patch.
    pub(super) fn across(&self, patch: &Patch, own: Option<usize>) -> usize {
        self.0
            .locate_in_envelope_intersecting(&patch.envelope())
            .filter(|p| Some(p.line) != own && patch.cut(p.from, p.to).is_some())
            .count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turned_rectangles_meet_where_their_boxes_alone_would_not_tell() {
        let a = Patch::turned(at(0.0, 0.0), 20.0, 2.0, 45.0);
        let beside = Patch::turned(at(4.0, -4.0), 20.0, 2.0, 45.0);
        let across = Patch::turned(at(0.0, 0.0), 20.0, 2.0, -45.0);
        assert!(!a.meets(&beside), "their boxes overlap, they do not");
        assert!(a.meets(&across));
        assert!(a.meets(&a));
    }

    #[test]
    fn a_piece_is_cut_where_it_crosses() {
        let patch = Patch::upright(at(5.0, 0.0), 2.0, 2.0);
        assert_eq!(patch.cut(at(0.0, 0.0), at(10.0, 0.0)), Some((0.4, 0.6)));
        assert_eq!(patch.cut(at(0.0, 3.0), at(10.0, 3.0)), None);
        assert_eq!(patch.cut(at(5.0, 0.0), at(10.0, 0.0)), Some((0.0, 0.2)));
    }

    #[test]
    fn room_is_inside_the_frame_and_beside_what_stands() {
        let frame = Rect { left: 0.0, top: 0.0, right: 100.0, bottom: 50.0 };
        let mut room = Room::new(frame, vec![Patch::upright(at(50.0, 25.0), 4.0, 4.0)]);
        let label = |x, y| Patch::upright(at(x, y), 20.0, 6.0);
        assert!(!room.is_free(&label(55.0, 25.0)), "on a well");
        assert!(!room.is_free(&label(5.0, 25.0)), "over the frame");
        assert!(room.is_free(&label(20.0, 25.0)));
        room.take(label(20.0, 25.0));
        assert!(!room.is_free(&label(25.0, 28.0)), "on a label");
    }
}

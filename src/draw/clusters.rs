//! Clusters of wells whose names and heads have no room at the map's scale: where an inset is needed.

use geo::Coord;

use super::font::{CAPITALS, Words, width};
use super::lines::outside;
use super::room::{Patch, Rect, Room};
use super::scene::{Item, Paint, Stroke, Text, at};
use super::style;
use super::tags::Tag;
use super::view::View;
use super::wells::OnSheet;
use crate::geom::distance;

/// Wells nearer than this are of one cluster, points.
const LINK: f64 = 24.0;

/// A cluster has so many wells without a label.
const LEAST: usize = 3;

/// Between the wells of a cluster and its box, points.
const ABOUT: f64 = 6.0;

/// The wells of a cluster are no farther apart, east or north, points: an inset in a column of the panel is then at least
/// 1.4 times as large. Larger ones need larger paper.
const MOST: f64 = 60.0;

/// So many insets a sheet.
const MOST_INSETS: usize = 3;

/// How far off its box a letter may be, points, and in which ways.
const OFF: [f64; 6] = [0.6, 6.0, 12.0, 20.0, 30.0, 42.0];
const WAYS: [(f64, f64); 8] = [
    (1.0, -1.0),
    (-1.0, -1.0),
    (1.0, 1.0),
    (-1.0, 1.0),
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, -1.0),
    (0.0, 1.0),
];

const EDGE: Stroke = Stroke::new(style::INK, 0.5);

/// A cluster, with its letter on the map.
#[derive(Debug, Clone)]
pub(super) struct Cluster {
    /// The letter of its inset.
    pub(super) letter: char,
    /// The lower left and the upper right corner of the box of its wells, local m, turned.
    pub(super) ground: (Coord, Coord),
    /// Its box on the sheet.
    frame: Rect,
    name: Text,
    /// From the box to its letter.
    lead: [Coord; 2],
}

/// The clusters of wells without a label, from the upper left; their letters take room.
pub(super) fn found(
    wells: &[OnSheet],
    tags: &[Option<Tag>],
    room: &mut Room,
    view: &View,
) -> Vec<Cluster> {
    let without = wells.iter().zip(tags).filter(|(_, tag)| tag.is_none());
    let places: Vec<Coord> = without.map(|(well, _)| well.at).collect();
    let mut boxes: Vec<Rect> = linked(&places)
        .into_iter()
        .filter(|cluster| cluster.len() >= LEAST)
        .map(|cluster| about(&cluster))
        .filter(|wells| wells.width().max(wells.height()) < MOST)
        .collect();
    boxes.sort_by(|a, b| a.top.total_cmp(&b.top).then(a.left.total_cmp(&b.left)));
    let mut clusters = Vec::new();
    for wells in boxes {
        let Some(letter) = ('A'..).nth(clusters.len()).filter(|_| clusters.len() < MOST_INSETS)
        else {
            break;
        };
        let frame = wells.inset(-ABOUT);
        let Some((name, lead)) = named(letter, &frame, room) else { continue };
        let corners = [at(wells.left, wells.bottom), at(wells.right, wells.top)];
        let [low, high] = corners.map(|corner| view.turn().turned(view.to_ground(corner)));
        let ground = (low, high);
        clusters.push(Cluster { letter, ground, frame, name, lead });
    }
    clusters
}

/// Places in groups, each of which is near another of its group.
fn linked(places: &[Coord]) -> Vec<Vec<Coord>> {
    let mut groups: Vec<Vec<Coord>> = Vec::new();
    for place in places {
        let near = |group: &Vec<Coord>| group.iter().any(|other| distance(*other, *place) < LINK);
        let (mut joined, rest): (Vec<_>, Vec<_>) = groups.into_iter().partition(near);
        joined.push(vec![*place]);
        groups = rest;
        groups.push(joined.concat());
    }
    groups
}

fn about(places: &[Coord]) -> Rect {
    let part = |of: fn(&Coord) -> f64| {
        let all = places.iter().map(of);
        (all.clone().fold(f64::INFINITY, f64::min), all.fold(f64::NEG_INFINITY, f64::max))
    };
    let ((left, right), (top, bottom)) = (part(|p| p.x), part(|p| p.y));
    Rect { left, top, right, bottom }
}

/// The letter beside the box where there is room, with a line to it where it is farther off.
fn named(letter: char, frame: &Rect, room: &mut Room) -> Option<(Text, [Coord; 2])> {
    let words = Words::new(&letter.to_string());
    let size = style::BODY;
    let (length, height) = (width(&words, size, true) + 1.6, size);
    let places = OFF.iter().flat_map(|off| {
        WAYS.iter().map(move |(east, south)| {
            let reach = at(
                east * (frame.width() / 2.0 + length / 2.0 + off),
                south * (frame.height() / 2.0 + height / 2.0 + off),
            );
            let edge = at(east * frame.width() / 2.0, south * frame.height() / 2.0);
            (frame.middle() + reach, frame.middle() + edge)
        })
    });
    let patch = |middle: Coord| Patch::upright(middle, length, height);
    let (middle, edge) = places.into_iter().find(|(middle, _)| room.is_free(&patch(*middle)))?;
    room.take(patch(middle));
    let baseline = middle + at(0.0, size * CAPITALS / 2.0);
    let text = Text::new(baseline, words, size, true, style::INK).centred();
    Some((text, [edge, middle]))
}

/// The boxes, interrupted under labels, with their letters.
pub(super) fn items(clusters: &[Cluster], covered: &[Patch]) -> Vec<Item> {
    let mut items = Vec::new();
    for cluster in clusters {
        let mut corners = cluster.frame.corners();
        corners.push(corners[0]);
        let mut runs = outside(&corners, covered);
        let own = Patch::upright(cluster.lead[1], 8.0, 8.0);
        let over: Vec<Patch> = covered.iter().copied().chain([own]).collect();
        runs.extend(outside(&cluster.lead, &over));
        items.push(Item::Path(runs, Paint::stroke(EDGE)));
        items.push(Item::Text(cluster.name.clone()));
    }
    items
}

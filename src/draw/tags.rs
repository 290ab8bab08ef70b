//! Labels of wells: names and heads about their signs, numbers where these have no room.

use geo::Coord;

use super::font::{CAPITALS, Words, width};
use super::room::{Patch, Pieces, Room};
use super::scene::{Item, Stroke, Text, at};
use super::style;
use super::unposted::Unposted;
use super::wells::{CROSS, OnSheet, Posting, letters, reach};
use crate::report::WellSign;

/// How far off its well a number may be, points: farther than a label with a head.
const KEY_RINGS: &[f64] = &[0.6, 6.0, 12.0, 18.0, 26.0];

/// A well's label.
#[derive(Debug, Clone)]
pub(super) struct Tag {
    pub(super) patch: Patch,
    texts: Vec<Text>,
    /// From the well to a label that stands off.
    lead: Option<Lead>,
}

/// The thin line from a well to a label that stands off.
#[derive(Debug, Clone, Copy)]
struct Lead {
    ends: [Coord; 2],
    /// What it covers between symbol and label.
    cover: Patch,
}

impl Lead {
    fn new(well: Coord, label: &Patch, radius: f64) -> Self {
        let end = nearest(label, well);
        let way = end - well;
        let length = libm::hypot(way.x, way.y);
        // The corner of the symbol's own square is no obstacle.
        let own = 1.5 * (CROSS * radius + 0.5);
        let start = well + way * (own / length).min(1.0);
        let edge = well + way * (CROSS * radius / length).min(1.0);
        let turn = libm::atan2(way.y, way.x).to_degrees();
        let cover = Patch::turned((start + end) / 2.0, (length - own).max(0.0), 0.6, turn);
        Self { ends: [edge, end], cover }
    }
}

/// The order in which wells get their labels: the highest and the lowest head first, then as they
/// stand.
fn order(wells: &[OnSheet]) -> Vec<usize> {
    let by_head = |a: &&usize, b: &&usize| {
        let head = |i: usize| wells[i].head.unwrap_or(f64::NAN);
        head(**a).total_cmp(&head(**b)).then(b.cmp(a))
    };
    let measured = |sign| !matches!(sign, WellSign::LeftOut | WellSign::Judged);
    let is_used = |w: &OnSheet| w.head.is_some() && measured(w.sign);
    let used: Vec<usize> = (0..wells.len()).filter(|i| is_used(&wells[*i])).collect();
    let ends = [used.iter().max_by(by_head), used.iter().min_by(by_head)];
    let mut order: Vec<usize> = ends.into_iter().flatten().copied().collect();
    order.dedup();
    let rest = (0..wells.len()).filter(|i| !order.contains(i)).collect::<Vec<_>>();
    order.extend(rest);
    order
}

/// A label for each well that has room for one, in the order of the wells.
pub(super) fn tags(
    wells: &[OnSheet],
    posting: Posting,
    room: &mut Room,
    pieces: &Pieces,
) -> Vec<Option<Tag>> {
    let mut tags = vec![None; wells.len()];
    let Some(size) = posting.size else { return tags };
    for i in order(wells) {
        let mut written = vec![(wells[i].name.clone(), true)];
        written.extend(wells[i].posted.iter().map(|line| (Words::new(line), false)));
        tags[i] = tag(&wells[i], &written, size, posting, room, pieces);
        room_for(tags[i].as_ref(), room);
    }
    tags
}

fn room_for(tag: Option<&Tag>, room: &mut Room) {
    let Some(tag) = tag else { return };
    room.take(tag.patch);
    if let Some(lead) = &tag.lead {
        room.take(lead.cover);
    }
}

/// A number for each well without a label, for the table of heads, and a row of it; numbers where there is room, in an inset
/// behind its letter.
pub(super) fn keys(
    wells: &[OnSheet],
    (tags, inset): (&[Option<Tag>], Option<char>),
    posting: Posting,
    room: &mut Room,
    pieces: &Pieces,
) -> (Vec<Option<Tag>>, Vec<Unposted>) {
    let Some(size) = posting.size else { return (Vec::new(), Vec::new()) };
    let posting = Posting { rings: KEY_RINGS, ..posting };
    let mut count = 0;
    let without = wells.iter().zip(tags).filter(|(_, tag)| tag.is_none());
    let keyed = without.map(|(well, _)| {
        let key: String = inset.into_iter().chain((count + 1).to_string().chars()).collect();
        let tag = tag(well, &[(Words::new(&key), true)], size, posting, room, pieces);
        room_for(tag.as_ref(), room);
        let key = tag.is_some().then(|| {
            count += 1;
            key
        });
        let posted = well.posted.join(", ");
        let name = well.id.to_owned();
        (tag, Unposted { key, name, posted, has_head: well.head.is_some() })
    });
    let (keys, mut rows): (Vec<_>, Vec<_>) = keyed.unzip();
    rows.sort_by_key(|row| row.key.is_none());
    (keys, rows)
}

/// A well's label at the best free place about it.
fn tag(
    well: &OnSheet,
    written: &[(Words, bool)],
    size: f64,
    posting: Posting,
    room: &Room,
    pieces: &Pieces,
) -> Option<Tag> {
    let colour = letters(well.sign);
    let longest = written.iter().map(|(words, bold)| width(words, size, *bold)).fold(0.0, f64::max);
    let step = size * 1.12;
    let (length, height) = (longest + 1.6, step * (written.len() as f64 - 1.0) + size * 0.95 + 1.0);
    let mut best: Option<(f64, Patch, Option<Lead>)> = None;
    for (ring, off) in posting.rings.iter().enumerate() {
        let gap = CROSS.max(reach(well)) * posting.radius + off;
        for (rank, (east, south)) in PLACES.iter().enumerate() {
            let middle = well.at + at(east * (length / 2.0 + gap), south * (height / 2.0 + gap));
            let patch = Patch::upright(middle, length, height);
            let cost = 0.3 * rank as f64 + 3.0 * ring as f64;
            if best.is_some_and(|b| b.0 <= cost) || !room.is_free(&patch) {
                continue;
            }
            let lead = (ring > 0).then(|| Lead::new(well.at, &patch, posting.radius));
            if lead.is_some_and(|lead| !room.is_free(&lead.cover)) {
                continue;
            }
            let cost = cost + pieces.across(&patch, None) as f64;
            if best.is_none_or(|b| cost < b.0) {
                best = Some((cost, patch, lead));
            }
        }
    }
    let (_, patch, lead) = best?;
    let corners = patch.corners();
    let (left, top) = (corners[0].x + 0.8, corners[0].y + 0.5);
    // Labels on the left of their well end at it.
    let ends = patch.middle.x < well.at.x - length / 2.0;
    let texts = written
        .iter()
        .enumerate()
        .map(|(line, (words, bold))| {
            let baseline = top + size * (CAPITALS + 0.1) + step * line as f64;
            let text = Text::new(at(left, baseline), words.clone(), size, *bold, colour);
            if ends { Text { at: at(left + longest, baseline), ..text }.ending() } else { text }
        })
        .collect();
    Some(Tag { patch, texts, lead })
}

/// Directions about a well: east and west first, where lines of text lie best.
const PLACES: [(f64, f64); 12] = [
    (1.0, 0.0),
    (1.0, -0.7),
    (1.0, 0.7),
    (-1.0, 0.0),
    (-1.0, -0.7),
    (-1.0, 0.7),
    (0.0, -1.0),
    (0.0, 1.0),
    (0.5, -1.0),
    (0.5, 1.0),
    (-0.5, -1.0),
    (-0.5, 1.0),
];

/// The point of an upright patch nearest to a place.
fn nearest(patch: &Patch, p: Coord) -> Coord {
    let [a, _, c, _] = patch.corners();
    at(p.x.clamp(a.x, c.x), p.y.clamp(a.y, c.y))
}

/// Names and heads, with the lines from wells to labels that stand off.
pub(super) fn items(tags: &[Option<Tag>]) -> Vec<Item> {
    let mut items = Vec::new();
    for tag in tags.iter().flatten() {
        if let Some(lead) = tag.lead {
            items.push(Item::line(lead.ends.to_vec(), Stroke::new(style::GREY, 0.35)));
        }
        items.extend(tag.texts.iter().cloned().map(Item::Text));
    }
    items
}

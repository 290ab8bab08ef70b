//! Wells on the sheet: their symbols, names and heads.

use geo::Coord;

use super::font::{CAPITALS, Words, width};
use super::room::{Patch, Pieces, Room};
use super::scene::{Item, Paint, Run, Stroke, Text, at};
use super::style;
use super::view::View;
use crate::read::WellKind;
use crate::reduce::Fate;
use crate::results::Results;

/// The longest name that is written whole, points.
const LONGEST_NAME: f64 = 62.0;

/// The arms of a cross over the radius of a ring: they show where both stand in one place.
const CROSS: f64 = 1.35;

/// How wells are posted, by their number. Deterministic, and told on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Posting {
    /// Half the width of a symbol, points.
    pub(super) radius: f64,
    /// The size of names and heads; none are written where it is `None`.
    pub(super) size: Option<f64>,
    /// Whether a label may stand farther off, with a line to its well.
    far: bool,
    /// One symbol is drawn in a square of this side, points; 0 draws all.
    spacing: f64,
}

impl Posting {
    /// | wells | symbols | names and heads |
    /// |---|---|---|
    /// | to 60 | 2.3 points | 6.2 points |
    /// | to 400 | 1.7 | 5.2 |
    /// | to 4000 | 1.1 | 4.6, beside the well only |
    /// | more | 0.6, one in each 1.5 points | none |
    pub(super) const fn of(wells: usize) -> Self {
        match wells {
            0..=60 => Self { radius: 2.3, size: Some(6.2), far: true, spacing: 0.0 },
            61..=400 => Self { radius: 1.7, size: Some(5.2), far: true, spacing: 0.0 },
            401..=4000 => Self { radius: 1.1, size: Some(4.6), far: false, spacing: 0.0 },
            _ => Self { radius: 0.6, size: None, far: false, spacing: 1.5 },
        }
    }
}

/// A well on the sheet.
#[derive(Debug, Clone)]
pub(super) struct Posted<'a> {
    pub(super) at: Coord,
    pub(super) id: &'a str,
    kind: WellKind,
    /// The head, elevation unit; `None` for one that was set aside.
    head: Option<f64>,
}

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

/// A well that was set aside, and why.
#[derive(Debug, Clone)]
pub(super) struct Aside<'a> {
    /// Its name.
    pub(super) id: &'a str,
    /// Each reason once, in the order of the readings.
    pub(super) reasons: Vec<&'a str>,
    /// Where it stands, local m; `None` where its coordinates do not fit the CRS.
    pub(super) local: Option<Coord>,
    kind: WellKind,
}

/// The wells that were read and carry nothing, by name.
pub(super) fn set_aside<'a>(results: &Results<'a>) -> Vec<Aside<'a>> {
    let (control, site) = (results.control, results.site);
    let mut used = vec![false; site.wells.len()];
    for p in control.points() {
        used[p.well] = true;
    }
    let mut reasons: Vec<Vec<&str>> = vec![Vec::new(); site.wells.len()];
    for account in control.accounts().iter().filter(|a| !used[a.well]) {
        if let Fate::SetAside { reason, .. } = &account.fate
            && !reasons[account.well].contains(&reason.as_str())
        {
            reasons[account.well].push(reason);
        }
    }
    let mut aside: Vec<Aside> = reasons
        .into_iter()
        .enumerate()
        .filter(|(w, reasons)| !reasons.is_empty() && site.wells[*w].kind != WellKind::Stream)
        .map(|(w, reasons)| Aside {
            id: &site.wells[w].id,
            reasons,
            local: control.places()[w].map(|p| control.frame().to_local(p.crs)),
            kind: site.wells[w].kind,
        })
        .collect();
    aside.sort_by(|a, b| a.id.cmp(b.id));
    aside
}

/// All wells that stand in the frame: the control points in their order, then those set aside.
pub(super) fn posted<'a>(
    results: &Results<'a>,
    aside: &[Aside<'a>],
    view: &View,
) -> Vec<Posted<'a>> {
    let points = results.control.points();
    // A stream is drawn as a line, and the points it carries the map with are no wells.
    let used = points.iter().filter(|p| p.kind != WellKind::Stream).map(|p| Posted {
        at: view.to_sheet(p.local),
        id: &p.id,
        kind: p.kind,
        head: Some(p.head),
    });
    let others = aside.iter().filter_map(|a| {
        Some(Posted { at: view.to_sheet(a.local?), id: a.id, kind: a.kind, head: None })
    });
    let frame = view.frame.inset(3.0);
    used.chain(others).filter(|w| frame.holds(w.at)).collect()
}

/// What the symbols cover.
pub(super) fn symbols_cover(wells: &[Posted], posting: Posting) -> Vec<Patch> {
    let side = |w: &Posted| {
        let reach = if w.head.is_some() { 1.0 } else { CROSS };
        2.0 * reach * posting.radius + 1.0
    };
    wells.iter().map(|w| Patch::upright(w.at, side(w), side(w))).collect()
}

/// The order in which wells get their labels: the highest and the lowest head first, then as they
/// stand.
fn order(wells: &[Posted]) -> Vec<usize> {
    let by_head = |a: &&usize, b: &&usize| {
        let head = |i: usize| wells[i].head.unwrap_or(f64::NAN);
        head(**a).total_cmp(&head(**b)).then(b.cmp(a))
    };
    let used: Vec<usize> = (0..wells.len()).filter(|i| wells[*i].head.is_some()).collect();
    let ends = [used.iter().max_by(by_head), used.iter().min_by(by_head)];
    let mut order: Vec<usize> = ends.into_iter().flatten().copied().collect();
    order.dedup();
    let rest = (0..wells.len()).filter(|i| !order.contains(i)).collect::<Vec<_>>();
    order.extend(rest);
    order
}

/// A label for each well that has room for one, in the order of the wells.
pub(super) fn tags(
    wells: &[Posted],
    posting: Posting,
    room: &mut Room,
    pieces: &Pieces,
) -> Vec<Option<Tag>> {
    let mut tags = vec![None; wells.len()];
    let Some(size) = posting.size else { return tags };
    for i in order(wells) {
        let tag = tag(&wells[i], size, posting, room, pieces);
        if let Some(tag) = &tag {
            room.take(tag.patch);
            if let Some(lead) = &tag.lead {
                room.take(lead.cover);
            }
        }
        tags[i] = tag;
    }
    tags
}

/// A well's label at the best free place about it.
fn tag(well: &Posted, size: f64, posting: Posting, room: &Room, pieces: &Pieces) -> Option<Tag> {
    let name = Words::new(well.id).fitted(LONGEST_NAME, size, true);
    let colour = if well.head.is_some() { style::INK } else { style::GREY };
    let mut written = vec![(name, true)];
    if let Some(head) = well.head {
        written.push((Words::new(&format!("{head:.2}")), false));
    }
    let longest = written.iter().map(|(words, bold)| width(words, size, *bold)).fold(0.0, f64::max);
    let step = size * 1.12;
    let (length, height) = (longest + 1.6, step * (written.len() as f64 - 1.0) + size * 0.95 + 1.0);
    let mut best: Option<(f64, Patch, Option<Lead>)> = None;
    let rings: &[f64] = if posting.far { &[0.6, 9.0, 18.0] } else { &[0.6] };
    for (ring, off) in rings.iter().enumerate() {
        let gap = CROSS * posting.radius + off;
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
        .into_iter()
        .enumerate()
        .map(|(line, (words, bold))| {
            let baseline = top + size * (CAPITALS + 0.1) + step * line as f64;
            let text = Text::new(at(left, baseline), words, size, bold, colour);
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

/// The symbols. Of very many wells one is drawn in each small square of the sheet: the first.
pub(super) fn items(wells: &[Posted], posting: Posting) -> Vec<Item> {
    if posting.spacing > 0.0 {
        let mut dots: Vec<Coord> = wells
            .iter()
            .map(|w| {
                let cell = |v: f64| ((v / posting.spacing).floor() + 0.5) * posting.spacing;
                at(cell(w.at.x), cell(w.at.y))
            })
            .collect();
        dots.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        dots.dedup();
        let r = posting.radius;
        let runs = dots
            .into_iter()
            .map(|p| Run {
                points: vec![p - at(r, r), p + at(r, -r), p + at(r, r), p + at(-r, r)],
                closed: true,
            })
            .collect();
        return vec![Item::Path(runs, Paint::fill(style::INK))];
    }
    // Crosses first: a well of the map may stand beside one of another unit.
    let drawn = |used: bool| {
        let some = wells.iter().filter(move |w| w.head.is_some() == used);
        some.flat_map(move |w| symbol(w.kind, used, w.at, posting.radius))
    };
    drawn(false).chain(drawn(true)).collect()
}

/// A well: a ring with a dot. A gauge: a triangle on its point. Set aside: a grey cross.
pub(super) fn symbol(kind: WellKind, used: bool, p: Coord, r: f64) -> Vec<Item> {
    if !used {
        let arm = CROSS * r;
        let cross = |dx: f64| Run { points: vec![p - at(dx, arm), p + at(dx, arm)], closed: false };
        let stroke = Stroke::new(style::GREY, 0.4 * r);
        return vec![Item::Path(vec![cross(arm), cross(-arm)], Paint::stroke(stroke))];
    }
    let edge = Stroke::new(style::INK, 0.35 * r);
    if kind == WellKind::Well {
        let ring = Item::Circle(p, r, Paint::both(style::WHITE, edge));
        return vec![ring, Item::Circle(p, 0.35 * r, Paint::fill(style::INK))];
    }
    let points = vec![p + at(-r, -0.8 * r), p + at(r, -0.8 * r), p + at(0.0, r)];
    vec![Item::area(points, Paint::both(style::WATER, edge))]
}

/// Names and heads, with the lines from wells to labels that stand off.
pub(super) fn tag_items(tags: &[Option<Tag>]) -> Vec<Item> {
    let mut items = Vec::new();
    for tag in tags.iter().flatten() {
        if let Some(lead) = tag.lead {
            items.push(Item::line(lead.ends.to_vec(), Stroke::new(style::GREY, 0.35)));
        }
        items.extend(tag.texts.iter().cloned().map(Item::Text));
    }
    items
}

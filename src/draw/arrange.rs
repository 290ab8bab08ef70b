//! Labels among wells and lines: who goes first.
//!
//! Short contours have few places for their label and go first, then wells, then the other
//! contours. Where a contour then finds no room, all is arranged anew with that contour before the
//! wells. The order is that of the lines' lengths and of the wells; nothing is left to chance.

use std::collections::BTreeSet;

use geo::Coord;

use super::arrows;
use super::arrows::Arrows;
use super::base;
use super::base::Base;
use super::clusters;
use super::clusters::Cluster;
use super::contours;
use super::contours::Drawn;
use super::features;
use super::features::{Features, Named};
use super::labels;
use super::labels::{Figures, Label};
use super::lines::{inside, outside};
use super::paths;
use super::room::{Patch, Pieces, Room};
use super::scene::{Item, Layer, Paint, Picture, Role};
use super::shade;
use super::signs::Sign;
use super::style;
use super::tags;
use super::tags::Tag;
use super::unposted::Unposted;
use super::view::View;
use super::wells;
use super::wells::{OnSheet, Posting};
use crate::report::{Posted, Results, WellSign};

/// A contour shorter than this many of its labels goes before the wells.
const SHORT: f64 = 6.0;

/// How often all is arranged anew.
const TRIES: usize = 8;

/// Above this many wells some arrows go before the wells' names.
const CROWDED: usize = 60;

/// Above this many wells names go where contours leave room.
const MANY: usize = 400;

/// No label comes closer to the frame, points.
const CLEAR: f64 = 1.5;

/// What the map's frame holds.
#[derive(Debug)]
pub(super) struct Map {
    pub(super) contours: Vec<Drawn>,
    /// The number of the contour and its label.
    pub(super) labels: Vec<(usize, Label)>,
    pub(super) tags: Vec<Option<Tag>>,
    keys: Vec<Option<Tag>>,
    /// The wells without a label.
    pub(super) unposted: Vec<Unposted>,
    /// Their clusters.
    pub(super) clusters: Vec<Cluster>,
    well_items: Vec<Item>,
    pub(super) arrows: Arrows,
    pub(super) base: Base,
    features: Features,
    paths: Vec<paths::Drawn>,
    names: Vec<Named>,
    /// Wells with a label, and all of them.
    pub(super) named: (usize, usize),
    /// Wells that the frame does not show.
    pub(super) outside: usize,
    /// Contours without a label.
    pub(super) unlabelled: usize,
    /// Names of wells with characters that no font has.
    unwritten_wells: usize,
    /// Signs that not every map has.
    pub(super) signs: BTreeSet<Sign>,
}

impl Map {
    /// Names of things beside the wells that have found no room.
    pub(super) fn unnamed(&self) -> usize {
        self.names.iter().map(|named| named.left_out).sum()
    }

    /// Names with characters that no font has.
    pub(super) fn unwritten(&self) -> usize {
        self.unwritten_wells + self.names.iter().map(|named| named.unwritten).sum::<usize>()
    }
}

/// One arrangement of labels.
struct Arrangement {
    room: Room,
    labels: Vec<Option<Label>>,
    tags: Vec<Option<Tag>>,
    keys: Vec<Option<Tag>>,
    unposted: Vec<Unposted>,
    points: Named,
    arrows: Arrows,
}

impl Arrangement {
    /// Nothing placed yet.
    fn new(empty: &Room, contours: usize, candidates: &Arrows) -> Self {
        Self {
            room: empty.clone(),
            labels: vec![None; contours],
            tags: Vec::new(),
            keys: Vec::new(),
            unposted: Vec::new(),
            points: Named::default(),
            arrows: candidates.clone(),
        }
    }
}

/// Puts everything into the frame, of the sheet or of an inset with a letter.
pub(super) fn map(
    results: &Results,
    wells: &[Posted],
    view: View,
    picture: Option<(Picture, String)>,
    inset: Option<char>,
) -> Map {
    let contours = contours::drawn(results, &view);
    let figures = match results.contours.interval {
        Some(interval) => Figures::of(&[interval, results.site.settings.base_level]),
        None => Figures::of(&results.contours.levels),
    };
    let posted = wells::on_sheet(results, wells, &view);
    let posting = Posting::of(posted.len());
    let symbols = wells::symbols_cover(&posted, posting);
    let mut features = features::drawn(results, &view);
    let base = base::drawn(results, &view).above(picture);
    features.plan(&base.labels);
    if posting.size.is_some() {
        features.said_by(&posted);
    }
    let paths = paths::drawn(results, &view);
    let of_paths = || paths.iter().map(paths::Drawn::line);
    let beside = features.lines().chain(of_paths());
    let pieces = Pieces::new(contours.iter().map(|c| c.points.as_slice()).chain(beside));
    let mut order: Vec<usize> = (0..contours.len()).collect();
    order.sort_by(|a, b| contours[*a].length.total_cmp(&contours[*b].length).then(a.cmp(b)));
    let needs: Vec<f64> = contours.iter().map(|c| labels::length_of(c, figures)).collect();
    order.retain(|c| contours[*c].length > needs[*c]);
    let taken: Vec<Patch> = match posting.size {
        // Symbols of very many wells cover everything: labels stand among them.
        None => features.cover.clone(),
        Some(_) => symbols.iter().chain(&features.cover).copied().collect(),
    };
    let empty = Room::new(view.frame.inset(CLEAR), taken);
    let many = posted.len() > MANY;
    let mut first: Vec<bool> =
        (0..contours.len()).map(|c| many || contours[c].length < SHORT * needs[c]).collect();
    let mut candidates = Arrows::candidates(results, &view);
    candidates.keep_clear(&Pieces::new(of_paths()), results, &view);
    let arrange = |first: &[bool]| {
        let mut arranged = Arrangement::new(&empty, contours.len(), &candidates);
        let label = |arranged: &mut Arrangement, early: bool| {
            for c in order.iter().copied().filter(|c| first[*c] == early) {
                let label = labels::place(c, &contours[c], figures, &arranged.room, &pieces);
                if let Some(label) = &label {
                    label.take(&mut arranged.room);
                }
                arranged.labels[c] = label;
            }
        };
        label(&mut arranged, true);
        if posted.len() > CROWDED {
            arranged.arrows.place_few(&mut arranged.room);
        }
        arranged.points = features.names(true, &mut arranged.room, &pieces);
        arranged.tags = tags::tags(&posted, posting, &mut arranged.room, &pieces);
        let (tags, room) = (&arranged.tags, &mut arranged.room);
        (arranged.keys, arranged.unposted) =
            tags::keys(&posted, (tags, inset), posting, room, &pieces);
        label(&mut arranged, false);
        arranged
    };
    let mut arranged = arrange(&first);
    for _ in 0..TRIES {
        let late: Vec<usize> =
            order.iter().copied().filter(|c| arranged.labels[*c].is_none() && !first[*c]).collect();
        if late.is_empty() {
            break;
        }
        for c in late {
            first[c] = true;
        }
        arranged = arrange(&first);
    }
    let Arrangement { mut room, labels: placed, tags, keys, unposted, points, mut arrows } =
        arranged;
    let unlabelled = placed.iter().filter(|label| label.is_none()).count();
    let labels = repeated(placed, &contours, figures, &mut room, &pieces);
    let clusters = clusters::found(&posted, &tags, &mut room, &view);
    let names = vec![points, features.names(false, &mut room, &pieces)];
    arrows.place(&mut room);
    let named = (tags.iter().flatten().count(), posted.len());
    let outside = wells.iter().filter(|w| w.crs.is_some()).count().saturating_sub(posted.len());
    let well_items = wells::items(&posted, posting);
    let unwritten_wells = posted.iter().filter(|w| w.name.is_unwritten()).count();
    let signs = signs(&posted, &tags, &contours, &arrows, &paths);
    Map {
        contours,
        labels,
        tags,
        keys,
        unposted,
        clusters,
        well_items,
        arrows,
        base,
        features,
        paths,
        names,
        named,
        outside,
        unlabelled,
        unwritten_wells,
        signs,
    }
}

/// The labels of contours with their numbers, those of long contours again and again.
fn repeated(
    placed: Vec<Option<Label>>,
    contours: &[Drawn],
    figures: Figures,
    room: &mut Room,
    pieces: &Pieces,
) -> Vec<(usize, Label)> {
    let mut labels: Vec<(usize, Label)> = Vec::new();
    for (c, label) in placed.into_iter().enumerate() {
        let Some(label) = label else { continue };
        let more = labels::repeat(c, &contours[c], figures, room, pieces, &label);
        labels.push((c, label));
        labels.extend(more.into_iter().map(|label| (c, label)));
    }
    labels
}

/// The signs that this map has, of those that not every map has.
fn signs(
    posted: &[OnSheet],
    tags: &[Option<Tag>],
    contours: &[Drawn],
    arrows: &Arrows,
    paths: &[paths::Drawn],
) -> BTreeSet<Sign> {
    let mut signs = BTreeSet::new();
    let mut has = |sign: Sign, some: bool| signs.extend(some.then_some(sign));
    for (well, tag) in posted.iter().zip(tags) {
        has(Sign::Pumped, well.sign == WellSign::Pumped);
        has(Sign::NotUsed, well.sign == WellSign::NotUsed);
        has(Sign::LeftOut, well.sign == WellSign::LeftOut);
        has(Sign::Judged, well.sign == WellSign::Judged);
        has(Sign::Corrected, tag.is_some() && well.corrected);
        has(Sign::Unfit, well.unfit);
        has(Sign::Warned, tag.is_some() && well.warnings > 0);
        has(Sign::Shortened, tag.is_some() && well.shortened);
    }
    for contour in contours {
        has(Sign::Index, contour.index);
        has(Sign::Inferred, contour.has_inferred());
        has(Sign::Ticks, contour.depression);
    }
    for arrow in &arrows.drawn {
        has(if arrow.known { Sign::Known } else { Sign::Unknown }, true);
    }
    for path in paths {
        has(if path.back { Sign::PathBack } else { Sign::Path }, true);
    }
    signs
}

impl Map {
    /// The layers in the map's frame, the lowest first.
    pub(super) fn layers(&self, results: &Results, view: &View) -> Vec<Layer> {
        let layer = |name, items| Layer::new(name, Role::Figure, items);
        let shading = results
            .site
            .settings
            .sheet
            .shading
            .then(|| shade::picture(results, view))
            .flatten()
            .map(Item::Picture);
        let covered: Vec<Patch> = self
            .labels
            .iter()
            .flat_map(|(_, label)| label.patches.iter().copied())
            .chain(self.tags.iter().chain(&self.keys).flatten().map(|tag| tag.patch))
            .chain(self.names.iter().flat_map(|named| &named.patches).copied())
            .collect();
        let mut words = labels::items(&self.labels.iter().map(|l| l.1.clone()).collect::<Vec<_>>());
        words.extend(self.names.iter().flat_map(|named| &named.items).cloned());
        let mut layers = vec![
            layer("shading", shading.into_iter().collect()),
            layer("outline", vec![outline(results, view, &covered)]),
            layer("features", self.features.interrupted(&covered)),
            layer("contours", contours::items(&self.contours, &covered)),
            layer("flow", arrows::items(&self.arrows.drawn)),
            layer("places", self.features.above.clone()),
            layer("wells", self.well_items.clone()),
            layer("contour-labels", words),
            layer("well-labels", tags::items(&self.tags)),
        ];
        if self.keys.iter().any(Option::is_some) {
            layers.push(layer("key-labels", tags::items(&self.keys)));
        }
        if !self.clusters.is_empty() {
            layers.push(layer("inset-labels", clusters::items(&self.clusters, &covered)));
        }
        if !self.base.items.is_empty() {
            layers.insert(1, layer("site-plan", self.base.items.clone()));
        }
        if let Some(picture) = &self.base.picture {
            layers.insert(0, layer("site-picture", vec![Item::Picture(picture.clone())]));
        }
        if results.toward.is_some() {
            // Below the contours: a strip of paper across a solid line would make it look inferred.
            let above = layers.iter().position(|l| l.name == "contours").unwrap_or(layers.len());
            layers.insert(above, layer("paths", paths::items(&self.paths, view, &covered)));
        }
        layers
    }
}

/// The outline of the wells.
fn outline(results: &Results, view: &View, covered: &[Patch]) -> Item {
    let local = results.mesh.local();
    let hull = results.mesh.hull();
    let closed = hull.iter().chain(hull.first());
    let points: Vec<Coord> = closed.map(|i| view.to_sheet(local[*i])).collect();
    let runs = inside(&points, &view.frame);
    let runs = runs.iter().flat_map(|run| outside(&run.points, covered)).collect();
    Item::Path(runs, Paint::stroke(style::OUTLINE))
}

//! What the signs mean.

use geo::Geometry;

use super::arrows;
use super::arrows::Arrow;
use super::features;
use super::font::Words;
use super::panel::{Block, SAMPLE};
use super::paths;
use super::scene::{Item, Paint, Run, Stroke, Text, at};
use super::shade;
use super::style;
use super::wells;
use super::words::{Told, arrow_words};
use crate::read::WellKind;
use crate::results::Results;
use crate::toward::Toward;

/// Half the length of a line's sample.
const HALF: f64 = 11.5;

/// The legend: a row for each sign that the map may hold.
pub(super) fn block(results: &Results, aside: bool, told: Option<&Told>, width: f64) -> Block {
    let mut block = Block::new(width, "Signs");
    let points = results.control.points();
    let has = |kind: WellKind| points.iter().any(|p| p.kind == kind);
    if has(WellKind::Well) {
        block.sign(wells::symbol(WellKind::Well, true, at(0.0, 0.0), 2.3), "well: name, head");
    }
    if has(WellKind::Gauge) {
        let sign = wells::symbol(WellKind::Gauge, true, at(0.0, 0.0), 2.3);
        block.sign(sign, "gauge on surface water: name, head");
    }
    if aside {
        let sign = wells::symbol(WellKind::Well, false, at(0.0, 0.0), 2.3);
        block.sign(sign, "well set aside, not mapped");
    }
    lines(&mut block);
    let scale = arrow_words(told);
    block.sign(arrows::items(&[Arrow::level(at(0.0, 0.0), arrows::REFERENCE, true)]), &scale);
    block.sign(
        arrows::items(&[Arrow::level(at(0.0, 0.0), arrows::REFERENCE, false)]),
        "flow, direction not resolved by these readings",
    );
    block.sign(vec![straight(style::OUTLINE)], "outline of the wells; blank: no head is known");
    of_paths(&mut block, results);
    beside(&mut block, results);
    if results.site.settings.sheet.shading {
        ramp(&mut block, results);
    }
    block
}

fn straight(stroke: Stroke) -> Item {
    Item::line(vec![at(-HALF, 0.0), at(HALF, 0.0)], stroke)
}

/// The kinds of flow paths.
fn of_paths(block: &mut Block, results: &Results) {
    const LENGTH: f64 = 2.1 * HALF;
    let line = [at(-LENGTH / 2.0, 0.0), at(LENGTH / 2.0, 0.0)];
    let [down, back] = results.toward.map_or([false; 2], Toward::shows);
    if down {
        block.sign(paths::chain(&line, false), "path of the mean flow, down from a source");
    }
    if back {
        let text = "path of the mean flow, followed back from a pumped well or receptor";
        block.sign(paths::chain(&line, true), text);
    }
}

/// The kinds of contours.
fn lines(block: &mut Block) {
    block.sign(vec![straight(style::LIGHT_LINE)], "equal head; heavy: every fifth level");
    block.sign(vec![straight(style::LIGHT_LINE.dashed(style::INFERRED))], "equal head, inferred");
    let ticks = [-8.0, 0.0, 8.0]
        .map(|x| Run { points: vec![at(x, 0.0), at(x, style::TICK)], closed: false });
    let ticks = Item::Path(ticks.to_vec(), Paint::stroke(style::LIGHT_LINE));
    block.sign(
        vec![straight(style::LIGHT_LINE), ticks],
        "closed around lower heads; ticks on the low side",
    );
}

/// What stands beside the wells.
fn beside(block: &mut Block, results: &Results) {
    let features = &results.site.features;
    let zero = at(0.0, 0.0);
    if !features.boundary.is_empty() {
        block.sign(vec![straight(style::BOUNDARY)], "boundary");
    }
    if !features.streams.is_empty() {
        block.sign(vec![straight(style::STREAM)], "stream or drain");
    }
    if !features.barriers.is_empty() {
        let run = Run { points: vec![at(-HALF, 0.0), at(HALF, 0.0)], closed: false };
        block.sign(features::barrier_items(vec![run]).to_vec(), "barrier to flow");
    }
    for (places, symbol, colour, name) in [
        (&features.sources, features::source(zero), style::SOURCE, "source"),
        (&features.receptors, features::receptor(zero), style::RECEPTOR, "receptor"),
    ] {
        let (points, lines): (Vec<_>, Vec<_>) = places
            .iter()
            .partition(|p| matches!(p.geometry, Geometry::Point(_) | Geometry::MultiPoint(_)));
        if !points.is_empty() {
            block.sign(vec![symbol], name);
        }
        if !lines.is_empty() {
            block.sign(vec![straight(features::edge(colour))], &format!("{name}: line or edge"));
        }
    }
}

/// The shading's colours from the lowest to the highest head.
fn ramp(block: &mut Block, results: &Results) {
    const STEPS: usize = 32;
    let Some((low, high)) = results.surface.heads.range() else { return };
    let unit = results.control.elevation_unit();
    let length = block.width() - SAMPLE;
    let step = length / STEPS as f64;
    let mut items: Vec<Item> = (0..STEPS)
        .map(|i| {
            // Each lies under the next, so that no paper shines through between them.
            let (from, to) = (i as f64 * step, length);
            let colour = shade::ramp(i as f64 / (STEPS - 1) as f64);
            let corners = vec![at(from, 0.0), at(to, 0.0), at(to, 5.0), at(from, 5.0)];
            Item::area(corners, Paint::fill(colour))
        })
        .collect();
    let label =
        |text: String| Text::new(at(0.0, 12.0), Words::new(&text), style::BODY, false, style::INK);
    items.push(Item::Text(label(format!("{low:.2}"))));
    let mut end = label(format!("{high:.2} {unit}")).ending();
    end.at.x += length;
    items.push(Item::Text(end));
    block.add(items, at(SAMPLE, block.height + 3.0));
    block.add(
        vec![Item::Text(Text::new(
            at(0.0, 0.0),
            Words::new("head"),
            style::BODY,
            false,
            style::INK,
        ))],
        at(0.0, block.height + 8.0),
    );
    block.space(17.0);
}

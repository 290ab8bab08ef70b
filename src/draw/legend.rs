//! What the signs mean.

use geo::Geometry;

use super::arrows;
use super::arrows::Arrow;
use super::base;
use super::features;
use super::font::Words;
use super::panel::{Block, SAMPLE};
use super::paths;
use super::scene::{Item, Paint, Run, Stroke, Text, at};
use super::shade;
use super::signs::{Sign, Told, has, known_words, unknown_words};
use super::style;
use super::wells;
use crate::check::ControlPoint;
use crate::read::WellKind;
use crate::report::{CORRECTED, Posted, Results, UNFIT, WellSign};
use crate::toward::Toward;
use crate::units;

/// Half the length of a line's sample.
const HALF: f64 = 11.5;

/// The legend: a row for each sign that the map has.
pub(super) fn block(
    results: &Results,
    posted: &[Posted],
    told: Option<&Told>,
    width: f64,
) -> Block {
    let mut block = Block::new(&results.site.fonts, width, "Explanation");
    let (points, pumped) = (results.control.points(), results.pumped_wells());
    let has_kind = |kind: WellKind| points.iter().any(|p| p.kind() == Some(kind));
    let sample = |sign| wells::symbol(sign, at(0.0, 0.0), 2.3);
    if has_kind(WellKind::Well) {
        block.sign(sample(WellSign::Well), &format!("well: name, {}", words_at_wells(results)));
    }
    if has_kind(WellKind::Gauge) {
        let level = results.across().map_or("level", |_| words_at_wells(results));
        block.sign(sample(WellSign::Gauge), &format!("gauge on surface water: name, {level}"));
    }
    if !pumped.is_empty() && has(told, Sign::Pumped) {
        block.sign(sample(WellSign::Pumped), pumped_words(results));
    }
    let corrected = points.iter().any(ControlPoint::is_corrected);
    if corrected && has(told, Sign::Corrected) {
        let mark = Words::new(&format!("00.00{CORRECTED}"));
        let mark = Text::new(at(0.0, 2.2), mark, style::BODY, false, style::INK).centred();
        block.sign(vec![Item::Text(mark)], "head corrected for floating product");
    }
    if posted.iter().any(|w| w.unfit) && has(told, Sign::Unfit) {
        let mut framed = sample(WellSign::Well);
        framed.push(wells::frame(WellSign::Well, at(0.0, 0.0), 2.3));
        let words = match results.across() {
            Some(_) => format!(
                "{}{UNFIT} from a head in doubt: contours that rest on it are inferred",
                results.noun()
            ),
            None => format!(
                "head{UNFIT} does not fit its neighbours: contours that rest on it are inferred"
            ),
        };
        block.sign(framed, &words);
    }
    if let Some(warned) = posted.iter().find(|w| !w.warnings.is_empty())
        && has(told, Sign::Warned)
    {
        let code = Words::new(warned.warnings[0]);
        let code = Text::new(at(0.0, 2.2), code, style::BODY, false, style::INK).centred();
        block.sign(vec![Item::Text(code)], "warning about this well: see report.html");
    }
    if posted.iter().any(|w| w.sign == WellSign::NotUsed) && has(told, Sign::NotUsed) {
        block.sign(sample(WellSign::NotUsed), "well not used for contouring");
    }
    if posted.iter().any(|w| w.sign == WellSign::LeftOut) && has(told, Sign::LeftOut) {
        block.sign(sample(WellSign::LeftOut), "well left out by decision: name, (head)");
    }
    if posted.iter().any(|w| w.sign == WellSign::Judged) && has(told, Sign::Judged) {
        block.sign(sample(WellSign::Judged), "judged point, not measured: name, head judged");
    }
    lines(&mut block, results.noun(), told);
    let arrow = |filled| arrows::items(&[Arrow::level(at(0.0, 0.0), arrows::REFERENCE, filled)]);
    if has(told, Sign::Known) {
        block.sign(arrow(true), &known_words(results, told));
    }
    if has(told, Sign::Unknown) {
        block.sign(arrow(false), &unknown_words(results, told));
    }
    block.sign(vec![straight(style::OUTLINE)], "limit of data: not contoured beyond");
    of_paths(&mut block, results, told);
    beside(&mut block, results);
    match told {
        Some(told) => base::legend(&mut block, &told.base),
        // Before the map is drawn, all that it may have.
        None => base::legend(&mut block, &base::layers(results)),
    }
    if results.site.settings.sheet.shading {
        ramp(&mut block, results);
    }
    block
}

/// What is written beside a well.
fn words_at_wells(results: &Results) -> &'static str {
    match results.across() {
        Some(across) if across.worked.is_signed() => "change of head with its 95 % interval",
        _ => results.noun(),
    }
}

/// What is said of pumped wells.
fn pumped_words(results: &Results) -> &'static str {
    let declared = &results.site.pumped_wells;
    if declared.iter().any(|p| p.rate.is_some_and(|rate| rate < 0.0)) {
        "pumped well, or well that recharges"
    } else {
        "pumped well"
    }
}

fn straight(stroke: Stroke) -> Item {
    Item::line(vec![at(-HALF, 0.0), at(HALF, 0.0)], stroke)
}

/// The kinds of flow paths.
fn of_paths(block: &mut Block, results: &Results, told: Option<&Told>) {
    const LENGTH: f64 = 2.1 * HALF;
    let line = [at(-LENGTH / 2.0, 0.0), at(LENGTH / 2.0, 0.0)];
    let [down, back] = results.toward.map_or([false; 2], Toward::shows);
    if down && has(told, Sign::Path) {
        block.sign(paths::chain(&line, false), "advective flow path from a source");
    }
    if back && has(told, Sign::PathBack) {
        let text = "advective flow path traced back from a pumped well or receptor";
        block.sign(paths::chain(&line, true), text);
    }
}

/// The kinds of contours.
fn lines(block: &mut Block, noun: &str, told: Option<&Told>) {
    let index = if has(told, Sign::Index) { "; index contour heavy" } else { "" };
    block.sign(vec![straight(style::LIGHT_LINE)], &format!("contour of {noun}{index}"));
    if has(told, Sign::Inferred) {
        let dashed = straight(style::LIGHT_LINE.dashed(style::INFERRED));
        block.sign(vec![dashed], &format!("contour of {noun}, inferred"));
    }
    if has(told, Sign::Ticks) {
        let ticks = [-8.0, 0.0, 8.0]
            .map(|x| Run { points: vec![at(x, 0.0), at(x, style::TICK)], closed: false });
        let ticks = Item::Path(ticks.to_vec(), Paint::stroke(style::LIGHT_LINE));
        block.sign(
            vec![straight(style::LIGHT_LINE), ticks],
            "closed contour around lower heads, ticks on the low side",
        );
    }
}

/// What stands beside the wells.
fn beside(block: &mut Block, results: &Results) {
    let features = &results.site.features;
    let zero = at(0.0, 0.0);
    if !features.boundary.is_empty() {
        block.sign(vec![straight(style::BOUNDARY)], "boundary of the map");
    }
    if results.control.judged().iter().any(|judged| judged.crs.is_none()) {
        let contour = straight(style::LIGHT_LINE.dashed(style::INFERRED));
        let line = vec![straight(style::CONTROL_LINE), contour];
        block.sign(line, "control line: contour drawn by judgement, not measured");
    }
    if !features.streams.is_empty() {
        block.sign(vec![straight(style::STREAM)], "stream or drain");
    }
    if !features.barriers.is_empty() {
        let run = Run { points: vec![at(-HALF, 0.0), at(HALF, 0.0)], closed: false };
        block.sign(features::barrier_items(vec![run]).to_vec(), "barrier to flow");
    }
    for (places, symbol, edge, name) in [
        (&features.sources, features::source(zero), style::SOURCE_EDGE, "source"),
        (&features.receptors, features::receptor(zero), style::RECEPTOR_EDGE, "receptor"),
    ] {
        let (points, lines): (Vec<_>, Vec<_>) = places
            .iter()
            .partition(|p| matches!(p.geometry, Geometry::Point(_) | Geometry::MultiPoint(_)));
        if !points.is_empty() {
            block.sign(vec![symbol], name);
        }
        if !lines.is_empty() {
            block.sign(vec![straight(edge)], &format!("{name}, line or edge of an area"));
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
    items.push(Item::Text(label(units::fixed(low, 2))));
    let mut end = label(format!("{} {}", units::fixed(high, 2), unit.in_words())).ending();
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

//! The figure of a comparison: a strip of residuals for each method, and one of turns of direction.
//!
//! Every dot is a well.

use super::faces::Letters;
use super::font::Words;
use super::items::Items;
use super::room::Rect;
use super::scene::{Colour, Item, Layer, Paint, Role, Scene, Stroke, Text, at};
use super::sheet::Sheet;
use super::style::{GREY, INK, PALE, WHITE};
use crate::cross_validate::LeftOut;
use crate::cross_validate::Scores;
use crate::cross_validate::Without;
use crate::interpolate::RoundNumber;
use crate::report::ComparisonResults;
use crate::units::{fixed, median, power_of_ten, signed};

const WIDTH: f64 = 720.0;
const MARGIN: f64 = 12.0;
/// Where the strips begin and end.
const STRIP: (f64, f64) = (192.0, 571.5);
/// Where the numbers beside a strip begin.
const BESIDE: f64 = STRIP.1 + 10.5;
/// Where the first strip begins.
const TOP: f64 = 78.0;
const ROW: f64 = 49.5;
/// Half the height dots may take in a strip.
const REACH: f64 = 15.0;
/// From dot to dot where several share a place.
const PITCH: f64 = 3.75;
const RADIUS: f64 = 1.8;
/// The length that a name may take; a longer one is shortened.
const LONGEST: f64 = 150.0;

/// Heights of letters: of the title, of names of strips, of words, of small words, of names of wells.
const TITLE: f64 = 12.8;
const NAME: f64 = 9.8;
const WORDS: f64 = 9.0;
const SMALL: f64 = 8.2;
const WELL: f64 = 7.9;

/// The scale of residuals ends at so many times the middle root mean square error of the methods:
/// one poor method must not press the others into a line. What lies beyond stands at the end.
const SCALE_ERRORS: f64 = 5.0;

const BAND: Colour = Colour(0xe3, 0xeb, 0xe6);
const DOT: Colour = Colour(0x2f, 0x6f, 0x73);
const ASKED: Colour = Colour(0xb5, 0x54, 0x1c);

/// Draws the figure of a comparison.
#[must_use]
pub fn comparison(results: &ComparisonResults) -> Sheet {
    let methods = &results.comparison.methods;
    let usable = || methods.iter().filter_map(|m| m.outcome.as_ref().ok());
    let errors = usable().filter_map(|l| l.all).map(|s| s.root_mean_square_error);
    let known = usable().flat_map(|l| l.predictions.iter().flatten().map(|p| p.residual));
    let residuals = Axis::about(known, SCALE_ERRORS * median(errors).unwrap_or(0.0));
    let turns = turns(results);
    let degrees = Axis::about(turns.iter().flat_map(|t| t.1.iter().map(|d| d.1)), 180.0);
    let second = TOP + ROW * methods.len() as f64 + 61.5;
    let height = second + ROW * turns.len() as f64 + 55.5;
    let paper = Rect { left: 0.0, top: 0.0, right: WIDTH, bottom: height };
    let mut strips = Items::default();
    let letters = &results.site.fonts;
    let unit = results.control.elevation_unit();
    residuals.draw(&mut strips, TOP, methods.len(), &format!("observed minus predicted, {unit}"));
    for (k, method) in methods.iter().enumerate() {
        let middle = TOP + ROW * (k as f64 + 0.5);
        let colour = if method.asked { ASKED } else { DOT };
        let under = at(MARGIN, middle + 10.5);
        strips.text(at(MARGIN, middle - 1.5), NAME, INK, method.candidate.words());
        match &method.outcome {
            Err(refused) => {
                let why = Words::sentence(&refused.reason, letters);
                let why = why.fitted(WIDTH - MARGIN - STRIP.0, SMALL, false);
                strips.words(at(STRIP.0 + 4.5, middle + 3.0), SMALL, GREY, why);
                strips.text(under, SMALL, GREY, "not usable here");
            }
            Ok(left_out) => {
                if method.asked {
                    strips.text(under, SMALL, ASKED, "chosen for the map");
                }
                strip(&mut strips, results, left_out, &residuals, middle, colour);
            }
        }
    }
    let mut round = Items::default();
    let what = "change in flow azimuth when a well is omitted, degrees, clockwise positive";
    degrees.draw(&mut round, second, turns.len(), what);
    for (k, (words, dots)) in turns.iter().enumerate() {
        let middle = second + ROW * (k as f64 + 0.5);
        round.text(at(MARGIN, middle - 1.5), NAME, INK, words);
        let marks: Vec<(f64, bool)> = dots.iter().map(|d| (d.1, true)).collect();
        round.dots(&marks, &degrees, middle, DOT);
        let worst = dots.iter().rev().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        if let Some((well, turn)) = worst.filter(|w| w.1 != 0.0) {
            let name = &results.control.points()[*well].id;
            round.named((name, letters), degrees.place(*turn), middle);
            let turn = format!("max. {}°", signed(fixed(*turn, 1)));
            round.text(at(BESIDE, middle + 3.0), SMALL, INK, &turn);
        }
    }
    let paper = Items(vec![Item::area(paper.corners(), Paint::fill(WHITE))]);
    let layers = [
        ("paper", Role::Decoration, paper),
        ("heading", Role::Words, heading(results)),
        ("residuals", Role::Figure, strips),
        ("turns", Role::Figure, round),
    ];
    let layers = layers.into_iter().map(|(name, role, items)| Layer::new(name, role, items.0));
    let site = Words::of(&results.site.settings.name, letters);
    let scene = Scene {
        width: WIDTH,
        height,
        title: site.text().to_owned(),
        alternative: "Residuals of each method with each well left out in turn, and turns of the direction of flow. \
                      Values: cross-validation.csv"
            .to_owned(),
        day: results.control.from_to().map(|(_, to)| to.date()),
        layers: layers.collect(),
    };
    let dpi = results.site.settings.sheet.dpi;
    Sheet { scene, further: Vec::new(), dpi, georeference: None }
}

fn heading(results: &ComparisonResults) -> Items {
    let mut items = Items::default();
    let wells = results.comparison.wells.len();
    let common = results.comparison.in_common.iter().filter(|c| **c).count();
    let length = WIDTH - 2.0 * MARGIN;
    let letters = &results.site.fonts;
    let site = Words::of(&results.site.settings.name, letters).fitted(length, TITLE, false);
    items.0.push(Item::Text(Text::new(at(MARGIN, 21.0), site, TITLE, false, INK).heading(1)));
    let round = Words::sentence(&format!("round {}", results.round.name), letters);
    let round = round.fitted(length, WORDS, false);
    items.words(at(MARGIN, 34.5), WORDS, INK, round);
    let text = format!(
        "Each of {wells} wells left out in turn. Filled: common test set (n = {common}); open: other \
         wells; blocks: stacked points."
    );
    items.text(at(MARGIN, 49.5), WORDS, INK, &text);
    let text = "Shaded: ± root mean square error; vertical bar: mean error; arrow: off scale; named: \
                the largest residual.";
    items.text(at(MARGIN, 61.5), WORDS, INK, text);
    let unit = results.control.elevation_unit();
    let text = format!("RMSE, {unit} (wells)");
    items.text(at(BESIDE, TOP - 6.0), SMALL, INK, &text);
    items
}

fn strip(
    items: &mut Items,
    results: &ComparisonResults,
    left_out: &LeftOut,
    axis: &Axis,
    middle: f64,
    colour: Colour,
) {
    let Some(all) = &left_out.all else {
        let why = "no well is surrounded by others";
        items.text(at(STRIP.0 + 4.5, middle + 3.0), SMALL, GREY, why);
        return;
    };
    let ends = [-all.root_mean_square_error, all.root_mean_square_error].map(|e| axis.place(e));
    items.bar(ends, middle, BAND);
    let in_common = &results.comparison.in_common;
    let marks: Vec<(f64, bool)> = left_out
        .predictions
        .iter()
        .zip(in_common)
        .filter_map(|(p, common)| p.map(|p| (p.residual, *common)))
        .collect();
    let mean = axis.place(all.mean_error);
    items.bar([mean - 0.6, mean + 0.6], middle, INK);
    items.dots(&marks, axis, middle, colour);
    let told = |s: &Scores| format!("{} ({})", fixed(s.root_mean_square_error, 3), s.wells);
    items.text(at(BESIDE, middle - 1.5), WORDS, INK, &told(all));
    if let Some(common) = left_out.common.filter(|c| c.wells < all.wells) {
        let text = format!("common set {}", told(&common));
        items.text(at(BESIDE, middle + 10.5), SMALL, INK, &text);
    }
    if let Some(worst) = left_out.worst.first()
        && let Some(prediction) = left_out.predictions[*worst]
    {
        let name = &results.control.points()[*worst].id;
        let letters = &results.site.fonts;
        items.named((name, letters), axis.place(prediction.residual), middle);
        let text = format!("largest {}", signed(fixed(prediction.residual, 3)));
        items.text(at(BESIDE, middle + 19.5), SMALL, INK, &text);
    }
}

/// For the plane and for the mean of the triangles: the wells with the turn without each.
fn turns(results: &ComparisonResults) -> [(&'static str, Vec<(usize, f64)>); 2] {
    let without = &results.comparison.without;
    let of = |turn: fn(&Without) -> Option<f64>| {
        without.iter().enumerate().filter_map(|(i, w)| Some((i, turn(w)?))).collect()
    };
    [("planar fit", of(|w| w.plane?.turn_deg)), ("mean of the triangles", of(|w| w.mean?.turn_deg))]
}

/// A scale about zero.
struct Axis {
    step: f64,
    /// Steps to each side.
    steps: u32,
}

impl Axis {
    /// Wide enough for all values, or for `bound` where that is less.
    fn about(values: impl Iterator<Item = f64>, bound: f64) -> Self {
        let most = values.map(f64::abs).fold(0.0, f64::max).min(bound);
        let step = RoundNumber::at_least(if most > 0.0 { most / 4.0 } else { 0.01 }).value();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 4")]
        let steps = (most / step).ceil().max(1.0) as u32;
        Self { step, steps }
    }

    /// The value at its end.
    fn end(&self) -> f64 {
        self.step * f64::from(self.steps)
    }

    /// Where a value stands; one beyond the end stands there.
    fn place(&self, value: f64) -> f64 {
        let half = f64::midpoint(STRIP.1, -STRIP.0);
        f64::midpoint(STRIP.0, STRIP.1) + (value / self.end()).clamp(-1.0, 1.0) * half
    }

    fn draw(&self, items: &mut Items, top: f64, rows: usize, words: &str) {
        let bottom = top + ROW * rows as f64;
        for k in 0..=rows {
            let y = top + ROW * k as f64;
            items.line([at(MARGIN, y), at(WIDTH - MARGIN, y)], Stroke::new(PALE, 0.3));
        }
        let decimals = (0..12).find(|d| self.step * power_of_ten(*d) >= 0.999).unwrap_or(12);
        for side in [-1.0, 1.0] {
            for k in u32::from(side > 0.0)..=self.steps {
                let value = side * f64::from(k) * self.step;
                let x = self.place(value);
                let stroke = if k == 0 { Stroke::new(INK, 0.75) } else { Stroke::new(PALE, 0.3) };
                items.line([at(x, top), at(x, bottom + 3.75)], stroke);
                let text = if k == 0 { "0".to_owned() } else { signed(fixed(value, decimals)) };
                items.centred(at(x, bottom + 13.5), SMALL, &text);
            }
        }
        let middle = f64::midpoint(STRIP.0, STRIP.1);
        items.centred(at(middle, bottom + 27.0), WORDS, words);
    }
}

impl Items {
    /// A bar as high as dots may stand, about the middle of a strip.
    fn bar(&mut self, [left, right]: [f64; 2], middle: f64, colour: Colour) {
        let bar = Rect { left, top: middle - REACH, right, bottom: middle + REACH };
        self.0.push(Item::area(bar.corners(), Paint::fill(colour)));
    }

    /// The name of the well at a place, beside it toward the middle.
    fn named(&mut self, (name, letters): (&str, &Letters), x: f64, middle: f64) {
        let right = x > f64::midpoint(STRIP.0, STRIP.1);
        let words = Words::of(name, letters).fitted(LONGEST, WELL, false);
        let from = at(if right { x + 1.5 } else { x - 1.5 }, middle - REACH - 0.75);
        let text = Text::new(from, words, WELL, false, INK);
        self.0.push(Item::Text(if right { text.ending() } else { text }));
    }

    /// Dots on an axis, those that share a place above each other; a block where they are too
    /// many, an arrow where some lie beyond the end.
    fn dots(&mut self, marks: &[(f64, bool)], axis: &Axis, middle: f64, colour: Colour) {
        #[expect(clippy::cast_possible_truncation, reason = "the strip is 380 points long")]
        let place = |v: f64| (axis.place(v) / PITCH).round() as i32;
        let mut sorted: Vec<(i32, bool)> =
            marks.iter().map(|(v, full)| (place(*v), *full)).collect();
        for side in [-1.0, 1.0] {
            if marks.iter().any(|(v, _)| v * side > axis.end()) {
                let tip = axis.place(side * axis.end()) + side * 9.0;
                for across in [-3.0, 3.0] {
                    let tail = at(tip - side * 4.5, middle + across);
                    self.line([at(tip, middle), tail], Stroke::new(colour, 1.05));
                }
            }
        }
        // Full dots stand next to the line.
        sorted.sort_unstable_by_key(|(at, full)| (*at, !full));
        for stack in sorted.chunk_by(|a, b| a.0 == b.0) {
            let x = f64::from(stack[0].0) * PITCH;
            let reach = (stack.len() - 1) as f64 * PITCH / 2.0;
            if reach > REACH {
                self.bar([x - RADIUS, x + RADIUS], middle, colour);
                continue;
            }
            for (k, (_, full)) in stack.iter().enumerate() {
                // From the line outward, up and down in turn.
                let step = k.div_ceil(2) as f64 * if k % 2 == 0 { 1.0 } else { -1.0 };
                let fill = if *full { colour } else { WHITE };
                let paint = Paint::both(fill, Stroke::new(colour, 0.75));
                self.0.push(Item::Circle(at(x, middle + step * PITCH), RADIUS, paint));
            }
        }
    }
}

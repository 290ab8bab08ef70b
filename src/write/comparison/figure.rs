//! `compare.svg`: a strip of residuals for each method, and one of turns of direction.
//!
//! Every dot is a well. The figure is drawn in whole tenths of a point, so that two machines
//! write the same text.

use std::fmt::Write as _;

use crate::compare::LeftOut;
use crate::compare::Scores;
use crate::compare::Without;
use crate::diag::printable;
use crate::interpolate::RoundNumber;
use crate::results::ComparisonResults;
use crate::units::{fixed, median, power_of_ten, signed};

const WIDTH: f64 = 960.0;
/// Where the strips begin and end.
const STRIP: (f64, f64) = (256.0, 762.0);
/// Where the first strip begins.
const TOP: f64 = 104.0;
const ROW: f64 = 66.0;
/// Half the height dots may take in a strip.
const REACH: f64 = 20.0;
/// From dot to dot where several share a place.
const PITCH: f64 = 5.0;
const RADIUS: f64 = 2.4;
/// Letters of a name that are drawn; a longer one ends in an ellipsis.
const LONGEST: usize = 28;

/// The scale of residuals ends at so many times the middle root mean square error of the methods:
/// one poor method must not press the others into a line. What lies beyond stands at the end.
const SCALE_ERRORS: f64 = 5.0;

const INK: &str = "#22333b";
const FAINT: &str = "#9aa7ab";
const BAND: &str = "#e3ebe6";
const DOT: &str = "#2f6f73";
const ASKED: &str = "#b5541c";

/// The figure as SVG text.
pub(super) fn figure(results: &ComparisonResults) -> String {
    let methods = &results.comparison.methods;
    let usable = || methods.iter().filter_map(|m| m.outcome.as_ref().ok());
    let errors = usable().filter_map(|l| l.all).map(|s| s.root_mean_square_error);
    let known = usable().flat_map(|l| l.predictions.iter().flatten().map(|p| p.residual));
    let residuals = Axis::about(known, SCALE_ERRORS * median(errors).unwrap_or(0.0));
    let turns = turns(results);
    let degrees = Axis::about(turns.iter().flat_map(|t| t.1.iter().map(|d| d.1)), 180.0);
    let second = TOP + ROW * methods.len() as f64 + 82.0;
    let mut sheet = Sheet::new(second + ROW * turns.len() as f64 + 74.0);
    heading(&mut sheet, results);
    let unit = results.control.elevation_unit();
    residuals.draw(&mut sheet, TOP, methods.len(), &format!("observed minus predicted, {unit}"));
    for (k, method) in methods.iter().enumerate() {
        let middle = TOP + ROW * (k as f64 + 0.5);
        let colour = if method.asked { ASKED } else { DOT };
        sheet.text(16.0, middle - 2.0, 13.0, INK, "start", method.candidate.words());
        match &method.outcome {
            Err(refused) => {
                let why = short(&refused.reason, 90);
                sheet.text(STRIP.0 + 6.0, middle + 4.0, 11.0, FAINT, "start", &why);
                sheet.text(16.0, middle + 14.0, 11.0, FAINT, "start", "cannot be used here");
            }
            Ok(left_out) => {
                if method.asked {
                    sheet.text(16.0, middle + 14.0, 11.0, ASKED, "start", "the site's settings");
                }
                strip(&mut sheet, results, left_out, &residuals, middle, colour);
            }
        }
    }
    let what = "turn of the direction of flow without a well, degrees, clockwise positive";
    degrees.draw(&mut sheet, second, turns.len(), what);
    for (k, (words, dots)) in turns.iter().enumerate() {
        let middle = second + ROW * (k as f64 + 0.5);
        sheet.text(16.0, middle - 2.0, 13.0, INK, "start", words);
        let marks: Vec<(f64, bool)> = dots.iter().map(|d| (d.1, true)).collect();
        sheet.dots(&marks, &degrees, middle, DOT);
        let worst = dots.iter().rev().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        if let Some((well, turn)) = worst.filter(|w| w.1 != 0.0) {
            let name = &results.control.points()[*well].id;
            sheet.named(name, degrees.place(*turn), middle);
            let turn = format!("most {}", signed(fixed(*turn, 1)));
            sheet.text(STRIP.1 + 14.0, middle + 4.0, 11.0, INK, "start", &turn);
        }
    }
    sheet.done()
}

fn heading(sheet: &mut Sheet, results: &ComparisonResults) {
    let wells = results.comparison.wells.len();
    let common = results.comparison.in_common.iter().filter(|c| **c).count();
    // Names stand alone, so that one written from right to left turns nothing else round.
    sheet.text(16.0, 28.0, 17.0, INK, "start", &short(&results.site.settings.name, 80));
    sheet.text(16.0, 46.0, 12.0, INK, "start", "round");
    sheet.text(54.0, 46.0, 12.0, INK, "start", &short(&results.site.round, 60));
    let text = format!(
        "Each of {wells} wells left out in turn. Full dots: the {common} wells every usable method \
         predicts; rings: others; blocks: too many to count."
    );
    sheet.text(16.0, 66.0, 12.0, INK, "start", &text);
    let text = "Band: root mean square error. Upright: mean error. An arrow: beyond the scale. \
                Named: the worst well.";
    sheet.text(16.0, 82.0, 12.0, INK, "start", text);
    let unit = results.control.elevation_unit();
    let text = format!("root mean square, {unit} (wells)");
    sheet.text(STRIP.1 + 14.0, TOP - 8.0, 11.0, INK, "start", &text);
}

fn strip(
    sheet: &mut Sheet,
    results: &ComparisonResults,
    left_out: &LeftOut,
    axis: &Axis,
    middle: f64,
    colour: &str,
) {
    let Some(all) = &left_out.all else {
        let why = "no well is surrounded by others";
        sheet.text(STRIP.0 + 6.0, middle + 4.0, 11.0, FAINT, "start", why);
        return;
    };
    let (from, to) =
        (axis.place(-all.root_mean_square_error), axis.place(all.root_mean_square_error));
    sheet.bar(from, middle - REACH, to - from, 2.0 * REACH, BAND);
    let in_common = &results.comparison.in_common;
    let marks: Vec<(f64, bool)> = left_out
        .predictions
        .iter()
        .zip(in_common)
        .filter_map(|(p, common)| p.map(|p| (p.residual, *common)))
        .collect();
    sheet.bar(axis.place(all.mean_error) - 0.8, middle - REACH, 1.6, 2.0 * REACH, INK);
    sheet.dots(&marks, axis, middle, colour);
    let told = |s: &Scores| format!("{} ({})", fixed(s.root_mean_square_error, 3), s.wells);
    sheet.text(STRIP.1 + 14.0, middle - 2.0, 12.0, INK, "start", &told(all));
    if let Some(common) = left_out.common.filter(|c| c.wells < all.wells) {
        let text = format!("in common {}", told(&common));
        sheet.text(STRIP.1 + 14.0, middle + 14.0, 11.0, INK, "start", &text);
    }
    if let Some(worst) = left_out.worst.first()
        && let Some(prediction) = left_out.predictions[*worst]
    {
        let name = &results.control.points()[*worst].id;
        sheet.named(name, axis.place(prediction.residual), middle);
        let text = format!("worst {}", signed(fixed(prediction.residual, 3)));
        sheet.text(STRIP.1 + 14.0, middle + 26.0, 11.0, INK, "start", &text);
    }
}

/// For the plane and for the mean of the triangles: the wells with the turn without each.
fn turns(results: &ComparisonResults) -> [(&'static str, Vec<(usize, f64)>); 2] {
    let without = &results.comparison.without;
    let of = |turn: fn(&Without) -> Option<f64>| {
        without.iter().enumerate().filter_map(|(i, w)| Some((i, turn(w)?))).collect()
    };
    [
        ("plane through the wells", of(|w| w.plane?.turn_deg)),
        ("mean of the triangles", of(|w| w.mean?.turn_deg)),
    ]
}

/// A name as it is drawn.
fn short(name: &str, longest: usize) -> String {
    let name = printable(name);
    if name.chars().count() <= longest {
        return name.into_owned();
    }
    name.chars().take(longest - 1).chain(['…']).collect()
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

    fn draw(&self, sheet: &mut Sheet, top: f64, rows: usize, words: &str) {
        let bottom = top + ROW * rows as f64;
        for k in 0..=rows {
            let y = top + ROW * k as f64;
            sheet.line([16.0, y, WIDTH - 16.0, y], FAINT, 0.4);
        }
        let decimals = (0..12).find(|d| self.step * power_of_ten(*d) >= 0.999).unwrap_or(12);
        for side in [-1.0, 1.0] {
            for k in u32::from(side > 0.0)..=self.steps {
                let value = side * f64::from(k) * self.step;
                let x = self.place(value);
                let weight = if k == 0 { 1.0 } else { 0.4 };
                sheet.line([x, top, x, bottom + 5.0], if k == 0 { INK } else { FAINT }, weight);
                let text = if k == 0 { "0".to_owned() } else { signed(fixed(value, decimals)) };
                sheet.text(x, bottom + 18.0, 11.0, INK, "middle", &text);
            }
        }
        let middle = f64::midpoint(STRIP.0, STRIP.1);
        sheet.text(middle, bottom + 36.0, 12.0, INK, "middle", words);
    }
}

/// SVG text under way.
struct Sheet(String);

impl Sheet {
    fn new(height: f64) -> Self {
        let mut text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" \
             width=\"{WIDTH}\" height=\"{height}\" font-family=\"sans-serif\">\n"
        );
        text.push_str("<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n");
        Self(text)
    }

    fn done(mut self) -> String {
        self.0.push_str("</svg>\n");
        self.0
    }

    fn line(&mut self, [x1, y1, x2, y2]: [f64; 4], colour: &str, width: f64) {
        let [x1, y1, x2, y2] = [x1, y1, x2, y2].map(tenths);
        let _ = writeln!(
            self.0,
            "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\" \
             stroke=\"{colour}\" stroke-width=\"{width}\"/>"
        );
    }

    fn bar(&mut self, x: f64, y: f64, width: f64, height: f64, colour: &str) {
        let [x, y, width, height] = [x, y, width, height].map(tenths);
        let _ = writeln!(
            self.0,
            "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" \
             fill=\"{colour}\"/>"
        );
    }

    fn text(&mut self, x: f64, y: f64, size: f64, colour: &str, anchor: &str, text: &str) {
        let [x, y] = [x, y].map(tenths);
        let _ = writeln!(
            self.0,
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" fill=\"{colour}\" \
             text-anchor=\"{anchor}\">{}</text>",
            escaped(text)
        );
    }

    /// The name of the well at a place, beside it toward the middle.
    fn named(&mut self, name: &str, x: f64, middle: f64) {
        let right = x > f64::midpoint(STRIP.0, STRIP.1);
        let (x, anchor) = if right { (x + 2.0, "end") } else { (x - 2.0, "start") };
        self.text(x, middle - REACH - 1.0, 10.5, INK, anchor, &short(name, LONGEST));
    }

    /// Dots on an axis, those that share a place above each other; a block where they are too
    /// many, an arrow where some lie beyond the end.
    fn dots(&mut self, marks: &[(f64, bool)], axis: &Axis, middle: f64, colour: &str) {
        #[expect(clippy::cast_possible_truncation, reason = "the strip is 530 points long")]
        let place = |v: f64| (axis.place(v) / PITCH).round() as i32;
        let mut sorted: Vec<(i32, bool)> =
            marks.iter().map(|(v, full)| (place(*v), *full)).collect();
        for side in [-1.0, 1.0] {
            if marks.iter().any(|(v, _)| v * side > axis.end()) {
                let (tip, tail) = (axis.place(side * axis.end()) + side * 12.0, side * 6.0);
                self.line([tip, middle, tip - tail, middle - 4.0], colour, 1.4);
                self.line([tip, middle, tip - tail, middle + 4.0], colour, 1.4);
            }
        }
        // Full dots stand next to the line.
        sorted.sort_unstable_by_key(|(at, full)| (*at, !full));
        for stack in sorted.chunk_by(|a, b| a.0 == b.0) {
            let x = f64::from(stack[0].0) * PITCH;
            let reach = (stack.len() - 1) as f64 * PITCH / 2.0;
            if reach > REACH {
                self.bar(x - RADIUS, middle - REACH, 2.0 * RADIUS, 2.0 * REACH, colour);
                continue;
            }
            for (k, (_, full)) in stack.iter().enumerate() {
                // From the line outward, up and down in turn.
                let step = k.div_ceil(2) as f64 * if k % 2 == 0 { 1.0 } else { -1.0 };
                let fill = if *full { colour } else { "#ffffff" };
                let _ = writeln!(
                    self.0,
                    "<circle cx=\"{}\" cy=\"{}\" r=\"{RADIUS}\" fill=\"{fill}\" \
                     stroke=\"{colour}\"/>",
                    tenths(x),
                    tenths(middle + step * PITCH)
                );
            }
        }
    }
}

/// A place on the sheet, points.
fn tenths(value: f64) -> String {
    fixed(value, 1)
}

/// Text as XML holds it.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in printable(text).chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            c => escaped.push(c),
        }
    }
    escaped
}

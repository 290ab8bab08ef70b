//! The drawing as SVG text. Every number has two decimals at most, so the bytes are stable.

use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use geo::Coord;

use super::faces::FAMILY;
use super::outline::outline;
use super::png;
use super::scene::{Colour, Item, Layer, Paint, Run, Scene, Text};
use crate::units::finite;

/// Points in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// How text is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Letters {
    /// As text, which a reader can search and copy.
    Text,
    /// As outlines, for a picture.
    Outlines,
}

/// The whole drawing.
pub(super) fn svg(scene: &Scene, letters: Letters) -> String {
    let mut out = String::with_capacity(1 << 17);
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}mm\" height=\"{}mm\" \
         viewBox=\"0 0 {} {}\" font-family=\"'{FAMILY}', sans-serif\" fill=\"none\" \
         stroke-linejoin=\"round\">",
        number(scene.width / POINTS_PER_MM),
        number(scene.height / POINTS_PER_MM),
        number(scene.width),
        number(scene.height)
    );
    let _ = writeln!(out, "<title>{}</title>", escaped(&scene.title));
    for layer in &scene.layers {
        group(layer, letters, &mut out);
    }
    out.push_str("</svg>\n");
    out
}

fn group(layer: &Layer, letters: Letters, out: &mut String) {
    let _ = writeln!(out, "<g id=\"{}\">", layer.name);
    for item in &layer.items {
        match item {
            Item::Path(runs, paint) => {
                out.push_str("<path d=\"");
                for run in runs {
                    subpath(run, out);
                }
                out.push('"');
                painted(paint, out);
            }
            Item::Circle(at, radius, paint) => {
                let (x, y, r) = (number(at.x), number(at.y), number(*radius));
                let _ = write!(out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"");
                painted(paint, out);
            }
            Item::Text(text) if letters == Letters::Outlines => outlined(text, out),
            Item::Text(text) if text.words.is_built_in() => written(text, out),
            Item::Text(text) => named(text, out),
            Item::Picture(picture) => {
                let (x, y) = (number(picture.at.x), number(picture.at.y));
                let (w, h) = (number(picture.width), number(picture.height));
                let _ = writeln!(
                    out,
                    "<image x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" \
                     preserveAspectRatio=\"none\" href=\"data:image/png;base64,{}\"/>",
                    STANDARD.encode(png::of_picture(picture))
                );
            }
        }
    }
    out.push_str("</g>\n");
}

/// A run of straight pieces, each vertex against the one before: such numbers are short.
fn subpath(run: &Run, out: &mut String) {
    let mut last: Option<(i64, i64)> = None;
    for p in &run.points {
        let here = (hundredths(p.x), hundredths(p.y));
        match last {
            None => {
                let _ = write!(out, "M{} {}", decimal(here.0), decimal(here.1));
            }
            Some(last) => {
                let (dx, dy) = (here.0 - last.0, here.1 - last.1);
                let _ = write!(out, "l{} {}", decimal(dx), decimal(dy));
            }
        }
        last = Some(here);
    }
    if run.closed {
        out.push('Z');
    }
}

fn painted(paint: &Paint, out: &mut String) {
    if let Some(fill) = paint.fill {
        let _ = write!(out, " fill=\"{}\"", colour(fill));
    }
    if let Some(stroke) = paint.stroke {
        let _ = write!(
            out,
            " stroke=\"{}\" stroke-width=\"{}\"",
            colour(stroke.colour),
            number(stroke.width)
        );
        if let Some([dash, gap]) = stroke.dash {
            let _ = write!(out, " stroke-dasharray=\"{} {}\"", number(dash), number(gap));
        }
        if stroke.round {
            out.push_str(" stroke-linecap=\"round\"");
        }
    }
    out.push_str("/>\n");
}

/// A line of text. `textLength` keeps its length where another font has to stand in.
fn written(text: &Text, out: &mut String) {
    if text.words.text().is_empty() {
        return;
    }
    let (x, y) = (number(text.at.x), number(text.at.y));
    let _ = write!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" fill=\"{}\" textLength=\"{}\"",
        number(text.size),
        colour(text.colour),
        number(text.width())
    );
    if text.bold {
        out.push_str(" font-weight=\"bold\"");
    }
    if text.angle_deg != 0.0 {
        let _ = write!(out, " transform=\"rotate({} {x} {y})\"", number(text.angle_deg));
    }
    let _ = writeln!(out, ">{}</text>", escaped(text.words.text()));
}

/// A line of text with letters of the site's fonts, as outlines that say what they are: a viewer that has another font would
/// part joined letters and stretch them to the length.
fn named(text: &Text, out: &mut String) {
    let _ = writeln!(out, "<g role=\"img\"><title>{}</title>", escaped(text.words.text()));
    outlined(text, out);
    out.push_str("</g>\n");
}

/// A line of text as outlines.
fn outlined(text: &Text, out: &mut String) {
    let mut along = 0.0;
    for run in text.words.shaped(text.bold) {
        let path = outline(&run, along / text.size);
        along += run.length(text.size);
        if path.is_empty() {
            continue;
        }
        let (x, y, scale) = (number(text.at.x), number(text.at.y), text.size / run.face.em());
        let _ =
            write!(out, "<path fill=\"{}\" transform=\"translate({x} {y})", colour(text.colour));
        if text.angle_deg != 0.0 {
            let _ = write!(out, " rotate({})", number(text.angle_deg));
        }
        let _ = writeln!(out, " scale({scale} -{scale})\" d=\"{path}\"/>");
    }
}

/// Text as it may stand in markup.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

fn colour(Colour(red, green, blue): Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// A number with two decimals at most.
fn number(value: f64) -> String {
    decimal(hundredths(value))
}

#[expect(clippy::cast_possible_truncation, reason = "a sheet is a few thousand points wide")]
pub(super) fn hundredths(value: f64) -> i64 {
    (finite(value) * 100.0).round() as i64
}

/// Hundredths as the shortest decimal.
fn decimal(hundredths: i64) -> String {
    let sign = if hundredths < 0 { "-" } else { "" };
    let (whole, rest) = (hundredths.abs() / 100, hundredths.abs() % 100);
    match (whole, rest) {
        (w, 0) => format!("{sign}{w}"),
        (0, r) if r % 10 == 0 => format!("{sign}.{}", r / 10),
        (0, r) => format!("{sign}.{r:02}"),
        (w, r) if r % 10 == 0 => format!("{sign}{w}.{}", r / 10),
        (w, r) => format!("{sign}{w}.{r:02}"),
    }
}

/// A place as it stands in the SVG, for the other formats to agree with it.
pub(super) fn rounded(p: Coord) -> Coord {
    let round = |v: f64| hundredths(v) as f64 / 100.0;
    Coord { x: round(p.x), y: round(p.y) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_exact_to_a_hundredth() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (-0.001, "0"),
            (12.0, "12"),
            (12.5, "12.5"),
            (-0.25, "-.25"),
            (-3.054, "-3.05"),
            (0.095, ".1"),
            (0.05, ".05"),
        ] {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn markup_is_escaped() {
        assert_eq!(escaped("<a href='x'>&\""), "&lt;a href=&#39;x&#39;&gt;&amp;&quot;");
    }
}

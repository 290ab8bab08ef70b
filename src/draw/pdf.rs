//! The drawing as PDF: real text, with the letters that are used embedded, for archives (PDF/A-2u) and for who has it read out
//! (PDF/UA-1).

use std::io;

use geo::Coord;
use jiff::civil::Date;
use krilla::color::rgb;
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint;
use krilla::paint::{Fill, LineCap, LineJoin, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::TagTree;
use krilla::text::{GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

use super::scene::{Colour, Item, Paint, Picture, Run, Scene, Stroke, Text};
use super::shaping::Letter;
use super::svg::rounded;
use super::tagged::Tagged;

/// How far the handles of the four curves of a circle stand out, over its radius.
const HANDLE: f64 = 0.552_284_75;

/// The language of what headfall writes.
const LANGUAGE: &str = "en";

/// Drawings as a PDF, a page for each. Holds no time of making: its date is the day of the newest level.
///
/// # Errors
/// What the PDF library says of a drawing that it cannot write.
///
/// # References
/// ISO 19005-2:2011, level U, asks for a date: without one it is PDF/UA-1 (ISO 14289-1:2014) alone.
pub(super) fn pdf(scenes: &[&Scene]) -> io::Result<Vec<u8>> {
    let other = |e: &dyn std::fmt::Debug| io::Error::other(format!("{e:?}"));
    let title = scenes.first().map_or_else(String::new, |scene| scene.title.clone());
    let mut metadata = Metadata::new()
        .title(title.clone())
        .creator(concat!("headfall ", env!("CARGO_PKG_VERSION")).to_owned())
        .language(LANGUAGE.to_owned());
    let mut configuration =
        ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1);
    if let Some(date) = scenes.first().and_then(|scene| scene.day).and_then(date) {
        metadata = metadata.creation_date(date);
        configuration = configuration.with_archival_validator(Archival::A2_U);
    }
    let configuration = configuration.finish().map_err(|e| other(&e))?;
    let settings = SerializeSettings { configuration, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let mut tree = TagTree::new().with_lang(Some(LANGUAGE.to_owned()));
    let mut outline = Outline::new();
    for (i, scene) in scenes.iter().enumerate() {
        page(&mut document, scene, i, &mut tree)?;
        let name = if i == 0 { title.clone() } else { format!("Page {}", i + 1) };
        let top = XyzDestination::new(i, Point::from_xy(0.0, 0.0));
        outline.push_child(OutlineNode::new(name, top));
    }
    document.set_metadata(metadata);
    document.set_outline(outline);
    document.set_tag_tree(tree);
    document.finish().map_err(|e| other(&e))
}

/// A day as a PDF has it.
fn date(day: Date) -> Option<DateTime> {
    let part = |v: i8| u8::try_from(v).ok();
    Some(
        DateTime::new(u16::try_from(day.year()).ok()?)
            .month(part(day.month())?)
            .day(part(day.day())?),
    )
}

fn page(
    document: &mut Document,
    scene: &Scene,
    number: usize,
    tree: &mut TagTree,
) -> io::Result<()> {
    let [width, height] = [scene.width, scene.height].map(single);
    let page = PageSettings::from_wh(width, height)
        .ok_or_else(|| io::Error::other("the sheet has no size"))?;
    let mut page = document.start_page_with(page);
    let mut surface = page.surface();
    let paper = Rect::from_xywh(0.0, 0.0, width, height);
    let mut tagged = Tagged::new(&scene.alternative, number, paper);
    for layer in &scene.layers {
        tagged.layer(&mut surface, layer, drawn);
    }
    surface.finish();
    page.finish();
    tagged.read_out(tree);
    Ok(())
}

fn drawn(surface: &mut Surface, item: &Item) {
    match item {
        Item::Path(runs, paint) => painted(surface, outline(runs), paint),
        Item::Circle(at, radius, paint) => painted(surface, circle(*at, *radius), paint),
        Item::Text(text) => written(surface, text),
        Item::Picture(picture) => shown(surface, picture),
    }
}

#[expect(clippy::cast_possible_truncation, reason = "PDF numbers are single")]
const fn single(value: f64) -> f32 {
    value as f32
}

fn point(p: Coord) -> Point {
    let p = rounded(p);
    Point::from_xy(single(p.x), single(p.y))
}

fn outline(runs: &[Run]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for run in runs {
        for (i, p) in run.points.iter().enumerate() {
            let p = point(*p);
            if i == 0 {
                path.move_to(p.x, p.y);
            } else {
                path.line_to(p.x, p.y);
            }
        }
        if run.closed {
            path.close();
        }
    }
    path.finish()
}

fn circle(at: Coord, radius: f64) -> Option<Path> {
    let mut path = PathBuilder::new();
    let to = |x: f64, y: f64| (single(at.x + radius * x), single(at.y + radius * y));
    let start = to(1.0, 0.0);
    path.move_to(start.0, start.1);
    for (x, y) in [(0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 0.0)] {
        // A quarter turn back from the end is the start of this curve.
        let (from_x, from_y) = (y, -x);
        let first = to(from_x + HANDLE * x, from_y + HANDLE * y);
        let second = to(x + HANDLE * from_x, y + HANDLE * from_y);
        let end = to(x, y);
        path.cubic_to(first.0, first.1, second.0, second.1, end.0, end.1);
    }
    path.close();
    path.finish()
}

fn colour(Colour(red, green, blue): Colour) -> paint::Paint {
    rgb::Color::new(red, green, blue).into()
}

fn filled(with: Colour) -> Fill {
    Fill { paint: colour(with), ..Fill::default() }
}

fn stroked(stroke: Stroke) -> paint::Stroke {
    paint::Stroke {
        paint: colour(stroke.colour),
        width: single(stroke.width),
        line_cap: if stroke.round { LineCap::Round } else { LineCap::Butt },
        line_join: LineJoin::Round,
        opacity: NormalizedF32::ONE,
        dash: stroke.dash.map(|dash| StrokeDash { array: dash.map(single).to_vec(), offset: 0.0 }),
        ..paint::Stroke::default()
    }
}

fn painted(surface: &mut Surface, path: Option<Path>, paint: &Paint) {
    let Some(path) = path else { return };
    surface.set_fill(paint.fill.map(filled));
    surface.set_stroke(paint.stroke.map(stroked));
    surface.draw_path(&path);
}

fn written(surface: &mut Surface, text: &Text) {
    surface.set_fill(Some(filled(text.colour)));
    surface.set_stroke(None);
    let at = point(text.at);
    let turned = text.angle_deg != 0.0;
    if turned {
        let turn = Transform::from_rotate_at(single(text.angle_deg), at.x, at.y);
        surface.push_transform(&turn);
    }
    let mut along = 0.0;
    for run in text.words.shaped(text.bold) {
        let glyphs: Vec<KrillaGlyph> = run.letters.iter().map(glyph).collect();
        let from = Point::from_xy(at.x + single(along), at.y);
        along += run.length(text.size);
        let font = run.face.embedded().clone();
        surface.draw_glyphs(from, &glyphs, font, text.words.text(), single(text.size), false);
    }
    if turned {
        surface.pop();
    }
}

fn glyph(letter: &Letter) -> KrillaGlyph {
    KrillaGlyph {
        glyph_id: GlyphId::new(letter.glyph),
        text_range: letter.bytes.clone(),
        x_advance: single(letter.advance),
        x_offset: single(letter.offset[0]),
        y_offset: single(letter.offset[1]),
        y_advance: 0.0,
        location: None,
    }
}

fn shown(surface: &mut Surface, picture: &Picture) {
    let Some(size) = Size::from_wh(single(picture.width), single(picture.height)) else { return };
    let image = Image::from_rgba8(picture.dots.clone(), picture.columns, picture.rows);
    let at = point(picture.at);
    surface.push_transform(&Transform::from_translate(at.x, at.y));
    surface.draw_image(image, size);
    surface.pop();
}

//! The drawing as PDF: real text, with the letters that are used embedded.

use std::io;

use geo::Coord;
use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Size, Transform};
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint;
use krilla::paint::{Fill, LineCap, LineJoin, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{GlyphId, KrillaGlyph};

use super::scene::{Colour, Item, Paint, Picture, Run, Scene, Stroke, Text};
use super::shaping::Letter;
use super::svg::rounded;

/// How far the handles of the four curves of a circle stand out, over its radius.
const HANDLE: f64 = 0.552_284_75;

/// Drawings as a PDF, a page for each. Holds no time of making.
///
/// # Errors
/// What the PDF library says of a drawing that it cannot write.
pub(super) fn pdf(scenes: &[&Scene]) -> io::Result<Vec<u8>> {
    let mut document = Document::new();
    for scene in scenes {
        page(&mut document, scene)?;
    }
    let title = scenes.first().map_or_else(String::new, |scene| scene.title.clone());
    document.set_metadata(
        Metadata::new()
            .title(title)
            .creator(format!("headfall {}", env!("CARGO_PKG_VERSION")))
            .language("en".to_owned()),
    );
    document.finish().map_err(|e| io::Error::other(format!("{e:?}")))
}

fn page(document: &mut Document, scene: &Scene) -> io::Result<()> {
    let [width, height] = [scene.width, scene.height].map(single);
    let page = PageSettings::from_wh(width, height)
        .ok_or_else(|| io::Error::other("the sheet has no size"))?;
    let mut page = document.start_page_with(page);
    let mut surface = page.surface();
    for item in scene.layers.iter().flat_map(|layer| &layer.items) {
        match item {
            Item::Path(runs, paint) => painted(&mut surface, outline(runs), paint),
            Item::Circle(at, radius, paint) => painted(&mut surface, circle(*at, *radius), paint),
            Item::Text(text) => written(&mut surface, text),
            Item::Picture(picture) => shown(&mut surface, picture),
        }
    }
    surface.finish();
    page.finish();
    Ok(())
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

//! Lines of text as outlines, for drawings in which no font may be asked for.

use std::fmt::Write as _;

use skrifa::instance::Size;
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{GlyphId, MetadataProvider};

use super::shaping::Shaped;

/// The outline of letters for an SVG path, in units of their font with `y` up, as far to the right as they begin, parts of
/// their em.
///
/// A glyph whose outline is damaged leaves its place empty.
pub(super) fn outline(shaped: &Shaped<'_>, from: f64) -> String {
    let (font, em) = (shaped.face.font(), shaped.face.em());
    let glyphs = font.outline_glyphs();
    let mut pen = Pen { path: String::new(), from: [0.0; 2] };
    let mut start = from * em;
    for letter in &shaped.letters {
        pen.from = [start + letter.offset[0] * em, letter.offset[1] * em];
        start += letter.advance * em;
        if let Some(glyph) = glyphs.get(GlyphId::new(letter.glyph)) {
            let settings = DrawSettings::unhinted(Size::unscaled(), shaped.face.location());
            let before = pen.path.len();
            if glyph.draw(settings, &mut pen).is_err() {
                pen.path.truncate(before);
            }
        }
    }
    pen.path
}

/// Writes outlines as commands of an SVG path.
struct Pen {
    path: String,
    /// Where the letter stands.
    from: [f64; 2],
}

impl Pen {
    fn add(&mut self, command: char, points: &[(f32, f32)]) {
        self.path.push(command);
        for (x, y) in points {
            let (x, y) = (self.from[0] + f64::from(*x), self.from[1] + f64::from(*y));
            let _ = write!(self.path, " {x} {y}");
        }
    }
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.add('M', &[(x, y)]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.add('L', &[(x, y)]);
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.add('Q', &[(cx, cy), (x, y)]);
    }

    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        self.add('C', &[(ax, ay), (bx, by), (x, y)]);
    }

    fn close(&mut self) {
        self.path.push('Z');
    }
}

//! A line of text in glyphs: parted by direction, font and script, from left to right.

use std::ops::Range;

use harfrust::{Direction, UnicodeBuffer};
use unicode_bidi::{BidiInfo, Level};
use unicode_script::{Script, UnicodeScript};
use unicode_segmentation::UnicodeSegmentation;

use super::faces::{Which, Writers};
use crate::read::{Face, SheetFont};

/// How a line of text runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Flow {
    /// As its first letter does: a name, or what somebody wrote.
    Own,
    /// A sentence of headfall's, from left to right, whatever names are in it.
    LeftToRight,
    /// From right to left: a line of what somebody wrote so.
    RightToLeft,
}

impl Flow {
    /// That of a text, for lines of it.
    pub(super) fn of(self, text: &str) -> Self {
        let first = || BidiInfo::new(text, None).paragraphs.first().map(|p| p.level.is_rtl());
        match self {
            Self::Own if first() == Some(true) => Self::RightToLeft,
            Self::Own => Self::Own,
            other => other,
        }
    }
}

/// A letter of a line of text, in parts of the em.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Letter {
    /// Its number in the font.
    pub(super) glyph: u32,
    /// The bytes of the text that it stands for.
    pub(super) bytes: Range<usize>,
    /// From its start to that of the next one.
    pub(super) advance: f64,
    /// From its start to where it is drawn, to the right and up.
    pub(super) offset: [f64; 2],
}

/// Letters of one font, from left to right.
#[derive(Debug)]
pub(super) struct Shaped<'a> {
    pub(super) face: &'a Face,
    pub(super) letters: Vec<Letter>,
    /// Its length, units of the font.
    units: i32,
}

impl Shaped<'_> {
    /// Its length in letters of a size, points.
    pub(super) fn length(&self, size: f64) -> f64 {
        f64::from(self.units) * size / self.face.em()
    }
}

/// A stretch of text of one direction, font and script.
#[derive(Debug, Clone, PartialEq)]
struct Stretch {
    bytes: Range<usize>,
    level: Level,
    which: Which,
    script: Script,
}

/// Text that the built-in letters write, from left to right.
pub(super) fn plain(text: &str, bold: bool) -> Vec<Shaped<'static>> {
    let face = Which::BuiltIn.face(&[], bold);
    vec![shaped(text, 0..text.len(), face, Direction::LeftToRight)]
}

/// Text in the letters of several fonts, in the order in which it is seen.
///
/// # References
/// Unicode Standard Annex #9, the bidirectional algorithm; #29 for what is read as one character.
pub(super) fn runs<'a>(
    text: &str,
    flow: Flow,
    letters: &'a [SheetFont],
    bold: bool,
) -> Vec<Shaped<'a>> {
    let stretches = stretches(text, flow, letters);
    let levels: Vec<Level> = stretches.iter().map(|s| s.level).collect();
    let shaped = BidiInfo::reorder_visual(&levels).into_iter().map(|i| {
        let Stretch { bytes, level, which, .. } = stretches[i].clone();
        let direction =
            if level.is_rtl() { Direction::RightToLeft } else { Direction::LeftToRight };
        shaped(text, bytes, which.face(letters, bold), direction)
    });
    shaped.collect()
}

fn stretches(text: &str, flow: Flow, letters: &[SheetFont]) -> Vec<Stretch> {
    let levels = levels(text, flow);
    let writers = Writers::of(letters);
    let mut stretches: Vec<Stretch> = Vec::new();
    for (start, cluster) in text.grapheme_indices(true) {
        let bytes = start..start + cluster.len();
        let which = writers.of_cluster(cluster).unwrap_or(Which::BuiltIn);
        let script = script(cluster);
        let level = levels[start];
        if let Some(last) = stretches.last_mut()
            && (last.level, last.which) == (level, which)
            && (which == Which::BuiltIn
                || [script, last.script].contains(&Script::Common)
                || script == last.script)
        {
            last.bytes.end = bytes.end;
            if last.script == Script::Common {
                last.script = script;
            }
        } else {
            stretches.push(Stretch { bytes, level, which, script });
        }
    }
    stretches
}

/// The script of what is read as one character; common to all for punctuation and digits.
fn script(cluster: &str) -> Script {
    let of_one = cluster.chars().map(|c| c.script());
    of_one.into_iter().find(|s| *s != Script::Inherited).unwrap_or(Script::Common)
}

/// The level of each byte: even from left to right, odd from right to left.
///
/// In a sentence of headfall's the parts between its commas, colons, semicolons and full stops are set each by itself, so
/// that names keep their order, and a number stays behind the name it follows.
///
/// # References
/// Unicode Standard Annex #9, HL4, for texts that are made of parts.
fn levels(text: &str, flow: Flow) -> Vec<Level> {
    let of = |text: &str, level| {
        let info = BidiInfo::new(text, level);
        let lines = info.paragraphs.iter();
        lines
            .flat_map(|line| {
                info.reordered_levels(line, line.range.clone())[line.range.clone()].to_vec()
            })
            .collect()
    };
    match flow {
        Flow::Own => of(text, None),
        Flow::RightToLeft => of(text, Some(Level::rtl())),
        Flow::LeftToRight => {
            let mut levels: Vec<Level> = Vec::with_capacity(text.len());
            for part in parts(text) {
                levels.extend::<Vec<Level>>(of(part, Some(Level::ltr())));
            }
            levels
        }
    }
}

/// A sentence in its parts, each with the mark and the space that end it.
fn parts(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let ends = rest.match_indices(", ").chain(rest.match_indices(": "));
        let ends = ends.chain(rest.match_indices("; ")).chain(rest.match_indices(". "));
        let end = ends.map(|(at, mark)| at + mark.len()).min().unwrap_or(rest.len());
        let (part, more) = rest.split_at(end);
        rest = more;
        Some(part)
    })
}

/// Glyphs of a part of a text, and their places.
fn shaped<'a>(text: &str, part: Range<usize>, face: &'a Face, direction: Direction) -> Shaped<'a> {
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(&text[part.clone()]);
    buffer.set_pre_context(&text[..part.start]);
    buffer.set_post_context(&text[part.end..]);
    buffer.set_direction(direction);
    buffer.guess_segment_properties();
    let glyphs = face.shape(buffer);
    let infos = glyphs.glyph_infos();
    let em = face.em();
    // A cluster ends where the next one of the text begins, which may be to its left.
    let mut starts: Vec<usize> = infos.iter().map(|i| i.cluster as usize).collect();
    starts.sort_unstable();
    let end = |start: usize| {
        let next = starts.partition_point(|s| *s <= start);
        starts.get(next).copied().unwrap_or(part.len())
    };
    let letters = infos.iter().zip(glyphs.glyph_positions()).map(|(info, position)| {
        let start = info.cluster as usize;
        Letter {
            glyph: info.glyph_id,
            bytes: part.start + start..part.start + end(start),
            advance: f64::from(position.x_advance) / em,
            offset: [position.x_offset, position.y_offset].map(|v| f64::from(v) / em),
        }
    });
    let letters = letters.collect();
    let units = glyphs.glyph_positions().iter().map(|p| p.x_advance).sum();
    Shaped { face, letters, units }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::faces::fonts;

    /// The glyphs of a line from left to right.
    fn glyphs(text: &str, flow: Flow, files: &[&str]) -> Vec<Letter> {
        runs(text, flow, &fonts(files), false).into_iter().flat_map(|run| run.letters).collect()
    }

    /// What is read from left to right, cluster by cluster.
    fn seen(text: &str, flow: Flow, files: &[&str]) -> String {
        let mut letters = glyphs(text, flow, files);
        letters.dedup_by(|a, b| a.bytes == b.bytes);
        letters.iter().map(|l| &text[l.bytes.clone()]).collect()
    }

    #[test]
    fn glyphs_are_those_of_harfbuzz() {
        // tests/data/fonts/subsets.py: HarfBuzz by uharfbuzz 0.57.0, glyph, cluster, advance and offsets in thousandths.
        type Row = (String, String, Vec<(u32, usize, f64, f64, f64)>);
        let rows: Vec<Row> =
            serde_json::from_str(include_str!("../../tests/data/fonts/shaped.json")).expect("rows");
        assert_eq!(rows.len(), 8);
        for (file, text, expected) in rows {
            // Words are shaped one by one here: the space between them is a built-in one.
            let found = glyphs(&text, Flow::Own, &[&file]);
            assert_eq!(found.len(), expected.len(), "{text}");
            let near = |a: f64, b: f64| (a * 1000.0 - b).abs() < 1e-6;
            for (letter, (glyph, cluster, advance, x, y)) in found.iter().zip(expected) {
                assert_eq!(letter.bytes.start, cluster, "{text}");
                if &text[letter.bytes.clone()] == " " {
                    continue;
                }
                assert_eq!(letter.glyph, glyph, "{text}");
                assert!(near(letter.advance, advance), "{text}: {letter:?}");
                assert!(
                    near(letter.offset[0], x) && near(letter.offset[1], y),
                    "{text}: {letter:?}"
                );
            }
        }
    }

    #[test]
    fn numbers_in_names_from_right_to_left_keep_their_digits() {
        // Unicode Standard Annex #9: Hebrew is level 1, the hyphen between it and a number too, digits level 2.
        for (text, from_left) in [
            ("בור-7", "7-רוב"),
            ("בור 123", "123 רוב"),
            ("MW-7", "MW-7"),
            ("בור MW-7 א", "א MW-7 רוב"),
            ("MW-7 בור", "MW-7 רוב"),
            // Brackets are mirrored, so that they still open toward what they hold.
            ("בור (א)", "(א) רוב"),
        ] {
            let seen = seen(text, Flow::Own, &["hebrew.ttf"]);
            let mirrored = seen.replace('(', "<").replace(')', "(").replace('<', ")");
            assert!(seen == from_left || mirrored == from_left, "{text}: {seen}");
        }
    }

    #[test]
    fn names_in_a_sentence_keep_their_order() {
        for (text, from_left) in [
            ("בור-7, בור-8: dry", "7-רוב, 8-רוב: dry"),
            ("not read: בור צפוני; בור א", "not read: ינופצ רוב; א רוב"),
        ] {
            assert_eq!(seen(text, Flow::LeftToRight, &["hebrew.ttf"]), from_left);
        }
        // As words of their own they run from right to left as a whole.
        assert_eq!(seen("בור-7, בור-8", Flow::Own, &["hebrew.ttf"]), "8-רוב ,7-רוב");
    }

    #[test]
    fn the_first_font_that_has_a_letter_writes_it() {
        let letters = fonts(&["thai.ttf", "hebrew.ttf"]);
        let found = runs("א บ่อ MW", Flow::LeftToRight, &letters, false);
        let which: Vec<*const Face> =
            found.iter().map(|run| std::ptr::from_ref(run.face)).collect();
        let face = |which: Which| std::ptr::from_ref(which.face(&letters, false));
        let [built_in, thai, hebrew] = [Which::BuiltIn, Which::Named(0), Which::Named(1)].map(face);
        assert_eq!(which, [hebrew, built_in, thai, built_in]);
    }
}

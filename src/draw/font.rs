//! The bundled letters: what can be written with them and how long it becomes.
//!
//! Only this family is ever used, so a sheet looks the same on every machine. What it has no glyph
//! for is written as the character's code point between angle quotes, `‹5317›`: two names that
//! differ stay different.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::ops::Range;
use std::sync::LazyLock;

use harfrust::{FontRef, GlyphBuffer, ShapeOptions, ShaperData, UnicodeBuffer};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{GlyphId, MetadataProvider};

/// The family's name.
pub(super) const FAMILY: &str = "Noto Sans";

/// The regular and the bold letters.
pub(super) static FILES: [&[u8]; 2] =
    [include_bytes!("fonts/NotoSans-Regular.ttf"), include_bytes!("fonts/NotoSans-Bold.ttf")];

/// One weight of the letters, read once.
struct Face {
    font: FontRef<'static>,
    shaping: ShaperData,
    /// Units of the font in an em.
    em: f64,
}

impl Face {
    /// Glyphs and their places.
    fn shape(&self, words: &Words) -> GlyphBuffer {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&words.0);
        buffer.guess_segment_properties();
        self.shaping.shaper(&self.font).build().shape(buffer, ShapeOptions::new())
    }
}

static FACES: LazyLock<[Face; 2]> = LazyLock::new(|| {
    FILES.map(|file| {
        let font = FontRef::new(file).expect("this is a bug in headfall: its font is not one");
        let shaping = ShaperData::new(&font);
        let em = f64::from(shaping.shaper(&font).build().units_per_em());
        Face { font, shaping, em }
    })
});

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

/// A line of text in letters, kerned.
pub(super) fn letters(words: &Words, bold: bool) -> Vec<Letter> {
    let face = &FACES[usize::from(bold)];
    let (shaped, em) = (face.shape(words), face.em);
    let infos = shaped.glyph_infos();
    let ends = infos.iter().skip(1).map(|i| i.cluster as usize).chain([words.0.len()]);
    infos
        .iter()
        .zip(shaped.glyph_positions())
        .zip(ends)
        .map(|((info, position), end)| Letter {
            glyph: info.glyph_id,
            bytes: info.cluster as usize..end,
            advance: f64::from(position.x_advance) / em,
            offset: [position.x_offset, position.y_offset].map(|v| f64::from(v) / em),
        })
        .collect()
}

/// How far each letter of a line of text takes the next one, in parts of the em.
pub(super) fn advances(words: &Words, bold: bool) -> Vec<f64> {
    letters(words, bold).into_iter().map(|letter| letter.advance).collect()
}

/// The outline of a line of text for an SVG path, in units of the font with `y` up, and how many of
/// these are an em.
pub(super) fn outline(words: &Words, bold: bool) -> (String, f64) {
    let Face { font, em, .. } = &FACES[usize::from(bold)];
    let glyphs = font.outline_glyphs();
    let mut pen = Pen { path: String::new(), from: [0.0; 2] };
    let mut start = 0.0;
    for letter in letters(words, bold) {
        pen.from = [start + letter.offset[0] * em, letter.offset[1] * em];
        start += letter.advance * em;
        let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
        if let Some(glyph) = glyphs.get(GlyphId::new(letter.glyph)) {
            let drawn = glyph.draw(settings, &mut pen);
            drawn.expect("this is a bug in headfall: a letter of its font has no outline");
        }
    }
    (pen.path, *em)
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

/// Height of capitals and digits over the em.
pub(super) const CAPITALS: f64 = 0.714;

/// Text that can be written with the bundled letters, on one line and from left to right.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Words(String);

impl Words {
    /// Whatever a user's file says, made writable. White space becomes single spaces.
    pub(super) fn new(text: &str) -> Self {
        let mut words = String::with_capacity(text.len());
        for c in text.split_whitespace().flat_map(|word| word.chars().chain([' '])) {
            if is_written(c) {
                words.push(c);
            } else {
                let _ = write!(words, "‹{:04X}›", u32::from(c));
            }
        }
        words.truncate(words.trim_end().len());
        Self(words)
    }

    pub(super) fn text(&self) -> &str {
        &self.0
    }

    /// These words, shortened to a length by leaving out their middle: names on a site mostly
    /// differ at one of their ends.
    ///
    /// Three parts of what is kept stand before the ellipsis and two after it.
    pub(super) fn fitted(self, length: f64, size: f64, bold: bool) -> Self {
        if loose_width(&self.0, size, bold) <= length || width(&self, size, bold) <= length {
            return self;
        }
        let letters: Vec<char> = self.0.chars().collect();
        let shortened = |kept: usize| {
            let before = (kept * 3).div_ceil(5);
            let (head, tail) = (&letters[..before], &letters[letters.len() - (kept - before)..]);
            let join = |part: &[char]| part.iter().collect::<String>();
            Self(format!("{}…{}", join(head).trim_end(), join(tail).trim_start()))
        };
        // The longest that fits: lengths grow with the letters kept.
        let (mut fits, mut too_long) = (0, letters.len());
        while too_long - fits > 1 {
            let middle = usize::midpoint(fits, too_long);
            if width(&shortened(middle), size, bold) <= length {
                fits = middle;
            } else {
                too_long = middle;
            }
        }
        shortened(fits)
    }
}

/// Bold names shortened to a length so that names that differ stay different: where leaving out the
/// middle makes several alike, the part that tells them apart is kept, with as much of both ends as
/// fits. A name that cannot be told apart in that length is written whole.
pub(super) fn fitted_apart<'a>(
    names: impl Iterator<Item = &'a str>,
    length: f64,
    size: f64,
) -> Vec<Words> {
    let whole: Vec<Words> = names.map(Words::new).collect();
    let mut fitted: Vec<Words> =
        whole.iter().map(|name| name.clone().fitted(length, size, true)).collect();
    for group in alike(&whole, &fitted) {
        let letters: Vec<Vec<char>> = group.iter().map(|i| whole[*i].0.chars().collect()).collect();
        let (before, after) = in_common(&letters);
        for (i, letters) in group.iter().zip(&letters) {
            let (head, rest) = letters.split_at(before);
            let (own, tail) = rest.split_at(rest.len() - after);
            fitted[*i] = around(head, own, tail, length, size);
        }
    }
    for i in alike(&whole, &fitted).into_iter().flatten() {
        fitted[i] = whole[i].clone();
    }
    fitted
}

/// Groups of names that differ and have become alike.
fn alike(whole: &[Words], fitted: &[Words]) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<&Words, Vec<usize>> = BTreeMap::new();
    for (i, words) in fitted.iter().enumerate() {
        groups.entry(words).or_default().push(i);
    }
    let differ = |group: &Vec<usize>| group.iter().any(|i| whole[*i] != whole[group[0]]);
    groups.into_values().filter(differ).collect()
}

/// How many letters all have in common at their beginning and at their end, up to the words in
/// which they differ.
fn in_common(names: &[Vec<char>]) -> (usize, usize) {
    let first = &names[0];
    let shortest = names.iter().map(Vec::len).min().unwrap_or(0);
    let same = |k: usize, from_end: bool| {
        let letter = |n: &Vec<char>| if from_end { n[n.len() - 1 - k] } else { n[k] };
        names.iter().all(|n| letter(n) == letter(first))
    };
    let mut before = (0..shortest).take_while(|k| same(*k, false)).count();
    let mut after = (0..shortest - before).take_while(|k| same(*k, true)).count();
    let part_of_word = |c: char| c.is_alphanumeric();
    while before > 0 && part_of_word(first[before - 1]) {
        before -= 1;
    }
    while after > 0 && part_of_word(first[first.len() - after]) {
        after -= 1;
    }
    (before, after)
}

/// A name's own part with as much of what stands before and after it as fits.
fn around(head: &[char], own: &[char], tail: &[char], length: f64, size: f64) -> Words {
    let text = |part: &[char]| part.iter().collect::<String>();
    let with = |kept: usize| {
        let before = (kept * 3).div_ceil(5).min(head.len());
        let after = (kept - before).min(tail.len());
        let (mut start, mut end) = (text(&head[..before]), text(&tail[tail.len() - after..]));
        if before < head.len() {
            start = format!("{}…", start.trim_end());
        }
        if after < tail.len() {
            end = format!("…{}", end.trim_start());
        }
        Words(format!("{start}{}{end}", text(own)))
    };
    let fits = |kept: &usize| width(&with(*kept), size, true) <= length;
    let kept = (0..=head.len() + tail.len()).take_while(fits).last();
    kept.map_or_else(|| Words(text(own)).fitted(length, size, true), with)
}

/// Whether the bundled letters have a glyph for a character, in both weights.
fn is_written(c: char) -> bool {
    !c.is_control() && FACES.iter().all(|face| face.font.charmap().map(c).is_some())
}

/// The length of a line of text, points.
pub(super) fn width(words: &Words, size: f64, bold: bool) -> f64 {
    let face = &FACES[usize::from(bold)];
    let units: i32 = face.shape(words).glyph_positions().iter().map(|p| p.x_advance).sum();
    f64::from(units) * size / face.em
}

/// The length of a line of text without kerning, which as a rule makes lines shorter, points: many
/// times quicker than [`width`].
fn loose_width(text: &str, size: f64, bold: bool) -> f64 {
    let Face { font, em, .. } = &FACES[usize::from(bold)];
    let (charmap, metrics) =
        (font.charmap(), font.glyph_metrics(Size::unscaled(), LocationRef::default()));
    let advance = |c| charmap.map(c).and_then(|glyph| metrics.advance_width(glyph));
    let units: f64 = text.chars().filter_map(advance).map(f64::from).sum();
    units * size / em
}

/// Text broken into lines no longer than `length`, a little more where kerning widens one. A word
/// that is longer is shortened.
pub(super) fn lines(text: &str, length: f64, size: f64, bold: bool) -> Vec<Words> {
    let mut lines: Vec<Words> = Vec::new();
    let mut line = String::new();
    let mut filled = 0.0;
    let space = loose_width(" ", size, bold);
    let mut finish = |line: &mut String, filled: f64| {
        let words = Words(std::mem::take(line));
        lines.push(if filled > length { words.fitted(length, size, bold) } else { words });
    };
    for word in Words::new(text).0.split(' ') {
        let wide = loose_width(word, size, bold);
        if !line.is_empty() && filled + space + wide > length {
            finish(&mut line, filled);
        }
        if line.is_empty() {
            filled = wide;
        } else {
            line.push(' ');
            filled += space + wide;
        }
        line.push_str(word);
    }
    finish(&mut line, filled);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_glyph_becomes_its_code_point() {
        for (given, written) in [
            ("MW-1", "MW-1"),
            ("Brunnen Süd", "Brunnen Süd"),
            ("Скв. 7", "Скв. 7"),
            ("北井-1", "‹5317›‹4E95›-1"),
            ("\u{202e}drow\u{7}", "‹202E›drow‹0007›"),
            ("a\n\tb  c ", "a b c"),
            ("<b>&\"'", "<b>&\"'"),
            ("בְּ", "‹05D1›‹05B0›‹05BC›"),
            ("😀", "‹1F600›"),
            ("", ""),
        ] {
            assert_eq!(Words::new(given).text(), written);
        }
    }

    #[test]
    fn long_names_lose_their_middle_and_fit() {
        let long = Words::new("Monitoring well behind the old pump house, nest 2, shallow");
        for length in [10.0, 30.0, 60.0, 100.0] {
            let short = long.clone().fitted(length, 6.0, true);
            assert!(width(&short, 6.0, true) <= length, "{} in {length}", short.text());
            assert!(short.text().contains('…'));
        }
        let short = long.fitted(100.0, 6.0, true);
        assert!(short.text().starts_with("Monitoring"), "{}", short.text());
        assert!(short.text().ends_with("shallow"), "{}", short.text());
        let fitting = Words::new("MW-1");
        assert_eq!(fitting.clone().fitted(100.0, 6.0, false), fitting);
    }

    #[test]
    fn long_names_keep_what_tells_them_apart() {
        let names: Vec<String> = (1..=12)
            .map(|k| format!("Monitoring well {k:02} behind the old boiler house"))
            .chain(["B-1".to_owned(), "OBS 3 Shallow interval of the terrace gravel".to_owned()])
            .collect();
        let fitted = fitted_apart(names.iter().map(String::as_str), 62.0, 6.2);
        let different: std::collections::BTreeSet<_> = fitted.iter().collect();
        assert_eq!(different.len(), names.len(), "{fitted:?}");
        for (k, words) in fitted.iter().take(12).enumerate() {
            assert!(words.text().contains(&format!("{:02}", k + 1)), "{}", words.text());
            assert!(words.text().starts_with('M'), "{}", words.text());
            assert!(width(words, 6.2, true) <= 62.0, "{}", words.text());
        }
        assert_eq!(fitted[12], Words::new("B-1"));
    }

    #[test]
    fn lines_break_at_spaces_and_keep_every_word() {
        let text = "Flow is drawn at right angles to the contours, as in an isotropic aquifer.";
        let broken = lines(text, 80.0, 7.0, false);
        assert!(broken.len() > 2);
        assert!(broken.iter().all(|l| width(l, 7.0, false) <= 80.0));
        let joined: Vec<&str> = broken.iter().map(Words::text).collect();
        assert_eq!(joined.join(" "), text);
    }

    #[test]
    fn digits_are_as_wide_as_the_font_says() {
        // Noto Sans: every digit advances 572 of 1000 units.
        let digits = Words::new("0123456789");
        assert!((width(&digits, 10.0, false) - 57.2).abs() < 1e-9);
    }
}

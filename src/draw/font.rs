//! Words: what can be written on a sheet and how long it becomes.
//!
//! Only the built-in letters and those of the site's fonts are ever used, so a sheet looks the same on every machine. What
//! they have no glyph for is written as the character's code point between angle quotes, `‹5317›`: two names that
//! differ stay different.

use std::fmt::Write as _;

use skrifa::MetadataProvider;
use skrifa::instance::Size;
use unicode_script::{Script, UnicodeScript};
use unicode_segmentation::UnicodeSegmentation;

use super::faces::{Letters, Which, Writers};
use super::shaping;
use super::shaping::{Flow, Shaped};

/// Height of capitals and digits over the em.
pub(super) const CAPITALS: f64 = 0.714;

/// Text that can be written, on one line.
#[derive(Debug, Clone)]
pub(super) struct Words {
    text: String,
    /// Further fonts and the way it runs; `None` where the built-in letters are enough, which all run from left to right.
    set: Option<(Letters, Flow)>,
    /// Whether characters became code points.
    unwritten: bool,
}

impl PartialEq for Words {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl Words {
    /// Headfall's own words and numbers, in the built-in letters.
    pub(super) fn new(text: &str) -> Self {
        Self::written(text, None, Flow::LeftToRight)
    }

    /// A name, or other words of a user's file, in the letters there are: they run as their first letter does.
    pub(super) fn of(text: &str, letters: &Letters) -> Self {
        Self::written(text, Some(letters), Flow::Own)
    }

    /// A sentence of headfall's with names in it, in the letters there are, from left to right.
    pub(super) fn sentence(text: &str, letters: &Letters) -> Self {
        Self::written(text, Some(letters), Flow::LeftToRight)
    }

    /// Any text, made writable. White space becomes single spaces.
    fn written(text: &str, letters: Option<&Letters>, flow: Flow) -> Self {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let writers = Writers::of(letters.map_or(&[], |letters| letters));
        if text.chars().all(|c| writers.is_built_in(c)) {
            return Self { text, set: None, unwritten: false };
        }
        let (mut words, mut further, mut unwritten) = (String::new(), false, false);
        for cluster in text.graphemes(true) {
            if let Some(which) = writers.of_cluster(cluster) {
                further |= which != Which::BuiltIn;
                words.push_str(cluster);
                continue;
            }
            // Marks on a letter are seen with it or not at all.
            for (k, c) in cluster.chars().enumerate() {
                let alone = writers.of_cluster(c.encode_utf8(&mut [0; 4])).filter(|_| k == 0);
                if let Some(which) = alone {
                    further |= which != Which::BuiltIn;
                    words.push(c);
                } else {
                    unwritten = true;
                    let _ = write!(words, "‹{:04X}›", u32::from(c));
                }
            }
        }
        let set = letters.filter(|_| further).map(|letters| (letters.clone(), flow));
        Self { text: words, set, unwritten }
    }

    /// A part of these words, or several with an ellipsis.
    pub(super) fn part(&self, text: String) -> Self {
        Self { text, ..self.clone() }
    }

    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// Whether characters became code points, as no font has them.
    pub(super) const fn is_unwritten(&self) -> bool {
        self.unwritten
    }

    /// Whether they are in the built-in letters alone.
    pub(super) const fn is_built_in(&self) -> bool {
        self.set.is_none()
    }

    /// Their letters, from left to right, those of each font together.
    pub(super) fn shaped(&self, bold: bool) -> Vec<Shaped<'_>> {
        match &self.set {
            None => shaping::plain(&self.text, bold),
            Some((letters, flow)) => shaping::runs(&self.text, *flow, letters, bold),
        }
    }

    /// These words, shortened to a length by leaving out their middle: names on a site mostly
    /// differ at one of their ends.
    ///
    /// Three parts of what is kept stand before the ellipsis and two after it. What is read as one character stays whole.
    pub(super) fn fitted(self, length: f64, size: f64, bold: bool) -> Self {
        if loose_width(&self, size, bold) <= length || width(&self, size, bold) <= length {
            return self;
        }
        let letters: Vec<&str> = self.text.graphemes(true).collect();
        let shortened = |kept: usize| {
            let before = (kept * 3).div_ceil(5);
            let (head, tail) = (&letters[..before], &letters[letters.len() - (kept - before)..]);
            let (head, tail) = (head.concat(), tail.concat());
            self.part(format!("{}…{}", head.trim_end(), tail.trim_start()))
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

/// The length of a line of text, points.
pub(super) fn width(words: &Words, size: f64, bold: bool) -> f64 {
    words.shaped(bold).iter().map(|run: &Shaped| run.length(size)).sum()
}

/// How far each letter of a line of text takes the next one, in parts of the em.
pub(super) fn advances(words: &Words, bold: bool) -> Vec<f64> {
    let runs = words.shaped(bold);
    runs.iter().flat_map(|run| run.letters.iter().map(|letter| letter.advance)).collect()
}

/// The length of a line of text without kerning, which as a rule makes lines shorter, points: many
/// times quicker than [`width`], which is asked where the built-in letters are not enough.
fn loose_width(words: &Words, size: f64, bold: bool) -> f64 {
    if !words.is_built_in() {
        return width(words, size, bold);
    }
    let face = Which::BuiltIn.face(&[], bold);
    let font = face.font();
    let (charmap, metrics) =
        (font.charmap(), font.glyph_metrics(Size::unscaled(), face.location()));
    let advance = |c| charmap.map(c).and_then(|glyph| metrics.advance_width(glyph));
    let units: f64 = words.text.chars().filter_map(advance).map(f64::from).sum();
    units * size / face.em()
}

/// A sentence of headfall's, with names in it, broken as [`lines`] does.
pub(super) fn sentence(
    text: &str,
    letters: &Letters,
    length: f64,
    size: f64,
    bold: bool,
) -> Vec<Words> {
    broken(&Words::sentence(text, letters), length, size, bold)
}

/// Text broken into lines no longer than `length`, a little more where kerning widens one. A word
/// that is longer is shortened.
pub(super) fn lines(
    text: &str,
    letters: &Letters,
    length: f64,
    size: f64,
    bold: bool,
) -> Vec<Words> {
    broken(&Words::of(text, letters), length, size, bold)
}

fn broken(whole: &Words, length: f64, size: f64, bold: bool) -> Vec<Words> {
    let set = whole.set.as_ref();
    let set = set.map(|(letters, flow)| (letters.clone(), flow.of(&whole.text)));
    let whole = Words { set, ..whole.clone() };
    let mut lines: Vec<Words> = Vec::new();
    let mut line = String::new();
    let mut filled = 0.0;
    let space = loose_width(&whole.part(" ".to_owned()), size, bold);
    let mut finish = |line: &mut String, filled: f64| {
        let words = whole.part(std::mem::take(line));
        lines.push(if filled > length { words.fitted(length, size, bold) } else { words });
    };
    for (word, spaced) in pieces(&whole) {
        let wide = loose_width(&whole.part(word.to_owned()), size, bold);
        let between = if spaced { space } else { 0.0 };
        if !line.is_empty() && filled + between + wide > length {
            finish(&mut line, filled);
        }
        if line.is_empty() {
            filled = wide;
        } else {
            if spaced {
                line.push(' ');
            }
            filled += between + wide;
        }
        line.push_str(word);
    }
    finish(&mut line, filled);
    lines
}

/// What a line may be broken between, and whether a space is before it: words, and the characters of scripts that write
/// none between words.
///
/// # References
/// Unicode Standard Annex #14, class ID: lines break between ideographs, not before the marks that close.
fn pieces(words: &Words) -> Vec<(&str, bool)> {
    let mut pieces = Vec::new();
    for (k, word) in words.text.split(' ').enumerate() {
        let first = pieces.len();
        let mut start = 0;
        if !words.is_built_in() {
            for (at, cluster) in word.grapheme_indices(true) {
                if at > start && cluster.starts_with(is_ideograph) {
                    pieces.push((&word[start..at], false));
                    start = at;
                }
            }
        }
        pieces.push((&word[start..], false));
        pieces[first].1 = k > 0;
    }
    pieces
}

fn is_ideograph(c: char) -> bool {
    matches!(c.script(), Script::Han | Script::Hiragana | Script::Katakana)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::faces::fonts;

    /// Names in letters that the built-in ones lack, each with the font that has them.
    const NAMES: [(&str, &str); 5] = [
        ("hebrew.ttf", "בור צפוני"),
        ("arabic.ttf", "بئر الشمال"),
        ("devanagari.ttf", "कुआँ क्षेत्र"),
        ("thai.ttf", "บ่อที่"),
        ("chinese.ttc", "北井"),
    ];

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
    fn lines_break_at_spaces_and_keep_every_word() {
        let text = "Flow is drawn at right angles to the contours, as in an isotropic aquifer.";
        let broken = lines(text, &Letters::default(), 80.0, 7.0, false);
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

    #[test]
    fn what_a_font_has_is_written_and_the_rest_become_code_points() {
        for (file, name) in NAMES {
            let (with, without) = (Words::of(name, &fonts(&[file])), Words::new(name));
            assert_eq!((with.text(), with.is_unwritten()), (name, false), "{file}");
            assert!(without.is_unwritten() && !without.text().contains(name), "{without:?}");
            assert!(with.is_built_in() != without.is_built_in());
        }
        let all: Vec<&str> = NAMES.iter().map(|n| n.0).collect();
        let all = fonts(&all);
        for (given, written) in [
            ("北 בור بئر", "北 בור بئر"),
            // The font has the letter and none of these marks.
            ("ב\u{591}", "ב‹0591›"),
            // Marks of direction and controls are shown, whatever a font has for them.
            ("\u{202e}בור\u{200f}-7\u{7}", "‹202E›בור‹200F›-7‹0007›"),
            ("\u{feff}MW-1", "‹FEFF›MW-1"),
            // No font here has it.
            ("北龍", "北‹9F8D›"),
            ("MW-1", "MW-1"),
        ] {
            assert_eq!(Words::of(given, &all).text(), written);
        }
        assert!(Words::of("MW-1", &all).is_built_in());
    }

    #[test]
    fn shortened_names_keep_marks_with_their_letters() {
        let names = [
            ("hebrew.ttf", "בְּאֵר בְּאֵר בְּאֵר בְּאֵר בְּאֵר"),
            ("devanagari.ttf", "क्षेत्र कुआँ क्षेत्र कुआँ क्षेत्र"),
            ("thai.ttf", "บ่อที่บ่อที่บ่อที่บ่อที่"),
        ];
        for (file, name) in names {
            let whole = Words::of(name, &fonts(&[file]));
            let full: Vec<&str> = name.graphemes(true).collect();
            for length in [12.0, 25.0, 40.0] {
                let short = whole.clone().fitted(length, 6.2, true);
                assert!(width(&short, 6.2, true) <= length, "{}", short.text());
                let (head, tail) = short.text().split_once('…').expect("shortened");
                let (head, tail): (Vec<&str>, Vec<&str>) =
                    (head.graphemes(true).collect(), tail.graphemes(true).collect());
                assert!(full.starts_with(&head), "{}", short.text());
                assert!(full.ends_with(&tail), "{}", short.text());
            }
        }
    }

    #[test]
    fn lines_of_ideographs_break_between_them() {
        let text = "北井旧厂区南号泵房监测水位";
        let letters = fonts(&["chinese.ttc"]);
        // Ideographs are as wide as the em: four fit into 30 points in letters of 7.
        let broken = lines(text, &letters, 30.0, 7.0, false);
        assert!(broken.iter().all(|l| width(l, 7.0, false) <= 30.0));
        assert_eq!(broken.iter().map(Words::text).collect::<String>(), text);
        assert_eq!(broken[0].text().chars().count(), 4);
    }
}

//! The title block: what a firm writes on its figures, in a frame at the end of the panel.

use super::faces::Letters;
use super::font::{Words, lines};
use super::panel::Block;
use super::scene::{Item, Paint, Picture, Stroke, Text, at};
use super::style;
use crate::read::{PictureDots, TitleBlock};
use crate::report::Results;

/// Between the frame and words, points.
const PAD: f64 = 3.0;

/// Letters of keys, and of the firm's name and the title; the distances of their lines, points.
const KEY: (f64, f64) = (style::SMALLEST, 7.6);
const LARGE: (f64, f64) = (8.6, 10.4);

/// The side of the box for a seal, points: 45 mm, in which those of engineers and geologists fit (common practice, no
/// source).
const SEAL: f64 = 127.0;

/// The greatest height of a logo, points: 15 mm.
const LOGO: f64 = 42.5;

/// The frame and the lines within it.
const EDGE: Stroke = Stroke::new(style::INK, 0.6);
const WITHIN: Stroke = Stroke::new(style::INK, 0.35);

/// A box within the frame: what it is called, and what is declared.
type Cell<'a> = (&'a str, &'a str);

/// The block, where something of it is declared.
pub(super) fn block(results: &Results, width: f64) -> Option<Block> {
    let declared = results.site.settings.title_block.as_ref()?;
    let enlarged = style::enlarged(&results.site.settings);
    let letters = &results.site.fonts;
    let mut rows = Rows { items: Vec::new(), letters, width, y: 0.0 };
    if let Some(logo) = &results.site.logo {
        rows.logo(logo, LOGO / enlarged);
    }
    if let Some(firm) = &declared.firm {
        rows.large(firm);
    }
    for row in cells(declared) {
        rows.row(&row);
    }
    if let Some(title) = &declared.title {
        rows.large(title);
    }
    for row in [numbers(declared), names(declared)] {
        rows.row(&row);
    }
    if let Some(note) = &declared.note {
        rows.row(&[("Note", note)]);
    }
    if declared.seal {
        rows.seal(SEAL / enlarged);
    }
    if rows.y == 0.0 {
        return None;
    }
    let frame = vec![at(0.0, 0.0), at(width, 0.0), at(width, rows.y), at(0.0, rows.y)];
    rows.items.push(Item::area(frame, Paint::stroke(EDGE)));
    let mut block = Block::bare(letters, width);
    block.add(rows.items, at(0.0, 0.0));
    block.height = rows.y;
    Some(block)
}

/// What is declared of some boxes.
fn declared<'a>(boxes: &[(&'a str, &'a Option<String>)]) -> Vec<Cell<'a>> {
    boxes.iter().filter_map(|(key, value)| Some((*key, value.as_deref()?))).collect()
}

fn cells(block: &TitleBlock) -> [Vec<Cell<'_>>; 2] {
    [declared(&[("Client", &block.client)]), declared(&[("Project", &block.project)])]
}

fn numbers(block: &TitleBlock) -> Vec<Cell<'_>> {
    declared(&[
        ("Project no.", &block.project_number),
        ("Figure", &block.figure),
        ("Revision", &block.revision),
    ])
}

fn names(block: &TitleBlock) -> Vec<Cell<'_>> {
    declared(&[
        ("Drawn by", &block.drawn_by),
        ("Checked by", &block.checked_by),
        ("Date", &block.date),
    ])
}

/// Rows from the top of the frame down.
struct Rows<'a> {
    items: Vec<Item>,
    letters: &'a Letters,
    width: f64,
    y: f64,
}

impl Rows<'_> {
    /// The line above a row that is not the first.
    fn rule(&mut self) {
        if self.y > 0.0 {
            self.items.push(Item::line(vec![at(0.0, self.y), at(self.width, self.y)], WITHIN));
        }
    }

    /// A logo in its own proportions, as large as its row has room for.
    fn logo(&mut self, logo: &PictureDots, most: f64) {
        let (columns, rows) = (f64::from(logo.columns), f64::from(logo.rows));
        let scale = ((self.width - 2.0 * PAD) / columns).min(most / rows);
        let (width, height) = (columns * scale, rows * scale);
        self.rule();
        self.items.push(Item::Picture(Picture {
            at: at(PAD, self.y + PAD),
            width,
            height,
            columns: logo.columns,
            rows: logo.rows,
            dots: logo.dots.clone(),
        }));
        self.y += height + 2.0 * PAD;
    }

    /// Words in large letters across the block.
    fn large(&mut self, text: &str) {
        let (size, line) = LARGE;
        self.rule();
        for words in lines(text, self.letters, self.width - 2.0 * PAD, size, true) {
            self.y += line;
            let place = at(PAD, self.y - 0.2);
            self.items.push(Item::Text(Text::new(place, words, size, true, style::INK)));
        }
        self.y += PAD;
    }

    /// Boxes side by side, each with its key above its words.
    fn row(&mut self, cells: &[Cell<'_>]) {
        if cells.is_empty() {
            return;
        }
        self.rule();
        let width = self.width / cells.len() as f64;
        let mut lowest = self.y;
        for (i, (key, value)) in cells.iter().enumerate() {
            let left = i as f64 * width + PAD;
            let (size, line) = KEY;
            let key = Words::new(key).fitted(width - 2.0 * PAD, size, false);
            let place = at(left, self.y + line);
            self.items.push(Item::Text(Text::new(place, key, size, false, style::GREY)));
            let mut y = self.y + line;
            for words in lines(value, self.letters, width - 2.0 * PAD, style::BODY, false) {
                y += style::LINE;
                let text = Text::new(at(left, y), words, style::BODY, false, style::INK);
                self.items.push(Item::Text(text));
            }
            lowest = lowest.max(y + PAD);
        }
        for i in 1..cells.len() {
            let x = i as f64 * width;
            self.items.push(Item::line(vec![at(x, self.y), at(x, lowest)], WITHIN));
        }
        self.y = lowest;
    }

    /// An empty box for a seal.
    fn seal(&mut self, side: f64) {
        self.rule();
        let (size, line) = KEY;
        let place = at(PAD, self.y + line);
        let words = Words::new("Seal");
        self.items.push(Item::Text(Text::new(place, words, size, false, style::GREY)));
        self.y += side.min(self.width);
    }
}

//! The columns beside or below the map: blocks of lines, and how they are packed.

use geo::Coord;

use super::faces::Letters;
use super::font::{Words, sentence, width};
use super::scene::{Colour, Item, Text, at};
use super::style::{BODY, GREY, INK, LINE, RULE};

/// Space between blocks.
const GAP: f64 = 7.0;

/// Room that the sample of a sign has in the legend.
pub(super) const SAMPLE: f64 = 30.0;

/// Things that stand together, drawn from their own upper left corner.
#[derive(Debug, Clone)]
pub(super) struct Block {
    items: Vec<Item>,
    letters: Letters,
    width: f64,
    /// How far it has been filled.
    pub(super) height: f64,
}

impl Block {
    /// A block with a heading under a rule.
    pub(super) fn new(letters: &Letters, width: f64, heading: &str) -> Self {
        let rule = Item::line(vec![at(0.0, 0.0), at(width, 0.0)], RULE);
        let mut block =
            Self { items: vec![rule], height: LINE + 1.6, ..Self::bare(letters, width) };
        let place = at(0.0, block.height - 1.0);
        let heading = Text::new(place, Words::new(heading), BODY, true, INK).heading(2);
        block.items.push(Item::Text(heading));
        block.height += 1.4;
        block
    }

    /// One without a heading.
    pub(super) fn bare(letters: &Letters, width: f64) -> Self {
        Self { items: Vec::new(), letters: letters.clone(), width, height: 0.0 }
    }

    /// Words on the baseline of the line that was begun last.
    fn write(&mut self, x: f64, words: Words, bold: bool, colour: Colour) {
        let text = Text::new(at(x, self.height - 1.0), words, BODY, bold, colour);
        self.items.push(Item::Text(text));
    }

    /// A paragraph.
    pub(super) fn say(&mut self, text: &str, bold: bool, colour: Colour) {
        self.say_from(0.0, text, bold, colour);
    }

    fn say_from(&mut self, x: f64, text: &str, bold: bool, colour: Colour) {
        for line in sentence(text, &self.letters, self.width - x, BODY, bold) {
            self.height += LINE;
            self.write(x, line, bold, colour);
        }
    }

    /// What something is called, and what it is.
    pub(super) fn pair(&mut self, key: &str, value: &str) {
        let column = 0.35 * self.width;
        self.height += LINE;
        self.write(0.0, Words::new(key).fitted(column - 3.0, BODY, false), false, GREY);
        self.height -= LINE;
        self.say_from(column, value, false, INK);
    }

    /// Names and what is said about them: beside a single one, below several.
    pub(super) fn entry(&mut self, names: &[&str], text: &str) {
        if let [name] = names {
            let name = Words::of(name, &self.letters).fitted(0.4 * self.width, BODY, true);
            let after = width(&name, BODY, true) + 4.0;
            self.height += LINE;
            self.write(0.0, name, true, INK);
            self.height -= LINE;
            self.say_from(after, text, false, INK);
        } else {
            self.under(&names.join(", "), text);
        }
    }

    /// Words side by side on one line, each from its place.
    pub(super) fn cells(&mut self, cells: Vec<(f64, Words, bool)>) {
        self.height += LINE;
        for (x, words, bold) in cells {
            self.write(x, words, bold, INK);
        }
    }

    /// What something is called, and below it what is said about it.
    pub(super) fn under(&mut self, name: &str, text: &str) {
        self.say(name, true, INK);
        self.say_from(8.0, text, false, INK);
    }

    /// A sign of the map and what it means. The sample is drawn about the origin.
    pub(super) fn sign(&mut self, sample: Vec<Item>, text: &str) {
        let middle = at(SAMPLE / 2.0 - 3.0, self.height + LINE - 3.2);
        self.add(sample, middle);
        self.height += 0.8;
        self.say_from(SAMPLE, text, false, INK);
        self.height += 0.8;
    }

    /// Things drawn about a place of the block.
    pub(super) fn add(&mut self, items: Vec<Item>, place: Coord) {
        for mut item in items {
            item.shift(place);
            self.items.push(item);
        }
    }

    /// Empty space.
    pub(super) fn space(&mut self, height: f64) {
        self.height += height;
    }

    pub(super) const fn width(&self) -> f64 {
        self.width
    }
}

/// The least height at which blocks, in their order, fill no more than so many columns.
pub(super) fn least_height(blocks: &[Block], columns: usize) -> f64 {
    let mut height = blocks.iter().map(|b| b.height).fold(0.0, f64::max);
    while packed(blocks, height) > columns {
        height += 2.0;
    }
    height
}

/// How many columns of a height the blocks fill.
pub(super) fn packed(blocks: &[Block], height: f64) -> usize {
    places(blocks, height).last().map_or(0, |(column, _)| column + 1)
}

/// The column of each block and how far down it stands there.
fn places(blocks: &[Block], height: f64) -> Vec<(usize, f64)> {
    let (mut column, mut filled) = (0, 0.0);
    blocks
        .iter()
        .map(|block| {
            if filled > 0.0 && filled + GAP + block.height > height {
                (column, filled) = (column + 1, 0.0);
            }
            let top = if filled > 0.0 { filled + GAP } else { 0.0 };
            filled = top + block.height;
            (column, top)
        })
        .collect()
}

/// Blocks parted into pages of so many columns of a height, in their order.
pub(super) fn pages(blocks: Vec<Block>, columns: usize, height: f64) -> Vec<Vec<Block>> {
    let places = places(&blocks, height);
    let mut pages: Vec<Vec<Block>> = Vec::new();
    for (block, (column, _)) in blocks.into_iter().zip(places) {
        let page = column / columns;
        pages.resize_with(pages.len().max(page + 1), Vec::new);
        pages[page].push(block);
    }
    pages
}

/// Blocks set into columns of a height, the first at `corner`.
pub(super) fn set(blocks: Vec<Block>, corner: Coord, step: f64, height: f64) -> Vec<Item> {
    let places = places(&blocks, height);
    let mut items = Vec::new();
    for (block, (column, top)) in blocks.into_iter().zip(places) {
        let place = corner + at(column as f64 * step, top);
        for mut item in block.items {
            item.shift(place);
            items.push(item);
        }
    }
    items
}

#[cfg(test)]
mod tests {
    use super::*;

    fn blocks(heights: &[f64]) -> Vec<Block> {
        let letters = Letters::default();
        let block = |h: &f64| Block { height: *h, ..Block::bare(&letters, 100.0) };
        heights.iter().map(block).collect()
    }

    #[test]
    fn blocks_keep_their_order_and_fill_the_columns() {
        let three = blocks(&[60.0, 30.0, 50.0, 40.0]);
        let height = least_height(&three, 3);
        // 60 alone, 30 and 50 with 7 between them, 40 alone.
        assert!((87.0..89.0).contains(&height), "{height}");
        assert_eq!(packed(&three, height), 3);
        assert_eq!(packed(&three, 86.0), 4);
        assert_eq!(packed(&three, 1000.0), 1);
        assert!((least_height(&blocks(&[60.0]), 3) - 60.0).abs() < 1e-9);
    }
}

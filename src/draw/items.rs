//! What is drawn on a figure, under way.

use geo::Coord;

use super::faces::Letters;
use super::font::{Words, sentence};
use super::scene::{Colour, Item, Stroke, Text};
use super::style::INK;

/// Items in the order in which they are drawn.
#[derive(Default)]
pub(super) struct Items(pub(super) Vec<Item>);

impl Items {
    pub(super) fn line(&mut self, ends: [Coord; 2], stroke: Stroke) {
        self.0.push(Item::line(ends.to_vec(), stroke));
    }

    pub(super) fn words(&mut self, from: Coord, size: f64, colour: Colour, words: Words) {
        self.0.push(Item::Text(Text::new(from, words, size, false, colour)));
    }

    pub(super) fn text(&mut self, from: Coord, size: f64, colour: Colour, text: &str) {
        self.words(from, size, colour, Words::new(text));
    }

    pub(super) fn bold(&mut self, from: Coord, size: f64, words: Words) {
        self.0.push(Item::Text(Text::new(from, words, size, true, INK)));
    }

    pub(super) fn centred(&mut self, middle: Coord, size: f64, text: &str) {
        let text = Text::new(middle, Words::new(text), size, false, INK);
        self.0.push(Item::Text(text.centred()));
    }

    pub(super) fn ending(&mut self, end: Coord, size: f64, colour: Colour, text: &str) {
        let text = Text::new(end, Words::new(text), size, false, colour);
        self.0.push(Item::Text(text.ending()));
    }

    /// A paragraph no wider than `length`; gives the baseline of the line that would follow.
    pub(super) fn paragraph(
        &mut self,
        mut from: Coord,
        length: f64,
        (size, step): (f64, f64),
        colour: Colour,
        (text, letters): (&str, &Letters),
    ) -> f64 {
        for words in sentence(text, letters, length, size, false) {
            self.words(from, size, colour, words);
            from.y += step;
        }
        from.y
    }
}

//! A page of a PDF in the order in which it is read out: headings and lines of words, and the figure, which has words in its
//! place. The rest is marked as decoration.

use std::num::NonZeroU16;

use krilla::geom::Rect;
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, BBox, ContentTag, Identifier, Node, SpanTag, Tag, TagGroup, TagTree,
};

use super::scene::{Item, Layer, Role, Text};

/// How something is drawn.
type Draw = fn(&mut Surface, &Item);

/// What of a page is read out.
pub(super) struct Tagged {
    figure: TagGroup,
    /// The title of the page, and what is said below it; then what else is said, line by line.
    heads: Vec<TagGroup>,
    lines: Vec<TagGroup>,
    /// Where the line that was read last stands, points down the page.
    last: Option<f64>,
    /// Whether the layer that is drawn has the title.
    titled: bool,
}

impl Tagged {
    /// A page of a number from 0, whose figure is said in words.
    pub(super) fn new(alternative: &str, page: usize, paper: Option<Rect>) -> Self {
        let bounds = paper.map(|paper| BBox::new(page, paper));
        let figure = TagGroup::new(Tag::Figure(Some(alternative.to_owned())).with_bbox(bounds));
        Self { figure, heads: Vec::new(), lines: Vec::new(), last: None, titled: false }
    }

    /// Draws a layer and marks what it is.
    pub(super) fn layer(&mut self, surface: &mut Surface, layer: &Layer, draw: Draw) {
        (self.last, self.titled) = (None, false);
        match layer.role {
            Role::Decoration => {
                decoration(surface, |surface| layer.items.iter().for_each(|i| draw(surface, i)));
            }
            Role::Figure if layer.items.is_empty() => {}
            Role::Figure => {
                let all = |surface: &mut Surface| layer.items.iter().for_each(|i| draw(surface, i));
                self.figure.push(marked(surface, ContentTag::Other, all));
            }
            Role::Words => {
                for item in &layer.items {
                    match item {
                        Item::Text(text) if !text.words.text().is_empty() => {
                            self.line(surface, item, text, draw);
                        }
                        other => decoration(surface, |surface| draw(surface, other)),
                    }
                }
            }
        }
    }

    /// Words; those on one line are read together.
    fn line(&mut self, surface: &mut Surface, item: &Item, text: &Text, draw: Draw) {
        let id = marked(surface, ContentTag::Span(SpanTag::empty()), |s| draw(s, item));
        self.titled |= text.heading == Some(1);
        let lines = if self.titled { &mut self.heads } else { &mut self.lines };
        let beside = self.last.is_some_and(|y| (y - text.at.y).abs() < 1e-6);
        self.last = Some(text.at.y);
        if let Some(level) = text.heading.and_then(NonZeroU16::new) {
            let heading = Tag::Hn(level, Some(text.words.text().to_owned()));
            lines.push(TagGroup::with_children(heading, vec![Node::from(id)]));
            self.last = None;
        } else if let Some(line) = lines.last_mut().filter(|_| beside) {
            line.push(id);
        } else {
            lines.push(TagGroup::with_children(Tag::P, vec![Node::from(id)]));
        }
    }

    /// What is read out: the headings of the page, its figure, its words.
    pub(super) fn read_out(self, tree: &mut TagTree) {
        for heading in self.heads {
            tree.push(heading);
        }
        if !self.figure.children.is_empty() {
            tree.push(self.figure);
        }
        for line in self.lines {
            tree.push(line);
        }
    }
}

/// Draws something that is marked as a part of the structure.
///
/// A line from right to left has no text of its own in its order beside the letters: readers put letters in order by themselves,
/// and two of them (poppler 22.12, PDFium) would turn such a text about once more.
fn marked(surface: &mut Surface, tag: ContentTag, draw: impl FnOnce(&mut Surface)) -> Identifier {
    let id = surface.start_tagged(tag);
    draw(surface);
    surface.end_tagged();
    id
}

/// Draws what is not read out.
fn decoration(surface: &mut Surface, draw: impl FnOnce(&mut Surface)) {
    marked(surface, ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)), draw);
}

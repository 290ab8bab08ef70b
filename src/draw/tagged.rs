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
    /// Headings of the page itself; then what else is said, line by line.
    heads: Vec<TagGroup>,
    lines: Vec<TagGroup>,
    /// Where the line that was read last stands, points down the page.
    last: Option<f64>,
}

impl Tagged {
    /// A page of a number from 0, whose figure is said in words.
    pub(super) fn new(alternative: &str, page: usize, paper: Option<Rect>) -> Self {
        let bounds = paper.map(|paper| BBox::new(page, paper));
        let figure = TagGroup::new(Tag::Figure(Some(alternative.to_owned())).with_bbox(bounds));
        Self { figure, heads: Vec::new(), lines: Vec::new(), last: None }
    }

    /// Draws a layer and marks what it is.
    pub(super) fn layer(&mut self, surface: &mut Surface, layer: &Layer, draw: Draw) {
        self.last = None;
        match layer.role {
            Role::Decoration => {
                decoration(surface, |surface| layer.items.iter().for_each(|i| draw(surface, i)));
            }
            Role::Figure => self.picture(surface, &layer.items, draw),
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

    /// A part of the figure. What is read in another order than it is drawn in says what it is.
    fn picture(&mut self, surface: &mut Surface, items: &[Item], draw: Draw) {
        let is_plain = |item: &Item| !matches!(item, Item::Text(t) if !t.words.is_built_in());
        for together in items.chunk_by(|a, b| is_plain(a) && is_plain(b)) {
            let drawn: fn(&mut Surface, &[Item], Draw) =
                |surface, items, draw| items.iter().for_each(|item| draw(surface, item));
            let id = match together {
                [Item::Text(text)] => span(surface, text, |s| drawn(s, together, draw)),
                _ => {
                    let id = surface.start_tagged(ContentTag::Other);
                    drawn(surface, together, draw);
                    surface.end_tagged();
                    id
                }
            };
            self.figure.push(id);
        }
    }

    /// Words; those on one line are read together.
    fn line(&mut self, surface: &mut Surface, item: &Item, text: &Text, draw: Draw) {
        let id = span(surface, text, |surface| draw(surface, item));
        let beside = self.last.is_some_and(|y| (y - text.at.y).abs() < 1e-6);
        self.last = Some(text.at.y);
        if let Some(level) = text.heading.and_then(NonZeroU16::new) {
            let heading = Tag::Hn(level, Some(text.words.text().to_owned()));
            let group = TagGroup::with_children(heading, vec![Node::from(id)]);
            let to = if level.get() == 1 { &mut self.heads } else { &mut self.lines };
            to.push(group);
            self.last = None;
        } else if let Some(line) = self.lines.last_mut().filter(|_| beside) {
            line.push(id);
        } else {
            self.lines.push(TagGroup::with_children(Tag::P, vec![Node::from(id)]));
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

/// Draws a line of text, which says what it is where it is read in another order than it is drawn in.
fn span(surface: &mut Surface, text: &Text, draw: impl FnOnce(&mut Surface)) -> Identifier {
    let own = Some(text.words.text()).filter(|_| !text.words.is_built_in());
    let id = surface.start_tagged(ContentTag::Span(SpanTag::empty().with_actual_text(own)));
    draw(surface);
    surface.end_tagged();
    id
}

/// Draws what is not read out.
fn decoration(surface: &mut Surface, draw: impl FnOnce(&mut Surface)) {
    surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)));
    draw(surface);
    surface.end_tagged();
}

//! Elements of XML and their text.

use std::io;

use quick_xml::Writer;
use quick_xml::escape::escape;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// An element with what is in it: a text, or other elements.
#[derive(Debug, Clone)]
pub(crate) struct Element {
    name: &'static str,
    attributes: Vec<(&'static str, String)>,
    text: String,
    inside: Vec<Self>,
}

impl Element {
    /// One with others in it.
    pub(crate) fn of(name: &'static str, inside: impl IntoIterator<Item = Self>) -> Self {
        let inside = inside.into_iter().collect();
        Self { name, attributes: Vec::new(), text: String::new(), inside }
    }

    /// One with a text in it.
    pub(crate) fn text(name: &'static str, text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::of(name, []) }
    }

    /// The same with an attribute more.
    pub(crate) fn with(mut self, attribute: &'static str, value: impl Into<String>) -> Self {
        self.attributes.push((attribute, value.into()));
        self
    }

    /// Puts another behind those in it.
    pub(crate) fn push(&mut self, inside: Self) {
        self.inside.push(inside);
    }

    /// The document with this element at its root, on one line: cells of tables are of one line.
    pub(crate) fn document(&self) -> String {
        let mut writer = Writer::new(Vec::new());
        let written = writer
            .write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))
            .and_then(|()| self.write(&mut writer));
        let bytes = written.map(|()| writer.into_inner()).map_err(|e| e.to_string());
        let text = bytes.and_then(|bytes| String::from_utf8(bytes).map_err(|e| e.to_string()));
        text.expect("this is a bug in headfall: memory takes every text")
    }

    /// Writes the element on a line of its own.
    pub(crate) fn line(&self, into: &mut impl io::Write) -> io::Result<()> {
        self.write(&mut Writer::new(&mut *into))?;
        into.write_all(b"\n")
    }

    fn write(&self, writer: &mut Writer<impl io::Write>) -> io::Result<()> {
        let mut start = BytesStart::new(self.name);
        for (name, value) in &self.attributes {
            start.push_attribute((*name, value.as_str()));
        }
        if self.text.is_empty() && self.inside.is_empty() {
            return writer.write_event(Event::Empty(start));
        }
        writer.write_event(Event::Start(start))?;
        if !self.text.is_empty() {
            writer.write_event(Event::Text(BytesText::new(&self.text)))?;
        }
        self.inside.iter().try_for_each(|element| element.write(writer))?;
        writer.write_event(Event::End(BytesEnd::new(self.name)))
    }
}

/// A text as what reads it as markup shows it letter for letter.
pub(crate) fn escaped(text: &str) -> String {
    escape(text).into_owned()
}

//! Values of `site.toml`, held against their bounds.

use std::ops::Range;

use serde::Deserialize;
use toml::Spanned;

use super::bounds::Bound;
use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::input::line_of;
use crate::read::files::names::SITE_TOML;
use crate::units::as_given;

/// A heading or a name, or a list of them.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
pub(in crate::read) enum OneOrMore {
    One(String),
    More(Vec<String>),
}

/// Reads values and says which are out of bounds, with their line.
pub(in crate::read) struct Reader<'a> {
    pub(in crate::read) text: &'a str,
    pub(in crate::read) said: &'a mut Vec<Diagnostic>,
}

impl Reader<'_> {
    pub(in crate::read) fn refuse(
        &mut self,
        at: &Range<usize>,
        message: String,
        advice: impl Into<String>,
    ) {
        self.said
            .push(Diagnostic::new(Code::SiteSetting, message).at(&self.origin(at)).advice(advice));
    }

    /// Where a value stands.
    pub(in crate::read) fn origin(&self, at: &Range<usize>) -> Origin {
        Origin::line(SITE_TOML, line_of(self.text.as_bytes(), at.start))
    }

    pub(in crate::read) fn number(
        &mut self,
        key: &str,
        given: Option<Spanned<f64>>,
        bound: Bound,
    ) -> Option<f64> {
        let given = given?;
        let value = *given.get_ref();
        if bound.holds(value) {
            return Some(value);
        }
        let advice = format!("correct {key} or remove the line");
        self.refuse(
            &given.span(),
            format!("{key} = {} is not {}", as_given(value), bound.words()),
            advice,
        );
        None
    }

    pub(in crate::read) fn words(
        &mut self,
        key: &str,
        given: Option<Spanned<String>>,
    ) -> Option<String> {
        let given = given?;
        let text = given.get_ref().trim().to_owned();
        if text.is_empty() {
            self.refuse(&given.span(), format!("{key} is empty"), "write it between the quotes");
        }
        Some(text)
    }
}

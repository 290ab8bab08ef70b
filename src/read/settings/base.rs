//! `[[base]]`: layers of a site plan that the map sheet has below the map.

use serde::Deserialize;
use toml::Spanned;

use super::base_style::{BaseStyle, DeclaredBase};
use super::features::{DeclaredFile, FileTable};
use super::reader::Reader;
use super::role::Role;

/// A table of `[[base]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct BaseKeys {
    file: Spanned<String>,
    layer: Option<String>,
    style: Option<BaseStyle>,
    name: Option<String>,
    label: Option<String>,
    crs: Option<String>,
}

impl Reader<'_> {
    /// What a table says; R102 where it names no file.
    pub(super) fn base(&mut self, keys: BaseKeys) -> Option<DeclaredFile> {
        let BaseKeys { file, layer, style, name, label, crs } = keys;
        let at = file.span();
        let file = file.into_inner().trim().to_owned();
        if file.is_empty() {
            self.refuse(
                &at,
                "a table of [[base]] names no file".to_owned(),
                "write the file name between the quotes, or remove the table",
            );
            return None;
        }
        let style = style.unwrap_or(BaseStyle::Outline);
        let words = name.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty());
        let name = words.unwrap_or_else(|| style.words().to_owned());
        let table = FileTable { file, layer, name: label, crs, ..FileTable::default() };
        let base = Some(DeclaredBase { style, name });
        Some(DeclaredFile { role: Role::Base, table, base, origin: self.origin(&at) })
    }
}

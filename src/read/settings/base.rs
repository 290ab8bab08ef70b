//! `[[base]]`: layers of a site plan that the map sheet has below the map.

use serde::Deserialize;
use toml::Spanned;

use super::base_style::{BaseStyle, DeclaredBase};
use super::features::{DeclaredFile, FileTable};
use super::reader::Reader;
use super::role::Role;
use crate::read::table::rows::shown;

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
    /// What a table says, beside the files declared before it; R102 where it names no file, and for a second picture.
    pub(super) fn base(&mut self, keys: BaseKeys, before: &[DeclaredFile]) -> Option<DeclaredFile> {
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
        if style == BaseStyle::Picture {
            if let Some(first) = before.iter().find(|file| file.is_picture()) {
                let message = format!(
                    "{} is a second picture beside {}",
                    shown(&file),
                    shown(&first.table.file)
                );
                self.refuse(&at, message, "keep one table of [[base]] with style = \"picture\"");
                return None;
            }
            if layer.is_some() || label.is_some() {
                let message = format!("a picture has neither layers nor labels: {}", shown(&file));
                self.refuse(&at, message, "remove layer and label beside style = \"picture\"");
                return None;
            }
        }
        let words = name.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty());
        let name = words.unwrap_or_else(|| style.words().to_owned());
        let table = FileTable { file, layer, name: label, crs, ..FileTable::default() };
        let base = Some(DeclaredBase { style, name });
        Some(DeclaredFile { role: Role::Base, table, base, origin: self.origin(&at) })
    }
}

//! A file that the map sheet is drawn with: a logo, a font.

use schemars::JsonSchema;
use serde::Serialize;
use toml::Spanned;

use super::reader::Reader;
use crate::diag::Origin;

/// A file for the map sheet as it is declared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(transparent)]
pub struct SheetFile {
    /// Its name, counted from the site folder.
    pub file: String,
    /// Where it is declared.
    #[serde(skip)]
    pub origin: Origin,
}

impl Reader<'_> {
    /// A file under a key; R102 where its name is empty.
    pub(super) fn sheet_file(&mut self, key: &str, given: Spanned<String>) -> Option<SheetFile> {
        let origin = self.origin(&given.span());
        let file = self.words(key, Some(given)).filter(|file| !file.is_empty())?;
        Some(SheetFile { file, origin })
    }
}

//! `[[base]]`: layers of a site plan that the map sheet has below the map.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use super::features::{DeclaredFile, FileTable, Role};
use super::reader::Reader;

/// How the features of a layer are drawn: quiet, and told apart in grey.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum BaseStyle {
    /// Paved or worked ground: a pale area without an edge.
    Pavement,
    /// Open water: a pale blue area with an edge.
    Water,
    /// A building: a grey area with an edge.
    Building,
    /// A tank, a basin, a pad: an area of paper with a firm edge.
    Tank,
    /// A road: a broad pale line.
    Road,
    /// A railway: a line of short dashes.
    Rail,
    /// A property line: long dashes.
    PropertyLine,
    /// A fence: fine dashes.
    Fence,
    /// A pipe or a cable: dots and gaps.
    Utility,
    /// Anything else: a thin line.
    Outline,
}

impl BaseStyle {
    /// All of them, in the order in which they are drawn.
    pub const ALL: [Self; 10] = [
        Self::Pavement,
        Self::Water,
        Self::Building,
        Self::Tank,
        Self::Road,
        Self::Rail,
        Self::PropertyLine,
        Self::Fence,
        Self::Utility,
        Self::Outline,
    ];

    /// What it is called in the legend where the layer has no name: `property line`.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pavement => "pavement",
            Self::Water => "open water",
            Self::Building => "building",
            Self::Tank => "tank or pad",
            Self::Road => "road",
            Self::Rail => "railway",
            Self::PropertyLine => "property line",
            Self::Fence => "fence",
            Self::Utility => "utility line",
            Self::Outline => "site plan",
        }
    }
}

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

/// How a layer of the site plan is drawn.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredBase {
    pub(in crate::read) style: BaseStyle,
    /// Its name in the legend.
    pub(in crate::read) name: String,
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

//! The styles in which a site plan is drawn.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How the features of a layer are drawn: quiet, and told apart in grey.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum BaseStyle {
    /// An aerial picture or a scanned plan: a raster, lightened.
    Picture,
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
    pub const ALL: [Self; 11] = [
        Self::Picture,
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
            Self::Picture => "aerial picture or plan",
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

/// How a layer of the site plan is drawn.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredBase {
    pub(in crate::read) style: BaseStyle,
    /// Its name in the legend.
    pub(in crate::read) name: String,
}

//! What the maps of several rounds of one site share.

use serde::{Deserialize, Serialize};

/// What the maps of several rounds of a site share, so that they can be laid over each other and taken from each other:
/// the nodes of the grid, the contour interval, and the frame of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CommonFrame {
    /// The rounds that were asked for.
    pub rounds: Vec<String>,
    /// South-western corner of the control points of all of them, CRS units.
    pub low: [f64; 2],
    /// North-eastern corner, CRS units.
    pub high: [f64; 2],
    /// The largest of the contour intervals that the rounds would have by themselves, elevation unit; none where levels
    /// are listed.
    pub interval: Option<f64>,
    /// How the sheet is parted; none where no sheet is drawn.
    pub sheet: Option<SheetFrame>,
}

/// Where map and panel are on a sheet, and what the map shows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetFrame {
    /// Where the panel is.
    pub panel: Panel,
    /// Width and height of the paper, points before the sheet is enlarged to be read from its distance.
    pub paper: [f64; 2],
    /// Left, top, right and bottom of the map on the paper, such points.
    pub map: [f64; 4],
    /// Height of the panel's columns, such points.
    pub columns_height: f64,
    /// Lines that the list of wells not used may have.
    pub most_lines: usize,
    /// Whether most words are for a second page.
    pub second_page: bool,
    /// The scale is one in this.
    pub denominator: f64,
    /// What is in the middle of the map, CRS units.
    pub middle: [f64; 2],
}

/// Where the panel of words is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Panel {
    /// Below the map, the paper upright.
    BelowUpright,
    /// Below the map, the paper on its side.
    BelowWide,
    /// On the right of the map, the paper on its side.
    Beside,
}

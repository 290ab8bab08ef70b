//! The signs of a map, and what its arrows mean.

use std::collections::BTreeSet;

use super::arrows;
use super::clusters::Cluster;
use super::unposted::Unposted;
use super::view::View;
use crate::read::BaseStyle;
use crate::report::{Followed, Results, measures};
use crate::uncertainty::DirectionBasis;
use crate::units;

/// Signs that not every map has: the legend explains those that this one has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sign {
    Pumped,
    NotUsed,
    LeftOut,
    Judged,
    Corrected,
    Unfit,
    Warned,
    Shortened,
    Index,
    Inferred,
    Ticks,
    Known,
    Unknown,
    Path,
    PathBack,
}

/// What the map itself tells, once it is drawn.
#[derive(Debug, Clone)]
pub(super) struct Told {
    /// Wells with their name on the map, and all wells on the map.
    pub(super) named: (usize, usize),
    /// The wells without one, for a table.
    pub(super) unposted: Vec<Unposted>,
    /// Their clusters on the map.
    pub(super) clusters: Vec<Cluster>,
    /// Insets that show clusters larger.
    pub(super) insets: usize,
    /// Whether table and insets are on the sheet itself.
    pub(super) table_on_sheet: bool,
    /// Wells that the frame does not show.
    pub(super) outside: usize,
    /// Contours that have no room for a label.
    pub(super) unlabelled: usize,
    /// Names of things beside the wells that have no room.
    pub(super) unnamed: usize,
    /// Names with characters that no font has.
    pub(super) unwritten: usize,
    /// The signs that the map has.
    pub(super) signs: BTreeSet<Sign>,
    /// The layers of the site plan that the map has.
    pub(super) base: Vec<(BaseStyle, String)>,
    /// The gradient of an arrow of the legend's length.
    pub(super) arrow: Option<f64>,
    /// Where the map looks.
    pub(super) view: View,
}

impl Told {
    /// The same with so many insets, and the wells that have no label there either.
    pub(super) fn with_insets(&self, insets: usize, unposted: Vec<Unposted>) -> Self {
        Self { unposted, insets, ..self.clone() }
    }
}

/// Whether a sign is explained: before the map is drawn all are, to measure the panel.
pub(super) fn has(told: Option<&Told>, sign: Sign) -> bool {
    told.is_none_or(|told| told.signs.contains(&sign))
}

/// What a filled arrow means and the scale of arrows, in words.
pub(super) fn known_words(results: &Results, told: Option<&Told>) -> String {
    format!("{} known to within {}{}", flow_words(results), within(results), scale_of_arrows(told))
}

/// What a hollow arrow means; the scale of arrows where there are no others.
pub(super) fn unknown_words(results: &Results, told: Option<&Told>) -> String {
    let scale = if has(told, Sign::Known) { String::new() } else { scale_of_arrows(told) };
    format!("{} not known to within {}{scale}", flow_words(results), within(results))
}

fn flow_words(results: &Results) -> &'static str {
    match results.arrows_follow() {
        Followed::Triangles => "flow direction by a plane through three wells,",
        Followed::Planes => "flow direction",
        Followed::Surface => "flow direction on this surface,",
    }
}

/// The angle within which a direction is known, and what that takes into account.
fn within(results: &Results) -> String {
    let directions = &results.uncertainty.directions;
    let error = match directions.basis {
        DirectionBasis::ReadingsOnly => ", reading error only",
        DirectionBasis::Surface | DirectionBasis::SurfaceBound => "",
    };
    format!("{}° (95 %{error})", directions.within_deg)
}

fn scale_of_arrows(told: Option<&Told>) -> String {
    let enlarged = told.map_or(1.0, |t| t.view.enlarged);
    let mm = |points: f64| points * enlarged / 72.0 * 25.4;
    // Before the map is drawn, the measure of the longest that may stand here.
    told.map_or(Some(0.000_123), |t| t.arrow).map_or_else(String::new, |gradient| {
        format!(
            "; length by gradient ({} as shown; {} to {} mm)",
            measures::three_digits(gradient),
            units::fixed(mm(arrows::SHORTEST), 0),
            units::fixed(mm(arrows::LONGEST), 0)
        )
    })
}

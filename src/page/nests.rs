//! Vertical gradients between nested wells.

use serde::Serialize;

use crate::diag::listed;
use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables::{Cell, Table};
use crate::report::measures;
use crate::report::{self, VerticalRow, gradient_words};

/// The part of the page.
#[derive(Debug, Serialize)]
pub(super) struct Nests {
    table: Table<Row>,
    /// Why others have none.
    without: Option<String>,
    within: String,
    /// Whether a midpoint is that of the part of a screen below the water level.
    saturated: bool,
}

/// From an upper well to the next below it.
#[derive(Debug, Serialize)]
struct Row {
    upper: String,
    lower: String,
    water: &'static str,
    middles: [Middle; 2],
    apart: Cell,
    difference: Cell,
    gradient: Cell,
    interval: String,
}

/// The midpoint of a screen.
#[derive(Debug, Serialize)]
struct Middle {
    elevation: Cell,
    /// Whether it is that of the part below the water level.
    saturated: bool,
}

/// The nests of a site; none where it has none that were read.
pub(super) fn nests(site: &Site) -> Option<Nests> {
    let nests = report::Nests::of(site.results);
    if nests.is_empty() {
        return None;
    }
    let all = &nests.gradients;
    let without: Vec<String> = nests.without.iter().map(|why| plain::text(why)).collect();
    Some(Nests {
        table: Table::of(all.len(), |i| row(site, &all[i])),
        without: (!without.is_empty()).then(|| listed(without)),
        within: nests.within,
        saturated: all.iter().any(|g| g.upper_saturated_part || g.lower_saturated_part),
    })
}

fn row(site: &Site, g: &VerticalRow<'_>) -> Row {
    let height = |metres: f64| {
        let own = site.in_elevation_unit(metres);
        Cell::of(Some(own), |v| measures::height(v, site.elevation))
    };
    let middle = |metres, saturated| Middle { elevation: height(metres), saturated };
    let [gradient, interval] = gradient_words(g);
    Row {
        upper: plain::text(g.upper),
        lower: plain::text(g.lower),
        water: g.water_flows,
        middles: [
            middle(g.upper_midpoint_m, g.upper_saturated_part),
            middle(g.lower_midpoint_m, g.lower_saturated_part),
        ],
        apart: Cell::of(Some(site.in_elevation_unit(g.distance_m)), |v| measures::fixed(v, 2)),
        difference: height(g.head_difference_m),
        gradient: Cell::of(Some(g.gradient), |_| gradient),
        interval,
    }
}

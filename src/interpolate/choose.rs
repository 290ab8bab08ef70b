//! Where the nodes of a site's grid are.

use geo::Coord;

use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::geom::tolerance::MOST_NODES;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::round_number::RoundNumber;
use crate::units::{as_given, brief};

/// A chosen grid has at least this many cells along the site's longer side: 0.5 % of the site is
/// about the width of a drawn line on a page.
const CELLS_ALONG: f64 = 200.0;

/// A chosen grid has at least this many cells along the site's shorter side, so that a network
/// along a road still has some nodes across it.
const CELLS_ACROSS: f64 = 4.0;

impl GridSpec {
    /// The grid that covers a site: nodes at whole multiples of the cell, from the last one not
    /// beyond the site's south-western corner to the first not before its north-eastern.
    ///
    /// Because nodes are counted from the CRS's own zero, two rounds of one site with the same
    /// cell share their nodes, whichever wells were read. Without a `cell` it is the largest of
    /// 1, 2 or 5 times a power of ten that gives the longer side 200 cells and the shorter 4.
    ///
    /// # Units
    /// - `min`, `max`: south-western and north-eastern corner of the wells, CRS units
    /// - `cell`: distance of nodes, CRS units; `unit`: the name of that unit
    ///
    /// # Errors
    /// [`Error::Map`] with M404 when the cell is not a positive number, when the grid would have
    /// more nodes than [`MOST_NODES`], or fewer than 2 by 2 of them within the site.
    pub fn choose(min: Coord, max: Coord, cell: Option<f64>, unit: &str) -> Result<Self, Error> {
        let (width, height) = (max.x - min.x, max.y - min.y);
        let site = format!("{} by {}", as_given(width), as_given(height));
        if !(width > 0.0 && height > 0.0 && width.is_finite() && height.is_finite()) {
            return refuse(
                format!("the wells span {site} ({unit}), which leaves no area for a grid"),
                "check the coordinates of the wells".to_owned(),
            );
        }
        let finest = (width.max(height) / CELLS_ALONG).min(width.min(height) / CELLS_ACROSS);
        let usual = RoundNumber::at_most(finest).value();
        let cell = cell.unwrap_or(usual);
        if !(cell > 0.0 && cell.is_finite()) {
            return refuse(
                format!("the cell {} ({unit}) is not a positive length", as_given(cell)),
                format!("set a cell such as {usual} ({unit}), or leave it out"),
            );
        }
        let (x, y) = (Nodes::along(min.x, max.x, cell), Nodes::along(min.y, max.y, cell));
        let nodes = x.count * y.count;
        if nodes > MOST_NODES as f64 {
            let larger =
                RoundNumber::at_least((width * height / MOST_NODES as f64).sqrt().max(usual));
            return refuse(
                format!(
                    "a cell of {} ({unit}) gives the site of {site} ({unit}) {} nodes; the limit \
                     is {MOST_NODES}",
                    brief(cell),
                    as_given(nodes)
                ),
                format!("set a larger cell, such as {} ({unit})", larger.value()),
            );
        }
        if x.within < 2.0 || y.within < 2.0 {
            return refuse(
                format!(
                    "a cell of {} ({unit}) leaves {} by {} nodes within the site of {site} \
                     ({unit}); the grid needs 2 by 2",
                    brief(cell),
                    x.within,
                    y.within
                ),
                format!("set a smaller cell, such as {usual} ({unit}), or leave it out"),
            );
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole numbers from 2 to MOST_NODES"
        )]
        let (columns, rows) = (x.count as usize, y.count as usize);
        Ok(Self { west: x.first, south: y.first, cell, columns, rows })
    }
}

/// The nodes along one side of a site.
struct Nodes {
    /// The first one's coordinate.
    first: f64,
    /// How many cover the side.
    count: f64,
    /// How many of them lie between its ends.
    within: f64,
}

impl Nodes {
    fn along(from: f64, to: f64, cell: f64) -> Self {
        let (from, to) = (from / cell, to / cell);
        Self {
            // Adding zero turns -0 into 0.
            first: from.floor() * cell + 0.0,
            count: to.ceil() - from.floor() + 1.0,
            within: (to.floor() - from.ceil() + 1.0).max(0.0),
        }
    }
}

fn refuse(message: String, advice: String) -> Result<GridSpec, Error> {
    Err(Error::Map(vec![Diagnostic::new(Code::GridTooLarge, message).advice(advice)]))
}

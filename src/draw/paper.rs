//! The sheet of paper: its size, which side is up, and where map and panel stand.

use geo::Coord;

use super::border::OUTSIDE;
use super::features;
use super::panel;
use super::panel::Block;
use super::room::Rect;
use super::scene::{Item, at};
use super::style;
use super::view::View;
use super::wells::Aside;
use super::words;
use super::words::Told;
use crate::read::{Orientation, Page};
use crate::results::Results;

/// Points in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Empty border of the paper: 10 mm, which every printer leaves free.
pub(super) const MARGIN: f64 = 28.35;

/// Height of the two lines over the map.
const TITLE: f64 = 31.0;

/// Between map and panel, and between columns.
const GUTTER: f64 = 14.0;

/// Wells set aside are listed on so many lines where the panel grows with them.
const MOST_LINES: usize = 12;

/// A sheet with its parts.
#[derive(Debug)]
pub(super) struct Paper {
    /// Points.
    pub(super) width: f64,
    /// Points.
    pub(super) height: f64,
    /// What the map shows.
    pub(super) view: View,
    /// Where the panel's first column begins, and how far the next one is.
    corner: Coord,
    step: f64,
    column: f64,
    columns_height: f64,
    most_lines: usize,
}

impl Paper {
    /// The paper that the settings ask for, turned so that the site is shown largest; portrait
    /// where both show it equally large.
    pub(super) fn choose(results: &Results, aside: &[Aside]) -> Self {
        let settings = results.site.settings.sheet;
        let unit = results.control.elevation_unit();
        let page = settings.page.unwrap_or(if unit.is_foot() { Page::Letter } else { Page::A4 });
        let (low, high) = extent(results, aside);
        let portrait = || Self::portrait(page, results, aside, low, high);
        let landscape = || Self::landscape(page, results, aside, low, high);
        match settings.orientation {
            Some(Orientation::Portrait) => portrait(),
            Some(Orientation::Landscape) => landscape(),
            None => {
                let (upright, wide) = (portrait(), landscape());
                if wide.view.denominator < upright.view.denominator { wide } else { upright }
            }
        }
    }

    /// The panel in three columns below the map.
    fn portrait(page: Page, results: &Results, aside: &[Aside], low: Coord, high: Coord) -> Self {
        let [width, height] = page.sides_mm().map(|mm| mm * POINTS_PER_MM);
        let column = (width - 2.0 * MARGIN - 2.0 * GUTTER) / 3.0;
        let blocks = words::blocks(results, aside, None, column, MOST_LINES);
        let panel = panel::least_height(&blocks, 3);
        let frame = Rect {
            left: MARGIN + OUTSIDE,
            top: MARGIN + TITLE,
            right: width - MARGIN,
            bottom: height - MARGIN - panel - GUTTER - OUTSIDE,
        };
        Self {
            width,
            height,
            view: View::new(frame, low, high, results.control.elevation_unit()),
            corner: at(MARGIN, height - MARGIN - panel),
            step: column + GUTTER,
            column,
            columns_height: panel,
            most_lines: MOST_LINES,
        }
    }

    /// The panel in one column on the right, or in two where one does not hold it.
    fn landscape(page: Page, results: &Results, aside: &[Aside], low: Coord, high: Coord) -> Self {
        let [height, width] = page.sides_mm().map(|mm| mm * POINTS_PER_MM);
        let top = MARGIN + TITLE;
        let columns_height = height - MARGIN - top;
        let column = 182.0;
        // As many lines for wells set aside as the column has left.
        let blocks = |lines| words::blocks(results, aside, None, column, lines);
        let fits = |lines: &usize| panel::packed(&blocks(*lines), columns_height) == 1;
        let (columns, most_lines) = match [40, 24, 16, 12, 8, 5, 3, 2].iter().find(|n| fits(n)) {
            Some(lines) => (1.0, *lines),
            None => (2.0, MOST_LINES),
        };
        let panel = columns * column + (columns - 1.0) * GUTTER;
        let frame = Rect {
            left: MARGIN + OUTSIDE,
            top,
            right: width - MARGIN - panel - GUTTER,
            bottom: height - MARGIN - OUTSIDE,
        };
        Self {
            width,
            height,
            view: View::new(frame, low, high, results.control.elevation_unit()),
            corner: at(width - MARGIN - panel, top),
            step: column + GUTTER,
            column,
            columns_height,
            most_lines,
        }
    }

    /// The panel's items.
    pub(super) fn panel(&self, results: &Results, aside: &[Aside], told: &Told) -> Vec<Item> {
        let blocks: Vec<Block> =
            words::blocks(results, aside, Some(told), self.column, self.most_lines);
        // Some lines may have been shorter than they were measured: the blocks stay where the
        // least height puts them.
        panel::set(blocks, self.corner, self.step, self.columns_height + style::LINE)
    }
}

/// The box about all that the map should show, local m: the control points, and other wells and
/// features that stand no farther from them than they spread.
fn extent(results: &Results, aside: &[Aside]) -> (Coord, Coord) {
    let local = results.control.points().iter().map(|p| p.local);
    let (low, high) = bounds(local);
    let reach = (high.x - low.x).max(high.y - low.y) * 0.5;
    let near = |p: &Coord| {
        p.x > low.x - reach && p.x < high.x + reach && p.y > low.y - reach && p.y < high.y + reach
    };
    let others = aside.iter().filter_map(|a| a.local).chain(features::extent(results));
    bounds([low, high].into_iter().chain(others.filter(near)))
}

fn bounds(points: impl Iterator<Item = Coord>) -> (Coord, Coord) {
    let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
    points.fold((at(low, low), at(high, high)), |(l, h), p| {
        (at(l.x.min(p.x), l.y.min(p.y)), at(h.x.max(p.x), h.y.max(p.y)))
    })
}

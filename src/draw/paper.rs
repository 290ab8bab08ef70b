//! The sheet of paper: its size, which side is up, and where map and panel stand.

use geo::Coord;

use super::border::OUTSIDE;
use super::features;
use super::panel;
use super::panel::Block;
use super::room::Rect;
use super::scene::{Item, at};
use super::signs::Told;
use super::view::View;
use super::words;
use crate::geom::bounds;
use crate::read::{Orientation, Page, Settings};
use crate::report::{Posted, Results};

/// Points in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Empty border of the paper: 10 mm, which every printer leaves free.
pub(super) const MARGIN: f64 = 28.35;

/// Height of the two lines over the map.
const TITLE: f64 = 31.0;

/// Between map and panel, and between columns.
const GUTTER: f64 = 14.0;

/// Wells not used are listed on so many lines where the panel grows with them.
const MOST_LINES: usize = 12;

/// A map narrower or lower than this is none, points: an inch.
const LEAST_FRAME: f64 = 72.0;

/// Width of a column beside the map.
const COLUMN: f64 = 182.0;

/// The shorter and the longer side of the paper that a site asks for, points.
pub(super) fn sides(settings: &Settings) -> [f64; 2] {
    let usual = if settings.elevation_unit.is_foot() { Page::Letter } else { Page::A4 };
    settings.sheet.page.unwrap_or(usual).sides_mm().map(|mm| mm * POINTS_PER_MM)
}

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
    /// The paper that the settings ask for, with the panel below the map or on its right, and
    /// turned so that the site is shown largest. Where that leaves a choice, the map's frame has
    /// the shape that is nearest to the site's.
    pub(super) fn choose(results: &Results, posted: &[Posted]) -> Self {
        let settings = results.site.settings.sheet;
        let site = extent(results, posted);
        let [short, long] = sides(&results.site.settings);
        let asked = |o: Orientation| settings.orientation.is_none_or(|asked| asked == o);
        let mut papers = Vec::new();
        if asked(Orientation::Portrait) {
            papers.push(Self::below([short, long], 3, results, posted, site));
        }
        if asked(Orientation::Landscape) {
            papers.push(Self::below([long, short], 4, results, posted, site));
            papers.push(Self::beside([long, short], results, posted, site));
        }
        let shape = |width: f64, height: f64| libm::log(width.max(1e-9) / height.max(1e-9));
        let of_site = shape(site.1.x - site.0.x, site.1.y - site.0.y);
        let misfit =
            |p: &Self| (shape(p.view.frame.width(), p.view.frame.height()) - of_site).abs();
        let wide = |p: &Self| p.view.frame.width().min(p.view.frame.height()) >= LEAST_FRAME;
        if papers.iter().any(wide) {
            papers.retain(wide);
        }
        papers
            .into_iter()
            .min_by(|a, b| {
                let scale = a.view.denominator.total_cmp(&b.view.denominator);
                scale.then(misfit(a).total_cmp(&misfit(b)))
            })
            .expect("this is a bug in headfall: a sheet is neither upright nor wide")
    }

    /// The panel in columns below the map.
    fn below(
        [width, height]: [f64; 2],
        columns: usize,
        results: &Results,
        posted: &[Posted],
        site: (Coord, Coord),
    ) -> Self {
        let spaces = columns as f64 - 1.0;
        let column = (width - 2.0 * MARGIN - spaces * GUTTER) / columns as f64;
        let blocks = words::blocks(results, posted, None, column, MOST_LINES);
        let panel = panel::least_height(&blocks, columns);
        let frame = Rect {
            left: MARGIN + OUTSIDE,
            top: MARGIN + TITLE,
            right: width - MARGIN,
            bottom: height - MARGIN - panel - GUTTER - OUTSIDE,
        };
        Self {
            width,
            height,
            view: View::new(frame, site.0, site.1, results.control.elevation_unit()),
            corner: at(MARGIN, height - MARGIN - panel),
            step: column + GUTTER,
            column,
            columns_height: panel,
            most_lines: MOST_LINES,
        }
    }

    /// The panel in one column on the right of the map, or in as many as it fills.
    fn beside(
        [width, height]: [f64; 2],
        results: &Results,
        posted: &[Posted],
        site: (Coord, Coord),
    ) -> Self {
        let top = MARGIN + TITLE;
        let columns_height = height - MARGIN - top;
        // As many lines for wells not used as the column has left.
        let blocks = |lines| words::blocks(results, posted, None, COLUMN, lines);
        let filled = |lines: usize| panel::packed(&blocks(lines), columns_height);
        let (columns, most_lines) = match [40, 16, 8, 4, 2].iter().find(|n| filled(**n) == 1) {
            Some(lines) => (1, *lines),
            None => (filled(MOST_LINES), MOST_LINES),
        };
        let columns = columns as f64;
        let panel = columns * COLUMN + (columns - 1.0) * GUTTER;
        let frame = Rect {
            left: MARGIN + OUTSIDE,
            top,
            right: width - MARGIN - panel - GUTTER,
            bottom: height - MARGIN - OUTSIDE,
        };
        Self {
            width,
            height,
            view: View::new(frame, site.0, site.1, results.control.elevation_unit()),
            corner: at(width - MARGIN - panel, top),
            step: COLUMN + GUTTER,
            column: COLUMN,
            columns_height,
            most_lines,
        }
    }

    /// The panel's items.
    pub(super) fn panel(&self, results: &Results, posted: &[Posted], told: &Told) -> Vec<Item> {
        let blocks: Vec<Block> =
            words::blocks(results, posted, Some(told), self.column, self.most_lines);
        panel::set(blocks, self.corner, self.step, self.columns_height)
    }
}

/// The box about all that the map should show, local m: the control points, and other wells and
/// features that stand no farther from them than they spread.
fn extent(results: &Results, posted: &[Posted]) -> (Coord, Coord) {
    let local = results.control.points().iter().map(|p| p.local);
    let (low, high) = bounds(local);
    let reach = (high.x - low.x).max(high.y - low.y) * 0.5;
    let near = |p: &Coord| {
        p.x > low.x - reach && p.x < high.x + reach && p.y > low.y - reach && p.y < high.y + reach
    };
    let ground = results.control.frame();
    let wells = posted.iter().filter_map(|w| w.crs).map(|p| ground.to_local(p));
    let others = wells.chain(features::extent(results));
    bounds([low, high].into_iter().chain(others.filter(near)))
}

//! The sheet of paper: its size, which side is up, and where map and panel stand.

use geo::Coord;

use super::extent::extent;
use super::panel;
use super::panel::Block;
use super::parting::{
    COLUMN, GUTTER, MARGIN, Parting, TITLE, column_below, columns_below, largest,
};
use super::room::Rect;
use super::scene::{Item, at};
use super::signs::Told;
use super::style;
use super::unposted;
use super::view::View;
use super::words;
use super::words::Columns;
use crate::geom::{Frame, bounds};
use crate::read::{Panel, SheetFrame};
use crate::report::{Posted, Results};
use crate::units::LengthUnit;

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
    columns: usize,
    columns_height: f64,
    most_lines: usize,
    second_page: bool,
}

/// What the sheets of several rounds of one site need, so that all of them are parted alike.
#[derive(Debug, Clone)]
pub struct SheetNeeds {
    ways: Vec<Parting>,
    /// What the map shows, CRS units.
    site: (Coord, Coord),
    frame: Frame,
    unit: LengthUnit,
}

impl SheetNeeds {
    /// Those of one round.
    #[must_use]
    pub fn of(results: &Results) -> Self {
        let posted = results.posted();
        let frame = *results.control.frame();
        let (low, high) = extent(results, &posted);
        Self {
            ways: Parting::of(results, &posted),
            site: (frame.to_crs(low), frame.to_crs(high)),
            frame,
            unit: results.control.elevation_unit(),
        }
    }

    /// Those of another round besides.
    #[must_use]
    pub fn and(mut self, other: &Self) -> Self {
        for (way, theirs) in self.ways.iter_mut().zip(&other.ways) {
            *way = way.or(*theirs);
        }
        self.site = bounds([self.site.0, self.site.1, other.site.0, other.site.1]);
        self
    }

    /// How the sheet of each of them is parted.
    #[must_use]
    pub fn sheet_frame(&self) -> SheetFrame {
        let local = |p| self.frame.to_local(p);
        // What the rounds have not said yet, such as that they share a frame, has two lines.
        let ways: Vec<Parting> = self
            .ways
            .iter()
            .copied()
            .map(|mut way| {
                if way.panel != Panel::Beside {
                    way.columns_height += 2.0 * style::LINE;
                }
                way
            })
            .collect();
        let (way, view) = largest(&ways, (local(self.site.0), local(self.site.1)), self.unit);
        let middle = bounds([self.site.0, self.site.1]);
        SheetFrame {
            panel: way.panel,
            paper: way.paper,
            map: [view.frame.left, view.frame.top, view.frame.right, view.frame.bottom],
            columns_height: way.columns_height,
            most_lines: way.most_lines,
            second_page: way.second_page,
            denominator: view.denominator,
            middle: [f64::midpoint(middle.0.x, middle.1.x), f64::midpoint(middle.0.y, middle.1.y)],
        }
    }
}

impl Paper {
    /// The paper that the settings ask for, with the panel below the map or on its right, and
    /// turned so that the site is shown largest; or as the rounds of the site share it.
    pub(super) fn choose(results: &Results, posted: &[Posted]) -> Self {
        let common = results.site.asked.common_frame.as_ref().and_then(|frame| frame.sheet);
        if let Some(shared) = common {
            return Self::shared(&shared, results);
        }
        let unit = results.control.elevation_unit();
        let (way, view) = largest(&Parting::of(results, posted), extent(results, posted), unit);
        Self::parted(
            way.panel,
            way.paper,
            view,
            way.columns_height,
            (way.most_lines, way.second_page),
        )
    }

    fn shared(shared: &SheetFrame, results: &Results) -> Self {
        let [left, top, right, bottom] = shared.map;
        let [x, y] = shared.middle;
        let middle = results.control.frame().to_local(at(x, y));
        let frame = Rect { left, top, right, bottom };
        let enlarged = style::enlarged(&results.site.settings);
        let view = View::about(frame, middle, shared.denominator, enlarged);
        Self::parted(
            shared.panel,
            shared.paper,
            view,
            shared.columns_height,
            (shared.most_lines, shared.second_page),
        )
    }

    fn parted(
        panel: Panel,
        [width, height]: [f64; 2],
        view: View,
        columns_height: f64,
        (most_lines, second_page): (usize, bool),
    ) -> Self {
        let (column, corner) = match panel {
            Panel::Beside => (COLUMN, at(view.frame.right + GUTTER, MARGIN + TITLE)),
            Panel::BelowUpright | Panel::BelowWide => (
                column_below(width, columns_below(panel)),
                at(MARGIN, height - MARGIN - columns_height),
            ),
        };
        let step = column + GUTTER;
        let columns = columns_across(width - corner.x, step);
        Self {
            width,
            height,
            view,
            corner,
            step,
            column,
            columns,
            columns_height,
            most_lines,
            second_page,
        }
    }

    /// The panel's items, and what is for further pages.
    pub(super) fn panel(
        &self,
        results: &Results,
        posted: &[Posted],
        told: &Told,
    ) -> (Vec<Item>, Vec<Block>) {
        let columns = Columns {
            width: self.column,
            most_lines: self.most_lines,
            second_page: self.second_page,
        };
        let table = || unposted::blocks(&told.unposted, &results.site.fonts, self.column);
        let here = Told { table_on_sheet: true, ..told.clone() };
        let on_sheet = |told: &Told, table: Vec<Block>| {
            words::blocks(results, posted, Some(told), table, columns)
        };
        let whole = on_sheet(&here, table());
        let (blocks, table) = if panel::packed(&whole, self.columns_height) <= self.columns {
            (whole, Vec::new())
        } else {
            (on_sheet(told, Vec::new()), table())
        };
        let mut further = words::notes(results, posted, columns);
        further.extend(table);
        (panel::set(blocks, self.corner, self.step, self.columns_height), further)
    }

    /// Further pages: blocks in columns across the paper, so many of them to a page.
    pub(super) fn further(&self, blocks: Vec<Block>) -> Vec<Vec<Item>> {
        let (corner, height) =
            (at(MARGIN, MARGIN + TITLE), self.height - 2.0 * MARGIN - 2.0 * TITLE);
        let columns = columns_across(self.width - MARGIN, self.step);
        panel::pages(blocks, columns, height)
            .into_iter()
            .map(|page| panel::set(page, corner, self.step, height))
            .collect()
    }
}

/// How many columns a step apart fit into a width that ends at the paper's edge.
fn columns_across(width: f64, step: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts of floats saturate, and columns are a few"
    )]
    let columns = ((width - MARGIN + GUTTER + 0.01) / step) as usize;
    columns.max(1)
}

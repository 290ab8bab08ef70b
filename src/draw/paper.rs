//! The sheet of paper: its size, which side is up, and where map and panel stand.

use geo::Coord;

use super::extent::extent;
use super::insets;
use super::insets::Inset;
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
use super::view::{Turn, View};
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
    /// How it is parted, where no other round has a say in it.
    parting: Option<Parting>,
}

/// What the sheets of several rounds of one site need, so that all of them are parted alike.
#[derive(Debug, Clone)]
pub struct SheetNeeds {
    ways: Vec<Parting>,
    /// What the map shows, CRS units, turned.
    site: (Coord, Coord),
    turn: Turn,
    frame: Frame,
    unit: LengthUnit,
}

impl SheetNeeds {
    /// Those of one round.
    #[must_use]
    pub fn of(results: &Results) -> Self {
        let posted = results.posted();
        let (frame, turn) = (*results.control.frame(), Turn::of(results));
        let (low, high) = extent(results, &posted);
        Self {
            ways: Parting::of(results, &posted),
            site: (
                turn.turned(frame.to_crs(turn.back(low))),
                turn.turned(frame.to_crs(turn.back(high))),
            ),
            turn,
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
        let turn = self.turn;
        let local = |p| turn.turned(self.frame.to_local(turn.back(p)));
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
        let middle = turn.back((self.site.0 + self.site.1) / 2.0);
        SheetFrame {
            panel: way.panel,
            paper: way.paper,
            map: [view.frame.left, view.frame.top, view.frame.right, view.frame.bottom],
            columns_height: way.columns_height,
            most_lines: way.most_lines,
            second_page: way.second_page,
            denominator: view.denominator,
            middle: [middle.x, middle.y],
        }
    }
}

/// The blocks of a panel.
struct Words {
    /// With insets and table.
    on_sheet: Vec<Block>,
    /// Without them.
    without: Vec<Block>,
    /// Insets and table.
    table: Vec<Block>,
    /// What is for a second page anyway.
    notes: Vec<Block>,
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
        Self::of(largest(&Parting::of(results, posted), extent(results, posted), unit))
    }

    fn of((way, view): (Parting, View)) -> Self {
        let words = (way.most_lines, way.second_page);
        let paper = Self::parted(way.panel, way.paper, view, way.columns_height, words);
        Self { parting: Some(way), ..paper }
    }

    /// The same paper with a larger panel, in which insets and table fit, if the map is then drawn at one in `most` or larger.
    /// `None` if they fit already, and if they do not fit at that scale.
    pub(super) fn with_room(
        &self,
        results: &Results,
        posted: &[Posted],
        told: &Told,
        most: f64,
    ) -> Option<Self> {
        let blocks = self.words(results, posted, told).on_sheet;
        if panel::packed(&blocks, self.columns_height) <= self.columns {
            return None;
        }
        let unit = results.control.elevation_unit();
        let way = self.parting?.with_room_for(&blocks);
        let view = way.no_smaller(most, extent(results, posted), unit)?;
        Some(Self::of((way, view)))
    }

    fn shared(shared: &SheetFrame, results: &Results) -> Self {
        let [left, top, right, bottom] = shared.map;
        let [x, y] = shared.middle;
        let turn = Turn::of(results);
        let middle = turn.turned(results.control.frame().to_local(at(x, y)));
        let frame = Rect { left, top, right, bottom };
        let enlarged = style::enlarged(&results.site.settings);
        let view = View::about(frame, middle, turn, shared.denominator, enlarged);
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
            parting: None,
        }
    }

    /// The blocks of the panel with insets and table, and those without them.
    fn words(&self, results: &Results, posted: &[Posted], told: &Told) -> Words {
        let columns = Columns {
            width: self.column,
            most_lines: self.most_lines,
            second_page: self.second_page,
        };
        let enlarged = self.view.enlarged;
        let inset = |cluster| insets::inset(results, posted, cluster, enlarged, self.column);
        let insets: Vec<Inset> = told.clusters.iter().map(inset).collect();
        let told = told.with_insets(insets.len(), insets::without(&told.unposted, &insets));
        let mut table: Vec<Block> = insets.into_iter().map(|inset| inset.block).collect();
        table.extend(unposted::blocks(&told.unposted, &results.site.fonts, self.column));
        let here = Told { table_on_sheet: true, ..told.clone() };
        let blocks = |told, table| words::blocks(results, posted, Some(told), table, columns);
        Words {
            on_sheet: blocks(&here, table.clone()),
            without: blocks(&told, Vec::new()),
            table,
            notes: words::notes(results, posted, columns),
        }
    }

    /// The panel's items, and what is for further pages.
    pub(super) fn panel(
        &self,
        results: &Results,
        posted: &[Posted],
        told: &Told,
    ) -> (Vec<Item>, Vec<Block>) {
        let Words { on_sheet, without, table, notes: mut further } =
            self.words(results, posted, told);
        let blocks = if panel::packed(&on_sheet, self.columns_height) <= self.columns {
            on_sheet
        } else {
            further.extend(table);
            without
        };
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

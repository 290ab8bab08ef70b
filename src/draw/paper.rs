//! The sheet of paper: its size, which side is up, and where map and panel stand.

use geo::Coord;

use super::border::OUTSIDE;
use super::extent::extent;
use super::panel;
use super::panel::Block;
use super::room::Rect;
use super::scene::{Item, at};
use super::signs::Told;
use super::style;
use super::unposted;
use super::view::View;
use super::words;
use crate::geom::{Frame, bounds};
use crate::read::{Orientation, Panel, PanelPlace, Settings, SheetFrame};
use crate::report::{Posted, Results};
use crate::units::LengthUnit;

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

/// The shorter and the longer side of the paper that a site asks for, points before the sheet is enlarged.
pub(super) fn sides(settings: &Settings) -> [f64; 2] {
    settings.page().sides_mm().map(|mm| mm * POINTS_PER_MM / style::enlarged(settings))
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
    columns: usize,
    columns_height: f64,
    most_lines: usize,
}

/// A way to part the paper that may be chosen, points.
#[derive(Debug, Clone, Copy)]
struct Parting {
    panel: Panel,
    paper: [f64; 2],
    /// Columns of the panel.
    columns: usize,
    columns_height: f64,
    most_lines: usize,
    /// The scale that is asked for: one in so much.
    scale: Option<f64>,
    /// How much the sheet is enlarged once it is drawn.
    enlarged: f64,
}

impl Parting {
    /// The ways that the settings allow, with the room that the words of these results need.
    fn of(results: &Results, posted: &[Posted]) -> Vec<Self> {
        let settings = results.site.settings.sheet;
        let [short, long] = sides(&results.site.settings);
        let asked = |o: Orientation| settings.orientation.is_none_or(|asked| asked == o);
        let below = settings.panel != Some(PanelPlace::Beside);
        let beside = settings.panel != Some(PanelPlace::Below);
        let mut ways = Vec::new();
        if asked(Orientation::Portrait) && below {
            ways.push(Self::below(Panel::BelowUpright, [short, long], results, posted));
        }
        if asked(Orientation::Landscape) && below {
            ways.push(Self::below(Panel::BelowWide, [long, short], results, posted));
        }
        // Beside a map on upright paper only where that is asked for: it leaves a narrow one.
        if beside && (asked(Orientation::Landscape) || !below) {
            let paper = match settings.orientation {
                Some(Orientation::Portrait) => [short, long],
                _ => [long, short],
            };
            ways.push(Self::beside(paper, results, posted));
        }
        ways
    }

    /// The panel in columns below the map.
    fn below(panel: Panel, paper: [f64; 2], results: &Results, posted: &[Posted]) -> Self {
        let columns = columns_below(panel);
        let blocks = words::blocks(
            results,
            posted,
            None,
            Vec::new(),
            column_below(paper[0], columns),
            MOST_LINES,
        );
        let columns_height = panel::least_height(&blocks, columns);
        let (scale, enlarged) = asked_for(results);
        Self { panel, paper, columns, columns_height, most_lines: MOST_LINES, scale, enlarged }
    }

    /// The panel in one column on the right of the map, or in as many as it fills.
    fn beside(paper: [f64; 2], results: &Results, posted: &[Posted]) -> Self {
        let columns_height = paper[1] - MARGIN - (MARGIN + TITLE);
        // As many lines for wells not used as the column has left.
        let blocks = |lines| words::blocks(results, posted, None, Vec::new(), COLUMN, lines);
        let filled = |lines: usize| panel::packed(&blocks(lines), columns_height);
        let (columns, most_lines) = match [40, 16, 8, 4, 2].iter().find(|n| filled(**n) == 1) {
            Some(lines) => (1, *lines),
            None => (filled(MOST_LINES), MOST_LINES),
        };
        let (scale, enlarged) = asked_for(results);
        let panel = Panel::Beside;
        Self { panel, paper, columns, columns_height, most_lines, scale, enlarged }
    }

    /// The same with room for the words of both.
    fn or(self, other: Self) -> Self {
        Self {
            columns: self.columns.max(other.columns),
            columns_height: self.columns_height.max(other.columns_height),
            most_lines: self.most_lines.min(other.most_lines),
            ..self
        }
    }

    /// Where it leaves room for the map.
    fn map(&self) -> Rect {
        let [width, height] = self.paper;
        let panel = match self.panel {
            Panel::Beside => {
                let columns = self.columns as f64;
                columns * COLUMN + (columns - 1.0) * GUTTER + GUTTER
            }
            Panel::BelowUpright | Panel::BelowWide => self.columns_height + GUTTER,
        };
        let beside = if self.panel == Panel::Beside { [panel, 0.0] } else { [0.0, panel] };
        Rect {
            left: MARGIN + OUTSIDE,
            top: MARGIN + TITLE,
            right: width - MARGIN - beside[0],
            bottom: height - MARGIN - beside[1] - OUTSIDE,
        }
    }

    /// With what the map shows.
    fn showing(&self, (low, high): (Coord, Coord), unit: LengthUnit) -> (Self, View) {
        let view = match self.scale {
            Some(scale) => View::about(self.map(), (low + high) / 2.0, scale, self.enlarged),
            None => View::new(self.map(), (low, high), unit, self.enlarged),
        };
        (*self, view)
    }
}

/// The scale that the settings ask for, and how much the sheet is enlarged.
fn asked_for(results: &Results) -> (Option<f64>, f64) {
    let settings = &results.site.settings;
    (settings.sheet.scale, style::enlarged(settings))
}

/// Columns of a panel below the map.
const fn columns_below(panel: Panel) -> usize {
    if matches!(panel, Panel::BelowUpright) { 3 } else { 4 }
}

/// Their width on paper of a width.
fn column_below(width: f64, columns: usize) -> f64 {
    (width - 2.0 * MARGIN - (columns as f64 - 1.0) * GUTTER) / columns as f64
}

/// Of several ways to part the paper, all for one site, the one that shows it largest. Where that leaves a choice, the
/// one whose frame it fills most on its longer side, then the one whose shape is nearest to the site's.
fn largest(ways: &[Parting], site: (Coord, Coord), unit: LengthUnit) -> (Parting, View) {
    let mut papers: Vec<(Parting, View)> = ways.iter().map(|way| way.showing(site, unit)).collect();
    let shape = |width: f64, height: f64| libm::log(width.max(1e-9) / height.max(1e-9));
    let of_site = shape(site.1.x - site.0.x, site.1.y - site.0.y);
    let misfit = |view: &View| (shape(view.frame.width(), view.frame.height()) - of_site).abs();
    let wide =
        |(_, view): &(Parting, View)| view.frame.width().min(view.frame.height()) >= LEAST_FRAME;
    let empty = |view: &View| {
        let (width, height) = (view.frame.width(), view.frame.height());
        let (side, shown) = match width > height {
            true => (width, site.1.x - site.0.x),
            false => (height, site.1.y - site.0.y),
        };
        -shown * view.points_per_m() / side
    };
    if papers.iter().any(wide) {
        papers.retain(wide);
    }
    papers
        .into_iter()
        .min_by(|(_, a), (_, b)| {
            let by_scale = a.denominator.total_cmp(&b.denominator);
            let by_fill = empty(a).total_cmp(&empty(b));
            by_scale.then(by_fill).then(misfit(a).total_cmp(&misfit(b)))
        })
        .expect("this is a bug in headfall: a sheet is neither upright nor wide")
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
            .map(|way| match way.panel {
                Panel::Beside => *way,
                _ => Parting { columns_height: way.columns_height + 2.0 * style::LINE, ..*way },
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
        Self::parted(way.panel, way.paper, view, way.columns_height, way.most_lines)
    }

    fn shared(shared: &SheetFrame, results: &Results) -> Self {
        let [left, top, right, bottom] = shared.map;
        let [x, y] = shared.middle;
        let middle = results.control.frame().to_local(at(x, y));
        let frame = Rect { left, top, right, bottom };
        let enlarged = style::enlarged(&results.site.settings);
        let view = View::about(frame, middle, shared.denominator, enlarged);
        Self::parted(shared.panel, shared.paper, view, shared.columns_height, shared.most_lines)
    }

    fn parted(
        panel: Panel,
        [width, height]: [f64; 2],
        view: View,
        columns_height: f64,
        most_lines: usize,
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
        Self { width, height, view, corner, step, column, columns, columns_height, most_lines }
    }

    /// The panel's items, and what is for further pages.
    pub(super) fn panel(
        &self,
        results: &Results,
        posted: &[Posted],
        told: &Told,
    ) -> (Vec<Item>, Vec<Block>) {
        let notes = || words::notes(results, posted, told, self.column);
        let table = || unposted::blocks(&told.unposted, self.column);
        let here = Told { table_on_sheet: true, ..told.clone() };
        let on_sheet = |told: &Told, table: Vec<Block>| {
            words::blocks(results, posted, Some(told), table, self.column, self.most_lines)
        };
        let whole = on_sheet(&here, table());
        let fits = panel::packed(&whole, self.columns_height) <= self.columns;
        let (blocks, further) = if fits {
            (whole, notes())
        } else {
            let mut further = notes();
            further.extend(table());
            (on_sheet(told, Vec::new()), further)
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

//! Ways to part the paper into map and panel, and the one that shows the site largest.

use geo::Coord;

use super::border::OUTSIDE;
use super::panel;
use super::panel::Block;
use super::room::Rect;
use super::style;
use super::view::{Turn, View};
use super::words;
use super::words::Columns;
use crate::read::{Orientation, Panel, PanelPlace, Settings};
use crate::report::{Posted, Results};
use crate::units::LengthUnit;

/// Points in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Empty border of the paper: 10 mm before it is enlarged, which every printer leaves free.
pub(super) const MARGIN: f64 = 28.35;

/// Height of the two lines over the map.
pub(super) const TITLE: f64 = 31.0;

/// Between map and panel, and between columns.
pub(super) const GUTTER: f64 = 14.0;

/// Wells not used are listed on so many lines where the panel grows with them.
const MOST_LINES: usize = 12;

/// A map narrower or lower than this is none, points: an inch.
const LEAST_FRAME: f64 = 72.0;

/// Words that leave the map smaller than one in this of what it may be go to a second page, where nothing is said of them; so do
/// insets and table.
pub(super) const MUCH_SMALLER: f64 = 1.5;

/// Width of a column beside the map.
pub(super) const COLUMN: f64 = 182.0;

/// The shorter and the longer side of the paper that a site asks for, points before the sheet is enlarged.
pub(super) fn sides(settings: &Settings) -> [f64; 2] {
    settings.page().sides_mm().map(|mm| mm * POINTS_PER_MM / style::enlarged(settings))
}

/// How much wider the empty border is than usual, points before the sheet is enlarged.
pub(super) fn wider_border(settings: &Settings) -> f64 {
    let points = |mm: f64| mm * POINTS_PER_MM / style::enlarged(settings) - MARGIN;
    settings.sheet.margin_mm.map_or(0.0, points)
}

/// What the words of a sheet are made of.
#[derive(Debug, Clone, Copy)]
struct Words<'a> {
    results: &'a Results<'a>,
    posted: &'a [Posted<'a>],
}

impl Words<'_> {
    /// The blocks on the sheet, as long as they may become.
    fn blocks(self, columns: Columns) -> Vec<Block> {
        words::blocks(self.results, self.posted, None, Vec::new(), columns)
    }
}

/// A way to part the paper that may be chosen, points.
#[derive(Debug, Clone, Copy)]
pub(super) struct Parting {
    pub(super) panel: Panel,
    pub(super) paper: [f64; 2],
    /// Columns of the panel.
    columns: usize,
    pub(super) columns_height: f64,
    pub(super) most_lines: usize,
    /// Whether most words are for a second page.
    pub(super) second_page: bool,
    /// The scale that is asked for: one in so much.
    scale: Option<f64>,
    /// How the map is turned.
    turn: Turn,
    /// How much the sheet is enlarged once it is drawn.
    enlarged: f64,
}

impl Parting {
    /// The ways that the settings allow, with the room that the words of these results need.
    pub(super) fn of(results: &Results, posted: &[Posted]) -> Vec<Self> {
        let settings = results.site.settings.sheet;
        let wider = wider_border(&results.site.settings);
        let [short, long] = sides(&results.site.settings).map(|side| side - 2.0 * wider);
        let asked = |o: Orientation| settings.orientation.is_none_or(|asked| asked == o);
        let below = settings.panel != Some(PanelPlace::Beside);
        let beside = settings.panel != Some(PanelPlace::Below);
        let pages: &[bool] = match settings.panel {
            None => &[false, true],
            Some(place) => &[place == PanelPlace::SecondPage],
        };
        let words = Words { results, posted };
        let mut ways = Vec::new();
        for second_page in pages.iter().copied() {
            if asked(Orientation::Portrait) && below {
                ways.push(Self::below(Panel::BelowUpright, [short, long], words, second_page));
            }
            if asked(Orientation::Landscape) && below {
                ways.push(Self::below(Panel::BelowWide, [long, short], words, second_page));
            }
            // Beside a map on upright paper only where that is asked for: it leaves a narrow one.
            if beside && (asked(Orientation::Landscape) || !below) {
                let paper = match settings.orientation {
                    Some(Orientation::Portrait) => [short, long],
                    _ => [long, short],
                };
                ways.push(Self::beside(paper, words, second_page));
            }
        }
        ways
    }

    /// The panel in columns below the map.
    fn below(panel: Panel, paper: [f64; 2], words: Words, second_page: bool) -> Self {
        let columns = columns_below(panel);
        let blocks = words.blocks(Columns {
            width: column_below(paper[0], columns),
            most_lines: MOST_LINES,
            second_page,
        });
        let columns_height = panel::least_height(&blocks, columns);
        Self {
            panel,
            paper,
            columns,
            columns_height,
            most_lines: MOST_LINES,
            second_page,
            ..Self::asked_for(words.results)
        }
    }

    /// The panel in one column on the right of the map, or in as many as it fills.
    fn beside(paper: [f64; 2], words: Words, second_page: bool) -> Self {
        let columns_height = paper[1] - MARGIN - (MARGIN + TITLE);
        // As many lines for wells not used as the column has left.
        let blocks = |most_lines| words.blocks(Columns { width: COLUMN, most_lines, second_page });
        let filled = |lines: usize| panel::packed(&blocks(lines), columns_height);
        let (columns, most_lines) = match [40, 16, 8, 4, 2].iter().find(|n| filled(**n) == 1) {
            Some(lines) => (1, *lines),
            None => (filled(MOST_LINES), MOST_LINES),
        };
        Self {
            panel: Panel::Beside,
            paper,
            columns,
            columns_height,
            most_lines,
            second_page,
            ..Self::asked_for(words.results)
        }
    }

    /// Nothing yet but the scale that the settings ask for, and how much the sheet is enlarged.
    fn asked_for(results: &Results) -> Self {
        let settings = &results.site.settings;
        Self {
            panel: Panel::Beside,
            paper: [0.0; 2],
            columns: 0,
            columns_height: 0.0,
            most_lines: 0,
            second_page: false,
            scale: settings.sheet.scale,
            turn: Turn::of(results),
            enlarged: style::enlarged(settings),
        }
    }

    /// The same with room for the words of both.
    pub(super) fn or(self, other: Self) -> Self {
        Self {
            columns: self.columns.max(other.columns),
            columns_height: self.columns_height.max(other.columns_height),
            most_lines: self.most_lines.min(other.most_lines),
            ..self
        }
    }

    /// The same with a panel as high, or of as many columns, as the blocks need.
    pub(super) fn with_room_for(self, blocks: &[Block]) -> Self {
        match self.panel {
            Panel::Beside => {
                let columns = panel::packed(blocks, self.columns_height);
                Self { columns, ..self }
            }
            Panel::BelowUpright | Panel::BelowWide => {
                let columns_height = panel::least_height(blocks, self.columns);
                Self { columns_height, ..self }
            }
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

    /// What the map shows, where the site has room at the scale that is asked for, or at one in `most` or larger.
    pub(super) fn no_smaller(
        &self,
        most: f64,
        site: (Coord, Coord),
        unit: LengthUnit,
    ) -> Option<View> {
        let map = self.map();
        if map.width().min(map.height()) < LEAST_FRAME {
            return None;
        }
        let needed = View::new(map, site, self.turn, unit, self.enlarged).denominator;
        let (_, view) = self.showing(site, unit);
        (needed <= self.scale.unwrap_or(most)).then_some(view)
    }

    /// With what the map shows.
    fn showing(&self, (low, high): (Coord, Coord), unit: LengthUnit) -> (Self, View) {
        let view = match self.scale {
            Some(scale) => {
                View::about(self.map(), (low + high) / 2.0, self.turn, scale, self.enlarged)
            }
            None => View::new(self.map(), (low, high), self.turn, unit, self.enlarged),
        };
        (*self, view)
    }
}

/// Columns of a panel below the map.
pub(super) const fn columns_below(panel: Panel) -> usize {
    if matches!(panel, Panel::BelowUpright) { 3 } else { 4 }
}

/// Their width on paper of a width.
pub(super) fn column_below(width: f64, columns: usize) -> f64 {
    (width - 2.0 * MARGIN - (columns as f64 - 1.0) * GUTTER) / columns as f64
}

/// Of several ways to part the paper, all for one site, the one that shows it largest. Most words go to a second page where
/// they would leave the map much smaller, if that is a way.
pub(super) fn largest(ways: &[Parting], site: (Coord, Coord), unit: LengthUnit) -> (Parting, View) {
    let with = |second_page: bool| {
        let some = ways.iter().filter(|way| way.second_page == second_page);
        largest_of(some.map(|way| way.showing(site, unit)).collect(), site)
    };
    match (with(false), with(true)) {
        (Some(one), Some(two)) if one.1.denominator > MUCH_SMALLER * two.1.denominator => two,
        (Some(one), _) => one,
        (None, two) => two.expect("this is a bug in headfall: a sheet is neither upright nor wide"),
    }
}

/// The one that shows a site largest. Where that leaves a choice, the one whose frame it fills most on its longer side, then
/// the one whose shape is nearest to the site's.
fn largest_of(mut papers: Vec<(Parting, View)>, site: (Coord, Coord)) -> Option<(Parting, View)> {
    let shape = |width: f64, height: f64| libm::log(width.max(1e-9) / height.max(1e-9));
    let of_site = shape(site.1.x - site.0.x, site.1.y - site.0.y);
    let misfit = |view: &View| (shape(view.frame.width(), view.frame.height()) - of_site).abs();
    let wide =
        |(_, view): &(Parting, View)| view.frame.width().min(view.frame.height()) >= LEAST_FRAME;
    let empty = |view: &View| {
        let (width, height) = (view.frame.width(), view.frame.height());
        let (side, shown) = if width > height {
            (width, site.1.x - site.0.x)
        } else {
            (height, site.1.y - site.0.y)
        };
        -shown * view.points_per_m() / side
    };
    if papers.iter().any(wide) {
        papers.retain(wide);
    }
    papers.into_iter().min_by(|(_, a), (_, b)| {
        let by_scale = a.denominator.total_cmp(&b.denominator);
        let by_fill = empty(a).total_cmp(&empty(b));
        by_scale.then(by_fill).then(misfit(a).total_cmp(&misfit(b)))
    })
}

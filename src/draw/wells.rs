//! Wells on the sheet: what is posted of them, and their symbols.

use geo::Coord;

use super::font::Words;
use super::room::Patch;
use super::scene::{Colour, Item, Paint, Run, Stroke, at};
use super::shortened::fitted_apart;
use super::style;
use super::view::View;
use crate::report::{Posted, Results, WellSign};

/// How far off labels may be, points: a few steps on maps that have room, beside the well on others.
const FAR_RINGS: &[f64] = &[0.6, 9.0, 18.0];
const NEAR_RINGS: &[f64] = &[0.6];

/// The longest name that is written whole, points.
const LONGEST_NAME: f64 = 62.0;

/// The arms of a cross over the radius of a ring: they show where both stand in one place.
pub(super) const CROSS: f64 = 1.35;

/// The outer ring of a pumped well over the radius of a ring.
const PUMPED: f64 = 1.5;

/// The radius of a pumped well's sign where wells are dots, points.
const LEAST_PUMPED: f64 = 1.4;

/// What lies between a sign and the frame about it, over the radius of a ring.
const FRAME_GAP: f64 = 0.8;

/// The arms of a frame's corners over half its side.
const FRAME_ARM: f64 = 0.45;

/// How wells are posted, by their number. Deterministic, and told on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Posting {
    /// Half the width of a symbol, points.
    pub(super) radius: f64,
    /// The size of names and heads; none are written where it is `None`.
    pub(super) size: Option<f64>,
    /// How far off its well a label may be, points: farther ones have a line to it.
    pub(super) rings: &'static [f64],
    /// One symbol is drawn in a square of this side, points; 0 draws all.
    pub(super) spacing: f64,
}

impl Posting {
    /// | wells | symbols | names and heads |
    /// |---|---|---|
    /// | to 60 | 2.3 points | 6.2 points |
    /// | to 400 | 1.7 | 6.2 |
    /// | to 4000 | 1.1 | 6.2, beside the well only |
    /// | more | 0.6, one in each 1.5 points | none |
    pub(super) const fn of(wells: usize) -> Self {
        match wells {
            0..=60 => {
                Self { radius: 2.3, size: Some(style::SMALLEST), rings: FAR_RINGS, spacing: 0.0 }
            }
            61..=400 => {
                Self { radius: 1.7, size: Some(style::SMALLEST), rings: FAR_RINGS, spacing: 0.0 }
            }
            401..=4000 => {
                Self { radius: 1.1, size: Some(style::SMALLEST), rings: NEAR_RINGS, spacing: 0.0 }
            }
            _ => Self { radius: 0.6, size: None, rings: NEAR_RINGS, spacing: 1.5 },
        }
    }
}

/// How far a well's sign reaches with the frame about it, over the radius of a ring.
pub(super) fn reach(well: &OnSheet) -> f64 {
    own_reach(well.sign) + if well.unfit { FRAME_GAP } else { 0.0 }
}

/// How far a sign reaches, over the radius of a ring.
const fn own_reach(sign: WellSign) -> f64 {
    match sign {
        WellSign::Well | WellSign::Gauge | WellSign::LeftOut => 1.0,
        WellSign::Pumped => PUMPED,
        WellSign::NotUsed | WellSign::Judged => CROSS,
    }
}

/// A well on the sheet.
#[derive(Debug, Clone)]
pub(super) struct OnSheet<'a> {
    pub(super) at: Coord,
    pub(super) id: &'a str,
    /// Its name as it is written.
    pub(super) name: Words,
    /// Whether it had to be shortened.
    pub(super) shortened: bool,
    pub(super) sign: WellSign,
    /// The head, elevation unit; `None` for one that does not carry the map.
    pub(super) head: Option<f64>,
    /// Whether the head was corrected for floating product.
    pub(super) corrected: bool,
    /// Whether the head does not fit its neighbours.
    pub(super) unfit: bool,
    /// How many warnings there are about it.
    pub(super) warnings: usize,
    /// The head as it is posted, floating product, warnings.
    pub(super) posted: Vec<String>,
}

/// All wells that stand in the frame.
pub(super) fn on_sheet<'a>(
    results: &Results<'a>,
    posted: &[Posted<'a>],
    view: &View,
) -> Vec<OnSheet<'a>> {
    let ground = results.map.control.frame();
    let unit = results.round.depth_unit;
    let frame = view.frame.inset(3.0);
    let letters = &results.site.fonts;
    let of = |w: &Posted<'a>| {
        let at = view.to_sheet(ground.to_local(w.crs?));
        let name = Words::of(w.id, letters);
        let well = OnSheet {
            at,
            id: w.id,
            name,
            shortened: false,
            sign: w.sign,
            head: w.head,
            corrected: w.corrected,
            unfit: w.unfit,
            posted: [w.head_words(), w.product_words(unit), w.warning_words()]
                .into_iter()
                .flatten()
                .collect(),
            warnings: w.warnings.len(),
        };
        frame.holds(at).then_some(well)
    };
    let mut wells: Vec<OnSheet> = posted.iter().filter_map(of).collect();
    if let Some(size) = Posting::of(wells.len()).size {
        let names = fitted_apart(wells.iter().map(|w| w.id), letters, LONGEST_NAME, size);
        for (well, name) in wells.iter_mut().zip(names) {
            well.shortened = name != well.name;
            well.name = name;
        }
    }
    wells
}

/// What the symbols cover. The corners of a frame give way to labels: a short contour about a head that does not fit
/// has no other place for its own.
pub(super) fn symbols_cover(wells: &[OnSheet], posting: Posting) -> Vec<Patch> {
    let side = |w: &OnSheet| 2.0 * own_reach(w.sign) * posting.radius + 1.0;
    wells.iter().map(|w| Patch::upright(w.at, side(w), side(w))).collect()
}

/// The colour of names and heads.
pub(super) const fn letters(sign: WellSign) -> Colour {
    match sign {
        WellSign::NotUsed | WellSign::LeftOut => style::GREY,
        WellSign::Judged => style::JUDGED,
        WellSign::Well | WellSign::Gauge | WellSign::Pumped => style::INK,
    }
}

/// The symbols. Of very many wells one is drawn in each small square of the sheet: the first.
pub(super) fn items(wells: &[OnSheet], posting: Posting) -> Vec<Item> {
    // Crosses first: a well of the map may stand beside one of another unit.
    let drawn = |sign: WellSign, radius: f64| {
        let some = wells.iter().filter(move |w| w.sign == sign);
        some.flat_map(move |w| symbol(sign, w.at, radius))
    };
    if posting.spacing > 0.0 {
        let mut dots: Vec<Coord> = wells
            .iter()
            .filter(|w| !matches!(w.sign, WellSign::Pumped | WellSign::Judged))
            .map(|w| {
                let cell = |v: f64| ((v / posting.spacing).floor() + 0.5) * posting.spacing;
                at(cell(w.at.x), cell(w.at.y))
            })
            .collect();
        dots.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        dots.dedup();
        let r = posting.radius;
        let runs = dots
            .into_iter()
            .map(|p| Run {
                points: vec![p - at(r, r), p + at(r, -r), p + at(r, r), p + at(-r, r)],
                closed: true,
            })
            .collect();
        let dots = Item::Path(runs, Paint::fill(style::INK));
        let signs = [WellSign::Pumped, WellSign::Judged].into_iter();
        let more = signs.flat_map(|sign| drawn(sign, LEAST_PUMPED));
        return std::iter::once(dots).chain(more).chain(frames(wells, LEAST_PUMPED)).collect();
    }
    let signs = [
        WellSign::NotUsed,
        WellSign::LeftOut,
        WellSign::Pumped,
        WellSign::Well,
        WellSign::Gauge,
        WellSign::Judged,
    ];
    let drawn = signs.into_iter().flat_map(|sign| drawn(sign, posting.radius));
    drawn.chain(frames(wells, posting.radius)).collect()
}

/// The frames about wells whose heads do not fit.
fn frames(wells: &[OnSheet], radius: f64) -> impl Iterator<Item = Item> {
    wells.iter().filter(|w| w.unfit).map(move |w| frame(w.sign, w.at, radius))
}

/// The frame about a well whose head does not fit its neighbours: the four corners of a square.
pub(super) fn frame(sign: WellSign, p: Coord, r: f64) -> Item {
    let half = (own_reach(sign) + FRAME_GAP) * r;
    let arm = FRAME_ARM * half;
    let corner = |(east, south): (f64, f64)| {
        let corner = p + at(east * half, south * half);
        let points = vec![corner - at(east * arm, 0.0), corner, corner - at(0.0, south * arm)];
        Run { points, closed: false }
    };
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(corner);
    Item::Path(corners.to_vec(), Paint::stroke(Stroke::new(style::INK, 0.35 * r)))
}

/// A well: a ring with a dot. A pumped well: a disc in a ring. A gauge: a triangle on its point.
/// Not used: a grey cross. Left out by decision: a grey ring, crossed through. Judged: an open diamond.
pub(super) fn symbol(sign: WellSign, p: Coord, r: f64) -> Vec<Item> {
    let cross = |arm: f64| {
        let cross = |dx: f64| Run { points: vec![p - at(dx, arm), p + at(dx, arm)], closed: false };
        let stroke = Stroke::new(style::GREY, 0.4 * r);
        Item::Path(vec![cross(arm), cross(-arm)], Paint::stroke(stroke))
    };
    let edge = Stroke::new(style::INK, 0.35 * r);
    let ring = |outer: f64, inner: f64| {
        let ring = Item::Circle(p, outer * r, Paint::both(style::WHITE, edge));
        vec![ring, Item::Circle(p, inner * r, Paint::fill(style::INK))]
    };
    match sign {
        WellSign::Well => return ring(1.0, 0.35),
        WellSign::Pumped => return ring(PUMPED, 0.9),
        WellSign::NotUsed => return vec![cross(CROSS * r)],
        WellSign::LeftOut => {
            let edge = Stroke::new(style::GREY, 0.35 * r);
            let ring = Item::Circle(p, r, Paint::both(style::WHITE, edge));
            return vec![ring, cross(0.7 * r)];
        }
        WellSign::Judged => {
            let arm = CROSS * r;
            let corners =
                vec![p + at(0.0, -arm), p + at(arm, 0.0), p + at(0.0, arm), p + at(-arm, 0.0)];
            let edge = Stroke::new(style::JUDGED, 0.45 * r);
            return vec![Item::area(corners, Paint::both(style::WHITE, edge))];
        }
        WellSign::Gauge => {}
    }
    let points = vec![p + at(-r, -0.8 * r), p + at(r, -0.8 * r), p + at(0.0, r)];
    vec![Item::area(points, Paint::both(style::WATER, edge))]
}

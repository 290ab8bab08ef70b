//! Hydrographs: as many to a sheet as there is room for.

use geo::Coord;

use super::axes::axes;
use crate::draw::font::{Words, sentence};
use crate::draw::items::Items;
use crate::draw::room::Rect;
use crate::draw::scene::{Item, Paint, Run, Stroke, Text, at};
use crate::draw::style::{FLOW, GREY, INK, RECEPTOR, SOURCE, WATER, WHITE};
use crate::read::Status;
use crate::record::HeadRow;
use crate::report::{HydrographGroup, Plot, Ranged, SiteRecord, TimeAxis, measures};

/// Plots beside each other, and the least width of one, points.
const ACROSS: usize = 3;
const NARROWEST: f64 = 220.0;

/// Heights of a plot with all that belongs to it, and of a group's title, points.
const HEIGHT: f64 = 138.0;
const TITLE: f64 = 18.0;
const GUTTER: f64 = 16.0;

/// Height of letters beside a plot and the distance of its lines, which are so many at most.
const NOTE: (f64, f64) = (6.0, 7.4);
const MOST_LINES: usize = 3;

const DOUBT: Stroke = Stroke::new(FLOW, 0.9);

/// A plot is drawn for each well, in the groups of the page.
pub(super) fn hydrographs(record: &SiteRecord, time: &TimeAxis, room: Rect) -> Vec<Items> {
    let (groups, more) = record.hydrographs();
    let mut sheets: Vec<Items> = Vec::new();
    let mut y = f64::INFINITY;
    let columns = (1..=ACROSS)
        .rev()
        .find(|n| (room.width() + GUTTER) / *n as f64 - GUTTER >= NARROWEST)
        .unwrap_or(1);
    let width = (room.width() + GUTTER) / columns as f64 - GUTTER;
    for group in &groups {
        let mut titled = false;
        for wells in group.wells.chunks(columns) {
            let need = if titled { HEIGHT } else { HEIGHT + TITLE };
            if y + need > room.bottom {
                let mut sheet = Items::default();
                y = key(&mut sheet, room, record);
                sheets.push(sheet);
            }
            let Some(sheet) = sheets.last_mut() else { continue };
            if !titled {
                title(sheet, record, group, at(room.left, y + 11.0));
                y += TITLE;
                titled = true;
            }
            for (k, of) in wells.iter().enumerate() {
                let left = room.left + k as f64 * (width + GUTTER);
                let place = Rect { left, top: y, right: left + width, bottom: y + HEIGHT };
                hydrograph(sheet, record, time, (of, group.span), place);
            }
            y += HEIGHT;
        }
    }
    if let Some(sheet) = sheets.last_mut().filter(|_| more > 0) {
        let text = format!("{more} more wells: record-levels.csv");
        sheet.text(at(room.left, room.bottom), NOTE.0, GREY, &text);
    }
    sheets
}

fn title(items: &mut Items, record: &SiteRecord, group: &HydrographGroup, from: Coord) {
    let unit = record.record.elevation_unit.in_words();
    let text =
        format!("{}: span of every axis {} {unit}", group.title, measures::posted(group.span));
    items.bold(from, 9.0, Words::sentence(&text, &record.site.fonts).fitted(440.0, 9.0, true));
}

/// Draws a sign about a place.
type Sign = fn(&mut Items, Coord);

/// What the signs mean; gives where the plots may begin.
fn key(items: &mut Items, room: Rect, record: &SiteRecord) -> f64 {
    let y = room.top + 6.0;
    let mut x = room.left;
    let unit = record.record.elevation_unit.in_words();
    let signs: [(&str, Sign); 7] = [
        ("head", |items, p| point(items, p, false)),
        ("corrected for floating product", |items, p| point(items, p, true)),
        ("dry, below", |items, p| dry(items, at(p.x, p.y + 2.5))),
        ("no head", unread),
        ("measuring point surveyed anew", |items, p| {
            items.line([at(p.x, p.y - 4.0), at(p.x, p.y + 4.0)], resurveyed());
        }),
        ("doubtful", |items, p| items.0.push(Item::Circle(p, 3.4, Paint::stroke(DOUBT)))),
        ("end of the screen", |items, p| {
            items.line([at(p.x - 5.0, p.y), at(p.x + 5.0, p.y)], screen_edge());
        }),
    ];
    for (text, sign) in signs {
        sign(items, at(x + 4.0, y));
        let words = Words::new(text);
        let text = Text::new(at(x + 11.0, y + 2.2), words, 6.4, false, GREY);
        x += 11.0 + text.width() + 9.0;
        items.0.push(Item::Text(text));
    }
    let text = format!("Heads in {unit}; one axis of time for all.");
    items.text(at(room.left, y + 13.0), 6.4, GREY, &text);
    y + 20.0
}

const fn resurveyed() -> Stroke {
    Stroke::new(INK, 0.7).dashed([1.2, 1.8])
}

const fn screen_edge() -> Stroke {
    Stroke::new(RECEPTOR, 0.7).dashed([4.0, 2.0])
}

fn hydrograph(
    items: &mut Items,
    record: &SiteRecord,
    time: &TimeAxis,
    (of, span): (&Ranged, f64),
    place: Rect,
) {
    let (low, high) = of.ends(span);
    let plot = Plot {
        left: place.left + 30.0,
        right: place.right,
        top: place.top + 16.0,
        bottom: place.bottom - 36.0,
        time,
        low,
        high,
    };
    let row = &record.record.wells[of.well];
    let letters = &record.site.fonts;
    let name = Words::of(&row.well, letters).fitted(place.width(), 8.0, true);
    items.bold(at(place.left, place.top + 8.0), 8.0, name);
    axes(items, &plot, 3.0);
    for (level, text, below) in [
        (row.built.screen_top, "top of screen", false),
        (row.built.screen_bottom, "bottom of screen", true),
    ] {
        let Some(level) = level.filter(|level| plot.has(*level)) else { continue };
        let y = plot.y(level);
        items.line([at(plot.left, y), at(plot.right, y)], screen_edge());
        let under = if below { 6.4 } else { -1.8 };
        items.text(at(plot.left + 2.0, y + under), 5.4, RECEPTOR, text);
    }
    marks(items, record, of.well, &plot);
    let words = record.beside(of.well).join(" ");
    let mut words = sentence(&words, letters, place.width(), NOTE.0, false);
    if words.len() > MOST_LINES {
        let rest: Vec<&str> = words[MOST_LINES - 1..].iter().map(Words::text).collect();
        let rest = Words::sentence(&rest.join(" "), letters).fitted(place.width(), NOTE.0, false);
        words.splice(MOST_LINES - 1.., [rest]);
    }
    for (k, words) in words.into_iter().enumerate() {
        let y = plot.bottom + 17.5 + NOTE.1 * k as f64;
        items.words(at(place.left, y), NOTE.0, GREY, words);
    }
}

fn marks(items: &mut Items, record: &SiteRecord, well: usize, plot: &Plot<'_>) {
    let rows = record.record.heads_of(well);
    for row in rows.iter().filter(|h| h.resurveyed) {
        let Some(x) = row.day.map(|day| plot.x(day)) else { continue };
        items.line([at(x, plot.top), at(x, plot.bottom)], resurveyed());
    }
    let is_dry = |h: &HeadRow| h.head.is_none() && h.status == Status::Dry;
    for run in rows.split(is_dry) {
        let points: Vec<Coord> =
            run.iter().filter_map(|h| Some(at(plot.x(h.day?), plot.y(h.head?)))).collect();
        items.0.push(Item::line(points, Stroke::new(WATER, 0.8)));
    }
    for row in rows {
        let Some(x) = row.day.map(|day| plot.x(day)) else { continue };
        match (row.head, row.below) {
            (Some(head), _) => point(items, at(x, plot.y(head)), row.product.is_some()),
            (None, below) if is_dry(row) => {
                dry(items, at(x, below.map_or(plot.bottom, |below| plot.y(below))));
            }
            (None, _) => unread(items, at(x, plot.bottom - 4.0)),
        }
    }
    for doubt in record.doubts(well) {
        let row = rows.iter().find(|h| h.round == doubt.round);
        let Some((day, head)) = row.and_then(|h| Some((h.day?, h.head?))) else { continue };
        let p = at(plot.x(day), plot.y(head));
        items.0.push(Item::Circle(p, 3.4, Paint::stroke(DOUBT)));
        let late = plot.is_late(day);
        let (aside, up) = if doubt.above { (-4.0, -5.6) } else { (5.6, 2.0) };
        let from = at(if late { p.x - aside } else { p.x + aside }, p.y + up);
        let text =
            Text::new(from, Words::sentence(&doubt.text, &record.site.fonts), 6.2, false, FLOW);
        items.0.push(Item::Text(if late { text.ending() } else { text }));
    }
}

fn point(items: &mut Items, p: Coord, product: bool) {
    items.0.push(if product {
        let r = 1.8;
        let square = Rect { left: p.x - r, top: p.y - r, right: p.x + r, bottom: p.y + r };
        Item::area(square.corners(), Paint::fill(SOURCE))
    } else {
        Item::Circle(p, 1.7, Paint::fill(WATER))
    });
}

/// A triangle whose tip is at the level that the water is below.
fn dry(items: &mut Items, tip: Coord) {
    let corners = vec![at(tip.x - 2.6, tip.y - 4.6), at(tip.x + 2.6, tip.y - 4.6), tip];
    items.0.push(Item::area(corners, Paint::both(WHITE, Stroke::new(INK, 0.7))));
}

fn unread(items: &mut Items, p: Coord) {
    let line = |up: f64| Run {
        points: vec![at(p.x - 1.9, p.y + up), at(p.x + 1.9, p.y - up)],
        closed: false,
    };
    let runs = vec![line(1.9), line(-1.9)];
    items.0.push(Item::Path(runs, Paint::stroke(Stroke::new(GREY, 0.8))));
}

//! The scale bar and the north arrow.

use geo::Coord;

use super::panel::Block;
use super::scene::{Item, Paint, Run, Stroke, Text, at};
use super::signs::Told;
use super::{font, style};
use crate::interpolate::RoundNumber;
use crate::read::NorthUp;
use crate::report::{Norths, Results};
use crate::units;

/// The scale bar and the north arrow.
pub(super) fn block(results: &Results, told: Option<&Told>, width: f64) -> Block {
    let unit = results.control.elevation_unit();
    let mut block = Block::new(&results.site.fonts, width, "Scale and north");
    let top = block.height;
    block.space(38.0);
    let Some(told) = told else { return block };
    let words = told.view.scale_words(unit);
    let (metres, name) = match unit.is_foot() {
        true => (unit.metres(), "ft"),
        false if told.view.points_per_m() * 2000.0 < width * 0.55 => (1000.0, "km"),
        false => (1.0, "m"),
    };
    let per_unit = told.view.points_per_m() * metres;
    let longest = width - 62.0;
    let length = RoundNumber::at_most(longest / per_unit).value();
    block.add(bar(length, per_unit, name), at(4.0, top + 12.0));
    let text = Text::new(at(0.0, 0.0), font::Words::new(&words), style::BODY, true, style::INK);
    block.add(vec![Item::Text(text)], at(0.0, top + 29.0));
    let norths = Norths::of(&results.control);
    let up = if is_true_up(results) { 0.0 } else { -norths.turn_deg() };
    block.add(north(norths, up), at(width - 13.0, top + 16.0));
    let turn = units::fixed(norths.turn_deg().abs(), 2);
    let plan = norths.plan.words();
    let note = match norths.convergence_deg {
        None => "true north not known".to_owned(),
        Some(_) if turn == "0.00" => format!("{plan} is true north"),
        Some(east) if east > 0.0 => format!("{plan} {turn}° east of N"),
        Some(_) => format!("{plan} {turn}° west of N"),
    };
    let mut note =
        Text::new(at(0.0, 0.0), font::Words::new(&note), style::SMALLEST, false, style::GREY);
    note = note.ending();
    block.add(vec![Item::Text(note)], at(block.width(), top + 38.0));
    block
}

/// Two halves, the first filled, with their lengths.
fn bar(length: f64, per_unit: f64, unit: &str) -> Vec<Item> {
    let whole = length * per_unit;
    let half = whole / 2.0;
    let edge = Stroke::new(style::INK, 0.6);
    let cell = |from: f64, to: f64, paint| {
        Item::area(vec![at(from, 0.0), at(to, 0.0), at(to, 3.6), at(from, 3.6)], paint)
    };
    let mut items = vec![
        cell(0.0, half, Paint::both(style::INK, edge)),
        cell(half, whole, Paint::both(style::WHITE, edge)),
    ];
    let decimals =
        |v: f64| (0..3).find(|d| (v * units::power_of_ten(*d)).fract() == 0.0).unwrap_or(3);
    let unit = format!(" {unit}");
    for (x, value, unit) in [(0.0, 0.0, ""), (half, length / 2.0, ""), (whole, length, &unit)] {
        let text = format!("{}{unit}", units::grouped(value, decimals(value)));
        let words = font::Words::new(&text);
        let text = Text::new(at(x, -2.0), words, style::SMALLEST, false, style::INK);
        items.push(Item::Text(if x == 0.0 { text } else { text.centred() }));
    }
    items
}

/// Whether true north is up.
fn is_true_up(results: &Results) -> bool {
    results.site.settings.sheet.north == NorthUp::True
}

/// Places turned clockwise about the origin.
fn turned_by(degrees: f64) -> impl Fn(f64, f64) -> Coord {
    let turn = degrees.to_radians();
    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
    move |x, y| at(x * cos - y * sin, x * sin + y * cos)
}

/// A needle toward true north, dark on its eastern half, and the grid's north beside it; toward site north
/// where true north is not known.
fn north(norths: Norths, needle_deg: f64) -> Vec<Item> {
    let turned = turned_by(needle_deg);
    let of_plan = turned_by(needle_deg + norths.turn_deg());
    let edge = Stroke::new(style::INK, 0.5);
    let (tip, tail) = (turned(0.0, -9.0), turned(0.0, 13.0));
    let waist = [turned(-3.4, 6.0), turned(3.4, 6.0)];
    let (letter, size) = if norths.both { ("N", 7.6) } else { ("Site N", 6.6) };
    let letter =
        Text::new(at(0.0, 0.0), font::Words::new(letter), size, true, style::INK).centred();
    let mut letter = Item::Text(letter);
    letter.shift(turned(0.0, -13.5) + at(0.0, 2.7));
    vec![
        Item::Path(
            vec![Run { points: vec![of_plan(0.0, 13.0), of_plan(0.0, -9.0)], closed: false }],
            Paint::stroke(Stroke::new(style::GREY, 0.4)),
        ),
        Item::area(vec![tip, waist[0], tail], Paint::both(style::WHITE, edge)),
        Item::area(vec![tip, waist[1], tail], Paint::both(style::INK, edge)),
        letter,
    ]
}

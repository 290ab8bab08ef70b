//! What holds for the whole drawing: its unit, the size of its texts, its layers.

use std::collections::BTreeSet;

use geo::Coord;

use super::entities::Entity;
use crate::report::{Height, Results, digits};
use crate::units::LengthUnit;
use crate::write::vector::proportions;

/// What stands before the entities and behind them: a code and a value on each line. The names are those of
/// the DXF reference for AC1015.
const HEADER: &str = include_str!("header.txt");
const TRAILER: &str = include_str!("trailer.txt");

/// Lengths in heights of text: of the sign of a well, a dash, the gap behind it.
const SIGN: f64 = 0.5;
const DASH: f64 = 1.2;
const GAP: f64 = 0.6;

/// The map fills so much of what is seen when the drawing is opened.
const FILLS: f64 = 0.7;

/// Heavy and usual lines, hundredths of a millimetre; -3 is the drawing program's own.
const HEAVY: i32 = 50;
const USUAL: i32 = -3;

/// Layers are numbered from here; the header has the numbers below, entities those from 0x20000.
const FIRST_LAYER: usize = 0x100;

/// What holds for the whole drawing.
#[derive(Debug)]
pub(super) struct Frame {
    /// The unit of eastings, northings and elevations, where it is one that a drawing can state.
    unit: Option<LengthUnit>,
    /// That of heads.
    heads: LengthUnit,
    metres_per_unit: f64,
    /// The height of a text, units of the drawing.
    pub(super) height: f64,
    /// Its corners: south-west and north-east of the control points, units of the drawing.
    pub(super) corners: [Coord; 2],
}

impl Frame {
    pub(super) fn of(results: &Results) -> Self {
        let control = &results.control;
        let metres_per_unit = control.crs().metres_per_unit();
        Self {
            unit: LengthUnit::from_metres(metres_per_unit),
            heads: control.elevation_unit(),
            metres_per_unit,
            height: proportions::height(results),
            corners: proportions::corners(results),
        }
    }

    /// An elevation in the unit of the drawing.
    pub(super) fn elevation(&self, height: Height) -> f64 {
        match self.unit {
            Some(LengthUnit::Metre) => height.m,
            Some(unit) if unit == self.heads.foot() => height.ft,
            _ => digits::height(height.m / self.metres_per_unit),
        }
    }

    /// The text before the entities.
    pub(super) fn header(&self, entities: &[Entity]) -> String {
        let names: BTreeSet<&str> = entities.iter().map(|e| e.layer.as_str()).collect();
        let layers: Vec<String> = std::iter::once("0")
            .chain(names)
            .enumerate()
            .map(|(i, name)| layer(FIRST_LAYER + i, name))
            .collect();
        let [low, high] = self.corners;
        let (width, depth) = (high.x - low.x, high.y - low.y);
        // The header gives what is seen 3 wide and 2 high.
        let view = depth.max(width / 1.5) / FILLS;
        let number = |value: f64| digits::position(value).to_string();
        let (units, metric) = match self.unit {
            Some(LengthUnit::Metre) => ("6", "1"),
            Some(LengthUnit::Foot) => ("2", "0"),
            Some(LengthUnit::UsSurveyFoot) => ("21", "0"),
            None => ("0", "1"),
        };
        let height = |times: f64| (self.height * times).to_string();
        let filled = [
            ("{units}", units.to_owned()),
            ("{metric}", metric.to_owned()),
            ("{height}", height(1.0)),
            ("{point}", height(SIGN)),
            ("{dash}", height(DASH)),
            ("{gap}", height(GAP)),
            ("{period}", height(DASH + GAP)),
            ("{east}", number(f64::midpoint(low.x, high.x))),
            ("{north}", number(f64::midpoint(low.y, high.y))),
            ("{view}", number(view)),
            ("{layers}", layers.len().to_string()),
            ("{layer}", layers.join("\n")),
        ];
        let text = filled.iter().fold(HEADER.to_owned(), |text, (gap, v)| text.replace(gap, v));
        pairs(&text)
    }

    /// The text behind the entities.
    pub(super) fn trailer() -> String {
        pairs(TRAILER)
    }
}

/// A code on a line of its own, its value on the next.
fn pairs(text: &str) -> String {
    let pair = |line: &str| {
        let (code, value) = line.split_once(' ').unwrap_or((line, ""));
        format!("{code}\n{value}\n")
    };
    text.lines().map(pair).collect()
}

/// A layer: what is on it takes its colour, its line and its weight from it.
fn layer(number: usize, name: &str) -> String {
    let dashed = name.ends_with("_inferred") || name.ends_with("_not_known");
    let line = if dashed { "Dashed" } else { "Continuous" };
    let weight = if name.contains("_index") { HEAVY } else { USUAL };
    let colour = colour(name);
    format!(
        "0 LAYER\n5 {number:X}\n330 2\n100 AcDbSymbolTableRecord\n100 AcDbLayerTableRecord\n\
         2 {name}\n70 0\n62 {colour}\n6 {line}\n370 {weight}\n390 F"
    )
}

/// The colour of a layer, by its number in drawings.
fn colour(name: &str) -> u8 {
    const RED: u8 = 1;
    const CYAN: u8 = 4;
    const BLUE: u8 = 5;
    const MAGENTA: u8 = 6;
    const BLACK_OR_WHITE: u8 = 7;
    const GREY: u8 = 8;
    const ORANGE: u8 = 30;
    const GREEN: u8 = 94;
    let begins = |beginnings: &[&str]| beginnings.iter().any(|b| name.starts_with(b));
    if begins(&["wells_not_used"]) {
        GREY
    } else if begins(&["contours"]) {
        BLUE
    } else if begins(&["stream", "reaches"]) {
        CYAN
    } else if begins(&["judged_points", "control_lines"]) {
        RED
    } else if begins(&["barriers"]) {
        MAGENTA
    } else if begins(&["source", "paths"]) {
        ORANGE
    } else if begins(&["receptor"]) {
        GREEN
    } else {
        BLACK_OR_WHITE
    }
}

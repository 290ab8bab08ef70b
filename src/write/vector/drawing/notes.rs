//! What the drawing must be read with, below the map.

use geo::Coord;

use super::entities::{Anchor, Entity, Shape, Text};
use super::frame::Frame;
use crate::report::{Facts, Norths, Results, surface_of};

/// The longest line, letters: about the width of a map.
const WIDEST: usize = 110;

/// From what is drawn to the notes, in heights of text.
const BELOW: f64 = 4.0;

/// The facts and cautions of the map, below everything that is drawn.
pub(super) fn notes(results: &Results, frame: &Frame, drawn: &[Entity]) -> Entity {
    let (facts, control) = (Facts::of(results), &results.control);
    let crs = control.crs();
    let unit = facts.aquifer_unit.as_ref().map_or_else(String::new, |unit| format!(", {unit}"));
    let measured = facts.measured.as_ref().map_or_else(String::new, |when| format!(", {when}"));
    let heads = facts.heads();
    let (north, coordinates) = (Norths::of(control).plan.words(), crs.unit_name());
    let surface = surface_of(results.site.settings.aquifer);
    let surface = surface[..1].to_lowercase() + &surface[1..];
    let mut notes = vec![
        format!("{}: {surface}{unit}, {}{measured}", facts.site, facts.round),
        format!("Heads: {heads}. Contours {}; from {}.", facts.contours, facts.control),
        format!("Coordinates and elevations (Z): {}, {coordinates}; {north} is up.", crs.name()),
        format!("Dashed contours: {}.", results.uncertainty.inferred_rule),
        format!(
            "Arrows: direction of flow; dashed where it is not known to within {} degrees.",
            results.uncertainty.directions.within_deg
        ),
    ];
    notes.extend(results.short_cautions());
    notes.push(concat!("headfall ", env!("CARGO_PKG_VERSION")).to_owned());
    let words = notes.iter().map(|note| wrapped(note)).collect::<Vec<_>>().join("\n");
    let [low, _] = frame.corners;
    let lowest = drawn.iter().flat_map(|e| e.shape.places()).map(|p| p.y).fold(low.y, f64::min);
    let at = Coord { x: low.x, y: lowest - BELOW * frame.height };
    let text = Text { words, at, anchor: Anchor::UpperLeft, turn_deg: 0.0 };
    Entity { layer: "notes".to_owned(), shape: Shape::Text(text), z: None }
}

/// A note on as many lines as it needs.
fn wrapped(note: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    for word in note.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= WIDEST => {
                *line += " ";
                *line += word;
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines.join("\n")
}

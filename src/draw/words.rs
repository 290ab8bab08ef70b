//! What the sheet says in words.

use super::panel::Block;
use super::scene::{Item, Paint, Run, Stroke, Text, at};
use super::style;
use super::view::View;
use super::wells::Aside;
use super::{arrows, border, font, legend};
use crate::interpolate::RoundNumber;
use crate::read::Moment;
use crate::results::Results;
use crate::uncertainty::DirectionInterval;
use crate::uncertainty::PlaneFit;

/// What the map itself tells, once it is drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Told {
    /// Wells with their name on the map, and all wells on the map.
    pub(super) named: (usize, usize),
    /// Contours that are longer than a label and have no room for one.
    pub(super) unlabelled: usize,
    /// The gradient of an arrow of the legend's length.
    pub(super) arrow: Option<f64>,
    /// Where the map looks.
    pub(super) view: View,
}

/// The blocks of the panel in their order.
pub(super) fn blocks(
    results: &Results,
    aside: &[Aside],
    told: Option<&Told>,
    width: f64,
    most_lines: usize,
) -> Vec<Block> {
    let mut blocks =
        vec![scale(results, told, width), facts(results, told, width), gradient(results, width)];
    blocks.extend(receptors(results, width));
    blocks.push(legend::block(results, !aside.is_empty(), told, width));
    blocks.extend(set_aside(aside, width, most_lines));
    blocks.push(cautions(results, width));
    blocks
}

/// The two lines over the map: what it shows, where, when.
pub(super) fn title(results: &Results) -> (String, String) {
    let paths = if results.toward.is_some() { " and flow paths" } else { "" };
    let mut shown = format!("Potentiometric surface{paths}");
    if let Some(unit) = results.control.aquifer_unit() {
        shown = format!("{shown}, {unit}");
    }
    if let Some(when) = when(results) {
        shown = format!("{shown}, {when}");
    }
    (results.site.settings.name.clone(), shown)
}

/// When the heads behind the map were read.
fn when(results: &Results) -> Option<String> {
    let (from, to) = results.control.from_to()?;
    let time = |m: Moment| match m {
        Moment::Time(t) => Some(t.strftime("%H:%M").to_string()),
        Moment::Day(_) => None,
    };
    let day = |m: Moment| m.date().to_string();
    Some(match (time(from), time(to)) {
        (Some(a), Some(b)) if from.date() == to.date() => format!("{} {a} to {b}", day(from)),
        (a, b) => {
            let whole = |d: String, t: Option<String>| match t {
                Some(t) => format!("{d} {t}"),
                None => d,
            };
            let (from, to) = (whole(day(from), a), whole(day(to), b));
            if from == to { from } else { format!("{from} to {to}") }
        }
    })
}

fn facts(results: &Results, told: Option<&Told>, width: f64) -> Block {
    let (site, control) = (results.site, results.control);
    let unit = control.elevation_unit();
    let mut block = Block::new(width, "This map");
    block.pair("Round", &site.round);
    if let Some(when) = when(results) {
        block.pair("Read", &when);
    }
    block.pair("Aquifer unit", control.aquifer_unit().unwrap_or("not named"));
    let heads = match &site.settings.vertical_datum {
        Some(datum) => format!("{unit} above {datum}"),
        None => format!("{unit}, vertical datum not given"),
    };
    block.pair("Heads", &heads);
    let crs = control.crs();
    let coordinates = if crs.definition().len() > 24 || crs.definition() == crs.name() {
        crs.name().to_owned()
    } else {
        format!("{} ({})", crs.name(), crs.definition())
    };
    block.pair("Coordinates", &format!("{coordinates}, {}", crs.unit_name()));
    block.pair(
        "Contours",
        &format!("every {} {unit}, heavy every fifth", results.contours.interval),
    );
    block.pair("Surface", &results.surface.words);
    block.pair("Wells", &wells(told, control.wells().len()));
    let unlabelled = told.map_or(0, |t| t.unlabelled);
    if unlabelled > 0 || told.is_none() {
        let lines =
            if unlabelled == 1 { "1 line has" } else { &format!("{unlabelled} lines have") };
        block.pair("Labels", &format!("{lines} no room for a label"));
    }
    block.pair("Drawn by", concat!("headfall ", env!("CARGO_PKG_VERSION")));
    block
}

fn wells(told: Option<&Told>, mapped: usize) -> String {
    match told {
        Some(Told { named: (named, all), .. }) if named < all => format!(
            "{mapped} mapped; {} of {all} on the sheet without name and head for lack of room",
            all - named
        ),
        // The measure of the longest that may stand here.
        None => format!(
            "{mapped} mapped; {mapped} of {mapped} on the sheet without name and head \
             for lack of room"
        ),
        Some(_) => format!("{mapped} mapped, each with name and head"),
    }
}

fn gradient(results: &Results, width: f64) -> Block {
    let flow = results.flow;
    let mut block = Block::new(width, "Gradient of the whole site");
    let error = results.uncertainty.plane.as_ref().map(|p| *p.stated());
    let mut text = significant(flow.plane_gradient);
    if let Some(error) = error {
        let [low, high] = [error.magnitude.low, error.magnitude.high].map(significant);
        text = format!("{text} (95 %: {low} to {high})");
    }
    block.pair("Gradient", &text);
    let convergence = results.control.factors().convergence_deg;
    let toward = flow.plane_azimuth_true.map_or_else(
        || "none: the plane is level".to_owned(),
        |a| match error {
            Some(error) if !error.resolved => "direction not resolved".to_owned(),
            Some(error) => {
                let interval = match error.direction.turned(convergence) {
                    DirectionInterval::Arc { from, to } => {
                        format!("95 %: {:.0}° to {:.0}°", from.degrees(), to.degrees())
                    }
                    DirectionInterval::WholeCircle => "95 %: the whole circle".to_owned(),
                };
                format!("{:.0}° from true north, {} ({interval})", a.degrees(), a.compass_point())
            }
            None => format!("{:.0}° from true north, {}", a.degrees(), a.compass_point()),
        },
    );
    block.pair("Flow toward", &toward);
    let wells = results.control.wells().len();
    block.pair("From", &format!("least-squares plane through {wells} wells"));
    if results.uncertainty.plane.as_ref().is_some_and(|p| p.fit == PlaneFit::Poor) {
        let words = "the plane does not describe the heads: read triangles and contours";
        block.pair("Fit", words);
    }
    block
}

/// What the paths meet, where that was asked.
fn receptors(results: &Results, width: f64) -> Option<Block> {
    /// So many pairs of source and receptor are told.
    const MOST: usize = 5;
    let toward = results.toward?;
    let mut block = Block::new(width, "Does it flow toward the receptors?");
    let name = |place: usize| toward.places[place].name.as_str();
    let verdicts = toward.by_weight();
    for v in verdicts.iter().take(MOST) {
        let pair = format!("{} to {}", name(v.source), name(v.receptor));
        block.under(&pair, &toward.answer(v, results.control));
    }
    if verdicts.len() > MOST {
        let more = format!("and {} more, see receptors.csv", verdicts.len() - MOST);
        block.say(&more, false, style::GREY);
    }
    let open = toward.open_sources();
    if !open.is_empty() {
        let text = format!(
            "Direction of flow not resolved at {}: rest no decision on these paths.",
            open.join(", ")
        );
        block.say(&text, true, style::INK);
    }
    block.space(2.0);
    if let Some(ranges) = toward.ranges(results.control.elevation_unit()) {
        let text = format!("Times are ranges over the 95 % interval of the gradient, {ranges}.");
        block.say(&text, false, style::INK);
    }
    block.say(
        "Paths of the mean flow at the time of the round. Dispersion makes the first arrival \
         earlier. Not considered: preferential pathways, change with seasons, stages and pumping, \
         vertical flow, decay. Simulated rounds hold the errors of the heads alone.",
        false,
        style::INK,
    );
    Some(block)
}

/// A number with three significant digits.
pub(super) fn significant(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held between 0 and 12"
    )]
    let decimals = (2.0 - libm::floor(libm::log10(value.abs()))).clamp(0.0, 12.0) as usize;
    format!("{value:.decimals$}")
}

fn set_aside(aside: &[Aside], width: f64, most_lines: usize) -> Option<Block> {
    if aside.is_empty() {
        return None;
    }
    // Wells that share their reasons stand together.
    let mut groups: Vec<(Vec<&str>, String)> = Vec::new();
    for well in aside {
        let reason = well.reasons.join("; ");
        match groups.iter_mut().find(|g| g.1 == reason) {
            Some(group) => group.0.push(well.id),
            None => groups.push((vec![well.id], reason)),
        }
    }
    let heading = match aside.len() {
        1 => "1 well set aside, not mapped".to_owned(),
        n => format!("{n} wells set aside, not mapped"),
    };
    let empty = Block::new(width, &heading);
    let most = empty.height + style::LINE * (most_lines as f64 + 0.5);
    let mut block = empty;
    let mut told = 0;
    for (wells, reason) in &groups {
        let mut longer = block.clone();
        longer.entry(wells, reason);
        let last = told + wells.len() == aside.len();
        if longer.height + if last { 0.0 } else { style::LINE } > most {
            let more = aside.len() - told;
            let more = if told == 0 { more.to_string() } else { format!("and {more} more") };
            block.say(&format!("{more}, see heads.csv"), false, style::GREY);
            break;
        }
        told += wells.len();
        block = longer;
    }
    Some(block)
}

fn cautions(results: &Results, width: f64) -> Block {
    let mut block = Block::new(width, "Cautions");
    block.say("Interpretation between wells is inferred.", true, style::INK);
    let arrows = if results.flow_crosses_contours() {
        "Flow is drawn as in an isotropic aquifer."
    } else {
        "Arrows are those of planes through three wells each, as in an isotropic aquifer; they need \
         not cross the contours of this surface at right angles."
    };
    let pumping = if results.has_cones() {
        "Pumping is considered as steady, confined cones at the pumped wells of the surface alone. \
         Tides, recharge,"
    } else {
        "Tides, pumping, recharge,"
    };
    let text = format!(
        "Screening aid: local codes and a licensed professional decide. Horizontal flow in one \
         aquifer unit at one time only. {arrows} {pumping} density, anisotropy and vertical \
         gradients are not considered."
    );
    block.say(&text, false, style::INK);
    block
}

/// The scale bar and the north arrow.
fn scale(results: &Results, told: Option<&Told>, width: f64) -> Block {
    let unit = results.control.elevation_unit();
    let mut block = Block::new(width, "Scale and north");
    let top = block.height;
    block.space(30.0);
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
    let convergence = results.control.factors().convergence_deg;
    block.add(north(convergence), at(width - 13.0, top + 16.0));
    let side = if convergence >= 0.0 { "east" } else { "west" };
    let note = format!("grid north {:.2}° {side} of N", convergence.abs());
    let mut note =
        Text::new(at(0.0, 0.0), font::Words::new(&note), style::BODY - 1.2, false, style::GREY);
    note = note.ending();
    block.add(vec![Item::Text(note)], at(block.width() - 24.0, top + 29.0));
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
        |v: f64| [1.0, 10.0, 100.0].iter().position(|tens| (v * tens).fract() == 0.0).unwrap_or(3);
    let unit = format!(" {unit}");
    for (x, value, unit) in [(0.0, 0.0, ""), (half, length / 2.0, ""), (whole, length, &unit)] {
        let text = format!("{}{unit}", border::grouped(value, decimals(value)));
        let words = font::Words::new(&text);
        let text = Text::new(at(x, -2.0), words, style::BODY - 0.8, false, style::INK);
        items.push(Item::Text(if x == 0.0 { text } else { text.centred() }));
    }
    items
}

/// A needle toward true north, dark on its eastern half, and the grid's north beside it.
fn north(convergence_deg: f64) -> Vec<Item> {
    let turn = (-convergence_deg).to_radians();
    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
    let turned = |x: f64, y: f64| at(x * cos - y * sin, x * sin + y * cos);
    let edge = Stroke::new(style::INK, 0.5);
    let (tip, tail) = (turned(0.0, -9.0), turned(0.0, 13.0));
    let waist = [turned(-3.4, 6.0), turned(3.4, 6.0)];
    let letter = Text::new(at(0.0, 0.0), font::Words::new("N"), 7.6, true, style::INK).centred();
    let mut letter = Item::Text(letter);
    letter.shift(turned(0.0, -13.5) + at(0.0, 2.7));
    vec![
        Item::Path(
            vec![Run { points: vec![at(0.0, 13.0), at(0.0, -9.0)], closed: false }],
            Paint::stroke(Stroke::new(style::GREY, 0.4)),
        ),
        Item::area(vec![tip, waist[0], tail], Paint::both(style::WHITE, edge)),
        Item::area(vec![tip, waist[1], tail], Paint::both(style::INK, edge)),
        letter,
    ]
}

/// The arrow's scale, in words.
pub(super) fn arrow_words(told: Option<&Told>) -> String {
    let mm = |points: f64| points / 72.0 * 25.4;
    // Before the map is drawn, the measure of the longest that may stand here.
    match told.map_or(Some(0.000_123), |t| t.arrow) {
        Some(gradient) => format!(
            "flow, direction resolved: an arrow of this length is a gradient of {}; none is \
             shorter than {:.0} mm or longer than {:.0} mm",
            significant(gradient),
            mm(arrows::SHORTEST),
            mm(arrows::LONGEST)
        ),
        None => "flow, direction resolved".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_digits_are_kept() {
        for (value, text) in [
            (0.004_123, "0.00412"),
            (0.0401, "0.0401"),
            (1.234, "1.23"),
            (0.0, "0"),
            (123.4, "123"),
            (0.005, "0.00500"),
        ] {
            assert_eq!(significant(value), text);
        }
    }
}

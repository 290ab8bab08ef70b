//! What the sheet says in words.

use super::panel::Block;
use super::scene::{Item, Paint, Run, Stroke, Text, at};
use super::signs::{Sign, Told, has, significant};
use super::style;
use super::wells::Aside;
use super::{answers, border, font, legend};
use crate::diag::Code;
use crate::flow::MOST_OF_AREA;
use crate::interpolate::RoundNumber;
use crate::read::Moment;
use crate::report::{Followed, Results, counted};
use crate::uncertainty::DirectionInterval;
use crate::units;

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
    blocks.extend(answers::receptors(results, width));
    blocks.extend(answers::capture(results, width));
    blocks.push(legend::block(results, aside, told, width));
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
    let (site, control) = (&results.site, &results.control);
    let unit = control.elevation_unit();
    let mut block = Block::new(width, "This map");
    block.pair("Round", &results.round.name);
    if let Some(when) = when(results) {
        block.pair("Read", &when);
    }
    block.pair("Aquifer unit", control.aquifer_unit().unwrap_or("not named"));
    let heads = match &site.settings.vertical_datum {
        Some(datum) => format!("{} above {datum}", unit.in_words()),
        None => format!("{}, vertical datum not given", unit.in_words()),
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
        &format!("every {} {}, heavy every fifth", results.contours.interval, unit.in_words()),
    );
    block.pair("Surface", &results.surface.words);
    block.pair("Mapped", &mapped(told, &results.carriers(), control.wells().len()));
    if let Some(points) = results.stream_points() {
        block.pair("Streams", &format!("{points} along them, from declared stages"));
    }
    // Before the map is drawn, the measure of the most that may stand here.
    let (unlabelled, unnamed) = told.map_or((100, 100), |t| (t.unlabelled, t.unnamed));
    let mut labels = Vec::new();
    if has(told, Sign::Shortened) {
        labels.push("long names are shortened (…), whole in heads.csv".to_owned());
    }
    if unlabelled > 0 {
        labels
            .push(format!("{} without level: too short, or no room", counted(unlabelled, "line")));
    }
    if unnamed > 0 {
        labels.push(format!("no room for {} beside the wells", counted(unnamed, "name")));
    }
    if !labels.is_empty() {
        block.pair("Labels", &labels.join("; "));
    }
    let findings = if results.findings.is_empty() {
        "none".to_owned()
    } else {
        format!("{}: read them in report.html", results.findings_words())
    };
    block.pair("Findings", &findings);
    block.pair("Drawn by", concat!("headfall ", env!("CARGO_PKG_VERSION")));
    block
}

fn mapped(told: Option<&Told>, carriers: &str, number: usize) -> String {
    match told {
        Some(Told { named: (named, all), .. }) if named < all => format!(
            "{carriers}; {} of {all} on the sheet without name and head for lack of room",
            all - named
        ),
        // The measure of the longest that may stand here.
        None => format!(
            "{carriers}; {number} of {number} on the sheet without name and head for lack of room"
        ),
        Some(_) => format!("{carriers}, each with name and head"),
    }
}

fn gradient(results: &Results, width: f64) -> Block {
    let mut block = Block::new(width, "Gradient of the whole site");
    if results.plane_describes() {
        let (gradient, toward) = plane(results);
        block.pair("Gradient", &gradient);
        block.pair("Flow toward", &toward);
        block.pair("From", &format!("least-squares plane through {}", results.carriers()));
    } else {
        let (gradient, toward) = over_map(results);
        block.pair("Flow toward", &toward);
        block.pair("Gradient", &gradient);
        let (gradient, _) = plane(results);
        let told = format!(
            "a least-squares plane through {} has a gradient of {gradient}, but does not describe \
             their heads (M416): report neither its gradient nor its direction",
            results.carriers()
        );
        block.pair("Plane", &told);
    }
    if results.plane_describes()
        && results.uncertainty.plane.as_ref().is_some_and(|p| p.stated.only_just)
    {
        let words = "only just resolved: such a direction holds in fewer than 95 of 100 rounds";
        block.pair("Direction", words);
    }
    if results.flow.plane.residual_sd.is_none() {
        block.pair("Fit", "exact, and no proof: a plane always fits three wells");
    }
    if results.findings.iter().any(|f| f.code == Code::ThinNetwork) {
        let words = "the wells nearly stand on one line: the direction across it is poorly known";
        block.pair("Caution", words);
    }
    block
}

/// Gradient and direction as they range over the map.
fn over_map(results: &Results) -> (String, String) {
    let Some(range) = &results.flow.over_map else {
        return ("not known".to_owned(), "not known".to_owned());
    };
    let area = format!("over {} % of the area", units::fixed(100.0 * MOST_OF_AREA, 0));
    let [low, high] = [range.gradient_low, range.gradient_high].map(significant);
    let toward = match range.azimuths_true {
        Some([from, to]) => {
            let [from, to] = [from, to].map(units::Azimuth::whole_degrees);
            format!("{from}° to {to}° from true north, {area}")
        }
        None => format!("no single direction: more than half the circle {area}"),
    };
    (format!("{low} to {high}, {area}"), toward)
}

/// Gradient and direction of the plane through the wells, with their 95 % intervals.
fn plane(results: &Results) -> (String, String) {
    let flow = &results.flow;
    let error = results.uncertainty.plane.as_ref().map(|p| p.stated);
    let mut gradient = significant(flow.plane_gradient);
    if let Some(error) = error {
        let [low, high] = [error.magnitude.low, error.magnitude.high].map(significant);
        gradient = format!("{gradient} (95 %: {low} to {high})");
    }
    let convergence = results.control.factors().convergence_deg;
    let toward = flow.plane_azimuth_true.map_or_else(
        || "none: the plane is level".to_owned(),
        |a| match error {
            Some(error) if !error.resolved => "direction not resolved".to_owned(),
            Some(error) => {
                let interval = match error.direction.turned(convergence) {
                    DirectionInterval::Arc { from, to } => {
                        format!("95 %: {}° to {}°", from.whole_degrees(), to.whole_degrees())
                    }
                    DirectionInterval::WholeCircle => "95 %: the whole circle".to_owned(),
                };
                format!(
                    "{}° from true north, {} ({interval})",
                    a.whole_degrees(),
                    a.compass_point()
                )
            }
            None => format!("{}° from true north, {}", a.whole_degrees(), a.compass_point()),
        },
    );
    (gradient, toward)
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
    let arrows = match results.arrows_follow() {
        Followed::Triangles => {
            "Directions must not be read off this surface: arrows are those of planes through three \
             wells each, as in an isotropic aquifer, and need not cross its contours at right \
             angles."
        }
        Followed::Planes => "Flow is drawn as in an isotropic aquifer.",
        Followed::Surface => {
            "Arrows follow this surface, as in an isotropic aquifer; the planes through three wells \
             each may say otherwise (flow.geojson)."
        }
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
    let turn = units::fixed(convergence.abs(), 2);
    let note = match convergence {
        _ if turn == "0.00" => "grid north is true north".to_owned(),
        east if east > 0.0 => format!("grid north {turn}° east of N"),
        _ => format!("grid north {turn}° west of N"),
    };
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
        |v: f64| (0..3).find(|d| (v * units::power_of_ten(*d)).fract() == 0.0).unwrap_or(3);
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

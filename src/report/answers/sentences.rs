//! The answer in one sentence for each source: what sheet, page and terminal begin with.

use std::fmt::Write as _;

use crate::report::norths::Norths;
use crate::report::results::Results;
use crate::toward::{KnownBy, Outcome, Role, Toward, Verdict};
use crate::uncertainty::LEVEL;
use crate::units::{Azimuth, Span, fixed, time_words};

/// Of more sources no sentence is written: the table says it all.
const MOST_SOURCES: usize = 3;

/// One sentence for each source, the first few.
pub(crate) fn sentences(results: &Results<'_>, toward: &Toward) -> Vec<String> {
    let norths = Norths::of(&results.map.control);
    let sources = (0..toward.places.len()).filter(|i| toward.places[*i].role == Role::Source);
    let mut all: Vec<String> = sources
        .take(MOST_SOURCES)
        .filter_map(|source| {
            let of_source = toward.verdicts.iter().filter(|v| v.source == source);
            let all: Vec<(&Verdict, KnownBy)> = of_source.map(|v| (v, KnownBy::of(v))).collect();
            let flow = toward.places[source].flow.filter(|f| f.resolved);
            let direction = flow.and_then(|f| f.azimuth_grid).map(|a| norths.state(a));
            sentence(toward, &toward.places[source].name, direction, &all)
        })
        .collect();
    all.extend(toward.strong_vertical.map(|(i, times)| {
        let g = &toward.vertical[i];
        let well = |i: usize| &results.map.site.wells[i].id;
        format!(
            "The vertical gradient between {} and {} is {} times the horizontal one, {}: water may leave this \
             aquifer unit, which these answers do not show.",
            well(g.upper),
            well(g.lower),
            fixed(times, 0),
            g.direction()
        )
    }));
    all
}

fn sentence(
    toward: &Toward,
    source: &str,
    direction: Option<Azimuth>,
    all: &[(&Verdict, KnownBy)],
) -> Option<String> {
    let (first, _) = all.first()?;
    if first.outcome == Outcome::NotOnMap {
        return Some(format!(
            "{source} lies where no head is mapped: where water from it goes is not known."
        ));
    }
    if first.outcome == Outcome::PumpedUnknown {
        return Some(format!(
            "Where water from {source} goes is not known: this surface does not have the cone of a pumped well."
        ));
    }
    let aside: Vec<String> = all
        .iter()
        .filter(|(v, _)| v.outcome == Outcome::OtherUnit)
        .map(|(v, _)| toward.places[v.receptor].name.clone())
        .collect();
    if aside.len() == all.len() {
        return Some(format!(
            "Whether water from {source} reaches {} is not known: it is in another aquifer unit than the one \
             mapped.",
            any_of(&aside)
        ));
    }
    let names = |known: KnownBy| -> Vec<String> {
        let of = all.iter().filter(|(v, s)| *s == known && v.outcome != Outcome::OtherUnit);
        of.map(|(v, _)| toward.places[v.receptor].name.clone()).collect()
    };
    let mut clauses = Vec::new();
    for (v, known) in
        all.iter().filter(|(_, s)| matches!(s, KnownBy::MapAndRealizations | KnownBy::Map))
    {
        let name = &toward.places[v.receptor].name;
        let verb =
            if *known == KnownBy::MapAndRealizations { "reaches" } else { "on this map reaches" };
        let arrives = v.days.map_or_else(String::new, |Span { low, high }| {
            format!(" in {}", time_words(low, Some(high)))
        });
        clauses.push(format!("{verb} {name}{arrives}"));
    }
    let flows = direction.map(|a| format!("flows {}", compass_words(a)));
    let beginning = match (flows, clauses.is_empty()) {
        (Some(flows), false) => {
            format!("Water from {source} {flows} and {}", clauses.join(" and "))
        }
        (Some(flows), true) => format!("Water from {source} {flows}"),
        (None, false) => format!("Water from {source} {}", clauses.join(" and ")),
        (None, true) => format!("Where water from {source} flows is not resolved"),
    };
    let mut text = beginning;
    let open = names(KnownBy::Open);
    if !open.is_empty() {
        text.push_str("; the wells do not rule out ");
        text.push_str(&any_of(&open));
    }
    let beyond =
        |v: &&(&Verdict, KnownBy)| v.1 == KnownBy::NotReached && v.0.outcome == Outcome::Stream;
    let past: Vec<String> =
        all.iter().filter(beyond).map(|(v, _)| toward.places[v.receptor].name.clone()).collect();
    if !past.is_empty() {
        text.push_str("; unless it passes under the stream it does not reach ");
        text.push_str(&any_of(&past));
    }
    let mut not = names(KnownBy::NotReached);
    not.retain(|name| !past.contains(name));
    if !not.is_empty() {
        text.push_str("; it does not reach ");
        text.push_str(&any_of(&not));
        let sure = format!(" (in {} % of realizations or more)", (100.0 * LEVEL).round());
        text.push_str(&sure);
    }
    if !aside.is_empty() {
        let _ =
            write!(text, "; {} is in another aquifer unit, which is not answered", any_of(&aside));
    }
    text.push('.');
    Some(text)
}

/// `A, B or C`.
fn any_of(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

/// A direction as a word: `southeast`.
fn compass_words(azimuth: Azimuth) -> String {
    let words = |point: char| match point {
        'N' => "north",
        'E' => "east",
        'S' => "south",
        _ => "west",
    };
    let point = azimuth.compass_point();
    let all: Vec<&str> = point.chars().map(words).collect();
    match all.as_slice() {
        [first, rest @ ..] if rest.len() == 2 => format!("{first}-{}", rest.concat()),
        all => all.concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_are_words() {
        for (degrees, words) in [(0.0, "north"), (130.0, "southeast"), (247.0, "west-southwest")] {
            assert_eq!(compass_words(Azimuth::from_degrees(degrees)), words);
        }
        assert_eq!(any_of(&["A".to_owned(), "B".to_owned(), "C".to_owned()]), "A, B or C");
    }
}

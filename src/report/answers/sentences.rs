//! The answer in one sentence for each source: what sheet, page and terminal begin with.

use crate::report::norths::Norths;
use crate::report::results::Results;
use crate::toward::{Outcome, Role, Toward, Verdict};
use crate::uncertainty::LEVEL;
use crate::units::{Azimuth, Span, time_words};

/// Of more sources no sentence is written: the table says it all.
const MOST_SOURCES: usize = 3;

/// How a receptor stands to a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Standing {
    Reached,
    Likely,
    Open,
    NotReached,
}

impl Standing {
    /// From the map and the realizations together: neither alone is enough to be sure.
    fn of(verdict: &Verdict) -> Self {
        let reaches = verdict.outcome == Outcome::Reaches && !verdict.unresolved;
        match verdict.realizations {
            Some(_) if verdict.unresolved => Self::Open,
            Some(_) if verdict.is_sure() => {
                if reaches {
                    Self::Reached
                } else {
                    Self::NotReached
                }
            }
            _ if reaches => Self::Likely,
            // What few realizations rule out, the map says alone.
            _ => Self::Open,
        }
    }
}

/// One sentence for each source, the first few.
pub(crate) fn sentences(results: &Results<'_>, toward: &Toward) -> Vec<String> {
    let norths = Norths::of(&results.map.control);
    let sources = (0..toward.places.len()).filter(|i| toward.places[*i].role == Role::Source);
    sources
        .take(MOST_SOURCES)
        .filter_map(|source| {
            let of_source = toward.verdicts.iter().filter(|v| v.source == source);
            let all: Vec<(&Verdict, Standing)> = of_source.map(|v| (v, Standing::of(v))).collect();
            let flow = toward.places[source].flow.filter(|f| f.resolved);
            let direction = flow.and_then(|f| f.azimuth_grid).map(|a| norths.state(a));
            sentence(toward, &toward.places[source].name, direction, &all)
        })
        .collect()
}

fn sentence(
    toward: &Toward,
    source: &str,
    direction: Option<Azimuth>,
    all: &[(&Verdict, Standing)],
) -> Option<String> {
    let (first, _) = all.first()?;
    if first.outcome == Outcome::NotOnMap {
        return Some(format!(
            "{source} lies beyond the wells: where water from it goes is not known."
        ));
    }
    if first.outcome == Outcome::PumpedUnknown {
        return Some(format!(
            "Where water from {source} goes is not known: this surface does not have the cone of a pumped well."
        ));
    }
    let names = |standing: Standing| -> Vec<String> {
        let of = all.iter().filter(|(_, s)| *s == standing);
        of.map(|(v, _)| toward.places[v.receptor].name.clone()).collect()
    };
    let mut clauses = Vec::new();
    for (v, standing) in
        all.iter().filter(|(_, s)| matches!(s, Standing::Reached | Standing::Likely))
    {
        let name = &toward.places[v.receptor].name;
        let verb = if *standing == Standing::Reached { "reaches" } else { "on this map reaches" };
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
    let open = names(Standing::Open);
    if !open.is_empty() {
        text.push_str("; the wells do not rule out ");
        text.push_str(&any_of(&open));
    }
    let beyond =
        |v: &&(&Verdict, Standing)| v.1 == Standing::NotReached && v.0.outcome == Outcome::Stream;
    let past: Vec<String> =
        all.iter().filter(beyond).map(|(v, _)| toward.places[v.receptor].name.clone()).collect();
    if !past.is_empty() {
        text.push_str("; unless it passes under the stream it does not reach ");
        text.push_str(&any_of(&past));
    }
    let mut not = names(Standing::NotReached);
    not.retain(|name| !past.contains(name));
    if !not.is_empty() {
        text.push_str("; it does not reach ");
        text.push_str(&any_of(&not));
        let sure = format!(" (in {} % of realizations or more)", (100.0 * LEVEL).round());
        text.push_str(&sure);
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

//! One of the rounds that a table holds.

use crate::diag::{Code, Diagnostic, Origin, Severity, did_you_mean, listed};
use crate::read::table::layout::Layout;
use crate::read::table::rows::{Table, shown};
use crate::read::table::wide::WideDay;
use crate::read::wells::reading::{Moment, Reading};

use super::part::{Part, Readings};
use super::spans::{self, Span, Visit, is_date};

/// What is asked of a table that may hold several rounds.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) struct Asked<'a> {
    /// The round by name, year, month or day; the newest where nothing is asked.
    pub(in crate::read) wanted: Option<&'a str>,
    /// The longest time a round may take, hours.
    pub(in crate::read) window_h: f64,
}

/// What one round of a table says.
#[derive(Debug)]
pub(in crate::read) struct OneRound<T> {
    /// The round's name, where the table holds several.
    pub(in crate::read) name: Option<String>,
    /// The names of all rounds of the table, the oldest first; none where it is one round.
    pub(in crate::read) among: Vec<String>,
    pub(in crate::read) readings: Vec<Reading>,
    pub(in crate::read) part: Part,
    /// What else the rows of the round say.
    pub(in crate::read) more: T,
}

/// Reads the round of a table that is asked for. `read` reads a part of it. Nothing when there is
/// no such round, which is said.
pub(in crate::read) fn read<T>(
    table: &Table,
    layout: Layout,
    asked: Asked<'_>,
    said: &mut Vec<Diagnostic>,
    mut read: impl FnMut(&Part, &mut Vec<Diagnostic>) -> (T, Readings),
) -> Option<OneRound<T>> {
    let before = said.len();
    let wide = layout.is_wide();
    let mut part = Part::whole(layout);
    let mut out = None;
    let found = if wide {
        let visits = visits(table, &part.layouts[0]);
        spans::spans(visits, asked.window_h)
    } else {
        let (more, found) = read(&part, said);
        let spans = spans::of_readings(&found.readings, &found.faulty, asked.window_h);
        out = Some((more, found));
        spans
    };
    let several = found.len() > 1;
    let (mut name, mut among) = (None, Vec::new());
    if several {
        among.extend(found.iter().map(|span| span.name.clone()));
        let span = choose(table, &found, asked.wanted, said)?.clone();
        said.truncate(before);
        let undated = out.as_ref().map_or(0, |(_, f)| undated(&f.readings));
        if undated > 0 {
            said.push(without_date(table, undated, &found));
            return None;
        }
        tell(table, &found, &span, asked.wanted, said);
        name = Some(span.name.clone());
        part.span = Some(span);
    } else if let Some(wanted) = asked.wanted {
        let of_rows = out.iter().flat_map(|(_, found)| found.readings.iter());
        let mut days = part.layouts[0]
            .wide()
            .iter()
            .map(|w| w.day)
            .chain(of_rows.filter_map(|r| r.moment).map(Moment::date));
        if !(is_date(wanted) && days.any(|day| day.to_string().starts_with(wanted))) {
            said.push(none_of(table, wanted, &[]));
            return None;
        }
    }
    if wide {
        part.layouts = part.layouts[0].days(table, |day| part.holds(|| Some(day)));
    } else if !several {
        let (more, Readings { readings, .. }) = out?;
        return Some(OneRound { name, among, readings, part, more });
    }
    // What was read to find the rounds makes room for the one.
    drop(out);
    let (more, Readings { readings, .. }) = read(&part, said);
    Some(OneRound { name, among, readings, part, more })
}

/// The names of the rounds of a table, the oldest first; none where it is one round. `read` reads the whole
/// of it.
pub(in crate::read) fn names(
    table: &Table,
    layout: Layout,
    window_h: f64,
    read: impl FnOnce(&Part) -> Readings,
) -> Vec<String> {
    let spans = if layout.is_wide() {
        spans::spans(visits(table, &layout), window_h)
    } else {
        let found = read(&Part::whole(layout));
        spans::of_readings(&found.readings, &found.faulty, window_h)
    };
    if spans.len() < 2 { Vec::new() } else { spans.into_iter().map(|s| s.name).collect() }
}

/// The days of a wide table, with a number for the well of each row: day by day, as they are sorted next.
pub(in crate::read) fn visits(table: &Table, layout: &Layout) -> Vec<Visit> {
    let days = layout.wide();
    let mut wells_of: Vec<Vec<usize>> = vec![Vec::new(); days.len()];
    let mut well = 0;
    table.each_row(&mut Vec::new(), |row, _| {
        well += 1;
        for (day, wells) in days.iter().zip(&mut wells_of) {
            if day.places.iter().any(|p| !row.cell(p.at).is_empty()) {
                wells.push(well);
            }
        }
    });
    let visit = |day, well| Visit { well, moment: Moment::Day(day), at_rest: true };
    let of_day = |(day, wells): (&WideDay, Vec<usize>)| {
        let day = day.day;
        wells.into_iter().map(move |well| visit(day, well))
    };
    days.iter().zip(wells_of).flat_map(of_day).collect()
}

fn undated(readings: &[Reading]) -> usize {
    readings.iter().filter(|r| r.moment.is_none()).count()
}

/// The round that is asked for, or the newest; R111 where it is not one.
fn choose<'a>(
    table: &Table,
    spans: &'a [Span],
    wanted: Option<&str>,
    said: &mut Vec<Diagnostic>,
) -> Option<&'a Span> {
    let Some(wanted) = wanted else { return spans.last() };
    let by_name = spans.iter().find(|s| s.name == wanted);
    let meant: Vec<&Span> = spans.iter().filter(|s| s.is_meant(wanted)).collect();
    match (by_name, meant.as_slice()) {
        (Some(span), _) | (None, &[span]) => Some(span),
        (None, []) => {
            said.push(none_of(table, wanted, spans));
            None
        }
        (None, several) => {
            let names = listed(several.iter().map(|s| &s.name));
            said.push(
                Diagnostic::new(
                    Code::RoundUnclear,
                    format!(
                        "\"{}\" names several rounds of {}: {names}",
                        shown(wanted),
                        table.file
                    ),
                )
                .at(&Origin::file(&table.file))
                .advice("name one of these with --round"),
            );
            None
        }
    }
}

/// R111: the table has no such round.
fn none_of(table: &Table, wanted: &str, spans: &[Span]) -> Diagnostic {
    let has = match spans {
        [] => format!("{} is a single round", table.file),
        spans => format!("the rounds of {} are {}", table.file, newest_first(spans)),
    };
    let otherwise = if spans.is_empty() {
        "leave out --round, or give the table or folder that has the round"
    } else {
        "name one of these with --round"
    };
    let advice = did_you_mean(wanted, spans.iter().map(|span| span.name.as_str()), otherwise);
    Diagnostic::new(Code::RoundUnclear, format!("there is no round \"{}\"; {has}", shown(wanted)))
        .at(&Origin::file(&table.file))
        .advice(advice)
}

/// D219: rows without a date belong to none of several rounds.
fn without_date(table: &Table, undated: usize, spans: &[Span]) -> Diagnostic {
    let rows = if undated == 1 { "1 row has".to_owned() } else { format!("{undated} rows have") };
    Diagnostic::new(
        Code::SeveralRounds,
        format!(
            "{} holds {} rounds, and {rows} no date: the round of these rows is unknown",
            table.file,
            spans.len()
        ),
    )
    .at(&Origin::file(&table.file))
    .advice("fill in the dates, or remove the rows")
}

/// R130: which rounds the table holds, and which of them is used. A warning where it is the newest
/// without being asked for and has fewer than half of the wells of another.
fn tell(
    table: &Table,
    spans: &[Span],
    used: &Span,
    wanted: Option<&str>,
    said: &mut Vec<Diagnostic>,
) {
    let fullest = spans.iter().map(|s| s.wells.len()).max().unwrap_or_default();
    let short = wanted.is_none() && 2 * used.wells.len() < fullest;
    let newest = if wanted.is_none() { ", the newest" } else { "" };
    let text = format!(
        "{} holds {} rounds; {} ({}{newest}) is used; the rounds are {}",
        table.file,
        spans.len(),
        used.name,
        wells(used),
        newest_first(spans)
    );
    let advice = if short {
        "the newest round has few wells: name the round to use with --round, such as --round \
         2025-10 or a day; readings of one round that are further apart than the window need a \
         longer window_hours under [round] in site.toml"
    } else {
        "name another one with --round: its day, or its year and month where it is the only one"
    };
    let mut told =
        Diagnostic::new(Code::RoundOfSeveral, text).at(&Origin::file(&table.file)).advice(advice);
    if short {
        told.severity = Severity::Warning;
    }
    said.push(told);
}

fn newest_first(spans: &[Span]) -> String {
    listed(spans.iter().rev().map(|s| format!("{} ({})", s.name, wells(s))))
}

fn wells(span: &Span) -> String {
    match span.wells.len() {
        1 => "1 well".to_owned(),
        n => format!("{n} wells"),
    }
}

//! `headfall toward`.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, ColumnConstraint, Table};
use headfall::diag::{Diagnostic, printable};
use headfall::report::{Norths, Summary, TowardSummary, VerdictRow};
use headfall::run;
use headfall::run::Drawn;
use headfall::units::{GroundUnit, LengthUnit, fixed, two_digits};
use headfall::write;

use super::args::{ALL, Toward};
use super::exit::Exit;
use super::over_rounds;
use super::progress;
use super::refused;
use super::render;
use super::say;
use super::say::End;
use super::tables;

/// Follows the water, writes the files and says what was found.
pub(super) fn run(args: &Toward) -> Exit {
    if args.source.round.as_deref() == Some(ALL) {
        return over_rounds::run(args);
    }
    let mut findings = Vec::new();
    let overrides = args.making.overrides(&args.source, args.source.round.clone());
    let out = args.out.as_deref();
    let drawn = progress::shown(&args.source, || {
        run::toward(&args.source.path, &overrides, out, &mut findings)
    });
    match drawn {
        Ok(drawn) => {
            render::findings(&findings);
            say::kept(&drawn.told);
            let summary = write::summary(&drawn.results(&findings), &drawn.sha256);
            say::result(
                &args.source,
                || render::json(&summary),
                || told(&drawn, &summary, &findings),
                End { said: Exit::done(&findings, args.source.fail_on), has_files: true },
            )
        }
        Err(error) => refused::refused_to(&args.source, over_rounds::NOT_TRACED, &findings, &error),
    }
}

/// Everything on one page.
fn told(drawn: &Drawn, all: &Summary, findings: &[Diagnostic]) -> String {
    let Some(summary) = &all.toward else { return String::new() };
    let unit = all.opening.elevation_unit;
    let mut text =
        format!("{}, round {}\n", printable(all.opening.site), printable(all.opening.round));
    let _ = writeln!(text, "on the surface {}; paths: {}\n", all.method, summary.paths_by);
    for sentence in &summary.in_words {
        let _ = writeln!(text, "{}", printable(sentence));
    }
    if !summary.verdicts.is_empty() {
        let _ = writeln!(text, "\n{}", verdicts(summary, unit));
        let realizations = summary.no_realizations.unwrap_or(REALIZATIONS);
        let capture = GroundUnit::of(unit).away(summary.distances.capture_m);
        let _ = writeln!(text, "a point is reached within {capture}; {NOTE};\n{realizations}\n");
        let _ = writeln!(text, "{}", steps(summary, unit));
        for v in &summary.verdicts {
            if let Some(words) = v.beside_words() {
                let pair = format!("{} to {}: {words}", v.source, v.receptor);
                let _ = writeln!(text, "{}", printable(&pair));
            }
        }
        if let [_, _, ..] = summary.receptors_by_arrival.as_slice() {
            text.push_str("\nreceptors by earliest arrival:\n");
            for row in &summary.receptors_by_arrival {
                let _ = writeln!(text, "{:>3}  {}", row.rank, printable(&row.words()));
            }
        }
        let north = Norths::of(&drawn.map.control).stated.words();
        let _ = writeln!(
            text,
            "bearing and flow: degrees clockwise from {north}; flow at the source and its\n{}\n",
            summary.direction_interval
        );
    }
    if !summary.reaches.is_empty() {
        let _ = writeln!(text, "{}\n", reaches(summary, unit));
    }
    if !summary.across_barriers.is_empty() {
        let _ = writeln!(text, "{}\n", across(summary, unit));
    }
    if !summary.pumped_wells.is_empty() {
        let _ = writeln!(text, "{}\n", pumped(summary, unit));
    }
    if !summary.vertical_gradients.is_empty() {
        let _ = writeln!(text, "{}\n", vertical(summary, unit));
    }
    if let Some(ground) = &summary.ground {
        let own = GroundUnit::of(unit);
        let _ = writeln!(
            text,
            "land surface: the mapped surface is above ground at {} nodes ({} {}2) away from water\n",
            ground.nodes_above,
            fixed(own.area(ground.area_above_m2), 0),
            own.name()
        );
    }
    text.push_str(&render::counts(findings));
    let _ = writeln!(text, "in {}:", render::path(&drawn.folder));
    for file in &all.files {
        let _ = writeln!(text, "  {file}");
    }
    let left_out = drawn.results(findings).paths_leave_out();
    let _ = writeln!(text, "{left_out} Local codes and a licensed professional decide.");
    text
}

const NOTE: &str = "off: closest approach of a path that does not reach the receptor";

const REALIZATIONS: &str = "realizations: the share of surfaces, drawn at random so that they agree with the \
                            readings and their errors,\non which a path reaches the receptor";

/// A plain table with its numbers to the right.
fn table(header: &[&str], rows: Vec<Vec<String>>, texts: usize) -> Table {
    let mut table = tables::plain();
    table.set_header(header);
    for row in rows {
        table.add_row(row.iter().map(|cell| printable(cell)));
    }
    for column in texts..header.len() {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

fn verdicts(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let ground = GroundUnit::of(unit);
    let u = ground.name();
    let whole = |m: Option<f64>| m.map_or(String::new(), |m| fixed(ground.length(m), 0));
    let off = format!("off {u}");
    let header = ["source", "receptor", "answer", &off, "travel time", "realizations"];
    let rows = summary.verdicts.iter().map(|v| {
        let [travel, _] = v.travel_words().map(Option::unwrap_or_default);
        vec![
            v.source.to_string(),
            v.receptor.to_string(),
            v.outcome_words(),
            whole(v.short_of_m()),
            travel,
            realizations(v),
        ]
    });
    table(&header, rows.collect(), 3)
}

/// How far, how steeply and how fast, and where the flow and the receptor lie.
fn steps(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let ground = GroundUnit::of(unit);
    let u = ground.name();
    let whole = |m: Option<f64>| m.map_or(String::new(), |m| fixed(ground.length(m), 0));
    let header = [
        "source",
        "receptor",
        &format!("path {u}"),
        "gradient",
        &format!("velocity {u}/d"),
        "with sorption",
        "bearing",
        "flow",
        "its 95 %",
    ];
    let rows = summary.verdicts.iter().map(|v| {
        let [_, retarded] = v.travel_words().map(Option::unwrap_or_default);
        vec![
            v.source.to_string(),
            v.receptor.to_string(),
            whole(v.length_m),
            v.gradient.map_or(String::new(), |g| fixed(g, 4)),
            span(ground, v.velocity_low_m_per_d, v.velocity_high_m_per_d),
            retarded,
            v.bearing_deg().map_or(String::new(), |d| format!("{}°", fixed(d, 0))),
            v.flow.direction_words(),
            v.flow.interval_words().unwrap_or_default(),
        ]
    });
    let mut table = table(&header, rows.collect(), 2);
    if summary.retardation.is_none()
        && let Some(retarded) = table.column_mut(RETARDED)
    {
        retarded.set_constraint(ColumnConstraint::Hidden);
    }
    table
}

/// The share of realizations; where most of them differ from the map, that.
fn realizations(v: &VerdictRow) -> String {
    let words = v.realizations_words().unwrap_or_default();
    if v.realizations_differ() { format!("{words}, T511") } else { words }
}

/// The column of retarded times.
const RETARDED: usize = 5;

/// A range of lengths with two significant digits.
fn span(ground: GroundUnit, low_m: Option<f64>, high_m: Option<f64>) -> String {
    let own = |metres: f64| two_digits(ground.length(metres));
    low_m.zip(high_m).map_or(String::new(), |(low, high)| format!("{} to {}", own(low), own(high)))
}

fn reaches(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let ground = GroundUnit::of(unit);
    let u = ground.name();
    let header = [
        "line",
        "side",
        "flow",
        &format!("from {u}"),
        &format!("to {u}"),
        &format!("head beside minus level on it {u}"),
        &format!("over {u}"),
        "nearest well",
        "by that well",
    ];
    let rows = summary.reaches.iter().map(|r| {
        vec![
            r.line.to_string(),
            format!("{} ({})", r.side, r.compass),
            r.water_flows.to_owned(),
            fixed(ground.length(r.from_m), 0),
            fixed(ground.length(r.to_m), 0),
            render::signed(ground.length(r.difference_m), 3),
            fixed(ground.length(r.distance_m), 0),
            r.well.unwrap_or_default().to_owned(),
            r.well_says.unwrap_or_default().to_owned(),
        ]
    });
    table(&header, rows.collect(), 3)
}

fn across(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let ground = GroundUnit::of(unit);
    let u = ground.name();
    let header = [
        "across barrier",
        "higher",
        "lower",
        &format!("at {u}"),
        &format!("by {u}"),
        &format!("95 % {u}"),
        &format!("over {u}"),
    ];
    let rows = summary.across_barriers.iter().map(|a| {
        vec![
            a.barrier.to_owned(),
            a.higher.to_owned(),
            a.lower.to_owned(),
            fixed(ground.length(a.along_m), 0),
            if a.resolved {
                fixed(ground.length(a.difference_m), 3)
            } else {
                "not resolved".to_owned()
            },
            format!("±{}", fixed(ground.length(a.half_m()), 3)),
            fixed(ground.length(a.distance_m), 0),
        ]
    });
    table(&header, rows.collect(), 3)
}

fn pumped(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let ground = GroundUnit::of(unit);
    let u = ground.name();
    let header = [
        "pumped well",
        &format!("rate {}", ground.rate_name()),
        &format!("width at well {u}"),
        &format!("width far {u}"),
        &format!("to stagnation {u}"),
        &format!("mapped width {u}"),
        &format!("mapped area {u}2"),
    ];
    let none = || "none".to_owned();
    let rows = summary.pumped_wells.iter().map(|p| {
        vec![
            p.well.to_string(),
            p.rate_m3_per_d.map_or(String::new(), |q| fixed(ground.rate(q), 0)),
            span(ground, p.width_at_well_low_m, p.width_at_well_high_m),
            span(ground, p.width_far_low_m, p.width_far_high_m),
            span(ground, p.to_stagnation_low_m, p.to_stagnation_high_m),
            p.mapped_width_m.map_or_else(none, |m| fixed(ground.length(m), 0)),
            p.mapped_area_m2.map_or_else(none, |m2| fixed(ground.area(m2), 0)),
        ]
    });
    table(&header, rows.collect(), 1)
}

fn vertical(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let ground = GroundUnit::of(unit);
    let u = ground.name();
    let header = [
        "upper well",
        "lower well",
        "vertical gradient",
        &format!("head, lower minus upper {u}"),
        &format!("between screen midpoints {u}"),
        "gradient",
        "95 %",
    ];
    let rows = summary.vertical_gradients.iter().map(|g| {
        vec![
            g.upper.to_owned(),
            g.lower.to_owned(),
            g.water_flows.to_owned(),
            render::signed(ground.length(g.head_difference_m), 3),
            fixed(ground.length(g.distance_m), 2),
            render::signed(g.gradient, 4),
            format!(
                "{} to {}",
                render::signed(g.gradient_low, 4),
                render::signed(g.gradient_high, 4)
            ),
        ]
    });
    table(&header, rows.collect(), 3)
}

//! `headfall toward`.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, ColumnConstraint, Table, presets};
use headfall::diag::printable;
use headfall::run;
use headfall::run::Drawn;
use headfall::toward::{time_words, two_digits};
use headfall::units::LengthUnit;
use headfall::write;
use headfall::write::{Summary, TowardSummary, VerdictRow};

use super::args::Toward;
use super::exit::Exit;
use super::render;
use super::say;

/// Follows the water, writes the files and says what was found.
pub(super) fn run(args: &Toward) -> Exit {
    let mut findings = Vec::new();
    let overrides = super::making(&args.source, &args.making);
    let drawn = run::toward(&args.source.path, &overrides, args.out.as_deref(), &mut findings);
    match drawn {
        Ok(drawn) => {
            render::findings(&findings);
            let summary = write::summary(&drawn.map.results(&findings));
            say::result(
                &args.source,
                || render::json(&summary),
                || told(&drawn, &summary),
                Exit::done(&findings, args.source.fail_on),
            )
        }
        Err(error) => super::refused_to("the water cannot be followed as asked", &findings, &error),
    }
}

/// Everything on one page.
fn told(drawn: &Drawn, all: &Summary) -> String {
    let Some(summary) = &all.toward else { return String::new() };
    let unit = all.opening.elevation_unit;
    let mut text =
        format!("{}, round {}\n", printable(all.opening.site), printable(all.opening.round));
    let _ = writeln!(text, "on the surface {}; paths: {}\n", all.method, summary.paths_by);
    if !summary.verdicts.is_empty() {
        let _ = writeln!(text, "{}", verdicts(summary, unit));
        let _ = writeln!(text, "{NOTE}\n");
    }
    if !summary.reaches.is_empty() {
        let _ = writeln!(text, "{}\n", reaches(summary, unit));
    }
    if !summary.pumped_wells.is_empty() {
        let _ = writeln!(text, "{}\n", pumped(summary));
    }
    if !summary.vertical_gradients.is_empty() {
        let _ = writeln!(text, "{}\n", vertical(summary, unit));
    }
    if let Some(ground) = &summary.ground {
        let _ = writeln!(
            text,
            "against the ground: {} nodes ({:.0} m2) stand above it away from water\n",
            ground.nodes_above, ground.area_above_m2
        );
    }
    let _ = writeln!(text, "in {}:", render::path(&drawn.folder));
    for file in &all.files {
        let _ = writeln!(text, "  {file}");
    }
    text.push_str(
        "Paths are those of the mean flow at the time of the round. Not considered: dispersion, \
         which makes the first arrival earlier; preferential pathways; changes of season, stage \
         and pumping; vertical flow; decay. Local codes and a licensed professional decide.\n",
    );
    text
}

const NOTE: &str = "off: distance at which a path passes or ends short; velocity and travel time: over \
                    the ranges of conductivity, porosity and the gradient's 95 % interval; in rounds: share of the \
                    simulated rounds in which a path on the triangles reaches the receptor, with \
                    its 95 % interval; up: paths upgradient from the receptor that come from the \
                    source";

/// A plain table with its numbers to the right.
fn table(header: &[&str], rows: Vec<Vec<String>>, texts: usize) -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
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
    let feet = unit.is_foot();
    let length = |m: Option<f64>, ft: Option<f64>| {
        (if feet { ft } else { m }).map_or(String::new(), |l| format!("{l:.0}"))
    };
    let u = if feet { "ft" } else { "m" };
    let header = [
        "source",
        "receptor",
        "the water",
        &format!("off {u}"),
        &format!("path {u}"),
        "gradient",
        &format!("velocity {u}/d"),
        "travel time",
        "retarded",
        "in rounds",
        "up",
    ];
    let rows = summary.verdicts.iter().map(|v| {
        let velocity = if feet {
            (v.velocity_low_ft_per_d, v.velocity_high_ft_per_d)
        } else {
            (v.velocity_low_m_per_d, v.velocity_high_m_per_d)
        };
        vec![
            v.source.to_string(),
            v.receptor.to_string(),
            outcome(v),
            if v.paths_reaching > 0 { String::new() } else { length(v.nearest_m, v.nearest_ft) },
            length(v.length_m, v.length_ft),
            v.gradient.map_or(String::new(), |g| format!("{g:.4}")),
            span(velocity.0, velocity.1),
            time(v.travel_low_d, v.travel_high_d),
            time(v.retarded_low_d, v.retarded_high_d),
            v.probability.map_or(String::new(), |p| {
                format!(
                    "{:.0} % ({:.1}-{:.1})",
                    100.0 * p,
                    100.0 * v.probability_low.unwrap_or(0.0),
                    100.0 * v.probability_high.unwrap_or(1.0)
                )
            }),
            format!("{}/{}", v.upgradient_paths_reaching, v.upgradient_paths),
        ]
    });
    let mut table = table(&header, rows.collect(), 3);
    if summary.retardation.is_none()
        && let Some(retarded) = table.column_mut(RETARDED)
    {
        retarded.set_constraint(ColumnConstraint::Hidden);
    }
    table
}

/// The column of retarded times.
const RETARDED: usize = 8;

/// What becomes of the water, with the share of paths and the well at the end.
fn outcome(v: &VerdictRow) -> String {
    let mut text = v.outcome.to_owned();
    if v.paths_reaching > 0 && v.paths > 1 {
        let _ = write!(text, " ({} of {} paths)", v.paths_reaching, v.paths);
    }
    if let Some(well) = v.at_well {
        let _ = write!(text, " at {well}");
    }
    text
}

/// A range with two significant digits.
fn span(low: Option<f64>, high: Option<f64>) -> String {
    low.zip(high)
        .map_or(String::new(), |(low, high)| format!("{} to {}", two_digits(low), two_digits(high)))
}

/// A range of days.
fn time(low: Option<f64>, high: Option<f64>) -> String {
    low.map_or(String::new(), |low| time_words(low, high))
}

fn reaches(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let feet = unit.is_foot();
    let u = if feet { "ft" } else { "m" };
    let header = [
        "line",
        "side",
        "the water flows",
        "from m",
        "to m",
        &format!("higher by {u}"),
        "over m",
        "nearest well",
        "says",
    ];
    let rows = summary.reaches.iter().map(|r| {
        vec![
            r.line.to_string(),
            format!("{} ({})", r.side, r.compass),
            r.water_flows.to_owned(),
            format!("{:.0}", r.from_m),
            format!("{:.0}", r.to_m),
            format!("{:+.3}", if feet { r.difference_ft } else { r.difference_m }),
            format!("{:.0}", r.distance_m),
            r.well.unwrap_or_default().to_owned(),
            r.well_says.unwrap_or_default().to_owned(),
        ]
    });
    table(&header, rows.collect(), 3)
}

fn pumped(summary: &TowardSummary) -> Table {
    let header = [
        "pumped well",
        "rate m3/d",
        "width at well m",
        "width far m",
        "to stagnation m",
        "mapped width m",
        "mapped area m2",
    ];
    let rows = summary.pumped_wells.iter().map(|p| {
        vec![
            p.well.to_string(),
            p.rate_m3_per_d.map_or(String::new(), |q| format!("{q:.0}")),
            span(p.width_at_well_low_m, p.width_at_well_high_m),
            span(p.width_far_low_m, p.width_far_high_m),
            span(p.to_stagnation_low_m, p.to_stagnation_high_m),
            format!("{:.0}", p.mapped_width_m),
            format!("{:.0}", p.mapped_area_m2),
        ]
    });
    table(&header, rows.collect(), 1)
}

fn vertical(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let feet = unit.is_foot();
    let u = if feet { "ft" } else { "m" };
    let header = [
        "upper well",
        "lower well",
        "the water flows",
        &format!("lower higher by {u}"),
        "screens apart m",
        "gradient",
        "95 %",
    ];
    let rows = summary.vertical_gradients.iter().map(|g| {
        vec![
            g.upper.to_owned(),
            g.lower.to_owned(),
            g.water_flows.to_owned(),
            format!("{:+.3}", if feet { g.head_difference_ft } else { g.head_difference_m }),
            format!("{:.2}", g.distance_m),
            format!("{:+.4}", g.gradient),
            format!("{:+.4} to {:+.4}", g.gradient_low, g.gradient_high),
        ]
    });
    table(&header, rows.collect(), 3)
}

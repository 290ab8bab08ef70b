//! `headfall toward`.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, ColumnConstraint, Table, presets};
use headfall::diag::printable;
use headfall::run;
use headfall::run::Drawn;
use headfall::toward::{Realizations, time_words, two_digits};
use headfall::units::{LengthUnit, fixed};
use headfall::write;
use headfall::write::{Summary, TowardSummary, VerdictRow};

use super::args::Toward;
use super::exit::Exit;
use super::progress;
use super::render;
use super::say;
use super::say::End;

/// Follows the water, writes the files and says what was found.
pub(super) fn run(args: &Toward) -> Exit {
    let mut findings = Vec::new();
    let overrides = super::making(&args.source, &args.making);
    let out = args.out.as_deref();
    let drawn = progress::shown(&args.source, || {
        run::toward(&args.source.path, &overrides, out, &mut findings)
    });
    match drawn {
        Ok(drawn) => {
            render::findings(&findings);
            say::kept(&drawn.told);
            let summary = write::summary(&drawn.results(&findings));
            say::result(
                &args.source,
                || render::json(&summary),
                || told(&drawn, &summary),
                End { said: Exit::done(&findings, args.source.fail_on), unsaid: Exit::Unsaid },
            )
        }
        Err(error) => super::refused_to("flow paths cannot be traced as asked", &findings, &error),
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
        let other = summary.verdicts.iter().any(|v| v.realizations_agree == Some(false));
        let realizations = summary.no_realizations.unwrap_or(REALIZATIONS);
        let other = if other { OTHER } else { "" };
        let _ = writeln!(text, "{NOTE}; {realizations}; {UP}{other}\n");
        let _ = writeln!(text, "{}", bearings(summary));
        let _ = writeln!(text, "{BEARING_NOTE}; its {}\n", summary.direction_interval);
    }
    if !summary.reaches.is_empty() {
        let _ = writeln!(text, "{}\n", reaches(summary, unit));
    }
    if !summary.pumped_wells.is_empty() {
        let _ = writeln!(text, "{}\n", pumped(summary, unit));
    }
    if !summary.vertical_gradients.is_empty() {
        let _ = writeln!(text, "{}\n", vertical(summary, unit));
    }
    if let Some(ground) = &summary.ground {
        let lengths = Lengths::of(unit);
        let _ = writeln!(
            text,
            "against the ground: {} nodes ({} {}2) stand above it away from water\n",
            ground.nodes_above,
            lengths.area(ground.area_above_m2),
            lengths.name()
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

const OTHER: &str = "; T511: most realizations disagree with the map";

const BEARING_NOTE: &str = "degrees clockwise from true north: from the beginning of the path to the \
                            nearest place of the receptor, beside the direction of flow in the \
                            triangle around the source; within: any place of the receptor lies in \
                            that interval";

const NOTE: &str = "off: distance at which a path passes or ends short; velocity and travel time: over \
                    the ranges of conductivity, porosity and the gradient's 95 % interval";

const REALIZATIONS: &str = "in realizations: share of the realizations in which a path on the triangles \
                      reaches the receptor, with its 95 % interval, not known where paths leave the \
                      map first";

const UP: &str = "up: paths upgradient from the receptor that come from the source";

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

/// Lengths in feet where the site's elevations are, or in metres.
#[derive(Clone, Copy)]
struct Lengths(LengthUnit);

impl Lengths {
    fn of(unit: LengthUnit) -> Self {
        Self(if unit.is_foot() { unit } else { LengthUnit::Metre })
    }

    const fn name(self) -> &'static str {
        if self.0.is_foot() { "ft" } else { "m" }
    }

    fn told(self, metres: f64, decimals: i32) -> String {
        fixed(LengthUnit::Metre.convert(metres, self.0), decimals)
    }

    fn area(self, square_metres: f64) -> String {
        let side = LengthUnit::Metre.convert(1.0, self.0);
        fixed(square_metres * side * side, 0)
    }

    fn span(self, low: Option<f64>, high: Option<f64>) -> String {
        let own = |metres: f64| LengthUnit::Metre.convert(metres, self.0);
        span(low.map(own), high.map(own))
    }
}

fn verdicts(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let feet = unit.is_foot();
    let length = |m: Option<f64>, ft: Option<f64>| {
        (if feet { ft } else { m }).map_or(String::new(), |l| fixed(l, 0))
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
        if summary.realizations_on_other_surface {
            "in realizations, on triangles"
        } else {
            "in realizations"
        },
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
            v.gradient.map_or(String::new(), |g| fixed(g, 4)),
            span(velocity.0, velocity.1),
            time(v.travel_low_d, v.travel_high_d),
            time(v.retarded_low_d, v.retarded_high_d),
            realizations(v),
            match v.upgradient_paths {
                0 => String::new(),
                n => format!("{}/{n}", v.upgradient_paths_reaching),
            },
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

/// What the realizations say; where most of them say otherwise than the map, that.
fn realizations(v: &VerdictRow) -> String {
    let counts = v.realizations.zip(v.realizations_reaching).zip(v.realizations_leaving_first);
    counts.map_or(String::new(), |((of, reaching), leaving)| {
        let words = Realizations { of, reaching, leaving }.words();
        if v.realizations_agree == Some(false) { format!("{words}, T511") } else { words }
    })
}

/// Bearings from sources to receptors beside the direction of flow.
fn bearings(summary: &TowardSummary) -> Table {
    let header =
        ["source", "receptor", "bearing", "flow at the source", "its 95 %", "receptor within"];
    let degrees = |d: Option<f64>| d.map_or(String::new(), |d| format!("{}°", fixed(d, 0)));
    let rows = summary.verdicts.iter().map(|v| {
        let arc = v.flow_from_true_deg.zip(v.flow_to_true_deg);
        let resolved = arc.is_some() || v.flow_azimuth_true_deg.is_none();
        vec![
            v.source.to_string(),
            v.receptor.to_string(),
            degrees(v.bearing_true_deg),
            if resolved { degrees(v.flow_azimuth_true_deg) } else { "not resolved".to_owned() },
            arc.map_or(String::new(), |(from, to)| {
                format!("{}° to {}°", fixed(from, 0), fixed(to, 0))
            }),
            match v.bearing_in_flow_interval {
                Some(true) => "yes",
                Some(false) => "no",
                None => "",
            }
            .to_owned(),
        ]
    });
    table(&header, rows.collect(), 2)
}

/// The column of retarded times.
const RETARDED: usize = 8;

/// What becomes of the water, with the share of paths and the well at the end.
fn outcome(v: &VerdictRow) -> String {
    let mut text = v.outcome.to_owned();
    if v.paths_reaching > 0 && v.paths > 1 {
        let _ = write!(text, " ({} of {} paths", v.paths_reaching, v.paths);
        if v.paths_reaching_at_edge > 0 {
            let _ = write!(text, ", {} at the edge", v.paths_reaching_at_edge);
        }
        text.push(')');
    } else if v.paths_reaching_at_edge > 0 {
        text.push_str(" (at the edge)");
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
    let lengths = Lengths::of(unit);
    let u = lengths.name();
    let header = [
        "line",
        "side",
        "the water flows",
        &format!("from {u}"),
        &format!("to {u}"),
        &format!("beside it higher by {u}"),
        &format!("over {u}"),
        "nearest well",
        "by that well",
    ];
    let rows = summary.reaches.iter().map(|r| {
        vec![
            r.line.to_string(),
            format!("{} ({})", r.side, r.compass),
            r.water_flows.to_owned(),
            lengths.told(r.from_m, 0),
            lengths.told(r.to_m, 0),
            render::signed(if feet { r.difference_ft } else { r.difference_m }, 3),
            lengths.told(r.distance_m, 0),
            r.well.unwrap_or_default().to_owned(),
            r.well_says.unwrap_or_default().to_owned(),
        ]
    });
    table(&header, rows.collect(), 3)
}

fn pumped(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let lengths = Lengths::of(unit);
    let u = lengths.name();
    let header = [
        "pumped well",
        "rate m3/d",
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
            p.rate_m3_per_d.map_or(String::new(), |q| fixed(q, 0)),
            lengths.span(p.width_at_well_low_m, p.width_at_well_high_m),
            lengths.span(p.width_far_low_m, p.width_far_high_m),
            lengths.span(p.to_stagnation_low_m, p.to_stagnation_high_m),
            p.mapped_width_m.map_or_else(none, |m| lengths.told(m, 0)),
            p.mapped_area_m2.map_or_else(none, |m2| lengths.area(m2)),
        ]
    });
    table(&header, rows.collect(), 1)
}

fn vertical(summary: &TowardSummary, unit: LengthUnit) -> Table {
    let feet = unit.is_foot();
    let lengths = Lengths::of(unit);
    let u = lengths.name();
    let header = [
        "upper well",
        "lower well",
        "gradient is",
        &format!("lower higher by {u}"),
        &format!("screens apart {u}"),
        "gradient",
        "95 %",
    ];
    let rows = summary.vertical_gradients.iter().map(|g| {
        vec![
            g.upper.to_owned(),
            g.lower.to_owned(),
            g.water_flows.to_owned(),
            render::signed(if feet { g.head_difference_ft } else { g.head_difference_m }, 3),
            lengths.told(g.distance_m, 2),
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

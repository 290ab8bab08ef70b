//! `headfall record`.

use std::fmt::Write as _;

use headfall::diag::{Diagnostic, printable};
use headfall::report::{RoundOfRecord, SiteRecordSummary, WellOfRecord, counted};
use headfall::run;
use headfall::units::fixed;
use headfall::write::{self, Written};

use super::args::Record;
use super::exit::Exit;
use super::progress;
use super::refused;
use super::render;
use super::say;
use super::say::End;

/// Puts all rounds side by side, writes the files and says what was found.
pub(super) fn run(args: &Record) -> Exit {
    if args.source.round.is_some() {
        say::aside("the record is of all rounds: leave out --round; nothing was written\n");
        return Exit::Refused;
    }
    let mut findings = Vec::new();
    let overrides = args.source.overrides(None);
    let path = &args.source.path;
    let found = progress::shown(&args.source, || {
        let record = run::record(path, &overrides, &mut findings)?;
        let (folder, written) = run::write_record(path, &record, &findings, args.out.as_deref())?;
        Ok((record, folder, written))
    });
    match found {
        Ok((record, folder, written)) => {
            render::findings(&findings);
            say::kept(&written.told);
            let summary = write::record_summary(&record, &findings);
            say::result(
                &args.source,
                || render::json(&summary),
                || told(&summary, &findings, &render::path(&folder), &written),
                End { said: Exit::done(&findings, args.source.fail_on), has_files: true },
            )
        }
        Err(error) => refused::refused_to(&args.source, "there is no record", &findings, &error),
    }
}

fn told(
    summary: &SiteRecordSummary<'_>,
    findings: &[Diagnostic],
    folder: &str,
    written: &Written,
) -> String {
    let mut text = format!(
        "{}: {}, {}\n\n",
        printable(summary.site),
        counted(summary.rounds.len(), "round"),
        counted(summary.wells.len(), "well")
    );
    for round in &summary.rounds {
        let _ = writeln!(text, "{}", printable(&of_round(round)));
    }
    for missing in &summary.not_read {
        let (round, why) = (printable(missing.round), printable(missing.why));
        let _ = writeln!(text, "{round}  not read: {why}");
    }
    text.push('\n');
    for well in summary.wells.iter().filter(|w| w.trend == "rises" || w.trend == "falls") {
        let _ = writeln!(text, "{}", printable(&of_well(well)));
    }
    for found in &summary.doubtful {
        let off = found
            .off
            .map_or_else(String::new, |off| format!(" {} {}", render::signed(off, 2), found.unit));
        let why = if found.would_explain.is_empty() {
            String::new()
        } else {
            format!(": {}", found.would_explain)
        };
        let line = format!("{} in {}: {}{off}{why}", found.well, found.round, found.kind);
        let _ = writeln!(text, "{}", printable(&line));
    }
    text.push('\n');
    text.push_str(&render::counts(findings));
    let _ = writeln!(text, "in {folder}:");
    for file in &written.files {
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        let _ = writeln!(text, "  {}", printable(&name));
    }
    text
}

/// Gradient and direction of a round, and whether flow turned.
fn of_round(round: &RoundOfRecord) -> String {
    let mut text = format!("{}  {}", round.round, counted(round.heads, "head"));
    let Some(gradient) = round.gradient else { return text + ", no gradient" };
    let _ = write!(text, ", gradient {}", fixed(gradient, 4));
    let direction = round.flow_azimuth_true_deg.or(round.flow_azimuth_grid_deg);
    match direction.filter(|_| round.direction_resolved == Some(true)) {
        Some(direction) => {
            let _ = write!(text, " toward {}\u{b0}", fixed(direction, 0));
        }
        None => text.push_str(", direction not resolved"),
    }
    if let (Some("turned"), Some(by), Some(since)) = (round.turned, round.turn_deg, &round.since) {
        let _ = write!(text, "; turned by {}\u{b0} since {since}", render::signed(by, 0));
    }
    text
}

/// A well that rises or falls.
fn of_well(well: &WellOfRecord) -> String {
    let number = |v: Option<f64>| v.map_or_else(String::new, |v| render::signed(v, 3));
    format!(
        "{} {}: {} {} a year (95 %: {} to {}), {}",
        well.well,
        well.trend,
        number(well.per_year),
        well.unit,
        number(well.per_year_low),
        number(well.per_year_high),
        counted(well.heads, "head")
    )
}

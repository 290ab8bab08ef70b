//! `headfall compare`.

use comfy_table::CellAlignment;
use headfall::diag::{Diagnostic, printable};
use headfall::report::{Changes, WellChange};
use headfall::run;
use headfall::units::fixed;
use headfall::write::{self, Written};

use super::args::Compare;
use super::exit::Exit;
use super::progress;
use super::refused;
use super::render;
use super::say;
use super::say::End;
use super::tables;

/// Takes one round from another, writes the files and says what changed.
pub(super) fn run(args: &Compare) -> Exit {
    let mut findings = Vec::new();
    let mut overrides = args.how.overrides(None, args.surface);
    (overrides.cell, overrides.interval) = (args.cell, args.interval);
    let between = (args.rounds[0].as_str(), args.rounds[1].as_str());
    let found = progress::shown(&args.how, || {
        let changes = run::compare(&args.path, &overrides, between, &mut findings)?;
        let out = args.out.as_deref();
        let (folder, written) = run::write_changes(&args.path, &changes, &findings, out)?;
        Ok((changes, folder, written))
    });
    match found {
        Ok((changes, folder, written)) => {
            render::findings(&findings);
            say::kept(&written.told);
            say::result(
                &args.how,
                || render::json(&write::changes_summary(&changes, &findings)),
                || told(&changes, &findings, &render::path(&folder), &written),
                End { said: Exit::done(&findings, args.how.fail_on), has_files: true },
            )
        }
        Err(error) => refused::refused(&args.how, &findings, &error),
    }
}

fn told(changes: &Changes, findings: &[Diagnostic], folder: &str, written: &Written) -> String {
    let [earlier, later] = &changes.rounds;
    let unit = changes.unit();
    let mut table = tables::plain();
    let headings = ["well", earlier, later, "change", "95 %", ""];
    table.set_header(headings.map(|heading| printable(heading).into_owned()));
    for well in &changes.wells {
        let number = |v: Option<f64>| v.map_or_else(String::new, |v| fixed(v, 3));
        let signed = |v: Option<f64>| v.map_or_else(String::new, |v| render::signed(v, 3));
        let interval = match (well.change_low, well.change_high) {
            (Some(low), Some(high)) => {
                format!("{} to {}", render::signed(low, 3), render::signed(high, 3))
            }
            _ => String::new(),
        };
        table.add_row([
            printable(&well.well).into_owned(),
            number(well.earlier),
            number(well.later),
            signed(well.change),
            interval,
            why(well),
        ]);
    }
    for column in 1..=4 {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let surface = match &changes.map {
        Ok(map) => {
            let points = map.surfaced.control.points().len();
            let range = map.contours.range.map_or_else(String::new, |(low, high)| {
                format!(", {} to {} {unit}", render::signed(low, 2), render::signed(high, 2))
            });
            format!("surface of the changes at {points} wells{range}")
        }
        Err(why) => format!("no surface: {}", printable(why)),
    };
    let volume = changes.volume().map_or_else(String::new, |v| v.in_words(unit) + "\n");
    let mut text = format!(
        "{}: change of head from {} to {}, {unit}\n{table}\n{}\n{surface}\n{volume}{}in {folder}:\n",
        printable(&changes.site.settings.name),
        printable(earlier),
        printable(later),
        changes.in_words(),
        render::counts(findings)
    );
    for file in &written.files {
        text.push_str("  ");
        text.push_str(&printable(&file.file_name().unwrap_or_default().to_string_lossy()));
        text.push('\n');
    }
    text
}

fn why(well: &WellChange) -> String {
    match (&well.why_none, well.way) {
        (Some(why), _) => printable(why).into_owned(),
        (None, Some(way)) if well.on_map => way.to_owned(),
        (None, Some(way)) => format!("{way}; not on the map of both"),
        (None, None) => String::new(),
    }
}

//! `headfall cross-validate`.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, Table};
use headfall::cross_validate::{MethodResult, Scores};
use headfall::diag::printable;
use headfall::report::{ComparisonResults, Norths};
use headfall::run::{self, Compared};
use headfall::units::{fixed, significant};
use headfall::write::{self, Written};

use super::args::CrossValidate;
use super::exit::Exit;
use super::say::End;
use super::tables;
use super::{progress, refused, render, say};

/// Compares all methods, writes the files and tells.
pub(super) fn run(args: &CrossValidate) -> Exit {
    let source = &args.source;
    let mut findings = Vec::new();
    let overrides = source.overrides(args.surface);
    let compared = progress::shown(source, || {
        let c = run::cross_validate(&source.path, &overrides, &mut findings)?;
        let written = run::write_comparison(&source.path, &c, args.out.as_deref(), &findings)?;
        Ok((c, written))
    });
    match compared {
        Ok((compared, written)) => {
            render::findings(&findings);
            say::kept(&written.told);
            say::result(
                source,
                || {
                    render::json(&write::comparison_summary(&ComparisonResults {
                        compared: &compared,
                        findings: &findings,
                    }))
                },
                || told(&compared, &written),
                End { said: Exit::done(&findings, source.fail_on), has_files: true },
            )
        }
        Err(error) => {
            let what = "the methods cannot be cross-validated as asked";
            refused::refused_to(source, what, &findings, &error)
        }
    }
}

fn told(compared: &Compared, written: &Written) -> String {
    let Compared { site, control, comparison, .. } = compared;
    let unit = control.elevation_unit();
    let wells = comparison.wells.len();
    let common = comparison.in_common.iter().filter(|c| **c).count();
    let mut text = format!(
        "{}, round {}: each of {wells} wells left out in turn\n\
         observed minus predicted head, {unit}\n",
        printable(&site.settings.name),
        printable(&compared.round.name)
    );
    let _ = writeln!(
        text,
        "\nall wells that a method can predict\n{}",
        table(compared, |m| { m.outcome.as_ref().ok()?.all })
    );
    let _ = writeln!(
        text,
        "\nthe {common} wells that every usable method predicts (common test set)\n{}\n * what \
         the site's settings ask for\n",
        table(compared, |m| m.outcome.as_ref().ok()?.common)
    );
    for method in &comparison.methods {
        let name = method.candidate.name();
        match &method.outcome {
            Ok(left_out) => {
                let worst: Vec<String> = left_out
                    .worst
                    .iter()
                    .take(3)
                    .filter_map(|i| Some((i, left_out.predictions[*i]?)))
                    .map(|(i, p)| {
                        format!(
                            "{} {}",
                            printable(&control.points()[*i].id),
                            render::signed(p.residual, 3)
                        )
                    })
                    .collect();
                if !worst.is_empty() {
                    let _ = writeln!(text, "{name}, worst: {}", worst.join(", "));
                }
            }
            Err(refused) => {
                let _ = writeln!(text, "{name} cannot be used: {}", printable(&refused.reason));
            }
        }
    }
    text.push_str(&direction(compared));
    if let Some(folder) = written.files.first().and_then(|f| f.parent()) {
        let _ = writeln!(text, "in {}:", render::path(folder));
    }
    for file in &written.files {
        let _ = writeln!(text, "  {}", file.file_name().unwrap_or_default().display());
    }
    text.push_str(
        "Not informative between wells or outside the well network. Local codes and a licensed \
         professional decide.\n",
    );
    text
}

fn table(compared: &Compared, of: impl Fn(&MethodResult) -> Option<Scores>) -> Table {
    let mut table = tables::plain();
    table.set_header([
        "method",
        "wells",
        "mean error",
        "mean absolute",
        "root mean square",
        "standardised mean",
        "standardised rms",
    ]);
    for method in &compared.comparison.methods {
        let mark = if method.asked { " *" } else { "" };
        let mut row = vec![format!("{}{mark}", method.candidate.name())];
        if let Some(s) = of(method) {
            let standard = |v: Option<f64>| v.map(|v| fixed(v, 2)).unwrap_or_default();
            row.extend([
                s.wells.to_string(),
                render::signed(s.mean_error, 3),
                fixed(s.mean_absolute_error, 3),
                fixed(s.root_mean_square_error, 3),
                standard(s.standardised_mean),
                standard(s.standardised_root_mean_square),
            ]);
        } else {
            let none = if method.outcome.is_ok() { "0" } else { "-" };
            row.push(none.to_owned());
            row.extend(std::iter::repeat_n(String::new(), 5));
        }
        table.add_row(row);
    }
    for column in 1..=6 {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

/// How far the site's direction hangs on single wells.
fn direction(compared: &Compared) -> String {
    let Compared { control, flow, comparison, .. } = compared;
    let toward = |a: Option<headfall::units::Azimuth>| {
        a.map_or("no direction".to_owned(), |a| {
            format!("flow direction {} degrees", fixed(a.degrees(), 1))
        })
    };
    let mut text = format!(
        "\nplane through all wells: gradient {}, {} from {}\n",
        significant(flow.plane_gradient, 4),
        toward(flow.plane_azimuth()),
        Norths::of(control).stated.words()
    );
    if let Some(i) = comparison.most_turning()
        && let Some(effect) = comparison.without[i].plane
        && let Some(turn) = effect.turn_deg
    {
        let _ = writeln!(
            text,
            "largest change without {}: {} degrees, to gradient {}, {}",
            printable(&control.points()[i].id),
            render::signed(turn, 1),
            significant(effect.gradient, 4),
            toward(effect.azimuth_true.or(effect.azimuth_grid))
        );
    }
    let needed: Vec<_> = comparison
        .wells
        .iter()
        .filter(|i| comparison.without[**i].plane.is_none())
        .map(|i| printable(&control.points()[*i].id))
        .collect();
    if !needed.is_empty() {
        let _ = writeln!(text, "no plane can be fitted without {}", needed.join(", "));
    }
    text
}

//! `headfall toward --round all`.

use std::fmt::Write as _;

use headfall::diag::{Diagnostic, printable};
use headfall::report::{OverRoundsSummary, PairOverRounds, counted};
use headfall::run;
use headfall::units::{fixed, time_words};
use headfall::write::{self, Written};

use super::args::Toward;
use super::exit::Exit;
use super::progress;
use super::refused;
use super::render;
use super::say;
use super::say::End;

/// What is said where no paths come about, of one round as of all.
pub(super) const NOT_TRACED: &str = "flow paths cannot be traced as asked";

/// Follows the water of every round, writes the files and says what was found.
pub(super) fn run(args: &Toward) -> Exit {
    let mut findings = Vec::new();
    let overrides = args.making.overrides(&args.source, None);
    let (path, out) = (&args.source.path, args.out.as_deref());
    let found = progress::shown(&args.source, || {
        let rounds = run::over_rounds(path, &overrides, &mut findings)?;
        let (folder, written) = run::write_over_rounds(path, &rounds, out)?;
        Ok((rounds, folder, written))
    });
    match found {
        Ok((rounds, folder, written)) => {
            render::findings(&findings);
            say::kept(&written.told);
            let summary = write::over_rounds_summary(&rounds);
            say::result(
                &args.source,
                || render::json(&summary),
                || told(&summary, &findings, &render::path(&folder), &written),
                End { said: Exit::done(&findings, args.source.fail_on), has_files: true },
            )
        }
        Err(error) => refused::refused_to(&args.source, NOT_TRACED, &findings, &error),
    }
}

fn told(
    summary: &OverRoundsSummary<'_>,
    findings: &[Diagnostic],
    folder: &str,
    written: &Written,
) -> String {
    let answered = summary.rounds.iter().filter(|r| r.answers.is_some()).count();
    let mut text = format!(
        "{}: {answered} of {} mapped\n\n",
        printable(summary.site),
        counted(summary.rounds.len(), "round")
    );
    for round in &summary.rounds {
        let _ = writeln!(text, "{}", printable(round.round));
        let Some(answers) = round.answers else {
            let _ = writeln!(text, "  no map: {}", printable(round.refused.unwrap_or_default()));
            continue;
        };
        let _ = writeln!(text, "  gradient {}", answers.gradient_words);
        let _ = writeln!(text, "  flow {}", answers.direction_words);
        for v in &answers.verdicts {
            let pair = format!("{} to {}", v.source, v.receptor);
            let time = v.travel_low_d.map(|low| time_words(low, v.travel_high_d));
            let parts = [Some(v.outcome.clone()), time, v.realizations.clone()];
            let parts: Vec<String> = parts.into_iter().flatten().collect();
            let _ = writeln!(text, "  {}: {}", printable(&pair), printable(&parts.join("; ")));
        }
    }
    text.push('\n');
    if let Some(swing) = summary.swing.filter(|s| s.rounds > 1) {
        let mean = swing.mean_grid_deg.map_or_else(
            || "cancel out".to_owned(),
            |mean| format!("have the mean {}°", fixed(mean, 0)),
        );
        let _ = writeln!(
            text,
            "the directions of {} rounds {mean} and lie within {}°, clockwise from {}° (grid north)",
            swing.rounds,
            fixed(swing.width_deg, 0),
            fixed(swing.from_grid_deg, 0)
        );
    }
    for pair in &summary.pairs {
        let _ = writeln!(text, "{}", printable(&of_pair(pair)));
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

/// How often a receptor is reached, and when.
fn of_pair(pair: &PairOverRounds) -> String {
    let PairOverRounds { source, receptor, rounds, reached, reached_surely, .. } = pair;
    let mut text =
        format!("{source} to {receptor}: reached in {reached} of {}", counted(*rounds, "round"));
    if *reached > 0 {
        let _ = write!(text, " (by the realizations too in {reached_surely})");
    }
    for (count, words) in [(pair.open, "open"), (pair.not_reached, "not reached")] {
        if count > 0 {
            let _ = write!(text, ", {words} in {count}");
        }
    }
    if let Some(earliest) = pair.earliest_d {
        let _ = write!(text, "; {}", time_words(earliest, pair.latest_d));
    }
    text
}

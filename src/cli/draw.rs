//! `headfall draw`.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use comfy_table::CellAlignment;
use headfall::diag::{Diagnostic, Severity, listed, printable};
use headfall::report::{FindingCounts, counted};
use headfall::run::{self, Asked, Batch, Outdated, State, Unit};
use headfall::write;

use super::args::{ALL, Draw};
use super::exit::Exit;
use super::progress;
use super::refused::refused;
use super::render;
use super::say;
use super::say::End;
use super::tables;

impl Draw {
    /// Whether it is about one round of one site.
    pub(super) fn is_of_one(&self) -> bool {
        self.paths.len() == 1
            && !self.how.has_all_units()
            && self.rounds.len() < 2
            && self.rounds.first().is_none_or(|r| r != ALL)
    }
}

/// Draws one round of one site.
pub(super) fn one(args: &Draw) -> Exit {
    let overrides = args.making.overrides(&args.how, args.rounds.first().cloned());
    let mut findings = Vec::new();
    let out = args.out.as_deref();
    let drawn =
        progress::shown(&args.how, || run::draw(&args.paths[0], &overrides, out, &mut findings));
    match drawn {
        Ok(drawn) => {
            render::findings(&findings);
            say::kept(&drawn.told);
            outdated(&args.paths[0]);
            let said = Exit::done(&findings, args.how.fail_on);
            let exit = say::result(
                &args.how,
                || render::json(&write::summary(&drawn.results(&findings), &drawn.sha256)),
                || render::summary(&drawn, &findings),
                End { said, has_files: true },
            );
            // The end of the program gives a large map's memory back sooner than piece by piece.
            std::mem::forget(drawn);
            exit
        }
        Err(error) => refused(&args.how, &findings, &error),
    }
}

/// Draws several rounds, of several sites.
pub(super) fn many(args: &Draw) -> Exit {
    if args.rounds.len() > 1 && args.rounds.iter().any(|round| round == ALL) {
        say::aside("--round all is every round: leave out the others; nothing was written\n");
        return Exit::Usage;
    }
    if let Some((one, other)) = twice(args) {
        say::aside(&format!(
            "{} and {} would have the same folder of results: give them different names, or draw them by themselves; \
             nothing was written\n",
            render::path(one),
            render::path(other)
        ));
        return Exit::Usage;
    }
    let rounds = match args.rounds.as_slice() {
        [] => Asked::Newest,
        [all] if all == ALL => Asked::All,
        names => Asked::Named(names.to_vec()),
    };
    let batch = Batch {
        sites: &args.paths,
        rounds: &rounds,
        each_aquifer_unit: args.how.has_all_units(),
        overrides: &args.making.overrides(&args.how, None),
        out: args.out.as_deref(),
        force: args.force,
        threads: args.how.threads.map_or(0, Into::into),
    };
    let units =
        progress::of_units(&args.how, args.paths.len(), |heard| run::draw_all(&batch, heard));
    for unit in &units {
        say::kept(&unit.told);
    }
    refusals(&units);
    // Where nothing was drawn nothing has changed since this was said.
    let drawn = units.iter().filter(|unit| unit.state == State::Drawn);
    let drawn: BTreeSet<&Path> = drawn.map(|unit| unit.source.as_path()).collect();
    for site in drawn {
        outdated(site);
    }
    let end = units.iter().map(|unit| ended(unit, args)).fold(Exit::Done, Exit::worst);
    let lines = || -> String {
        let line = |unit: &Unit| render::line(&unit.summary()) + "\n";
        units.iter().map(line).collect::<String>().trim_end().to_owned()
    };
    let end = End { said: end, has_files: true };
    say::result(&args.how, lines, || table(&units, args.paths.len()), end)
}

/// Says why there are no maps: the same reason once, with all that it is the reason of.
fn refusals(units: &[Unit]) {
    let mut told: Vec<(Vec<Diagnostic>, Vec<String>)> = Vec::new();
    for unit in units {
        let refusals = unit.findings.iter().filter(|d| d.severity == Severity::Refusal);
        let refusals: Vec<Diagnostic> = refusals.cloned().collect();
        match told.iter_mut().find(|(same, _)| *same == refusals) {
            Some((_, names)) => names.push(unit.name()),
            None if refusals.is_empty() => {}
            None => told.push((refusals, vec![unit.name()])),
        }
    }
    for (refusals, names) in told {
        say::aside(&format!("{}:\n", printable(&listed(&names))));
        render::findings(&refusals);
    }
}

/// Says which results of a site no longer follow from its files.
fn outdated(site: &Path) {
    for Outdated { folder, changed } in run::outdated(site) {
        say::aside(&format!(
            "{} no longer follows from the site's files: {} changed since; make it again, or take it away\n",
            render::path(&folder),
            printable(&listed(&changed))
        ));
    }
}

/// Two sites whose results would go into one folder.
fn twice(args: &Draw) -> Option<(&Path, &Path)> {
    let mut taken: BTreeMap<PathBuf, &Path> = BTreeMap::new();
    args.paths.iter().find_map(|site| {
        let folder = run::folder_of(site, args.out.as_deref(), args.paths.len());
        Some((taken.insert(folder, site)?, site.as_path()))
    })
}

fn ended(unit: &Unit, args: &Draw) -> Exit {
    match &unit.state {
        State::Drawn => Exit::done(&unit.findings, args.how.fail_on),
        State::Unchanged => Exit::Done,
        State::Refused(_) => Exit::Refused,
        State::NotWritten(_) => Exit::NotWritten,
    }
}

/// Above this many units those that are unchanged are only counted.
const LISTED: usize = 100;

/// Where the column of aquifer units is, where these are named.
const OF_UNIT: usize = 2;

/// What became of every unit.
fn table(units: &[Unit], sites: usize) -> String {
    let mut table = tables::plain();
    let of_units = units.iter().any(|unit| unit.aquifer_unit.is_some());
    let mut headings =
        vec!["site", "round", "state", "points", "gradient", "direction", "findings"];
    if of_units {
        headings.insert(OF_UNIT, "aquifer unit");
    }
    table.set_header(headings);
    let listed = |unit: &&Unit| units.len() <= LISTED || unit.state != State::Unchanged;
    for unit in units.iter().filter(listed) {
        let cell = |text: Option<&str>| printable(text.unwrap_or_default()).into_owned();
        let points = unit.control_points.map(|count| count.to_string());
        let found = match &unit.state {
            State::Drawn => FindingCounts::of(&unit.findings).words(""),
            _ => unit.state.why().unwrap_or_default().to_owned(),
        };
        let no_direction = (unit.state == State::Drawn).then_some("none to be reported");
        let mut row = vec![
            cell(Some(&unit.site_name())),
            cell(unit.round.as_deref()),
            unit.state.word().to_owned(),
            cell(points.as_deref()),
            cell(unit.gradient.as_deref()),
            cell(unit.direction.as_deref().or(no_direction)),
            cell(Some(&found)),
        ];
        if of_units {
            row.insert(OF_UNIT, cell(unit.aquifer_unit.as_deref()));
        }
        table.add_row(row);
    }
    if let Some(column) = table.column_mut(3 + usize::from(of_units)) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    let count = |word: &str| units.iter().filter(|unit| unit.state.word() == word).count();
    let mut words = Vec::new();
    for word in ["drawn", "unchanged", "refused", "not written"] {
        words.extend(Some(count(word)).filter(|n| *n > 0).map(|n| format!("{n} {word}")));
    }
    let mut text = format!("{table}\n");
    let _ = writeln!(
        text,
        "{}{} of {}: {}",
        counted(units.iter().filter(|unit| unit.round.is_some()).count(), "round"),
        if of_units { " of aquifer units" } else { "" },
        counted(sites, "site"),
        words.join(", ")
    );
    text.push_str(
        "Contours between wells are inferred. For screening: local codes and a licensed professional \
         decide.\n",
    );
    text
}

//! `headfall gather`.

use std::fmt::Write as _;

use headfall::diag::printable;
use headfall::report::counted;
use headfall::write::{self, Gathered};

use super::args::Gather;
use super::exit::Exit;
use super::refused;
use super::render;
use super::results;
use super::say;
use super::say::End;

/// Gathers the layers of many results in one GeoPackage.
pub(super) fn run(args: &Gather) -> Exit {
    let folders = match results::below(&args.dirs) {
        Ok(folders) => folders,
        Err(end) => return end,
    };
    match write::gather(&folders, &args.crs, &args.out, args.geoparquet) {
        Ok(gathered) if gathered.rounds.is_empty() => {
            say::aside("there are no maps here: no folder has summary.json and files.sha256\n");
            Exit::Nothing
        }
        Ok(gathered) => say::out(&told(&gathered), End { said: Exit::Done, has_files: true }),
        Err(error) => refused::told(&[], &error),
    }
}

fn told(gathered: &Gathered) -> String {
    let mut text = format!("{} gathered\n", counted(gathered.rounds.len(), "map"));
    for round in &gathered.rounds {
        if let Some(why) = &round.without_layers {
            let line = format!("{}, round {}: no layers, {why}", round.of.site, round.of.round);
            let _ = writeln!(text, "    {}", printable(&line));
        }
    }
    for file in &gathered.files {
        let _ = writeln!(text, "  {}", render::path(file));
    }
    text
}

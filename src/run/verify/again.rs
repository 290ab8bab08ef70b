//! The same run once more, into a folder of its own.

#![expect(clippy::disallowed_methods, reason = "results are looked up here")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use super::moved::difference;
use super::types::Again;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::run::compare::compare;
use crate::run::files::{
    draw, toward, write_changes, write_comparison, write_form, write_over_rounds, write_record,
};
use crate::run::form::form;
use crate::run::over_rounds::over_rounds;
use crate::run::record::record;
use crate::run::rounds::refusal;
use crate::run::stages::cross_validate;
use crate::write::{AskedFor, Command, Made};

/// Makes the run of some results once more and holds the files against each other.
pub(super) fn made(
    folder: &Path,
    files: &[String],
    made: &Made,
    site: &Path,
) -> Result<Again, Error> {
    let Some(asked) = made.asked() else {
        return Ok(Again::Refused("another version asked for something unknown here".to_owned()));
    };
    let no_room = |source| Error::Write {
        what: "no folder can be made for the same run once more".to_owned(),
        path: std::env::temp_dir(),
        source,
    };
    let room = tempfile::tempdir().map_err(no_room)?;
    let again = room.path().join("again");
    if let Err(error) = run(&asked, site, &again) {
        return match error {
            Error::Write { .. } => Err(error),
            error => Ok(Again::Refused(refusal(&error))),
        };
    }
    let mut names: BTreeSet<String> = files.iter().cloned().collect();
    names.extend(crate::write::held(&again).map_err(no_room)?.into_iter().flat_map(|h| h.files));
    let mut differences = Vec::new();
    for name in names {
        let [before, now] = [folder, &again].map(|folder| fs::read(folder.join(&name)).ok());
        if before != now {
            differences.push(difference(&name, before.as_deref(), now.as_deref()));
        }
    }
    Ok(if differences.is_empty() { Again::Same } else { Again::Differs(differences) })
}

/// Makes a run.
fn run(asked: &AskedFor, site: &Path, out: &Path) -> Result<(), Error> {
    let AskedFor { command, overrides, .. } = asked;
    let mut findings: Vec<Diagnostic> = Vec::new();
    match command {
        Command::Draw => draw(site, overrides, Some(out), &mut findings).map(drop),
        Command::Toward => toward(site, overrides, Some(out), &mut findings).map(drop),
        Command::TowardOverRounds => {
            let rounds = over_rounds(site, overrides, &mut findings)?;
            write_over_rounds(site, &rounds, Some(out)).map(drop)
        }
        Command::CrossValidate => {
            let compared = cross_validate(site, overrides, &mut findings)?;
            write_comparison(site, &compared, Some(out), &findings).map(drop)
        }
        Command::Compare => {
            let [earlier, later] =
                asked.between.as_ref().map_or(["", ""], |b| b.each_ref().map(String::as_str));
            let changes = compare(site, overrides, (earlier, later), &mut findings)?;
            write_changes(site, &changes, &findings, Some(out)).map(drop)
        }
        Command::Form => {
            let day = asked.day.as_ref().and_then(|day| day.parse().ok());
            let form = form(site, overrides, day, &mut findings)?;
            write_form(site, &form, &findings, Some(out)).map(drop)
        }
        Command::Record => {
            let record = record(site, overrides, &mut findings)?;
            write_record(site, &record, &findings, Some(out)).map(drop)
        }
    }
}

//! The files of a site folder's rounds.
#![expect(clippy::disallowed_methods, reason = "rounds are found by the names of their files")]

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::names::ROUNDS;

use super::open;

/// A round's file.
#[derive(Debug, Clone)]
pub(in crate::read) struct RoundFile {
    /// The round's name: the file's name without the ending.
    pub(in crate::read) name: String,
    /// The file's name inside the site folder.
    pub(in crate::read) file: String,
    /// The file.
    pub(in crate::read) path: PathBuf,
}

/// Whether a file in the folder of the rounds is one: a table of text or a workbook. Editors and spreadsheets leave hidden and
/// lock files behind.
pub(in crate::read) fn is_round(file: &Path) -> bool {
    let hidden = file.file_name().is_some_and(|n| n.to_string_lossy().starts_with(['.', '~']));
    !hidden && (is_csv(file) || open::is_workbook(file))
}

fn is_csv(file: &Path) -> bool {
    file.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"))
}

/// The files of the rounds, sorted by name. Where the first round is to come, `before_first`, there may be no folder of them
/// and no file in it.
pub(in crate::read) fn list(
    folder: &Path,
    before_first: bool,
    said: &mut Vec<Diagnostic>,
) -> Option<Vec<RoundFile>> {
    const ADVICE: &str = "put each round in its own file, such as rounds/2026-04-14.csv";
    let entries =
        std::fs::read_dir(folder.join(ROUNDS)).and_then(Iterator::collect::<Result<Vec<_>, _>>);
    let entries = match entries {
        Ok(entries) => entries,
        Err(e) if before_first && e.kind() == ErrorKind::NotFound => return Some(Vec::new()),
        Err(e) => {
            said.push(
                Diagnostic::new(
                    Code::FileUnreadable,
                    format!("the folder {ROUNDS} cannot be read: {e}"),
                )
                .at(&Origin::file(ROUNDS))
                .advice(ADVICE),
            );
            return None;
        }
    };
    let mut rounds: Vec<RoundFile> = entries
        .into_iter()
        .map(|entry| entry.path())
        .filter(|path| is_round(path))
        .filter_map(|path| {
            let name = path.file_stem()?.to_string_lossy().into_owned();
            let file = format!("{ROUNDS}/{}", path.file_name()?.to_string_lossy());
            Some(RoundFile { name, file, path })
        })
        .collect();
    // The workbook that a table was saved from is no round of its own.
    let tables: Vec<String> =
        rounds.iter().filter(|r| is_csv(&r.path)).map(|r| r.name.clone()).collect();
    rounds.retain(|r| is_csv(&r.path) || !tables.contains(&r.name));
    rounds.sort_by(|a, b| a.file.cmp(&b.file));
    if rounds.is_empty() && !before_first {
        said.push(unclear(format!("the folder {ROUNDS} has no .csv file"), ADVICE));
        return None;
    }
    Some(rounds)
}

/// R111 about the folder of the rounds.
pub(in crate::read) fn unclear(message: String, advice: &str) -> Diagnostic {
    Diagnostic::new(Code::RoundUnclear, message).at(&Origin::file(ROUNDS)).advice(advice)
}

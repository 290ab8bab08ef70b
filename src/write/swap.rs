//! Old files swapped for new ones, one by one.

#![expect(clippy::disallowed_methods, reason = "results are moved into place here")]

use std::fs;
use std::io;
use std::path::PathBuf;

/// What happens under one name of the results folder.
#[derive(Debug)]
pub(super) struct Move {
    /// The file's name in the results folder.
    pub(super) name: String,
    /// Where it stands.
    pub(super) target: PathBuf,
    /// Where what stands there goes, if anything does.
    pub(super) aside: Option<PathBuf>,
    /// Where the new file comes from, if there is one.
    pub(super) from: Option<PathBuf>,
}

/// All that happens, in order.
#[derive(Debug, Default)]
pub(super) struct Moves(Vec<Move>);

/// Moves that could not be carried out.
#[derive(Debug)]
pub(super) struct Stopped {
    /// The file that would not move.
    pub(super) target: PathBuf,
    /// Why.
    pub(super) cause: io::Error,
    /// Whether all is as it was before.
    pub(super) is_undone: bool,
}

impl Moves {
    pub(super) fn push(&mut self, next: Move) {
        self.0.push(next);
    }

    /// Files that were changed since they were written, and what becomes of them.
    pub(super) fn kept(&self) -> impl Iterator<Item = String> {
        // What is not kept goes to the staging folder under its own name.
        self.0.iter().filter_map(|Move { name, target, aside, .. }| {
            let aside = aside.as_ref()?;
            let another = aside.file_name().filter(|kept| Some(*kept) != target.file_name())?;
            let another = another.to_string_lossy();
            Some(format!("{name} was changed since it was written: it is kept as {another}"))
        })
    }

    /// Whether no file has to be kept under another name.
    pub(super) fn keep_all_names(&self) -> bool {
        self.kept().next().is_none()
    }

    /// Carries all out, or none.
    pub(super) fn carry_out(&self) -> Result<(), Stopped> {
        let mut done: Vec<(&PathBuf, &PathBuf)> = Vec::new();
        for Move { target, aside, from, .. } in &self.0 {
            let steps = aside.iter().map(|aside| (target, aside));
            for (from, to) in steps.chain(from.iter().map(|from| (from, target))) {
                let folder = to.parent().map_or(Ok(()), fs::create_dir_all);
                if let Err(cause) = folder.and_then(|()| fs::rename(from, to)) {
                    let back = done.iter().rev().try_for_each(|(from, to)| fs::rename(to, from));
                    let target = target.clone();
                    return Err(Stopped { target, cause, is_undone: back.is_ok() });
                }
                done.push((from, to));
            }
        }
        Ok(())
    }
}

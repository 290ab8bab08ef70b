//! Where results may go.

#![expect(clippy::disallowed_methods, reason = "asks what is there already")]

use std::io;
use std::path::{Component, Path, PathBuf};

use super::place::{earlier, failed};
use super::stale;
use crate::error::Error;
use crate::read::OF_INPUTS;

/// Refuses a folder that results must not go into, before any of them is worked out: one that holds
/// the site or lies among its inputs, and one that holds files and no record of earlier results.
///
/// `source` is the site's folder or its single table.
///
/// # Errors
/// [`Error::Write`], naming the folder and why.
pub fn allowed(out: &Path, source: &Path) -> Result<(), Error> {
    let (folder, inputs) = (resolved(out), resolved(source));
    let site = if source.is_dir() { inputs.clone() } else { parent(&inputs) };
    let refused = |why: String| {
        let what = "results cannot go into this folder";
        Err(failed(what, out)(io::Error::other(format!("{why}; give another with --out"))))
    };
    if inputs.starts_with(&folder) {
        return refused("it holds the site's own files".to_owned());
    }
    if let Some(name) = OF_INPUTS.iter().find(|name| folder.starts_with(site.join(name))) {
        return refused(format!("it lies in {name}, among the site's files"));
    }
    if out.is_symlink() && !out.exists() {
        return refused("it is a link that leads nowhere".to_owned());
    }
    // What a stopped run has left may be without its record until the next one mends it.
    let is_whole = out.is_dir() && !stale::is_there(out);
    if is_whole { earlier(out).map(drop) } else { Ok(()) }
}

/// A path without links, as far as it exists.
fn resolved(path: &Path) -> PathBuf {
    let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let known = path.ancestors().find_map(|p| Some((p, p.canonicalize().ok()?)));
    let Some((known, real)) = known else { return path };
    // Of what does not exist yet nothing can be a link.
    let rest = path.strip_prefix(known).unwrap_or(Path::new(""));
    rest.components().fold(real, |mut path, part| {
        if part == Component::ParentDir {
            path.pop();
        } else {
            path.push(part);
        }
        path
    })
}

fn parent(path: &Path) -> PathBuf {
    path.parent().unwrap_or(path).to_owned()
}

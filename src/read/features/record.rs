//! Files of features for the record: their names and hashes.

use std::path::{Path, PathBuf};

use super::keys::DeclaredFile;
use crate::diag::{Code, Diagnostic};
use crate::read::input;
use crate::read::types::InputFile;

/// Hashes a file with what belongs to it, and gives the name it is recorded by.
pub(super) fn recorded(
    file: &DeclaredFile,
    folder: &Path,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Option<String> {
    let path = folder.join(&file.table.file);
    let name = name_inside(&path, folder);
    let unreadable = |name: &str, why: String| {
        Diagnostic::new(
            Code::FileUnreadable,
            format!("{name}, the {} of [features], cannot be read: {why}", file.role.key()),
        )
        .at(&file.origin)
        .advice("check the name, its spelling and the right to read it; names count from the site folder")
    };
    for part in together(&path) {
        let name = name_inside(&part, folder);
        if inputs.iter().any(|i| i.file == name) {
            continue;
        }
        match input::hash(&part) {
            Ok(sha256) => inputs.push(InputFile { file: name, sha256 }),
            Err(e) => {
                said.push(unreadable(&name, e.to_string()));
                return None;
            }
        }
    }
    Some(name)
}

/// A file's name inside the site folder with forward slashes; its bare name when it is outside.
fn name_inside(path: &Path, folder: &Path) -> String {
    let inside = || {
        let (path, folder) = (path.canonicalize().ok()?, folder.canonicalize().ok()?);
        let parts: Vec<String> = path
            .strip_prefix(folder)
            .ok()?
            .components()
            .map(|c| c.as_os_str().to_string_lossy().into_owned())
            .collect();
        Some(parts.join("/"))
    };
    inside().unwrap_or_else(|| {
        path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    })
}

/// A file and those that belong to it: the parts of a shapefile or a TAB file, the files of a
/// geodatabase.
fn together(path: &Path) -> Vec<PathBuf> {
    if path.is_dir() {
        let mut files: Vec<PathBuf> = std::fs::read_dir(path)
            .into_iter()
            .flatten()
            .flatten()
            .map(|e| e.path())
            .filter(|p| p.is_file() && p.extension().is_none_or(|e| e != "lock"))
            .collect();
        files.sort();
        return files;
    }
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let others: &[&str] = match ending.as_str() {
        "shp" => &["shx", "dbf", "prj", "cpg"],
        "tab" => &["dat", "map", "id", "ind"],
        "mif" => &["mid"],
        "csv" => &["csvt", "prj"],
        _ => &[],
    };
    let beside =
        others.iter().flat_map(|e| [path.with_extension(e), path.with_extension(e.to_uppercase())]);
    let mut files = vec![path.to_owned()];
    files.extend(beside.filter(|p| p.is_file()));
    files
}

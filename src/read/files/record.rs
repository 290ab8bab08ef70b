//! Files that GDAL opens, for the record: names and hashes of each with all that belongs to it.

#![expect(clippy::disallowed_methods, reason = "what GDAL opens is looked up here")]

use std::path::{Path, PathBuf};

use crate::diag::{Code, Diagnostic, Origin};

use super::input;
use super::input_file::InputFile;

/// What stands behind the whole name of a file that says more about it: statistics, scale and
/// offset, a CRS.
const BEHIND: [&str; 4] = ["aux.xml", "aux", "ovr", "msk"];

/// What a database leaves beside its file while it is open, or after it was stopped.
const JOURNALS: [&str; 3] = ["-wal", "-shm", "-journal"];

/// A file that the settings name, by what it is to the map.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) struct Named<'a> {
    /// As the settings name it, counted from the folder.
    pub(in crate::read) file: &'a str,
    pub(in crate::read) folder: &'a Path,
    /// What it is in words: `the streams of [features]`.
    pub(in crate::read) what: &'a str,
    /// Where it is named.
    pub(in crate::read) origin: &'a Origin,
}

/// A file with all that belongs to it, as it was at one time.
#[derive(Debug)]
pub(in crate::read) struct Record {
    /// Its name inside the site folder, or its bare name when it is outside.
    pub(in crate::read) name: String,
    /// It and all that belongs to it, or the files in it when it is a geodatabase.
    pub(in crate::read) parts: Vec<InputFile>,
}

impl Named<'_> {
    /// Hashes the file and what belongs to it. Nothing is opened that is no regular file.
    ///
    /// # Errors
    /// R101 when one of them is missing, cannot be read or is no regular file, and when a database
    /// has changes beside its file.
    pub(in crate::read) fn record(&self) -> Result<Record, Box<Diagnostic>> {
        let path = self.folder.join(self.file);
        let name = name_inside(&path, self.folder);
        if let Some(journal) = journal(&path) {
            let beside = name_inside(&journal, self.folder);
            let why = format!("{beside} beside it holds changes not yet written to the file");
            return Err(Box::new(self.refused(&name, &why).advice(
                "close the GIS that has it open; if the file beside it remains, open the layer in \
                 the GIS, save it to a new file, and name that file",
            )));
        }
        let mut parts = Vec::new();
        for part in together(&path).map_err(|e| self.unreadable(&path, &e))? {
            parts.push(self.part(&part)?);
        }
        Ok(Record { name, parts })
    }

    /// Holds the record against the files once they were read, and adds those of them that their
    /// names do not tell.
    ///
    /// # Errors
    /// R101 when one of them is no longer what it was.
    pub(in crate::read) fn was(
        &self,
        mut record: Record,
        read: &[PathBuf],
    ) -> Result<Vec<InputFile>, Box<Diagnostic>> {
        let now = self.record()?;
        if let Some(changed) = now.parts.iter().find(|part| !record.parts.contains(part)) {
            let refused = self.refused(&changed.file, "it changed while it was being read");
            return Err(Box::new(
                refused.advice("run again when no other program is writing to it"),
            ));
        }
        for path in read.iter().filter(|path| path.is_file()) {
            let name = name_inside(path, self.folder);
            if record.parts.iter().all(|part| part.file != name) {
                record.parts.push(self.part(path)?);
            }
        }
        Ok(record.parts)
    }

    /// Reads a file that nothing else belongs to.
    ///
    /// # Errors
    /// R101 when it is missing, cannot be read or is no regular file.
    pub(in crate::read) fn whole(&self) -> Result<(Vec<u8>, InputFile), Box<Diagnostic>> {
        let path = self.folder.join(self.file);
        let (bytes, sha256) = input::bytes(&path).map_err(|e| self.unreadable(&path, &e))?;
        Ok((bytes, InputFile { file: name_inside(&path, self.folder), sha256 }))
    }

    fn part(&self, path: &Path) -> Result<InputFile, Box<Diagnostic>> {
        let sha256 = input::hash(path).map_err(|e| self.unreadable(path, &e))?;
        Ok(InputFile { file: name_inside(path, self.folder), sha256 })
    }

    fn refused(&self, name: &str, why: &str) -> Diagnostic {
        let message = format!("{name}, {}, cannot be read: {why}", self.what);
        Diagnostic::new(Code::FileUnreadable, message).at(self.origin)
    }

    fn unreadable(&self, path: &Path, error: &std::io::Error) -> Diagnostic {
        let refused = self.refused(&name_inside(path, self.folder), &error.to_string());
        refused.advice(
            "check the file name, its spelling and your permission to read it; names are relative \
             to the site folder",
        )
    }
}

/// Where a file lies, whatever way leads there. The name of a link counts, not where it leads.
pub(in crate::read) fn placed(path: &Path) -> Option<PathBuf> {
    Some(input::or_here(path.parent()?).canonicalize().ok()?.join(path.file_name()?))
}

/// A file's name inside the site folder with forward slashes; its bare name when it is outside.
fn name_inside(path: &Path, folder: &Path) -> String {
    let inside = || {
        let path = placed(path)?;
        let folder = input::or_here(folder).canonicalize().ok()?;
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

/// The first journal of a database beside its file, or beside the file that a link leads to.
fn journal(path: &Path) -> Option<PathBuf> {
    let beside = |path: &Path| {
        JOURNALS.iter().find_map(|ending| {
            let mut name = path.file_name()?.to_owned();
            name.push(ending);
            Some(path.with_file_name(name)).filter(|p| input::there(p))
        })
    };
    beside(path).or_else(|| beside(&path.canonicalize().ok()?))
}

/// A file and those beside it that say more about it: the parts of a shapefile or a TAB file, the
/// CRS, the frame and the scale of a raster; all files of a geodatabase. Sorted behind the first.
pub(in crate::read) fn together(path: &Path) -> std::io::Result<Vec<PathBuf>> {
    let lower = |name: &std::ffi::OsStr| name.to_string_lossy().to_lowercase();
    let ending = path.extension().map(lower).unwrap_or_default();
    if path.is_dir() && ending == "gdb" {
        let mut files = Vec::new();
        for entry in path.read_dir()? {
            let file = entry?.path();
            // What a GIS marks as its own while it works.
            if !file.is_dir() && file.extension().is_none_or(|e| e != "lock") {
                files.push(file);
            }
        }
        files.sort();
        return Ok(files);
    }
    let mut files = vec![path.to_owned()];
    let (Some(name), Some(stem)) = (path.file_name().map(lower), path.file_stem().map(lower))
    else {
        return Ok(files);
    };
    let endings = beside(&ending);
    let belongs = |other: &str| {
        let behind = other.strip_prefix(&name).and_then(|e| e.strip_prefix('.'));
        let instead = other.strip_prefix(&stem).and_then(|e| e.strip_prefix('.'));
        behind.is_some_and(|e| BEHIND.contains(&e))
            || instead.is_some_and(|e| endings.iter().any(|known| known == e))
    };
    let folder = input::or_here(path.parent().unwrap_or(Path::new("")));
    let mut more = Vec::new();
    for entry in folder.read_dir()? {
        let other = entry?.file_name();
        if lower(&other) != name && belongs(&lower(&other)) {
            more.push(path.with_file_name(other));
        }
    }
    more.sort();
    files.append(&mut more);
    Ok(files)
}

/// The endings of files that say more about one with this ending, in lower case.
fn beside(ending: &str) -> Vec<String> {
    let known: &[&str] = match ending {
        "shp" => &["shx", "dbf", "prj", "cpg", "qix", "sbn", "sbx", "idm", "ind"],
        "tab" => &["dat", "dbf", "map", "id", "ind"],
        "mif" => &["mid"],
        "csv" => &["csvt", "prj"],
        "geojson" | "json" | "gpkg" | "fgb" | "dxf" => &[],
        // A raster.
        _ => &["prj", "aux", "ovr", "msk", "rrd", "ige", "tab", "xml", "wld", "rpb", "imd"],
    };
    let mut endings: Vec<String> = known.iter().map(|e| (*e).to_owned()).collect();
    if known.contains(&"wld") {
        // Files of the frame are called after the raster's ending, such as tfw or tifw.
        let ends = ending.chars().next().zip(ending.chars().last());
        endings.extend(ends.map(|(first, last)| format!("{first}{last}w")));
        endings.push(format!("{ending}w"));
    }
    endings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_changes_while_it_is_read_is_refused() {
        let folder = tempfile::tempdir().expect("a folder");
        let put = |name: &str, text: &str| {
            let path = folder.path().join(name);
            std::fs::write(&path, text).expect("a file");
            path
        };
        let origin = Origin::line("site.toml", 7);
        let what = "the raster of [ground]";
        let named = Named { file: "land.img", folder: folder.path(), what, origin: &origin };
        for (name, before, after) in [
            ("land.img", "abc", "abd"),
            ("land.img.aux.xml", "1", "2"),
            // One that was not there before.
            ("land.PRJ", "", "3"),
        ] {
            put("land.img", "abc");
            if !before.is_empty() {
                put(name, before);
            }
            let elsewhere = put("values.ige", "of the raster");
            let record = named.record().expect("read");
            let count = record.parts.len();
            // A file that the raster itself names is on record too, and not twice.
            let read = [elsewhere, folder.path().join("land.img")];
            let whole = named.was(record, &read).expect("as it was");
            assert_eq!(whole.len(), count + 1);
            assert!(whole.iter().any(|part| part.file == "values.ige"), "{whole:?}");
            let record = named.record().expect("read");
            put(name, after);
            let told = named.was(record, &read).expect_err("changed");
            assert!(told.message.starts_with(&format!("{name}, the raster")), "{}", told.message);
            assert!(told.message.ends_with("changed while it was being read"), "{}", told.message);
            put(name, before);
        }
    }
}

//! Files on record.

#[cfg(feature = "formats")]
use std::path::{Path, PathBuf};

use schemars::JsonSchema;
use serde::Serialize;

use crate::schema::Sha256;

/// A file that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct InputFile {
    /// Its name inside the site folder, with forward slashes.
    pub file: String,
    /// SHA-256 of its bytes, in hexadecimal.
    #[schemars(with = "Sha256")]
    pub sha256: String,
}

impl InputFile {
    /// Where it is, of a site that is a folder or one table. Of a file outside the site's folder only the name is known.
    #[cfg(feature = "formats")]
    #[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
    pub(crate) fn path(&self, site: &Path) -> PathBuf {
        let folder = if site.is_dir() { site } else { site.parent().unwrap_or(Path::new("")) };
        folder.join(&self.file)
    }

    /// Each of some files once, in their order.
    pub(crate) fn each_once<'i>(files: impl IntoIterator<Item = &'i Self>) -> Vec<&'i Self> {
        let mut all: Vec<&Self> = Vec::new();
        for file in files {
            if !all.contains(&file) {
                all.push(file);
            }
        }
        all
    }
}

//! Files on record.

use serde::Serialize;

/// A file that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InputFile {
    /// Its name inside the site folder, with forward slashes.
    pub file: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

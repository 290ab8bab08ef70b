//! Which PROJ and GDAL are built in.

use schemars::JsonSchema;
use serde::Serialize;

/// The program that makes results: the commit that it was built from, and the versions of PROJ and GDAL in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BuiltOf {
    /// The commit it was built from; null where the sources were no checkout.
    pub commit: Option<&'static str>,
    /// Version of PROJ.
    pub proj: Option<String>,
    /// Version of GDAL.
    pub gdal: Option<String>,
}

impl BuiltOf {
    /// Those of this program.
    #[must_use]
    pub fn this() -> Self {
        let commit = Some(env!("HEADFALL_COMMIT")).filter(|commit| !commit.is_empty());
        Self { commit, proj: proj(), gdal: gdal() }
    }
}

#[cfg(feature = "crs")]
#[expect(clippy::unnecessary_wraps, reason = "none where it is not built in")]
fn proj() -> Option<String> {
    use proj_sys::{PROJ_VERSION_MAJOR, PROJ_VERSION_MINOR, PROJ_VERSION_PATCH};
    Some(format!("{PROJ_VERSION_MAJOR}.{PROJ_VERSION_MINOR}.{PROJ_VERSION_PATCH}"))
}

#[cfg(not(feature = "crs"))]
fn proj() -> Option<String> {
    None
}

#[cfg(feature = "formats")]
use super::options::gdal_version as gdal;

#[cfg(not(feature = "formats"))]
fn gdal() -> Option<String> {
    None
}

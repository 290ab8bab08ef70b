//! The names of a site folder's files.

/// What is declared of the site.
pub(super) const SITE_TOML: &str = "site.toml";

/// The register.
pub(super) const WELLS: &str = "wells.csv";

/// Later surveys.
pub(super) const MEASURING_POINTS: &str = "measuring-points.csv";

/// The folder of the rounds.
pub(super) const ROUNDS: &str = "rounds";

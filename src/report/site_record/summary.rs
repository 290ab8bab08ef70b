//! All of a site's record at once: the content of `record.json`.

use super::rows::SiteRecord;
use super::types::{NotReadOfRecord, SiteRecordSummary};
use crate::diag::Diagnostic;
use crate::report::digits;
use crate::units::Azimuth;

impl SiteRecord {
    /// All of it, with the findings and the files written.
    #[must_use]
    pub fn summary<'a>(
        &'a self,
        findings: &'a [Diagnostic],
        files: Vec<&'static str>,
    ) -> SiteRecordSummary<'a> {
        let directions = self.record.directions;
        SiteRecordSummary {
            headfall: env!("CARGO_PKG_VERSION"),
            site: &self.site.settings.name,
            vertical_datum: self.site.settings.vertical_datum.as_deref(),
            rounds: self.rounds(),
            not_read: self
                .not_read
                .iter()
                .map(|(round, why)| NotReadOfRecord { round, why })
                .collect(),
            mean_direction_grid_deg: directions
                .and_then(|d| d.mean)
                .map(|a: Azimuth| digits::azimuth(a)),
            direction_agreement: directions.map(|d| digits::coefficient(d.resultant_length)),
            wells: self.wells(),
            doubtful: self.doubtful(),
            nests: self.nests(),
            surfaces: self.surfaces(),
            next_visit: self.next_visit(),
            findings,
            inputs: &self.inputs,
            files,
        }
    }
}

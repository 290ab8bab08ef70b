//! The field sheet for the next round of a site.

use std::path::Path;

use jiff::civil::Date;

use super::all_rounds::AllRounds;
use super::record;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::read::Overrides;
use crate::report::Form;

/// Makes the field sheet for the round of a day, or of the season of the newest round: wells in walking order, what was
/// read last, what is expected. A site may have no round yet.
///
/// # Errors
/// Those of [`record`](super::record()).
pub fn form(
    source: &Path,
    overrides: &Overrides,
    day: Option<Date>,
    findings: &mut Vec<Diagnostic>,
) -> Result<Form, Error> {
    let overrides = Overrides { before_first_round: true, ..overrides.clone() };
    let all = AllRounds::read(source, &overrides)?;
    let record = record::of(&all, findings);
    let newest = record.record.rounds.last().map(|r| r.round.clone());
    let newest = all.read.iter().find(|one| Some(&one.heads.round.name) == newest.as_ref());
    let found = newest.map_or(&[][..], |one| &one.found);
    Ok(Form::new(record, &all.reduced(), found, day))
}

//! Where the water goes in every round of a site.

use std::path::Path;
use std::sync::Arc;

use super::stages::{Heads, follow, heads, heads_of, map_for_paths};
use crate::diag::{Code, Diagnostic, Severity, bounded};
use crate::error::Error;
use crate::read::{self, InputFile, Overrides, Site};
use crate::report::{AnswersOfRound, OverRounds, Results, RoundAnswers};

/// Follows the water of every round of a site. A round that gives no map is among them with the reason; one map at a
/// time is held.
///
/// # Errors
/// [`Error::Read`] when the site itself cannot be read, [`Error::Map`] with all that was found when no round gives a map.
pub fn over_rounds(
    source: &Path,
    overrides: &Overrides,
    findings: &mut Vec<Diagnostic>,
) -> Result<OverRounds, Error> {
    let site = read::site(source, overrides)?;
    let name = site.value.settings.name.clone();
    let (site, of_site) = (Arc::new(site.value), site.findings);
    let files = site.rounds.names();
    let mut rounds: Vec<RoundAnswers> = Vec::new();
    for name in site.rounds.known() {
        let (mut said, mut inputs) = (Vec::new(), Vec::new());
        let beside = files.contains(&name).then_some((&site, of_site.as_slice()));
        let read = read_round(source, overrides, &name, beside, &mut said);
        let answers = read.and_then(|heads| of_round(heads, &mut inputs, &mut said));
        let answers = answers.map_err(|error| {
            said.extend(error.diagnostics().iter().cloned());
            let refusals = error.diagnostics().iter().filter(|d| d.severity == Severity::Refusal);
            let why = refusals.map(|d| format!("{}: {}", d.code.id(), d.message)).next();
            why.unwrap_or_else(|| error.to_string())
        });
        rounds.push(RoundAnswers { name, answers, findings: said, inputs });
    }
    let day = |r: &RoundAnswers| r.answers.as_ref().ok().and_then(|a| a.from.clone());
    rounds.sort_by(|a, b| day(a).cmp(&day(b)).then_with(|| a.name.cmp(&b.name)));
    let mut all: Vec<Diagnostic> = Vec::new();
    for found in rounds.iter().flat_map(|r| &r.findings) {
        if !all.contains(found) {
            all.push(found.clone());
        }
    }
    if rounds.iter().all(|r| r.answers.is_err()) {
        return Err(Error::Map(bounded(all)));
    }
    findings.extend(all);
    Ok(OverRounds { site: name, rounds })
}

fn read_round(
    source: &Path,
    overrides: &Overrides,
    name: &str,
    site: Option<(&Arc<Site>, &[Diagnostic])>,
    said: &mut Vec<Diagnostic>,
) -> Result<Heads, Error> {
    let Some((site, of_site)) = site else {
        // A table of many rounds is read for each of them.
        let overrides = Overrides { round: Some(name.to_owned()), ..overrides.clone() };
        return heads(source, &overrides, said);
    };
    let round = site.round(Some(name))?;
    let mut found = of_site.to_vec();
    found.extend(round.findings);
    heads_of((Arc::clone(site), round.value), found, said)
}

fn of_round(
    heads: Heads,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Result<AnswersOfRound, Error> {
    inputs.extend(heads.site.inputs.iter().chain(&heads.round.inputs).cloned());
    let map = map_for_paths(heads, said)?;
    let toward = follow(&map, said)?;
    let results = Results { map: &map, toward: Some(&toward), findings: said.as_slice() };
    inputs.extend(results.inputs().skip(inputs.len()).cloned());
    AnswersOfRound::of(&results, &toward)
        .map_err(|why| Error::Map(vec![Diagnostic::new(Code::CrsUnknown, why.to_string())]))
}

//! Where the water goes in every round of a site.

use std::path::Path;

use super::rounds::{SiteRounds, of_rounds, refused};
use super::stages::{Heads, follow, map_for_paths};
use crate::diag::{Code, Diagnostic, bounded};
use crate::error::Error;
use crate::read::{InputFile, Overrides};
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
    let all = SiteRounds::read(source, overrides)?;
    let mut rounds: Vec<RoundAnswers> = Vec::new();
    for name in all.names() {
        let (mut said, mut inputs) = (Vec::new(), Vec::new());
        let heads = all.heads(&name, &mut said);
        let answers = heads.and_then(|heads| of_round(heads, &mut inputs, &mut said));
        let answers = answers.map_err(|error| refused(&error, &mut said));
        rounds.push(RoundAnswers { name, answers, findings: said, inputs });
    }
    let day = |r: &RoundAnswers| r.answers.as_ref().ok().and_then(|a| a.from.clone());
    rounds.sort_by(|a, b| day(a).cmp(&day(b)).then_with(|| a.name.cmp(&b.name)));
    let found: Vec<(String, Vec<Diagnostic>)> =
        rounds.iter().map(|r| (r.name.clone(), r.findings.clone())).collect();
    let said = of_rounds(&found);
    if rounds.iter().all(|r| r.answers.is_err()) {
        return Err(Error::Map(bounded(said)));
    }
    findings.extend(said);
    Ok(OverRounds { site: all.site, rounds })
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

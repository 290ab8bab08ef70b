//! Where the water goes in each round of a site, and how often it reaches what.

use std::sync::Arc;

use geo::Coord;
use schemars::JsonSchema;
use serde::Serialize;

use super::answers::{TowardSummary, VerdictRow};
use super::cautions::TOWARD_CAUTIONS;
use super::results::Results;
use super::statement::Statement;
use super::summary::{FlowSummary, Opening};
use crate::diag::Diagnostic;
use crate::geom::{CrsError, narrowest_arc};
use crate::read::{InputFile, Site};
use crate::record::circular;
use crate::report::digits;
use crate::schema::Moment;
use crate::toward::{KnownBy, Role, Toward, Verdict, Way};
use crate::units::Azimuth;

/// The answers of every round of a site, in the order of their days.
#[derive(Debug)]
pub struct OverRounds {
    /// The site.
    pub site: Arc<Site>,
    /// The rounds, the earliest first; those that gave no map among them.
    pub rounds: Vec<RoundAnswers>,
}

/// What one round says.
#[derive(Debug)]
pub struct RoundAnswers {
    /// Its name.
    pub name: String,
    /// The answers, or why there are none.
    pub answers: Result<AnswersOfRound, String>,
    /// All that was found on the way.
    pub findings: Vec<Diagnostic>,
    /// Every file read.
    pub inputs: Vec<InputFile>,
}

/// The answers of a round that has a map.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AnswersOfRound {
    /// The first reading behind the map, local clock time of the site.
    #[schemars(with = "Option<Moment>")]
    pub from: Option<String>,
    /// The last one.
    #[schemars(with = "Option<Moment>")]
    pub to: Option<String>,
    /// The surface, in words.
    pub surface: String,
    /// Control points.
    pub control_points: usize,
    /// Gradient and direction of the whole site.
    pub flow: FlowSummary,
    /// The gradient as it is stated.
    pub gradient_words: String,
    /// The direction as it is stated.
    pub direction_words: String,
    /// The answer in words.
    pub in_words: Vec<String>,
    /// Every source with every receptor.
    pub verdicts: Vec<RoundVerdict>,
    /// The paths down from the sources, degrees of longitude and latitude; none in local coordinates.
    #[serde(skip)]
    pub paths: Vec<RoundPath>,
    /// What they must be read with.
    #[serde(skip)]
    pub cautions: Vec<&'static str>,
}

/// A path of a round.
#[derive(Debug, Clone)]
pub struct RoundPath {
    /// The source it begins at.
    pub source: String,
    /// Its places, degrees.
    pub lon_lat: Vec<Coord>,
}

/// One source with one receptor in one round.
#[derive(Debug, Clone, Default, Serialize, JsonSchema)]
pub struct RoundVerdict {
    /// The source.
    pub source: String,
    /// The receptor.
    pub receptor: String,
    /// What becomes of the water.
    pub outcome: String,
    /// How that is known.
    pub known_by: Option<KnownBy>,
    /// The share of realizations, in words.
    pub realizations: Option<String>,
    /// Lower end of the share's 95 % interval.
    pub probability_low: Option<f64>,
    /// Upper end.
    pub probability_high: Option<f64>,
    /// Time of travel, shortest, days.
    pub travel_low_d: Option<f64>,
    /// Longest, days; none without end.
    pub travel_high_d: Option<f64>,
}

/// One source with one receptor over all rounds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PairOverRounds {
    /// The source.
    pub source: String,
    /// The receptor.
    pub receptor: String,
    /// Rounds that have a map.
    pub rounds: usize,
    /// In so many of them water reaches the receptor, on the map.
    pub reached: usize,
    /// In so many of those the realizations say so too.
    pub reached_surely: usize,
    /// In so many it is open.
    pub open: usize,
    /// In so many no water reaches it, on the map and in the realizations.
    pub not_reached: usize,
    /// The earliest arrival in any round, days.
    pub earliest_d: Option<f64>,
    /// The latest, days; none where one has no end.
    pub latest_d: Option<f64>,
}

/// How the direction of flow of the whole site turns from round to round.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Swing {
    /// Rounds whose direction is resolved.
    pub rounds: usize,
    /// The mean direction, degrees from grid north; none where they cancel out.
    pub mean_grid_deg: Option<f64>,
    /// Length of the mean of the unit vectors: 1 when all agree.
    pub agreement: f64,
    /// The narrowest arc that holds all of them begins here, degrees from grid north, clockwise.
    pub from_grid_deg: f64,
    /// And is so wide, degrees.
    pub width_deg: f64,
}

/// Where the water goes in each round of a site: the content of `over-rounds.json`. Same inputs give the same
/// bytes.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OverRoundsSummary<'a> {
    /// The version of headfall.
    pub headfall: &'static str,
    /// The site's name.
    pub site: &'a str,
    /// The rounds, the earliest first.
    pub rounds: Vec<RoundSummary<'a>>,
    /// Every source with every receptor over the rounds.
    pub pairs: Vec<PairOverRounds>,
    /// How the direction turns; none where no round has one.
    pub swing: Option<Swing>,
    /// Every file read, each once.
    pub inputs: Vec<&'a InputFile>,
    /// The files written, by name.
    pub files: Vec<&'static str>,
    /// What the answers must be read with.
    pub cautions: Vec<&'static str>,
}

/// One round.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RoundSummary<'a> {
    /// Its name.
    pub round: &'a str,
    /// Why it gave no answers.
    pub refused: Option<&'a str>,
    /// The answers.
    pub answers: Option<&'a AnswersOfRound>,
    /// All that was found on the way.
    pub findings: &'a [Diagnostic],
}

impl AnswersOfRound {
    /// What the results of a round and the way of its water say.
    ///
    /// # Errors
    /// When positions cannot be transformed to longitude and latitude.
    pub fn of(results: &Results<'_>, toward: &Toward) -> Result<Self, CrsError> {
        let answers = TowardSummary::of_toward(results, toward);
        let statement = Statement::of(results);
        let control = &results.map.control;
        let opening = Opening::of(&results.map.site, &results.map.round, control);
        let mut paths = Vec::new();
        let down = toward
            .paths
            .iter()
            .filter(|p| p.path.way == Way::Down && toward.places[p.place].role == Role::Source);
        for traced in down.filter(|_| control.crs().is_on_earth()) {
            let place = |p: &Coord| control.frame().to_crs(*p);
            let mut lon_lat: Vec<Coord> = traced.path.points.iter().map(place).collect();
            control.crs().to_lon_lat(&mut lon_lat)?;
            paths.push(RoundPath { source: toward.places[traced.place].name.clone(), lon_lat });
        }
        let verdict = |(row, v): (&VerdictRow<'_>, &Verdict)| RoundVerdict {
            source: row.source.to_string(),
            receptor: row.receptor.to_string(),
            outcome: row.outcome_words(),
            known_by: Some(KnownBy::of(v)),
            realizations: row.realizations_words(),
            probability_low: row.probability_low,
            probability_high: row.probability_high,
            travel_low_d: row.travel_low_d,
            travel_high_d: row.travel_high_d,
        };
        Ok(Self {
            from: opening.from,
            to: opening.to,
            surface: results.surface.words.clone(),
            control_points: control.points().len(),
            flow: FlowSummary::of(results),
            gradient_words: statement.gradient_words(),
            direction_words: statement.direction_words(),
            in_words: answers.in_words,
            verdicts: answers.verdicts.iter().zip(&toward.verdicts).map(verdict).collect(),
            paths,
            cautions: answers.cautions,
        })
    }
}

impl OverRounds {
    /// The rounds that have answers.
    pub fn answered(&self) -> impl Iterator<Item = (&RoundAnswers, &AnswersOfRound)> {
        self.rounds.iter().filter_map(|r| Some((r, r.answers.as_ref().ok()?)))
    }

    /// Every source with every receptor, in the order of the first round that has answers.
    #[must_use]
    pub fn pairs(&self) -> Vec<PairOverRounds> {
        let Some((_, first)) = self.answered().next() else { return Vec::new() };
        let pair = |v: &RoundVerdict| {
            let same = |other: &&RoundVerdict| {
                (&other.source, &other.receptor) == (&v.source, &v.receptor)
            };
            let all: Vec<&RoundVerdict> =
                self.answered().flat_map(|(_, a)| a.verdicts.iter().filter(same)).collect();
            let count = |known: KnownBy| all.iter().filter(|v| v.known_by == Some(known)).count();
            let [surely, map, open, not] =
                [KnownBy::MapAndRealizations, KnownBy::Map, KnownBy::Open, KnownBy::NotReached]
                    .map(count);
            let timed: Vec<&&RoundVerdict> =
                all.iter().filter(|v| v.travel_low_d.is_some()).collect();
            let latest: Option<Vec<f64>> = timed.iter().map(|v| v.travel_high_d).collect();
            PairOverRounds {
                source: v.source.clone(),
                receptor: v.receptor.clone(),
                rounds: all.len(),
                reached: surely + map,
                reached_surely: surely,
                open,
                not_reached: not,
                earliest_d: timed.iter().filter_map(|v| v.travel_low_d).reduce(f64::min),
                latest_d: latest.and_then(|all| all.into_iter().reduce(f64::max)),
            }
        };
        first.verdicts.iter().map(pair).collect()
    }

    /// How the direction of flow of the whole site turns; `None` where no round has one.
    ///
    /// # References
    /// Those of [`circular`].
    #[must_use]
    pub fn swing(&self) -> Option<Swing> {
        let direction = |(_, a): (&RoundAnswers, &AnswersOfRound)| {
            let plane = a.flow.plane;
            plane.flow_azimuth_grid_deg.filter(|_| plane.sure.direction_resolved)
        };
        let all: Vec<f64> = self.answered().filter_map(direction).collect();
        let mut weighted: Vec<(f64, f64)> = all.iter().map(|d| (*d, 1.0)).collect();
        let (from, to) = narrowest_arc(&mut weighted, 1.0)?;
        let directions: Vec<Azimuth> = all.iter().map(|d| Azimuth::from_degrees(*d)).collect();
        let spread = circular(&directions)?;
        Some(Swing {
            rounds: all.len(),
            mean_grid_deg: spread.mean.map(digits::azimuth),
            agreement: digits::coefficient(spread.resultant_length),
            from_grid_deg: from,
            width_deg: digits::azimuth_difference(to - from),
        })
    }

    /// Every file read, each once.
    #[must_use]
    pub fn inputs(&self) -> Vec<&InputFile> {
        InputFile::each_once(self.rounds.iter().flat_map(|r| &r.inputs))
    }

    /// All of it.
    #[must_use]
    pub fn summary(&self, files: Vec<&'static str>) -> OverRoundsSummary<'_> {
        let round = |r| {
            let RoundAnswers { name, answers, findings, .. }: &RoundAnswers = r;
            RoundSummary {
                round: name,
                refused: answers.as_ref().err().map(String::as_str),
                answers: answers.as_ref().ok(),
                findings,
            }
        };
        let answered = self.answered().next().map(|(_, answers)| answers.cautions.clone());
        OverRoundsSummary {
            headfall: env!("CARGO_PKG_VERSION"),
            site: &self.site.settings.name,
            rounds: self.rounds.iter().map(round).collect(),
            pairs: self.pairs(),
            swing: self.swing(),
            inputs: self.inputs(),
            files,
            cautions: answered.unwrap_or_else(|| TOWARD_CAUTIONS.to_vec()),
        }
    }
}

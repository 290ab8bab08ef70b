//! What is asked for, and what became of it.

use std::path::{Path, PathBuf};

use schemars::JsonSchema;
use serde::Serialize;

use crate::diag::Diagnostic;
use crate::error::Error;
use crate::read::Overrides;
use crate::run::rounds::refusal;

/// Which rounds of each site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// The newest.
    Newest,
    /// All of them.
    All,
    /// Those of some names.
    Named(Vec<String>),
}

/// Maps to be drawn.
#[derive(Debug, Clone, Copy)]
pub struct Batch<'a> {
    /// The sites: folders or tables.
    pub sites: &'a [PathBuf],
    /// Their rounds.
    pub rounds: &'a Asked,
    /// Whether each aquifer unit of the register has a map of its own, or the one that the site names.
    pub each_aquifer_unit: bool,
    /// What the command line says of all of them; its round has no effect.
    pub overrides: &'a Overrides,
    /// The folder of all results: `ROUND` in it for one site, `SITE/ROUND` for several. `None` takes `out/ROUND` inside
    /// each site's folder. The map of a unit that the command line names is in `units/UNIT` below these.
    pub out: Option<&'a Path>,
    /// Whether what would become the same again is drawn all the same.
    pub force: bool,
    /// Threads; 0 takes as many as there are processors.
    pub threads: usize,
}

/// Something that happened.
#[derive(Debug, Clone, Copy)]
pub enum Event<'a> {
    /// A site was read.
    Read,
    /// All sites were read: there is so much to do.
    Units(usize),
    /// A unit is done.
    Done(&'a Unit),
}

/// What became of a unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// Its map was drawn.
    Drawn,
    /// Program, inputs and options are those of the results that are there.
    Unchanged,
    /// There is no map, and why.
    Refused(String),
    /// The results could not be written, and why.
    NotWritten(String),
}

impl State {
    /// In words.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Drawn => "drawn",
            Self::Unchanged => "unchanged",
            Self::Refused(_) => "refused",
            Self::NotWritten(_) => "not written",
        }
    }

    /// All of these words.
    fn words() -> [&'static str; 4] {
        let why = String::new;
        [Self::Drawn, Self::Unchanged, Self::Refused(why()), Self::NotWritten(why())]
            .map(|state| state.word())
    }

    /// Why there is no map.
    #[must_use]
    pub fn why(&self) -> Option<&str> {
        match self {
            Self::Drawn | Self::Unchanged => None,
            Self::Refused(why) | Self::NotWritten(why) => Some(why),
        }
    }
}

/// One round of one site, of one of its aquifer units where these are asked for; without a round a site that could not be
/// read.
#[derive(Debug, Clone)]
pub struct Unit {
    /// The site as it was given.
    pub source: PathBuf,
    /// Its name, where that is known.
    pub site: Option<String>,
    /// The round.
    pub round: Option<String>,
    /// The aquifer unit, where the command line names it.
    pub aquifer_unit: Option<String>,
    /// The folder of its results.
    pub folder: Option<PathBuf>,
    /// What became of it.
    pub state: State,
    /// Control points of its map, of one that was drawn.
    pub control_points: Option<usize>,
    /// Its mean gradient in words.
    pub gradient: Option<String>,
    /// Its mean direction in words; none where it is not to be reported.
    pub direction: Option<String>,
    /// All that was found.
    pub findings: Vec<Diagnostic>,
    /// What became of files that were there before: see [`crate::write::Written::told`].
    pub told: Vec<String>,
}

impl Unit {
    /// That of a site, and of what the command line says of it.
    pub(super) fn of(source: &Path, site: Option<String>, overrides: &Overrides) -> Self {
        Self {
            source: source.to_owned(),
            site,
            round: overrides.round.clone(),
            aquifer_unit: overrides.aquifer_unit.clone(),
            folder: None,
            state: State::Unchanged,
            control_points: None,
            gradient: None,
            direction: None,
            findings: Vec::new(),
            told: Vec::new(),
        }
    }

    /// The name of its site, or the site as it was given where no name is known.
    #[must_use]
    pub fn site_name(&self) -> String {
        self.site.clone().unwrap_or_else(|| self.source.display().to_string())
    }

    /// Site, unit and round in words.
    #[must_use]
    pub fn name(&self) -> String {
        let unit = self.aquifer_unit.as_ref().map(|unit| format!(", {unit}"));
        let round = self.round.as_ref().map(|name| format!(", round {name}"));
        self.site_name() + &unit.unwrap_or_default() + &round.unwrap_or_default()
    }

    /// Says why there is no map.
    pub(super) fn ended(&mut self, error: &Error) {
        self.findings.extend(error.diagnostics().iter().cloned());
        self.state = match error {
            Error::Write { .. } => State::NotWritten(format!("{error}{}", error.causes())),
            _ => State::Refused(refusal(error)),
        };
    }

    /// As it is told to programs.
    #[must_use]
    pub fn summary(&self) -> UnitSummary<'_> {
        UnitSummary {
            site: self.site.as_deref(),
            source: self.source.to_string_lossy().into_owned(),
            round: self.round.as_deref(),
            aquifer_unit: self.aquifer_unit.as_deref(),
            state: self.state.word(),
            why: self.state.why(),
            folder: self.folder.as_ref().map(|folder| folder.to_string_lossy().into_owned()),
            control_points: self.control_points,
            gradient: self.gradient.as_deref(),
            direction: self.direction.as_deref(),
            findings: &self.findings,
        }
    }
}

/// A line of what `headfall draw` of many rounds or sites prints with `--json`: one round of one site. Its paths are
/// those of the machine, which no file has.
#[derive(Debug, Serialize, JsonSchema)]
pub struct UnitSummary<'a> {
    /// The site's name; null where it could not be read.
    site: Option<&'a str>,
    /// The site as it was given.
    source: String,
    /// The round; null where the site could not be read.
    round: Option<&'a str>,
    /// The aquifer unit, where the command line names it.
    aquifer_unit: Option<&'a str>,
    /// What became of it.
    #[schemars(extend("enum" = State::words()))]
    state: &'static str,
    /// Why there is no map.
    why: Option<&'a str>,
    /// The folder of its results.
    folder: Option<String>,
    /// Control points of its map, of one that was drawn.
    control_points: Option<usize>,
    /// Its mean gradient in words.
    gradient: Option<&'a str>,
    /// Its mean direction in words; null where it is not to be reported.
    direction: Option<&'a str>,
    /// All that was found, in the order of the stages.
    findings: &'a [Diagnostic],
}

//! The rounds of a site, what their maps share, and where each goes.

use std::path::{Path, PathBuf};

use super::types::{Asked, Batch, Unit};
use crate::diag::{Code, Diagnostic};
use crate::draw::SheetNeeds;
use crate::error::Error;
use crate::geom::bounds;
use crate::map::Map;
use crate::read::{CommonFrame, Overrides, Site};
use crate::report::Results;
use crate::run::aquifer_units::of_unit;
use crate::run::files::beside;
use crate::run::rounds::SiteRounds;
use crate::run::stages::{drawn_on, surfaced};
use crate::write::{self, AskedFor, Command};

/// A round to be drawn.
#[derive(Debug)]
pub(super) struct Job {
    /// The place of its site among those of the batch.
    pub(super) site: usize,
    pub(super) site_name: String,
    /// With the name of the round.
    pub(super) overrides: Overrides,
    pub(super) folder: PathBuf,
    /// Whether the results are there already.
    pub(super) is_current: bool,
}

/// A round to be drawn, or why a site has none.
pub(super) type Planned = Result<Job, Box<Unit>>;

/// The rounds of a site that are asked for, of each aquifer unit where these are; a unit that tells why where there are none.
pub(super) fn of(batch: &Batch, site: usize) -> Vec<Planned> {
    let source = &batch.sites[site];
    let found = SiteRounds::read(source, batch.overrides).and_then(|all| {
        let names = names(&all, batch.rounds)?;
        let units = if batch.each_aquifer_unit { units(&all.site)? } else { Vec::new() };
        Ok((all, names, units))
    });
    let (all, names, units) = match found {
        Ok(found) => found,
        Err(error) => return vec![Err(ended(source, batch.overrides, &error))],
    };
    if !batch.each_aquifer_unit {
        return of_rounds(batch, site, &all, &names);
    }
    let of_unit = |unit: String| {
        let overrides = Overrides { aquifer_unit: Some(unit), ..batch.overrides.clone() };
        match SiteRounds::read(source, &overrides) {
            Ok(all) => of_rounds(batch, site, &all, &names),
            Err(error) => vec![Err(ended(source, &overrides, &error))],
        }
    };
    units.into_iter().flat_map(of_unit).collect()
}

/// A unit of the work that came to nothing.
fn ended(source: &Path, overrides: &Overrides, error: &Error) -> Box<Unit> {
    let mut unit = Unit::of(source, None, &Overrides { round: None, ..overrides.clone() });
    unit.ended(error);
    Box::new(unit)
}

/// The aquifer units of a register.
fn units(site: &Site) -> Result<Vec<String>, Error> {
    let units: Vec<String> = site.aquifer_units().into_iter().map(str::to_owned).collect();
    if units.is_empty() {
        let told =
            Diagnostic::new(Code::UnitUnnamed, "the register names no aquifer unit".to_owned());
        let advice =
            "give the wells their `aquifer_unit` in the register, or draw without --aquifer-unit";
        return Err(Error::Check(vec![told.advice(advice)]));
    }
    Ok(units)
}

/// Rounds of a site, as the command line has them.
fn of_rounds(batch: &Batch, site: usize, all: &SiteRounds, names: &[String]) -> Vec<Planned> {
    let source = &batch.sites[site];
    let folder = folder_of(source, batch.out, batch.sites.len());
    let site_name = &all.site.settings.name;
    let job = |name: &String, common_frame: Option<CommonFrame>| {
        let overrides =
            Overrides { round: Some(name.clone()), common_frame, ..all.site.asked.clone() };
        let folder = of_unit(folder.join(name), &all.site);
        Job { site, site_name: site_name.clone(), overrides, folder, is_current: false }
    };
    let is_current = |job: &Job| {
        let (overrides, table) = (job.overrides.clone(), all.site.table.clone());
        let asked = AskedFor { command: Command::Draw, table, overrides, ..AskedFor::default() };
        !batch.force && write::is_current(&job.folder, &asked, &all.site, source)
    };
    let marked = |mut job: Job| {
        job.is_current = is_current(&job);
        Ok(job)
    };
    if names.len() < 2 {
        return names.iter().map(|name| marked(job(name, None))).collect();
    }
    // What all of them share follows from their inputs: where none of these has changed, neither has it.
    let before = write::made_of(&of_unit(folder.join(&names[0]), &all.site))
        .and_then(|m| m.asked()?.overrides.common_frame);
    if let Some(before) = before.filter(|frame| frame.rounds == names && !batch.force) {
        let jobs: Vec<Job> = names.iter().map(|name| job(name, Some(before.clone()))).collect();
        if jobs.iter().all(is_current) {
            return jobs.into_iter().map(|job| Ok(Job { is_current: true, ..job })).collect();
        }
    }
    let frame = common_frame(all, names);
    names.iter().map(|name| marked(job(name, frame.clone()))).collect()
}

/// The names of the rounds that are asked for.
fn names(all: &SiteRounds, asked: &Asked) -> Result<Vec<String>, Error> {
    match asked {
        Asked::Newest => Ok(vec![all.name_of(None)?]),
        Asked::All => Ok(all.names()),
        Asked::Named(wanted) => {
            let mut names = Vec::new();
            for wanted in wanted {
                let name = all.name_of(Some(wanted))?;
                if !names.contains(&name) {
                    names.push(name);
                }
            }
            Ok(names)
        }
    }
}

/// The folder of all results of a site, one of so many: it has a folder for each round.
#[must_use]
pub fn folder_of(source: &Path, out: Option<&Path>, sites: usize) -> PathBuf {
    match out {
        None => beside(source),
        Some(out) if sites == 1 => out.to_owned(),
        Some(out) => out.join(own_name(source)),
    }
}

/// The name of a site in a folder of all results.
#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
fn own_name(source: &Path) -> PathBuf {
    let real = source.canonicalize().unwrap_or_else(|_| source.to_owned());
    let name = if real.is_dir() { real.file_name() } else { real.file_stem() };
    PathBuf::from(name.unwrap_or_default())
}

/// What the maps of some rounds share; nothing where fewer than two of them have one.
fn common_frame(all: &SiteRounds, names: &[String]) -> Option<CommonFrame> {
    let mut shared: Option<Shared> = None;
    let mut count = 0;
    for name in names {
        // What is wrong with a round is found again, and told, when it is drawn.
        let Ok(map) = map(all, name) else { continue };
        let own = Shared::of(&map);
        count += 1;
        shared = Some(match shared {
            None => own,
            Some(before) => before.and(&own),
        });
    }
    let Shared { low, high, interval, sheet } = shared.filter(|_| count > 1)?;
    Some(CommonFrame {
        rounds: names.to_vec(),
        low: low.into(),
        high: high.into(),
        interval,
        sheet: sheet.as_ref().map(SheetNeeds::sheet_frame),
    })
}

fn map(all: &SiteRounds, name: &str) -> Result<Map, Error> {
    let mut said = Vec::new();
    let (surfaced, errors) = surfaced(all.heads(name, &mut said)?, &mut said)?;
    drawn_on(&std::sync::Arc::new(surfaced), errors, &mut said)
}

/// What is shared by the maps seen so far.
struct Shared {
    low: geo::Coord,
    high: geo::Coord,
    interval: Option<f64>,
    sheet: Option<SheetNeeds>,
}

impl Shared {
    fn of(map: &Map) -> Self {
        let (low, high) = map.control.bounds();
        let sheet = map.site.settings.sheet.drawn.then(|| SheetNeeds::of(&Results::of(map, &[])));
        Self { low, high, interval: map.contours.interval, sheet }
    }

    fn and(self, other: &Self) -> Self {
        let (low, high) = bounds([self.low, self.high, other.low, other.high]);
        let interval = self.interval.zip(other.interval).map(|(a, b)| a.max(b));
        let sheet = self.sheet.zip(other.sheet.as_ref()).map(|(a, b)| a.and(b));
        Self { low, high, interval, sheet }
    }
}

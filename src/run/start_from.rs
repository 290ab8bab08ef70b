//! A site folder from one table.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Origin, Warned};
use crate::error::Error;
use crate::read::{
    self, DepthDatum, MeasuringPoint, Overrides, Reading, Round, Site, Well, by_name, made,
    site_and_round, unmade,
};
use crate::units::LengthUnit;
use crate::write::site_folder;

/// Makes a site folder from a table of wells and readings, with every round of it: what is asked and what the table
/// says is in its `site.toml`, what nobody said is a comment there. The folder is read once more: it stays only if
/// wells, measuring points and readings come out as from the table.
///
/// Returns the files written, and what was found in the table.
///
/// # Errors
/// - [`Error::Read`]: the table cannot be read; it is a site already, that is a folder or a table beside a `site.toml` (R101);
///   rounds of it give a well differently (R108), or the folder would be read differently (R101)
/// - [`Error::Write`]: the folder is not empty, or a file cannot be written
pub fn start_from(
    dir: &Path,
    table: &Path,
    overrides: &Overrides,
) -> Result<Warned<Vec<PathBuf>>, Error> {
    let Warned { value: first, findings } = read::site(table, overrides)?;
    let Some(name) = first.table.clone().filter(|_| !is_with_settings(&first)) else {
        return Err(refused(
            format!("{} is a site already: it has site.toml or is a folder", table.display()),
            "name a table of wells and readings that is by itself; a folder is read as it is",
        ));
    };
    let (site, rounds) = whole(table, overrides, first)?;
    let rounds: Vec<&Round> = rounds.iter().map(AsRef::as_ref).collect();
    let failed = |source| {
        let what = "the files cannot be made".to_owned();
        Error::Write { what, path: dir.to_owned(), source }
    };
    let files = site_folder::files(&site, &rounds, &name).map_err(failed)?;
    let written = made(dir, &files)?;
    match same(dir, &site, &rounds) {
        Ok(()) => Ok(Warned::new(written, findings)),
        Err(error) => {
            unmade(dir, &written);
            Err(error)
        }
    }
}

fn is_with_settings(site: &Site) -> bool {
    site.inputs.iter().any(|input| input.file == "site.toml")
}

/// All rounds of a table, and the site with the wells of all of them.
fn whole(
    table: &Path,
    overrides: &Overrides,
    first: Site,
) -> Result<(Site, Vec<Arc<Round>>), Error> {
    let names: BTreeSet<String> = first.rounds.known().into_iter().collect();
    let mut wells: BTreeMap<String, Well> = BTreeMap::new();
    let mut points: BTreeMap<String, Vec<MeasuringPoint>> = BTreeMap::new();
    let mut rounds = Vec::new();
    for name in &names {
        let asked = Overrides { round: Some(name.clone()), ..overrides.clone() };
        let (site, round) = site_and_round(table, &asked)?.value;
        for well in site.wells {
            let known = wells.entry(well.id.clone()).or_insert_with(|| well.clone());
            if of_well(known) != of_well(&well) {
                return Err(twice(&well.id, &well.origin, name));
            }
        }
        for (id, of_round) in site.measuring_points {
            let known = points.entry(id.clone()).or_insert_with(|| of_round.clone());
            if of_points(known) != of_points(&of_round) {
                return Err(twice(&id, &of_round[0].origin, name));
            }
        }
        rounds.push(round);
    }
    let mut wells: Vec<Well> = wells.into_values().collect();
    wells.sort_by(|a, b| by_name(&a.id, &b.id));
    Ok((Site { wells, measuring_points: points, ..first }, rounds))
}

/// Reads the folder, and refuses it where it does not say what the table says.
fn same(dir: &Path, site: &Site, rounds: &[&Round]) -> Result<(), Error> {
    let differs = |what: &str| {
        Err(refused(
            format!("the folder would not be read as the table is: {what} would differ"),
            "make the folder with `headfall start DIR`, and fill in its tables by hand",
        ))
    };
    let again = read::site(dir, &Overrides::default())?.value;
    if of_settings(&again) != of_settings(site) {
        return differs("units or CRS");
    }
    if !again.wells.iter().map(of_well).eq(site.wells.iter().map(of_well)) {
        return differs("wells");
    }
    let points = |site: &Site| -> Vec<_> {
        site.measuring_points.iter().map(|(id, p)| (id.clone(), of_points(p))).collect()
    };
    if points(&again) != points(site) {
        return differs("measuring points");
    }
    for round in rounds {
        let read = again.round(Some(&round.name))?.value;
        let readings = |round: &Round| round.readings.iter().map(of_reading).collect::<Vec<_>>();
        if read.depth_unit != round.depth_unit || readings(&read) != readings(round) {
            return differs(&format!("readings of round {}", round.name));
        }
    }
    Ok(())
}

type OfSettings<'a> =
    (&'a str, Option<&'a str>, Option<LengthUnit>, LengthUnit, [DepthDatum; 2], Option<&'a str>);

fn of_settings(site: &Site) -> OfSettings<'_> {
    let s = &site.settings;
    (
        &s.crs,
        s.coordinates_crs.as_deref(),
        s.length_unit,
        s.elevation_unit,
        [s.depths_from, s.sounded_from],
        s.aquifer_unit.as_deref(),
    )
}

/// A well wherever it is written.
fn of_well(well: &Well) -> Well {
    Well { origin: Origin::file(""), ..well.clone() }
}

/// Measuring points wherever they are written.
fn of_points(points: &[MeasuringPoint]) -> Vec<MeasuringPoint> {
    points.iter().map(|p| MeasuringPoint { origin: Origin::file(""), ..p.clone() }).collect()
}

/// A reading wherever it is written.
fn of_reading(reading: &Reading) -> Reading {
    Reading { origin: Origin::file(""), ..reading.clone() }
}

fn twice(well: &str, at: &Origin, round: &str) -> Error {
    let text = format!(
        "well {well} has another position, elevation or depth in round {round} than before"
    );
    let told = Diagnostic::new(Code::WellTwice, text).at(at);
    Error::Read(vec![told.advice(
        "write the same in every row of the well; a new survey of its measuring point belongs in measuring-points.csv",
    )])
}

fn refused(text: String, advice: &str) -> Error {
    Error::Read(vec![Diagnostic::new(Code::FileUnreadable, text).advice(advice)])
}

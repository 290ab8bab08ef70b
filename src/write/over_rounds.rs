//! The files of all rounds of a site: `over-rounds.csv`, `over-rounds.json`, `paths-of-rounds.geojson`,
//! `envelopes.geojson`.

use std::io;
use std::path::Path;

use geo::{ConvexHull, Coord, MultiPoint, Point};
use serde::Serialize;

use crate::error::Error;
use crate::report::{OfSite, OverRounds, OverRoundsSummary, RoundVerdict};
use crate::toward::KnownBy;
use crate::write::antimeridian;
use crate::write::json::json;
use crate::write::layers::layer;
use crate::write::made::{AskedFor, Command, Made};
use crate::write::record::RECORD;
use crate::write::tables;
use crate::write::written::{Written, placed, staging};

const TABLE: &str = "over-rounds.csv";
const ACCOUNT: &str = "over-rounds.json";
const PATHS: &str = "paths-of-rounds.geojson";
const ENVELOPES: &str = "envelopes.geojson";

/// All that the rounds say, with the files written: the content of `over-rounds.json`.
///
/// # Units
/// Named by the members; rounded as `docs/outputs.md` says.
#[must_use]
pub fn summary(rounds: &OverRounds) -> OverRoundsSummary<'_> {
    rounds.summary(names(rounds))
}

/// The names of the files, sorted; layers only where positions have a longitude and latitude.
fn names(rounds: &OverRounds) -> Vec<&'static str> {
    let mut names = vec![TABLE, ACCOUNT, RECORD];
    if rounds.answered().any(|(_, answers)| !answers.paths.is_empty()) {
        names.extend([PATHS, ENVELOPES]);
    }
    names.sort_unstable();
    names
}

/// Writes the answers of all rounds into the folder `out`, all files or none, as [`crate::write::write`] does.
///
/// # Units
/// Given in the name of each column and member.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
pub fn over_rounds(rounds: &OverRounds, out: &Path) -> Result<Written, Error> {
    let staging = staging(out)?;
    let names = names(rounds);
    staging.make(TABLE, |path| table(rounds, path))?;
    staging.make_of(ACCOUNT, Ok(json(&summary(rounds)) + "\n"))?;
    if names.contains(&PATHS) {
        staging.make(PATHS, |path| paths(rounds, path))?;
        staging.make(ENVELOPES, |path| envelopes(rounds, path))?;
    }
    let asked = AskedFor::of(Command::TowardOverRounds, &rounds.site);
    placed(staging, out, names, Made::now(&asked, rounds.inputs()))
}

/// A row of the table: one round with one source and one receptor.
#[derive(Debug, Default, Serialize)]
struct Row {
    round: String,
    from: String,
    to: String,
    refused: String,
    gradient: Option<f64>,
    gradient_low: Option<f64>,
    gradient_high: Option<f64>,
    direction_resolved: Option<bool>,
    flow_azimuth_true_deg: Option<f64>,
    flow_azimuth_grid_deg: Option<f64>,
    source: String,
    receptor: String,
    outcome: String,
    known_by: Option<KnownBy>,
    realizations: Option<String>,
    probability_low: Option<f64>,
    probability_high: Option<f64>,
    travel_low_d: Option<f64>,
    travel_high_d: Option<f64>,
}

/// One row for each round with each source and receptor; one for a round that gave no answers.
fn table(rounds: &OverRounds, path: &Path) -> io::Result<()> {
    let text = tables::safe;
    let mut rows = Vec::new();
    for round in &rounds.rounds {
        let name = text(&round.name);
        let answers = match &round.answers {
            Ok(answers) => answers,
            Err(why) => {
                rows.push((name, Some(text(why)), None));
                continue;
            }
        };
        rows.extend(answers.verdicts.iter().map(|v| (name.clone(), None, Some((answers, v)))));
    }
    let of = OfSite::new(&rounds.site).made_safe(tables::safe);
    tables::table((path, rounds.site.settings.tables), &of, rows.len(), |i| {
        let (round, refused, answers) = &rows[i];
        let mut row = Row {
            round: round.clone(),
            refused: refused.clone().unwrap_or_default(),
            ..Row::default()
        };
        let Some((answers, v)) = answers else { return row };
        let plane = answers.flow.plane;
        (row.from, row.to) =
            (answers.from.clone().unwrap_or_default(), answers.to.clone().unwrap_or_default());
        row.gradient = Some(plane.gradient);
        (row.gradient_low, row.gradient_high) = (plane.sure.gradient_low, plane.sure.gradient_high);
        row.direction_resolved = Some(plane.sure.direction_resolved);
        row.flow_azimuth_true_deg = plane.flow_azimuth_true_deg;
        row.flow_azimuth_grid_deg = plane.flow_azimuth_grid_deg;
        let RoundVerdict { source, receptor, outcome, known_by, realizations, .. } = v;
        (row.source, row.receptor, row.outcome) = (text(source), text(receptor), text(outcome));
        (row.known_by, row.realizations) = (*known_by, realizations.clone());
        (row.probability_low, row.probability_high) = (v.probability_low, v.probability_high);
        (row.travel_low_d, row.travel_high_d) = (v.travel_low_d, v.travel_high_d);
        row
    })
}

/// The paths of all rounds, one feature each.
fn paths(rounds: &OverRounds, path: &Path) -> io::Result<()> {
    #[derive(Serialize)]
    struct Properties<'a> {
        round: &'a str,
        source: &'a str,
    }
    let all: Vec<_> = rounds
        .answered()
        .flat_map(|(round, answers)| answers.paths.iter().map(|path| (round.name.as_str(), path)))
        .collect();
    layer(path, &OfSite::new(&rounds.site), all.len(), |i| {
        let (round, path) = &all[i];
        Some((antimeridian::line(&path.lon_lat)?, Properties { round, source: &path.source }))
    })
}

/// For each source the convex hull of its paths in all rounds.
fn envelopes(rounds: &OverRounds, path: &Path) -> io::Result<()> {
    #[derive(Serialize)]
    struct Properties<'a> {
        source: &'a str,
        rounds: usize,
    }
    let mut sources: Vec<&str> = Vec::new();
    for path in rounds.answered().flat_map(|(_, answers)| &answers.paths) {
        if !sources.contains(&path.source.as_str()) {
            sources.push(&path.source);
        }
    }
    layer(path, &OfSite::new(&rounds.site), sources.len(), |i| {
        let source = sources[i];
        let mut count = 0;
        let mut points: Vec<Point> = Vec::new();
        for (_, answers) in rounds.answered() {
            let own = answers.paths.iter().filter(|path| path.source == source);
            let before = points.len();
            points.extend(own.flat_map(|path| path.lon_lat.iter().map(|p| Point(*p))));
            count += usize::from(points.len() > before);
        }
        let first = points.first()?.x();
        for p in &mut points {
            p.0.x = antimeridian::unwrapped(first, p.x());
        }
        let hull = MultiPoint(points).convex_hull();
        let mut ring: Vec<Coord> = hull.exterior().0.clone();
        ring.pop();
        Some((antimeridian::convex(&ring)?, Properties { source, rounds: count }))
    })
}

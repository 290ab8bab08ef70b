//! The page that lists what was gathered.

use std::collections::BTreeSet;
use std::path::Path;

use minijinja::value::Serde;
use minijinja::{Environment, UndefinedBehavior, Value, context};
use serde::Serialize;

use super::rounds::GatheredRound;
use crate::units::{fixed, significant};

#[derive(Serialize)]
struct Row<'a> {
    site: &'a str,
    round: &'a str,
    toward: bool,
    read: String,
    points: i64,
    gradient: String,
    direction: String,
    warnings: usize,
    notes: usize,
    datum: &'a str,
    state: &'a str,
}

impl<'a> Row<'a> {
    fn of(round: &'a GatheredRound) -> Self {
        let day = |moment: &'a Option<String>| {
            moment.as_deref().map(|m| m.split('T').next().unwrap_or(m))
        };
        let read = match (day(&round.of.read_from), day(&round.of.read_to)) {
            (Some(from), Some(to)) if from != to => format!("{from} to {to}"),
            (from, to) => from.or(to).unwrap_or_default().to_owned(),
        };
        let direction = match (round.direction_resolved, round.flow_azimuth_true_deg) {
            (Some(true), Some(degrees)) => format!("{}\u{b0}", fixed(degrees, 0)),
            (Some(true), None) => "true north is not known".to_owned(),
            _ => "not resolved".to_owned(),
        };
        Self {
            site: &round.of.site,
            round: &round.of.round,
            toward: round.toward,
            read,
            points: round.control_points,
            gradient: round.gradient.map_or_else(String::new, |g| significant(g, 2)),
            direction,
            warnings: round.warnings,
            notes: round.notes,
            datum: round.of.vertical_datum.as_deref().unwrap_or_default(),
            state: round.without_layers.as_deref().unwrap_or("gathered"),
        }
    }
}

/// The page as HTML.
pub(super) fn page(rounds: &[GatheredRound], package: &Path) -> String {
    let rows: Vec<Row> = rounds.iter().map(Row::of).collect();
    let sites: BTreeSet<&str> = rounds.iter().map(|round| round.of.site.as_str()).collect();
    let package = package.file_name().unwrap_or_default().to_string_lossy();
    let fill = || -> Result<String, minijinja::Error> {
        let mut templates = Environment::new();
        templates.set_undefined_behavior(UndefinedBehavior::Strict);
        templates.add_template("page.html", include_str!("page.html"))?;
        templates.get_template("page.html")?.render(context! {
            rounds => Value::from(Serde(&rows)),
            sites => sites.len(),
            package => package,
        })
    };
    fill().unwrap_or_else(|e| {
        panic!("this is a bug in headfall: the page of what was gathered: {e:#}")
    })
}

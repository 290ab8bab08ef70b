//! A site folder of what was read from elsewhere: settings, register, surveys, rounds.

mod settings;
mod tables;

use std::io;

use crate::read::{Round, Site};

/// The files of a folder from which the same is read: names with forward slashes, and bytes. `table` is the name of
/// the file that it was read from.
pub(crate) fn files(
    site: &Site,
    rounds: &[&Round],
    table: &str,
) -> io::Result<Vec<(String, Vec<u8>)>> {
    let mut files = vec![
        ("site.toml".to_owned(), settings::text(site, rounds, table).into_bytes()),
        ("wells.csv".to_owned(), tables::register(site)?),
    ];
    if site.measuring_points.values().any(|points| points.len() > 1) {
        files.push(("measuring-points.csv".to_owned(), tables::measuring_points(site)?));
    }
    for round in rounds {
        files.push((format!("rounds/{}.csv", round.name), tables::round(round)?));
    }
    Ok(files)
}

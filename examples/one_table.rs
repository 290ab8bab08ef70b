//! A table of wells with depths to water, given on the command line with the CRS of its coordinates:
//! `cargo run --release --example one_table -- levels.csv EPSG:26915`. Prints the head of each well.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "an example speaks to its user"
)]

use std::path::Path;

use headfall::read::Overrides;
use headfall::{Error, run};

fn main() -> Result<(), Error> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [table, crs] = arguments.as_slice() else {
        println!("give a table and a CRS code");
        return Ok(());
    };
    let overrides = Overrides { crs: Some(crs.clone()), ..Overrides::default() };
    let mut findings = Vec::new();
    let heads = run::heads(Path::new(table), &overrides, &mut findings)?;
    let unit = heads.site.settings.elevation_unit;
    for head in &heads.reduced.heads {
        println!("{} {:.3} {unit}", heads.site.wells[head.well].id, head.head);
    }
    Ok(())
}

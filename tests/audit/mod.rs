//! An audit from outside: sites drawn by lot go through the program, and what it wrote is worked
//! out again from the written files alone, with code that shares nothing with it.
//!
//! Ten sites are looked at with the other tests; three hundred with
//! `cargo test --release -- --ignored audit`.

mod globe;
mod lines;
mod mutations;
mod net;
mod nodes;
mod site;
mod written;

use rayon::prelude::*;

use crate::support::{absurd_in, absurd_numbers};
use site::Site;
use written::Written;

/// Sites of these lots are refused as they should be: wells on one line, or too few for a method.
const MOST_REFUSED: f64 = 0.1;

/// A check: what it holds against a set.
type Check = fn(&Site, &Written) -> Vec<String>;

const CHECKS: [Check; 4] =
    [net::complaints, lines::complaints, nodes::complaints, globe::complaints];

/// What is wrong with a site's files; `None` where the site is refused.
fn audited(seed: u64) -> Option<Vec<String>> {
    let site = Site::of(seed);
    let output = site.draw();
    let told = [output.stdout, output.stderr].concat();
    let told = String::from_utf8(told).expect("text");
    match output.status.code() {
        Some(0) => {}
        Some(2) if told.contains("nothing was written") && !told.contains("panicked") => {
            return None;
        }
        code => return Some(vec![format!("{}: exit {code:?}: {told}", site.what)]),
    }
    let mut found = absurd_in(&told);
    found.extend(absurd_numbers(&site.out()));
    let written = Written::read(&site.out());
    found.extend(CHECKS.iter().flat_map(|check| check(&site, &written)));
    Some(found.into_iter().map(|complaint| format!("{}: {complaint}", site.what)).collect())
}

#[track_caller]
fn audit(seeds: std::ops::Range<u64>) {
    let count = (seeds.end - seeds.start) as f64;
    let found: Vec<Option<Vec<String>>> = seeds.into_par_iter().map(audited).collect();
    let refused = found.iter().filter(|f| f.is_none()).count() as f64;
    let complaints: Vec<String> = found.into_iter().flatten().flatten().collect();
    let shown = complaints.iter().take(400).map(String::as_str).collect::<Vec<_>>().join("\n");
    assert!(complaints.is_empty(), "{} violations, such as\n{shown}", complaints.len());
    assert!(refused <= MOST_REFUSED * count, "{refused} of {count} sites were refused");
}

#[test]
fn ten_sites_drawn_by_lot_are_what_their_files_say() {
    audit(0..10);
}

#[test]
#[ignore = "three hundred sites take minutes"]
fn three_hundred_sites_drawn_by_lot_are_what_their_files_say() {
    audit(10..310);
}

//! The parts of the map sheet, timed one by one, and the whole of `draw` with and without it:
//! `cargo bench --bench sheet -- SITE [RUNS]`, with a site folder or a table of readings.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "this is what a measurement is for"
)]

use std::path::{Path, PathBuf};
use std::time::Instant;

use headfall::draw;
use headfall::read::{Overrides, SheetOverrides};
use headfall::report::Results;
use headfall::run;

fn main() {
    let mut arguments = std::env::args().skip(1).filter(|a| a != "--bench");
    let site = arguments.next().unwrap_or_else(|| "sample-sites/closed-landfill".to_owned());
    let runs: usize = arguments.next().and_then(|n| n.parse().ok()).unwrap_or(15);
    let crs = arguments.next();
    let overrides = Overrides { crs, cell: Some(1.0), ..Overrides::default() };
    let site = PathBuf::from(site);

    let mut findings = Vec::new();
    let heads = run::heads(&site, &overrides, &mut findings).expect("heads");
    let map = run::map(heads, &mut findings).expect("a map");
    let results = Results::of(&map, &findings);
    let sheet = draw::sheet(&results).expect("a sheet");
    told("layout", runs, || draw::sheet(&results).expect("a sheet"));
    told("svg", runs, || sheet.svg());
    told("pdf", runs, || sheet.pdf().expect("a PDF"));
    told("png", runs, || sheet.png().expect("a PNG"));

    // In turn, so that both meet the same machine.
    let out = tempfile::tempdir().expect("a folder");
    let (mut with, mut without) = (Vec::new(), Vec::new());
    for _ in 0..runs {
        without.push(whole(&site, &overrides, true, out.path()));
        with.push(whole(&site, &overrides, false, out.path()));
    }
    let (with, without) = (median(with), median(without));
    println!("{:<24}{without:>8.1} ms", "draw, data only");
    println!("{:<24}{with:>8.1} ms, {:.2} times as long", "draw", with / without);
}

/// The whole of `draw`, ms.
fn whole(site: &Path, overrides: &Overrides, data_only: bool, out: &Path) -> f64 {
    let sheet = SheetOverrides { data_only, ..SheetOverrides::default() };
    let overrides = Overrides { sheet, ..overrides.clone() };
    let out = out.join("out");
    milliseconds(|| run::draw(site, &overrides, Some(&out), &mut Vec::new()).expect("drawn"))
}

fn told<T>(what: &str, runs: usize, job: impl Fn() -> T) {
    let times = (0..runs).map(|_| milliseconds(&job)).collect();
    println!("{what:<24}{:>8.1} ms", median(times));
}

fn milliseconds<T>(job: impl FnOnce() -> T) -> f64 {
    let start = Instant::now();
    let _done = std::hint::black_box(job());
    start.elapsed().as_secs_f64() * 1e3
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

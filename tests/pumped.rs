//! Pumped wells on a map: what is said of their cones, their levels and their settings.

use std::f64::consts::PI;

use headfall::diag::Diagnostic;
use headfall::draw;
use headfall::read::Overrides;
use headfall::results::CAUTIONS;
use headfall::run::Map;
use roxmltree::Document;

use crate::support::{EAST, Folder, NORTH, map, of_wells};

/// Where the pumped well stands.
const PUMPED: (f64, f64) = (190.0, 230.0);

/// 25 wells over a square of 400 m, none of them the pumped one.
fn wells() -> Vec<(f64, f64)> {
    (0..25)
        .map(|i| {
            let (row, column) = (f64::from(i / 5), f64::from(i % 5));
            let shift = |k: i32| 17.0 * f64::from((i * k) % 5) / 2.0;
            (100.0 * column + shift(3), 100.0 * row + shift(7))
        })
        .collect()
}

/// Uniform flow and a well: h = 50 - i x + Q/(2 pi T) ln r (Thiem; Todd and Mays 2005, ch. 4),
/// i = 0.002, T = 200 m²/d.
fn thiem(rate: f64) -> impl Fn(f64, f64) -> f64 {
    let factor = rate / (2.0 * PI * 200.0);
    move |x, y| {
        let r = (x - PUMPED.0).hypot(y - PUMPED.1).max(0.15);
        50.0 - 0.002 * x + factor * r.ln()
    }
}

const KRIGING: &str = "[kriging]\ndrift = \"linear\"\npartial_sill = 0.01\nrange = 500.0\n";

fn pumped(name: &str, more: &str) -> String {
    let (x, y) = (EAST + PUMPED.0, NORTH + PUMPED.1);
    format!("[[pumped_wells]]\nwell = \"{name}\"\neasting = {x}\nnorthing = {y}\n{more}")
}

fn site(more: &str, head: impl Fn(f64, f64) -> f64) -> Folder {
    of_wells(&wells(), &format!("[contours]\ninterval = 0.5\n{more}"), head)
}

fn kriged(more: &str, head: impl Fn(f64, f64) -> f64) -> (Map, Vec<Diagnostic>) {
    let grid = "[grid]\ncell = 20.0\nsurface = \"kriging\"\n";
    drawn(&site(&format!("{grid}{more}"), head))
}

fn drawn(folder: &Folder) -> (Map, Vec<Diagnostic>) {
    let (map, findings) = map(folder.path(), &Overrides::default());
    (map.unwrap_or_else(|e| panic!("{e} {findings:#?}")), findings)
}

/// All that the sheet says, line by line.
fn sheet(map: &Map) -> String {
    let svg = draw::sheet(&map.results(&[])).svg();
    let svg = Document::parse(&svg).expect("an SVG");
    let texts = svg.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text());
    texts.collect::<Vec<_>>().join(" ")
}

#[test]
fn a_map_with_cones_says_so_and_its_cautions_are_true_of_it() {
    let (map, findings) =
        kriged(&format!("{KRIGING}{}", pumped("PW-1", "rate = 500.0\n")), thiem(500.0));
    let words = "universal kriging with a plane, exponential covariance, effective range 500 m, \
                 with a cone at PW-1";
    assert_eq!(map.surface.words, words);
    let results = map.results(&findings);
    let cautions = results.cautions().join(" ");
    assert!(cautions.contains("Pumping is considered as cones of steady"), "{cautions}");
    assert!(!cautions.contains("changes, pumping"), "{cautions}");
    assert!(!cautions.contains("drawn at right angles"), "{cautions}");
    assert!(cautions.contains("need not stand at right angles"), "{cautions}");
    assert_eq!(results.cautions().len(), CAUTIONS.len());
    let sheet = sheet(&map);
    for part in
        ["with a cone at PW-1", "cones at the pumped wells of the surface", "need not cross"]
    {
        assert!(sheet.contains(part), "{part}: {sheet}");
    }
    assert!(!sheet.contains("Tides, pumping"), "{sheet}");

    let (map, findings) = drawn(&site("[grid]\ncell = 20.0\n", thiem(500.0)));
    assert_eq!(map.results(&findings).cautions(), CAUTIONS, "the linear surface");

    let (map, findings) = drawn(&site("[grid]\nunconfined_base = 20.0\n", thiem(500.0)));
    let cautions = map.results(&findings).cautions().join(" ");
    assert!(!cautions.contains("drawn at right angles"), "squares bend the contours' planes");
    assert!(cautions.contains("changes, pumping"), "{cautions}");
}

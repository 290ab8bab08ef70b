//! Wells that somebody decided to leave out: what becomes of them, and what is said of the decision.

use headfall::diag::Diagnostic;
use headfall::diag::{Code, Severity};
use headfall::read::Overrides;
use headfall::report::Results;
use headfall::run::Map;
use headfall::{draw, page};

use crate::support::{self, of, of_wells, one_high, sample, text, words};

const DECISION: &str =
    "[[left_out]]\nwell = \"W-3\"\nreason = \"screened in fill\"\nby = \"J. Marsh\"\n";

fn map(site: &std::path::Path) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = support::map(site, &Overrides::default());
    (map.ok(), findings)
}

#[test]
fn a_well_left_out_is_off_the_map_and_on_the_sheet_with_its_head_and_reason() {
    let folder = one_high(DECISION);
    let (map, findings) = self::map(folder.path());
    let map = map.expect("a map");
    assert!(map.control.points().iter().all(|p| p.id != "W-3"));
    // Known by construction: the plane of all other wells.
    assert!((map.flow.plane_gradient - 0.002).abs() < 1e-9, "{}", map.flow.plane_gradient);
    let told = of(Code::LeftOut, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    assert_eq!(told[0].wells, ["W-3"]);
    assert!(told[0].message.contains("left out by J. Marsh: screened in fill"), "{told:?}");
    assert!(told[0].message.contains("0.0020"), "{told:?}");
    assert!(told[0].origins.iter().any(|o| &*o.file == "site.toml" && o.line.is_some()));
    let [left] = map.control.left_out() else { panic!("one well") };
    let results = Results::of(&map, &findings);
    let posted = format!("({:.2})", left.head);
    let svg = draw::sheet(&results).expect("a sheet").svg();
    assert!(words(&svg, "well-labels").contains(&posted), "{:?}", words(&svg, "well-labels"));
    let panel = words(&svg, "panel").join(" ");
    assert!(panel.contains("left out by J. Marsh: screened in fill"), "{panel}");
    let page = page::report(&results);
    assert!(page.contains(&posted) && page.contains("left out by J. Marsh: screened in fill"));
}

#[test]
fn the_decision_holds_in_its_round_alone() {
    let folder = one_high(&DECISION.replace("reason", "round = \"spring\"\nreason"));
    let (map, _) = self::map(folder.path());
    assert_eq!(map.expect("a map").control.left_out().len(), 1, "of_wells has the round spring");
    let folder = one_high(&DECISION.replace("reason", "round = \"sprig\"\nreason"));
    let (map, findings) = self::map(folder.path());
    assert!(map.is_none(), "a round that there is not");
    assert_eq!(of(Code::RoundUnclear, &findings).len(), 1, "{findings:#?}");
}

#[test]
fn decisions_without_a_reason_a_name_or_a_well_are_refused() {
    for (from, to) in [
        ("screened in fill", " "),
        ("J. Marsh", ""),
        ("reason = \"screened in fill\"\n", ""),
        ("by = \"J. Marsh\"\n", ""),
        ("W-3", "W-333"),
    ] {
        let (map, findings) = self::map(one_high(&DECISION.replace(from, to)).path());
        assert!(map.is_none(), "{to:?}");
        let [told] = &findings[..] else { panic!("{findings:#?}") };
        assert_eq!(told.severity, Severity::Refusal);
        assert!(told.origins.iter().any(|o| &*o.file == "site.toml"), "{told:?}");
    }
}

#[test]
fn a_decision_that_turns_the_direction_is_a_warning() {
    // Three wells fall to the east; with the fourth, 2 m low in the south, the plane turns.
    let wells = [(0.0, 100.0), (100.0, 110.0), (50.0, 200.0), (55.0, 0.0)];
    let folder =
        of_wells(&wells, DECISION, |x, y| 50.0 - 0.002 * x - if y < 50.0 { 2.0 } else { 0.0 });
    let (map, findings) = self::map(folder.path());
    assert!(map.is_some(), "{findings:#?}");
    let told = of(Code::LeftOutTurns, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    assert_eq!(told[0].severity, Severity::Warning);
}

#[test]
fn a_round_leaves_a_well_out_with_its_remark_as_the_reason() {
    let site = sample("fuel-depot");
    let round = "rounds/2026-04.csv";
    let table = text(site.join(round));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let headings = reader.headers().expect("headings").clone();
    let at = |name: &str| headings.iter().position(|h| h == name).expect("a column");
    let (status, remark) = (at("status"), at("remark"));
    let mut rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    let k = rows.iter().position(|r| &r[0] == "MW-4").expect("MW-4");
    let mut write = |why: &str| {
        let cell = |i: usize, v: &str| match i {
            i if i == status => "Do not contour".to_owned(),
            i if i == remark => why.to_owned(),
            _ => v.to_owned(),
        };
        rows[k] = rows[k].clone().iter().enumerate().map(|(i, v)| cell(i, v)).collect();
        let mut out = csv::Writer::from_writer(Vec::new());
        out.write_record(&headings).expect("headings");
        for row in &rows {
            out.write_record(row).expect("a row");
        }
        std::fs::write(site.join(round), out.into_inner().expect("bytes")).expect("written");
        self::map(&site)
    };
    let (map, findings) = write("hit by the snow plough, K. Odum");
    let map = map.expect("a map");
    assert_eq!(map.control.left_out().iter().map(|l| l.id.as_str()).collect::<Vec<_>>(), ["MW-4"]);
    let told = of(Code::LeftOut, &findings);
    assert!(told[0].message.contains("hit by the snow plough, K. Odum"), "{told:?}");
    assert!(told[0].origins.iter().any(|o| &*o.file == round));
    let (map, findings) = write("");
    assert!(map.is_none());
    assert_eq!(of(Code::NotUsedWhy, &findings).len(), 1, "{findings:#?}");
}

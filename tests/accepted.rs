//! Findings that somebody accepted: they stay, they do not count, and entries that nothing meets are named.

use std::fmt::Write as _;

use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::Overrides;
use headfall::report::Results;
use headfall::run::Map;
use headfall::{draw, page};
use serde_json::Value;

use crate::support::{
    self, Folder, ends, headfall, json, of, of_wells, one_high, sample, scatter, stderr, stdout,
    text, told, words,
};

fn map(site: &std::path::Path) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = support::map(site, &Overrides::default());
    (map.ok(), findings)
}

const ENTRY: &str = "[[accepted]]\ncode = \"C308\"\nwell = \"W-3\"\nreason = \"perched: see the log\"\nby = \
                     \"J. Marsh\"\ndate = 2026-05-12\n";

#[test]
fn an_accepted_finding_is_listed_everywhere_and_counted_apart() {
    let (before, open) = map(one_high("").path());
    let folder = one_high(ENTRY);
    let (after, findings) = map(folder.path());
    let (before, after) = (before.expect("a map"), after.expect("a map"));
    assert_eq!(before.flow, after.flow, "the map is the same");
    let found = told(&findings, Code::OffNeighbours).about("W-3").once();
    assert_eq!((found.accepted, found.severity), (true, Severity::Warning));
    let [decision] = &found.decisions[..] else { panic!("{found:?}") };
    assert_eq!((decision.by.as_str(), decision.date.as_deref()), ("J. Marsh", Some("2026-05-12")));
    assert!(&*decision.at.file == "site.toml" && decision.at.line.is_some(), "{decision:?}");
    assert!(of(Code::AcceptedGone, &findings).is_empty(), "{findings:#?}");
    let (results, old) = (Results::of(&after, &findings), Results::of(&before, &open));
    let (now, then) = (results.finding_counts(), old.finding_counts());
    assert_eq!((now.accepted, now.warnings, now.notes), (1, then.warnings - 1, then.notes));
    assert_eq!(then.accepted, 0);
    let panel = words(&draw::sheet(&results).expect("a sheet").svg(), "panel").join(" ");
    assert!(panel.contains("1 accepted") && !panel.contains("C308"), "{panel}");
    let panel = words(&draw::sheet(&old).expect("a sheet").svg(), "panel").join(" ");
    assert!(!panel.contains("accepted") && panel.contains("C308"), "{panel}");
    let page = page::report(&results);
    assert!(page.contains("accepted by J. Marsh, 2026-05-12: perched: see the log"));
    assert!(page.contains("1 accepted") && page.contains("C308"));
}

#[test]
fn the_program_says_so_and_counts_the_others() {
    let folder = one_high(ENTRY);
    let run = |site: &Folder, command: &str, more: &[&str]| {
        let out = site.path().join("out").join("spring");
        let mut arguments = vec![command, "--fail-on", "warning"];
        arguments.extend(more);
        let mut paths: Vec<&std::path::Path> = vec![site.path()];
        if command != "check" {
            arguments.push("--out");
            paths.insert(0, &out);
        }
        (headfall(&arguments, &paths), out)
    };
    for command in ["check", "draw", "cross-validate"] {
        ends(&run(&one_high(""), command, &[]).0, 1);
        let (output, _) = run(&folder, command, &[]);
        ends(&output, 0);
        let lines = stderr(&output);
        let at = lines.find("C308").expect("it is listed");
        assert!(lines[at..].contains("    accepted by J. Marsh, 2026-05-12: perched"), "{lines}");
        if command != "cross-validate" {
            assert!(stdout(&output).contains("1 accepted"), "{}", stdout(&output));
        }
    }
    let (output, out) = run(&folder, "draw", &["--json"]);
    let summary: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(summary, json(out.join("summary.json")));
    let found = summary["findings"].as_array().expect("a list");
    let found = found.iter().find(|f| f["code"] == "C308").expect("it is listed");
    assert_eq!(found["accepted"], true);
    assert_eq!(found["decisions"][0]["reason"], "perched: see the log");
    assert_eq!(found["decisions"][0]["wells"][0], "W-3");
    let schema = text(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/summary.schema.json"));
    let schema = serde_json::from_str(&schema).expect("a schema");
    let schema = jsonschema::draft202012::new(&schema).expect("a schema");
    let wrong: Vec<String> = schema.iter_errors(&summary).map(|e| e.to_string()).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Every warning and note of a sample site accepted, each with the wells it names.
#[test]
fn a_site_whose_findings_are_all_accepted_passes() {
    let site = sample("closed-landfill");
    let folder = Folder::new();
    let out = folder.path().join("map");
    let output = headfall(&["toward", "--json", "--out"], &[&out, &site]);
    let summary: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let found = summary["findings"].as_array().expect("a list");
    assert!(found.iter().any(|f| f["severity"] == "warning"), "{found:?}");
    let mut settings = text(site.join("site.toml"));
    for f in found {
        assert!(f["more_wells"].is_null() && f["more"].is_null(), "{f}");
        write!(settings, "\n[[accepted]]\ncode = {}\n", f["code"]).expect("text");
        if !f["wells"].is_null() {
            writeln!(settings, "well = {}", f["wells"]).expect("text");
        }
        settings += "reason = \"looked into\"\nby = \"J. Marsh\"\n";
    }
    std::fs::write(site.join("site.toml"), settings).expect("written");
    std::fs::remove_dir_all(&out).expect("taken away");
    let output = headfall(&["toward", "--json", "--fail-on", "note", "--out"], &[&out, &site]);
    ends(&output, 0);
    let summary: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let after = summary["findings"].as_array().expect("a list");
    assert_eq!(after.len(), found.len());
    assert!(after.iter().all(|f| f["accepted"] == true), "{after:?}");
}

#[test]
fn an_entry_that_nothing_meets_is_named_in_its_round() {
    for (from, to, wells) in [
        ("W-3", "W-4", &["W-4"][..]),
        ("\"W-3\"", "[\"W-3\", \"W-7\"]", &["W-7"][..]),
        ("well = \"W-3\"\n", "", &[][..]),
        ("C308", "C315", &["W-3"][..]),
    ] {
        let (_, findings) = map(one_high(&ENTRY.replace(from, to)).path());
        let gone = told(&findings, Code::AcceptedGone).within("site.toml").once();
        assert_eq!(gone.wells, wells, "{gone:?}");
        assert_eq!(gone.severity, Severity::Note);
    }
    // Findings of following the water are looked for where it is followed.
    let paths = ENTRY.replace("C308", "T503").replace("well = \"W-3\"\n", "");
    let folder = one_high(&paths);
    let (map, mut findings) = self::map(folder.path());
    assert!(of(Code::AcceptedGone, &findings).is_empty(), "{findings:#?}");
    let map = map.expect("a map");
    let followed = headfall::run::follow(&map, &mut findings);
    assert!(followed.is_err(), "the site has no sources");
    let other = ENTRY.replace("reason", "round = \"autumn\"\nreason");
    let folder = one_high(&other).with("rounds/autumn.csv", text(folder.at("rounds/spring.csv")));
    let overrides = |name: &str| Overrides { round: Some(name.to_owned()), ..Overrides::default() };
    for (round, accepted) in [("spring", false), ("autumn", true)] {
        let (map, findings) = support::map(folder.path(), &overrides(round));
        assert!(map.is_ok());
        assert_eq!(told(&findings, Code::OffNeighbours).once().accepted, accepted, "{round}");
        assert!(of(Code::AcceptedGone, &findings).is_empty(), "{round}: {findings:#?}");
    }
}

#[test]
fn a_finding_of_several_wells_is_accepted_for_all_of_them_or_not_at_all() {
    let nested = |entry: &str| {
        // Two wells of a nest screened apart (C330).
        let folder = of_wells(&scatter(), entry, |x, _| 50.0 - 0.002 * x);
        folder.change("wells.csv", |register| {
            let mut lines = register.lines();
            let mut new = format!(
                "{},screen_top,screen_bottom,measuring_point_elevation\n",
                lines.next().expect("a heading")
            );
            for line in lines {
                writeln!(new, "{line},3,6,55").expect("text");
            }
            new += "W-3d,500335.5,4980009.5,20,23,55\n";
            new
        });
        folder.change("rounds/spring.csv", |round| round + "W-3d,2026-05-04,49.1\n");
        folder
    };
    let (_, findings) = map(nested("").path());
    let found = told(&findings, Code::NestedTogether).once().clone();
    assert!(found.wells.len() == 2 && !found.accepted, "{found:?}");
    let entry = |wells: &str| {
        format!(
            "[[accepted]]\ncode = \"C330\"\nwell = {wells}\nreason = \"x\"\nby = \"J. Marsh\"\n"
        )
    };
    let [one, two] = &found.wells[..] else { panic!("two wells") };
    for (wells, accepted) in
        [(format!("\"{one}\""), false), (format!("[\"{one}\", \"{two}\"]"), true)]
    {
        let (_, findings) = map(nested(&entry(&wells)).path());
        let found = told(&findings, Code::NestedTogether).once();
        assert_eq!((found.accepted, found.decisions.len()), (accepted, 1), "{wells}");
        assert_eq!(found.decision_words()[0].contains(one.as_str()), !accepted, "{found:?}");
        assert!(of(Code::AcceptedGone, &findings).is_empty(), "{findings:#?}");
    }
}

#[test]
fn entries_that_are_no_decision_are_refused() {
    for (from, to, code) in [
        ("C308", "C380", Code::NotAcceptable),
        ("C308", "C3O8", Code::NotAcceptable),
        ("C308", "off-neighbours", Code::NotAcceptable),
        ("C308", "C301", Code::NotAcceptable),
        ("C308", "C347", Code::NotAcceptable),
        ("perched: see the log", " ", Code::SiteSetting),
        ("J. Marsh", "", Code::SiteSetting),
        ("\"W-3\"", "\"\"", Code::SiteSetting),
        ("\"W-3\"", "[]", Code::SiteSetting),
        ("2026-05-12", "\"12 May\"", Code::SiteSetting),
        ("2026-05-12", "2026-05-12T10:00:00", Code::SiteSetting),
        ("reason = \"perched: see the log\"\n", "", Code::SiteSetting),
        ("by = \"J. Marsh\"\n", "", Code::SiteSetting),
        ("reason", "round = \"sprig\"\nreason", Code::RoundUnclear),
    ] {
        let (map, findings) = self::map(one_high(&ENTRY.replace(from, to)).path());
        assert!(map.is_none(), "{to:?}");
        let found = told(&findings, code).within("site.toml").once();
        assert_eq!(found.severity, Severity::Refusal);
        if to.starts_with("C3") && code == Code::NotAcceptable && to != "C301" && to != "C347" {
            support::gives(found, &["C308"]);
        }
    }
    // Written small, with spaces, and with the day between quotes.
    let entry = ENTRY.replace("C308", " c308 ").replace("2026-05-12", "\"2026-05-12\"");
    let (_, findings) = map(one_high(&entry).path());
    assert!(told(&findings, Code::OffNeighbours).once().accepted);
}

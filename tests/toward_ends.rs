//! Where paths end: streams, pumped wells, barriers, and lows that nothing explains.

use geo::{LineString, Point};
use headfall::diag::Code;
use headfall::read::{Barrier, Overrides, Stream};
use headfall::run;
use headfall::toward::{End, NotDrawn, Outcome, Way};

use crate::support::{Folder, map, near, of, of_wells, runs, scatter, stdout};
use crate::toward_site::{AQUIFER, c, followed, line, place, plane, site, tank};

/// A plane to the east with one well of the middle a decimetre too low, and the same with a centimetre of error.
fn with_a_low(by: f64) -> Folder {
    site(AQUIFER, move |x, y| {
        let low = if (x, y) == (300.0, 200.0) { by } else { 0.0 };
        plane(x, y) - low
    })
}

#[test]
fn a_low_that_nothing_explains_is_a_question() {
    // Between two wells the plane falls by 0.5 m: a low of 0.8 m stays one.
    let folder = with_a_low(0.8);
    let fence = place("fence", line(&[(450.0, 0.0), (450.0, 400.0)]));
    let (_, toward, findings) = followed(&folder, vec![tank()], vec![fence]);
    let toward = toward.expect("an answer");
    let v = &toward.verdicts[0];
    assert_eq!(v.outcome, Outcome::Low);
    assert!(v.days.is_none());
    let found = of(Code::LowUnexplained, &findings);
    assert_eq!(found.len(), 1, "T522");
    assert_eq!(found[0].wells.len(), 1);
    assert!(of(Code::LowBridged, &findings).is_empty());
    // A pumped well there explains it: the answer is then not that of planes.
    let (map, mut said) = map(folder.path(), &Overrides::default());
    let map = map.expect("a map");
    let name = found[0].wells[0].clone();
    let row = map.control.points().iter().position(|p| p.id == name).expect("the well");
    near(map.control.points()[row].head, 50.0 - 0.005 * 300.0 - 0.8, 1e-9);
    said.clear();
}

/// The low is 4 cm deep below its rim and heads err by 3 cm each: the difference of two has 4.2 cm.
#[test]
fn a_low_within_the_errors_of_the_heads_is_bridged() {
    let more = format!("{AQUIFER}[uncertainty]\nreading_sd = 0.03\n");
    let folder = site(&more, |x, y| {
        let low = if (x, y) == (300.0, 200.0) { 0.54 } else { 0.0 };
        plane(x, y) - low
    });
    let fence = place("fence", line(&[(450.0, 0.0), (450.0, 400.0)]));
    let source = place("pit", Point(c(300.0, 200.0)));
    let (_, toward, findings) = followed(&folder, vec![source], vec![fence]);
    let toward = toward.expect("an answer");
    assert_eq!(of(Code::LowBridged, &findings).len(), 1, "T523 {findings:#?}");
    assert!(of(Code::LowUnexplained, &findings).is_empty());
    assert_eq!(toward.verdicts[0].outcome, Outcome::Reaches);
    let down = toward.paths.iter().find(|p| p.path.way == Way::Down).expect("a path");
    assert!(down.path.heads.windows(2).all(|h| h[1] <= h[0]), "{:?}", down.path.heads);
}

/// Both banks fall to a creek through the middle: the water of either ends there, whatever the surface.
#[test]
fn a_gaining_stream_ends_paths_on_every_surface() {
    let bank = |x: f64, y: f64| 40.0 + 0.01 * (y - 200.0).abs() - 0.001 * x;
    let wells: Vec<(f64, f64)> =
        scatter().into_iter().filter(|w| (w.1 - 200.0).abs() > 15.0).collect();
    for surface in ["linear", "kriging", "smooth-natural-neighbour", "thin-plate"] {
        let more = format!("{AQUIFER}[grid]\nsurface = \"{surface}\"\ncell = 5\n");
        let folder = of_wells(&wells, &more, bank);
        let course: Vec<(f64, f64)> = (0..=20).map(|k| (20.0 * f64::from(k), 200.0)).collect();
        let stages = course.iter().map(|(x, y)| bank(*x, *y)).collect();
        let creek = Stream {
            name: "Brook".to_owned(),
            line: line(&course),
            stages,
            aquifer_unit: None,
            origin: headfall::diag::Origin::file("streams.csv"),
        };
        let (said, toward) = with_stream(&folder, creek);
        let [brook, intake, across] = &toward.verdicts[..] else { panic!("three verdicts") };
        assert_eq!(brook.outcome, Outcome::Reaches, "{surface}");
        assert_eq!(intake.outcome, Outcome::Stream, "{surface}");
        assert_eq!(across.outcome, Outcome::Stream, "{surface}");
        // The tank lies 100 m north of the brook; the fall along it is a tenth of the fall to it.
        near(brook.length_m, 100.0, 8.0);
        assert_eq!(of(Code::StreamsTaken, &said).len(), 1, "T524 {surface}");
        let ends = toward.paths.iter().filter(|p| p.path.way == Way::Down);
        assert!(ends.map(|p| p.path.end).all(|end| end == End::Stream { stream: 0 }), "{surface}");
    }
}

fn with_stream(
    folder: &Folder,
    creek: Stream,
) -> (Vec<headfall::diag::Diagnostic>, headfall::toward::Toward) {
    use std::sync::Arc;
    let mut findings = Vec::new();
    let heads = run::heads(folder.path(), &Overrides::default(), &mut findings).expect("heads");
    let mut heads = heads;
    let site = Arc::make_mut(&mut heads.site);
    let points = creek.line.0.iter().zip(&creek.stages).enumerate();
    site.features.stream_points = points
        .map(|(k, (position, stage))| headfall::read::StreamPoint {
            name: format!("Brook @ {k}"),
            position: *position,
            stage: *stage,
            stream: 0,
        })
        .collect();
    site.features.receptors = vec![
        place("Brook", creek.line.clone()),
        place("intake", Point(c(380.0, 200.0))),
        place("across", Point(c(200.0, 120.0))),
    ];
    site.features.streams = vec![creek];
    site.features.sources = vec![place("tank", Point(c(150.0, 300.0)))];
    let map = run::map(heads, &mut findings).expect("a map");
    let toward = run::follow(&map, &mut findings).expect("an answer");
    (findings, toward)
}

/// A receptor behind the source: no path comes nearer to it than it begins.
#[test]
fn water_flows_away_from_what_lies_upgradient() {
    let folder = site(AQUIFER, plane);
    let behind = place("behind", Point(c(20.0, 210.0)));
    let (_, toward, _) = followed(&folder, vec![tank()], vec![behind]);
    assert_eq!(toward.expect("an answer").verdicts[0].outcome, Outcome::FlowsAway);
}

/// Check 5.7 in rings, the level of the pumped well not read: planes know no cone, and say nothing.
#[test]
fn pumped_wells_count_on_every_surface() {
    let mut wells = Vec::new();
    for ring in 0..5 {
        let radius = 40.0 * 1.8_f64.powi(ring);
        for spoke in 0..9 {
            let turn = (f64::from(spoke) + 0.5 * f64::from(ring % 2)) / 9.0;
            let (sin, cos) = (turn * std::f64::consts::TAU).sin_cos();
            wells.push((radius * sin, radius * cos));
        }
    }
    let head = |x: f64, y: f64| {
        let r2 = (x * x + y * y).max(1.0);
        50.0 - 0.002 * x + 500.0 / (4.0 * std::f64::consts::PI * 200.0) * (r2 / 1e6).ln()
    };
    let more = format!(
        "[[pumped_wells]]\nwell = \"PW\"\neasting = {}\nnorthing = {}\nrate = 500\n{AQUIFER}\
         pumping_rate_unit = \"m3/d\"\n[[sources]]\nname = \"tank\"\neasting = {}\nnorthing = {}\n\
         [[receptors]]\nname = \"PW\"\neasting = {}\nnorthing = {}\n",
        c(0.0, 0.0).x,
        c(0.0, 0.0).y,
        c(-150.0, 20.0).x,
        c(-150.0, 20.0).y,
        c(0.0, 0.0).x,
        c(0.0, 0.0).y
    );
    let folder = of_wells(&wells, &more, head);
    // Nobody chose a surface: the one with the cone is taken.
    let out = folder.path().join("results");
    let done = runs(&["toward", "--json", "--out"], &[&out, folder.path()]);
    let summary: serde_json::Value = serde_json::from_str(&stdout(&done)).expect("JSON");
    let codes = |code: &str| {
        summary["findings"].as_array().expect("findings").iter().any(|f| f["code"] == code)
    };
    assert!(codes("T520") && !codes("T521"), "{:#}", summary["findings"]);
    let verdict = &summary["toward"]["verdicts"][0];
    assert_eq!(verdict["outcome"], "reaches");
    assert!(verdict["probability"].as_f64().expect("a share") > 0.95, "{verdict:#}");
    // Q / (T i) of the closed form with the gradient without the pumping, 0.002.
    let zone = &summary["toward"]["pumped_wells"][0];
    assert_eq!(zone["gradient_from"], "surface");
    let [low, high] = ["gradient_low", "gradient_high"].map(|k| zone[k].as_f64().expect("i"));
    assert!(low < 0.002 && 0.002 < high && high < 0.0022, "{low} to {high}");
    let [low, high] =
        ["implied_transmissivity_low_m2_per_d", "implied_transmissivity_high_m2_per_d"]
            .map(|k| zone[k].as_f64().expect("T"));
    assert!(low < 200.0 && 200.0 < high, "{low} to {high}");
    let chosen = |folder: &Folder, code: Code| {
        let mut findings = Vec::new();
        let heads = run::heads(folder.path(), &Overrides::default(), &mut findings).expect("heads");
        let map = run::map_for_paths(heads, &mut findings).expect("a map");
        assert_eq!(of(code, &findings).len(), 1, "{findings:#?}");
        map.site.has_cones()
    };
    assert!(chosen(&folder, Code::ConesChosen));
    // Somebody chose planes: no answer.
    let (map, mut findings) = map(folder.path(), &Overrides::default());
    let map = map.expect("a map");
    let toward = run::follow(&map, &mut findings).expect("an answer");
    let v = &toward.verdicts[0];
    assert_eq!((v.outcome, v.realizations, v.days), (Outcome::PumpedUnknown, None, None));
    assert_eq!(toward.not_drawn, Some(NotDrawn::Pumped));
    // Too few wells for kriging: no answer either, and why.
    let few = of_wells(&wells[36..], &more, head);
    assert!(!chosen(&few, Code::ConesMissing));
    let out = few.path().join("results");
    let done = runs(&["toward", "--json", "--out"], &[&out, few.path()]);
    let summary: serde_json::Value = serde_json::from_str(&stdout(&done)).expect("JSON");
    let verdict = &summary["toward"]["verdicts"][0];
    assert_eq!(verdict["outcome"], Outcome::PumpedUnknown.words());
    let findings = summary["findings"].as_array().expect("findings");
    assert!(findings.iter().any(|f| f["code"] == "T521"), "{findings:#?}");
}

/// A wall across the flow with a gap to the south: water that comes to it goes along it and round its end.
#[test]
fn paths_go_along_a_wall_and_round_its_end() {
    let wells: Vec<(f64, f64)> = (0..11)
        .flat_map(|i| (0..11).map(move |k| (30.0 * f64::from(i) + 1.0, 30.0 * f64::from(k))))
        .collect();
    // Heads rise before the wall and sink behind it, and all water goes south along it: a smooth field whose slope
    // at the wall is along it.
    let head = |x: f64, y: f64| {
        let behind =
            if x > 150.0 && y > 100.0 { -0.5 * ((y - 100.0) / 200.0).min(1.0) } else { 0.0 };
        50.0 - 0.002 * x + 0.003 * y + behind
    };
    let more = format!("{AQUIFER}[grid]\nsurface = \"kriging\"\ncell = 5\n");
    let folder = of_wells(&wells, &more, head);
    let mut findings = Vec::new();
    let mut heads = run::heads(folder.path(), &Overrides::default(), &mut findings).expect("heads");
    let features = &mut std::sync::Arc::make_mut(&mut heads.site).features;
    features.barriers = vec![Barrier {
        name: "wall".to_owned(),
        line: LineString(vec![c(150.0, 300.0), c(150.0, 100.0)]),
        origin: headfall::diag::Origin::file("barriers.csv"),
    }];
    features.sources = vec![place("tank", Point(c(100.0, 250.0)))];
    features.receptors = vec![place("south", line(&[(0.0, 40.0), (300.0, 40.0)]))];
    let map = run::map(heads, &mut findings).expect("a map");
    let toward = run::follow(&map, &mut findings).expect("an answer");
    assert_eq!(toward.verdicts[0].outcome, Outcome::Reaches, "{:?}", toward.verdicts[0]);
    assert_eq!(toward.not_drawn, Some(NotDrawn::Barriers));
    // No step of a path crosses the wall.
    let wall = map.control.beside().barriers();
    for p in &toward.paths {
        assert!(p.path.points.windows(2).all(|w| !wall.part(w[0], w[1])), "{:?}", p.path.end);
    }
    // Wells 20 m from the wall on both sides: the higher ones stand before it.
    assert!(!toward.across.is_empty());
    for pair in &toward.across {
        let at = |i: usize| map.control.points()[i].crs.x;
        assert!(at(pair.higher) < c(150.0, 0.0).x && at(pair.lower) > c(150.0, 0.0).x);
        assert!(pair.difference.value > 0.0 && pair.difference.sd > 0.0);
    }
}

//! Pumped wells on a map: what is said of their cones, their levels and their settings.

use std::f64::consts::PI;

use headfall::diag::{Code, Diagnostic};
use headfall::draw;
use headfall::read::Overrides;
use headfall::report::TowardSummary;
use headfall::report::{CAUTIONS, Results};
use headfall::run::{self, Map};
use roxmltree::Document;

use crate::support::{EAST, Folder, NORTH, gives, headfall, map, of, of_wells, scatter, stderr};

/// Where the pumped well stands.
const PUMPED: (f64, f64) = (190.0, 230.0);

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
    of_wells(&scatter(), &format!("[contours]\ninterval = 0.5\n{more}"), head)
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
    let svg = draw::sheet(&Results::of(map, &[])).expect("a sheet").svg();
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
    let results = Results::of(&map, &findings);
    let cautions = results.cautions().join(" ");
    assert!(cautions.contains("Pumping is included as cones of steady"), "{cautions}");
    assert!(!cautions.contains("changes, pumping"), "{cautions}");
    assert!(!cautions.contains("drawn at right angles"), "{cautions}");
    assert!(
        cautions.contains("follow this surface, at right angles to its contours"),
        "{cautions}"
    );
    assert_eq!(results.cautions().len(), CAUTIONS.len());
    let sheet = sheet(&map);
    for part in ["with a cone at PW-1", "cones at the pumped wells of the surface", "may differ"] {
        assert!(sheet.contains(part), "{part}: {sheet}");
    }
    assert!(!sheet.contains("Tides, pumping"), "{sheet}");

    let (map, findings) = drawn(&site("[grid]\ncell = 20.0\n", thiem(500.0)));
    assert_eq!(Results::of(&map, &findings).cautions(), CAUTIONS, "the linear surface");

    let (map, findings) = drawn(&site("[grid]\nunconfined_base = 20.0\n", thiem(500.0)));
    let cautions = Results::of(&map, &findings).cautions().join(" ");
    assert!(!cautions.contains("drawn at right angles"), "squares bend the contours' planes");
    assert!(cautions.contains("changes, pumping"), "{cautions}");
}

/// What is told under one code of a kriged site, and of which wells.
fn told(code: Code, more: &str, head: impl Fn(f64, f64) -> f64) -> Vec<Diagnostic> {
    let (_, findings) = kriged(more, head);
    of(code, &findings).into_iter().cloned().collect()
}

#[test]
fn the_level_of_a_pumped_well_is_told_by_every_command() {
    let grid = "[grid]\ncell = 20.0\nsurface = \"kriging\"\n";
    let more = format!("{grid}{KRIGING}[[pumped_wells]]\nwell = \"W-7\"\nrate = 500.0\n");
    let folder = site(&more, thiem(500.0));
    let (_, findings) = drawn(&folder);
    let found = of(Code::PumpedLevelUsed, &findings);
    assert_eq!(found.len(), 1, "{findings:#?}");
    assert_eq!(found[0].wells, ["W-7"]);

    let mut findings = Vec::new();
    run::cross_validate(folder.path(), &Overrides::default(), &mut findings).expect("a comparison");
    assert_eq!(of(Code::PumpedLevelUsed, &findings).len(), 1, "{findings:#?}");

    let said = stderr(&headfall(&["check"], &[folder.path()]));
    assert_eq!(said.matches("T506").count(), 1, "{said}");

    // A pumped well that was not read is no control point.
    let more = format!("{KRIGING}{}", pumped("PW-1", "rate = 500.0\n"));
    assert!(told(Code::PumpedLevelUsed, &more, thiem(500.0)).is_empty());
}

#[test]
fn a_cone_that_the_wells_do_not_see_is_told_by_m413() {
    let aquifer = |low: f64, high: f64| {
        format!(
            "[aquifer]\ntransmissivity = [{low}, {high}]\ntransmissivity_unit = \
             \"m2/d\"\npumping_rate_unit = \"m3/d\"\n"
        )
    };
    let site = |rate: &str, aquifer: &str| format!("{KRIGING}{}{aquifer}", pumped("PW-1", rate));
    let of = |more: &str, head: f64| told(Code::ConeUnlikeWells, more, thiem(head));
    // T is 200 m2/d by construction.
    assert!(of(&site("rate = 500.0\n", &aquifer(150.0, 250.0)), 500.0).is_empty());
    assert!(of(&site("", ""), 500.0).is_empty());
    assert!(of(&site("rate = -500.0\n", ""), -500.0).is_empty(), "recharge and its mound");

    let sign = of(&site("rate = -500.0\n", ""), 500.0);
    assert_eq!(sign.len(), 1);
    assert_eq!(sign[0].wells, ["PW-1"]);
    assert!(!of(&site("", ""), -500.0).is_empty(), "a mound at a pumped well");

    // A drawdown of 1 mm over the logarithm, in heads of a sill of 0.1 m.
    let weak = of(&site("rate = 500.0\n", &aquifer(150.0, 250.0)), 1.0);
    assert_eq!(weak.len(), 1);

    let other = of(&site("rate = 500.0\n", &aquifer(4000.0, 5000.0)), 500.0);
    assert_eq!(other.len(), 1);
    gives(&other[0], &["2.000e2 m²/d"]);
}

/// A strong slope without a plane in the drift is taken for chance and hides the cone.
#[test]
fn a_cone_over_a_slope_is_found_with_a_plane_and_m413_says_so() {
    let head = |x: f64, y: f64| 0.2 * thiem(500.0)(x, y) - 0.01 * x;
    let well = pumped("PW-1", "rate = 500.0\n");
    let found = told(Code::ConeUnlikeWells, &format!("[kriging]\ndrift = \"none\"\n{well}"), head);
    assert_eq!(found.len(), 1);
    // With cones a plane is in the drift unless somebody leaves it out.
    assert!(told(Code::ConeUnlikeWells, &well, head).is_empty());
    let advice = found[0].advice.as_deref().expect("advice");
    assert!(advice.contains("drift = \"linear\""), "{advice}");
    let more = format!("[kriging]\ndrift = \"linear\"\npartial_sill = 0.01\nrange = 500.0\n{well}");
    assert!(told(Code::ConeUnlikeWells, &more, head).is_empty());
    let weak = told(Code::ConeUnlikeWells, &more, |x, y| 50.0 - 0.01 * x + 0.0 * y);
    let advice = weak[0].advice.as_deref().expect("advice");
    assert!(!advice.contains("drift"), "it has one: {advice}");
}

/// The surfaces drawn between the wells have the cone, too; the triangles on which the readings alone err have not.
#[test]
fn where_cones_are_drawn_the_realizations_have_them() {
    let places = format!(
        "[[sources]]\nname = \"shed\"\neasting = {}\nnorthing = {}\n[[receptors]]\nname = \"well\"\n\
         easting = {}\nnorthing = {}\n",
        EAST + 60.0,
        NORTH + 225.0,
        EAST + PUMPED.0,
        NORTH + PUMPED.1
    );
    let more = format!("{KRIGING}{}{places}", pumped("PW-1", "rate = 500.0\n"));
    let (map, mut findings) = kriged(&more, thiem(500.0));
    let toward = run::follow(&map, &mut findings).expect("an answer");
    let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
    let summary = TowardSummary::of(&results).expect("an answer");
    let row = &summary.verdicts[0];
    assert_eq!((row.outcome, summary.no_realizations), ("reaches", None));
    assert!(row.probability.is_some_and(|share| share > 0.95), "{row:?}");
    assert_eq!(row.probability_readings_only, None);
    assert!(of(Code::RoundsDisagree, &findings).is_empty());
}

#[test]
fn a_given_covariance_in_another_unit_is_told_by_m414() {
    let of = |more: &str| told(Code::CovarianceUnlikeWells, more, thiem(0.0));
    let given =
        |sill: f64, range: f64| format!("[kriging]\npartial_sill = {sill:?}\nrange = {range:?}\n");
    let short = of(&given(0.1, 0.25));
    assert_eq!(short.len(), 1);
    gives(&short[0], &["0.25 m"]);
    assert!(of(&given(0.1, 500.0)).is_empty());

    // Heads fall by 0.8 m over 30 m of water: squares by 48 m2, so that their variance is some
    // 48 x 48 / 12 = 190 m4 (a uniform spread).
    let low = of(&format!("unconfined_base = 20.0\n{}", given(0.1, 500.0)));
    assert_eq!(low.len(), 1);
    gives(&low[0], &["m⁴"]);
    assert!(of(&format!("unconfined_base = 20.0\n{}", given(200.0, 500.0))).is_empty());
}

#[test]
fn settings_that_do_nothing_and_wells_that_are_nowhere_are_told() {
    let linear = |more: &str| drawn(&site(&format!("[grid]\ncell = 20.0\n{more}"), thiem(0.0))).1;
    let findings = linear(&pumped("PW-1", "rate = 500.0\n"));
    let found = of(Code::PassedOver, &findings);
    assert_eq!(found.len(), 1, "{findings:#?}");
    gives(found[0], &["PW-1", "linear"]);
    assert_eq!(of(Code::PassedOver, &linear(KRIGING)).len(), 1);
    assert!(of(Code::PassedOver, &linear("")).is_empty());
    assert!(told(Code::PassedOver, KRIGING, thiem(0.0)).is_empty());

    let far = "[[pumped_wells]]\nwell = \"PW-1\"\neasting = 4783\nnorthing = 4977\nrate = 1.0\n";
    let findings = linear(far);
    let found = of(Code::FeatureFar, &findings);
    assert_eq!(found.len(), 1, "{findings:#?}");
    gives(found[0], &["PW-1"]);
}

#[test]
fn wells_that_do_not_pump_are_refused_by_name() {
    let grid = "[grid]\nsurface = \"kriging\"\n";
    let more = format!("{grid}{KRIGING}{}", pumped("PW-1", "rate = 0.0\n"));
    let (map, findings) = map(site(&more, thiem(0.0)).path(), &Overrides::default());
    assert!(map.is_err());
    let found = of(Code::SurfaceRefused, &findings);
    assert_eq!(found.len(), 1, "{findings:#?}");
    gives(found[0], &["rate = 0", "PW-1"]);
}

/// Common practice, no source: a plane through the wells around a cone lies above its bottom.
#[test]
fn a_head_in_a_declared_cone_is_told_with_what_its_plane_does_not_know() {
    let (_, plain) = drawn(&site("", thiem(3000.0)));
    let (_, declared) = kriged(&format!("{KRIGING}{}", pumped("PW", "")), thiem(3000.0));
    for (findings, knows) in [(plain, false), (declared, true)] {
        let told = of(Code::OffNeighbours, &findings);
        assert!(!told.is_empty(), "{findings:#?}");
        for finding in told {
            let advice = finding.advice.as_deref().expect("advice");
            assert_eq!(advice.contains("a plane does not follow their cones"), knows, "{advice}");
        }
    }
}

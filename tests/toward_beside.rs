//! What stands beside an answer: when the water arrives, what decides that, other aquifer units, the order of receptors.

use std::f64::consts::LN_2;
use std::fmt::Write as _;

use geo::Point;
use headfall::diag::Code;
use headfall::read::Overrides;
use headfall::report::{Results, TowardSummary};
use headfall::run;
use headfall::toward::{Decides, KnownBy, Outcome, Verdict};

use crate::support::{Folder, gives, json, map, near, of, runs, stdout, text, words};
use crate::toward_site::{AQUIFER, c, followed, line, place, plane, site, tank};

/// The verdict on a creek 250 m from the tank along a plane of 0.005, with lines added to `[aquifer]`.
fn creek(aquifer: &str) -> Verdict {
    let creek = place("creek", line(&[(350.0, 0.0), (350.0, 400.0)]));
    let (_, toward, findings) = followed(&site(aquifer, plane), vec![tank()], vec![creek]);
    toward.unwrap_or_else(|e| panic!("{e} {findings:#?}")).verdicts.remove(0)
}

/// Conductivity log-uniform from 1 to 100 m/d, porosity all but 0.25: 250 m at 0.005 take `0.25 x 250 / (0.005 K)`
/// days. A tenth has arrived when K is above its 90 % quantile, `100^0.9`, half when above 10, nine tenths when above
/// `100^0.1`. Of 1000 draws a share has a standard deviation of up to 0.016: three of them are 0.095 of a power of ten.
#[test]
fn arrivals_are_those_of_the_declared_distributions() {
    let verdict = creek(
        "[aquifer]\nconductivity = [1, 100]\nconductivity_unit = \"m/d\"\n\
         effective_porosity = [0.2499, 0.2501]\nconductivity_distribution = \"log-uniform\"\n\
         effective_porosity_distribution = \"triangular\"\n",
    );
    let arrivals = verdict.arrivals.expect("distributions are declared");
    for (found, quantile) in
        [(arrivals.tenth_days, 0.9), (arrivals.half_days, 0.5), (arrivals.nine_tenths_days, 0.1)]
    {
        let expected = 0.25 * 250.0 / (0.005 * 100.0_f64.powf(quantile));
        let powers = (found.expect("all arrive") / expected).log10();
        assert!(powers.abs() < 0.095, "{found:?}, expected {expected}");
    }
    assert!(creek(AQUIFER).arrivals.is_none(), "nobody declared how the ranges are filled");
}

/// Conductivity spans a factor of 4 and porosity one of 1.5; on a plane read to some millimetres the rest is less.
#[test]
fn the_widest_range_decides_the_travel_time() {
    let (decides, factor) = creek(AQUIFER).decides.expect("a travel time");
    assert_eq!(decides, Decides::Conductivity);
    near(factor, 4.0, 1e-9);
    let narrow = AQUIFER.replace("[5, 20]", "[9, 10]");
    assert_eq!(creek(&narrow).decides.expect("a travel time").0, Decides::Porosity);
}

/// Peclet numbers of 100 and 10 over 250 m: the first hundredth arrives after 0.714273 and 0.346595 of the mean time
/// (SciPy's `brentq` on the equation of Ogata and Banks).
#[test]
fn dispersion_makes_the_first_arrival_earlier_and_decay_leaves_less() {
    let verdict = creek(&format!(
        "{AQUIFER}dispersivity = [2.5, 25]\ndispersivity_unit = \"m\"\nhalf_life = 2\nhalf_life_unit = \"yr\"\n"
    ));
    let (days, first) = (verdict.days.expect("days"), verdict.first_arrival_days.expect("first"));
    near(first.low / days.low, 0.346_595, 2e-4);
    near(first.high / days.high, 0.714_273, 2e-4);
    let left = verdict.left.expect("a half-life");
    let k = LN_2 / 730.5;
    let share = |days: f64, p: f64| (p / 2.0 * (1.0 - (1.0 + 4.0 * k * days / p).sqrt())).exp();
    near(left.low, share(days.high, 100.0), 1e-3 * left.low.max(1e-3));
    near(left.high, share(days.low, 10.0), 1e-3);
    // In feet the same.
    let in_feet =
        creek(&format!("{AQUIFER}dispersivity = [8.2021, 82.021]\ndispersivity_unit = \"ft\"\n"));
    near(in_feet.first_arrival_days.expect("first").low, first.low, 0.01);
    assert!(in_feet.left.is_none());
}

/// What paths leave out is what nobody declared, and terminal, sheet, page and files say the same.
#[test]
fn what_is_left_out_is_what_nobody_declared() {
    let tank = "[[sources]]\nname = \"tank\"\neasting = {E}\nnorthing = {N}\n[[receptors]]\nname = \"well\"\n\
                easting = {F}\nnorthing = {N}\n";
    let [from, to] = [c(100.0, 210.0), c(350.0, 210.0)];
    let tank = tank.replace("{E}", &from.x.to_string()).replace("{F}", &to.x.to_string());
    let tank = tank.replace("{N}", &from.y.to_string());
    let dispersivity = "dispersivity = [2.5, 25]\ndispersivity_unit = \"m\"\n";
    let half_life = "half_life = 2\nhalf_life_unit = \"yr\"\n";
    for (disperses, decays) in [(false, false), (true, false), (false, true), (true, true)] {
        let mut more = AQUIFER.to_owned();
        more.push_str(if disperses { dispersivity } else { "" });
        more.push_str(if decays { half_life } else { "" });
        let folder = site(&format!("{more}{tank}"), plane);
        let out = folder.path().join("answer");
        let said = stdout(&runs(&["toward", "--out"], &[&out, folder.path()]));
        let left_out =
            said.lines().find(|l| l.starts_with("Advective paths")).expect("a closing line");
        let left_out = left_out.replace(" Local codes and a licensed professional decide.", "");
        let considered = [
            (!disperses, "Dispersion would shorten the first arrival."),
            (disperses, "First arrivals are those of longitudinal dispersion."),
            (disperses, "dispersion to the sides"),
            (!decays, "decay"),
        ];
        for (said, words) in considered {
            assert_eq!(left_out.contains(words), said, "{words}: {left_out}");
        }
        let sheet = words(&text(out.join("map.svg")), "panel").join(" ");
        assert!(sheet.contains(&left_out), "{sheet}");
        assert!(text(out.join("report.html")).contains(&left_out));
        let cautions = json(out.join("summary.json"))["toward"]["cautions"].to_string();
        assert_eq!(cautions.contains("shortens the first arrival below"), !disperses, "{cautions}");
        assert_eq!(cautions.contains("include longitudinal dispersion"), disperses, "{cautions}");
        assert_eq!(cautions.contains("Decay, volatilisation"), !decays, "{cautions}");
        assert_eq!(cautions.contains("Decay is of the first order"), decays, "{cautions}");
    }
}

/// 0.83 (log10 250)^2.414 is 6.863 m: a tenth of it gives the Peclet number 364, ten times 3.64.
#[test]
fn a_dispersivity_from_the_length_of_the_path_is_told() {
    let receptor = || place("creek", line(&[(350.0, 0.0), (350.0, 400.0)]));
    let aquifer = format!("{AQUIFER}dispersivity = \"from path length\"\n");
    let (_, toward, findings) = followed(&site(&aquifer, plane), vec![tank()], vec![receptor()]);
    let verdict = &toward.expect("an answer").verdicts[0];
    let first = verdict.first_arrival_days.expect("first");
    assert!(first.low < verdict.days.expect("days").low);
    let found = of(Code::DispersivityFromLength, &findings);
    assert_eq!(found.len(), 1, "T527");
    gives(found[0], &["0.69", "69", "tank", "creek"]);
    let (_, _, none) = followed(&site(AQUIFER, plane), vec![tank()], vec![receptor()]);
    assert!(of(Code::DispersivityFromLength, &none).is_empty());
}

#[test]
fn settings_of_substances_that_cannot_be_used_are_refused_with_their_lines() {
    for (lines, key) in [
        ("conductivity_distribution = \"log-normal\"", "effective_porosity_distribution"),
        ("conductivity_distribution = \"normal\"", "log-uniform"),
        (
            "conductivity_distribution = \"triangular\"\neffective_porosity_distribution = \"triangular\"",
            "conductivity",
        ),
        ("dispersivity = [1, 10]", "dispersivity_unit"),
        ("dispersivity = \"large\"", "\"from path length\""),
        ("dispersivity = [10, 1]\ndispersivity_unit = \"m\"", "dispersivity"),
        ("half_life = 300", "half_life_unit"),
        ("half_life = 0\nhalf_life_unit = \"d\"", "half_life"),
        ("half_life = 3\nhalf_life_unit = \"weeks\"", "yr"),
    ] {
        let folder = site(&format!("[aquifer]\n{lines}\n"), plane);
        let (map, findings) = map(folder.path(), &Overrides::default());
        assert!(map.is_err(), "{lines}");
        let told = of(Code::SiteSetting, &findings);
        assert!((7..9).contains(&told[0].origins[0].line.expect("a line")), "{lines}");
        gives(told[0], &[key]);
    }
}

/// The map is of the sand; a supply well in the gravel below is not answered for, nor one whose register says so.
#[test]
fn a_receptor_in_another_aquifer_unit_is_not_answered() {
    let more = format!(
        "aquifer_unit = \"sand\"\n{AQUIFER}[[sources]]\nname = \"tank\"\neasting = 500100\nnorthing = 4980210\n\
         [[receptors]]\nname = \"deep supply\"\neasting = 500350\nnorthing = 4980210\n\
         aquifer_unit = \"Gravel\"\n\
         [[receptors]]\nname = \"shallow supply\"\neasting = 500350\nnorthing = 4980210\n\
         aquifer_unit = \"Sand \"\n"
    );
    let folder = site(&more, plane);
    let mut findings = Vec::new();
    let heads = run::heads(folder.path(), &Overrides::default(), &mut findings).expect("heads");
    let map = run::map(heads, &mut findings).unwrap_or_else(|e| panic!("{e} {findings:#?}"));
    let toward = run::follow(&map, &mut findings).expect("an answer");
    let [deep, shallow] = &toward.verdicts[..] else { panic!("two verdicts") };
    assert_eq!(deep.outcome, Outcome::OtherUnit);
    assert!(deep.days.is_none() && deep.realizations.is_none() && !deep.unresolved);
    assert_eq!(shallow.outcome, Outcome::Reaches);
    let found = of(Code::PlaceInOtherUnit, &findings);
    assert_eq!(found.len(), 1, "T525 {found:?}");
    gives(found[0], &["\"Gravel\"", "\"sand\""]);
    assert_eq!(toward.ranking[0].receptor, shallow.receptor);
    assert_eq!(toward.ranking[1].known, KnownBy::Open);
}

/// A nest in a plane of 0.001: 0.45 m over 9 m is 0.05, fifty times as much.
fn nest(deep_head: f64) -> Folder {
    let mut register = "id,easting,northing,aquifer_unit,measuring_point_elevation,screen_top,\
                        screen_bottom\n"
        .to_owned();
    let mut round = "id,date,depth_to_water\n".to_owned();
    for k in 0..12 {
        let (x, y) = (100 * (k % 4), 100 * (k / 4));
        writeln!(register, "S{k},{},{},sand,60,10,12", 500_000 + x, 4_980_000 + y).expect("text");
        writeln!(round, "S{k},2026-05-04,{}", 10.0 + 0.001 * f64::from(x)).expect("text");
    }
    register.push_str("D5,500101,4980100,gravel,60,19,21\n");
    writeln!(round, "D5,2026-05-04,{}", 60.0 - deep_head).expect("text");
    let folder = Folder::new();
    folder.file(
        "site.toml",
        "[site]\nname = \"Nest (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\nvertical_datum = \
         \"NAVD 88\"\naquifer_unit = \"sand\"\n",
    );
    folder.file("wells.csv", register);
    folder.file("rounds/spring.csv", round);
    folder
}

#[test]
fn a_strong_vertical_gradient_stands_beside_a_horizontal_answer() {
    let source = || place("tank", Point(c(20.0, 90.0)));
    let fence = || place("fence", line(&[(280.0, 0.0), (280.0, 200.0)]));
    // The shallow head at D5 is 49.9.
    let (map, toward, findings) = followed(&nest(49.45), vec![source()], vec![fence()]);
    let toward = toward.expect("an answer");
    let found = of(Code::StrongVertical, &findings);
    assert_eq!(found.len(), 1, "T526 {findings:#?}");
    gives(found[0], &["S5", "D5", "0.05 down", "50 times"]);
    let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
    let words = TowardSummary::of(&results).expect("an answer").in_words;
    assert!(words.last().is_some_and(|w| w.contains("S5") && w.contains("50 times")), "{words:?}");
    // 0.045 m over 9 m is five times the horizontal gradient, and nothing is said; without a question neither.
    let (_, _, none) = followed(&nest(49.855), vec![source()], vec![fence()]);
    assert!(of(Code::StrongVertical, &none).is_empty());
    let (_, _, none) = followed(&nest(49.45), vec![source()], vec![]);
    assert!(of(Code::StrongVertical, &none).is_empty());
}

/// Receptors by arrival: the near creek before the far one, and last the one upgradient.
#[test]
fn receptors_stand_in_the_order_of_arrival() {
    let creek = |name: &str, x: f64| place(name, line(&[(x, 0.0), (x, 400.0)]));
    let receptors = vec![creek("uphill", 50.0), creek("far", 400.0), creek("near", 200.0)];
    let (map, toward, findings) = followed(&site(AQUIFER, plane), vec![tank()], receptors);
    let toward = toward.expect("an answer");
    let names: Vec<&str> =
        toward.ranking.iter().map(|r| toward.places[r.receptor].name.as_str()).collect();
    assert_eq!(names, ["near", "far", "uphill"]);
    let known: Vec<KnownBy> = toward.ranking.iter().map(|r| r.known).collect();
    let surely = KnownBy::MapAndRealizations;
    assert_eq!(known, [surely, surely, KnownBy::NotReached]);
    let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
    let rows = TowardSummary::of(&results).expect("an answer").receptors_by_arrival;
    assert_eq!((rows[0].rank, rows[0].receptor.as_ref()), (1, "near"));
    assert!(rows[0].arrival_low_d < rows[1].arrival_low_d && rows[2].arrival_low_d.is_none());
}

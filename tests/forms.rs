//! What forms, logs and spreadsheets hold that looks like a number and is none, or is one under
//! another heading: each must be told or refused before it becomes a head.
//!
//! The site is invented. Expected heads are measuring point less depth, by hand; that of product is
//! docs/reduction.md, eq. 4, by hand.

use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::{Overrides, Status};
use headfall::run::Map;

use crate::support::{self, EAST, Folder, NORTH, gives, map, near, of};

const TOML: &str = "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:26915\"\n\
                    elevation_unit = \"ft\"\nvertical_datum = \"NAVD 88\"\n";

/// Six invented wells, places in m.
const PLACES: [(f64, f64); 6] =
    [(0.0, 0.0), (150.0, 12.0), (301.0, -8.0), (20.0, 160.0), (171.0, 148.0), (310.0, 166.0)];

/// Depths to water below measuring points at 852 ft.
const DEPTHS: [f64; 6] = [12.0, 12.48, 13.28, 10.48, 11.2, 11.58];

/// The cells after the name that a row has beside its position or its depth.
type Cells<'a> = &'a dyn Fn(usize) -> String;

/// A register with further columns.
fn register(headings: &str, cells: Cells<'_>) -> String {
    let row = |(i, (x, y)): (usize, &(f64, f64))| {
        format!("W{i},{},{},852.00{}\n", EAST + x, NORTH + y, cells(i))
    };
    let rows: String = PLACES.iter().enumerate().map(row).collect();
    format!("id,easting,northing,measuring_point_elevation{headings}\n{rows}")
}

/// A round with further columns; `date` heads the days.
fn round(headings: &str, cells: Cells<'_>) -> String {
    let row = |(i, depth): (usize, &f64)| format!("W{i},2026-04-14,{depth:.2}{}\n", cells(i));
    let rows: String = DEPTHS.iter().enumerate().map(row).collect();
    format!("id,date,depth_to_water{headings}\n{rows}")
}

fn none(_: usize) -> String {
    String::new()
}

fn folder(toml: &str, register: &str, round: &str) -> Folder {
    let folder = Folder::new();
    folder.file("site.toml", format!("{TOML}{toml}"));
    folder.file("wells.csv", register);
    folder.file("rounds/spring.csv", round);
    folder
}

fn drawn(folder: &Folder) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = map(folder.path(), &Overrides::default());
    (map.ok(), findings)
}

/// What is said of a round beside the plain register.
fn of_round(round: &str) -> (Option<Map>, Vec<Diagnostic>) {
    drawn(&folder("[round]\nspecific_gravity = 0.8\n", &register("", &none), round))
}

fn of_register(register: &str) -> (Option<Map>, Vec<Diagnostic>) {
    drawn(&folder("", register, &round("", &none)))
}

/// The one finding of a code, of this weight, which gives these values and names.
#[track_caller]
fn told<'a>(
    findings: &'a [Diagnostic],
    code: Code,
    severity: Severity,
    facts: &[&str],
) -> &'a Diagnostic {
    let found = support::told(findings, code).once();
    assert_eq!(found.severity, severity);
    gives(found, facts);
    found
}

fn head(map: &Map, well: &str) -> f64 {
    map.control.points().iter().find(|p| p.id == well).expect("a mapped well").head
}

/// The warnings and refusals.
fn loud(findings: &[Diagnostic]) -> Vec<&Diagnostic> {
    findings.iter().filter(|d| d.severity > Severity::Note).collect()
}

/// Forms are filled with 0 where there is no product. With a thickness it is product up to the measuring point.
#[test]
fn a_depth_to_product_of_0_is_no_product_unless_it_has_a_thickness() {
    let (map, findings) = of_round(&round(",depth_to_product", &|_| ",0.00".into()));
    near(head(&map.expect("a map"), "W0"), 840.0, 1e-9);
    assert!(loud(&findings).is_empty(), "{findings:#?}");
    // One of them beside true product: 852 - 12 + 0.8 x 0.5.
    let cells = |i: usize| [",11.50", ",0", ",", ",", ",", ","][i].to_owned();
    let map = of_round(&round(",dtp", &cells)).0.expect("a map");
    near(head(&map, "W0"), 840.4, 1e-9);
    near(head(&map, "W1"), 839.52, 1e-9);
    let cells = |i: usize| if i == 1 { ",0,12.48" } else { ",," }.to_owned();
    let (map, findings) = of_round(&round(",dtp,product thickness", &cells));
    assert!(map.is_none());
    let texts = ["W1 (product 0 ft, water 12.48 ft)"];
    let one = told(&findings, Code::ProductImpossible, Severity::Refusal, &texts);
    assert_eq!(one.origins[0].to_string(), "rounds/spring.csv, line 3");
}

/// A flowing well has depths below zero, to water and to product; what is 0 or on the other side
/// says what it says elsewhere.
#[test]
fn d205_product_of_flowing_wells() {
    for (product, water, status, refused) in [
        ("0.00", "-1.20", "flowing", true),
        ("-1.50", "-1.20", "flowing", false),
        ("-0.50", "0.10", "flowing", false),
        ("-0.50", "12.00", "", true),
        ("12.00", "12.00", "", false),
        ("0.00", "0.00", "", false),
    ] {
        let rows = round(",dtp,status", &|_| ",,".into()).replacen(
            "12.00,,\n",
            &format!("{water},{product},{status}\n"),
            1,
        );
        let (_, findings) = of_round(&rows);
        let found = !of(Code::ProductImpossible, &findings).is_empty();
        assert_eq!(found, refused, "{product} {water} {status}: {findings:#?}");
    }
}

fn remark<'a>(map: &'a Map, well: &str) -> &'a str {
    let reading = map.round.readings.iter().find(|r| r.well == well).expect("a reading");
    reading.remark.as_deref().unwrap_or_default()
}

#[test]
fn words_for_no_product_leave_the_head_as_it_is_and_are_kept() {
    for word in [
        "ND",
        "NP",
        "ne",
        "none",
        "--",
        "-",
        "Sheen",
        "TRACE",
        "<0.01",
        "NA",
        "N/A",
        "not measured",
        "NM",
    ] {
        for heading in ["dtp", "product thickness"] {
            let cells = |i: usize| format!(",{}", if i == 2 { word } else { "" });
            let (map, findings) = of_round(&round(&format!(",{heading}"), &cells));
            let map = map.unwrap_or_else(|| panic!("{word}: {findings:#?}"));
            near(head(&map, "W2"), 838.72, 1e-9);
            assert!(remark(&map, "W2").contains(&format!("\"{word}\"")), "{word}");
            assert!(loud(&findings).is_empty(), "{word}: {findings:#?}");
        }
    }
    for word in ["some", ">0.5", "product", "oily"] {
        let cells = |i: usize| format!(",{}", if i == 2 { word } else { "" });
        let (map, findings) = of_round(&round(",dtp", &cells));
        assert!(map.is_none(), "{word} sets no well aside");
        told(&findings, Code::NotANumber, Severity::Refusal, &[&format!("\"{word}\""), "W2"]);
    }
    // Beside an elevation the words are of the product too; alone they say that no level was read.
    let cells = |i: usize| if i == 2 { ",--,838.50" } else { ",," }.to_owned();
    let rows = round(",dtp,elevation", &cells).replacen("13.28", "", 1);
    near(head(&of_round(&rows).0.expect("a map"), "W2"), 838.5, 1e-9);
    let rows = rows.replacen(",--,838.50", ",NM,", 1);
    support::told(&of_round(&rows).1, Code::NoStaticLevel).about("W2");
    // A dry well has neither.
    let rows = round(",dtp", &|_| ",".into()).replacen("13.28,", "dry,dry", 1);
    let (map, findings) = of_round(&rows);
    assert_eq!(map.expect("a map").control.points().len(), 5, "{findings:#?}");
}

#[test]
fn words_in_place_of_a_level_say_their_state_and_are_kept() {
    for (word, status) in [
        ("NM", Status::NotMeasured),
        ("NG", Status::NotMeasured),
        ("n/a", Status::NotMeasured),
        ("--", Status::NotMeasured),
        ("ND", Status::NotMeasured),
        ("<3.2", Status::NotMeasured),
        ("Destroyed", Status::Destroyed),
        ("ABANDONED", Status::Destroyed),
        ("could not locate", Status::NotAccessible),
        ("Paved over", Status::NotAccessible),
        ("buried", Status::NotAccessible),
        ("Frozen", Status::Obstructed),
        ("blocked", Status::Obstructed),
        (">9.5", Status::Dry),
        ("> 9.5", Status::Dry),
        ("Dry", Status::Dry),
    ] {
        let (map, findings) = of_round(&round("", &none).replacen("13.28", word, 1));
        let map = map.unwrap_or_else(|| panic!("{word}: {findings:#?}"));
        assert_eq!(map.control.points().len(), 5, "{word}");
        let reading = map.round.readings.iter().find(|r| r.well == "W2").expect("a reading");
        assert_eq!(reading.status, status, "{word}");
        support::told(&findings, Code::NoStaticLevel).about("W2").once();
        let own = word.eq_ignore_ascii_case(status.word());
        let kept = format!("depth to water \"{word}\"");
        assert_eq!(remark(&map, "W2"), if own { "" } else { kept.as_str() }, "{word}");
    }
    // A remark alone says why; a word of it that is a state is the state.
    for (text, status) in
        [("bees in the vault", Status::NotMeasured), ("paved over", Status::NotAccessible)]
    {
        let cells = |i: usize| format!(",{}", if i == 2 { text } else { "" });
        let (map, _) = of_round(&round(",remark", &cells).replacen("13.28", "", 1));
        let map = map.expect("a map");
        let reading = map.round.readings.iter().find(|r| r.well == "W2").expect("a reading");
        assert_eq!((reading.status, remark(&map, "W2")), (status, text));
    }
    let (_, findings) = of_round(&round(",remark", &|_| ",".into()).replacen("13.28", "", 1));
    support::told(&findings, Code::MeasurementUnclear).about("W2");
    // What says more wins; two states are a question.
    let with = |depth: &str, status: &str| {
        let cells = |i: usize| format!(",{}", if i == 2 { status } else { "" });
        of_round(&round(",status", &cells).replacen("13.28", depth, 1))
    };
    support::told(&with("--", "destroyed").1, Code::NoStaticLevel).about("W2");
    support::told(&with("dry", "destroyed").1, Code::MeasurementUnclear).about("W2");
}

#[test]
fn r128_an_approximate_number_is_used_with_a_warning() {
    for word in ["~13.28", "ca 13.28", "approx. 13.28", "est. 13.28"] {
        let (map, findings) = of_round(&round("", &none).replacen("13.28", word, 1));
        let map = map.unwrap_or_else(|| panic!("{word}: {findings:#?}"));
        near(head(&map, "W2"), 838.72, 1e-9);
        assert_eq!(remark(&map, "W2"), format!("depth to water \"{word}\""));
        let found =
            told(&findings, Code::NumberApproximate, Severity::Warning, &[&format!("\"{word}\"")]);
        assert_eq!(found.wells, ["W2"]);
    }
}

/// 852 - 12 + 0.8 x 1 = 840.8.
#[test]
fn a_thickness_of_product_is_as_good_as_its_depth() {
    for heading in
        ["product thickness", "LNAPL thickness (ft)", "NAPL Thickness", "product_thickness"]
    {
        let cells = |i: usize| [",1.00", ",0.00", ",", ",", ",", ","][i].to_owned();
        let (map, findings) = of_round(&round(&format!(",{heading}"), &cells));
        let map = map.expect("a map");
        near(head(&map, "W0"), 840.8, 1e-9);
        near(head(&map, "W1"), 839.52, 1e-9);
        let texts = ["W0", "1 ft"];
        told(&findings, Code::ProductCorrected, Severity::Note, &texts);
    }
    let both = |thickness: &str| {
        let cells = |i: usize| if i == 0 { format!(",11.00,{thickness}") } else { ",,".into() };
        of_round(&round(",dtp,product thickness", &cells))
    };
    // 0.0035 m are 0.0115 ft.
    for (thickness, agrees) in [("1.00", true), ("1.01", true), ("", true), ("1.02", false)] {
        let (map, findings) = both(thickness);
        assert_eq!(map.is_some(), agrees, "{thickness}: {findings:#?}");
        if !agrees {
            let texts = ["well W0", "1.02 ft", "11 ft", "12 ft"];
            told(&findings, Code::ProductImpossible, Severity::Refusal, &texts);
        }
    }
    let negative = |i: usize| if i == 0 { ",-1.00".into() } else { ",".into() };
    let (_, findings) = of_round(&round(",product thickness", &negative));
    told(&findings, Code::ProductImpossible, Severity::Refusal, &["-1 of well W0 is negative"]);
    let (_, findings) =
        of_round(&round(",product thickness", &|_| ",".into()).replacen("12.00,", ",1.00", 1));
    told(&findings, Code::MeasurementUnclear, Severity::Refusal, &["thickness"]);
}

#[test]
fn r104_product_alone_is_a_depth_or_a_thickness() {
    for heading in ["free product (ft)", "Product", "LNAPL"] {
        let cells = |i: usize| if i == 0 { ",1.00".into() } else { ",0.00".into() };
        let (_, findings) = of_round(&round(&format!(",{heading}"), &cells));
        let texts = [heading, "product_thickness = ", "depth_to_product = "];
        told(&findings, Code::ColumnAmbiguous, Severity::Refusal, &texts);
    }
    // The product's name, and zeros, are nothing to ask about.
    for cell in ["diesel", "0.00", ""] {
        let (map, findings) = of_round(&round(",Product", &|_| format!(",{cell}")));
        assert!(map.is_some() && loud(&findings).is_empty(), "{cell}: {findings:#?}");
    }
}

/// 10 ft are 3.05 m, 9.8 ft are 2.99 m.
#[test]
fn d213_warns_of_product_as_thick_as_wells_seldom_hold() {
    for (to_product, severity) in [("1.90", Severity::Warning), ("2.20", Severity::Note)] {
        let cells = |i: usize| format!(",{}", if i == 0 { to_product } else { "" });
        let (_, findings) = of_round(&round(",dtp", &cells));
        let texts = if severity == Severity::Note { [""; 2] } else { ["10.1 ft", "9.8425 ft"] };
        told(&findings, Code::ProductCorrected, severity, &texts);
    }
}

#[test]
fn r107_years_of_two_digits_are_not_the_first_century() {
    let dated = |date: &str| round("", &none).replace("2026-04-14", date);
    let with = |format: &str, date: &str| {
        let toml = format!("[round]\ndate_format = \"{format}\"\n");
        drawn(&folder(&toml, &register("", &none), &dated(date)))
    };
    let (map, findings) = with("%m/%d/%Y", "4/14/26");
    assert!(map.is_none());
    let bad = of(Code::BadTime, &findings);
    assert_eq!((bad.len(), bad[0].wells.len()), (1, 6), "{findings:#?}");
    gives(bad[0], &["26", "1800", "2199", "date_format = \"%m/%d/%y\""]);
    let (map, findings) = with("%m/%d/%y", "4/14/26");
    assert!(map.is_some() && loud(&findings).is_empty(), "{findings:#?}");
    // Advice that is taken must work, whatever the text.
    for (date, format) in
        [("04.05.2026", "%d.%m.%Y"), ("04-05-26", "%d-%m-%y"), ("4/5/2026 9:35", "%m/%d/%Y %H:%M")]
    {
        let (_, findings) = of_round(&dated(date));
        gives(of(Code::BadTime, &findings)[0], &["date_format = ", &format!("\"{format}\"")]);
        let (map, findings) = with(format, date);
        assert!(map.is_some(), "{date}: {findings:#?}");
    }
}

/// An older round whose year is read as 26 must not make another the newest.
#[test]
fn r111_a_lost_century_chooses_no_round() {
    let toml = "[round]\ndate_format = \"%m/%d/%Y\"\n";
    let site =
        folder(toml, &register("", &none), &round("", &none).replace("2026-04-14", "4/14/26"));
    site.file("rounds/autumn.csv", round("", &none).replace("2026-04-14", "10/14/2025"));
    let (map, findings) = drawn(&site);
    assert!(map.is_none(), "{findings:#?}");
    told(&findings, Code::RoundUnclear, Severity::Refusal, &[]);
}

#[test]
fn headings_of_dates_are_recognised_and_a_time_needs_one() {
    for heading in ["Sample Date", "Gauge Date", "gauging date", "Measurement Date", "Date Sampled"]
    {
        let (map, findings) = of_round(&round("", &none).replacen("date", heading, 1));
        assert!(map.expect("a map").control.from_to().is_some(), "{heading}");
        assert!(of(Code::Unchecked, &findings).is_empty(), "{heading}: {findings:#?}");
    }
    let timed = round(",time", &|_| ",09:35".into()).replacen("date", "Trip", 1);
    let (_, findings) = of_round(&timed);
    let texts = ["date (day of the reading)", "not recognised \"Trip\"", "[columns]", "date = "];
    told(&findings, Code::ColumnMissing, Severity::Refusal, &texts);
    assert_eq!(loud(&findings).len(), 1, "once and not for every row: {findings:#?}");
}

#[test]
fn d219_readings_of_two_rounds_are_not_repeated_readings() {
    let later = |shift: f64, wells: usize| -> String {
        let rows = DEPTHS.iter().enumerate().take(wells);
        rows.map(|(i, d)| format!("W{i},2026-10-14,{:.2}\n", d + shift))
            .collect::<Vec<_>>()
            .concat()
    };
    // Whether they agree or not, and for all wells or some: a gap in time parts them.
    for (shift, wells) in [(0.6, 6), (0.6, 2), (0.01, 6)] {
        let (map, findings) = of_round(&(round("", &none) + &later(shift, wells)));
        assert_eq!(map.is_some(), wells == 6, "{findings:#?}");
        let severity = if wells == 6 { Severity::Note } else { Severity::Warning };
        let texts = ["2026-04-14 (6 wells)", &format!("2026-10-14 ({wells} wells)")];
        told(&findings, Code::RoundOfSeveral, severity, &texts);
        assert!(of(Code::SeveralRounds, &findings).is_empty(), "{findings:#?}");
        assert!(of(Code::RepeatsDisagree, &findings).is_empty(), "{findings:#?}");
    }
    // Where no gap does, the days are given.
    let daily: String = (15..18)
        .map(|day| {
            round("", &none).lines().skip(1).fold(String::new(), |text, row| {
                text + &row.replace("2026-04-14", &format!("2026-04-{day}")) + "\n"
            })
        })
        .collect();
    let (map, findings) = of_round(&(round("", &none) + &daily));
    assert!(map.is_none(), "{findings:#?}");
    let texts = ["2026-04-14 (6)", "2026-04-17 (6)", "24 h"];
    let all = told(&findings, Code::SeveralRounds, Severity::Refusal, &texts);
    assert_eq!(all.wells.len(), 6);
    // Read again the next day, in a window that allows it, or pumped before: one round.
    let next_day = round("", &none) + "W0,2026-04-15,12.01\n";
    assert!(of(Code::SeveralRounds, &of_round(&next_day).1).is_empty());
    let wide = folder(
        "[round]\nwindow_hours = 5000\n",
        &register("", &none),
        &(round("", &none) + &later(0.01, 6)),
    );
    let (map, findings) = drawn(&wide);
    assert!(map.is_some() && of(Code::SeveralRounds, &findings).is_empty(), "{findings:#?}");
    let pumped = round(",status", &|_| ",".into()) + "W0,2026-04-11,19.00,pumping\n";
    assert!(of(Code::SeveralRounds, &of_round(&pumped).1).is_empty());
}

#[test]
fn d201_names_a_way_that_works_for_a_survey_after_the_round() {
    let dated = register(",measuring_point_date", &|_| ",2026-05-02".into());
    let (_, findings) = of_register(&dated);
    let texts = ["valid from 2026-05-02"];
    told(&findings, Code::MeasuringPointMissing, Severity::Refusal, &texts);
    let (map, findings) = of_register(&dated.replace("2026-05-02", ""));
    assert!(map.is_some() && loud(&findings).is_empty(), "{findings:#?}");
    let site = folder("", &register("", &none).replace("852.00", ""), &round("", &none));
    let points: Vec<String> = (0..6).map(|i| format!("W{i},2026-04-01,852.00\n")).collect();
    site.file("measuring-points.csv", format!("id,valid_from,mpe\n{}", points.concat()));
    let (map, findings) = drawn(&site);
    assert!(map.is_some() && loud(&findings).is_empty(), "{findings:#?}");
}

/// Heads are near 840 ft; the screens reach from 835 to 815 ft.
#[test]
fn r122_a_screen_upside_down_sets_no_well_aside() {
    let cells = |i: usize| if i == 2 { ",10.0,37.0" } else { ",17.0,37.0" }.to_owned();
    let screens = register(",screen_top,screen_bottom", &cells);
    assert!(loud(&of_register(&screens).1).is_empty());
    let (map, findings) = of_register(&screens.replacen("10.0,37.0", "37.0,10.0", 1));
    let texts = ["W2 (37 to 10 ft)"];
    told(&findings, Code::RegisterContradicts, Severity::Warning, &texts);
    assert_eq!(loud(&findings).len(), 1, "{findings:#?}");
    assert_eq!(map.expect("a map").control.points().len(), 6);
}

#[test]
fn r122_depths_that_count_as_unknown_contradict_nothing() {
    let cells = |_: usize| ",0,31,17.0,30.0".to_owned();
    let (map, findings) =
        of_register(&register(",total_depth,sounded_depth,screen_top,screen_bottom", &cells));
    assert!(map.is_some());
    let texts = ["W0 (total depth 0 ft)"];
    told(&findings, Code::RegisterContradicts, Severity::Warning, &texts);
}

#[test]
fn c311_one_swapped_well_is_named_and_not_its_columns() {
    let (x, y) = PLACES[3];
    let (east, north) = (EAST + x, NORTH + y);
    let one = register("", &none).replace(&format!("{east},{north}"), &format!("{north},{east}"));
    let texts = ["W3"];
    told(&of_register(&one).1, Code::AxesSwapped, Severity::Refusal, &texts);
    let all = register("", &none).replace("easting,northing", "northing,easting");
    told(&of_register(&all).1, Code::AxesSwapped, Severity::Refusal, &[]);
}

#[test]
fn d207_shows_a_key_that_site_toml_can_hold() {
    let rows = round(",instrument", &|_| ",\"Dip \"\"B\"\" #2\"".into());
    let site = folder("[instruments.tape-1]\noffset = 0\n", &register("", &none), &rows);
    let (_, findings) = drawn(&site);
    let advice = of(Code::InstrumentUnknown, &findings)[0].advice.clone().expect("advice");
    let start = advice.find("[instruments").expect("the line to write");
    let line = &advice[start..=start + advice[start..].find("] ").expect("its end")];
    let toml: toml::Table = format!("{line}\noffset = 0.01").parse().expect("TOML");
    let named = toml["instruments"].as_table().expect("a table");
    assert_eq!(named.keys().collect::<Vec<_>>(), ["Dip \"B\" #2"]);
}

#[test]
fn r103_only_a_round_is_chosen_with_round() {
    let site = folder("", &register("", &none), &round("", &none));
    for (file, chosen) in [("wells.csv", false), ("rounds/spring.csv", true)] {
        let (_, findings) = map(&site.path().join(file), &Overrides::default());
        let hint = findings.iter().find(|d| d.message.contains("belongs to a site folder"));
        let advice = hint.expect("the hint").advice.clone().expect("advice");
        assert_eq!(advice.contains("--round spring"), chosen, "{advice}");
        assert!(!advice.contains("--round wells"), "{advice}");
    }
}

#[test]
fn r132_a_title_above_the_headings_is_called_so() {
    for (title, line) in [
        ("Monitoring well register\n", 2),
        ("Monitoring well register,,,\n,,,\n", 3),
        ("# exported 2026-04-20\n# by hand\n", 3),
    ] {
        let (_, findings) = of_register(&(title.to_owned() + &register("", &none)));
        let stands = format!("in line {line}");
        told(&findings, Code::RowsNotRead, Severity::Note, &[&stands]);
        let (map, findings) = of_round(&(title.to_owned() + &round("", &none)));
        told(&findings, Code::RowsNotRead, Severity::Note, &["spring.csv", &stands]);
        assert!(map.is_some(), "{findings:#?}");
    }
}

/// Invented: a table whose line breaks were lost, all in its first line.
#[test]
fn r101_more_headings_than_any_table_has_are_refused() {
    let plain = register("", &none);
    let (heading, rows) = plain.split_once('\n').expect("headings and rows");
    let wide = |columns: usize| {
        let count = heading.split(',').count();
        let more = ",further".repeat(columns - count);
        let cells = ",".repeat(columns - count);
        format!("{heading}{more}\n{}", rows.replace('\n', &format!("{cells}\n")))
    };
    let (map, findings) = of_register(&wide(2000));
    assert!(map.is_some() && loud(&findings).is_empty(), "{findings:#?}");
    for columns in [2001, 1_000_000] {
        let (_, findings) = of_register(&wide(columns));
        let has = format!("wells.csv has {columns} headings in line 1");
        told(&findings, Code::FileUnreadable, Severity::Refusal, &[&has, "limit is 2000"]);
    }
}

#[test]
fn r116_empty_cells_beyond_the_headings_pass_and_shifted_ones_do_not() {
    let plain = round(",status", &|_| ",".into());
    let (map, findings) = of_round(&plain.replacen("13.28,", "13.28,,,,", 1));
    assert!(map.is_some() && loud(&findings).is_empty(), "{findings:#?}");
    for (from, to) in [("W2,", "W2, old,"), ("13.28", "13,28")] {
        let (_, findings) = of_round(&plain.replacen(from, to, 1));
        let texts = ["\"W2\"", "5 cells", "4 headings"];
        told(&findings, Code::RowMalformed, Severity::Refusal, &texts);
        assert_eq!(loud(&findings).len(), 1, "{findings:#?}");
    }
}

#[test]
fn r116_in_the_register_leaves_its_well_known() {
    let (_, findings) = of_register(&register("", &none).replacen("852.00", "852,00", 1));
    told(&findings, Code::RowMalformed, Severity::Refusal, &["W0"]);
    assert!(of(Code::WellUnknown, &findings).is_empty(), "{findings:#?}");
}

/// 0.3 m are 0.98 ft. Heads are 840.00 to 841.52 ft.
#[test]
fn c325_tells_heads_above_the_registers_ground() {
    let ground = |at_w1: f64| {
        register(",ground_elevation", &|i| format!(",{}", if i == 1 { at_w1 } else { 849.0 }))
    };
    let (map, findings) = of_register(&ground(837.80));
    assert!(map.is_some(), "every reading is used");
    let texts = ["more than 0.98 ft", "W1 (head 839.52 ft, ground 837.80 ft)", "datum"];
    let one = told(&findings, Code::HeadAboveGround, Severity::Warning, &texts);
    assert_eq!(one.wells, ["W1"]);
    // A wetland: water eleven inches over the ground.
    assert!(of(Code::HeadAboveGround, &of_register(&ground(838.6)).1).is_empty());
    // Gauges stand in water, and flowing wells above it.
    let gauge = register(",ground_elevation,kind", &|i| {
        if i == 1 { ",830,gauge".into() } else { ",849,".into() }
    });
    assert!(of(Code::HeadAboveGround, &of_register(&gauge).1).is_empty());
    for (cells, rows) in
        [(",status", "W1,2026-04-14,-2.00,flowing\n"), (",pressure_head", "W1,2026-04-14,,2.00\n")]
    {
        let mut text = round(cells, &|_| ",".into());
        text =
            text.lines().filter(|l| !l.starts_with("W1")).fold(String::new(), |t, l| t + l + "\n");
        let (_, findings) = drawn(&folder("", &ground(849.0), &(text + rows)));
        assert!(of(Code::HeadAboveGround, &findings).is_empty(), "{rows}: {findings:#?}");
    }
}

#[test]
fn c306_shows_a_time_that_exceeds_its_window() {
    let rows = round(",time", &|_| ",08:00".into()).replacen(
        "2026-04-14,11.58,08:00",
        "2026-04-15,11.58,08:02",
        1,
    );
    let (_, findings) = of_round(&rows);
    told(&findings, Code::RoundTooLong, Severity::Warning, &["24 h 2 min", "24 h"]);
}

/// The level is 0.004 ft below the screen's bottom, which two decimals hide.
#[test]
fn c304_shows_levels_that_are_seen_to_be_below() {
    let cells = |i: usize| if i == 0 { ",5.0,11.996" } else { ",5.0,30.0" }.to_owned();
    let (_, findings) = of_register(&register(",screen_top,screen_bottom", &cells));
    let texts = ["840.000 ft", "840.004 ft"];
    told(&findings, Code::BelowBottom, Severity::Warning, &texts);
}

#[test]
fn d210_asks_no_rest_of_a_well_that_is_there_to_be_pumped() {
    let rows = round(",status", &|_| ",".into());
    let rows = rows.replacen("11.20,", "19.00,pumping", 1);
    let advice = |toml: &str| {
        let (_, findings) = drawn(&folder(toml, &register("", &none), &rows));
        of(Code::NoStaticLevel, &findings)[0].advice.clone().expect("advice")
    };
    assert_ne!(advice(""), advice("[[pumped_wells]]\nwell = \"W4\"\n"));
}

/// Soundings start at the casing and logs at the ground, 2 ft below it: a well of 30 ft sounded at
/// 31.8 ft from the casing is silted up by 0.2 ft, one sounded at 30.8 ft by 1.2 ft. SILTED_M is 0.49 ft.
#[test]
fn soundings_from_the_casing_stand_beside_logs_from_the_ground() {
    let headings = ",ground_elevation,Sounded depth (ft btoc),Total depth (ft bgs)";
    let cells =
        |i: usize| format!(",850.00,{},30.0", ["31.8", "30.8", "32.0", "", "33.0", "32.4"][i]);
    for toml in ["depths_from = \"ground\"\n", ""] {
        let site = folder(toml, &register(headings, &cells), &round("", &none));
        let (map, findings) = drawn(&site);
        let map = map.expect("a map");
        assert_eq!(map.control.points().len(), 6);
        told(&findings, Code::Silted, Severity::Warning, &["W1", "1.20 ft"]);
        let texts = ["W4 (sounded 31 ft, built 30 ft)"];
        let deeper = told(&findings, Code::RegisterContradicts, Severity::Warning, &texts);
        assert_eq!(deeper.wells, ["W4"]);
    }
    let screens =
        headings.replace("Total depth (ft bgs)", "Total depth (ft bgs),Screen top (ft btoc)");
    let cells = |i: usize| cells(i) + ",17.0";
    let (_, findings) = of_register(&register(&screens, &cells));
    told(&findings, Code::UnitConflict, Severity::Refusal, &[]);
}

/// A word that is known counts; what stands about it may mean something, and is told.
#[test]
fn r110_a_word_between_other_signs_is_read_and_told() {
    let with = |word: &str| round("", &none).replace("13.28", word);
    for (word, status) in [
        ("#N/A", "not measured"),
        ("dry?", "dry"),
        ("(dry)", "dry"),
        ("*obstructed*", "obstructed"),
        ("pumping!!", "pumping"),
    ] {
        let (map, findings) = of_round(&with(word));
        assert!(map.is_some(), "{word}: {findings:#?}");
        let told = support::told(&findings, Code::StatusUnknown).at("rounds/spring.csv", 4).once();
        assert_eq!(told.severity, Severity::Note);
        gives(told, &[&format!("\"{word}\""), "W2", &format!("\"{status}\"")]);
    }
    for word in ["N/A", "dry", "DRY.", "not-accessible", "no_access", "n/m"] {
        let (map, findings) = of_round(&with(word));
        assert!(map.is_some(), "{word}");
        assert!(of(Code::StatusUnknown, &findings).is_empty(), "{word}: {findings:#?}");
    }
}

//! Readings to heads: against published examples, real readings, and every finding.
//!
//! Sources beside each check; the 183 real readings are described in the head of
//! `data/inl/inl_esrp_2009-04_wells.csv` (US Geological Survey, CC0).

mod site;

use headfall::Error;
use headfall::diag::{Code, Diagnostic, Severity, Warned};
use headfall::geom::tolerance;
use headfall::read::{Calibration, Measurement, Moment, Status, WellKind};
use headfall::reduce::{
    Fate, Reduced, WellHead, freshwater_head, head_above, head_of_depth, product_correction, round,
};
use headfall::units::LengthUnit;
use jiff::civil::{Date, date};
use proptest::prelude::*;

use site::{add_reading, add_well, site_in_feet, survey};

use crate::support::{Both, gives, hold_brief, near, of, told};

/// A site with these wells, measuring points at 100 ft.
fn site_of(ids: &[&str]) -> Both {
    let mut site = site_in_feet();
    for (id, x) in ids.iter().zip([0.0, 100.0, 200.0, 300.0, 400.0, 500.0]) {
        add_well(&mut site, id, x, x * x);
        survey(&mut site, id, None, 100.0);
    }
    site
}

/// A site of one well with one reading.
fn site_reading(measurement: Measurement, status: Status) -> Both {
    let mut site = site_of(&["MW-1"]);
    add_reading(&mut site, "MW-1", measurement).status = status;
    site
}

#[track_caller]
fn reduced(site: &Both) -> Warned<Reduced> {
    let reduced = round(&site.site, &site.round)
        .unwrap_or_else(|e| panic!("refused: {:#?}", e.diagnostics()));
    hold_brief(&reduced.findings);
    reduced
}

#[track_caller]
fn refused(site: &Both) -> Vec<Diagnostic> {
    match round(&site.site, &site.round) {
        Err(Error::Reduce(findings)) => {
            hold_brief(&findings);
            findings
        }
        other => panic!("not refused: {other:#?}"),
    }
}

#[track_caller]
fn head<'a>(reduced: &'a Reduced, site: &Both, id: &str) -> &'a WellHead {
    reduced.heads.iter().find(|h| site.wells[h.well].id == id).expect("the well has a head")
}

/// The only finding with this code, which gives these values and names, and advice.
#[track_caller]
fn only<'a>(findings: &'a [Diagnostic], code: Code, facts: &[&str]) -> &'a Diagnostic {
    let found = told(findings, code).giving(facts).once();
    assert!(found.advice.is_some(), "{code} says what to do");
    found
}

/// Whether nothing is told but that readings have no date.
fn nothing_beside_dates(findings: &[Diagnostic]) -> bool {
    findings.iter().all(|f| f.code == Code::Unchecked)
}

fn not_used(reduced: &Reduced, account: usize) -> (Option<Code>, &str) {
    match &reduced.accounts[account].fate {
        Fate::NotUsed { code, reason } => (*code, reason),
        Fate::Used => panic!("it is used"),
    }
}

// Published examples.

/// San Joaquin County EHD public file 471029, p. 11 (MW-7, 30 July 2003): 0.33 ft of product of
/// specific gravity 0.83 turn 39.14 into 39.41 and the depth 9.08 into 8.81; file 471143: 0.32 ft
/// turn the depth 9.60 into 9.33. Printed to 0.01 ft.
#[test]
fn product_is_corrected_as_in_the_published_examples() {
    let mp = 39.14 + 9.08;
    let head = head_of_depth(mp, 9.08 - product_correction(0.33, 0.83));
    near(head, 39.41, 0.005);
    near(mp - head, 8.81, 0.005);
    near(9.60 - product_correction(0.32, 0.83), 9.33, 0.005);
}

/// The same formula at a round elevation: exact arithmetic, 100 - 9.08 + 0.83 x 0.33.
#[test]
fn product_is_corrected_through_the_whole_round() {
    let mut site = site_of(&["MW-7"]);
    site.wells[0].specific_gravity = Some(0.83);
    add_reading(
        &mut site,
        "MW-7",
        Measurement::Product { to_product: 8.75, to_water: 9.08, specific_gravity: None },
    );
    let r = reduced(&site);
    let h = head(&r.value, &site, "MW-7");
    near(h.head, 91.1939, 1e-9);
    near(h.product_thickness.expect("product"), 0.33, 1e-9);
    near(h.depth.expect("depth"), 9.08, 1e-9);
    assert_eq!(
        told(&r.findings, Code::ProductCorrected).once().message,
        "well MW-7: head 91.19 ft is corrected for 0.33 ft of floating product of specific \
         gravity 0.83"
    );
}

/// Guo and Langevin (2002); Post, Kooi and Simmons (2007): sea water, 1025 kg/m³.
#[test]
fn freshwater_head_follows_the_published_formula() {
    near(freshwater_head(1.0, -30.0, 1025.0, 1000.0), 1.775, 1e-9);
    near(freshwater_head(0.0, -40.0, 1025.0, 1000.0), 1.0, 1e-9);
    near(freshwater_head(0.0, -1000.0, 1025.0, 1000.0), 25.0, 1e-9);
}

/// The usual text-book piezometer: top at 1000 m, 400 m deep, water at 100 m. Its head is 900 m, of
/// which 600 m are elevation and 300 m are pressure.
#[test]
fn elevation_head_and_pressure_head_make_the_head() {
    near(head_of_depth(1000.0, 100.0), 900.0, 1e-12);
    near(head_above(1000.0 - 400.0, 400.0 - 100.0), 900.0, 1e-12);
}

/// Second reading within 0.02 ft (site procedures after ASTM D4750, withdrawn 2010: San Joaquin EHD
/// 600482, SOP-8); all wells within 24 h (US EPA ERT SOP 2043, 2000).
#[test]
fn the_usual_repeat_and_window_rules_are_the_defaults() {
    near(tolerance::REPEAT_FT, 0.02, 0.0);
    near(tolerance::ROUND_WINDOW_H, 24.0, 0.0);
    let pair = |second| {
        let mut site = site_of(&["MW-1"]);
        add_reading(&mut site, "MW-1", Measurement::Depth(12.34));
        add_reading(&mut site, "MW-1", Measurement::Depth(second));
        reduced(&site).value.heads.len()
    };
    assert_eq!(pair(12.36), 1);
    assert_eq!(pair(12.37), 0);
}

/// US Geological Survey, Idaho National Laboratory, April 2009: 183 readings with their printed
/// heads. Heads above NAVD 88, ft.
#[test]
fn real_readings_have_their_printed_heads() {
    let text = include_str!("data/inl/inl_esrp_2009-04_wells.csv");
    let mut table = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let headings = table.headers().expect("headings").clone();
    let column = |name| headings.iter().position(|h| h == name).expect("a column");
    let (no, alt, depth, printed) = (
        column("site_no"),
        column("alt_ft_navd88"),
        column("depth_to_water_ft"),
        column("head_ft_navd88"),
    );
    let mut site = site_in_feet();
    let mut expected = Vec::new();
    for row in table.records() {
        let row = row.expect("a row");
        let number = |i: usize| row[i].parse::<f64>().expect("a number");
        add_well(&mut site, &row[no], 0.0, 0.0);
        survey(&mut site, &row[no], None, number(alt));
        add_reading(&mut site, &row[no], Measurement::Depth(number(depth)));
        expected.push((row[no].to_owned(), number(printed), number(alt) - number(depth)));
    }
    expected.sort_by(|a, b| a.0.cmp(&b.0));
    let r = reduced(&site).value;
    assert_eq!((r.heads.len(), expected.len()), (183, 183));
    for (found, (id, printed, difference)) in r.heads.iter().zip(&expected) {
        assert_eq!(&site.wells[found.well].id, id);
        near(found.head, *printed, 1e-6);
        near(found.head, *difference, 1e-9);
    }
}

// Units and corrections.

#[test]
fn depths_in_metres_give_heads_in_feet() {
    let mut site = site_of(&["MW-1"]);
    site.round.depth_unit = LengthUnit::Metre;
    add_reading(&mut site, "MW-1", Measurement::Depth(3.048));
    near(reduced(&site).value.heads[0].head, 90.0, 1e-9);
    site.settings.elevation_unit = LengthUnit::UsSurveyFoot;
    site.round.readings[0].measurement = Measurement::Depth(12.0);
    // 3937/1200 US survey feet to the metre.
    near(reduced(&site).value.heads[0].head, 100.0 - 39.37, 1e-9);
}

#[test]
fn depths_in_feet_give_heads_in_metres() {
    let mut site = site_of(&["MW-1", "MW-2", "MW-3"]);
    site.settings.elevation_unit = LengthUnit::Metre;
    let product =
        Measurement::Product { to_product: 10.0, to_water: 20.0, specific_gravity: Some(0.8) };
    add_reading(&mut site, "MW-1", Measurement::Depth(10.0));
    add_reading(&mut site, "MW-2", product);
    add_reading(&mut site, "MW-3", Measurement::PressureHead(10.0));
    let r = reduced(&site).value;
    near(r.heads[0].head, 96.952, 1e-9);
    near(r.heads[0].depth.expect("depth"), 10.0, 0.0);
    near(r.heads[1].head, 100.0 - 12.0 * 0.3048, 1e-9);
    near(r.heads[1].product_thickness.expect("thickness"), 10.0, 0.0);
    near(r.heads[2].head, 103.048, 1e-9);
}

#[test]
fn tapes_are_corrected_and_pressure_gauges_are_not() {
    let mut site = site_of(&["MW-1", "MW-2", "MW-3", "MW-4"]);
    site.settings.specific_gravity = Some(0.8);
    site.instruments.insert("tape-2".to_owned(), Calibration { offset: 0.02, stretch: 0.0001 });
    for (id, measurement) in [
        ("MW-1", Measurement::Depth(50.0)),
        ("MW-2", Measurement::HoldAndCut { hold: 51.5, cut: 1.5 }),
        ("MW-3", Measurement::Product { to_product: 40.0, to_water: 50.0, specific_gravity: None }),
        ("MW-4", Measurement::PressureHead(5.0)),
    ] {
        add_reading(&mut site, id, measurement).instrument = Some("tape-2".to_owned());
    }
    let r = reduced(&site).value;
    near(r.heads[0].depth.expect("depth"), 50.025, 1e-9);
    near(r.heads[0].head, 49.975, 1e-9);
    near(r.heads[1].head, 49.975, 1e-9);
    // 40.024 and 50.025: 10.001 of product.
    near(r.heads[2].product_thickness.expect("thickness"), 10.001, 1e-9);
    near(r.heads[2].head, 49.975 + 0.8 * 10.001, 1e-9);
    near(r.heads[3].head, 105.0, 1e-9);
}

#[test]
fn gauges_are_read_as_stage_depth_or_elevation() {
    let mut site = site_of(&["G-1", "G-2", "G-3"]);
    for well in &mut site.wells {
        well.kind = WellKind::Gauge;
    }
    site.measuring_points.remove("G-3");
    add_reading(&mut site, "G-1", Measurement::Stage(1.25));
    add_reading(&mut site, "G-2", Measurement::Depth(4.5));
    add_reading(&mut site, "G-3", Measurement::Elevation(98.76));
    let r = reduced(&site);
    let heads: Vec<f64> = r.value.heads.iter().map(|h| h.head).collect();
    assert_eq!(heads, [101.25, 95.5, 98.76]);
    assert!(nothing_beside_dates(&r.findings), "{:#?}", r.findings);
}

#[test]
fn heads_are_cleaned_of_binary_dust() {
    let mut site = site_of(&["MW-1"]);
    site.measuring_points.clear();
    survey(&mut site, "MW-1", None, 1003.3);
    add_reading(&mut site, "MW-1", Measurement::Depth(8.58));
    assert!((1003.3_f64 - 8.58).to_bits() != 994.72_f64.to_bits(), "the case is about binary dust");
    assert_eq!(reduced(&site).value.heads[0].head.to_bits(), 994.72_f64.to_bits());
}

// Findings, code by code.

const SPRING: Date = date(2026, 4, 14);

#[test]
fn d201_names_every_well_without_a_valid_measuring_point() {
    let mut site = site_of(&["MW-3", "MW-1", "MW-2", "MW-4", "MW-5", "MW-6"]);
    site.measuring_points.remove("MW-3");
    site.measuring_points.remove("MW-1");
    site.measuring_points.remove("MW-2");
    survey(&mut site, "MW-2", Some(date(2026, 5, 1)), 100.0);
    survey(&mut site, "MW-4", Some(date(2020, 5, 1)), 100.5);
    survey(&mut site, "MW-5", None, 100.5);
    // A dry well needs none.
    site.measuring_points.remove("MW-6");
    for id in ["MW-3", "MW-1", "MW-2", "MW-5"] {
        let reading = add_reading(&mut site, id, Measurement::Depth(8.0));
        reading.moment = Some(Moment::Day(SPRING));
    }
    add_reading(&mut site, "MW-4", Measurement::Depth(8.0));
    add_reading(&mut site, "MW-6", Measurement::None).status = Status::Dry;
    let findings = refused(&site);
    let messages: Vec<&str> = findings
        .iter()
        .filter(|d| d.code == Code::MeasuringPointMissing)
        .map(|d| d.message.as_str())
        .collect();
    assert_eq!(
        messages,
        [
            "no measuring point elevation is given for MW-1, MW-3",
            "no measuring point elevation is valid on the day of the reading: MW-2 (read \
             2026-04-14, valid from 2026-05-01)",
            "readings without a date, of wells with several measuring point elevations: \
             MW-4 (valid from 2020-05-01 and the beginning)",
            "two different measuring point elevations are valid from the same day: MW-5 (100 and \
             100.5 ft from the beginning)",
        ]
    );
    assert!(findings.iter().all(|d| d.advice.is_some() && !d.origins.is_empty()));
}

#[test]
fn the_measuring_point_of_the_day_is_used() {
    let mut site = site_of(&["MW-1"]);
    survey(&mut site, "MW-1", Some(date(2026, 4, 14)), 100.25);
    add_reading(&mut site, "MW-1", Measurement::Depth(8.0)).moment = Some(Moment::Day(SPRING));
    let h = &reduced(&site).value.heads[0];
    assert_eq!((h.head, h.measuring_point), (92.25, Some(100.25)));
    site.round.readings[0].moment = Some(Moment::Time(date(2026, 4, 13).at(23, 59, 59, 0)));
    near(reduced(&site).value.heads[0].head, 92.0, 1e-9);
}

#[test]
fn d202_warns_of_old_surveys() {
    let mut site = site_in_feet();
    for (id, day) in
        [("MW-2", date(2016, 4, 12)), ("MW-1", date(2009, 8, 3)), ("MW-3", date(2016, 4, 15))]
    {
        add_well(&mut site, id, 0.0, 0.0);
        survey(&mut site, id, Some(day), 100.0);
        add_reading(&mut site, id, Measurement::Depth(8.0)).moment = Some(Moment::Day(SPRING));
    }
    let r = reduced(&site);
    only(
        &r.findings,
        Code::MeasuringPointStale,
        &["10 years", "MW-1 (2009-08-03), MW-2 (2016-04-12)"],
    );
    assert_eq!(only(&r.findings, Code::MeasuringPointStale, &[]).severity, Severity::Warning);
    assert_eq!(r.value.heads.len(), 3);
}

#[test]
fn d203_sets_a_well_aside_whose_readings_do_not_agree() {
    let mut site = site_of(&["MW-9"]);
    for (number, depth) in [(3, 12.46), (1, 12.31), (2, 12.4)] {
        add_reading(&mut site, "MW-9", Measurement::Depth(depth)).number = Some(number);
    }
    let r = reduced(&site);
    only(&r.findings, Code::RepeatsDisagree, &["MW-9", "0.02 ft", "12.31, 12.4, 12.46 ft"]);
    assert!(r.value.heads.is_empty());
    for i in 0..3 {
        assert_eq!(not_used(&r.value, i).0, Some(Code::RepeatsDisagree));
        assert!(r.value.accounts[i].head.is_some(), "the account keeps what it would have been");
    }
}

#[test]
fn d203_shows_heads_where_readings_are_from_two_measuring_points() {
    let mut site = site_of(&["MW-9"]);
    survey(&mut site, "MW-9", Some(SPRING), 100.5);
    let before = SPRING.yesterday().expect("a day");
    for (day, depth) in [(before, 12.0), (SPRING, 12.01)] {
        add_reading(&mut site, "MW-9", Measurement::Depth(depth)).moment = Some(Moment::Day(day));
    }
    only(&reduced(&site).findings, Code::RepeatsDisagree, &["MW-9", "0.02 ft", "88, 88.49 ft"]);
}

#[test]
fn d214_tells_that_the_last_reading_was_not_used() {
    let mut site = site_of(&["MW-9"]);
    for (number, depth) in [(1, 12.0), (2, 12.01), (3, 12.4)] {
        add_reading(&mut site, "MW-9", Measurement::Depth(depth)).number = Some(number);
    }
    let r = reduced(&site);
    only(&r.findings, Code::LaterNotUsed, &["MW-9", "12.4 ft", "12, 12.01 ft", "0.02 ft"]);
    assert_eq!(not_used(&r.value, 2).0, Some(Code::LaterNotUsed));
    // An earlier one that does not agree is what the rule is for.
    site.round.readings[0].measurement = Measurement::Depth(12.6);
    site.round.readings[2].measurement = Measurement::Depth(12.02);
    assert!(reduced(&site).findings.iter().all(|f| f.code != Code::LaterNotUsed));
}

#[test]
fn d215_tells_which_checks_were_not_made() {
    let mut site = site_of(&["MW-1", "MW-2", "MW-3"]);
    for id in ["MW-1", "MW-2", "MW-3"] {
        add_reading(&mut site, id, Measurement::Depth(5.0)).moment = Some(Moment::Day(SPRING));
    }
    let quiet =
        |site: &Both| reduced(site).findings.iter().filter(|f| f.code == Code::Unchecked).count();
    assert_eq!(quiet(&site), 0);
    site.round.readings[1].moment = None;
    only(&reduced(&site).findings, Code::Unchecked, &["1 of 3"]);
    site.round.readings[1].moment = site.round.readings[0].moment;
    site.settings.depths_from = headfall::read::DepthDatum::Ground;
    assert_eq!(quiet(&site), 0, "nothing to check");
    site.wells[0].total_depth = Some(40.0);
    site.wells[2].screen_bottom = Some(40.0);
    let r = reduced(&site);
    let told = only(&r.findings, Code::Unchecked, &[]);
    gives(told, &["2 of 3"]);
    assert_eq!(told.wells, ["MW-1", "MW-3"]);
    for well in &mut site.wells {
        well.ground_elevation = Some(98.0);
    }
    assert_eq!(quiet(&site), 0);
}

#[test]
fn d216_tells_states_that_cannot_both_be() {
    let at = |day: u32, hour: i8| {
        let day = SPRING.checked_add(jiff::Span::new().days(day)).expect("a day");
        Some(Moment::Time(day.at(hour, 0, 0, 0)))
    };
    let day =
        |n: u32| Some(Moment::Day(SPRING.checked_add(jiff::Span::new().days(n)).expect("a day")));
    for (status, state, level, message) in [
        (Status::Dry, at(0, 9), at(0, 8), Some("was dry and had a level 1 h before that")),
        (Status::Dry, at(0, 9), at(0, 10), Some("was dry and had a level 1 h after that")),
        (Status::Dry, day(0), at(0, 10), Some("dry and had a level on the same day")),
        (Status::Dry, None, None, Some("with no dates to show how long after")),
        (Status::Dry, at(0, 9), at(2, 9), None),
        (Status::Pumping, at(0, 9), at(0, 11), Some("was pumping and has a static level 2 h")),
        (Status::Recovering, at(0, 9), at(1, 8), Some("recovery takes 24 h")),
        (Status::Pumping, at(0, 9), at(1, 9), None),
        (Status::Pumping, at(0, 9), at(0, 8), None),
        (Status::Obstructed, at(0, 9), at(0, 10), None),
    ] {
        let mut site = site_of(&["MW-1"]);
        let odd = add_reading(&mut site, "MW-1", Measurement::None);
        (odd.status, odd.moment) = (status, state);
        add_reading(&mut site, "MW-1", Measurement::Depth(5.0)).moment = level;
        let r = reduced(&site);
        let told = of(Code::StatesContradict, &r.findings);
        assert_eq!(told.len(), usize::from(message.is_some()), "{status:?}: {:#?}", r.findings);
        for (told, message) in told.iter().zip(message) {
            assert!(told.message.contains(message), "{told:?}");
        }
        assert_eq!(r.value.heads.len(), 1, "the level stays on the map");
    }
}

#[test]
fn the_mean_of_the_last_two_that_agree_is_the_head() {
    let mut site = site_of(&["MW-9"]);
    for (minute, depth) in [(30, 12.46), (0, 12.31), (10, 12.40), (20, 12.41)] {
        add_reading(&mut site, "MW-9", Measurement::Depth(depth)).moment =
            Some(Moment::Time(SPRING.at(9, minute, 0, 0)));
    }
    let r = reduced(&site).value;
    let h = &r.heads[0];
    near(h.head, 87.595, 1e-9);
    near(h.depth.expect("depth"), 12.405, 1e-9);
    assert_eq!(h.accounts, [2, 3]);
    assert_eq!(h.moment, Some(Moment::Time(SPRING.at(9, 20, 0, 0))));
    assert_eq!(
        not_used(&r, 0),
        (Some(Code::LaterNotUsed), "does not agree with the reading before it within 0.02 ft")
    );
    assert_eq!(
        not_used(&r, 1),
        (None, "an earlier reading: the last two in a row that agree are used")
    );
}

#[test]
fn repeats_by_elevation_are_compared_in_the_depth_unit() {
    let mut site = site_of(&["MW-9"]);
    site.settings.elevation_unit = LengthUnit::Metre;
    add_reading(&mut site, "MW-9", Measurement::Elevation(90.0));
    // 0.006 m are 0.0197 ft; 0.007 m are 0.0230 ft.
    add_reading(&mut site, "MW-9", Measurement::Elevation(90.006));
    near(reduced(&site).value.heads[0].head, 90.003, 1e-9);
    site.round.readings[1].measurement = Measurement::Elevation(90.007);
    assert!(reduced(&site).value.heads.is_empty());
}

fn product(to_product: f64, to_water: f64, specific_gravity: Option<f64>) -> Both {
    site_reading(Measurement::Product { to_product, to_water, specific_gravity }, Status::Static)
}

#[test]
fn d204_never_assumes_a_specific_gravity() {
    let mut site = product(8.75, 9.08, None);
    only(&refused(&site), Code::GravityMissing, &["MW-1", "0.33 ft"]);
    // The reading's own comes first, then the well's, then the site's.
    let with = |site: &Both| reduced(site).value.heads[0].head;
    site.settings.specific_gravity = Some(0.7);
    near(with(&site), 90.92 + 0.7 * 0.33, 1e-9);
    site.wells[0].specific_gravity = Some(0.8);
    near(with(&site), 90.92 + 0.8 * 0.33, 1e-9);
    site.round.readings[0].measurement =
        Measurement::Product { to_product: 8.75, to_water: 9.08, specific_gravity: Some(0.9) };
    near(with(&site), 90.92 + 0.9 * 0.33, 1e-9);
}

#[test]
fn d205_refuses_product_below_water_and_gravities_that_do_not_float() {
    only(
        &refused(&product(9.1, 9.08, Some(0.83))),
        Code::ProductImpossible,
        &["MW-1", "9.1 ft", "9.08 ft"],
    );
    only(&refused(&product(8.75, 9.08, Some(1.0))), Code::ProductImpossible, &["MW-1", "0.5"]);
    refused(&product(8.75, 9.08, Some(0.5)));
    reduced(&product(8.75, 9.08, Some(0.51)));
    // No thickness: nothing to correct, nothing to say.
    let r = reduced(&product(9.08, 9.08, None));
    near(r.value.heads[0].head, 90.92, 1e-9);
    assert!(nothing_beside_dates(&r.findings), "{:#?}", r.findings);
}

#[test]
fn d206_refuses_readings_that_contradict_themselves() {
    for (measurement, status, value) in [
        (Measurement::None, Status::Static, "MW-1"),
        (Measurement::HoldAndCut { hold: 1.5, cut: 30.0 }, Status::Static, "30 ft"),
        (Measurement::Depth(2.3), Status::Flowing, "2.3 ft"),
        (Measurement::PressureHead(-2.3), Status::Static, "-2.3 ft"),
        (Measurement::Stage(2.3), Status::Static, "2.3 ft"),
        (Measurement::PressureHead(-2.3), Status::Flowing, "2.3 ft"),
    ] {
        let found = refused(&site_reading(measurement, status));
        only(&found, Code::MeasurementUnclear, &["MW-1", value]);
    }
}

#[test]
fn d207_refuses_instruments_that_are_not_declared() {
    let mut site = site_of(&["MW-1", "MW-2", "MW-3"]);
    let exact = Calibration { offset: 0.0, stretch: 0.0 };
    add_reading(&mut site, "MW-1", Measurement::Depth(8.0)).instrument = Some("tape-3".to_owned());
    // A pressure gauge is no tape, and an unnamed tape is taken to read true.
    add_reading(&mut site, "MW-2", Measurement::PressureHead(8.0)).instrument =
        Some("gauge-1".to_owned());
    add_reading(&mut site, "MW-3", Measurement::Depth(8.0));
    assert!(nothing_beside_dates(&reduced(&site).findings), "names alone ask for nothing");
    site.instruments.insert("tape-1".to_owned(), exact);
    site.instruments.insert("tape-2".to_owned(), exact);
    let findings = refused(&site);
    only(&findings, Code::InstrumentUnknown, &["MW-1", "\"tape-3\""]);
    let advice = only(&findings, Code::InstrumentUnknown, &[]).advice.as_deref().expect("advice");
    assert!(advice.contains("tape-1, tape-2"), "{advice}");
}

#[test]
fn d208_warns_of_one_negative_depth_and_refuses_many() {
    let mut site = site_of(&["MW-1", "MW-2", "MW-3", "MW-4"]);
    for (id, depth) in [("MW-1", 8.0), ("MW-2", -0.35), ("MW-3", 8.2), ("MW-4", -0.5)] {
        add_reading(&mut site, id, Measurement::Depth(depth));
    }
    site.round.readings[3].status = Status::Flowing;
    let r = reduced(&site);
    only(&r.findings, Code::NegativeDepth, &["MW-2", "-0.35 ft", "0.35 ft"]);
    near(head(&r.value, &site, "MW-2").head, 100.35, 1e-9);
    near(head(&r.value, &site, "MW-4").head, 100.5, 1e-9);
    // Two of four are not more than half; three are.
    site.round.readings[0].measurement = Measurement::Depth(-8.0);
    reduced(&site);
    site.round.readings[2].measurement = Measurement::Depth(-8.2);
    let findings = refused(&site);
    only(&findings, Code::NegativeDepth, &["3 of 4"]);
    assert_eq!(only(&findings, Code::NegativeDepth, &[]).wells, ["MW-1", "MW-2", "MW-3"]);
}

#[test]
fn d209_compares_the_written_elevation() {
    let mut site = site_of(&["MW-1"]);
    add_reading(&mut site, "MW-1", Measurement::Depth(8.58)).written_elevation = Some(91.43);
    assert!(nothing_beside_dates(&reduced(&site).findings), "0.01 ft is rounding");
    site.round.readings[0].written_elevation = Some(91.52);
    let r = reduced(&site);
    only(
        &r.findings,
        Code::HeadDisagrees,
        &["MW-1", "91.52 ft", "91.42 ft", "0.1 ft", "0.0115 ft"],
    );
    near(r.value.heads[0].head, 91.42, 1e-9);
}

#[test]
fn d210_names_the_well_and_the_word_for_every_status() {
    for (status, measurement, kept, word) in [
        (Status::Dry, Measurement::None, None, "dry"),
        (Status::Dry, Measurement::Depth(20.0), None, "dry"),
        (Status::Obstructed, Measurement::None, None, "obstructed"),
        (Status::NotAccessible, Measurement::None, None, "accessible"),
        (Status::Pumping, Measurement::Depth(20.0), Some(80.0), "pumping"),
        (Status::Recovering, Measurement::Depth(20.0), Some(80.0), "recovering"),
        (Status::Cascading, Measurement::Depth(20.0), None, "cascading"),
        (Status::Flowing, Measurement::None, None, "flowing"),
    ] {
        let r = reduced(&site_reading(measurement, status));
        let found = only(&r.findings, Code::NoStaticLevel, &["MW-1", word]);
        assert_eq!(found.severity, Severity::Note);
        assert!(r.value.heads.is_empty(), "{status:?}");
        assert_eq!(r.value.accounts[0].head, kept, "{status:?}");
        let (code, reason) = not_used(&r.value, 0);
        assert_eq!(code, Some(Code::NoStaticLevel));
        assert!(found.message.ends_with(reason), "{reason}");
    }
}

#[test]
fn a_static_reading_counts_beside_one_that_is_not() {
    let mut site = site_of(&["MW-1"]);
    add_reading(&mut site, "MW-1", Measurement::Depth(20.0)).status = Status::Recovering;
    add_reading(&mut site, "MW-1", Measurement::Depth(8.0));
    let r = reduced(&site).value;
    assert_eq!((r.heads[0].head, r.heads[0].accounts.as_slice()), (92.0, &[1][..]));
    assert_eq!(r.accounts[1].fate, Fate::Used);
}

#[test]
fn d211_refuses_repeats_without_an_order() {
    let mut site = site_of(&["MW-1"]);
    for depth in [8.0, 8.01, 8.02] {
        add_reading(&mut site, "MW-1", Measurement::Depth(depth));
    }
    only(&refused(&site), Code::OrderUnknown, &["MW-1", "3"]);
    for reading in &mut site.round.readings {
        reading.number = Some(2);
    }
    only(&refused(&site), Code::OrderUnknown, &["MW-1", "2"]);
    site.round.readings.truncate(1);
    near(reduced(&site).value.heads[0].head, 92.0, 1e-9);
}

#[test]
fn d212_names_the_wells_that_were_not_read() {
    let mut site = site_of(&["MW-3", "MW-1", "MW-2"]);
    add_reading(&mut site, "MW-1", Measurement::Depth(8.0));
    let r = reduced(&site);
    only(&r.findings, Code::WellNotRead, &["MW-2, MW-3"]);
    assert_eq!(r.value.not_read, [2, 0]);
}

#[test]
fn a_reading_of_an_unknown_well_is_refused() {
    let mut site = site_of(&["MW-1"]);
    add_reading(&mut site, "MW-7", Measurement::Depth(8.0));
    assert_eq!(
        told(&refused(&site), Code::WellUnknown).once().message,
        "well MW-7 is not in the register"
    );
}

#[test]
fn every_refusal_is_told_at_once() {
    let mut site = site_of(&["MW-1", "MW-2", "MW-3"]);
    site.measuring_points.remove("MW-1");
    site.instruments.insert("tape-1".to_owned(), Calibration { offset: 0.0, stretch: 0.0 });
    let bad = Measurement::Product { to_product: 9.0, to_water: 8.0, specific_gravity: None };
    add_reading(&mut site, "MW-3", Measurement::Depth(8.0)).instrument = Some("tape-9".to_owned());
    add_reading(&mut site, "MW-2", bad);
    add_reading(&mut site, "MW-1", Measurement::Depth(-0.1));
    add_reading(&mut site, "MW-2", Measurement::Depth(8.0)).status = Status::Pumping;
    let codes: Vec<&str> = refused(&site).iter().map(|d| d.code.id()).collect();
    assert_eq!(codes, ["D201", "D205", "D207", "D208", "D210"]);
}

// Row order.

/// A round with something of everything that may stand in one.
fn mixed_site() -> Both {
    let mut site = site_of(&["MW-4", "MW-2", "MW-1", "MW-3", "MW-5", "MW-6"]);
    site.settings.specific_gravity = Some(0.83);
    survey(&mut site, "MW-3", Some(date(2011, 1, 1)), 100.2);
    for (id, depth, number, status) in [
        ("MW-1", 8.00, Some(1), Status::Static),
        ("MW-1", 8.10, Some(2), Status::Static),
        ("MW-1", 8.11, Some(3), Status::Static),
        ("MW-2", 9.00, None, Status::Static),
        ("MW-2", 9.02, None, Status::Static),
        ("MW-2", 19.0, None, Status::Pumping),
        ("MW-2", 17.0, None, Status::Recovering),
        ("MW-3", -0.2, None, Status::Static),
        ("MW-4", 7.00, Some(2), Status::Static),
        ("MW-4", 7.50, Some(1), Status::Static),
    ] {
        let reading = add_reading(&mut site, id, Measurement::Depth(depth));
        reading.number = number;
        reading.status = status;
        reading.moment = Some(Moment::Day(SPRING));
    }
    for (minute, to_product) in [(5, 8.75), (10, 8.76), (15, 8.755)] {
        let product = Measurement::Product { to_product, to_water: 9.08, specific_gravity: None };
        add_reading(&mut site, "MW-5", product).moment =
            Some(Moment::Time(SPRING.at(9, minute, 0, 0)));
    }
    site
}

/// The accounts of a round by the readings they belong to, which do not depend on row order.
fn each(site: &Both, r: &Reduced) -> Vec<String> {
    let mut told: Vec<String> = r
        .accounts
        .iter()
        .map(|a| format!("{:?} {:?} {:?}", site.round.readings[a.reading].origin, a.head, a.fate))
        .collect();
    told.sort();
    told
}

proptest! {
    #[test]
    fn the_order_of_rows_does_not_matter(
        order in Just((0..13_usize).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let site = mixed_site();
        prop_assert_eq!(site.round.readings.len(), order.len());
        let mut shuffled = site.clone();
        shuffled.round.readings = order.iter().map(|&i| site.round.readings[i].clone()).collect();
        shuffled.wells.reverse();
        let (a, b) = (reduced(&site), reduced(&shuffled));
        prop_assert_eq!(&a.findings, &b.findings);
        prop_assert_eq!(each(&site, &a.value), each(&shuffled, &b.value));
        prop_assert_eq!(a.value.heads.len(), 4);
        prop_assert_eq!(b.value.heads.len(), 4);
        for (p, q) in a.value.heads.iter().zip(&b.value.heads) {
            prop_assert_eq!(&site.wells[p.well].id, &shuffled.wells[q.well].id);
            prop_assert_eq!(p.head.to_bits(), q.head.to_bits());
            prop_assert_eq!(p.depth.map(f64::to_bits), q.depth.map(f64::to_bits));
            prop_assert_eq!(p.moment, q.moment);
        }
        // Accounts stay in the order of the rows.
        let rows: Vec<usize> = b.value.accounts.iter().map(|a| a.reading).collect();
        prop_assert_eq!(rows, (0..13).collect::<Vec<_>>());
    }

    #[test]
    fn feet_and_metres_give_the_same_head(mp in -500.0..3000.0_f64, depth in -5.0..300.0_f64) {
        let mut feet = site_in_feet();
        add_well(&mut feet, "MW-1", 0.0, 0.0);
        survey(&mut feet, "MW-1", None, mp / 0.3048);
        add_reading(&mut feet, "MW-1", Measurement::Depth(depth / 0.3048)).status =
            if depth < 0.0 { Status::Flowing } else { Status::Static };
        let mut metres = feet.clone();
        metres.settings.elevation_unit = LengthUnit::Metre;
        metres.round.depth_unit = LengthUnit::Metre;
        metres.measuring_points.clear();
        survey(&mut metres, "MW-1", None, mp);
        metres.round.readings[0].measurement = Measurement::Depth(depth);
        let (f, m) = (reduced(&feet).value.heads[0].head, reduced(&metres).value.heads[0].head);
        prop_assert!((f * 0.3048 - m).abs() <= 2e-9, "{} ft are not {} m", f, m);
    }
}

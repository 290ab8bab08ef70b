//! Several wrong wells at once hide each other from any check that trusts most planes; each must be
//! named all the same, and no other.

use std::fmt::Write as _;

use headfall::check;
use headfall::diag::{Code, Diagnostic};
use headfall::read::Overrides;
use headfall::run;

use crate::support::{EAST, Folder, NORTH, of};

/// A well of an invented site in feet: place in m, measuring point and depth to water in ft.
#[derive(Clone, Copy)]
struct Row {
    at: (f64, f64),
    point: f64,
    depth: f64,
}

const PLACES: [(f64, f64); 10] = [
    (5.0, 12.0),
    (160.0, 4.0),
    (297.0, 22.0),
    (31.0, 141.0),
    (152.0, 166.0),
    (318.0, 149.0),
    (12.0, 305.0),
    (171.0, 291.0),
    (289.0, 312.0),
    (92.0, 77.0),
];

/// Wells whose heads fall by 0.006 to the south, within some hundredths of a foot.
fn rows() -> Vec<Row> {
    (0..PLACES.len())
        .map(|i| {
            let (x, y) = PLACES[i];
            let noise = [0.02, -0.03, 0.01, 0.0, 0.03, -0.02, -0.01, 0.02, -0.03, 0.01][i];
            let head = 840.0 + (0.006 * y - 0.002 * x) / 0.3048 + noise;
            let depth = 9.0 + (i * i % 7) as f64;
            Row { at: PLACES[i], point: ((head + depth) * 100.0).round() / 100.0, depth }
        })
        .collect()
}

/// What the checks say of a table of wells.
fn told(rows: &[Row]) -> Vec<Diagnostic> {
    let folder = Folder::new();
    let mut text = "id,easting,northing,measuring_point_elevation,depth_to_water\n".to_owned();
    for (i, row) in rows.iter().enumerate() {
        let ((x, y), point, depth) = (row.at, row.point, row.depth);
        writeln!(text, "W{i},{},{},{point:.3},{depth:.3}", EAST + x, NORTH + y).expect("text");
    }
    let file = folder.file("wells.csv", text);
    let overrides = Overrides {
        crs: Some("EPSG:26915".into()),
        elevation_unit: Some(headfall::units::LengthUnit::Foot),
        ..Overrides::default()
    };
    let mut findings = Vec::new();
    let heads = run::heads(&file, &overrides, &mut findings).expect("heads");
    match check::control(&heads.site, &heads.round, &heads.reduced) {
        Ok(control) => drop(control.drain_into(&mut findings)),
        Err(error) => findings.extend(error.diagnostics().iter().cloned()),
    }
    findings
}

/// Every choice of `count` of ten.
fn choices(count: u32) -> impl Iterator<Item = Vec<usize>> {
    (0..1_u32 << 10)
        .filter(move |set| set.count_ones() == count)
        .map(|set| (0..10).filter(|i| set & (1 << i) != 0).collect())
}

/// The wells that findings of one code name.
fn named(code: Code, findings: &[Diagnostic]) -> Vec<String> {
    let mut wells: Vec<String> =
        of(code, findings).iter().flat_map(|d| d.wells.iter().cloned()).collect();
    wells.sort();
    wells
}

#[track_caller]
fn each_is_named(code: Code, count: u32, spoil: impl Fn(&mut Row, usize)) {
    for wrong in choices(count) {
        let mut rows = rows();
        for (place, i) in wrong.iter().enumerate() {
            spoil(&mut rows[*i], place);
        }
        let findings = told(&rows);
        let expected: Vec<String> = wrong.iter().map(|i| format!("W{i}")).collect();
        assert_eq!(named(code, &findings), expected, "{findings:#?}");
    }
}

#[test]
fn one_two_or_three_measuring_points_in_metres_are_called_so() {
    for count in 1..=3 {
        each_is_named(Code::UnitMixUp, count, |row, _| row.point *= 0.3048);
    }
}

#[test]
fn two_depths_in_metres_are_called_so() {
    each_is_named(Code::UnitMixUp, 2, |row, _| row.depth *= 0.3048);
}

#[test]
fn two_and_three_blunders_of_a_foot_are_named() {
    for count in 2..=3 {
        each_is_named(Code::OffNeighbours, count, |row, _| row.point += 1.0);
    }
    each_is_named(Code::OffNeighbours, 3, |row, place| {
        row.point += if place == 1 { -1.0 } else { 1.0 };
    });
}

#[test]
fn a_clean_round_tells_nothing() {
    let findings = told(&rows());
    assert!(named(Code::OffNeighbours, &findings).is_empty(), "{findings:#?}");
    assert!(named(Code::UnitMixUp, &findings).is_empty(), "{findings:#?}");
    assert!(of(Code::SteepPlane, &findings).is_empty(), "{findings:#?}");
}

/// A mound of recharge, parabolic as in the textbook between two ditches (Dupuit), is no blunder.
#[test]
fn a_bent_water_table_is_not_taken_for_wrong_heads() {
    for top in [0, 4, 7] {
        let mut rows = rows();
        for row in &mut rows {
            let (x, y) = (row.at.0 - PLACES[top].0, row.at.1 - PLACES[top].1);
            row.point = 840.0 - 4e-5 * (x * x + y * y) + row.depth;
        }
        let findings = told(&rows);
        let off = named(Code::OffNeighbours, &findings).len();
        assert!(off <= 2, "at most its top and foot: {findings:#?}");
    }
}

/// Three and four wells have no spare one; only the gradient can speak.
#[test]
fn a_measuring_point_in_metres_makes_few_wells_too_steep() {
    for chosen in [vec![0, 2, 6], vec![0, 2, 6, 8]] {
        for wrong in 0..chosen.len() {
            let mut few: Vec<Row> = chosen.iter().map(|i| rows()[*i]).collect();
            assert!(of(Code::SteepPlane, &told(&few)).is_empty(), "a clean site is not steep");
            few[wrong].point *= 0.3048;
            let findings = told(&few);
            let steep = of(Code::SteepPlane, &findings);
            assert_eq!(steep.len(), 1, "{findings:#?}");
            assert_eq!(steep[0].wells, [format!("W{wrong}")]);
            let text = &steep[0].message;
            assert!(text.contains("bound 0.1 m/m") && text.contains("other unit"), "{text}");
        }
    }
}

#[test]
fn a_steep_plane_that_no_unit_explains_names_its_ends() {
    let mut few: Vec<Row> = [0, 2, 6].iter().map(|i| rows()[*i]).collect();
    few[1].point += 200.0;
    let findings = told(&few);
    let steep = of(Code::SteepPlane, &findings);
    assert_eq!(steep.len(), 1, "{findings:#?}");
    assert_eq!(steep[0].wells, ["W0", "W1"], "the lowest and the highest");
}

/// A hill under many wells: those on its flanks are told for the hill's sake at first, and some fit
/// once its top no longer judges.
#[test]
fn every_well_told_is_off_by_more_than_the_bound_it_is_told_with() {
    let mut told_at_all = 0;
    for (count, width, height) in [(60, 40.0, 0.3), (80, 60.0, 1.0), (120, 60.0, 0.6)] {
        let rows: Vec<Row> = (0..count)
            .map(|i| {
                // Places spread evenly without a lattice: multiples of powers of the plastic number's
                // inverse, Roberts (2018), from memory.
                let part = |step: f64| (f64::from(i) * step).fract() * 300.0;
                let at = (part(0.754_877_666_2), part(0.569_840_291_0));
                let away = (at.0 - 150.0).powi(2) + (at.1 - 150.0).powi(2);
                let hill = height * (-away / (2.0 * width * width)).exp();
                let head = 20.0 - 0.004 * at.0 + hill;
                Row { at, point: (head / 0.3048 * 30.0).round() / 30.0 + 5.0, depth: 5.0 }
            })
            .collect();
        for finding in of(Code::OffNeighbours, &told(&rows)) {
            let Some((_, score)) = finding.message.split_once('(') else { continue };
            let score: f64 = score.split(' ').next().and_then(|s| s.parse().ok()).expect("a score");
            assert!(score > 3.5, "{}", finding.message);
            told_at_all += 1;
        }
    }
    assert!(told_at_all > 0, "a hill of such a size is told");
}

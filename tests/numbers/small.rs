//! Scores that divide by no dust, repeats of a stretched tape, and what `compare` tells.

use headfall::diag::Code;
use headfall::interpolate::kriging::Caution;
use headfall::read::{Method, Overrides};
use headfall::run;

use crate::support::{Folder, gives, map, near, of, of_wells, scatter};

/// Twelve of fourteen heads on one plane, two of them 0.3 m off it. By NumPy, from the planes through
/// their nearest wells and the declared standard deviation of a head, `hypot(0.003048, 0.010)` m:
/// the residual is 25.808 of them at W7 and 24.409 at W3.
#[test]
fn scores_of_heads_on_a_plane_are_in_standard_deviations_of_a_head() {
    let wells: Vec<(f64, f64)> =
        (0..14).map(|i| (f64::from(i * 137 % 400), f64::from(i * 211 % 390))).collect();
    let odd = [wells[3], wells[7]];
    let site = of_wells(&wells, "", |x, y| if odd.contains(&(x, y)) { 100.3 } else { 100.0 });
    let (map, findings) = map(site.path(), &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{e}"));
    for (well, score) in [("W-7", 25.808_10), ("W-3", 24.408_58)] {
        let point = map.control.points().iter().find(|p| p.id == well).expect("on the map");
        near(point.leave_one_out.expect("judged").score, score, 1e-4);
    }
    let told = of(Code::OffNeighbours, &findings);
    assert_eq!(told.iter().map(|d| d.wells[0].as_str()).collect::<Vec<_>>(), ["W-7", "W-3"]);
    gives(told[0], &["25.8"]);
}

/// 15.78 and 15.80 ft agree within 0.02 ft as they were read; a tape of stretch 0.0002 makes 15.783156
/// and 15.803160 of them, which are 0.020004 apart.
#[test]
fn repeats_of_a_stretched_tape_agree_as_they_were_read() {
    let folder = Folder::new();
    folder.file(
        "site.toml",
        "[site]\nname = \"Stretched tape (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"ft\"\n\
         vertical_datum = \"NAVD 88\"\n[instruments.long]\noffset = 0.02\nstretch = 0.0002\n",
    );
    let wells = "id,easting,northing,measuring_point_elevation\nA,480000,4980000,115.8\n\
                 B,480100,4980000,115.6\nC,480100,4980100,115.4\nD,480000,4980100,115.5\n";
    folder.file("wells.csv", wells);
    let round = |second: &str| {
        let rows = "id,date,reading,depth_to_water,instrument\nA,2026-04-14,1,15.78,long\n";
        let others = "B,2026-04-14,,15.5,long\nC,2026-04-14,,15.2,long\nD,2026-04-14,,15.1,long\n";
        folder.file("rounds/r.csv", format!("{rows}A,2026-04-14,2,{second},long\n{others}"));
        map(folder.path(), &Overrides::default())
    };
    let (drawn, findings) = round("15.80");
    assert!(of(Code::RepeatsDisagree, &findings).is_empty(), "{findings:#?}");
    let drawn = drawn.unwrap_or_else(|e| panic!("{e}"));
    let head = drawn.control.points().iter().find(|p| p.id == "A").expect("on the map").head;
    // Each correction to 0.0001 ft, 0.0232 of 0.023156 and of 0.023160 ft, so that rows add up as printed.
    near(head, 115.8 - (15.79 + 0.0232), 1e-9);
    let (_, findings) = round("15.81");
    let told = of(Code::RepeatsDisagree, &findings);
    gives(told[0], &["0.02 ft", "15.78, 15.81 ft"]);
}

/// A regional slope and no plane in the drift: the likeliest range is the longest looked at. There the
/// likelihood has no top, and no standard error follows from it.
#[test]
fn what_a_fit_is_worth_is_told_by_compare_as_by_draw_and_bounds_have_no_errors() {
    let heads = |x: f64, y: f64| 100.0 - 0.01 * x - 0.004 * y + 1e-4 * (x * 0.7 + y * 1.3) % 0.013;
    let site = of_wells(&scatter(), "[grid]\nsurface = \"kriging\"\n", heads);
    let (drawn, told_by_draw) = map(site.path(), &Overrides::default());
    let drawn = drawn.unwrap_or_else(|e| panic!("{e} {told_by_draw:#?}"));
    assert_eq!(drawn.surface.method, Method::Kriging);
    let fit = drawn.surface.kriging.as_ref().and_then(|k| k.fit.as_ref()).expect("a fit");
    let told_by_draw = of(Code::CovarianceCaution, &told_by_draw);
    assert!(!told_by_draw.is_empty());
    let at_a_bound = |c: &Caution| matches!(c, Caution::RangeNotFound { .. });
    assert!(fit.cautions.iter().any(at_a_bound), "{fit:?}");
    assert_eq!(fit.standard_errors.range_m, None, "{fit:?}");
    assert!(fit.standard_errors.partial_sill.is_some_and(f64::is_finite), "{fit:?}");
    let mut findings = Vec::new();
    run::cross_validate(site.path(), &Overrides::default(), &mut findings).expect("a comparison");
    let told = of(Code::CovarianceCaution, &findings);
    for d in told_by_draw {
        let found = told.iter().find(|t| t.message.ends_with(&d.message));
        let found = found.unwrap_or_else(|| panic!("{}: {told:#?}", d.message));
        assert!(found.message.starts_with("kriging"), "{}", found.message);
    }
}

//! Positions, convergence and scale against published projection examples.
//!
//! Sources: IOGP/EPSG Guidance Note 7-2 (Texas South Central, British National Grid); GDA
//! Technical Manual v2.3 (Flinders Peak, Buninyong); Snyder (1987), USGS Professional Paper 1395,
//! appendix A (from memory, recomputes to the printed digits).

use geo::Coord;
use headfall::geom::Crs;

use crate::support::near;

fn dms(d: f64, m: f64, s: f64) -> f64 {
    d.signum() * (d.abs() + m / 60.0 + s / 3600.0)
}

/// Projects with the CRS itself: the geographic base is on the same datum, so no datum shift
/// enters.
fn project(crs: &str, base: &str, lon: f64, lat: f64) -> (Crs, Coord) {
    let target = Crs::lookup(crs).expect("PROJ knows it");
    let source = Crs::lookup(base).expect("PROJ knows it");
    let mut p = [Coord { x: lon, y: lat }];
    target.convert_from(&source, &mut p).expect("inside");
    (target, p[0])
}

#[test]
fn flinders_peak_has_the_published_grid_position_scale_and_convergence() {
    let (crs, p) =
        project("EPSG:28355", "EPSG:4283", dms(144.0, 25.0, 29.5244), dms(-37.0, 57.0, 3.7203));
    near(p.x, 273_741.297, 0.001);
    near(p.y, 5_796_489.777, 0.001);
    let f = crs.factors(&[p]).expect("inside")[0];
    near(f.scale, 1.000_230_56, 1e-8);
    // The manual prints -1 35 03.65; the UTM convention, grid = true - convergence, has the
    // opposite sign: azimuth 306 52 05.37 becomes grid bearing 305 17 01.72.
    near(f.convergence_deg, dms(1.0, 35.0, 3.65), 1e-6);
    near(dms(306.0, 52.0, 5.37) - f.convergence_deg, dms(305.0, 17.0, 1.72), 0.01 / 3600.0);
}

#[test]
fn buninyong_has_the_published_positions_in_two_zones() {
    let (lon, lat) = (dms(143.0, 55.0, 35.3839), dms(-37.0, 39.0, 10.1561));
    let (_, z54) = project("EPSG:28354", "EPSG:4283", lon, lat);
    near(z54.x, 758_173.797, 0.001);
    near(z54.y, 5_828_674.340, 0.001);
    let (_, z55) = project("EPSG:28355", "EPSG:4283", lon, lat);
    near(z55.x, 228_854.052, 0.001);
    near(z55.y, 5_828_259.038, 0.001);
}

#[test]
fn texas_south_central_has_the_guidance_note_position_and_convergence_in_us_survey_feet() {
    let (crs, p) = project("EPSG:32040", "EPSG:4267", -96.0, 28.5);
    near(p.x, 2_963_503.91, 0.006);
    near(p.y, 254_759.80, 0.006);
    near(crs.metres_per_unit(), 1200.0 / 3937.0, 1e-15);
    near(crs.factors(&[p]).expect("inside")[0].convergence_deg, 1.469_738, 1e-5);
}

#[test]
fn british_national_grid_has_the_guidance_note_position_and_convergence() {
    let (crs, p) = project("EPSG:27700", "EPSG:4277", 0.5, 50.5);
    // The note rounds its intermediates: 0.011 m against the printed pair.
    near(p.x, 577_274.99, 0.011);
    near(p.y, 69_740.50, 0.011);
    near(crs.factors(&[p]).expect("inside")[0].convergence_deg, 1.929_561, 1e-5);
}

#[test]
fn snyders_transverse_mercator_has_the_printed_position_and_scale() {
    let tm =
        "+proj=tmerc +lat_0=0 +lon_0=-75 +k=0.9996 +x_0=0 +y_0=0 +ellps=clrk66 +units=m +type=crs";
    let (crs, p) = project(tm, "+proj=longlat +ellps=clrk66 +type=crs", -73.5, 40.5);
    near(p.x, 127_106.5, 0.05);
    near(p.y, 4_484_124.4, 0.05);
    near(crs.factors(&[p]).expect("inside")[0].scale, 0.999_798_9, 5e-8);
}

#[test]
fn snyders_lambert_conic_has_the_printed_position_and_scale() {
    let lcc = "+proj=lcc +lat_1=33 +lat_2=45 +lat_0=23 +lon_0=-96 +ellps=clrk66 +units=m +type=crs";
    let (crs, p) = project(lcc, "+proj=longlat +ellps=clrk66 +type=crs", -75.0, 35.0);
    near(p.x, 1_894_410.9, 0.05);
    near(p.y, 1_564_649.5, 0.05);
    near(crs.factors(&[p]).expect("inside")[0].scale, 0.997_017_1, 5e-8);
}

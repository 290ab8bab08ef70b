//! Gradients, directions, planes and units against published numbers.
//!
//! Each check names its source and how far it can be trusted: *found* in public text or data,
//! *from memory* of a publication, or *derived* from its data or by exact mathematics, without a
//! printed number behind it.

use std::path::Path;

use geo::Coord;
use headfall::geom::{FittedPlane, Slope, doubled_area, fit_plane, slope_of_triangle};
use headfall::units::{Azimuth, LengthUnit};

use crate::support::near;

const FEET_IN_A_MILE: f64 = 5280.0;

#[track_caller]
fn nearly(found: f64, published: f64, relative: f64) {
    near(found, published, relative * published.abs());
}

fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

/// The azimuth of flow down a slope, eq. 6 of `docs/methods.md`.
fn downhill(slope: Slope) -> f64 {
    Azimuth::of_vector(-slope.east, -slope.north).expect("not level").degrees()
}

/// Heath (1983), US Geological Survey Water-Supply Paper 2220, "Heads and gradients": heads of
/// 26.26, 26.20 and 26.07 m, 215 m between the highest and the lowest, worked with ruler and
/// paper. From memory, recomputes to the printed digits.
mod heath {
    use super::*;

    const HEADS: [f64; 3] = [26.26, 26.20, 26.07];

    /// The sides of 165 m and 150 m to the middle well are a weak memory; they agree with the
    /// printed construction to 1.2 %, and exchanged they would not (142.7 m for 133 m).
    fn wells() -> [Coord; 3] {
        [at(0.0, 0.0), at(118.488_372_1, 114.828_157_2), at(215.0, 0.0)]
    }

    fn slope() -> Slope {
        slope_of_triangle(wells(), HEADS).expect("a triangle")
    }

    #[test]
    fn the_middle_head_lies_68_m_from_the_highest_well() {
        near((HEADS[0] - HEADS[1]) / -slope().east, 68.0, 0.5);
    }

    #[test]
    fn the_gradient_is_the_printed_0_13_m_in_133_m() {
        let gradient = slope().magnitude();
        nearly(gradient, 0.13 / 133.0, 0.02);
        near((HEADS[1] - HEADS[2]) / gradient, 133.0, 0.02 * 133.0);
    }

    /// Derived from these coordinates.
    #[test]
    fn the_gradient_and_direction_are_those_of_the_coordinates() {
        nearly(slope().magnitude(), 9.656_975_614e-4, 1e-9);
        near(downhill(slope()), 113.778_435_534, 1e-6);
    }
}

/// A problem found on a public site for students' questions (askfilo.com), recomputed: three wells
/// at a right angle on level ground, depths 10.0, 10.2 and 10.1 m, flow 26.6 degrees south of east.
#[test]
fn a_right_angle_of_wells_has_the_printed_direction() {
    let corners = [at(0.0, 0.0), at(100.0, 0.0), at(100.0, 100.0)];
    let slope = slope_of_triangle(corners, [-10.0, -10.2, -10.1]).expect("a triangle");
    near(slope.east, -0.002, 1e-15);
    near(slope.north, 0.001, 1e-15);
    nearly(slope.magnitude(), 0.002_236_067_977, 1e-9);
    near(downhill(slope) - 90.0, 26.6, 0.05);
    near(downhill(slope), 116.565_051_177, 1e-6);
}

/// Isaaks and Srivastava (1989), An introduction to applied geostatistics, ch. 11: the plane
/// through three points and its value at a fourth place. Coordinates found (CRAN geoR, `isaaks`);
/// the printed plane and value from memory, they recompute to the printed digits.
#[test]
fn the_plane_through_three_points_has_the_printed_coefficients() {
    let corners = [at(63.0, 140.0), at(64.0, 129.0), at(71.0, 140.0)];
    let heads = [696.0, 227.0, 606.0];
    let asked = at(65.0, 137.0);

    let slope = slope_of_triangle(corners, heads).expect("a triangle");
    near(slope.east, -11.250, 0.0005);
    near(slope.north, 41.614, 0.0005);
    let constant = heads[0] - slope.east * corners[0].x - slope.north * corners[0].y;
    near(constant, -4421.159, 0.0005);
    near(constant + slope.east * asked.x + slope.north * asked.y, 548.7, 0.05);

    let plane = fit_plane(&corners, &heads).expect("a plane");
    near(plane.slope.east, -11.250, 0.0005);
    near(plane.slope.north, 41.614, 0.0005);
    near(plane.at(asked), 548.7, 0.05);
    assert_eq!((plane.residual_sd, plane.slope_se), (None, None), "three points leave no error");
    assert!(plane.residuals.iter().all(|r| r.abs() < 1e-9), "{:?}", plane.residuals);
}

/// Gradients of the linear basis functions: Pinder, Celia and Gray (1981), Ground Water 19(3),
/// 262-264 (method from memory, numbers derived).
mod basis_functions {
    use super::*;

    const CORNERS: [Coord; 3] =
        [Coord { x: 0.0, y: 0.0 }, Coord { x: 100.0, y: 0.0 }, Coord { x: 100.0, y: 100.0 }];

    fn gradient(i: usize) -> Slope {
        let mut heads = [0.0; 3];
        heads[i] = 1.0;
        slope_of_triangle(CORNERS, heads).expect("a triangle")
    }

    #[test]
    fn each_has_its_gradient() {
        for (i, (east, north)) in [(-0.01, 0.0), (0.01, -0.01), (0.0, 0.01)].into_iter().enumerate()
        {
            near(gradient(i).east, east, 1e-15);
            near(gradient(i).north, north, 1e-15);
        }
    }

    #[test]
    fn their_gradients_add_up_to_nothing() {
        let all = [0, 1, 2].map(gradient);
        near(all.iter().map(|g| g.east).sum(), 0.0, 1e-15);
        near(all.iter().map(|g| g.north).sum(), 0.0, 1e-15);
    }

    #[test]
    fn they_add_up_to_the_gradient_of_the_heads() {
        let slope = slope_of_triangle(CORNERS, [10.0, 10.2, 10.1]).expect("a triangle");
        near(slope.east, 0.002, 1e-15);
        near(slope.north, -0.001, 1e-15);
    }

    #[test]
    fn the_doubled_area_has_the_sign_of_the_sense_of_rotation() {
        let [a, b, c] = CORNERS;
        near(doubled_area([a, b, c]), 10_000.0, 0.0);
        near(doubled_area([a, c, b]), -10_000.0, 0.0);
        near(doubled_area([a, b, at(50.0, 0.0)]), 0.0, 0.0);
    }

    #[test]
    fn the_order_of_corners_does_not_matter_and_a_line_has_no_slope() {
        let [a, b, c] = CORNERS;
        let slope = slope_of_triangle([a, c, b], [10.0, 10.1, 10.2]).expect("a triangle");
        near(slope.east, 0.002, 1e-15);
        near(slope.north, -0.001, 1e-15);
        assert_eq!(slope_of_triangle([a, b, at(50.0, 0.0)], [1.0, 2.0, 3.0]), None);
    }
}

/// The plane through the 85 heads of the Wolfcamp aquifer: Harper and Furr (1986), BMI/ONWI-587;
/// source and licence at the head of the data file. x and y in miles, heads in feet, which the
/// functions take as they come: the slopes are in feet per mile.
mod wolfcamp {
    use super::*;

    fn wells() -> (Vec<Coord>, Vec<f64>) {
        let file =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/wolfcamp/wolfcamp_85.csv");
        let mut table = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_path(file)
            .expect("the data file is there");
        table
            .deserialize()
            .map(|row| {
                let (_id, x, y, head): (u32, f64, f64, f64) = row.expect("a row of numbers");
                (at(x, y), head)
            })
            .unzip()
    }

    fn plane() -> FittedPlane {
        let (points, heads) = wells();
        assert_eq!(points.len(), 85);
        fit_plane(&points, &heads).expect("a plane")
    }

    fn intercept(plane: &FittedPlane) -> f64 {
        plane.at(at(0.0, 0.0))
    }

    /// numpy's least squares on the same file: `tests/data/wolfcamp/plane.py`. Derived.
    #[test]
    fn the_plane_is_that_of_a_reference_library() {
        let plane = plane();
        nearly(intercept(&plane), 2_591.326_575_823_87, 1e-10);
        nearly(plane.slope.east, -6.751_871_982_858_5, 1e-10);
        nearly(plane.slope.north, -5.986_175_084_316_5, 1e-10);
        nearly(plane.residual_sd.expect("85 wells"), 203.307_496_626_013, 1e-10);
        nearly(plane.r_squared.expect("heads differ"), 0.892_036_837_017_5, 1e-10);
        nearly(plane.slope.magnitude() / FEET_IN_A_MILE, 0.001_708_980_629_453, 1e-10);
        near(downhill(plane.slope), 48.439_968_016_672, 1e-8);
    }

    #[test]
    fn the_standard_errors_are_those_of_a_reference_library() {
        let plane = plane();
        let se = plane.slope_se.expect("85 wells");
        nearly(se.east, 0.343_856_598_851_1, 1e-10);
        nearly(se.north, 0.406_608_687_022_4, 1e-10);
        // The intercept's, through the covariance that predictions away from the centre use.
        let [ee, en, nn] = plane.unit_covariance;
        let Coord { x, y } = plane.centre;
        let factor = 1.0 / 85.0 + ee * x * x + 2.0 * en * x * y + nn * y * y;
        nearly(plane.residual_sd.expect("85 wells") * factor.sqrt(), 38.963_644_043_43, 1e-10);
    }

    /// A regression printed in a public course notebook (found), made from another transcription of
    /// the same table that differs by about 0.4 miles in one northing: hence the tolerances.
    #[test]
    fn the_plane_is_that_of_an_independent_published_regression() {
        let plane = plane();
        near(intercept(&plane), 2_591.430_2, 0.2);
        near(plane.slope.east, -6.751_4, 0.001);
        near(plane.slope.north, -5.987_2, 0.002);
        near(plane.residual_sd.expect("85 wells"), 203.3, 0.1);
        near(plane.r_squared.expect("heads differ"), 0.892_1, 0.000_2);
    }

    /// Cressie (1993), Statistics for spatial data, sec. 4.1: flow from Deaf Smith County toward
    /// Amarillo, to the north-east (sentence from memory; the places found).
    #[test]
    fn the_water_flows_to_the_north_east() {
        let flow = Azimuth::from_degrees(downhill(plane().slope));
        assert_eq!(flow.compass_point(), "NE");
    }

    #[test]
    fn residuals_of_a_least_squares_plane_add_up_to_nothing() {
        let (points, heads) = wells();
        let plane = plane();
        assert_eq!(plane.residuals.len(), 85);
        near(plane.residuals.iter().sum(), 0.0, 1e-6);
        near(heads[48] - plane.at(points[48]), plane.residuals[48], 1e-9);
    }
}

/// Directions are counted in degrees clockwise from north: common practice of compass and survey;
/// so counted for example in the Flinders Peak azimuth of the GDA Technical Manual (306 degrees,
/// to the north-west).
mod azimuth {
    use super::*;

    #[test]
    fn the_quarters_come_clockwise_from_north() {
        for (east, north, degrees, point) in [
            (0.0, 1.0, 0.0, "N"),
            (1.0, 1.0, 45.0, "NE"),
            (1.0, 0.0, 90.0, "E"),
            (0.0, -1.0, 180.0, "S"),
            (-1.0, 0.0, 270.0, "W"),
            (-1.0, 1.0, 315.0, "NW"),
        ] {
            let azimuth = Azimuth::of_vector(east, north).expect("a direction");
            near(azimuth.degrees(), degrees, 1e-12);
            assert_eq!(azimuth.compass_point(), point);
        }
    }

    #[test]
    fn no_vector_has_no_direction() {
        assert_eq!(Azimuth::of_vector(0.0, 0.0), None);
        assert_eq!(Azimuth::of_vector(-0.0, 0.0), None);
    }

    #[test]
    fn degrees_are_folded_into_one_turn() {
        for (given, folded) in [(360.0, 0.0), (-90.0, 270.0), (725.0, 5.0), (-1e-20, 0.0)] {
            near(Azimuth::from_degrees(given).degrees(), folded, 0.0);
        }
        assert!(Azimuth::from_degrees(-1e-20).degrees() < 360.0);
    }

    #[test]
    fn a_turn_and_a_difference_pass_over_north() {
        let (a, b) = (Azimuth::from_degrees(359.0), Azimuth::from_degrees(1.0));
        near(a.between(b), 2.0, 1e-12);
        near(b.between(a), 2.0, 1e-12);
        near(a.turned(2.0).degrees(), 1.0, 1e-12);
    }

    /// GDA Technical Manual v2.3, Flinders Peak (found): azimuth 306 52 05.37, grid bearing
    /// 305 17 01.72, convergence 1 35 03.65 in size. With the sign of the UTM convention, as here,
    /// the azimuth is the grid bearing turned clockwise by the convergence.
    #[test]
    fn a_grid_bearing_turned_by_the_convergence_is_the_true_azimuth() {
        let dms = |d: f64, m: f64, s: f64| d + m / 60.0 + s / 3600.0;
        let azimuth = Azimuth::from_degrees(dms(305.0, 17.0, 1.72)).turned(dms(1.0, 35.0, 3.65));
        near(azimuth.degrees(), dms(306.0, 52.0, 5.37), 0.01 / 3600.0);
    }
}

/// Sizes of the two feet, exact by definition (found in public definitions of coordinate systems;
/// US National Geodetic Survey).
mod feet {
    use super::*;

    #[test]
    fn they_have_their_defined_sizes() {
        near(LengthUnit::Metre.metres(), 1.0, 0.0);
        near(LengthUnit::Foot.metres(), 0.3048, 0.0);
        near(LengthUnit::UsSurveyFoot.metres(), 0.304_800_609_601_219_2, 1e-16);
    }

    #[test]
    fn they_differ_by_4_ft_at_an_easting_of_2_000_000_ft() {
        let ratio = LengthUnit::UsSurveyFoot.metres() / LengthUnit::Foot.metres();
        near((ratio - 1.0) * 1e6, 2.000_004, 1e-6);
        let other = LengthUnit::UsSurveyFoot.convert(2_000_000.0, LengthUnit::Foot);
        near(other - 2_000_000.0, 4.000_008, 1e-6);
    }

    /// The easting of the Texas South Central example of IOGP Guidance Note 7-2 taken for the wrong
    /// foot. Derived.
    #[test]
    fn they_differ_by_1_81_m_on_a_published_easting() {
        let easting = 2_963_503.91;
        let metres = |unit: LengthUnit| unit.convert(easting, LengthUnit::Metre);
        near(metres(LengthUnit::UsSurveyFoot) - metres(LengthUnit::Foot), 1.806_555_596_5, 1e-8);
    }

    #[test]
    fn a_size_in_metres_finds_its_unit_and_no_other() {
        assert_eq!(LengthUnit::from_metres(0.3048), Some(LengthUnit::Foot));
        assert_eq!(LengthUnit::from_metres(1200.0 / 3937.0), Some(LengthUnit::UsSurveyFoot));
        assert_eq!(LengthUnit::from_metres(1.0), Some(LengthUnit::Metre));
        // The Clarke foot of some colonial grids is neither.
        assert_eq!(LengthUnit::from_metres(0.304_797_265), None);
    }

    #[test]
    fn a_length_in_its_own_unit_keeps_every_digit() {
        let reading = 12.345_678_901_234_567;
        for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot] {
            assert_eq!(unit.convert(reading, unit).to_bits(), reading.to_bits());
        }
    }
}

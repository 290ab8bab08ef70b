//! The spline against planes, against itself without a well, and its logarithm against libm.

#![expect(clippy::disallowed_methods, reason = "a test may be as exact as the platform")]

use geo::Coord;
use proptest::prelude::*;

use super::ThinPlate;
use super::kernel::ln;
use super::spline::Spline;
use crate::geom::Frame;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::linear::linear;
use crate::interpolate::scattered;
use crate::interpolate::scattered::ScatteredError;

const fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn rough(p: Coord) -> f64 {
    (p.x * 0.129_898 + p.y * 0.078_233).sin() * 3.0 + 100.0
}

fn scattered_wells(n: i32) -> Vec<Coord> {
    (0..n)
        .map(|i| at((f64::from(i) * 0.754_877_666).fract(), (f64::from(i) * 0.569_840_29).fract()))
        .map(|p| p * 100.0)
        .collect()
}

#[test]
fn the_logarithm_is_that_of_libm() {
    let mut x = 1e-290;
    while x < 1e300 {
        let (found, expected) = (ln(x), libm::log(x));
        assert!((found - expected).abs() <= 4e-16 * expected.abs().max(1.0), "ln({x}) = {found}");
        x *= 1.000_37;
    }
    for i in 0..2_000_000 {
        let x = 0.5 + f64::from(i) * 1e-6;
        let (found, expected) = (ln(x), libm::log(x));
        assert!((found - expected).abs() <= 4e-16 * expected.abs().max(1.0), "ln({x}) = {found}");
    }
    assert!(ln(0.0).is_finite() && ln(1.0) == 0.0);
}

#[test]
fn three_wells_have_their_plane_and_no_prediction_without_one_of_them() {
    let spline =
        ThinPlate::new(&[at(0.0, 0.0), at(10.0, 0.0), at(0.0, 5.0)], &[1.0, 3.0, 4.0], 0.0)
            .expect("three wells");
    assert!((spline.at(at(5.0, 5.0)) - 5.0).abs() < 1e-12);
    assert_eq!(spline.leave_one_out(), [None; 3]);
}

#[test]
fn a_well_off_the_line_of_all_others_cannot_be_left_out() {
    let wells = [at(0.0, 0.0), at(3.0, 0.0), at(7.0, 0.0), at(12.0, 0.0), at(5.0, 9.0)];
    let spline = ThinPlate::new(&wells, &[1.0, 2.0, 1.5, 4.0, 9.0], 0.0).expect("five wells");
    let found = spline.leave_one_out();
    assert!(found[..4].iter().all(Option::is_some), "{found:?}");
    assert_eq!(found[4], None);
}

#[test]
fn smoothing_leads_from_the_heads_to_the_fitted_plane() {
    let wells = scattered_wells(40);
    let heads: Vec<f64> = wells.iter().map(|p| rough(*p)).collect();
    let plane = crate::geom::fit_plane(&wells, &heads).expect("a plane");
    let misfit = |smoothing: f64| {
        let spline = ThinPlate::new(&wells, &heads, smoothing).expect("forty wells");
        let off = |(p, h): (&Coord, &f64)| (spline.at(*p) - h).abs();
        wells.iter().zip(&heads).map(off).fold(0.0, f64::max)
    };
    assert!(misfit(0.0) < 1e-10);
    assert!(misfit(0.1) < misfit(10.0) && misfit(10.0) < misfit(1000.0));
    let stiff = ThinPlate::new(&wells, &heads, 1e12).expect("forty wells");
    for p in [at(20.0, 30.0), at(80.0, 90.0)] {
        assert!((stiff.at(p) - plane.at(p)).abs() < 1e-5);
    }
}

#[test]
fn the_grid_keeps_to_the_surface_it_is_given_and_has_the_places_heads() {
    let wells = scattered_wells(60);
    let heads: Vec<f64> = wells.iter().map(|p| rough(*p)).collect();
    let mesh = scattered::mesh(&wells, &heads).expect("sixty wells");
    let frame = Frame::new(at(0.0, 0.0), 1.0);
    let spec = GridSpec { west: -10.0, south: -10.0, cell: 2.0, columns: 61, rows: 61 };
    let outline = linear(&mesh, &frame, spec);
    let spline = ThinPlate::new(&wells, &heads, 0.0).expect("sixty wells");
    let (whole, kept) =
        (spline.grid(&frame, spec, None), spline.grid(&frame, spec, Some(&outline)));
    assert_eq!((whole.supported(), kept.supported()), (61 * 61, outline.supported()));
    for r in 0..61 {
        for c in 0..61 {
            let h = whole.head(r, c).expect("everywhere");
            assert!((h - spline.at(spec.node(r, c))).abs() < 1e-10);
            if let Some(k) = kept.head(r, c) {
                assert!((h - k).abs() < 1e-12);
            }
        }
    }
    assert_eq!(whole.head(5, 5), Some(heads[0]), "the node at the first well");
}

#[test]
fn smoothing_below_nothing_and_wells_without_a_surface_are_refused() {
    let wells = scattered_wells(5);
    let refused = |smoothing| ThinPlate::new(&wells, &[1.0; 5], smoothing).expect_err("refused");
    for smoothing in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(refused(smoothing), ScatteredError::Option { .. }));
    }
    let line = [at(0.0, 0.0), at(1.0, 1.0), at(2.0, 2.0), at(5.0, 5.0)];
    assert_eq!(
        ThinPlate::new(&line, &[1.0; 4], 0.0).expect_err("refused"),
        ScatteredError::OneLine
    );
}

#[test]
fn threads_leave_no_trace() {
    let wells = scattered_wells(300);
    let heads: Vec<f64> = wells.iter().map(|p| rough(*p)).collect();
    let frame = Frame::new(at(0.0, 0.0), 1.0);
    let spec = GridSpec { west: 0.0, south: 0.0, cell: 2.0, columns: 51, rows: 51 };
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| {
            let spline = ThinPlate::new(&wells, &heads, 0.5).expect("wells");
            (spline.grid(&frame, spec, None), spline.leave_one_out())
        })
    };
    assert_eq!(run(1), run(3));
}

/// How far the blend of patches is from the spline of all wells, over the range of the heads: root
/// mean square, and largest.
fn off(wells: &[Coord], smoothing: f64, head: impl Fn(Coord) -> f64) -> [f64; 3] {
    let heads: Vec<f64> = wells.iter().map(|p| head(*p)).collect();
    let patches = ThinPlate::new(wells, &heads, smoothing).expect("many wells");
    let whole = Spline::new(wells, &heads, smoothing).expect("many wells");
    let range = heads.iter().copied().fold(f64::MIN, f64::max)
        - heads.iter().copied().fold(f64::MAX, f64::min);
    let places = (0..50).flat_map(|i| (0..50).map(move |j| (i, j)));
    let places = places.map(|(i, j)| at(1.0 + 2.0 * f64::from(i), 1.0 + 2.0 * f64::from(j)));
    let (mut sum, mut most) = (0.0, 0.0_f64);
    for p in places {
        let by = (patches.at(p) - whole.at(p)).abs() / range;
        sum += by * by / 2500.0;
        most = most.max(by);
    }
    let mut left = 0.0_f64;
    for (a, b) in patches.leave_one_out().iter().zip(whole.leave_one_out()) {
        left = left.max((a.expect("a head") - b.expect("a head")).abs() / range);
    }
    [sum.sqrt(), most, left]
}

/// `docs/other-surfaces.md` lists these, for more wells too.
#[test]
fn patches_are_as_good_as_the_spline_of_all_wells() {
    let even = scattered_wells(2100);
    let cluster = |(i, p): (usize, &Coord)| if i % 3 == 0 { *p * 0.25 } else { *p };
    let uneven: Vec<Coord> = even.iter().enumerate().map(cluster).collect();
    for (wells, smoothing) in [(&even, 0.0), (&uneven, 0.0), (&uneven, 50.0)] {
        let [rms, most, left_out] = off(wells, smoothing, rough);
        assert!(rms < 1e-4 && most < 1e-3 && left_out < 2e-3, "{rms:e} {most:e} {left_out:e}");
    }
}

#[test]
fn many_wells_have_their_heads() {
    let wells = scattered_wells(2600);
    let heads: Vec<f64> = wells.iter().map(|p| rough(*p)).collect();
    let spline = ThinPlate::new(&wells, &heads, 0.0).expect("many wells");
    for (p, h) in wells.iter().zip(&heads) {
        assert!((spline.at(*p) - h).abs() < 1e-9);
    }
    let plane = |p: &Coord| 250.0 + 0.02 * p.x - 0.05 * p.y;
    let heads: Vec<f64> = wells.iter().map(plane).collect();
    let spline = ThinPlate::new(&wells, &heads, 3.0).expect("many wells");
    for p in [at(-40.0, 20.0), at(33.0, 71.0)] {
        assert!((spline.at(p) - plane(&p)).abs() < 1e-7);
    }
}

proptest! {
    #[test]
    fn planes_come_back_smoothed_or_not(
        places in prop::collection::vec((0.0..100.0, 0.0..100.0), 4..40),
        smoothing in prop::sample::select(vec![0.0, 0.3, 50.0]),
        east in -0.1..0.1,
        north in -0.1..0.1,
    ) {
        let wells: Vec<Coord> = places.into_iter().map(|(x, y)| at(x, y)).collect();
        let plane = |p: Coord| 250.0 + east * p.x + north * p.y;
        let heads: Vec<f64> = wells.iter().map(|p| plane(*p)).collect();
        let spline = ThinPlate::new(&wells, &heads, smoothing).expect("wells");
        for p in [at(50.0, 50.0), at(3.0, 99.0), at(-40.0, 20.0)] {
            prop_assert!((spline.at(p) - plane(p)).abs() < 1e-7);
        }
    }

    #[test]
    fn leaving_a_well_out_is_the_spline_of_the_others(
        places in prop::collection::vec((0.0..100.0, 0.0..100.0), 6..25),
        smoothing in prop::sample::select(vec![0.0, 0.3, 50.0]),
    ) {
        let wells: Vec<Coord> = places.into_iter().map(|(x, y)| at(x, y)).collect();
        let heads: Vec<f64> = wells.iter().map(|p| rough(*p)).collect();
        let found = ThinPlate::new(&wells, &heads, smoothing).expect("wells").leave_one_out();
        for i in 0..wells.len() {
            let (mut wells, mut heads) = (wells.clone(), heads.clone());
            let p = wells.remove(i);
            heads.remove(i);
            let rest = ThinPlate::new(&wells, &heads, smoothing).expect("wells");
            let expected = rest.at(p);
            let found = found[i].expect("the others carry a surface");
            let size = expected.abs().max(1.0);
            prop_assert!((found - expected).abs() < 1e-6 * size, "{} not {}", found, expected);
        }
    }
}

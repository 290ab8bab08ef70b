//! The example of DEVELOPERS.md on a site, with and without a wall.

use geo::Coord;

use super::nearest_well;
use crate::check;
use crate::diag::Origin;
use crate::geom::distance;
use crate::interpolate::basis::Basis;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::past_barriers::InTurn;
use crate::interpolate::ready::Ready;
use crate::interpolate::site_surface::SiteSurface;
use crate::read::{
    Barrier, Measurement, Method, Reading, Round, Settings, Site, SurfaceSettings, Well,
};
use crate::reduce;
use crate::triangulate;
use crate::units::LengthUnit;

/// Wells on six columns by six rows, 70 m apart and a little off; the fourth column and those east of
/// it stand beyond the wall. A hundred metres of head more there.
fn site(wall: bool) -> (Site, Round) {
    let of = |k: u32| {
        let (column, row) = (k % 6, k / 6);
        let (x, y) = (480_000 + 70 * column + k * k % 7, 4_980_000 + 75 * row + k * 3 % 11);
        let head = 100.0 + f64::from(k) / 8.0 + if column > 2 { 100.0 } else { 0.0 };
        let id = format!("W{k}");
        let reading = Reading::new(&id, Measurement::Elevation(head));
        (Well::new(&id, f64::from(x), f64::from(y)), reading)
    };
    let (wells, readings) = (0..36).map(of).unzip();
    let settings = Settings::local("Test yard", LengthUnit::Metre, LengthUnit::Metre);
    let round = Round::new("one", readings, &settings);
    let mut site = Site::new(settings, wells);
    if wall {
        let line = vec![(480_180.0, 4_979_900.0), (480_180.0, 4_980_600.0)].into();
        let (name, origin) = ("wall".to_owned(), Origin::file("a test"));
        site.features.barriers.push(Barrier { name, line, origin });
    }
    (site, round)
}

#[test]
fn a_method_of_one_file_is_mapped_compared_and_parted_by_a_wall() {
    for wall in [false, true] {
        let (site, round) = site(wall);
        let reduced = reduce::round(&site, &round).expect("heads").value;
        let control = check::control(&site, &round, &reduced).expect("control points").value;
        let mesh = triangulate::mesh(&control).value;
        let sds = vec![0.01; mesh.heads().len()];
        // Any method whose surface is not planes: the table has no row for the example.
        let settings =
            &SurfaceSettings { method: Method::NaturalNeighbour, ..site.settings.surface.clone() };
        let basis = Basis::new(&site, &control, &mesh, &sds).expect("a basis");
        let ready =
            Ready::each_alone(&basis, settings, |_, _, sample| Ok(nearest_well::through(sample)));
        let surface = SiteSurface::of(&basis, settings, ready).expect("a surface");

        // Wells are seen where no wall stands between.
        let wall_x = control.frame().to_local(Coord { x: 480_180.0, y: 4_980_000.0 }).x;
        let head = |p: Coord, left_out: Option<usize>| {
            let seen = |q: Coord| !wall || (p.x < wall_x) == (q.x < wall_x);
            let local = mesh.local();
            let of = (0..local.len()).filter(|i| Some(*i) != left_out && seen(local[*i]));
            let near = |i: &usize| distance(local[*i], p);
            mesh.heads()[of.min_by(|a, b| near(a).total_cmp(&near(b))).expect("a well")]
        };

        let (low, high) = control.bounds();
        let spec = GridSpec::choose(low, high, Some(10.0), "m").expect("a grid");
        let drawn = surface.draw(spec).expect("heads");
        let mut nodes = 0;
        for k in 0..spec.rows * spec.columns {
            let (row, column) = (k / spec.columns, k % spec.columns);
            let Some(found) = drawn.heads.head(row, column) else { continue };
            let p = control.frame().to_local(spec.node(row, column));
            assert!((found - head(p, None)).abs() < 1e-9, "wall {wall}: {found} at {p:?}");
            nodes += 1;
        }
        assert!(nodes > 1000, "{nodes} nodes have a head");

        let (left_out, _) = surface.leave_one_out(&InTurn::of(&basis)).expect("heads");
        let mut wells = 0;
        for (i, found) in left_out.iter().enumerate() {
            let Some(found) = found else { continue };
            let expected = head(mesh.local()[i], Some(i));
            assert!((found.head - expected).abs() < 1e-9, "wall {wall}: {} at {i}", found.head);
            assert_eq!(found.standardised, None);
            wells += 1;
        }
        assert!(wells > 25, "{wells} wells have a head from the others");
    }
}

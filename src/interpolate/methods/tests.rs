//! The example of DEVELOPERS.md on a site, with and without a wall.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use geo::Coord;

use super::nearest_well;
use crate::check;
use crate::geom::distance;
use crate::interpolate::basis::Basis;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::past_barriers::InTurn;
use crate::interpolate::ready::Ready;
use crate::interpolate::site_surface::SiteSurface;
use crate::read;
use crate::read::{Method, SurfaceSettings};
use crate::reduce;
use crate::triangulate;

const WALL: &str = "wkt\n\"LINESTRING (480180 4979900, 480180 4980600)\"\n";

/// Wells on six columns by six rows, 70 m apart and a little off; the fourth column and those east of
/// it stand beyond the wall. A hundred metres of head more there.
fn site(folder: &Path, wall: bool) {
    let (mut register, mut round) =
        ("id,easting,northing\n".to_owned(), "id,date,water level elevation (m)\n".to_owned());
    for k in 0..36_u32 {
        let (column, row) = (k % 6, k / 6);
        let (x, y) = (480_000 + 70 * column + k * k % 7, 4_980_000 + 75 * row + k * 3 % 11);
        let _ = writeln!(register, "W{k},{x},{y}");
        let head = 100.0 + f64::from(k) / 8.0 + if column > 2 { 100.0 } else { 0.0 };
        let _ = writeln!(round, "W{k},2026-04-14,{head}");
    }
    let mut settings =
        "[site]\nname = \"Test yard\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
                        vertical_datum = \"NAVD 88\"\n"
            .to_owned();
    if wall {
        settings += "[features]\nbarriers = { file = \"wall.csv\", crs = \"EPSG:26915\" }\n";
    }
    fs::create_dir(folder.join("rounds")).expect("a folder");
    for (file, text) in [
        ("site.toml", settings.as_str()),
        ("wells.csv", &register),
        ("rounds/one.csv", &round),
        ("wall.csv", WALL),
    ] {
        fs::write(folder.join(file), text).expect("a file");
    }
}

#[test]
fn a_method_of_one_file_is_mapped_compared_and_parted_by_a_wall() {
    for wall in [false, true] {
        let folder = tempfile::tempdir().expect("a folder");
        site(folder.path(), wall);
        let read = read::site_and_round(folder.path(), &read::Overrides::default());
        let (site, round) = read.expect("a site").value;
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

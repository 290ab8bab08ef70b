//! The Wolfcamp round: 85 heads of a deep aquifer in Texas, mapped as a user would map them.
//!
//! Data: `data/wolfcamp/wolfcamp_85.csv`, with its provenance (Harper and Furr 1986, a US
//! government contractor report). The coordinates are miles from an arbitrary origin; they are
//! laid on UTM zone 14 here, near its central meridian, where the scale needs no correction.
//!
//! Expected values: the least-squares plane of an independent published regression and its
//! recomputation, 9.0234 ft/mi toward 48.44 degrees; triangle count, outline and the area-weighted
//! mean from SciPy's Delaunay triangulation (158 triangles, 10 outline wells, 8.7886 ft/mi toward
//! 56.228 degrees).

use std::fmt::Write as _;

use headfall::diag::Code;
use headfall::read::Overrides;

use crate::support::{Folder, map, near, of, rows};

const METRES_PER_MILE: f64 = 1609.344;
const FEET_PER_MILE: f64 = 5280.0;

fn table() -> String {
    let mut text = "Well,Easting (m),Northing (m),Head (ft)\n".to_owned();
    for (i, row) in rows("wolfcamp/wolfcamp_85.csv").iter().enumerate() {
        let miles = |name: &str| row[name].parse::<f64>().expect("a number");
        let _ = writeln!(
            text,
            "W{},{},{},{}",
            i + 1,
            500_000.0 + miles("x_mi") * METRES_PER_MILE,
            3_700_000.0 + miles("y_mi") * METRES_PER_MILE,
            row["head_ft"]
        );
    }
    text
}

#[test]
fn plane_triangles_and_mean_are_the_published_ones() {
    let folder = Folder::new();
    let file = folder.file("wolfcamp.csv", table());
    let overrides = Overrides {
        crs: Some("EPSG:32614".into()),
        cell: Some(2000.0),
        interval: Some(100.0),
        ..Overrides::default()
    };
    let (map, findings) = map(&file, &overrides);
    let map = map.expect("a map");
    assert_eq!(map.control.points().len(), 85, "every well carries the map");
    assert!(!map.control.scale_corrected(), "the scale is within 0.1 % of one");

    let plane = &map.flow;
    near(plane.plane_gradient * FEET_PER_MILE, 9.023_417_723_5, 1e-8 * 9.0);
    near(plane.plane_azimuth_grid.expect("a direction").degrees(), 48.439_968_016_67, 1e-7);
    near(plane.plane.r_squared.expect("R2"), 0.892_036_837, 1e-8);
    near(plane.plane.residual_sd.expect("s") / 0.3048, 203.307_496_6, 1e-6);

    assert_eq!(map.mesh.triangles().len(), 158, "2 x 85 - 2 - 10 triangles");
    assert_eq!(map.mesh.hull().len(), 10, "wells on the outline");
    near(plane.mean.gradient * FEET_PER_MILE, 8.788_627_263_2, 1e-7);
    near(plane.mean.azimuth_grid.expect("a direction").degrees(), 56.228_123_272, 1e-6);

    assert!(
        of(Code::SharedPosition, &findings).is_empty() && !map.contours.lines.is_empty(),
        "a clean map with contours"
    );
}

#[test]
fn the_row_order_of_the_table_does_not_matter() {
    let text = table();
    let mut lines: Vec<&str> = text.lines().collect();
    lines[1..].reverse();
    lines[1..].rotate_left(31);
    let overrides = Overrides {
        crs: Some("EPSG:32614".into()),
        cell: Some(2000.0),
        interval: Some(100.0),
        ..Overrides::default()
    };
    let drawn = |text: &str| {
        let folder = Folder::new();
        let file = folder.file("wolfcamp.csv", text);
        map(&file, &overrides).0.expect("a map")
    };
    let (a, b) = (drawn(&text), drawn(&lines.join("\n")));
    assert_eq!(a.contours, b.contours, "the same contours, to the last bit");
    assert_eq!(a.flow, b.flow, "the same gradients, to the last bit");
    assert_eq!(a.mesh.triangles(), b.mesh.triangles(), "the same triangles");
}

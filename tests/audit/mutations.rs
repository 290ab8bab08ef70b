//! The audit can fail: one number of each kind is changed in a set that is right, and the check that
//! it belongs to speaks.

use serde_json::{Value, json};

use super::site::Site;
use super::written::Written;
use super::{CHECKS, Check};
use crate::support::{absurd_numbers, text};

/// A linear site of many wells without anything beside them, no lattice, where nodes may all stand on
/// sides of triangles: all checks apply to it.
struct Right {
    site: Site,
    written: Written,
}

impl Right {
    fn new() -> Self {
        let plain = |site: &Site| {
            let beside = site.boundary || site.barrier;
            site.method == "linear"
                && site.base.is_none()
                && !beside
                && !site.what.contains("Lattice")
        };
        let mut sites = (1000..).map(Site::of).filter(plain);
        loop {
            let site = sites.next().expect("lots do not end");
            assert_eq!(site.draw().status.code(), Some(0), "{}", site.what);
            let written = Written::read(&site.out());
            if written.lines.len() > 5 && written.triangles.iter().any(|t| t.resolved && t.known) {
                let right = Self { site, written };
                assert_eq!(right.after(|_| {}), Vec::<String>::new(), "{}", right.site.what);
                return right;
            }
        }
    }

    /// What all checks say after a change.
    fn after(&self, change: impl FnOnce(&mut Written)) -> Vec<String> {
        let mut changed = self.written.clone();
        change(&mut changed);
        let says = |check: &Check| check(&self.site, &changed);
        CHECKS.iter().flat_map(says).collect()
    }

    #[track_caller]
    fn says(&self, part: &str, change: &dyn Fn(&mut Written)) {
        let found = self.after(change);
        assert!(found.iter().any(|c| c.contains(part)), "{part}: {found:#?}");
    }
}

/// A change of one cell of a triangle.
fn columns(at: usize, column: &'static str, of: fn(f64) -> f64) -> impl Fn(&mut Written) {
    move |w: &mut Written| {
        let cell = w.triangles[at].values.get_mut(column).expect(column);
        *cell = cell.map(of);
    }
}

#[test]
fn the_checks_of_lines_speak() {
    let right = Right::new();
    // The longest line, away from the outline.
    let long = (0..right.written.lines.len()).max_by_key(|i| right.written.lines[*i].points.len());
    let long = long.expect("a line");
    let middle = right.written.lines[long].points.len() / 2;
    for axis in [0, 1] {
        right
            .says("is off its level", &|w| w.lines[long].points[middle][axis] += 0.3 * w.grid.cell);
    }
    right.says("on its right", &|w| w.lines[long].points.reverse());
    right.says("not among the levels", &|w| w.lines[0].level += 1e-3);
    right.says("closed is", &|w| w.lines[0].closed = !w.lines[0].closed);
    right.says("no line of", &|w| drop(w.lines.remove(long)));
}

#[test]
fn the_checks_of_triangles_speak() {
    let right = Right::new();
    let resolved = right.written.triangles.iter().position(|t| t.resolved).expect("one");
    right.says("head 2 is", &columns(0, "head_2_m", |h| h + 0.001));
    right.says("its area is", &columns(0, "area_m2", |a| a * 1.001));
    right.says("its gradient is", &columns(resolved, "gradient", |g| g * 1.0001));
    right.says("from grid north", &columns(resolved, "flow_azimuth_grid_deg", |a| a + 0.02));
    right.says("from true north", &columns(resolved, "flow_azimuth_true_deg", |a| a - 0.02));
    right.says("is not within", &columns(resolved, "gradient_high", |g| g * 0.01));
    right.says("is not within", &columns(0, "gradient_low", |g| g + 1.0));
    let known = right.written.triangles.iter().position(|t| t.known).expect("one");
    right.says("known true, its direction and its arc", &|w| {
        // The arc ends too far before the direction.
        let values = &mut w.triangles[known].values;
        let before = |by: f64| values["flow_azimuth_true_deg"].map(|a| a - by);
        let ends = [("from", before(40.5)), ("to", before(30.5))];
        values.extend(ends.map(|(end, a)| (format!("flow_azimuth_true_{end}_deg"), a)));
    });
    right.says("known true, its direction and its arc", &|w| {
        w.triangles[known].values.insert("flow_azimuth_true_from_deg".to_owned(), None);
    });
    right.says("it is said to have one", &|w| w.triangles[known].marks = "sliver".to_owned());
    right.says("it is resolved and may be level", &columns(resolved, "gradient_low", |_| 0.0));
    right.says("the plane: resolved, its arc", &|w| {
        w.summary["flow"]["plane"]["direction_resolved"] = json!(false);
    });
    right.says("spreads by", &columns(0, "direction_spread_deg", |_| -1.0));
    right.says("it has no gradient", &|w| {
        w.triangles[0].values.extend([("gradient".to_owned(), None)]);
    });
    right.says("the triangles cover", &|w| drop(w.triangles.pop()));
    right.says("lies in the circle of", &|w| {
        // A corner is moved to the well that is farthest from it.
        let from = w.corners(&w.triangles[0])[0].place;
        let away = |name: &&String| {
            let [x, y] = w.wells[*name].place;
            (x - from[0]).hypot(y - from[1])
        };
        let far = w.wells.keys().max_by(|a, b| away(a).total_cmp(&away(b)));
        w.triangles[0].wells[0] = far.expect("a well").clone();
    });
}

#[test]
fn the_checks_of_the_plane_speak() {
    let right = Right::new();
    for (key, part) in [
        ("gradient", "the plane's gradient"),
        ("flow_azimuth_grid_deg", "the plane flows toward"),
        ("r_squared", "the plane's r_squared"),
        ("residual_sd_m", "the plane's residual_sd_m"),
        ("gradient_low", "the plane: gradient"),
    ] {
        right.says(part, &|w| {
            let value = &mut w.summary["flow"]["plane"][key];
            *value = json!(value.as_f64().expect(key) + 1.0);
        });
    }
    right.says("the plane's gradient is None", &|w| {
        w.summary["flow"]["plane"]["gradient"] = Value::Null;
    });
}

#[test]
fn the_checks_of_nodes_speak() {
    let right = Right::new();
    right.says("the node at", &|w| {
        let middle = w.grid.heads.iter().position(|h| h.is_finite()).expect("a head");
        w.grid.heads[middle] += 0.01;
    });
    right.says("has no head", &|w| {
        // A node away from the outline.
        let heads: Vec<usize> =
            (0..w.grid.heads.len()).filter(|k| w.grid.heads[*k].is_finite()).collect();
        w.grid.heads[heads[heads.len() / 2]] = f64::NAN;
    });
}

#[test]
fn the_checks_of_layers_speak() {
    let right = Right::new();
    let layer = |w: &mut Written, name: &str, path: &str, value: Value| {
        *w.layers.get_mut(name).expect(name).pointer_mut(path).expect(path) = value;
    };
    let ring = |w: &Written| {
        w.layers["triangles"]["features"][0]["geometry"]["coordinates"][0].as_array().cloned()
    };
    let of_ring = "/features/0/geometry/coordinates/0";
    right.says("runs clockwise", &|w| {
        let reversed: Vec<Value> = ring(w).into_iter().flatten().rev().collect();
        layer(w, "triangles", of_ring, reversed.into());
    });
    right.says("is not closed", &|w| {
        let mut open = ring(w).expect("a ring");
        open[0] = json!([open[0][0].as_f64().expect("lon") + 0.1, open[0][1]]);
        layer(w, "triangles", of_ring, open.into());
    });
    right.says("no longitude and latitude", &|w| {
        layer(w, "flow", "/features/0/geometry/coordinates/0", json!(180.5));
    });
    right.says("no longitude and latitude", &|w| {
        layer(w, "flow", "/features/0/geometry/coordinates/1", json!(null));
    });
    right.says("crosses the 180th meridian", &|w| {
        let line = json!([[-179.9, 10.0], [179.9, 10.0]]);
        layer(
            w,
            "contours",
            "/features/0/geometry",
            json!({"type": "LineString", "coordinates": line}),
        );
    });
    right.says("no plain collection", &|w| layer(w, "wells", "/type", json!("GeometryCollection")));
    right.says("stands at", &|w| {
        let lon = w.layers["wells"]["features"][0]["geometry"]["coordinates"][0].as_f64();
        let off = json!(lon.expect("lon") + 1e-6);
        layer(w, "wells", "/features/0/geometry/coordinates/0", off);
    });
}

/// Where a number is none, in any of the texts.
#[test]
fn a_number_that_is_none_is_seen_in_every_text() {
    let right = Right::new();
    let out = right.site.out();
    assert_eq!(absurd_numbers(&out), Vec::<String>::new());
    for name in
        ["summary.json", "wells.geojson", "triangles.csv", "heads.csv", "report.html", "map.svg"]
    {
        let path = out.join(name);
        let text = text(&path);
        std::fs::write(&path, text.clone() + "\n0.5 NaN\n").expect(name);
        let found = absurd_numbers(&out);
        assert!(matches!(&found[..], [one] if one.contains(name)), "{name}: {found:?}");
        std::fs::write(&path, text).expect(name);
    }
}

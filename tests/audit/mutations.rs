//! The audit can fail: one number of each kind is changed in a set that is right, and the check that
//! it belongs to speaks.

use serde_json::{Value, json};

use super::site::Site;
use super::written::Written;
use super::{CHECKS, Check};
use crate::support::absurd_numbers;

/// A linear site of many wells without anything beside them: all checks apply to it.
fn right() -> (Site, Written) {
    let plain = |site: &Site| {
        site.method == "linear" && site.base.is_none() && !site.boundary && !site.barrier
    };
    let mut sites = (1000..).map(Site::of).filter(plain);
    loop {
        let site = sites.next().expect("lots do not end");
        assert_eq!(site.draw().status.code(), Some(0), "{}", site.what);
        let written = Written::read(&site.out());
        if written.lines.len() > 5 && written.triangles.iter().any(|t| t.resolved) {
            return (site, written);
        }
    }
}

/// What all checks say of a set after a change.
fn after(site: &Site, written: &Written, change: impl FnOnce(&mut Written)) -> Vec<String> {
    let mut changed = written.clone();
    change(&mut changed);
    let says = |check: &Check| check(site, &changed);
    CHECKS.iter().flat_map(says).collect()
}

#[test]
fn every_check_speaks_when_its_number_is_changed() {
    let (site, written) = right();
    assert_eq!(after(&site, &written, |_| {}), Vec::<String>::new(), "{}", site.what);
    let says = |part: &str, change: &dyn Fn(&mut Written)| {
        let found = after(&site, &written, change);
        assert!(found.iter().any(|c| c.contains(part)), "{part}: {found:#?}");
    };
    let columns = |at: usize, column: &'static str, of: fn(f64) -> f64| {
        move |w: &mut Written| {
            let cell = w.triangles[at].values.get_mut(column).expect(column);
            *cell = cell.map(of);
        }
    };
    let resolved = written.triangles.iter().position(|t| t.resolved).expect("one");

    // The longest line, away from the outline.
    let long = (0..written.lines.len()).max_by_key(|i| written.lines[*i].points.len());
    let long = long.expect("a line");
    let middle = written.lines[long].points.len() / 2;
    for axis in [0, 1] {
        says("is off its level", &|w| w.lines[long].points[middle][axis] += 0.3 * w.grid.cell);
    }
    says("on its right", &|w| w.lines[long].points.reverse());
    says("not among the levels", &|w| w.lines[0].level += 1e-3);
    says("closed is", &|w| w.lines[0].closed = !w.lines[0].closed);
    says("no line of", &|w| drop(w.lines.remove(long)));

    says("head 2 is", &columns(0, "head_2_m", |h| h + 0.001));
    says("its area is", &columns(0, "area_m2", |a| a * 1.001));
    says("its gradient is", &columns(resolved, "gradient", |g| g * 1.0001));
    says("from grid north", &columns(resolved, "flow_azimuth_grid_deg", |a| a + 0.02));
    says("from true north", &columns(resolved, "flow_azimuth_true_deg", |a| a - 0.02));
    says("is not within", &columns(resolved, "gradient_high", |g| g * 0.01));
    says("is not within", &columns(0, "gradient_low", |g| g + 1.0));
    says("its arc and its direction", &|w| {
        // The arc ends before the direction.
        let values = &mut w.triangles[resolved].values;
        let end = values["flow_azimuth_true_deg"].map(|a| a - 0.1);
        values.insert("flow_azimuth_true_to_deg".to_owned(), end);
    });
    says("its arc and its direction", &|w| w.triangles[resolved].resolved = false);
    says("spreads by", &columns(0, "direction_spread_deg", |_| -1.0));
    says("it has no gradient", &|w| w.triangles[0].values.extend([("gradient".to_owned(), None)]));
    says("the triangles cover", &|w| drop(w.triangles.pop()));
    says("lies in the circle of", &|w| {
        // A corner is moved to a well that is no corner of the triangle, far from it.
        let far = w.wells.keys().rev().find(|name| !w.triangles[0].wells.contains(name));
        w.triangles[0].wells[0] = far.expect("a well").clone();
    });

    for (key, part) in [
        ("gradient", "the plane's gradient"),
        ("flow_azimuth_grid_deg", "the plane flows toward"),
        ("r_squared", "the plane's r_squared"),
        ("residual_sd_m", "the plane's residual_sd_m"),
        ("gradient_low", "the plane: gradient"),
    ] {
        says(part, &|w| {
            let value = &mut w.summary["flow"]["plane"][key];
            *value = json!(value.as_f64().expect(key) + 1.0);
        });
    }
    says("the plane's gradient is None", &|w| w.summary["flow"]["plane"]["gradient"] = Value::Null);

    says("the node at", &|w| {
        let middle = w.grid.heads.iter().position(|h| h.is_finite()).expect("a head");
        w.grid.heads[middle] += 0.01;
    });
    says("has no head", &|w| {
        let count = w.grid.heads.len();
        let within = (count / 2..count).find(|k| w.grid.heads[*k].is_finite()).expect("a head");
        w.grid.heads[within] = f64::NAN;
    });

    let layer = |w: &mut Written, name: &str, path: &str, value: Value| {
        *w.layers.get_mut(name).expect(name).pointer_mut(path).expect(path) = value;
    };
    let ring = |w: &Written| {
        w.layers["triangles"]["features"][0]["geometry"]["coordinates"][0].as_array().cloned()
    };
    let of_ring = "/features/0/geometry/coordinates/0";
    says("runs clockwise", &|w| {
        let reversed: Vec<Value> = ring(w).into_iter().flatten().rev().collect();
        layer(w, "triangles", of_ring, reversed.into());
    });
    says("is not closed", &|w| {
        let mut open = ring(w).expect("a ring");
        open[0] = json!([open[0][0].as_f64().expect("lon") + 0.1, open[0][1]]);
        layer(w, "triangles", of_ring, open.into());
    });
    says("no longitude and latitude", &|w| {
        layer(w, "flow", "/features/0/geometry/coordinates/0", json!(180.5));
    });
    says("no longitude and latitude", &|w| {
        layer(w, "flow", "/features/0/geometry/coordinates/1", json!(null));
    });
    says("crosses the 180th meridian", &|w| {
        let line = json!([[-179.9, 10.0], [179.9, 10.0]]);
        layer(
            w,
            "contours",
            "/features/0/geometry",
            json!({"type": "LineString", "coordinates": line}),
        );
    });
    says("no plain collection", &|w| layer(w, "wells", "/type", json!("GeometryCollection")));
    says("stands at", &|w| {
        let lon = w.layers["wells"]["features"][0]["geometry"]["coordinates"][0].as_f64();
        let off = json!(lon.expect("lon") + 1e-6);
        layer(w, "wells", "/features/0/geometry/coordinates/0", off);
    });
}

/// Where a number is none, in any of the texts.
#[test]
fn a_number_that_is_none_is_seen_in_every_text() {
    let (site, _) = right();
    let out = site.out();
    assert_eq!(absurd_numbers(&out), Vec::<String>::new());
    for name in
        ["summary.json", "wells.geojson", "triangles.csv", "heads.csv", "report.html", "map.svg"]
    {
        let path = out.join(name);
        let text = std::fs::read_to_string(&path).expect(name);
        std::fs::write(&path, text.clone() + "\n0.5 NaN\n").expect(name);
        let found = absurd_numbers(&out);
        assert!(matches!(&found[..], [one] if one.contains(name)), "{name}: {found:?}");
        std::fs::write(&path, text).expect(name);
    }
}

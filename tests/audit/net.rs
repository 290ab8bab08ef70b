//! Triangles and the plane: empty circles, the outline covered, gradients and directions from the
//! corners' heads, intervals that hold what they are intervals of.

use super::site::Site;
use super::written::{Place, Triangle, Well, Written};

/// Twice the area, counter-clockwise positive.
fn doubled([a, b, c]: [Place; 3]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
}

fn apart(a: Place, b: Place) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The rise of the plane through three places, to east and north.
pub(super) fn slope(corners: [Place; 3], heads: [f64; 3]) -> [f64; 2] {
    let [a, b, c] = corners;
    let (p, q) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
    let (hp, hq) = (heads[1] - heads[0], heads[2] - heads[0]);
    let twice = doubled(corners);
    [(hp * q[1] - hq * p[1]) / twice, (hq * p[0] - hp * q[0]) / twice]
}

/// Where the water goes: degrees clockwise from grid north, down a slope.
fn azimuth([east, north]: [f64; 2]) -> f64 {
    (-east).atan2(-north).to_degrees().rem_euclid(360.0)
}

/// How far two directions are from each other, degrees.
fn turn(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(360.0);
    turn.min(360.0 - turn)
}

/// A direction is known when the true one is within so many degrees of it with 95 %: the default.
const KNOWN_WITHIN: f64 = 30.0;

/// Whether a direction lies in the arc clockwise from one to another, give or take the last digit.
fn in_arc(azimuth: f64, from: f64, to: f64) -> bool {
    const DIGIT: f64 = 0.011;
    let width = (to - from).rem_euclid(360.0);
    // An arc that is no whole circle is less than half of one.
    width <= 180.0 + DIGIT && (azimuth - from + DIGIT).rem_euclid(360.0) <= width + 2.0 * DIGIT
}

/// The metres on the ground in one CRS unit, and in one unit of head.
fn metres(site: &Site, written: &Written) -> (f64, f64) {
    let flow = &written.summary["flow"];
    let scale = match flow["distances_corrected"].as_bool() {
        Some(true) => flow["scale"].as_f64().expect("a scale"),
        _ => 1.0,
    };
    let unit = match written.summary["elevation_unit"].as_str() {
        Some("m") => 1.0,
        Some("ft") => 0.3048,
        Some("ft-us") => 1200.0 / 3937.0,
        other => panic!("{other:?}"),
    };
    (site.metres_per_unit / scale, unit)
}

pub(super) fn complaints(site: &Site, written: &Written) -> Vec<String> {
    let mut found = Vec::new();
    let (ground, unit) = metres(site, written);
    let north = North::of(site.crs);
    for triangle in &written.triangles {
        for complaint in of_triangle(triangle, written, (ground, unit), &north) {
            found.push(format!("triangle {}: {complaint}", triangle.id));
        }
    }
    found.extend(empty_circles(written));
    if !site.barrier {
        found.extend(covered(written));
    }
    found.extend(plane(written, (ground, unit)));
    found
}

fn of_triangle(
    triangle: &Triangle,
    written: &Written,
    (ground, unit): (f64, f64),
    north: &North,
) -> Vec<String> {
    let mut found = Vec::new();
    let wells = written.corners(triangle);
    let corners = wells.map(|w| w.place);
    // Places of streams are rounded to 0.0001 units in the files, and those of wells are not.
    let rounded = if wells.iter().any(|w| w.of_stream) { 1e-4 } else { 0.0 };
    for (k, well) in (1..).zip(wells) {
        let head = triangle.value(&format!("head_{k}_m"));
        if head.is_none_or(|h| (h - well.head * unit).abs() > 6e-5) {
            found.push(format!("head {k} is {head:?} m, not {} units", well.head));
        }
    }
    let (area, longest) = (doubled(corners).abs() / 2.0 * ground * ground, longest(corners));
    let height = doubled(corners).abs() / longest;
    let off = rounded / height.max(1e-9);
    let told = triangle.value("area_m2").unwrap_or(f64::NAN);
    if (told - area).abs() > 0.006 + area * (1e-7 + off) {
        found.push(format!("its area is {told}, not {area}"));
    }
    let Some(gradient) = triangle.value("gradient") else {
        if !triangle.marks.contains("one-line") {
            found.push("it has no gradient and is not on one line".to_owned());
        }
        return found;
    };
    let rise = slope(corners, wells.map(|w| w.head * unit)).map(|s| s / ground);
    let own = rise[0].hypot(rise[1]);
    if (gradient - own).abs() > own * (1e-5 + off) {
        found.push(format!("its gradient is {gradient}, not {own}"));
    }
    let [grid, to_true] =
        ["flow_azimuth_grid_deg", "flow_azimuth_true_deg"].map(|c| triangle.value(c));
    match (grid, to_true) {
        (None, None) if gradient == 0.0 => {}
        (Some(grid), Some(to_true)) if gradient > 0.0 => {
            if turn(grid, azimuth(rise)) > 0.006 + off.to_degrees() {
                found
                    .push(format!("it flows toward {grid} from grid north, not {}", azimuth(rise)));
            }
            let centre = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 3.0);
            let expected = azimuth(rise) + north.convergence(centre);
            if turn(to_true, expected) > 0.007 + off.to_degrees() {
                found.push(format!("it flows toward {to_true} from true north, not {expected}"));
            }
        }
        odd => found.push(format!("with gradient {gradient} it flows toward {odd:?}")),
    }
    found.extend(magnitude(gradient, ["gradient_low", "gradient_high"].map(|c| triangle.value(c))));
    found.extend(known(triangle, to_true));
    let spread = triangle.value("direction_spread_deg");
    if spread.is_some_and(|s| !(0.0..=180.0).contains(&s)) {
        found.push(format!("its direction spreads by {spread:?} degrees"));
    }
    found
}

/// A gradient in its interval.
fn magnitude(gradient: f64, [low, high]: [Option<f64>; 2]) -> Option<String> {
    // To six digits each.
    let within = |low: f64, high: f64| {
        0.0 <= low && low <= gradient * (1.0 + 1e-5) && gradient <= high * (1.0 + 1e-5)
    };
    let holds = low.zip(high).is_some_and(|(low, high)| within(low, high));
    (!holds).then(|| format!("gradient {gradient} is not within {low:?} to {high:?}"))
}

/// What is said of a triangle's direction. Its interval is that of the true direction, which the
/// wells around the triangle tell of too: the triangle's own may lie beyond it, but is not known
/// when it lies farther from it than [`KNOWN_WITHIN`].
fn known(triangle: &Triangle, azimuth: Option<f64>) -> Vec<String> {
    let mut found = Vec::new();
    let ends = ["flow_azimuth_true_from_deg", "flow_azimuth_true_to_deg"];
    let arc = ends.map(|column| triangle.value(column));
    let is_marked = !matches!(triangle.marks.as_str(), "" | "outside-boundary");
    let said = triangle.resolved || triangle.known || arc.iter().any(Option::is_some);
    if said && (is_marked || azimuth.is_none()) {
        let marks = &triangle.marks;
        found.push(format!(
            "with marks \"{marks}\" and the direction {azimuth:?} it is said to have one"
        ));
    }
    if triangle.resolved && triangle.value("gradient_low").is_none_or(|low| low <= 0.0) {
        found.push("it is resolved and may be level".to_owned());
    }
    let near = |azimuth: f64, [from, to]: [f64; 2]| {
        in_arc(azimuth, from, to)
            || [from, to].iter().any(|end| turn(*end, azimuth) <= KNOWN_WITHIN)
    };
    match (azimuth, arc) {
        (_, [None, None]) if !triangle.known => {}
        (Some(azimuth), [Some(from), Some(to)]) if !triangle.known || near(azimuth, [from, to]) => {
        }
        odd => {
            found.push(format!("known {}, its direction and its arc are {odd:?}", triangle.known));
        }
    }
    found
}

fn longest([a, b, c]: [Place; 3]) -> f64 {
    apart(a, b).max(apart(b, c)).max(apart(c, a))
}

/// No well lies within the circle through the corners of a triangle.
fn empty_circles(written: &Written) -> Vec<String> {
    let wells: Vec<(&String, &Well)> = written.wells.iter().collect();
    let mut found = Vec::new();
    for triangle in &written.triangles {
        let [a, b, c] = written.corners(triangle).map(|w| w.place);
        let twice = 2.0 * doubled([a, b, c]);
        let (p, q) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
        let (pp, qq) = (p[0] * p[0] + p[1] * p[1], q[0] * q[0] + q[1] * q[1]);
        let centre = [(q[1] * pp - p[1] * qq) / twice, (p[0] * qq - q[0] * pp) / twice];
        let radius = centre[0].hypot(centre[1]);
        let centre = [a[0] + centre[0], a[1] + centre[1]];
        // What rounding of places does to the circle of a thin triangle grows with its radius.
        let thin = longest([a, b, c]).powi(2) / (twice / 2.0).abs();
        let slack = 1e-3 + radius * (1e-9 + 1e-4 * thin * f64::EPSILON.sqrt());
        if !radius.is_finite() || triangle.marks.contains("one-line") {
            continue;
        }
        for (name, well) in &wells {
            if !triangle.wells.contains(name) && radius - apart(centre, well.place) > slack {
                found.push(format!("well {name} lies in the circle of triangle {}", triangle.id));
            }
        }
    }
    found
}

/// The triangles cover the outline of the wells, once.
fn covered(written: &Written) -> Vec<String> {
    let areas =
        written.triangles.iter().map(|t| doubled(written.corners(t).map(|w| w.place)).abs() / 2.0);
    let (sum, outline) = (areas.sum::<f64>(), hull_area(written.wells.values().map(|w| w.place)));
    // Wells that stand on one side of the outline but for rounding leave nothing between them, and
    // places of streams have four decimals.
    let rounded = if written.wells.values().any(|w| w.of_stream) { 1e-4 } else { 0.0 };
    let complaint = || format!("the triangles cover {sum} of {outline} square units");
    let slack = 1e-3 + 1e-7 * outline + rounded * outline.sqrt();
    ((sum - outline).abs() > slack).then(complaint).into_iter().collect()
}

/// The area of the convex hull, by Andrew's chains.
fn hull_area(places: impl Iterator<Item = Place>) -> f64 {
    let mut places: Vec<Place> = places.collect();
    places.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let chain = |places: &mut dyn Iterator<Item = &Place>| {
        let mut chain: Vec<Place> = Vec::new();
        for p in places {
            while let [.., a, b] = chain[..] {
                if doubled([a, b, *p]) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(*p);
        }
        chain.pop();
        chain
    };
    let mut ring = chain(&mut places.iter());
    ring.extend(chain(&mut places.iter().rev()));
    let first = ring[0];
    ring.windows(2).map(|pair| doubled([first, pair[0], pair[1]]) / 2.0).sum()
}

/// The plane through all wells by least squares, its fit, and its intervals.
fn plane(written: &Written, (ground, unit): (f64, f64)) -> Vec<String> {
    let wells: Vec<&Well> = written.wells.values().filter(|w| !w.of_stream).collect();
    let n = wells.len() as f64;
    let mean = |of: &dyn Fn(&Well) -> f64| wells.iter().map(|w| of(w)).sum::<f64>() / n;
    let first = wells[0];
    let rows: Vec<[f64; 3]> = {
        let [x, y] = [0, 1].map(|k| mean(&|w| w.place[k] - first.place[k]));
        let h = mean(&|w| w.head - first.head);
        let row = |w: &&Well| {
            let [dx, dy] = [0, 1].map(|k| w.place[k] - first.place[k]);
            [(dx - x) * ground, (dy - y) * ground, (w.head - first.head - h) * unit]
        };
        wells.iter().map(row).collect()
    };
    let sum = |a: usize, b: usize| rows.iter().map(|r| r[a] * r[b]).sum::<f64>();
    let determinant = sum(0, 0) * sum(1, 1) - sum(0, 1) * sum(0, 1);
    let east = (sum(1, 1) * sum(0, 2) - sum(0, 1) * sum(1, 2)) / determinant;
    let north = (sum(0, 0) * sum(1, 2) - sum(0, 1) * sum(0, 2)) / determinant;
    let squares: f64 = rows.iter().map(|r| (r[2] - east * r[0] - north * r[1]).powi(2)).sum();
    let told = &written.summary["flow"]["plane"];
    let gradient = east.hypot(north);
    let (spare, relief) = (wells.len() > 3, sum(2, 2));
    let mut found = Vec::new();
    for (what, own, slack) in [
        // Of level heads the fit leaves dust.
        ("gradient", Some(gradient), 1e-5 * gradient + 1e-15),
        ("r_squared", (spare && relief > 1e-20).then(|| 1.0 - squares / relief), 2e-6),
        ("residual_sd_m", spare.then(|| (squares / (n - 3.0)).sqrt()), 6e-5),
    ] {
        let value = told[what].as_f64();
        let off = value.zip(own).map(|(a, b)| (a - b).abs());
        if value.is_some() != own.is_some() || off.is_some_and(|off| off > slack) {
            found.push(format!("the plane's {what} is {value:?}, not {own:?}"));
        }
    }
    let own = (told["gradient"] != 0.0).then(|| azimuth([east, north]));
    let value = told["flow_azimuth_grid_deg"].as_f64();
    let off = value.zip(own).map(|(a, b)| turn(a, b));
    if value.is_some() != own.is_some() || off.is_some_and(|off| off > 0.006) {
        found.push(format!("the plane flows toward {value:?}, not {own:?}"));
    }
    let ends = ["gradient_low", "gradient_high"].map(|key| told[key].as_f64());
    let arc = ["flow_azimuth_true_from_deg", "flow_azimuth_true_to_deg"].map(|k| told[k].as_f64());
    let resolved = told["direction_resolved"].as_bool().unwrap_or(false);
    let to_true = told["flow_azimuth_true_deg"].as_f64();
    let said = told["gradient"].as_f64().unwrap_or(f64::NAN);
    found.extend(magnitude(said, ends).map(|complaint| format!("the plane: {complaint}")));
    match (resolved, arc, to_true) {
        (false, [None, None], _) => {}
        (true, [Some(from), Some(to)], Some(azimuth)) if in_arc(azimuth, from, to) => {}
        odd => found.push(format!("the plane: resolved, its arc and its direction are {odd:?}")),
    }
    found
}

/// True north on a map, by PROJ's positions a little to the north of a place.
struct North {
    to_globe: proj::Proj,
}

impl North {
    fn of(crs: &str) -> Self {
        Self { to_globe: proj::Proj::new_known_crs(crs, "EPSG:4326", None).expect("a CRS") }
    }

    /// How far grid north lies east of true north, degrees.
    fn convergence(&self, place: Place) -> f64 {
        const STEP_DEG: f64 = 1e-4;
        let (lon, lat) = self.to_globe.convert((place[0], place[1])).expect("on earth");
        let back = |lat: f64| self.to_globe.project((lon, lat), true).expect("on the map");
        let ((x0, y0), (x1, y1)) = (back(lat - STEP_DEG), back(lat + STEP_DEG));
        -(x1 - x0).atan2(y1 - y0).to_degrees()
    }
}

//! The arrows of flow on the page's map.

use geo::Coord;
use serde::Serialize;

use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::limits;
use crate::page::measures;
use crate::page::site;
use crate::page::site::Site;
use crate::page::tables;
use crate::report::Followed;
use crate::units::Azimuth;

/// Length of the arrow of the ninth tenth of all gradients, pixels.
const USUAL: f64 = 34.0;

/// The shortest and the longest arrow, pixels.
const SHORTEST: f64 = 12.0;
const LONGEST: f64 = 48.0;

/// Half the width of the line around an arrow, pixels.
const EDGE: f64 = 0.6;

/// The fewest and the most drawing units in a pixel of a map that is looked at: the closest look on
/// a wide screen, and the whole of a map with far features on a narrow one.
const NEAREST: f64 = 1.0 / 32.0;
const FARTHEST: f64 = 32.0;

/// Arrows along the longer side of a surface that has directions of its own.
const ALONG: usize = 16;

/// An arrow on the drawing.
#[derive(Debug, Serialize)]
pub(super) struct Arrow {
    x: String,
    y: String,
    /// Degrees clockwise from up.
    turn: String,
    /// Its outline, pixels, tip up.
    outline: String,
    /// The most drawing units in a pixel at which it reaches no line; `None` where it never does.
    widest: Option<String>,
    /// Whether it is drawn where a pixel is a drawing unit.
    off: bool,
    known: bool,
}

/// All arrows, what they tell, and what the reader must know of them.
#[derive(Debug)]
pub(super) struct Arrows {
    pub(super) drawn: Vec<Arrow>,
    pub(super) facts: Vec<Facts>,
    /// The gradient whose arrow has the length of the legend's.
    pub(super) usual: Option<String>,
    pub(super) note: Option<String>,
}

/// A direction of flow at one place.
struct Flow {
    at: Coord,
    gradient: f64,
    azimuth_grid: Azimuth,
    known: bool,
    told: Told,
}

/// What an arrow tells: worked out for a triangle only when its arrow is drawn.
enum Told {
    Triangle(usize),
    Surface(Facts),
}

/// The arrows of a map: one for each triangle that is not doubtful, or at a lattice of nodes where
/// arrows follow the surface.
pub(super) fn arrows(site: &Site, drawing: &Drawing) -> Arrows {
    let flows = match site.results.arrows_follow() {
        Followed::Planes | Followed::Triangles => of_triangles(site),
        Followed::Surface => of_surface(site),
    };
    let usual = usual(flows.iter().map(|f| f.gradient).collect());
    let length = |flow: &Flow| {
        (USUAL * flow.gradient / usual.unwrap_or(flow.gradient)).clamp(SHORTEST, LONGEST)
    };
    let room = |flow: Flow| {
        let shape = Shape { at: flow.at, azimuth: flow.azimuth_grid, length: length(&flow) };
        Some((shape.widest(site, drawing)?, flow))
    };
    let flows: Vec<(f64, Flow)> = flows.into_iter().filter_map(room).collect();
    let places: Vec<Coord> = flows.iter().map(|(_, f)| drawing.at(f.at)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    let (mut drawn, mut facts) = (Vec::new(), Vec::new());
    let all = flows.len();
    let mut keep = shown.iter().peekable();
    for (i, (widest, flow)) in flows.into_iter().enumerate() {
        if keep.next_if_eq(&&i).is_none() {
            continue;
        }
        drawn.push(Arrow {
            x: drawing::number(places[i].x),
            y: drawing::number(places[i].y),
            turn: measures::fixed(flow.azimuth_grid.degrees(), 1),
            outline: outline(length(&flow)),
            widest: (widest < FARTHEST).then(|| measures::fixed(widest, 3)),
            off: widest < 1.0,
            known: flow.known,
        });
        facts.push(match flow.told {
            Told::Triangle(i) => tables::triangle_facts(site, i),
            Told::Surface(facts) => facts,
        });
    }
    let note = side
        .map(|_| format!("arrows: {} of {all}, spread evenly; flow.geojson has all", drawn.len()));
    Arrows { drawn, facts, usual: usual.map(measures::three_digits), note }
}

/// The outline of an arrow about its middle: a shaft 3 and a head 10 pixels wide.
fn outline(length: f64) -> String {
    let half = drawing::number(length / 2.0);
    let neck = drawing::number(10.0 - length / 2.0);
    format!("M0 -{half}L5 {neck}H1.5V{half}H-1.5V{neck}H-5Z")
}

/// An arrow on the ground.
struct Shape {
    /// Its middle, CRS units.
    at: Coord,
    azimuth: Azimuth,
    /// Pixels.
    length: f64,
}

impl Shape {
    /// The most drawing units in a pixel at which it reaches no barrier, boundary or stream, to a
    /// thousandth; `None` where it always does, and [`FARTHEST`] where it never does.
    fn widest(&self, site: &Site, drawing: &Drawing) -> Option<f64> {
        let lines = site.results.control.beside().lines();
        let reaches = |k: f64| self.parts(site, drawing, k).into_iter().any(|p| lines.run_into(p));
        if !reaches(FARTHEST) {
            return Some(FARTHEST);
        }
        let (mut clear, mut crossed) = (NEAREST, FARTHEST);
        if reaches(clear) {
            return None;
        }
        while crossed - clear > 1e-4 {
            let k = f64::midpoint(clear, crossed);
            if reaches(k) {
                crossed = k;
            } else {
                clear = k;
            }
        }
        Some((clear * 1000.0).floor() / 1000.0)
    }

    /// Its shaft and its head in triangles, edges included, m in the local frame, where a pixel is
    /// `k` drawing units.
    fn parts(&self, site: &Site, drawing: &Drawing, k: f64) -> [[Coord; 3]; 3] {
        let (half, neck) = (self.length / 2.0 + EDGE, 10.0 - self.length / 2.0);
        let (sin, cos) = {
            let turn = self.azimuth.degrees().to_radians();
            (libm::sin(turn), libm::cos(turn))
        };
        let unit = k * drawing.crs_units();
        let place = |aside: f64, down: f64| {
            let (east, north) = (aside * cos - down * sin, -aside * sin - down * cos);
            let p = Coord { x: self.at.x + east * unit, y: self.at.y + north * unit };
            site.results.control.frame().to_local(p)
        };
        let (shaft, head) = (1.5 + EDGE, 5.0 + EDGE);
        let [left, right] = [-shaft, shaft].map(|x| [place(x, half), place(x, neck)]);
        [
            [left[0], right[0], right[1]],
            [left[0], right[1], left[1]],
            [place(-head, neck), place(head, neck), place(0.0, -half)],
        ]
    }
}

/// The gradient that nine tenths do not exceed.
fn usual(mut gradients: Vec<f64>) -> Option<f64> {
    if gradients.is_empty() {
        return None;
    }
    gradients.sort_by(f64::total_cmp);
    Some(gradients[(gradients.len() - 1) * 9 / 10])
}

fn of_triangles(site: &Site) -> Vec<Flow> {
    let results = site.results;
    (0..results.flow.triangles.len())
        .filter(|i| results.mesh.triangles()[*i].marks.is_empty())
        .filter_map(|i| {
            let flow = &results.flow.triangles[i];
            Some(Flow {
                at: flow.centroid,
                gradient: flow.gradient?,
                azimuth_grid: flow.azimuth_grid?,
                known: results.known(i).is_some_and(|d| d.known),
                told: Told::Triangle(i),
            })
        })
        .collect()
}

fn of_surface(site: &Site) -> Vec<Flow> {
    let grid = &site.results.surface.heads;
    let spec = grid.spec();
    let step = (spec.columns.max(spec.rows) / ALONG).max(1);
    let convergence = site.factors().convergence_deg;
    let triangles = site.results.mesh.index();
    let mut flows = Vec::new();
    for row in (step / 2..spec.rows).step_by(step) {
        for column in (step / 2..spec.columns).step_by(step) {
            let at = spec.node(row, column);
            let Some(slope) = site.results.slope(site.results.control.frame().to_local(at), 0.0)
            else {
                continue;
            };
            let Some(azimuth_grid) = Azimuth::of_vector(-slope.east, -slope.north) else {
                continue;
            };
            let local = site.results.control.frame().to_local(at);
            let around = site.results.mesh.around(&triangles, local);
            let known = around.is_some_and(|t| site.results.known_at(local, t, azimuth_grid));
            let within = site.results.uncertainty.directions.within_deg;
            let verdict = match around {
                None => "beyond the triangles".to_owned(),
                Some(_) => format!(
                    "{} to within {within}° (95 %)",
                    if known { "known" } else { "not known" }
                ),
            };
            let facts = Facts::of("flow on the surface".to_owned())
                .with("gradient (m/m)", measures::three_digits(slope.magnitude()))
                .with("toward, true north", site::toward(azimuth_grid.turned(convergence)))
                .with("toward, grid north", format!("{}°", azimuth_grid.whole_degrees()))
                .with("direction", verdict)
                .with_some("head", grid.head(row, column).map(|h| site.head(h)));
            let (gradient, told) = (slope.magnitude(), Told::Surface(facts));
            flows.push(Flow { at, gradient, azimuth_grid, known, told });
        }
    }
    flows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_gradient_is_that_of_the_ninth_tenth() {
        assert_eq!(usual((1..=11).map(f64::from).collect()), Some(10.0));
        assert_eq!(usual(vec![3.0]), Some(3.0));
        assert_eq!(usual(Vec::new()), None);
    }
}

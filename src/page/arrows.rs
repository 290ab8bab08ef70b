//! The arrows of flow on the page's map.

use geo::Coord;
use serde::Serialize;

use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::limits;
use crate::page::site::Site;
use crate::page::tables;
use crate::report::measures;
use crate::report::{ArrowScale, FlowArrow, Followed};
use crate::units::Azimuth;

/// Length of an arrow of the gradient that the key shows, pixels.
const REFERENCE: f64 = 24.0;

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

/// The arrows of a map: one for each triangle that is not doubtful, or at a lattice of nodes where
/// arrows follow the surface.
pub(super) fn arrows(site: &Site, drawing: &Drawing) -> Arrows {
    let follows_surface = site.results.arrows_follow() == Followed::Surface;
    let flows = if follows_surface { of_surface(site) } else { site.results.triangle_arrows() };
    let scale = ArrowScale::of(&flows);
    let frame = site.results.control.frame();
    let room = |flow: FlowArrow| {
        let length = REFERENCE * scale?.length(flow.gradient);
        let shape = Shape { at: frame.to_crs(flow.at), azimuth: flow.azimuth_grid, length };
        Some((shape.widest(site, drawing)?, shape, flow))
    };
    let flows: Vec<(f64, Shape, FlowArrow)> = flows.into_iter().filter_map(room).collect();
    let places: Vec<Coord> = flows.iter().map(|(_, shape, _)| drawing.at(shape.at)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    let (mut drawn, mut facts) = (Vec::new(), Vec::new());
    let all = flows.len();
    let mut keep = shown.iter().peekable();
    for (i, (widest, shape, flow)) in flows.into_iter().enumerate() {
        if keep.next_if_eq(&&i).is_none() {
            continue;
        }
        drawn.push(Arrow {
            x: drawing::number(places[i].x),
            y: drawing::number(places[i].y),
            turn: measures::fixed(flow.azimuth_grid.degrees(), 1),
            outline: outline(shape.length),
            widest: (widest < FARTHEST).then(|| measures::fixed(widest, 3)),
            off: widest < 1.0,
            known: flow.known,
        });
        facts.push(match flow.triangle.filter(|_| !follows_surface) {
            Some(i) => tables::triangle_facts(site, i),
            None => surface_facts(site, &flow),
        });
    }
    let note = side.map(|_| {
        format!("arrows: {} of {all}, spread evenly; {} has all", drawn.len(), site.layer("flow"))
    });
    Arrows { drawn, facts, usual: scale.map(|s| measures::three_digits(s.gradient)), note }
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

/// At a lattice of nodes.
fn of_surface(site: &Site) -> Vec<FlowArrow> {
    let spec = site.results.surface.heads.spec();
    let step = (spec.columns.max(spec.rows) / ALONG).max(1);
    let triangles = site.results.mesh.index();
    let frame = site.results.control.frame();
    let rows = (step / 2..spec.rows).step_by(step);
    rows.flat_map(|row| (step / 2..spec.columns).step_by(step).map(move |column| (row, column)))
        .filter_map(|(row, column)| {
            let at = frame.to_local(spec.node(row, column));
            site.results.surface_arrow(&triangles, at, 0.0)
        })
        .collect()
}

/// What an arrow of the surface shows when it is pointed at.
fn surface_facts(site: &Site, flow: &FlowArrow) -> Facts {
    let within = site.results.uncertainty.directions.within_deg;
    let verdict = match flow.triangle {
        None => "beyond the triangles".to_owned(),
        Some(_) if flow.known => format!("known to within {within}° (95 %)"),
        Some(_) => format!("not known to within {within}° (95 %)"),
    };
    let place = site.results.control.frame().to_crs(flow.at);
    Facts::of("flow on the surface".to_owned())
        .with("gradient (m/m)", measures::three_digits(flow.gradient))
        .with(site.norths.stated.toward(), measures::toward(site.norths.state(flow.azimuth_grid)))
        .with_some(
            site.norths.plan.toward(),
            site.norths.both.then(|| format!("{}°", flow.azimuth_grid.whole_degrees())),
        )
        .with("direction", verdict)
        .with_some("head", site.results.surface.heads.nearest(place).map(|h| site.head(h)))
}

//! The arrows of flow on the page's map.

use geo::Coord;
use serde::Serialize;

use crate::geom::Slope;
use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::limits;
use crate::page::measures;
use crate::page::site;
use crate::page::site::Site;
use crate::page::tables;
use crate::results::Followed;
use crate::units::Azimuth;

/// Length of the arrow of the ninth tenth of all gradients, pixels.
const USUAL: f64 = 34.0;

/// The shortest and the longest arrow, pixels.
const SHORTEST: f64 = 12.0;
const LONGEST: f64 = 48.0;

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
        Followed::Triangles => of_triangles(site),
        Followed::Surface => of_surface(site),
    };
    let places: Vec<Coord> = flows.iter().map(|f| drawing.at(f.at)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    let usual = usual(flows.iter().map(|f| f.gradient).collect());
    let (mut drawn, mut facts) = (Vec::new(), Vec::new());
    let all = flows.len();
    let mut keep = shown.iter().peekable();
    for (i, flow) in flows.into_iter().enumerate() {
        if keep.next_if_eq(&&i).is_none() {
            continue;
        }
        let length = USUAL * flow.gradient / usual.unwrap_or(flow.gradient);
        drawn.push(Arrow {
            x: drawing::number(places[i].x),
            y: drawing::number(places[i].y),
            turn: measures::fixed(flow.azimuth_grid.degrees(), 1),
            outline: outline(length.clamp(SHORTEST, LONGEST)),
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
    let cell_m = spec.cell * site.results.control.frame().metres_per_unit();
    let metres = site.elevation.metres();
    let convergence = site.factors().convergence_deg;
    let mut flows = Vec::new();
    for row in (step / 2..spec.rows).step_by(step) {
        for column in (step / 2..spec.columns).step_by(step) {
            let slope = slope(grid, row, column).map(|s| Slope {
                east: s.east * metres / cell_m,
                north: s.north * metres / cell_m,
            });
            let Some(slope) = slope else { continue };
            let Some(azimuth_grid) = Azimuth::of_vector(-slope.east, -slope.north) else {
                continue;
            };
            let at = spec.node(row, column);
            let around = around(site, at);
            let local = site.results.control.frame().to_local(at);
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
                .with("toward, grid north", format!("{}°", measures::degrees(azimuth_grid)))
                .with("direction", verdict)
                .with_some("head", grid.head(row, column).map(|h| site.head(h)));
            let (gradient, told) = (slope.magnitude(), Told::Surface(facts));
            flows.push(Flow { at, gradient, azimuth_grid, known, told });
        }
    }
    flows
}

/// Central differences of the head, elevation unit for each cell.
fn slope(grid: &crate::interpolate::Grid, row: usize, column: usize) -> Option<Slope> {
    let spec = grid.spec();
    if row == 0 || column == 0 || row + 1 >= spec.rows || column + 1 >= spec.columns {
        return None;
    }
    let difference = |a: Option<f64>, b: Option<f64>| Some((b? - a?) / 2.0);
    Some(Slope {
        east: difference(grid.head(row, column - 1), grid.head(row, column + 1))?,
        north: difference(grid.head(row - 1, column), grid.head(row + 1, column))?,
    })
}

/// The triangle of wells around a place.
fn around(site: &Site, at: Coord) -> Option<usize> {
    let p = site.results.control.frame().to_local(at);
    let mesh = site.results.mesh;
    mesh.triangles().iter().position(|t| {
        let corners = mesh.corners(t);
        (0..3).all(|i| crate::geom::doubled_area([corners[i], corners[(i + 1) % 3], p]) >= 0.0)
    })
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

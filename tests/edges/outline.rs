//! Three wells on a straight side of the outline that runs askew: rounding leaves them a triangle of
//! no height, and the head between them is none of its business.

use std::fmt::Write as _;

use geo::Coord;
use headfall::read::{Method, Overrides};
use headfall::run::Map;
use headfall::triangulate::Triangle;

use super::{map_of, off};
use crate::support::Folder;

/// A site of its own CRS whose wells A, B, C stand along `step` from a corner, B a fifth to four
/// fifths of the way, and two beside that line; cells so that nodes fall on the line.
struct Along {
    crs: &'static str,
    corner: Coord,
    step: Coord,
    /// Steps from A to B and to C.
    to: [u32; 2],
    heads: [f64; 3],
}

impl Along {
    fn draw(&self, method: Method, moved: f64) -> Map {
        let Self { crs, corner, step, to: [b, c], heads } = self;
        let along = |k: u32| *corner + *step * f64::from(k);
        let across = Coord { x: step.y, y: -step.x };
        let mut rows = "id,easting,northing,elevation (m)\n".to_owned();
        let b = along(*b) + across * moved;
        for (name, p, head) in [
            ("A", along(0), heads[0]),
            ("B", b, heads[1]),
            ("C", along(*c), heads[2]),
            ("D", along(c / 2) + across * f64::from(*c) * 0.61, 98.2),
            ("E", along(c / 3) + across * f64::from(*c) * 0.37, 98.7),
        ] {
            let _ = writeln!(rows, "{name},{},{},{head}", p.x, p.y);
        }
        let folder = Folder::new();
        let path = folder.file("wells.csv", rows);
        let cell = step.x.min(step.y);
        map_of(&path, &Overrides { crs: Some((*crs).to_owned()), ..<_>::default() }, |site| {
            site.settings.cell = Some(cell);
            site.settings.surface.method = method;
        })
    }

    /// The heads of the nodes on the line, less what they are straight from well to well.
    fn errors(&self, map: &Map) -> Vec<f64> {
        let Self { corner, step, to: [b, c], heads, .. } = self;
        let grid = &map.surface.heads;
        (0..=*c)
            .filter_map(|k| {
                let head = grid.about(*corner + *step * f64::from(k))?;
                let straight = if k <= *b {
                    heads[0] + (heads[1] - heads[0]) * f64::from(k) / f64::from(*b)
                } else {
                    heads[1] + (heads[2] - heads[1]) * f64::from(k - b) / f64::from(c - b)
                };
                Some(head - straight)
            })
            .collect()
    }
}

fn sites() -> Vec<Along> {
    let corners = [
        ("EPSG:2264", Coord { x: 2_000_000.0, y: 700_000.0 }),
        ("EPSG:3413", Coord { x: -1_200_000.0, y: -2_100_000.0 }),
        ("EPSG:3857", Coord { x: -10_000_000.0, y: 5_600_000.0 }),
    ];
    let steps: [(f64, f64); 5] = [(2.0, 2.0), (2.0, 4.0), (6.0, 2.0), (3.0, 3.0), (10.0, 5.0)];
    let mut sites = Vec::new();
    for (crs, corner) in corners {
        for (k, (x, y)) in (0_u32..).zip(steps) {
            // A node, and another one for each site.
            let cell = x.min(y);
            let node = Coord { x: corner.x - corner.x % cell, y: corner.y - corner.y % cell };
            let corner = node + Coord { x, y } * f64::from(7 * k);
            sites.push(Along {
                crs,
                corner,
                step: Coord { x, y },
                to: [10 + 13 * k, 90],
                heads: [96.2, 102.2, 99.3],
            });
        }
    }
    sites
}

#[test]
fn nodes_on_the_outline_have_the_heads_of_the_wells_beside_them() {
    for method in [Method::Linear, Method::NaturalNeighbour] {
        let mut lines = 0;
        for site in sites() {
            let map = site.draw(method, 0.0);
            lines += usize::from(map.mesh.triangles().iter().any(Triangle::is_line));
            let errors = site.errors(&map);
            assert!(errors.len() > 80, "{}: {} nodes", site.crs, errors.len());
            for error in errors {
                assert!(error.abs() < 1e-6, "{method:?}, {}: off by {error}", site.crs);
            }
        }
        assert!(lines >= 5, "rounding leaves triangles of no height: {lines} sites");
    }
}

#[test]
fn a_well_hardly_within_the_outline_still_counts_on_it() {
    // B some centimetres within: far less than a gradient can be had from, more than rounding.
    for method in [Method::Linear, Method::NaturalNeighbour] {
        for site in sites() {
            let map = site.draw(method, 0.03);
            for error in site.errors(&map) {
                assert!(error.abs() < 0.1, "{method:?}, {}: off by {error}", site.crs);
            }
        }
    }
}

#[test]
fn lines_end_on_the_outline_where_the_head_between_the_wells_beside_is_their_level() {
    for method in [Method::Linear, Method::NaturalNeighbour] {
        let mut seen = 0;
        for site in sites() {
            let map = site.draw(method, 0.0);
            let points = map.control.points();
            let well = |id: &str| points.iter().find(|p| p.id == id).expect(id);
            let (a, b, c) = (well("A"), well("B"), well("C"));
            for line in map.contours.lines.iter().filter(|l| !l.is_closed()) {
                for end in [line.points[0], line.points[line.points.len() - 1]] {
                    let (away, share) = off(end, a.crs, c.crs);
                    if away > 1e-6 {
                        continue;
                    }
                    let middle = off(b.crs, a.crs, c.crs).1;
                    let head = if share <= middle {
                        a.head + (b.head - a.head) * share / middle
                    } else {
                        b.head + (c.head - b.head) * (share - middle) / (1.0 - middle)
                    };
                    let wrong = head - line.level;
                    assert!(wrong.abs() < 1e-6, "{method:?}, {}: off by {wrong}", site.crs);
                    seen += 1;
                }
            }
        }
        assert!(seen > 100, "{method:?}: {seen}");
    }
}

#[test]
fn no_contour_runs_along_the_outline_past_a_well_that_stands_on_it() {
    for site in sites() {
        for moved in [0.0, 0.03] {
            let map = site.draw(Method::Linear, moved);
            let points = map.control.points();
            let [a, c] = ["A", "C"].map(|id| points.iter().find(|p| p.id == id).expect(id).crs);
            let bound = moved * (site.step.x.hypot(site.step.y)) + 1e-3;
            for line in &map.contours.lines {
                // The length of it that keeps within a hair of the side.
                let near = |p: &Coord| off(*p, a, c).0 <= bound;
                let along: f64 = line
                    .points
                    .windows(2)
                    .filter(|w| near(&w[0]) && near(&w[1]))
                    .map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y))
                    .sum();
                assert!(along < 2.0 * bound + 0.1, "{}: {along} along the outline", site.crs);
            }
        }
    }
}

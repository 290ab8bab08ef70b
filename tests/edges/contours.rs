//! Contours end at the outline, at the boundary and nowhere else.

use std::fmt::Write as _;

use geo::{Coord, Intersects, LineString, Point, Polygon};
use headfall::contour::ContourLine;
use headfall::read::{Method, Overrides};
use headfall::run::Map;
use headfall::triangulate::Triangle;
use serde::Deserialize;

use super::{by, kept, map_of, off, sides};
use crate::support::{EAST, Folder, NORTH, near, of_wells, scatter, text};

/// A place counts as on a line within this distance, CRS units: a thousandth of a millimetre, some
/// hundred roundings of a northing.
const ON: f64 = 1e-6;

/// Methods that give a plane back.
const OF_PLANES: [Method; 5] = [
    Method::Linear,
    Method::NaturalNeighbour,
    Method::SmoothNaturalNeighbour,
    Method::ThinPlate,
    Method::Kriging,
];

fn ends(line: &ContourLine) -> Vec<Coord> {
    if line.is_closed() {
        Vec::new()
    } else {
        vec![line.points[0], *line.points.last().expect("a line")]
    }
}

/// Where a level crosses the outline, along which `value` of the head is linear from well to well.
fn crossings(map: &Map, level: f64, value: impl Fn(f64) -> f64) -> Vec<Coord> {
    let crossed = sides(map).into_iter().filter(|[a, b]| (a.1 > level) != (b.1 > level));
    let place = |[(a, from), (b, to)]: [(Coord, f64); 2]| {
        a + (b - a) * ((value(level) - value(from)) / (value(to) - value(from)))
    };
    crossed.map(place).collect()
}

/// The distance from a place to the nearest of some others.
fn to_nearest(p: Coord, others: &[Coord]) -> f64 {
    others.iter().map(|q| (q.x - p.x).hypot(q.y - p.y)).fold(f64::INFINITY, f64::min)
}

fn rings(map: &Map) -> Vec<[Coord; 2]> {
    let rings = |area: &Polygon| -> Vec<[Coord; 2]> {
        let all = std::iter::once(area.exterior()).chain(area.interiors());
        all.flat_map(LineString::lines).map(|l| [l.start, l.end]).collect()
    };
    map.site.features.boundary.iter().flat_map(rings).collect()
}

/// Whether a place is on the outline of the wells or on an outline of the boundary.
fn on_an_edge(map: &Map, p: Coord) -> bool {
    let sides = sides(map).into_iter().map(|side| side.map(|(at, _)| at));
    sides.chain(rings(map)).any(|[a, b]| off(p, a, b).0 <= ON)
}

/// The length of contours outside the boundary.
fn outside(map: &Map) -> f64 {
    let (areas, sides) = (&map.site.features.boundary, rings(map));
    let mut length = 0.0;
    for w in map.contours.lines.iter().flat_map(|l| l.points.windows(2)) {
        let way = w[1] - w[0];
        let mut cuts = vec![0.0, 1.0];
        for [a, b] in &sides {
            let side = *b - *a;
            let across = way.x * side.y - way.y * side.x;
            let from = *a - w[0];
            let share = (from.x * side.y - from.y * side.x) / across;
            if share > 0.0 && share < 1.0 {
                cuts.push(share);
            }
        }
        cuts.sort_by(f64::total_cmp);
        for part in cuts.windows(2) {
            let middle = Point(w[0] + way * f64::midpoint(part[0], part[1]));
            if !areas.iter().any(|a| a.intersects(&middle)) {
                length += (part[1] - part[0]) * way.x.hypot(way.y);
            }
        }
    }
    length
}

#[test]
fn on_a_plane_every_level_has_one_straight_line_from_side_to_side_of_the_outline() {
    let (east, north) = (-0.011, 0.007);
    let head = |x: f64, y: f64| 50.0 + east * x + north * y;
    let folder = of_wells(&scatter(), "[contours]\ninterval = 0.5\n", head);
    for method in OF_PLANES {
        let map = map_of(folder.path(), &Overrides::default(), |site| {
            let surface = &mut site.settings.surface;
            surface.method = method;
            surface.kriging.drift = Some(true);
            surface.kriging.partial_sill = Some(1.0);
            surface.kriging.range = Some(300.0);
        });
        let heads = map.control.points().iter().map(|p| p.head);
        let (low, high) =
            heads.fold((f64::MAX, f64::MIN), |(low, high), h| (low.min(h), high.max(h)));
        // Every level between the lowest and the highest well.
        let levels: Vec<f64> = (0..)
            .map(|k| 0.5 * f64::from(k))
            .skip_while(|l| *l <= low)
            .take_while(|l| *l < high)
            .collect();
        assert_eq!(map.contours.levels, levels, "{method:?}");
        assert_eq!(map.contours.lines.len(), levels.len(), "{method:?}: one line for each level");
        for (line, level) in map.contours.lines.iter().zip(&levels) {
            near(line.level, *level, 0.0);
            for p in &line.points {
                near(head(p.x - EAST, p.y - NORTH), *level, 1e-6);
            }
            let found = ends(line);
            assert_eq!(found.len(), 2, "{method:?}: open");
            let crossed = crossings(&map, *level, |head| head);
            assert_eq!(crossed.len(), 2);
            for end in found {
                let off = to_nearest(end, &crossed);
                assert!(off < 1e-4, "{method:?}, {level}: {off} from the outline's crossing");
            }
        }
    }
}

#[test]
fn lines_end_where_the_head_on_the_outline_is_their_level_and_nowhere_else() {
    // Along the outline both are linear from well to well: each crossing has one line's end.
    let head = |x: f64, y: f64| 50.0 - 0.006 * x + 1.3 * (x / 90.0).sin() * (y / 70.0).cos();
    for (base, more) in [(None, ""), (Some(44.0), "[grid]\nunconfined_base = 44.0\n")] {
        let folder = of_wells(&scatter(), &format!("{more}[contours]\ninterval = 0.25\n"), head);
        for method in [Method::Linear, Method::NaturalNeighbour] {
            let map = by(folder.path(), method);
            let value = |h: f64| base.map_or(h, |base: f64| (h - base) * (h - base));
            // Between two places of a side that the grid's method asks the head is taken as linear:
            // with a base the square is.
            let bound = if base.is_some() && method != Method::Linear { 0.01 } else { 1e-4 };
            let mut seen = 0;
            for level in &map.contours.levels {
                let lines = map.contours.lines.iter().filter(|l| l.level.total_cmp(level).is_eq());
                let found: Vec<Coord> = lines.flat_map(ends).collect();
                let crossed = crossings(&map, *level, value);
                assert_eq!(found.len(), crossed.len(), "{method:?}, base {base:?}, {level}");
                for at in crossed {
                    let off = to_nearest(at, &found);
                    assert!(off < bound, "{method:?}, {level}: {off} from {at:?}");
                    seen += 1;
                }
            }
            assert!(seen > 20, "{method:?}: {seen}");
        }
    }
}

/// Numbers without pattern, the same each time.
struct Dice(u64);

impl Dice {
    /// A whole number from 0 to below `most`.
    fn below(&mut self, most: u32) -> u32 {
        // Knuth's MMIX generator; its high bits are its best.
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        u32::try_from((self.0 >> 33) % u64::from(most)).expect("below")
    }

    fn number(&mut self) -> f64 {
        f64::from(self.below(1 << 20)) / f64::from(1 << 20)
    }
}

#[test]
fn on_any_network_and_any_cell_each_crossing_of_the_outline_is_one_end() {
    let mut dice = Dice(11);
    let (mut seen, mut sites) = (0, 0);
    while sites < 120 {
        // On a lattice (wells on nodes, on one line), free, or a strip; fine cells and coarse ones.
        let (kind, count) = (dice.below(3), 3 + dice.below(20));
        let wells: Vec<(f64, f64)> = (0..count)
            .map(|_| match kind {
                0 => (f64::from(dice.below(7)) * 30.0, f64::from(dice.below(6)) * 30.0),
                1 => (dice.number() * 300.0, dice.number() * 200.0),
                _ => (dice.number() * 400.0, dice.number() * 9.0),
            })
            .collect();
        let cell = [3.0_f64, 7.5, 10.0, 29.0][dice.below(4) as usize].min(if kind == 2 {
            3.0
        } else {
            30.0
        });
        let (phase, tilt) = (dice.number() * 9.0, dice.number() * 0.03);
        let toml = format!(
            "[grid]\ncell = {cell}\nsurface = \"natural-neighbour\"\n[contours]\ninterval = 0.37\n"
        );
        let folder = of_wells(&wells, &toml, |x, y| {
            40.0 + tilt * x + (x / 60.0 + phase).sin() + (y / 35.0 - phase).cos()
        });
        // Doubled wells and wells on one line carry no map.
        let (map, _) = crate::support::map(folder.path(), &Overrides::default());
        let Ok(map) = map else { continue };
        // Along three wells on one line the outline has the heads of all three.
        if map.mesh.triangles().iter().any(Triangle::is_line) {
            continue;
        }
        sites += 1;
        for level in &map.contours.levels {
            let lines = map.contours.lines.iter().filter(|l| l.level.total_cmp(level).is_eq());
            let found: Vec<Coord> = lines.flat_map(ends).collect();
            let crossed = crossings(&map, *level, |head| head);
            let site = || format!("{level} of {wells:?}, cell {cell}, phase {phase}, tilt {tilt}");
            assert_eq!(found.len(), crossed.len(), "{}", site());
            for at in crossed {
                assert!(to_nearest(at, &found) < 1e-3, "{at:?}, {}", site());
                seen += 1;
            }
        }
    }
    assert!(seen > 1500, "{seen}");
}

#[test]
fn a_strip_of_four_wells_has_as_many_lines_as_levels() {
    // Narrower than two cells over most of its length, and askew.
    let wells = [(0.0, 0.0), (403.0, 61.0), (811.0, 88.0), (1207.0, 149.0)];
    let folder = of_wells(&wells, "[grid]\ncell = 7.0\n[contours]\ninterval = 0.5\n", |x, y| {
        60.0 - 0.006 * x + 0.02 * y
    });
    for method in OF_PLANES.into_iter().filter(|method| *method != Method::Kriging) {
        let map = by(folder.path(), method);
        let lines = &map.contours.lines;
        assert_eq!(lines.len(), map.contours.levels.len(), "{method:?}");
        assert!(lines.len() > 6, "{method:?}: {}", lines.len());
        for end in lines.iter().flat_map(ends) {
            assert!(on_an_edge(&map, end), "{method:?}: {end:?}");
        }
    }
}

/// A boundary with a slit of half a metre, a notch, and a parcel half a metre away, about the wells of
/// [`scatter`].
fn bounded(more: &str, head: impl Fn(f64, f64) -> f64) -> Folder {
    let toml =
        format!("{more}[features]\nboundary = {{ file = \"site.csv\", crs = \"EPSG:26915\" }}\n");
    let folder = of_wells(&scatter(), &toml, head);
    let ring = |points: &[(f64, f64)]| {
        let words: Vec<String> =
            points.iter().map(|(x, y)| format!("{} {}", EAST + x, NORTH + y)).collect();
        format!("({}, {})", words.join(", "), words[0])
    };
    let first = ring(&[
        (-40.0, 30.0),
        (250.0, 20.0),
        (250.0, 190.0),
        (180.0, 190.2),
        (250.0, 190.4),
        (250.0, 500.0),
        (-40.0, 430.0),
    ]);
    let slit = ring(&[(60.0, 80.0), (60.5, 80.0), (140.5, 330.0), (140.0, 330.0)]);
    let second = ring(&[(250.5, 40.0), (420.0, 90.0), (400.0, 380.0), (250.5, 410.0)]);
    folder.file(
        "site.csv",
        format!("WKT,name\n\"MULTIPOLYGON (({first},{slit}),({second}))\",yard\n"),
    );
    folder
}

#[test]
fn every_end_is_on_the_outline_or_on_the_boundary_and_nothing_is_beyond() {
    let heads: [fn(f64, f64) -> f64; 2] = [
        |x, y| 50.0 - 0.008 * x + 0.9 * (x / 70.0).sin() * (y / 90.0).cos(),
        |x, y| 20.0 + 0.004 * y + 1e-5 * ((x - 230.0).powi(2) + (y - 170.0).powi(2)),
    ];
    for head in heads {
        for (bound, folder) in [
            (false, of_wells(&scatter(), "[contours]\ninterval = 0.1\n", head)),
            (true, bounded("[contours]\ninterval = 0.1\n", head)),
        ] {
            for method in Method::ALL {
                let map = by(folder.path(), method);
                let open = map.contours.lines.iter().filter(|l| !l.is_closed()).count();
                assert!(open > 8, "{method:?}: {open} open lines");
                for end in map.contours.lines.iter().flat_map(ends) {
                    assert!(on_an_edge(&map, end), "{method:?}: an end at {end:?}");
                }
                if bound {
                    assert!(outside(&map) < 1e-6, "{method:?}: {} m outside", outside(&map));
                    let on_rings =
                        map.contours.lines.iter().flat_map(ends).filter(|end| {
                            rings(&map).iter().any(|[a, b]| off(*end, *a, *b).0 <= ON)
                        });
                    assert!(on_rings.count() > 20, "{method:?}: the slit and the gap cut lines");
                }
            }
        }
    }
}

#[test]
fn beside_a_wall_lines_end_where_the_surface_does() {
    for method in Method::ALL {
        let map = by(&kept("past-a-wall"), method);
        let spec = *map.surface.heads.spec();
        let ends: Vec<Coord> = map.contours.lines.iter().flat_map(ends).collect();
        let wall = &map.site.features.barriers[0].line;
        let (mut beside, mut at_edge) = (0, 0);
        for end in &ends {
            if on_an_edge(&map, *end) {
                at_edge += 1;
                continue;
            }
            // In or beside a cell that the wall meets, or beside a node that has no head.
            let to_wall = wall.lines().map(|l| off(*end, l.start, l.end).0);
            let to_wall = to_wall.fold(f64::INFINITY, f64::min);
            let about = [-1.0, 0.0, 1.0].map(|east| [-1.0, 0.0, 1.0].map(|north| (east, north)));
            let gap = about.iter().flatten().any(|(east, north)| {
                let p = Coord { x: end.x + east * spec.cell, y: end.y + north * spec.cell };
                map.surface.heads.nearest(p).is_none()
            });
            assert!(to_wall < 1.5 * spec.cell || gap, "{method:?}: an end at {end:?}");
            beside += 1;
        }
        assert!(beside >= 2, "{method:?}: {beside} ends beside the wall");
        // The linear surface beside barriers is known at its nodes alone.
        assert!(at_edge >= 8 || method == Method::Linear, "{method:?}: {at_edge} on the outline");
    }
}

#[test]
fn nothing_is_drawn_in_a_hole_narrower_than_a_cell() {
    for method in [Method::Linear, Method::NaturalNeighbour, Method::ThinPlate] {
        let map = by(&kept("narrow-hole"), method);
        let cell = map.surface.heads.spec().cell;
        assert!(cell > 10.0, "the hole is 3 m wide: {cell}");
        assert!(outside(&map) < 1e-6, "{method:?}: {} m", outside(&map));
        assert!(map.contours.lines.len() > 8, "{method:?}");
    }
}

#[test]
fn a_line_on_planes_has_no_vertex_within_a_triangle_but_where_it_begins_to_be_inferred() {
    let head = |x: f64, y: f64| 50.0 - 0.008 * x + 0.9 * (x / 70.0).sin() * (y / 90.0).cos();
    let more = "[contours]\ninterval = 0.1\n[uncertainty]\ninferred_spacings = 0.4\ninferred_interval_part = 1e9\n";
    let map = by(of_wells(&scatter(), more, head).path(), Method::Linear);
    let points = map.control.points();
    let on_a_side = |p: Coord| {
        map.mesh.triangles().iter().any(|t| {
            let corners = t.corners.map(|i| points[i].crs);
            (0..3).any(|k| off(p, corners[k], corners[(k + 1) % 3]).0 <= ON)
        })
    };
    let (mut changes, mut vertices) = (0, 0);
    for (line, support) in map.contours.lines.iter().zip(&map.uncertainty.contours) {
        let all = line.points.len();
        let mut ends: Vec<usize> = Vec::new();
        for stretch in &support.stretches {
            ends.push(stretch.first);
            ends.extend(stretch.vertices(all).last());
        }
        for (k, p) in line.points.iter().enumerate() {
            let changes_there = ends.contains(&k);
            assert!(changes_there || on_a_side(*p), "{p:?} of {}", line.level);
            changes += usize::from(changes_there && !on_a_side(*p));
            vertices += 1;
        }
    }
    assert!(changes > 20 && vertices > 200, "{changes} changes, {vertices} vertices");
}

#[test]
fn higher_ground_stays_on_the_left_of_what_the_boundary_leaves() {
    let head = |x: f64, y: f64| 50.0 - 0.008 * x + 0.009 * y;
    let map = by(bounded("[contours]\ninterval = 0.25\n", head).path(), Method::Linear);
    let mut pieces = 0;
    for w in map.contours.lines.iter().flat_map(|l| l.points.windows(2)) {
        let way = w[1] - w[0];
        // The slope is (-0.008, 0.009): left of the way it rises.
        assert!(way.x * 0.009 - way.y * -0.008 > 0.0, "{w:?}");
        pieces += 1;
    }
    assert!(pieces > 30, "{pieces}");
}

#[derive(Deserialize)]
struct Piece {
    closed: bool,
    length: f64,
    ends: Vec<[f64; 2]>,
}

#[derive(Deserialize)]
struct Line {
    level: f64,
    pieces: Vec<Piece>,
}

#[derive(Deserialize)]
struct Case {
    base: Option<f64>,
    within: bool,
    lines: Vec<Line>,
}

#[derive(Deserialize)]
struct Reference {
    west: f64,
    south: f64,
    wells: Vec<[f64; 3]>,
    areas: Vec<Vec<Vec<[f64; 2]>>>,
    cases: Vec<Case>,
}

/// The site of the fixture.
fn referred(reference: &Reference, case: &Case) -> Folder {
    let Reference { west, south, wells, areas, .. } = reference;
    let folder = Folder::new();
    let mut toml = "[site]\nname = \"Invented\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
                    vertical_datum = \"NAVD 88\"\n[contours]\ninterval = 0.4\n"
        .to_owned();
    if let Some(base) = case.base {
        let _ = write!(toml, "[grid]\nunconfined_base = {base}\n");
    }
    if case.within {
        toml += "[features]\nboundary = { file = \"site.csv\", crs = \"EPSG:26915\" }\n";
        let ring = |ring: &Vec<[f64; 2]>| {
            let at = |[x, y]: &[f64; 2]| format!("{} {}", west + x, south + y);
            let words: Vec<String> = ring.iter().chain(&ring[..1]).map(at).collect();
            format!("({})", words.join(", "))
        };
        let area = |rings: &Vec<Vec<[f64; 2]>>| {
            format!("({})", rings.iter().map(ring).collect::<Vec<_>>().join(", "))
        };
        let areas: Vec<String> = areas.iter().map(area).collect();
        folder.file("site.csv", format!("WKT\n\"MULTIPOLYGON ({})\"\n", areas.join(", ")));
    }
    folder.file("site.toml", toml);
    let (mut register, mut round) =
        ("id,easting,northing\n".to_owned(), "id,date,elevation\n".to_owned());
    for (i, [x, y, head]) in wells.iter().enumerate() {
        let _ = writeln!(register, "W-{i},{},{}", west + x, south + y);
        let _ = writeln!(round, "W-{i},2026-05-04,{head}");
    }
    folder.file("wells.csv", register);
    folder.file("rounds/spring.csv", round);
    folder
}

#[test]
fn lines_on_planes_are_those_of_matplotlib_cut_by_shapely() {
    let text = text(kept("planes.json"));
    let reference: Reference = serde_json::from_str(&text).expect("it is sound");
    let corner = Coord { x: reference.west, y: reference.south };
    for case in &reference.cases {
        let map = by(referred(&reference, case).path(), Method::Linear);
        let mut compared = 0;
        for Line { level, pieces } in &case.lines {
            let found: Vec<&ContourLine> =
                map.contours.lines.iter().filter(|l| l.level.total_cmp(level).is_eq()).collect();
            assert_eq!(found.len(), pieces.len(), "{level}, within: {}", case.within);
            for Piece { closed, length, ends: expected } in pieces {
                let same = |line: &&&ContourLine| {
                    let own: f64 = line
                        .points
                        .windows(2)
                        .map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y))
                        .sum();
                    let meets = expected.iter().all(|[x, y]| {
                        let at = Coord { x: *x, y: *y } + corner;
                        ends(line).iter().any(|end| (end.x - at.x).hypot(end.y - at.y) < 1e-5)
                    });
                    line.is_closed() == *closed && (own - length).abs() < 1e-5 && meets
                };
                assert_eq!(
                    found.iter().filter(same).count(),
                    1,
                    "{level}: {length} m, {expected:?}"
                );
                compared += 1;
            }
        }
        assert!(compared > 12, "{compared}");
    }
}

//! Arrows keep to their side of barriers, boundaries and streams.

use std::path::Path;

use geo::{Coord, Intersects, Line, LineString, Polygon};
use headfall::read::Method;
use headfall::report::Results;
use headfall::run::Map;
use headfall::{draw, page};
use roxmltree::Document;

use super::{by, kept};
use crate::support::{EAST, Folder, NORTH, of_wells, scatter};

/// The lines of a map that no arrow may cross, CRS units.
fn lines(map: &Map) -> Vec<LineString> {
    let features = &map.site.features;
    let rings = features.boundary.iter().flat_map(|area| {
        std::iter::once(area.exterior()).chain(area.interiors()).cloned().collect::<Vec<_>>()
    });
    let barriers = features.barriers.iter().map(|b| b.line.clone());
    rings.chain(barriers).chain(features.streams.iter().map(|s| s.line.clone())).collect()
}

/// The numbers of an SVG path that is made of moves and lines, relative ones added up.
fn path(d: &str) -> Vec<Coord> {
    let mut points: Vec<Coord> = Vec::new();
    let mut rest = d;
    while let Some(command) = rest.chars().next() {
        rest = &rest[1..];
        let end = rest.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(rest.len());
        let text = rest[..end].replace('-', " -");
        let numbers: Vec<f64> = text
            .split([' ', ','])
            .filter(|t| !t.is_empty())
            .map(|t| t.parse().expect("a number"))
            .collect();
        rest = &rest[end..];
        let last = points.last().copied().unwrap_or(Coord { x: 0.0, y: 0.0 });
        match command {
            'M' | 'L' => points.extend(numbers.chunks(2).map(|p| Coord { x: p[0], y: p[1] })),
            'l' => {
                for p in numbers.chunks(2) {
                    let last = *points.last().expect("a move before");
                    points.push(last + Coord { x: p[0], y: p[1] });
                }
            }
            'H' => points.push(Coord { x: numbers[0], y: last.y }),
            'V' => points.push(Coord { x: last.x, y: numbers[0] }),
            'h' => points.push(Coord { x: last.x + numbers[0], y: last.y }),
            'v' => points.push(Coord { x: last.x, y: last.y + numbers[0] }),
            'Z' | 'z' => {}
            other => panic!("{other} in {d}"),
        }
    }
    points
}

/// The arrows of the sheet in CRS units: by the rings of the wells, which stand where the wells do.
fn on_sheet(map: &Map) -> Vec<Polygon> {
    let text = draw::sheet(&Results::of(map, &[])).expect("a sheet").svg();
    let svg = Document::parse(&text).expect("an SVG");
    let layer =
        |id: &str| svg.descendants().find(|n| n.attribute("id") == Some(id)).expect("a layer");
    let number = |n: &roxmltree::Node, name: &str| -> f64 {
        n.attribute(name).expect(name).parse().expect("a number")
    };
    let rings: Vec<Coord> = layer("wells")
        .children()
        .filter(|n| n.has_tag_name("circle") && n.attribute("stroke").is_some())
        .map(|n| Coord { x: number(&n, "cx"), y: number(&n, "cy") })
        .collect();
    let wells: Vec<Coord> = map
        .control
        .points()
        .iter()
        .filter(|p| p.kind() == Some(headfall::read::WellKind::Well))
        .map(|p| p.crs)
        .collect();
    assert_eq!(rings.len(), wells.len(), "a ring for each well");
    let apart = |a: Coord, b: Coord| (b.x - a.x).hypot(b.y - a.y);
    let far = (0..wells.len())
        .max_by(|a, b| apart(wells[0], wells[*a]).total_cmp(&apart(wells[0], wells[*b])))
        .expect("wells");
    let scale = apart(wells[0], wells[far]) / apart(rings[0], rings[far]);
    let back = |p: &Coord| Coord {
        x: wells[0].x + (p.x - rings[0].x) * scale,
        y: wells[0].y - (p.y - rings[0].y) * scale,
    };
    layer("flow")
        .children()
        .filter_map(|n| n.attribute("d"))
        .map(|d| Polygon::new(path(d).iter().map(back).collect(), Vec::new()))
        .collect()
}

/// An arrow of the page where a pixel is `k` drawing units, `None` where it is put away.
fn on_page(map: &Map, k: f64) -> Vec<Option<Polygon>> {
    let html = page::report(&Results::of(map, &[]));
    let value = |text: &str, name: &str| -> Option<String> {
        let (_, rest) = text.split_once(&format!("{name}=\""))?;
        Some(rest.split('"').next().expect("an end").to_owned())
    };
    let places = |class: &str| -> Vec<Coord> {
        html.lines()
            .filter(|l| l.contains(class))
            .filter_map(|l| value(l, "transform"))
            .filter_map(|t| {
                let (x, y) = t.strip_prefix("translate(")?.strip_suffix(')')?.split_once(' ')?;
                Some(Coord { x: x.parse().ok()?, y: y.parse().ok()? })
            })
            .collect()
    };
    // The drawing is the CRS by one scale: known from the wells, which have every name once.
    let mut wells: Vec<(&str, Coord)> = map
        .control
        .points()
        .iter()
        .filter(|p| p.kind() == Some(headfall::read::WellKind::Well))
        .map(|p| (p.id.as_str(), p.crs))
        .collect();
    let drawn = places("class=\"mark well\"");
    assert_eq!(drawn.len(), wells.len(), "a mark for each well");
    // In the page they stand by name, numbers as numbers.
    wells.sort_by_key(|(id, _)| {
        id.trim_start_matches(|c: char| !c.is_ascii_digit()).parse::<u32>().expect("a number")
    });
    let (a, b) = (0, wells.len() - 1);
    let scale = (wells[b].1.x - wells[a].1.x) / (drawn[b].x - drawn[a].x);
    let back = |p: Coord| Coord {
        x: wells[a].1.x + (p.x - drawn[a].x) * scale,
        y: wells[a].1.y - (p.y - drawn[a].y) * scale,
    };
    html.lines()
        .filter(|l| l.contains("data-list=\"arrows\""))
        .map(|l| {
            let widest = value(l, "data-widest").map_or(f64::INFINITY, |w| w.parse().expect("one"));
            assert_eq!(l.contains(" off\""), widest < 1.0, "{l}");
            let at = places_of(&value(l, "transform").expect("a place"));
            let turn: f64 = {
                let (_, rest) = l.split_once("rotate(").expect("a turn");
                rest.split(')').next().expect("an end").parse().expect("degrees")
            };
            let (sin, cos) = turn.to_radians().sin_cos();
            let outline = path(&value(l, " d").expect("an outline"));
            let corner = |p: &Coord| {
                let turned = Coord { x: p.x * cos - p.y * sin, y: p.x * sin + p.y * cos };
                back(at + turned * k)
            };
            (k <= widest).then(|| Polygon::new(outline.iter().map(corner).collect(), Vec::new()))
        })
        .collect()
}

fn places_of(translate: &str) -> Coord {
    let inner = translate.strip_prefix("translate(").and_then(|t| t.strip_suffix(')'));
    let (x, y) = inner.and_then(|t| t.split_once(' ')).expect("a place");
    Coord { x: x.parse().expect("x"), y: y.parse().expect("y") }
}

#[track_caller]
fn none_crosses(map: &Map, arrows: &[Polygon], where_: &str) {
    for arrow in arrows {
        for line in lines(map) {
            assert!(!line.intersects(arrow), "{where_}: an arrow at {:?}", arrow.exterior().0[0]);
        }
    }
}

/// Every arrow of sheet and page on its own side; returns how many the sheet has.
#[track_caller]
fn keep_to_their_side(source: &Path, method: Method) -> usize {
    let map = by(source, method);
    let sheet = on_sheet(&map);
    none_crosses(&map, &sheet, &format!("{method:?}, the sheet"));
    // As wide as the drawing, on paper and on a narrow screen, and looked at closely.
    for k in [1.0, 1000.0 / 690.0, 3.0, 0.2] {
        let page: Vec<Polygon> = on_page(&map, k).into_iter().flatten().collect();
        none_crosses(&map, &page, &format!("{method:?}, the page at {k}"));
        assert!(k > 1.0 || page.len() > 10, "{method:?}: {} arrows at {k}", page.len());
    }
    sheet.len()
}

#[test]
fn no_arrow_goes_through_a_wall_or_over_a_boundary() {
    for site in ["past-a-wall", "narrow-hole"] {
        for method in Method::ALL {
            let drawn = keep_to_their_side(&kept(site), method);
            assert!(drawn > 10, "{site}, {method:?}: {drawn} arrows");
        }
    }
}

/// Wells on both sides of a stream that gains from both: the heads fall toward it.
fn stream() -> Folder {
    let toml =
        "[features]\nstreams = { file = \"brook.csv\", crs = \"EPSG:26915\", stage = \"stage\" }\n";
    let folder = of_wells(&scatter(), toml, |x, y| 40.0 + 0.01 * (x - 215.0).abs() - 0.001 * y);
    let brook = Line::new((EAST + 215.0, NORTH - 60.0), (EAST + 216.0, NORTH + 520.0));
    folder.file(
        "brook.csv",
        format!(
            "WKT,name,stage\n\"LINESTRING ({} {}, {} {})\",Brook,39.5\n",
            brook.start.x, brook.start.y, brook.end.x, brook.end.y
        ),
    );
    folder
}

#[test]
fn no_arrow_crosses_a_stream_and_those_beside_it_point_to_it() {
    let folder = stream();
    for method in [Method::Linear, Method::NaturalNeighbour, Method::ThinPlate] {
        let drawn = keep_to_their_side(folder.path(), method);
        assert!(drawn > 10, "{method:?}: {drawn} arrows");
    }
    // The slope beside it is that of one side, not the mean of both, which is none.
    let map = by(folder.path(), Method::NaturalNeighbour);
    let results = Results::of(&map, &[]);
    let frame = map.control.frame();
    for (x, toward) in [(212.0, -1.0), (219.0, 1.0)] {
        let at = frame.to_local(Coord { x: EAST + x, y: NORTH + 230.0 });
        for reach_m in [2.0, 10.0, 40.0] {
            let slope = results.slope(at, reach_m).expect("a slope");
            assert!(slope.east * toward > 0.001, "{x} over {reach_m} m: {slope:?}");
        }
    }
}

#[test]
fn no_slope_is_taken_across_a_wall() {
    // A step of 3 m at the wall, and a fall of 0.004 along it on both sides.
    let west = |_: f64, y: f64| 50.0 - 0.004 * y;
    let toml = "[grid]\ncell = 5.0\n[features]\nbarriers = { file = \"wall.csv\", crs = \"EPSG:26915\" }\n";
    let folder = of_wells(&scatter(), toml, |x, y| west(x, y) + if x > 215.0 { 3.0 } else { 0.0 });
    folder.file(
        "wall.csv",
        format!(
            "WKT,name\n\"LINESTRING ({0} {1}, {0} {2})\",Wall\n",
            EAST + 215.0,
            NORTH - 60.0,
            NORTH + 600.0
        ),
    );
    for method in [Method::NaturalNeighbour, Method::ThinPlate, Method::SmoothNaturalNeighbour] {
        let map = by(folder.path(), method);
        let results = Results::of(&map, &[]);
        let mut seen = 0;
        for k in 0..60 {
            let (x, y) = (185.0 + f64::from(k), 210.0 + 3.0 * f64::from(k % 7));
            let at = map.control.frame().to_local(Coord { x: EAST + x, y: NORTH + y });
            for reach_m in [5.0, 25.0] {
                let Some(slope) = results.slope(at, reach_m) else { continue };
                assert!(slope.east.abs() < 1e-6, "{method:?} at {x}: {slope:?}");
                assert!((slope.north + 0.004).abs() < 1e-6, "{method:?} at {x}: {slope:?}");
                seen += 1;
            }
        }
        assert!(seen > 40, "{method:?}: {seen}");
    }
}

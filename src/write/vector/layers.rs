//! Every layer as a table of rows with geometries in the project CRS.

use std::sync::Arc;

use geo::{Coord, Geometry, LineString, MapCoordsInPlace, MultiLineString, MultiPoint};
use geo::{MultiPolygon, Point, Polygon};
use serde::Serialize;

use super::arrows::{Arrow, arrows};
use super::fields;
use super::layer::{Layer, Shape};
use super::row::Value;
use super::row::row;
use crate::check::JudgedHead;
use crate::read::ControlLine;
use crate::read::Place;
use crate::read::Stream;
use crate::report::Height;
use crate::report::Rows;
use crate::report::digits;
use crate::write::context::Context;
use crate::write::layers;
use crate::write::toward;

/// All layers that have something to show; wells, contours, triangles and flow are always there.
pub(in crate::write) fn layers<'a>(context: &'a Context<'a>) -> Vec<Layer<'a>> {
    let mut all = vec![wells(context), contours(context), triangles(context), flow(context)];
    all.push(of_flow(context));
    // There is an answer, or there are none of its layers.
    if let Ok(rows) = toward::rows(context) {
        all.extend(of_answer(context, rows));
    }
    let features = &context.results.site.features;
    let named: fn(&str) -> Vec<Value> = |name| row(&Named { name }, fields::NAMED);
    let pumped = context.results.pumped_wells();
    all.push(Layer {
        name: "pumped_wells",
        about: "pumped wells: those the site declares, and those found pumping in this round",
        shape: Shape::Point,
        fields: fields::NAMED,
        count: pumped.len(),
        feature: Box::new(move |i| (rounded(Point(pumped[i].crs).into()), named(pumped[i].name))),
    });
    all.push(Layer {
        name: "boundary",
        about: "the area the map is clipped to",
        shape: Shape::Area,
        fields: fields::NUMBERED,
        count: features.boundary.len(),
        feature: Box::new(|i| {
            let area = features.boundary[i].clone();
            (rounded(area.into()), row(&Numbered { part: i + 1 }, fields::NUMBERED))
        }),
    });
    all.push(Layer {
        name: "barriers",
        about: "lines that no groundwater passes",
        shape: Shape::Line,
        fields: fields::NAMED,
        count: features.barriers.len(),
        feature: Box::new(move |i| {
            let barrier = &features.barriers[i];
            (rounded(barrier.line.clone().into()), named(&barrier.name))
        }),
    });
    all.push(Layer {
        name: "streams",
        about: "streams and drains with known stage",
        shape: Shape::Line,
        fields: fields::STREAMS,
        count: features.streams.len(),
        feature: Box::new(|i| {
            let stream = &features.streams[i];
            let values = row(&Reach::of(context, stream), fields::STREAMS);
            (rounded(stream.line.clone().into()), values)
        }),
    });
    let (count, point) = layers::stream_points::rows(context);
    all.push(Layer {
        name: "stream_points",
        about: "points along streams whose stage carries the map",
        shape: Shape::Point,
        fields: fields::STREAM_POINTS,
        count,
        feature: Box::new(move |i| {
            let (place, properties) = point(i);
            (rounded(Point(place.crs).into()), row(&properties, fields::STREAM_POINTS))
        }),
    });
    all.extend(judged(context));
    for (places, names) in [
        (&features.sources, ["source_points", "source_lines", "source_areas"]),
        (&features.receptors, ["receptor_points", "receptor_lines", "receptor_areas"]),
    ] {
        all.extend(by_shape(places, names));
    }
    let always = 4;
    let mut number = 0;
    all.retain(|layer| {
        number += 1;
        number <= always || layer.count > 0
    });
    all
}

/// Judged points, and control lines that control the map.
fn judged<'a>(context: &'a Context<'a>) -> [Layer<'a>; 2] {
    let results = context.results;
    let features = &results.map.site.features;
    let (count, point) = layers::judged_points::rows(context);
    let line = |judged: &'a JudgedHead| {
        let own = features.judged_points[*judged.points.first()?].line?;
        Some(&features.control_lines[own])
    };
    let lines: Vec<&ControlLine> = results.map.control.judged().iter().filter_map(line).collect();
    [
        Layer {
            name: "judged_points",
            about: "control points whose head was judged, not measured",
            shape: Shape::Point,
            fields: fields::JUDGED_POINTS,
            count,
            feature: Box::new(move |i| {
                let (place, properties) = point(i);
                (rounded(Point(place.crs).into()), row(&properties, fields::JUDGED_POINTS))
            }),
        },
        Layer {
            name: "control_lines",
            about: "contours drawn by judgement, not measured",
            shape: Shape::Line,
            fields: fields::CONTROL_LINES,
            count: lines.len(),
            feature: Box::new(move |i| {
                let ControlLine { name, line, head, judgement } = lines[i];
                let head = context.units.elevation(*head);
                let properties = Interpreted {
                    name,
                    head_m: head.m,
                    head_ft: head.ft,
                    basis: layers::judged_points::INTERPRETED,
                    reason: &judgement.reason,
                    by: &judgement.by,
                };
                (rounded(line.clone().into()), row(&properties, fields::CONTROL_LINES))
            }),
        },
    ]
}

#[derive(Serialize)]
struct Interpreted<'a> {
    name: &'a str,
    head_m: f64,
    head_ft: f64,
    basis: &'static str,
    reason: &'a str,
    by: &'a str,
}

fn wells<'a>(context: &'a Context<'a>) -> Layer<'a> {
    let (count, well) = layers::wells::rows(context);
    Layer {
        name: "wells",
        about: "every well and gauge that was read, with its head",
        shape: Shape::Point,
        fields: fields::WELLS,
        count,
        feature: Box::new(move |i| {
            let (place, properties) = well(i);
            (rounded(Point(place.crs).into()), row(&properties, fields::WELLS))
        }),
    }
}

/// One feature a stretch, so that a GIS can dash what is inferred.
fn contours<'a>(context: &'a Context<'a>) -> Layer<'a> {
    let contours = &context.results.contours.lines;
    let supports = &context.results.uncertainty.contours;
    let stretches = &context.stretches;
    Layer {
        name: "contours",
        about: "lines of equal head; a stretch that is inferred stands alone",
        shape: Shape::Line,
        fields: fields::CONTOURS,
        count: stretches.len(),
        feature: Box::new(move |k| {
            let (line, s) = stretches[k];
            let points = supports[line].stretches[s].points(&contours[line].points);
            let course: LineString = points.collect();
            let properties = layers::contours::properties(context, (line, s));
            (rounded(course.into()), row(&properties, fields::CONTOURS))
        }),
    }
}

fn triangles<'a>(context: &'a Context<'a>) -> Layer<'a> {
    let triangles = context.results.mesh.triangles();
    let points = context.results.control.points();
    Layer {
        name: "triangles",
        about: "the triangles between wells, with gradient and direction of flow",
        shape: Shape::Area,
        fields: fields::TRIANGLES,
        count: triangles.len(),
        feature: Box::new(move |i| {
            let [a, b, c] = triangles[i].corners.map(|k| points[k].crs);
            let outline = Polygon::new(LineString(vec![a, b, c, a]), Vec::new());
            let properties = layers::triangles::properties(context, i);
            (rounded(outline.into()), row(&properties, fields::TRIANGLES))
        }),
    }
}

fn flow<'a>(context: &'a Context<'a>) -> Layer<'a> {
    let flows = &context.results.flow.triangles;
    Layer {
        name: "flow",
        about: "gradient and direction of flow at the centroid of each triangle",
        shape: Shape::Point,
        fields: fields::FLOW,
        count: flows.len(),
        feature: Box::new(move |i| {
            let at = Point(flows[i].centroid);
            let properties = layers::flow::properties(context, i);
            (rounded(at.into()), row(&properties, fields::FLOW))
        }),
    }
}

/// One for each that the drawing has too: as areas, whose direction and length no program can miss.
fn of_flow<'a>(context: &'a Context<'a>) -> Layer<'a> {
    let arrows = arrows(context.results);
    Layer {
        name: "arrows",
        about: "arrows along the flow, longer with the gradient",
        shape: Shape::Area,
        fields: fields::ARROWS,
        count: arrows.len(),
        feature: Box::new(move |i| {
            let outline = Polygon::new(LineString(arrows[i].outline().to_vec()), Vec::new());
            (rounded(outline.into()), row(&Directed::of(&arrows[i]), fields::ARROWS))
        }),
    }
}

#[derive(Serialize)]
struct Directed {
    triangle: Option<usize>,
    gradient: f64,
    flow_azimuth_grid_deg: f64,
    direction_known: bool,
    sign: &'static str,
}

impl Directed {
    fn of(arrow: &Arrow) -> Self {
        let flow = &arrow.flow;
        Self {
            triangle: flow.triangle.map(|t| t + 1),
            gradient: digits::gradient(flow.gradient),
            flow_azimuth_grid_deg: digits::azimuth(flow.azimuth_grid),
            direction_known: flow.known,
            sign: flow.sign(),
        }
    }
}

/// Flow paths and reaches of lines.
fn of_answer<'a>(context: &'a Context<'a>, rows: Rows<'a>) -> [Layer<'a>; 2] {
    let frame = context.results.control.frame();
    let on_map =
        move |points: &[Coord]| -> LineString { points.iter().map(|p| frame.to_crs(*p)).collect() };
    let rows = Arc::new(rows);
    let (paths, lines) = (&rows.toward.paths, &rows.toward.lines);
    // One that is a point alone is left out, as in paths.geojson.
    let long: Vec<usize> = (0..paths.len())
        .filter(|i| paths[*i].path.points.len() > 1 && rows.path(*i).is_some())
        .collect();
    let reaches: Vec<(usize, usize)> = (0..lines.len())
        .flat_map(|line| (0..lines[line].reaches.len()).map(move |reach| (line, reach)))
        .collect();
    let of_reaches = Arc::clone(&rows);
    [
        Layer {
            name: "paths",
            about: "flow paths: down from sources, up from receptors and pumped wells",
            shape: Shape::Line,
            fields: fields::PATHS,
            count: long.len(),
            feature: Box::new(move |k| {
                let course = on_map(&rows.toward.paths[long[k]].path.points);
                let properties = rows.path(long[k]);
                (rounded(course.into()), row(&properties, fields::PATHS))
            }),
        },
        Layer {
            name: "reaches",
            about: "what the water does along creeks and property lines",
            shape: Shape::Line,
            fields: fields::REACHES,
            count: reaches.len(),
            feature: Box::new(move |k| {
                let (i, reach) = reaches[k];
                let line = &of_reaches.toward.lines[i];
                let reach = &line.reaches[reach];
                let course = on_map(&line.part(reach.from_m, reach.to_m));
                let properties = of_reaches.reach(i, reach);
                (rounded(course.into()), row(&properties, fields::REACHES))
            }),
        },
    ]
}

#[derive(Serialize)]
struct Named<'a> {
    name: &'a str,
}

#[derive(Serialize)]
struct Numbered {
    part: usize,
}

#[derive(Serialize)]
struct Reach<'a> {
    name: &'a str,
    stage_low_m: Option<f64>,
    stage_high_m: Option<f64>,
    stage_low_ft: Option<f64>,
    stage_high_ft: Option<f64>,
}

impl<'a> Reach<'a> {
    fn of(context: &Context, stream: &'a Stream) -> Self {
        let bound = |of: fn(f64, f64) -> f64| -> Option<Height> {
            stream.stages.iter().copied().reduce(of).map(|s| context.units.elevation(s))
        };
        let (low, high) = (bound(f64::min), bound(f64::max));
        Self {
            name: &stream.name,
            stage_low_m: low.map(|h| h.m),
            stage_high_m: high.map(|h| h.m),
            stage_low_ft: low.map(|h| h.ft),
            stage_high_ft: high.map(|h| h.ft),
        }
    }
}

/// Places by what they are: many formats hold one kind of geometry in a layer.
fn by_shape<'a>(places: &'a [Place], names: [&'static str; 3]) -> Vec<Layer<'a>> {
    let shapes = [Shape::Points, Shape::Lines, Shape::Areas];
    let layer = |(name, shape): (&'static str, Shape)| {
        let here: Vec<(&str, Geometry)> = places
            .iter()
            .filter_map(|p| many(&p.geometry).filter(|m| m.0 == shape).map(|m| (&*p.name, m.1)))
            .collect();
        Layer {
            name,
            about: if name.starts_with("source") {
                "where a plume may start"
            } else {
                "what the water must not carry a plume to"
            },
            shape,
            fields: fields::NAMED,
            count: here.len(),
            feature: Box::new(move |i| {
                let (name, geometry) = &here[i];
                (rounded(geometry.clone()), row(&Named { name }, fields::NAMED))
            }),
        }
    };
    names.into_iter().zip(shapes).map(layer).collect()
}

/// A geometry as one of many parts, and of which kind; `None` for a collection.
fn many(geometry: &Geometry) -> Option<(Shape, Geometry)> {
    Some(match geometry.clone() {
        Geometry::Point(p) => (Shape::Points, MultiPoint(vec![p]).into()),
        Geometry::MultiPoint(p) => (Shape::Points, p.into()),
        Geometry::LineString(l) => (Shape::Lines, MultiLineString(vec![l]).into()),
        Geometry::MultiLineString(l) => (Shape::Lines, l.into()),
        Geometry::Polygon(p) => (Shape::Areas, MultiPolygon(vec![p]).into()),
        Geometry::MultiPolygon(p) => (Shape::Areas, p.into()),
        _ => return None,
    })
}

/// Positions as they are rounded in every file.
pub(super) fn rounded(mut geometry: Geometry) -> Geometry {
    geometry.map_coords_in_place(|p| Coord { x: digits::position(p.x), y: digits::position(p.y) });
    geometry
}

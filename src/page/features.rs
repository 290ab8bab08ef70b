//! What stands beside the wells on the page's map.

use std::collections::BTreeSet;

use geo::{BoundingRect, Coord, CoordsIter, Geometry};

use crate::check::JudgedHead;
use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::layer::{Feature, Layer};
use crate::page::limits::FINEST;
use crate::page::paths;
use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables;
use crate::report::measures;

/// A feature with its layer and its name.
struct Given<'a> {
    kind: &'static str,
    layer: &'static str,
    word: &'static str,
    name: Option<&'a str>,
    geometry: Geometry,
    /// Of a stream, elevation unit.
    stages: &'a [f64],
    /// Behind a control line.
    judged: Option<&'a JudgedHead>,
}

/// The layers that hold anything, lowest first, and what their features tell.
pub(super) fn layers(site: &Site, drawing: &Drawing) -> (Vec<Layer>, Vec<Facts>) {
    let mut facts: Vec<Facts> = Vec::new();
    let mut layers: Vec<Layer> = Vec::new();
    let mut named = BTreeSet::new();
    for given in given(site) {
        // A creek may be both a stream and a receptor.
        let label = given.name.filter(|name| named.insert((*name).to_owned())).map(plain::place);
        let label = match given.judged {
            Some(judged) => {
                label.map(|name| format!("{name} {} judged", measures::posted(judged.head)))
            }
            None => label,
        };
        let mut feature = Feature {
            path: String::new(),
            area: false,
            points: Vec::new(),
            label,
            facts: facts.len(),
        };
        add(&mut feature, drawing, &given.geometry);
        let title = match given.name {
            Some(name) => format!("{} {}", given.word, plain::text(name)),
            None => given.word.to_owned(),
        };
        let own = Facts::of(title).with_some("stage", stage(site, given.stages));
        facts.push(match given.judged {
            Some(judged) => tables::judged_facts(own.with("head", site.head(judged.head)), judged),
            None => own,
        });
        match layers.last_mut() {
            Some(last) if last.kind == given.kind => last.features.push(feature),
            _ => {
                layers.push(Layer { kind: given.kind, name: given.layer, features: vec![feature] });
            }
        }
    }
    layers.extend(paths::layers(site, drawing, &mut facts));
    (layers, facts)
}

/// A stream's stage along its course.
fn stage(site: &Site, stages: &[f64]) -> Option<String> {
    let (first, last) = (stages.first()?, stages.last()?);
    if first.total_cmp(last).is_eq() {
        return Some(site.head(*first));
    }
    Some(format!("{} to {}", site.head(*first), site.head(*last)))
}

/// The boxes about all features, CRS units.
pub(super) fn boxes(site: &Site) -> Vec<(Coord, Coord)> {
    let rect = |g: Given| g.geometry.bounding_rect().map(|r| (r.min(), r.max()));
    given(site).filter_map(rect).collect()
}

fn given<'a>(site: &Site<'a>) -> impl Iterator<Item = Given<'a>> {
    let features = &site.results.site.features;
    let boundary = features.boundary.iter().map(|b| Given {
        kind: "boundary",
        layer: "site boundary",
        word: "site boundary",
        name: None,
        geometry: b.clone().into(),
        stages: &[],
        judged: None,
    });
    let streams = features.streams.iter().map(|s| Given {
        kind: "stream",
        layer: "streams and drains",
        word: "stream",
        name: Some(&s.name),
        geometry: s.line.clone().into(),
        stages: &s.stages,
        judged: None,
    });
    let barriers = features.barriers.iter().map(|b| Given {
        kind: "barrier",
        layer: "barriers to flow",
        word: "barrier",
        name: Some(&b.name),
        geometry: b.line.clone().into(),
        stages: &[],
        judged: None,
    });
    let sources = features.sources.iter().map(|p| Given {
        kind: "source",
        layer: "sources",
        word: "source",
        name: Some(&p.name),
        geometry: p.geometry.clone(),
        stages: &[],
        judged: None,
    });
    let receptors = features.receptors.iter().map(|p| Given {
        kind: "receptor",
        layer: "receptors",
        word: "receptor",
        name: Some(&p.name),
        geometry: p.geometry.clone(),
        stages: &[],
        judged: None,
    });
    let judged = site.results.control.judged().iter().filter_map(|judged| {
        let line = features.judged_points[*judged.points.first()?].line?;
        Some(Given {
            kind: "control-line",
            layer: "control lines: contours drawn by judgement, not measured",
            word: "control line",
            name: Some(&judged.name),
            geometry: features.control_lines[line].line.clone().into(),
            stages: &[],
            judged: Some(judged),
        })
    });
    boundary.chain(judged).chain(streams).chain(barriers).chain(sources).chain(receptors)
}

fn add(feature: &mut Feature, drawing: &Drawing, geometry: &Geometry) {
    let path = |points: Vec<Coord>| drawing::path(&drawing.line(&points, FINEST));
    match geometry {
        Geometry::Point(p) => {
            let at = drawing.at(p.0);
            feature.points.push((drawing::number(at.x), drawing::number(at.y)));
        }
        Geometry::Line(l) => feature.path += &path(vec![l.start, l.end]),
        Geometry::LineString(l) => feature.path += &path(l.0.clone()),
        Geometry::Polygon(p) => {
            feature.area = true;
            let rings = std::iter::once(p.exterior()).chain(p.interiors());
            feature.path.extend(rings.map(|r| path(r.0.clone())));
        }
        Geometry::Rect(r) => add(feature, drawing, &r.to_polygon().into()),
        Geometry::Triangle(t) => add(feature, drawing, &t.to_polygon().into()),
        Geometry::MultiPoint(m) => {
            m.0.iter().for_each(|p| add(feature, drawing, &(*p).into()));
        }
        Geometry::MultiLineString(m) => {
            m.0.iter().for_each(|l| add(feature, drawing, &l.clone().into()));
        }
        Geometry::MultiPolygon(m) => {
            m.0.iter().for_each(|p| add(feature, drawing, &p.clone().into()));
        }
        Geometry::GeometryCollection(c) => {
            c.0.iter().filter(|g| g.coords_count() > 0).for_each(|g| add(feature, drawing, g));
        }
    }
}

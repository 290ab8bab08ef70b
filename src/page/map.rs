//! The map on the screen: what is drawn, where, and what each mark tells.

use std::collections::BTreeMap;

use geo::Coord;
use serde::Serialize;

use crate::page::arrows;
use crate::page::arrows::Arrow;
use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::features;
use crate::page::features::Layer;
use crate::page::limits;
use crate::page::lines;
use crate::page::lines::Line;
use crate::page::measures;
use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables;
use crate::read::WellKind;
use crate::reduce::Fate;
use crate::units::LengthUnit;

/// A set-aside well or a feature farther from the wells than this part of their extent does not
/// widen the view that the page opens with; panning reaches it.
const NEARBY: f64 = 0.6;

/// Everything that is drawn.
#[derive(Debug, Serialize)]
pub(super) struct Map {
    width: f64,
    height: f64,
    /// Degrees that true north lies clockwise of up, and the same in words.
    true_north_deg: String,
    true_north: String,
    layers: Vec<Layer>,
    triangles: Vec<Triangle>,
    lines: Vec<Line>,
    arrows: Vec<Arrow>,
    usual_gradient: Option<String>,
    wells: Vec<Mark>,
    aside: Vec<Mark>,
    /// What was left out to keep the page small.
    notes: Vec<String>,
    /// Part of the contours' length that is inferred, %.
    pub(super) inferred_percent: String,
    data: Data,
}

/// What the page's script needs to know: in the page as JSON.
#[derive(Debug, Serialize)]
struct Data {
    /// Distance on the ground of one drawing unit, in `ground_unit`.
    ground: f64,
    ground_unit: LengthUnit,
    wells: Vec<Facts>,
    aside: Vec<Facts>,
    lines: Vec<Facts>,
    triangles: Vec<Facts>,
    arrows: Vec<Facts>,
    features: Vec<Facts>,
}

/// A well on the drawing.
#[derive(Debug, Serialize)]
struct Mark {
    x: String,
    y: String,
    label: String,
    head: Option<String>,
    /// Whether it is a well; a gauge or a stream's point otherwise.
    well: bool,
}

/// A triangle on the drawing.
#[derive(Debug, Serialize)]
struct Triangle {
    path: String,
    marked: bool,
}

/// The map of a site.
pub(super) fn map(site: &Site) -> Map {
    let aside = aside(site);
    let (low, high) = view(site, &aside);
    let drawing = Drawing::of(low, high);
    let mut notes = Vec::new();
    let (wells, well_facts) = wells(site, &drawing, &mut notes);
    let (aside, aside_facts) = aside_marks(site, &drawing, &aside, &mut notes);
    let (triangles, triangle_facts) = triangles(site, &drawing, &mut notes);
    let lines = lines::lines(site, &drawing);
    let arrows = arrows::arrows(site, &drawing);
    let (layers, feature_facts) = features::layers(site, &drawing);
    notes.extend(lines.notes);
    notes.extend(arrows.note);
    let metres = drawing.crs_units() * site.results.control.frame().metres_per_unit();
    let convergence = site.factors().convergence_deg;
    let data = Data {
        ground: LengthUnit::Metre.convert(metres, site.ground()),
        ground_unit: site.ground(),
        wells: well_facts,
        aside: aside_facts,
        lines: lines.facts,
        triangles: triangle_facts,
        arrows: arrows.facts,
        features: feature_facts,
    };
    Map {
        width: 1000.0,
        height: drawing.height,
        true_north_deg: measures::fixed(-convergence, 2),
        true_north: format!(
            "{}° {}",
            measures::fixed(convergence.abs(), 2),
            if convergence > 0.0 { "west of it" } else { "east of it" }
        ),
        layers,
        triangles,
        lines: lines.drawn,
        arrows: arrows.drawn,
        usual_gradient: arrows.usual,
        wells,
        aside,
        notes,
        inferred_percent: measures::fixed(100.0 * lines.inferred_part, 0),
        data,
    }
}

/// The corners of what the page shows first: the control points, and what stands near them.
fn view(site: &Site, aside: &[Aside]) -> (Coord, Coord) {
    let (low, high) = site.results.control.bounds();
    let reach = NEARBY * (high.x - low.x).max(high.y - low.y);
    let near = |p: &Coord| {
        p.x >= low.x - reach
            && p.x <= high.x + reach
            && p.y >= low.y - reach
            && p.y <= high.y + reach
    };
    let corners = features::boxes(site).into_iter().flat_map(|(a, b)| [a, b]);
    aside.iter().map(|a| a.crs).chain(corners).filter(near).fold((low, high), |(low, high), p| {
        (
            Coord { x: low.x.min(p.x), y: low.y.min(p.y) },
            Coord { x: high.x.max(p.x), y: high.y.max(p.y) },
        )
    })
}

fn mark(drawing: &Drawing, at: Coord, id: &str, head: Option<String>, kind: WellKind) -> Mark {
    let at = drawing.at(at);
    let (x, y) = (drawing::number(at.x), drawing::number(at.y));
    Mark { x, y, label: plain::label(id), head, well: kind == WellKind::Well }
}

/// The wells and gauges in the order of the head table, so that the keys walk through both alike.
/// Points of streams are their streams' and have no mark of their own.
fn wells(site: &Site, drawing: &Drawing, notes: &mut Vec<String>) -> (Vec<Mark>, Vec<Facts>) {
    let points = site.results.control.points();
    let mut order = tables::in_register_order(site);
    order.retain(|i| points[*i].kind != WellKind::Stream);
    let places: Vec<Coord> = order.iter().map(|i| drawing.at(points[*i].crs)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    if let Some(side) = side {
        let metres = side * drawing.crs_units() * site.results.control.frame().metres_per_unit();
        notes.push(format!(
            "wells: {} of {}, at most one in each square of {}; wells.geojson has all",
            shown.len(),
            order.len(),
            site.distance(metres)
        ));
    }
    shown
        .into_iter()
        .map(|k| {
            let i = order[k];
            let p = &points[i];
            let head = measures::height(p.head, site.elevation);
            (mark(drawing, p.crs, &p.id, Some(head), p.kind), tables::well_facts(site, i))
        })
        .unzip()
}

/// A well that was read and carries nothing.
struct Aside {
    well: usize,
    crs: Coord,
    reasons: Vec<String>,
}

/// The wells that were set aside and have a position, by name.
fn aside(site: &Site) -> Vec<Aside> {
    let (control, register) = (site.results.control, &site.results.site.wells);
    let used: std::collections::BTreeSet<usize> = control.points().iter().map(|p| p.well).collect();
    let mut wells: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for account in control.accounts().iter().filter(|a| !used.contains(&a.well)) {
        let reasons = wells.entry(account.well).or_default();
        if let Fate::SetAside { reason, .. } = &account.fate
            && !reasons.contains(reason)
        {
            reasons.push(reason.clone());
        }
    }
    let mut aside: Vec<Aside> = wells
        .into_iter()
        .filter(|(well, _)| register[*well].kind != WellKind::Stream)
        .filter_map(|(well, reasons)| {
            let crs = control.places()[well]?.crs;
            Some(Aside { well, crs, reasons })
        })
        .collect();
    aside.sort_by(|a, b| register[a.well].id.cmp(&register[b.well].id));
    aside
}

fn aside_marks(
    site: &Site,
    drawing: &Drawing,
    aside: &[Aside],
    notes: &mut Vec<String>,
) -> (Vec<Mark>, Vec<Facts>) {
    let places: Vec<Coord> = aside.iter().map(|a| drawing.at(a.crs)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    if side.is_some() {
        notes.push(format!(
            "set-aside wells: {} of {}; heads.csv has all",
            shown.len(),
            aside.len()
        ));
    }
    shown
        .into_iter()
        .map(|k| {
            let a = &aside[k];
            let well = &site.results.site.wells[a.well];
            let facts = Facts::of(plain::text(&well.id))
                .with("set aside", plain::text(&a.reasons.join("; ")));
            (mark(drawing, a.crs, &well.id, None, well.kind), facts)
        })
        .unzip()
}

fn triangles(
    site: &Site,
    drawing: &Drawing,
    notes: &mut Vec<String>,
) -> (Vec<Triangle>, Vec<Facts>) {
    let (mesh, points) = (site.results.mesh, site.results.control.points());
    let flows = &site.results.flow.triangles;
    let centres: Vec<Coord> = flows.iter().map(|f| drawing.at(f.centroid)).collect();
    let (shown, side) = limits::spread(&centres, limits::MOST_MARKS);
    if side.is_some() {
        notes.push(format!(
            "triangles: {} of {}, spread evenly; triangles.geojson has all",
            shown.len(),
            flows.len()
        ));
    }
    shown
        .into_iter()
        .map(|i| {
            let t = &mesh.triangles()[i];
            let [a, b, c] = t.corners.map(|k| drawing.at(points[k].crs));
            let path = drawing::path(&[a, b, c, a]);
            (Triangle { path, marked: !t.marks.is_empty() }, tables::triangle_facts(site, i))
        })
        .unzip()
}

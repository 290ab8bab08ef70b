//! The map on the screen: what is drawn, where, and what each mark tells.

use geo::Coord;
use serde::Serialize;

use crate::check::ControlPoint;
use crate::page::arrows;
use crate::page::arrows::Arrow;
use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::features;
use crate::page::layer::Layer;
use crate::page::limits;
use crate::page::lines;
use crate::page::lines::Line;
use crate::page::measures;
use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables;
use crate::read::WellKind;
use crate::report::Followed;
use crate::report::SetAside;

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
    /// Pumped wells that do not carry the map.
    pumped: Vec<Mark>,
    /// Whether a head was corrected for floating product.
    corrected: bool,
    /// What the arrows follow: `triangles`, `surface`, or `triangles-only` where directions must
    /// not be read off the surface.
    followed: &'static str,
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
    ground_unit: &'static str,
    wells: Vec<Facts>,
    aside: Vec<Facts>,
    pumped: Vec<Facts>,
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
    /// What it is drawn as: `well`, `gauge` or `pumped`.
    sign: &'static str,
}

/// A triangle on the drawing.
#[derive(Debug, Serialize)]
struct Triangle {
    path: String,
    marked: bool,
}

/// The map of a site.
pub(super) fn map(site: &Site) -> Map {
    let (pumped, aside) = aside(site).into_iter().partition::<Vec<_>, _>(|a| a.pumped);
    let (low, high) = view(site, aside.iter().chain(&pumped));
    let drawing = Drawing::of(low, high);
    let mut notes = Vec::new();
    let (wells, well_facts) = wells(site, &drawing, &mut notes);
    let (aside, aside_facts) = aside_marks(&drawing, &aside, &mut notes);
    let (pumped, pumped_facts) = aside_marks(&drawing, &pumped, &mut notes);
    let points = site.results.control.points();
    let corrected = points.iter().any(ControlPoint::is_corrected);
    let followed = match site.results.arrows_follow() {
        Followed::Planes => "triangles",
        Followed::Triangles => "triangles-only",
        Followed::Surface => "surface",
    };
    let (triangles, triangle_facts) = triangles(site, &drawing, &mut notes);
    let lines = lines::lines(site, &drawing);
    let arrows = arrows::arrows(site, &drawing);
    let (layers, feature_facts) = features::layers(site, &drawing);
    notes.extend(lines.notes);
    notes.extend(arrows.note);
    let metres = drawing.crs_units() * site.results.control.frame().metres_per_unit();
    let convergence = site.factors().convergence_deg;
    let data = Data {
        ground: site.ground().length(metres),
        ground_unit: site.ground().name(),
        wells: well_facts,
        aside: aside_facts,
        pumped: pumped_facts,
        lines: lines.facts,
        triangles: triangle_facts,
        arrows: arrows.facts,
        features: feature_facts,
    };
    Map {
        width: 1000.0,
        height: drawing.height,
        true_north_deg: measures::fixed(-convergence, 2),
        true_north: match measures::fixed(convergence.abs(), 2) {
            none if none == "0.00" => "is the same".to_owned(),
            turn if convergence > 0.0 => format!("lies {turn}° west of it"),
            turn => format!("lies {turn}° east of it"),
        },
        layers,
        triangles,
        lines: lines.drawn,
        arrows: arrows.drawn,
        usual_gradient: arrows.usual,
        wells,
        aside,
        pumped,
        corrected,
        followed,
        notes,
        inferred_percent: measures::fixed(100.0 * lines.inferred_part, 0),
        data,
    }
}

/// The corners of what the page shows first: the control points, and what stands near them.
fn view<'a>(site: &Site, aside: impl Iterator<Item = &'a Aside<'a>>) -> (Coord, Coord) {
    let (low, high) = site.results.control.bounds();
    let reach = NEARBY * (high.x - low.x).max(high.y - low.y);
    let near = |p: &Coord| {
        p.x >= low.x - reach
            && p.x <= high.x + reach
            && p.y >= low.y - reach
            && p.y <= high.y + reach
    };
    let corners = features::boxes(site).into_iter().flat_map(|(a, b)| [a, b]);
    aside.map(|a| a.crs).chain(corners).filter(near).fold((low, high), |(low, high), p| {
        (
            Coord { x: low.x.min(p.x), y: low.y.min(p.y) },
            Coord { x: high.x.max(p.x), y: high.y.max(p.y) },
        )
    })
}

fn mark(drawing: &Drawing, at: Coord, id: &str, head: Option<String>, sign: &'static str) -> Mark {
    let at = drawing.at(at);
    let (x, y) = (drawing::number(at.x), drawing::number(at.y));
    Mark { x, y, label: plain::label(id), head, sign }
}

/// The wells and gauges in the order of the head table, so that the keys walk through both alike.
/// Points of streams are their streams' and have no mark of their own.
fn wells(site: &Site, drawing: &Drawing, notes: &mut Vec<String>) -> (Vec<Mark>, Vec<Facts>) {
    let points = site.results.control.points();
    let pumped = site.results.pumped_wells();
    let mut order = tables::by_name(site);
    order.retain(|i| points[*i].well().is_some());
    let places: Vec<Coord> = order.iter().map(|i| drawing.at(points[*i].crs)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    if let Some(side) = side {
        let metres = side * drawing.crs_units() * site.results.control.frame().metres_per_unit();
        notes.push(format!(
            "wells: {} of {}, at most one in each square of {}; wells.geojson has all",
            shown.len(),
            order.len(),
            site.ground().brief(metres)
        ));
    }
    shown
        .into_iter()
        .map(|k| {
            let i = order[k];
            let p = &points[i];
            let mut head = measures::height(p.head, site.elevation);
            head.extend(p.product_thickness.filter(|t| *t > 0.0).map(|_| '*'));
            let sign = match p.kind() {
                _ if pumped.iter().any(|w| w.name == p.id) => "pumped",
                Some(WellKind::Well) => "well",
                _ => "gauge",
            };
            (mark(drawing, p.crs, &p.id, Some(head), sign), tables::well_facts(site, i))
        })
        .unzip()
}

/// A well that carries nothing: one that was read, or a pumped well that nobody read.
struct Aside<'a> {
    id: &'a str,
    crs: Coord,
    reasons: Vec<&'a str>,
    pumped: bool,
}

/// The wells that carry nothing and have a position, by name.
fn aside<'a>(site: &Site<'a>) -> Vec<Aside<'a>> {
    let control = &site.results.control;
    let pumped = site.results.pumped_wells();
    let of = |a: SetAside<'a>| {
        let (id, crs) = (a.well.id.as_str(), a.place?.crs);
        let reasons = a.reasons();
        Some(Aside { id, crs, reasons, pumped: pumped.iter().any(|p| p.name == id) })
    };
    let mut aside: Vec<Aside> = site.results.set_aside().into_iter().filter_map(of).collect();
    for well in pumped {
        let carries = control.points().iter().any(|p| p.id == well.name);
        if !carries && aside.iter().all(|a| a.id != well.name) {
            let reasons = Vec::new();
            aside.push(Aside { id: well.name, crs: well.crs, reasons, pumped: true });
        }
    }
    aside.sort_by_key(|a| a.id);
    aside
}

fn aside_marks(
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
            let why = plain::text(&a.reasons.join("; "));
            let facts = match (a.pumped, a.reasons.is_empty()) {
                (true, true) => Facts::of(plain::text(a.id)).with("pumped well", "not read"),
                (true, false) => Facts::of(plain::text(a.id)).with("pumped well", why),
                _ => Facts::of(plain::text(a.id)).with("set aside", why),
            };
            (mark(drawing, a.crs, a.id, None, if a.pumped { "pumped" } else { "well" }), facts)
        })
        .unzip()
}

fn triangles(
    site: &Site,
    drawing: &Drawing,
    notes: &mut Vec<String>,
) -> (Vec<Triangle>, Vec<Facts>) {
    let (mesh, points) = (&site.results.mesh, site.results.control.points());
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

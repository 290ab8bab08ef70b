//! The map on the screen: what is drawn, where, and what each mark tells.

use geo::Coord;
use serde::Serialize;

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
use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables;
use crate::report::Followed;
use crate::report::measures;
use crate::report::{Posted, WellSign};

/// A well not used or a feature farther from the wells than this part of their extent does not
/// widen the view that the page opens with; panning reaches it.
const NEARBY: f64 = 0.6;

/// Everything that is drawn.
#[derive(Debug, Serialize)]
pub(super) struct Map {
    width: f64,
    height: f64,
    /// Degrees that the stated north lies clockwise of up, and where true north is, in words.
    north_deg: String,
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
    /// What it is drawn as: `well`, `gauge`, `pumped`, `not-used`, `left-out` or `judged`.
    sign: &'static str,
    /// Whether the head does not fit its neighbours.
    unfit: bool,
}

/// A triangle on the drawing.
#[derive(Debug, Serialize)]
struct Triangle {
    path: String,
    marked: bool,
}

/// The map of a site.
pub(super) fn map(site: &Site) -> Map {
    let posted = site.results.posted();
    let unused = posted.iter().filter(|w| w.point.is_none());
    let (pumped, aside) = unused.partition::<Vec<_>, _>(|w| w.sign == WellSign::Pumped);
    let (low, high) = view(site, aside.iter().chain(&pumped).filter_map(|w| w.crs));
    let drawing = Drawing::of(low, high);
    let mut notes = Vec::new();
    let (wells, well_facts) = wells(site, &posted, &drawing, &mut notes);
    let (aside, aside_facts) = not_used(&aside, &drawing, &mut notes);
    let (pumped, pumped_facts) = not_used(&pumped, &drawing, &mut notes);
    let corrected = posted.iter().any(|w| w.corrected);
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
        north_deg: measures::fixed(-site.norths.turn_deg(), 2),
        true_north: match (
            site.norths.convergence_deg,
            measures::fixed(site.norths.turn_deg().abs(), 2),
        ) {
            (None, _) => "is not known".to_owned(),
            (Some(_), none) if none == "0.00" => "is the same".to_owned(),
            (Some(convergence), turn) if convergence > 0.0 => format!("lies {turn}° west of it"),
            (Some(_), turn) => format!("lies {turn}° east of it"),
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
fn view(site: &Site, wells: impl Iterator<Item = Coord>) -> (Coord, Coord) {
    let (low, high) = site.results.control.bounds();
    let reach = NEARBY * (high.x - low.x).max(high.y - low.y);
    let near = |p: &Coord| {
        p.x >= low.x - reach
            && p.x <= high.x + reach
            && p.y >= low.y - reach
            && p.y <= high.y + reach
    };
    let corners = features::boxes(site).into_iter().flat_map(|(a, b)| [a, b]);
    wells.chain(corners).filter(near).fold((low, high), |(low, high), p| {
        (
            Coord { x: low.x.min(p.x), y: low.y.min(p.y) },
            Coord { x: high.x.max(p.x), y: high.y.max(p.y) },
        )
    })
}

fn mark(drawing: &Drawing, at: Coord, well: &Posted) -> Mark {
    let at = drawing.at(at);
    let sign = well.sign.name();
    let (x, y) = (drawing::number(at.x), drawing::number(at.y));
    let head = well.head_words();
    Mark { x, y, label: plain::label(well.id), head, sign, unfit: well.unfit }
}

/// The wells and gauges used, in the order of the head table, so that the keys walk through both
/// alike.
fn wells(
    site: &Site,
    posted: &[Posted],
    drawing: &Drawing,
    notes: &mut Vec<String>,
) -> (Vec<Mark>, Vec<Facts>) {
    let mut rank = vec![0; site.results.control.points().len()];
    for (k, point) in tables::by_name(site).into_iter().enumerate() {
        rank[point] = k;
    }
    let mut used: Vec<(&Posted, usize, Coord)> =
        posted.iter().filter_map(|w| Some((w, w.point?, w.crs?))).collect();
    used.sort_by_key(|(_, point, _)| rank[*point]);
    let places: Vec<Coord> = used.iter().map(|w| drawing.at(w.2)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    if let Some(side) = side {
        let metres = side * drawing.crs_units() * site.results.control.frame().metres_per_unit();
        notes.push(format!(
            "wells: {} of {}, at most one in each square of {}; {} has all",
            shown.len(),
            used.len(),
            site.ground().away(metres),
            site.layer("wells")
        ));
    }
    let of = |k: usize| {
        let (w, point, crs) = used[k];
        let facts = tables::well_facts(site, point);
        let facts = match w.warning_words() {
            Some(codes) => facts.with("warnings", codes),
            None => facts,
        };
        (mark(drawing, crs, w), facts)
    };
    shown.into_iter().map(of).unzip()
}

/// Wells that are not used and have a position.
fn not_used(
    posted: &[&Posted],
    drawing: &Drawing,
    notes: &mut Vec<String>,
) -> (Vec<Mark>, Vec<Facts>) {
    let placed: Vec<(&Posted, Coord)> = posted.iter().filter_map(|w| Some((*w, w.crs?))).collect();
    let places: Vec<Coord> = placed.iter().map(|w| drawing.at(w.1)).collect();
    let (shown, side) = limits::spread(&places, limits::MOST_MARKS);
    if side.is_some() {
        notes.push(format!(
            "wells not used: {} of {}; heads.csv has all",
            shown.len(),
            placed.len()
        ));
    }
    let of = |k: usize| {
        let (w, crs) = placed[k];
        let why = plain::text(&w.reasons.join("; "));
        let name = if w.sign == WellSign::Pumped { "pumped well" } else { "not used" };
        let why = if w.reasons.is_empty() { "not measured".to_owned() } else { why };
        (mark(drawing, crs, w), Facts::of(plain::text(w.id)).with(name, why))
    };
    shown.into_iter().map(of).unzip()
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
            "triangles: {} of {}, spread evenly; {} has all",
            shown.len(),
            flows.len(),
            site.layer("triangles")
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

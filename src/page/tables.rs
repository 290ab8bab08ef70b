//! The tables of the page: heads, readings not used, triangles.

use serde::Serialize;

use crate::check::{ControlPoint, JudgedHead};
use crate::page::facts::Facts;
use crate::page::limits::MOST_ROWS;
use crate::page::plain;
use crate::page::site::Site;
use crate::read::WellKind;
use crate::reduce::Fate;
use crate::report::measures;
use crate::report::measures::NONE;
use crate::units::{Azimuth, clean, finite};

/// A cell: what is read, and what rows are sorted by.
#[derive(Debug, Serialize)]
pub(super) struct Cell {
    text: String,
    /// The number behind the text, without the dust of its computation; rows without one come last.
    value: Option<f64>,
}

impl Cell {
    pub(super) fn of(value: Option<f64>, text: impl FnOnce(f64) -> String) -> Self {
        let behind = value.map(|v| clean(finite(v)));
        Self { text: value.map_or_else(|| NONE.to_owned(), text), value: behind }
    }
}

/// A table, cut to what a page can carry.
#[derive(Debug, Serialize)]
pub(super) struct Table<R> {
    rows: Vec<R>,
    /// How many rows there are in all.
    count: usize,
}

impl<R> Table<R> {
    /// The first rows of `count`.
    pub(super) fn of(count: usize, row: impl Fn(usize) -> R) -> Self {
        Self { rows: (0..count.min(MOST_ROWS)).map(row).collect(), count }
    }
}

/// A control point.
#[derive(Debug, Serialize)]
pub(super) struct HeadRow {
    well: String,
    /// What it is, where it is not a well.
    kind: Option<String>,
    read_at: Option<String>,
    measuring_point: Cell,
    depth: Cell,
    product: Cell,
    head: Cell,
    sd: Cell,
    residual: Cell,
    leave_one_out: Cell,
    score: Cell,
}

/// A reading that is not behind the map.
#[derive(Debug, Serialize)]
pub(super) struct AsideRow {
    well: String,
    read_at: Option<String>,
    status: &'static str,
    head: Cell,
    reason: String,
    code: Option<&'static str>,
    place: String,
}

/// A head that was judged and not measured.
#[derive(Debug, Serialize)]
pub(super) struct JudgedRow {
    name: String,
    kind: &'static str,
    head: Cell,
    /// Control points that it has on the map.
    points: usize,
    by: String,
    reason: String,
    place: String,
}

/// A triangle of wells.
#[derive(Debug, Serialize)]
pub(super) struct TriangleRow {
    id: usize,
    wells: Vec<String>,
    gradient: Cell,
    low: Cell,
    high: Cell,
    resolved: bool,
    /// Whether a mark keeps a direction from being read off it.
    marked: bool,
    toward_true: Cell,
    arc_true: String,
    toward_grid: Cell,
    arc_grid: String,
    area: Cell,
    base_to_height: Cell,
    marks: Vec<&'static str>,
}

/// Indices of the control points by name, as the register is kept.
pub(super) fn by_name(site: &Site) -> Vec<usize> {
    let points = site.results.control.points();
    let mut order: Vec<usize> = (0..points.len()).collect();
    // Wells as in the register, then places on streams and judged heads as they lie along their lines.
    let rank = |p: &ControlPoint| (p.is_judged(), p.well().is_none(), p.place());
    order.sort_by_key(|i| rank(&points[*i]));
    order
}

/// The head table.
pub(super) fn heads(site: &Site) -> Table<HeadRow> {
    let order = by_name(site);
    Table::of(order.len(), |k| {
        let i = order[k];
        let p = &site.results.control.points()[i];
        let elevation = |v| measures::height(v, site.elevation);
        let depth = |v| measures::height(v, site.depth);
        // In one unit it is what the printed head leaves of the printed measuring point.
        let below = p.measuring_point.filter(|_| site.depth == site.elevation);
        let to_water = |v| match below {
            Some(point) => measures::depth_between(point, p.head, site.elevation),
            None => depth(v),
        };
        HeadRow {
            well: site.well(i),
            kind: kind(p),
            read_at: p.moment.map(measures::moment),
            measuring_point: Cell::of(p.measuring_point, elevation),
            depth: Cell::of(p.depth, to_water),
            product: Cell::of(p.product_thickness, depth),
            head: Cell::of(Some(p.head), elevation),
            sd: Cell::of(sd(site, i), measures::sd),
            residual: Cell::of(residual(site, i), elevation),
            leave_one_out: Cell::of(p.leave_one_out.map(|l| l.residual), elevation),
            score: Cell::of(p.leave_one_out.map(|l| l.score), |v| measures::fixed(v, 1)),
        }
    })
}

/// What a control point is, where it is not a well.
fn kind(point: &ControlPoint) -> Option<String> {
    let kind = match point.kind() {
        None if point.is_judged() => return Some("judged, not measured".to_owned()),
        None => return Some("stream".to_owned()),
        Some(WellKind::Well) => return None,
        Some(other) => other,
    };
    serde_json::to_value(kind).ok()?.as_str().map(str::to_owned)
}

/// The standard deviation of a measured head, elevation unit.
pub(super) fn sd(site: &Site, point: usize) -> Option<f64> {
    site.results.measured_sd_m(point).map(|sd| site.in_elevation_unit(sd))
}

/// Head less the site's plane, elevation unit.
pub(super) fn residual(site: &Site, point: usize) -> Option<f64> {
    site.results.flow.plane.residuals.get(point).map(|r| site.in_elevation_unit(*r))
}

/// What a well on the map tells.
pub(super) fn well_facts(site: &Site, point: usize) -> Facts {
    let p = &site.results.control.points()[point];
    let sd = sd(site, point);
    let sd = sd.map(|sd| format!("{} {}", measures::sd(sd), site.elevation.in_words()));
    let pumping = p.beside_pumping.map(|w| plain::text(&site.results.site.wells[w].id));
    let own = Facts::of(site.well(point));
    let judged = site.results.control.judged().iter().find(|judged| judged.has(p));
    if let Some(judged) = judged {
        return judged_facts(own.with("head", site.head(p.head)), judged);
    }
    own.with_some("kind", kind(p))
        .with("head", site.head(p.head))
        .with_some("sd of the head", sd)
        .with_some("depth to water", p.depth.map(|d| site.depth_to(d)))
        .with_some("floating product", p.product_thickness.map(|t| site.depth_to(t)))
        .with_some("head less plane", residual(site, point).map(|r| site.head(r)))
        .with_some("head less neighbours", p.leave_one_out.map(|l| site.head(l.residual)))
        .with_some("fit", p.is_off().then(|| "does not fit its neighbours".to_owned()))
        .with_some("read", p.moment.map(measures::moment))
        .with_some("beside a pumping well", pumping)
}

/// What a judged head tells beside it: by whom and why.
pub(super) fn judged_facts(facts: Facts, judged: &JudgedHead) -> Facts {
    let count = judged.points.len();
    let facts = facts.with("judged, not measured, by", plain::text(&judged.judgement.by));
    let facts = facts.with("reason", plain::text(&judged.judgement.reason));
    if judged.crs.is_some() { facts } else { facts.with("control points", count.to_string()) }
}

/// The judged heads: points as they are declared, then control lines.
pub(super) fn judged(site: &Site) -> Table<JudgedRow> {
    let all = site.results.control.judged();
    Table::of(all.len(), |k| {
        let JudgedHead { name, head, crs, points, judgement } = &all[k];
        JudgedRow {
            name: plain::text(name),
            kind: if crs.is_some() { "judged point" } else { "control line" },
            head: Cell::of(Some(*head), |v| measures::height(v, site.elevation)),
            points: points.len(),
            by: plain::text(&judgement.by),
            reason: plain::text(&judgement.reason),
            place: plain::text(&judgement.origin.to_string()),
        }
    })
}

/// The readings not used, in the order of wells and readings.
pub(super) fn aside(site: &Site) -> Table<AsideRow> {
    let file = &site.results.site;
    let not_used: Vec<_> = site
        .results
        .control
        .accounts()
        .iter()
        .filter_map(|a| match &a.fate {
            Fate::NotUsed { code, reason } => Some((a, *code, reason)),
            Fate::Used => None,
        })
        .collect();
    Table::of(not_used.len(), |k| {
        let (account, code, reason) = &not_used[k];
        let reading = &site.results.round.readings[account.reading];
        AsideRow {
            well: plain::text(&file.wells[account.well].id),
            read_at: reading.moment.map(measures::moment),
            status: reading.status.word(),
            head: Cell::of(account.head, |v| measures::height(v, site.elevation)),
            reason: plain::text(reason),
            code: code.map(crate::diag::Code::id),
            place: plain::text(&reading.origin.to_string()),
        }
    })
}

/// The triangle table, by number.
pub(super) fn triangles(site: &Site) -> Table<TriangleRow> {
    Table::of(site.results.mesh.triangles().len(), |i| {
        let results = site.results;
        let (triangle, flow) = (&results.mesh.triangles()[i], &results.flow.triangles[i]);
        let error = results.uncertainty.triangles[i].as_ref();
        let resolved = results.resolves(i);
        let direction = |azimuth: Option<Azimuth>| {
            Cell::of(azimuth.filter(|_| resolved).map(Azimuth::degrees), |v| {
                Azimuth::from_degrees(v).whole_degrees()
            })
        };
        let arc = |turn: f64| match results.known(i) {
            Some(d) if resolved => measures::arc(d.interval.turned(turn)),
            _ => NONE.to_owned(),
        };
        TriangleRow {
            id: i + 1,
            wells: triangle.corners.map(|k| site.well(k)).to_vec(),
            gradient: Cell::of(flow.gradient, measures::three_digits),
            low: Cell::of(error.map(|e| e.magnitude.low), measures::three_digits),
            high: Cell::of(error.map(|e| e.magnitude.high), measures::three_digits),
            resolved,
            marked: triangle.is_thin(),
            toward_true: direction(flow.azimuth_true),
            arc_true: arc(flow.convergence_deg.unwrap_or(0.0)),
            toward_grid: direction(flow.azimuth_grid),
            arc_grid: arc(0.0),
            area: Cell::of(Some(triangle.area_m2), |v| measures::significant(v, 4)),
            base_to_height: Cell::of(
                Some(triangle.base_to_height).filter(|v| v.is_finite()),
                |v| measures::fixed(v, 1),
            ),
            marks: triangle.marks.iter().map(|m| m.word()).collect(),
        }
    })
}

/// What a triangle or its arrow on the map tells.
pub(super) fn triangle_facts(site: &Site, i: usize) -> Facts {
    let results = site.results;
    let (triangle, flow) = (&results.mesh.triangles()[i], &results.flow.triangles[i]);
    let error = results.uncertainty.triangles[i].as_ref();
    let marks: Vec<&str> = triangle.marks.iter().map(|m| m.word()).collect();
    let grid = flow.azimuth_grid.filter(|_| results.resolves(i));
    let toward = match (flow.azimuth(), results.known(i)) {
        (None, _) => "none: the heads are level".to_owned(),
        (Some(_), _) if triangle.is_thin() => "none to be read off a marked triangle".to_owned(),
        (Some(_), _) if grid.is_none() => "direction not resolved".to_owned(),
        (Some(azimuth), None) => measures::toward(azimuth),
        (Some(azimuth), Some(known)) => format!(
            "{}, 95 % {}",
            measures::toward(azimuth),
            measures::arc(known.interval.turned(flow.convergence_deg.unwrap_or(0.0)))
        ),
    };
    Facts::of(format!("triangle {}", i + 1))
        .with("wells", triangle.corners.map(|k| site.well(k)).join(", "))
        .with_some("gradient (m/m)", flow.gradient.map(measures::three_digits))
        .with_some("95 %, reading error only", error.map(|e| measures::magnitude(e.magnitude)))
        .with(site.norths.stated.toward(), toward)
        .with_some(
            site.norths.plan.toward(),
            grid.filter(|_| site.norths.both).map(|a| format!("{}°", a.whole_degrees())),
        )
        .with_some("marks", (!marks.is_empty()).then(|| marks.join(", ")))
}

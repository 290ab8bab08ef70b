//! The surface that paths are followed on, and what ends them there.

use std::collections::BTreeMap;
use std::sync::Mutex;

use geo::Coord;
use rayon::prelude::*;

use super::boundary;
use super::field::GridField;
use super::into_stream::Streams;
use super::linear;
use super::lows::{WayOut, way_out};
use super::net::Net;
use super::pairs::Levels;
use super::path::{Detour, End, FlowPath, Nearness, Way};
use super::smooth;
use super::smooth::Field as _;
use super::wall::Walls;
use crate::check::pumped_position;
use crate::geom::{Areas, Slope, distance, tolerance};
use crate::map::Map;
use crate::read::WellKind;
use crate::uncertainty::NORMAL_SDS;

/// A path is led over the rims of no more lows than this, and along no more walls.
const MOST_DETOURS: usize = 20;

/// The surface of a map with all that ends or leads paths on it.
pub(super) struct Walked<'a> {
    surface: Surface<'a>,
    levels: &'a Levels<'a>,
    streams: Streams<'a>,
    walls: Walls<'a>,
    /// Whether water leaves the aquifer at a control point: a pumped well, a gauge, the stage of a stream.
    outlets: Vec<bool>,
    /// Where it does so, m, and which pumped well that is.
    sinks: Vec<(Coord, Option<usize>)>,
    /// A low this near to one of them is explained by it, m.
    sink_m: f64,
    /// Lows that were met, and the ways out of those whose rims are within the errors of the heads.
    lows: Mutex<BTreeMap<usize, Option<WayOut>>>,
}

enum Surface<'a> {
    Triangles { net: &'a Net, heads: &'a [f64], boundary: Areas },
    Grid(GridField<'a>),
}

impl<'a> Walked<'a> {
    /// The triangles where the map is their planes; otherwise the grid, whose nodes end at the
    /// boundary. Beside barriers the linear surface goes on where no triangle is.
    pub(super) fn new(map: &'a Map, net: &'a Net, levels: &'a Levels<'a>, near: Nearness) -> Self {
        let surface = if map.surface.is_planes() {
            Surface::Triangles { net, heads: map.mesh.heads(), boundary: boundary::of(map) }
        } else {
            Surface::Grid(GridField::new(&map.surface.heads, map.control.frame()))
        };
        let cell_m = match &surface {
            Surface::Triangles { .. } => None,
            Surface::Grid(field) => Some(field.cell_m()),
        };
        let frame = map.control.frame();
        let points = map.control.points();
        let pumped = |id: &str| map.site.pumped_wells.iter().any(|p| p.well == id);
        let is_outlet = |p: &crate::check::ControlPoint| {
            p.stream().is_some() || p.kind() == Some(WellKind::Gauge) || pumped(&p.id)
        };
        let outlets: Vec<bool> = points.iter().map(is_outlet).collect();
        let outlet = points.iter().zip(&outlets).filter(|(_, outlet)| **outlet);
        let wells = map.site.pumped_wells.iter().enumerate();
        let wells = wells.filter_map(|(i, p)| {
            Some((frame.to_local(pumped_position(p, &map.site, &map.control)?), Some(i)))
        });
        // A pumped well comes before the control point that it is.
        let sinks = wells.chain(outlet.map(|(p, _)| (frame.to_local(p.crs), None))).collect();
        Self {
            surface,
            levels,
            streams: Streams::new(map, cell_m, near),
            walls: Walls::new(
                map.control.beside().barriers(),
                cell_m.unwrap_or(0.0),
                map.uncertainty.spacing_m,
            ),
            outlets,
            sinks,
            sink_m: near.capture_m.max(2.0 * cell_m.unwrap_or(0.0)),
            lows: Mutex::default(),
        }
    }

    /// A cell of the grid, m; `None` on triangles.
    pub(super) fn cell_m(&self) -> Option<f64> {
        match &self.surface {
            Surface::Triangles { .. } => None,
            Surface::Grid(field) => Some(field.cell_m()),
        }
    }

    pub(super) const fn on_triangles(&self) -> bool {
        matches!(self.surface, Surface::Triangles { .. })
    }

    pub(super) fn head(&self, p: Coord) -> Option<f64> {
        match &self.surface {
            Surface::Triangles { net, heads, .. } => linear::head(net, heads, p),
            Surface::Grid(field) => field.at(p).map(|(head, _)| head),
        }
    }

    /// The slope of the surface of a grid, heads for a metre; `None` on triangles.
    pub(super) fn slope(&self, p: Coord) -> Option<Slope> {
        match &self.surface {
            Surface::Triangles { .. } => None,
            Surface::Grid(field) => field.at(p).map(|(_, slope)| slope),
        }
    }

    pub(super) fn traces(&self, starts: &[Coord], way: Way) -> Vec<FlowPath> {
        starts.par_iter().map(|start| self.trace(*start, way)).collect()
    }

    /// The path from a place to where the water leaves the aquifer or the map. It is led along barriers, and
    /// over the rim of a low that the errors of the heads do not rule out.
    pub(super) fn trace(&self, start: Coord, way: Way) -> FlowPath {
        self.streams.evened(self.led_on(start, way))
    }

    fn led_on(&self, start: Coord, way: Way) -> FlowPath {
        let mut path = self.until_stream(start, way);
        for _ in 0..MOST_DETOURS {
            let detour = match path.end {
                End::Stops { well } if way == Way::Down => {
                    let explained = self.explained(&path, well);
                    path.end = explained.unwrap_or(End::Low { well });
                    if explained.is_some() { None } else { self.over_the_rim(&path) }
                }
                End::LeavesMap { .. } if !self.walls.is_empty() => match &self.surface {
                    Surface::Grid(field) => self.walls.along(&mut path, field),
                    Surface::Triangles { .. } => None,
                },
                _ => None,
            };
            let Some(Detour { places, goes_on }) = detour else { return path };
            let Some((last, _)) = places.last().copied() else { return path };
            for (point, head) in places {
                path.push(point, head);
            }
            path.end = End::LeavesMap { well: None };
            if !goes_on {
                return path;
            }
            let rest = self.until_stream(last, way);
            if rest.points.len() < 2 && !matches!(rest.end, End::Stream { .. }) {
                return path;
            }
            path.end = rest.end;
            path.points.extend(rest.points.into_iter().skip(1));
            path.heads.extend(rest.heads.into_iter().skip(1));
        }
        path
    }

    fn until_stream(&self, start: Coord, way: Way) -> FlowPath {
        let path = match &self.surface {
            Surface::Triangles { net, heads, boundary } => {
                boundary::cut(boundary, linear::trace(net, heads, start, way))
            }
            Surface::Grid(field) => smooth::trace(field, start, way, field.steps()),
        };
        self.streams.cut(path, |p| self.head(p))
    }

    /// What takes the water where a path stops.
    fn explained(&self, path: &FlowPath, well: Option<usize>) -> Option<End> {
        let last = *path.points.last()?;
        let near = if self.on_triangles() { tolerance::SAME_POSITION_M } else { self.sink_m };
        let sink = self.sinks.iter().find(|(at, _)| distance(*at, last) <= near);
        match sink {
            Some((_, Some(well))) => Some(End::Pumped { well: *well }),
            Some((_, None)) => Some(End::Stops { well }),
            None => well.filter(|w| self.outlets[*w]).map(|w| End::Stops { well: Some(w) }),
        }
    }

    /// Lows whose rims were within the errors of the heads: their places, m.
    pub(super) fn bridged(&self) -> Vec<Coord> {
        let lows = self.lows.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let bridged = lows.iter().filter(|(_, out)| out.is_some());
        bridged.filter_map(|(low, _)| self.node(*low).map(|(p, _)| p)).collect()
    }

    /// A well of the triangles or a node of the grid.
    fn node(&self, node: usize) -> Option<(Coord, f64)> {
        match &self.surface {
            Surface::Triangles { net, heads, .. } => Some((net.point(node), heads[node])),
            Surface::Grid(field) => field.node(node),
        }
    }

    fn over_the_rim(&self, path: &FlowPath) -> Option<Detour> {
        let last = *path.points.last()?;
        let low = match (&self.surface, path.end) {
            (Surface::Triangles { .. }, End::Low { well }) => well?,
            (Surface::Triangles { .. }, _) => return None,
            (Surface::Grid(field), _) => field.low_near(last)?,
        };
        let mut lows = self.lows.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let out = lows.entry(low).or_insert_with(|| self.rim_within_errors(low)).clone()?;
        drop(lows);
        let places: Vec<Coord> =
            out.nodes.iter().filter_map(|n| self.node(*n)).map(|(p, _)| p).collect();
        let (end, below) = self.node(*out.nodes.last()?)?;
        let (from, whole) = (*path.heads.last()?, {
            let first = distance(last, *places.first()?);
            first + crate::geom::length(places.iter().copied())
        });
        let goes_on = below < from;
        let to = below.min(from);
        let (mut along, mut at) = (0.0, last);
        let places = places
            .into_iter()
            .filter_map(|p| {
                along += distance(at, p);
                at = p;
                (along > 0.0).then(|| (p, from + (to - from) * along / whole))
            })
            .collect::<Vec<_>>();
        (distance(end, last) > 0.0).then_some(Detour { places, goes_on })
    }

    /// The way out of a low where its depth is within the errors of the heads at low and rim.
    fn rim_within_errors(&self, low: usize) -> Option<WayOut> {
        let head = |n: usize| self.node(n).map(|(_, head)| head);
        let out = match &self.surface {
            Surface::Triangles { net, .. } => {
                let beside = |v: usize| {
                    let mut all: Vec<usize> = net
                        .around(v)
                        .iter()
                        .flat_map(|t| net.corners(*t))
                        .filter(|w| *w != v)
                        .collect();
                    all.sort_unstable();
                    all.dedup();
                    all
                };
                way_out(low, head, beside, |v| net.on_outline(v))
            }
            Surface::Grid(field) => {
                let parted = |a: usize, b: usize| {
                    let (a, b) = (self.node(a), self.node(b));
                    a.zip(b).is_none_or(|((a, _), (b, _))| self.walls.part(a, b))
                };
                let beside = |n: usize| {
                    let mut all = field.beside(n);
                    all.retain(|m| !parted(n, *m));
                    all
                };
                way_out(low, head, beside, |n| field.is_edge(n))
            }
        }?;
        let ((bottom, depth), (rim, height)) = (self.node(low)?, self.node(out.rim)?);
        let sd = self.levels.sd_between(bottom, rim)?;
        (height - depth <= NORMAL_SDS * sd).then_some(out)
    }
}

//! What becomes of the water in realizations: of the surface that the wells leave open, and of the errors of
//! the readings alone.

use std::cell::OnceCell;

use geo::Coord;
use rayon::prelude::*;

use super::answer::{HangsOn, NotDrawn, Outcome, Realizations};
use super::arrivals::{Arrivals, slowness};
use super::boundary;
use super::into_stream::Streams;
use super::linear;
use super::next_well::{Heads, sampled};
use super::one_surface::{Asked, Asking, One};
use super::path::Way;
use super::place::SitePlace;
use super::simulated::DrawnSurface;
use crate::check::pumped_position;
use crate::interpolate::KrigingReport;
use crate::read::EnsembleOptions;
use crate::uncertainty::{self, Ensemble, KnownHeads, Lattice, Simulation};

/// Paths that are followed on realizations, all sources together: beyond, fewer realizations are
/// taken.
const MOST_PATHS: usize = 200_000;

/// But no fewer realizations than this, if as many are asked for.
const FEWEST_ROUNDS: usize = 100;

/// Surfaces are not drawn for more control points than this: a system of all of them is solved for each.
const MOST_SIMULATED_WELLS: usize = 400;

/// Cells of a drawn surface between two wells as far apart as usual, and cells along its longer side at most.
const CELLS_BETWEEN_WELLS: f64 = 8.0;
const MOST_CELLS_ALONG: f64 = 96.0;

/// Each well is left out in turn where there are no more than this.
const MOST_LEFT_OUT_WELLS: usize = 100;

/// For each place the direction of flow on each surface, degrees clockwise from grid north.
pub(super) type Directions = Vec<Vec<f64>>;

/// What realizations say of every source with every receptor.
pub(super) struct Said {
    /// Of each place the directions of flow where its first path begins, on each of the surfaces, degrees
    /// clockwise from grid north.
    pub(super) directions: Directions,
    /// Of surfaces drawn between the wells and errors of the readings, or why none are drawn.
    pub(super) surfaces: Result<Vec<Vec<Drawn>>, NotDrawn>,
    /// Of errors of the readings alone, on triangles.
    pub(super) readings: Option<Vec<Vec<Option<Realizations>>>>,
}

/// One source and one receptor over drawn surfaces.
#[derive(Debug, Clone, Default)]
pub(super) struct Drawn {
    pub(super) realizations: Option<Realizations>,
    /// Of every surface on which a path reaches the receptor, the least sum of length over gradient, m, from the
    /// least to the greatest.
    pub(super) times: Vec<f64>,
    /// When the water arrives, with conductivity and porosity drawn as they are declared.
    pub(super) arrivals: Option<Arrivals>,
    pub(super) hangs_on: HangsOn,
}

/// What the expected surface says without each well; `None` where the others are not enough.
type Without = Vec<Option<Vec<One>>>;

/// What was found on all surfaces.
struct Found {
    all: Vec<Vec<One>>,
    heads: Heads,
    sampled: Vec<usize>,
    /// Of each surface effective porosity over conductivity, d/m, where these are distributed.
    slowness: Option<Vec<f64>>,
    /// What the expected surface says, and that without each well.
    changed: Option<(Vec<One>, Without)>,
    lattice: Lattice,
}

impl Asked<'_> {
    pub(super) fn of_all(&self) -> Said {
        let starts: usize = self.sources.iter().map(|s| self.places[*s].starts.len()).sum();
        let asked = self.map.site.settings.uncertainty.ensemble;
        if starts == 0 || self.receptors.is_empty() || asked.members == 0 {
            let surfaces = Err(NotDrawn::NotAsked);
            return Said { directions: Vec::new(), surfaces, readings: None };
        }
        let most = (MOST_PATHS / starts).max(FEWEST_ROUNDS);
        let options = EnsembleOptions { members: asked.members.min(most), ..asked };
        // Triangles do not know the cones of pumped wells.
        let readings = (!self.map.site.has_cones()).then(|| self.of_readings(options));
        let (surfaces, directions) = match self.of_surfaces(options) {
            Ok((surfaces, directions)) => (Ok(surfaces), directions),
            Err(why) => (Err(why), Vec::new()),
        };
        Said { directions, surfaces, readings }
    }

    /// On the triangles of heads with new errors.
    fn of_readings(&self, options: EnsembleOptions) -> Vec<Vec<Option<Realizations>>> {
        let map = self.map;
        let net = self.net;
        let areas = boundary::of(map);
        let streams = Streams::new(map, None, self.near);
        let on_map = |p: Coord| areas.hold(p) && net.locate(p).is_some();
        let beyond = self.beyond(on_map);
        let asking = Asking::new(self, None, &beyond);
        let all = Ensemble::draw(map.mesh.heads(), self.sds, options).map(|heads| {
            let trace = |start: Coord| {
                let path = boundary::cut(&areas, linear::trace(net, heads, start, Way::Down));
                streams.cut(path, |p| linear::head(net, heads, p))
            };
            asking.of(&trace)
        });
        self.each(|s, r| {
            let starts = &self.places[self.sources[s]].starts;
            starts.iter().any(|p| on_map(*p)).then(|| self.count(&all, s, r).0)
        })
    }

    /// On surfaces drawn between the wells.
    fn of_surfaces(
        &self,
        options: EnsembleOptions,
    ) -> Result<(Vec<Vec<Drawn>>, Directions), NotDrawn> {
        let map = self.map;
        let (control, frame) = (&map.control, map.control.frame());
        let metres = control.elevation_unit().metres();
        if !control.beside().barriers().is_empty() {
            return Err(NotDrawn::Barriers);
        }
        if control.points().len() > MOST_SIMULATED_WELLS {
            return Err(NotDrawn::ManyWells);
        }
        let places = map.mesh.local();
        let heads: Vec<f64> = map.mesh.heads().iter().map(|h| h * metres).collect();
        let sds_m: Vec<f64> = map.uncertainty.heads.iter().map(|h| h.sd_m).collect();
        let known = KnownHeads { places, heads: &heads, sds: &sds_m };
        let lattice = self.lattice();
        let grid = &map.surface.heads;
        let on_map = |p: Coord| grid.nearest(frame.to_crs(p)).is_some();
        let nodes: Vec<bool> = (0..lattice.count()).map(|k| on_map(lattice.place(k))).collect();
        let wells = map.site.pumped_wells.iter().enumerate();
        let pumped: Vec<(Coord, usize)> = wells
            .filter_map(|(i, p)| Some((frame.to_local(pumped_position(p, &map.site, control)?), i)))
            .collect();
        let (cones, factors): (Vec<_>, Vec<f64>) = map
            .kriging_of_heads()
            .into_iter()
            .flat_map(KrigingReport::cones)
            .map(|(wells, term)| (wells.to_vec(), term.factor * metres))
            .unzip();
        // A pumped well that the surface does not know would be passed as if it were not there.
        if cones.is_empty() && !map.site.pumped_wells.is_empty() {
            return Err(NotDrawn::Pumped);
        }
        let cell_m = grid.spec().cell * frame.metres_per_unit();
        let near_m = cell_m.max(0.5 * lattice.cell_m);
        let streams = Streams::new(map, Some(near_m), self.near);
        let beyond = self.beyond(on_map);
        let asking = Asking::new(self, Some(near_m), &beyond);
        let between = (map.uncertainty.spacing_m, map.uncertainty.directions.between());
        let on_surface = |drawn: &uncertainty::Drawn| {
            let draws = |cone: usize, rate: f64| rate * drawn.cones[cone] > 0.0;
            let sinks = cones.iter().enumerate().flat_map(|(c, wells)| {
                wells.iter().filter(move |w| draws(c, w.rate)).filter_map(|w| {
                    let is = |(p, _): &&(Coord, usize)| *p == w.position;
                    pumped.iter().find(is).copied()
                })
            });
            let surface = DrawnSurface {
                lattice,
                sinks: sinks.collect(),
                heads: drawn.heads.iter().map(|h| h / metres).collect(),
                on_map: &on_map,
                nodes: &nodes,
                sink_m: lattice.cell_m.max(0.5 * self.near.capture_m),
                ways_out: OnceCell::new(),
            };
            let trace = |start: Coord| {
                streams.evened(streams.cut(surface.trace(start), |p| surface.head(p)))
            };
            let azimuth = |place: &SitePlace| surface.azimuth(*place.starts.first()?);
            let azimuths: Vec<Option<f64>> = self.places.iter().map(azimuth).collect();
            (asking.of(&trace), azimuths)
        };
        let sampled = sampled(&nodes);
        let cones = (cones.as_slice(), factors.as_slice());
        let simulation = Simulation::new(known, between, cones, lattice);
        let simulation = simulation.ok_or(NotDrawn::FewWells)?;
        let all = simulation.map(options, |drawn| {
            let heads: Vec<f64> = sampled.iter().map(|n| drawn.heads[*n]).collect();
            (on_surface(&drawn), heads)
        });
        let (found, heads): (Vec<_>, Vec<_>) = all.ok_or(NotDrawn::FewWells)?.into_iter().unzip();
        let (all, azimuths): (Vec<_>, Vec<_>) = found.into_iter().unzip();
        let few = places.len() <= MOST_LEFT_OUT_WELLS;
        let expected = few.then(|| simulation.expected_without_each()).flatten();
        let changed = expected.map(|(whole, without)| {
            let of = |drawn: &uncertainty::Drawn| on_surface(drawn).0;
            let without: Without = without.par_iter().map(|drawn| drawn.as_ref().map(of)).collect();
            (of(&whole), without)
        });
        let directions = (0..self.places.len())
            .map(|p| azimuths.iter().filter_map(|of: &Vec<Option<f64>>| of[p]).collect())
            .collect();
        let slowness = slowness(&map.site.settings.receptors.aquifer, options);
        let found = Found { all, heads: Heads::new(heads), sampled, slowness, changed, lattice };
        let surfaces = self.each(|s, r| {
            let starts = &self.places[self.sources[s]].starts;
            let begins = starts.iter().any(|p| on_map(*p));
            if begins { self.drawn(&found, s, r) } else { Drawn::default() }
        });
        Ok((surfaces, directions))
    }

    /// What all surfaces say of one source and one receptor.
    fn drawn(&self, found: &Found, s: usize, r: usize) -> Drawn {
        let Found { all, heads, sampled, slowness, changed, lattice } = found;
        let (realizations, mut times) = self.count(all, s, r);
        let arrivals = slowness.as_ref().and_then(|slowness| Arrivals::of(&times, slowness));
        times.sort_by(|a, b| a.1.total_cmp(&b.1));
        let times = times.into_iter().map(|(_, time)| time).collect();
        let index = s * self.receptors.len() + r;
        let reaches = |one: &Vec<One>| matches!(one[index], Some((Outcome::Reaches, _)));
        let wells = changed.iter().flat_map(|(whole, without)| {
            let differs = |one: &Vec<One>| reaches(one) != reaches(whole);
            let differs = move |(i, one): (usize, &Option<Vec<One>>)| {
                one.as_ref().is_some_and(differs).then_some(i)
            };
            without.iter().enumerate().filter_map(differs).collect::<Vec<_>>()
        });
        let wells = wells.collect();
        let answers: Vec<f64> = all.iter().map(|one| f64::from(u8::from(reaches(one)))).collect();
        let next_well =
            heads.tell_most(&answers).map(|(k, share)| (lattice.place(sampled[k]), share));
        let hangs_on = HangsOn { wells, next_well };
        Drawn { realizations: Some(realizations), times, arrivals, hangs_on }
    }

    /// The lattice about the map, with two cells more on each side.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "no more cells than a hundred and some"
    )]
    fn lattice(&self) -> Lattice {
        let (low, high) = self.map.control.bounds();
        let [low, high] = [low, high].map(|p| self.map.control.frame().to_local(p));
        let longest = (high.x - low.x).max(high.y - low.y);
        let usual = self.map.uncertainty.spacing_m / CELLS_BETWEEN_WELLS;
        let cell_m = usual.max(longest / MOST_CELLS_ALONG);
        let nodes = |long: f64| (long / cell_m).ceil() as usize + 5;
        let corner = low - Coord { x: 2.0 * cell_m, y: 2.0 * cell_m };
        Lattice { corner, cell_m, columns: nodes(high.x - low.x), rows: nodes(high.y - low.y) }
    }

    fn beyond(&self, on_map: impl Fn(Coord) -> bool) -> Vec<bool> {
        let off = |r: &usize| !self.places[*r].starts.iter().any(|p| on_map(*p));
        self.receptors.iter().map(off).collect()
    }

    fn each<T>(&self, of: impl Fn(usize, usize) -> T) -> Vec<Vec<T>> {
        let (sources, receptors) = (self.sources.len(), self.receptors.len());
        (0..sources).map(|s| (0..receptors).map(|r| of(s, r)).collect()).collect()
    }

    fn count(
        &self,
        all: &[Vec<One>],
        source: usize,
        receptor: usize,
    ) -> (Realizations, Vec<(usize, f64)>) {
        let index = source * self.receptors.len() + receptor;
        let mut found = Realizations { of: all.len(), reaching: 0, leaving: 0 };
        let mut times = Vec::new();
        for (k, one) in all.iter().enumerate() {
            match one[index] {
                Some((Outcome::Reaches, time)) => {
                    found.reaching += 1;
                    times.extend(time.is_finite().then_some((k, time)));
                }
                Some((Outcome::LeavesMap, _)) => found.leaving += 1,
                _ => {}
            }
        }
        (found, times)
    }
}

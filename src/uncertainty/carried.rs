//! What each contour rests on: along which stretches it is inferred, how wide its band is.

use std::sync::OnceLock;

use geo::Coord;
use kiddo::{ImmutableKdTree, SquaredEuclidean};

use super::around::HeadsAround;
use super::between::BetweenWells;
use super::inferred::{REASONS, Stretch, Support};
use super::linear::{BandOptions, HalfWidth, LinearSurface};
use crate::geom::{Frame, Obstacles, distance};
use crate::interpolate::Grid;
use crate::read::InferredRule;
use crate::triangulate::Mesh;
use crate::units::median;

/// Half width of a contour's band, in standard deviations of the head: 95 % at each vertex.
const BAND_SDS: f64 = 1.96;

/// A band is drawn no wider than this part of the usual spacing of wells to each side.
const BAND_CAP_SPACINGS: f64 = 0.5;

/// Stations within one mean spacing of wells at which the heads around a contour are asked.
const STATIONS: f64 = 4.0;

/// What carries a contour.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourSupport {
    /// The line cut where it changes between supported and inferred.
    pub stretches: Vec<Stretch>,
    /// For each stretch the median half width of its 95 % band, and whether it was capped anywhere.
    pub bands: Vec<HalfWidth>,
}

/// The median of the half widths of a band at the places of a stretch.
fn along(stretch: Stretch, band: &[HalfWidth]) -> HalfWidth {
    let along = || stretch.vertices(band.len()).map(|v| band[v]);
    let half_width_m = median(along().map(|b| b.half_width_m)).unwrap_or(0.0);
    HalfWidth { half_width_m, capped: along().any(|b| b.capped) }
}

/// Why contours are inferred, and where.
#[derive(Debug, Clone, Default)]
pub(super) struct Tally {
    /// The length of all contours, of those inferred, and of those inferred for each reason, m.
    pub(super) all_m: f64,
    pub(super) inferred_m: f64,
    pub(super) by_m: [f64; REASONS],
    /// The standard deviation of the head along them, one for each piece, with the piece's length.
    pub(super) sds: Vec<(f64, f64)>,
}

impl Tally {
    /// Of one contour, piece by piece: a piece is inferred when either of its ends is.
    fn of(
        local: &[Coord],
        supports: &[Support],
        reasons: impl Fn(&Support) -> [bool; REASONS],
    ) -> Self {
        let mut tally = Self::default();
        for (ends, s) in local.windows(2).zip(supports.windows(2)) {
            let length = distance(ends[0], ends[1]);
            let [first, last] = [&s[0], &s[1]].map(&reasons);
            tally.all_m += length;
            let mut inferred = false;
            for k in 0..REASONS {
                if first[k] || last[k] {
                    tally.by_m[k] += length;
                    inferred = true;
                }
            }
            tally.inferred_m += if inferred { length } else { 0.0 };
            tally.sds.extend(s[0].sd.zip(s[1].sd).map(|(a, b)| (a.max(b), length)));
        }
        tally
    }

    /// Two of them together.
    pub(super) fn and(mut self, other: Self) -> Self {
        self.all_m += other.all_m;
        self.inferred_m += other.inferred_m;
        for (by, more) in self.by_m.iter_mut().zip(other.by_m) {
            *by += more;
        }
        self.sds.extend(other.sds);
        self
    }
}

/// What contours are held against.
pub(super) struct Carried<'a> {
    pub(super) surface: LinearSurface<'a>,
    pub(super) errors: Errors<'a>,
    /// Wells and gauges.
    pub(super) measured: &'a [Coord],
    /// Of these; looked into where a contour is far from the wells around it, and made then.
    pub(super) tree: OnceLock<ImmutableKdTree<f64, 2>>,
    pub(super) barriers: &'a Obstacles,
    pub(super) mesh: &'a Mesh,
    /// In an elevation unit.
    pub(super) metres: f64,
    /// The lowest and the highest head.
    pub(super) heads: (f64, f64),
    pub(super) spacing_m: f64,
    pub(super) mean_spacing_m: f64,
    pub(super) rule: InferredRule,
    /// The heads that fit, and what they tell of the surface between them.
    pub(super) around: &'a HeadsAround,
    pub(super) between: Option<&'a BetweenWells>,
}

/// What says how far off the heads of a surface may be.
pub(super) enum Errors<'a> {
    /// A standard deviation of its own, from a covariance that was given.
    Own(&'a Grid),
    /// What the surface may do between the wells, for planes through three of them.
    Planes {
        between: &'a BetweenWells,
        /// Of each triangle, see [`BetweenWells::along_sides`].
        sides: Vec<[f64; 3]>,
    },
    /// The same for any other surface: what the wells around a place say of the head drawn there.
    Around { between: &'a BetweenWells, around: &'a HeadsAround },
    /// The errors of the readings alone.
    Readings,
}

/// A value at each place of a line: asked at stations no nearer to each other than `step`, at both
/// ends, and in a straight line between them.
///
/// # Units
/// - `local`, `step`: m
fn between_stations(
    local: &[Coord],
    step: f64,
    at: impl Fn(Coord) -> Option<f64>,
) -> Vec<Option<f64>> {
    let mut values = Vec::with_capacity(local.len());
    let Some(first) = local.first() else { return values };
    values.push(at(*first));
    let (mut station, mut along) = (0, vec![0.0; local.len()]);
    for i in 1..local.len() {
        along[i] = along[i - 1] + distance(local[i - 1], local[i]);
        let length = along[i] - along[station];
        if length < step && i + 1 < local.len() {
            continue;
        }
        let (from, to) = (values[station], at(local[i]));
        for k in station + 1..i {
            let part = (along[k] - along[station]) / length;
            values.push(from.zip(to).map(|(from, to)| from + part * (to - from)));
        }
        values.push(to);
        station = i;
    }
    values
}

impl Carried<'_> {
    /// What a line of a level rests on along some places, CRS units, and why it is inferred where it
    /// is; the stretches are those of the places.
    pub(super) fn contour(
        &self,
        level: f64,
        line: &[Coord],
        frame: &Frame,
        interval: f64,
    ) -> (ContourSupport, Tally) {
        let (rule, spacing_m) = (self.rule, self.mean_spacing_m);
        let local: Vec<Coord> = line.iter().map(|p| frame.to_local(*p)).collect();
        let places = self.surface.along(&local);
        let far = rule.spacings * spacing_m;
        let sds = self.sds((level, line), &local, &places);
        let unfit = self.on_unfit_heads(level, &local, &places, interval);
        let supports: Vec<Support> = (0..local.len())
            .map(|i| Support {
                to_nearest_well_m: self.to_nearest_well(local[i], places[i], far),
                in_marked_triangle: places[i]
                    .is_none_or(|(t, _)| self.mesh.triangles()[t].is_thin()),
                beyond_heads: self.heads.0 > level || self.heads.1 < level,
                sd: sds[i],
                on_unfit_head: unfit[i],
            })
            .collect();
        let options = BandOptions { sds: BAND_SDS, cap_m: BAND_CAP_SPACINGS * self.spacing_m };
        let band = |(place, support): (&Option<(usize, [f64; 3])>, &Support)| {
            let at = place.zip(support.sd).map(|((t, _), sd)| (t, sd));
            self.surface.half_width(at, options)
        };
        let tally = Tally::of(&local, &supports, |s| rule.reasons(s, spacing_m, interval));
        let stretches = rule.split(line, &supports, spacing_m, interval);
        let band: Vec<HalfWidth> = places.iter().zip(&supports).map(band).collect();
        let bands = stretches.iter().map(|stretch| along(*stretch, &band)).collect();
        (ContourSupport { stretches, bands }, tally)
    }

    /// Which vertices of a contour rest on a head that does not fit: in a triangle with such a corner, and
    /// as far off what the other heads say as would be inferred elsewhere, or nothing else is known.
    fn on_unfit_heads(
        &self,
        level: f64,
        local: &[Coord],
        places: &[Option<(usize, [f64; 3])>],
        interval: f64,
    ) -> Vec<bool> {
        let corners = |t: usize| self.mesh.triangles()[t].corners;
        let unfit =
            |at: &Option<(usize, _)>| at.is_some_and(|(t, _)| self.around.is_off(corners(t)));
        let mut rests: Vec<bool> = places.iter().map(unfit).collect();
        let Some(between) = self.between else { return rests };
        let others = |p: Coord| {
            let head_m = level * self.metres;
            let square = self.around.mean_square_about(between, (p, head_m), self.barriers)?;
            Some(square.sqrt() / self.metres)
        };
        let step = self.mean_spacing_m / STATIONS;
        let mut first = 0;
        for run in rests.chunk_by_mut(|a, b| a == b) {
            let part = &local[first..first + run.len()];
            first += run.len();
            if run[0] {
                let sds = between_stations(part, step, others);
                let off = |sd: f64| self.rule.is_too_far(sd, interval);
                run.iter_mut().zip(sds).for_each(|(rests, sd)| *rests = sd.is_none_or(off));
            }
        }
        rests
    }

    /// How far off a contour's head may be at each of its vertices, elevation unit.
    fn sds(
        &self,
        (level, line): (f64, &[Coord]),
        local: &[Coord],
        places: &[Option<(usize, [f64; 3])>],
    ) -> Vec<Option<f64>> {
        match &self.errors {
            Errors::Own(grid) => line.iter().map(|p| grid.about(*p)).collect(),
            Errors::Readings => {
                places.iter().map(|at| at.map(|(t, weights)| self.surface.sd(t, weights))).collect()
            }
            Errors::Planes { between, sides } => {
                let sd = |(t, weights): (usize, [f64; 3])| {
                    let corners = self.mesh.corners(&self.mesh.triangles()[t]);
                    let bends = between.about_plane(corners, weights, sides[t]);
                    let readings = self.surface.sd(t, weights);
                    (readings * readings + bends / (self.metres * self.metres)).sqrt()
                };
                places.iter().map(|at| at.map(sd)).collect()
            }
            Errors::Around { between, around } => {
                let head_m = level * self.metres;
                let at = |p: Coord| {
                    let square = around.mean_square_about(between, (p, head_m), self.barriers)?;
                    Some(square.sqrt() / self.metres)
                };
                between_stations(local, self.mean_spacing_m / STATIONS, at)
            }
        }
    }

    /// The distance to the nearest well or gauge that no barrier hides, or to a corner of the
    /// triangle around where that is one and is not `far` already: no barrier runs into a triangle.
    /// It is infinite where barriers hide all that is not `far`.
    fn to_nearest_well(&self, p: Coord, at: Option<(usize, [f64; 3])>, far: f64) -> f64 {
        let distance = |q: Coord| distance(p, q);
        if self.measured.len() == self.mesh.local().len() {
            let corner = at.map_or(f64::INFINITY, |(t, _)| {
                let corners = self.mesh.corners(&self.mesh.triangles()[t]);
                corners.into_iter().map(distance).fold(f64::INFINITY, f64::min)
            });
            if corner <= far {
                return corner;
            }
        }
        let place = [p.x, p.y];
        let wells = self.tree.get_or_init(|| {
            let places: Vec<[f64; 2]> = self.measured.iter().map(|p| [p.x, p.y]).collect();
            ImmutableKdTree::new_from_slice(&places)
        });
        let nearest = wells.nearest_one::<SquaredEuclidean>(&place).distance.sqrt();
        if nearest > far || self.barriers.is_empty() {
            return nearest;
        }
        let within = wells.within::<SquaredEuclidean>(&place, far * far);
        #[expect(clippy::cast_possible_truncation, reason = "an index of the mesh's points")]
        let seen = within.iter().map(|w| self.measured[w.item as usize]);
        let seen = seen.filter(|q| !self.barriers.part(p, *q)).map(distance);
        seen.fold(f64::INFINITY, f64::min)
    }
}

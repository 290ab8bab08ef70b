//! How far the site's gradient and direction of flow hang on each well.

use geo::Coord;
use geo::algorithm::kernels::{Kernel, Orientation, RobustKernel};

use super::types::{Effect, Without};
use crate::check::ControlSet;
use crate::flow::SiteFlow;
use crate::geom::tolerance::COLLINEAR_SPREAD;
use crate::geom::{FittedPlane, Slope, SlopeSum};
use crate::interpolate::{Open, Stars};
use crate::triangulate::Mesh;
use crate::units::Azimuth;

/// The plane and the mean of the triangles without each well, in the control set's order.
pub(super) fn without_each(
    control: &ControlSet,
    mesh: &Mesh,
    flow: &SiteFlow,
    wells: &[usize],
) -> Vec<Without> {
    let metres = control.elevation_unit().metres();
    let convergence = control.convergence_deg();
    let stars = Stars::new(mesh);
    let outline = Outline::of_mesh(mesh, flow, control.frame().rounding_m());
    let lines: Vec<[usize; 3]> =
        mesh.triangles().iter().filter(|t| t.is_line()).map(|t| t.corners).collect();
    let effect = |slope: Slope, before: Slope| {
        let downhill = |s: Slope| Azimuth::of_vector(-s.east, -s.north);
        let azimuth_grid = downhill(slope);
        Effect {
            gradient: slope.magnitude(),
            azimuth_grid,
            azimuth_true: azimuth_grid.zip(convergence).map(|(a, by)| a.turned(by)),
            turn_deg: azimuth_grid.zip(downhill(before)).map(|(now, then)| turn(then, now)),
        }
    };
    let mean = outline.mean();
    let parted = !control.beside().barriers().is_empty();
    let (local, residuals) = (mesh.local(), &flow.plane.residuals);
    let mut without = vec![Without { plane: None, mean: None }; local.len()];
    for &i in wells {
        let plane = plane_without(&flow.plane, local[i], residuals[i], wells.len());
        let rest = outline.without(i, mesh, metres, &stars, parted, &lines);
        without[i] = Without {
            plane: plane.map(|s| effect(s, flow.plane.slope)),
            mean: rest.map(|s| effect(s, mean)),
        };
    }
    without
}

/// From one direction to another, degrees, clockwise positive, above -180 to 180.
fn turn(from: Azimuth, to: Azimuth) -> f64 {
    let clockwise = to.turned(-from.degrees()).degrees();
    if clockwise > 180.0 { clockwise - 360.0 } else { clockwise }
}

/// The slope of the least-squares plane through all points but one, from the plane through all:
/// with `U` the covariance of the slopes over the residual variance, `d` the way from the centre
/// to the point, `e` its residual and `l = 1/n + d'Ud` its leverage, the slope changes by
/// `-U d e / (1 - l)`.
///
/// `None` when the others are two or stand on one line, by the bound that a map is refused with.
///
/// # References
/// Cook and Weisberg (1982), Residuals and Influence in Regression, sec. 2.2 and A.2 (from
/// memory).
fn plane_without(plane: &FittedPlane, at: Coord, residual: f64, count: usize) -> Option<Slope> {
    if count < 4 {
        return None;
    }
    let n = count as f64;
    let [ee, en, nn] = plane.unit_covariance;
    let d = at - plane.centre;
    let [xx, xy, yy] = plane.squares_without(at, count);
    let (half, apart) = (f64::midpoint(xx, yy), libm::hypot((xx - yy) / 2.0, xy));
    let ratio = ((half - apart).max(0.0) / (half + apart)).sqrt();
    if ratio.is_nan() || ratio < COLLINEAR_SPREAD {
        return None;
    }
    let pull = Slope { east: ee * d.x + en * d.y, north: en * d.x + nn * d.y };
    let leverage = 1.0 / n + d.x * pull.east + d.y * pull.north;
    let by = residual / (1.0 - leverage);
    let slope = Slope {
        east: plane.slope.east - pull.east * by,
        north: plane.slope.north - pull.north * by,
    };
    Some(slope.beyond(plane.slope_rounding / (1.0 - leverage)))
}

/// The sum of area times slope over all triangles that have one, and the area.
///
/// By the divergence theorem that sum follows from the heads along the outline alone. A well that
/// triangles surround has no part in the mean; one on the outline changes it by the triangles that
/// its going removes and by those that it leaves as the new outline. Triangles on one line have no
/// slope and are not counted: where such a triangle goes with its well, what is left counts the
/// fall along it.
#[derive(Debug, Clone, Copy)]
struct Outline {
    sum: SlopeSum,
    /// How far positions are rounded, m.
    rounding_m: f64,
}

impl Outline {
    fn of_mesh(mesh: &Mesh, flow: &SiteFlow, rounding_m: f64) -> Self {
        let mut sum = SlopeSum::default();
        for (triangle, flow) in mesh.triangles().iter().zip(&flow.triangles) {
            let Some(slope) = flow.slope else { continue };
            sum.add(slope, triangle.area_m2);
        }
        Self { sum, rounding_m }
    }

    fn mean(self) -> Slope {
        self.sum.mean(self.rounding_m)
    }

    /// Counts the inside of a ring of wells, `times` over, from the heads along it less `level`.
    fn count(
        &mut self,
        ring: &[usize],
        at: impl Fn(usize) -> (Coord, f64),
        level: f64,
        times: f64,
    ) {
        for (k, i) in ring.iter().enumerate() {
            let ((p, hp), (q, hq)) = (at(*i), at(ring[(k + 1) % ring.len()]));
            let head = times * (f64::midpoint(hp, hq) - level);
            self.sum.east += head * (q.y - p.y);
            self.sum.north += head * (p.x - q.x);
            self.sum.area += times * (p.x * q.y - q.x * p.y) / 2.0;
        }
    }

    /// Without a well; `None` where nothing is left, and on an outline `parted` by barriers, of
    /// which it is not known what new triangles would cross them.
    fn without(
        self,
        well: usize,
        mesh: &Mesh,
        metres: f64,
        stars: &Stars,
        parted: bool,
        lines: &[[usize; 3]],
    ) -> Option<Slope> {
        let (joined, open) = stars.around(well)?;
        let at = |i: usize| (mesh.local()[i] - mesh.local()[well], mesh.heads()[i] * metres);
        let mut rest = self;
        for corners in lines.iter().filter(|t| t.contains(&well)) {
            rest.count(corners, at, mesh.heads()[well] * metres, 1.0);
        }
        if open == Open::No {
            return Some(rest.mean());
        }
        if parted {
            return None;
        }
        // What goes lies between the well with its two neighbours on the outline and the outline
        // of the others.
        let mut ring = vec![well];
        ring.extend(behind(&joined, mesh.local()));
        rest.count(&ring, at, mesh.heads()[well] * metres, -1.0);
        // Nothing but rounding is left of three wells in a row.
        (rest.sum.area > f64::EPSILON.sqrt() * self.sum.area).then(|| rest.mean())
    }
}

/// Of the wells joined to one on the outline, counter-clockwise around it, those that come to
/// stand on the outline without it.
fn behind(joined: &[usize], points: &[Coord]) -> Vec<usize> {
    let mut chain: Vec<usize> = Vec::with_capacity(joined.len());
    for next in joined {
        while let [.., a, b] = chain[..] {
            let turns =
                <RobustKernel as Kernel<f64>>::orient2d(points[a], points[b], points[*next]);
            // Seen from the well the others' outline is hollow: it turns clockwise.
            if turns != Orientation::CounterClockwise {
                break;
            }
            chain.pop();
        }
        chain.push(*next);
    }
    chain
}

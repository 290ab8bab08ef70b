//! Where the water flows over the whole map, where no one plane says it.

use super::types::{OverMap, TriangleFlow};
use crate::geom::narrowest_arc;
use crate::triangulate::{Mesh, Triangle};
use crate::units::Azimuth;

/// The part of the mapped area that a range holds.
pub const MOST_OF_AREA: f64 = 0.9;

/// A range of directions wider than this is none, degrees.
const HALF_CIRCLE_DEG: f64 = 180.0;

/// The narrowest range of directions and the middle range of gradients that hold
/// [`MOST_OF_AREA`] of the area of the triangles. Marked triangles do not count where there are
/// others. `None` where no triangle has a gradient.
///
/// # Units
/// - `convergence_deg`: degrees, at the site's centre; `None` where true north is not known
pub(super) fn over_map(
    mesh: &Mesh,
    flows: &[TriangleFlow],
    convergence_deg: Option<f64>,
) -> Option<OverMap> {
    let all = mesh.triangles().iter().zip(flows);
    let fit = |t: &Triangle| !t.is_thin();
    let any_fit = all.clone().any(|(t, f)| fit(t) && f.gradient.is_some());
    let counted = all.filter(|(t, _)| !any_fit || fit(t));
    let (mut gradients, mut directions) = (Vec::new(), Vec::new());
    for (triangle, flow) in counted {
        gradients.extend(flow.gradient.map(|g| (g, triangle.area_m2)));
        directions.extend(flow.azimuth_grid.map(|a| (a.degrees(), triangle.area_m2)));
    }
    let azimuths = narrowest_arc(&mut directions, MOST_OF_AREA)
        .filter(|(from, to)| to - from <= HALF_CIRCLE_DEG)
        .map(|ends| [ends.0, ends.1].map(Azimuth::from_degrees));
    let (gradient_low, gradient_high) = middle_range(&mut gradients)?;
    Some(OverMap {
        gradient_low,
        gradient_high,
        azimuths_grid: azimuths,
        azimuths_true: azimuths.zip(convergence_deg).map(|(ends, by)| ends.map(|a| a.turned(by))),
    })
}

/// The values between which [`MOST_OF_AREA`] of the weight lies, as much of the rest below as above.
fn middle_range(values: &mut [(f64, f64)]) -> Option<(f64, f64)> {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = values.iter().map(|v| v.1).sum();
    let at = |part: f64| {
        let mut below = 0.0;
        values.iter().find(|v| {
            below += v.1;
            below >= part * all
        })
    };
    let tail = (1.0 - MOST_OF_AREA) / 2.0;
    Some((at(tail)?.0, at(1.0 - tail).or(values.last())?.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_range_leaves_a_twentieth_of_the_area_at_each_end() {
        let mut values: Vec<(f64, f64)> = (1..=100).map(|i| (f64::from(i), 2.0)).collect();
        assert_eq!(middle_range(&mut values), Some((5.0, 95.0)));
        assert_eq!(middle_range(&mut [(3.0, 1.0)]), Some((3.0, 3.0)));
        assert_eq!(middle_range(&mut []), None);
    }
}

//! What the wells of a round have in common, and how far each is off it.
//!
//! It is a plane, where wells are many enough to tell a wrong one from a slope, or one level, their median. Neither
//! follows a few wrong heads.

use geo::Coord;

use crate::check::{FEWEST, far_off};
use crate::geom::{FittedPlane, fit_plane};
use crate::units::{MAD_TO_SD, median};

/// Fewer wells than this have nothing in common that could be told from one of them: three agree, one does not.
pub(super) const FEWEST_WELLS: usize = 4;

/// The start looks at no more wells than this: all threes of them are tried.
const MOST_OF_START: usize = 24;

/// A change farther off the start's plane than this many robust standard deviations does not make the plane.
const START_SDS: f64 = 3.0;

/// A well against the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Off {
    /// Its change less what the other wells say, in the unit of changes.
    pub(super) off: f64,
    /// The variance of what they say over that of one change.
    pub(super) lever: f64,
}

/// Every well against the others, by a plane if they are to be `sloped`; `None` below [`FEWEST_WELLS`], and of a
/// well that alone holds the plane.
///
/// # Units
/// - `places`: m; `changes`, `floor`, the standard deviation of a change that errors of reading alone make: any one
///   unit
pub(super) fn against_others(
    places: &[Coord],
    changes: &[f64],
    floor: f64,
    sloped: bool,
) -> Vec<Option<Off>> {
    if changes.len() < FEWEST_WELLS {
        return vec![None; changes.len()];
    }
    if sloped
        && changes.len() >= FEWEST
        && let Some((plane, fits)) = plane(places, changes, floor)
    {
        return of_plane(&plane, &fits, places, changes);
    }
    let lever = std::f64::consts::FRAC_PI_2 / (changes.len() as f64 - 1.0);
    let against = |(change, others): (&f64, f64)| Some(Off { off: change - others, lever });
    changes.iter().zip(medians_of_others(changes)).map(against).collect()
}

/// The median of all others of each of some values.
fn medians_of_others(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let others = values.len() - 1;
    let mut medians = vec![0.0; values.len()];
    for (rank, i) in order.iter().enumerate() {
        // Ranks at and above its own are those of the next one.
        let at = |place: usize| values[order[place + usize::from(place >= rank)]];
        medians[*i] = f64::midpoint(at((others - 1) / 2), at(others / 2));
    }
    medians
}

/// The plane of the changes that fit one, and which do.
fn plane(places: &[Coord], changes: &[f64], floor: f64) -> Option<(FittedPlane, Vec<bool>)> {
    let count = changes.len();
    let step = count.div_ceil(MOST_OF_START);
    let some: Vec<usize> = (0..count).step_by(step).collect();
    let of = |wells: &[usize]| {
        let at: Vec<Coord> = wells.iter().map(|i| places[*i]).collect();
        let by: Vec<f64> = wells.iter().map(|i| changes[*i]).collect();
        (at, by)
    };
    let (at, by) = of(&some);
    let far = far_off(&at, &by, floor);
    let near: Vec<usize> = some
        .iter()
        .enumerate()
        .filter(|(k, _)| !far.get(*k).copied().unwrap_or(false))
        .map(|(_, i)| *i)
        .collect();
    let (at, by) = of(&near);
    let start = fit_plane(&at, &by)?;
    let residuals: Vec<f64> =
        (0..count).map(|i| (changes[i] - start.at(places[i])).abs()).collect();
    let spare = count as f64 / (count as f64 - 3.0);
    let scale = MAD_TO_SD * median(residuals.iter().copied())? * spare.sqrt();
    let fits: Vec<bool> = residuals.iter().map(|r| *r <= START_SDS * scale.max(floor)).collect();
    let fit: Vec<usize> = (0..count).filter(|i| fits[*i]).collect();
    let (at, by) = of(&fit);
    (fit.len() > 3).then(|| fit_plane(&at, &by)).flatten().map(|plane| (plane, fits))
}

/// Every well against the plane, the wells that make it without themselves.
fn of_plane(
    plane: &FittedPlane,
    fits: &[bool],
    places: &[Coord],
    changes: &[f64],
) -> Vec<Option<Off>> {
    let count = fits.iter().filter(|fits| **fits).count();
    let against = |i: usize| {
        let (residual, leverage) =
            (changes[i] - plane.at(places[i]), plane.leverage(places[i], count));
        if !fits[i] {
            return Some(Off { off: residual, lever: leverage });
        }
        let others = 1.0 - leverage;
        // Without it the others are on one line, or nearly so.
        (others > 1e-3).then(|| Off { off: residual / others, lever: leverage / others })
    };
    (0..changes.len()).map(against).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(count: u32) -> Vec<Coord> {
        (0..count)
            .map(|i| Coord { x: f64::from(i % 4) * 50.0, y: f64::from(i / 4) * 60.0 })
            .collect()
    }

    #[test]
    fn a_wrong_change_is_off_by_itself_and_moves_no_other() {
        let places = grid(12);
        let mut changes: Vec<f64> =
            places.iter().map(|p| 0.7 + 0.001 * p.x - 0.0004 * p.y).collect();
        changes[0] += 0.3;
        let found = against_others(&places, &changes, 0.01, true);
        for (i, off) in found.iter().enumerate() {
            let expected = if i == 0 { 0.3 } else { 0.0 };
            assert!(off.is_some_and(|o| (o.off - expected).abs() < 1e-9), "{i}: {off:?}");
        }
    }

    #[test]
    fn few_wells_are_held_against_their_median_and_fewer_against_nothing() {
        let found = against_others(&grid(4), &[0.5, 0.52, 0.48, 1.5], 0.01, true);
        assert!(found[3].is_some_and(|o| (o.off - 1.0).abs() < 1e-12), "{found:?}");
        assert_eq!(against_others(&grid(3), &[0.5, 0.5, 1.5], 0.01, true), [None, None, None]);
    }
}

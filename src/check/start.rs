//! A start that several wrong heads cannot spoil.
//!
//! Every plane of neighbours that two wrong heads stand in is wrong, and so is a scatter that is
//! measured by such planes: they hide each other. A plane that fits the nearer half of the wells
//! best does not see the farther half at all.

use geo::Coord;

use super::scatter::{Fit, Scatter};
use crate::geom::{slope_of_triangle, tolerance};
use crate::units::MAD_TO_SD;

/// Fewer wells than this cannot outvote two wrong ones: four must fit the plane and one to spare.
pub(crate) const FEWEST: usize = 7;

/// Which heads lie far off the plane of least median of squares: through three wells, of all the
/// threes, that whose residuals are the smallest over more than half of the wells. All threes are
/// tried, so that nothing is left to chance.
///
/// Empty below [`FEWEST`] wells.
///
/// # Units
/// - `places`: m; `heads`, `floor`: any one unit
///
/// # References
/// Rousseeuw (1984), Journal of the American Statistical Association 79, 871-880; the correction
/// of the scale for few wells from Rousseeuw and Leroy (1987), both from memory.
pub(crate) fn far_off(places: &[Coord], heads: &[f64], floor: f64) -> Vec<bool> {
    let n = places.len();
    if n < FEWEST {
        return Vec::new();
    }
    let covered = n.midpoint(4);
    let mut best: Option<(f64, Vec<f64>)> = None;
    for a in 0..n {
        for b in a + 1..n {
            for c in b + 1..n {
                let corners = [places[a], places[b], places[c]];
                let Some(slope) = slope_of_triangle(corners, [heads[a], heads[b], heads[c]]) else {
                    continue;
                };
                let residuals: Vec<f64> = places
                    .iter()
                    .zip(heads)
                    .map(|(p, h)| {
                        let off = *p - places[a];
                        (h - heads[a] - slope.east * off.x - slope.north * off.y).abs()
                    })
                    .collect();
                let mut sizes = residuals.clone();
                let reach = *sizes.select_nth_unstable_by(covered - 1, f64::total_cmp).1;
                if best.as_ref().is_none_or(|b| reach < b.0) {
                    best = Some((reach, residuals));
                }
            }
        }
    }
    let Some((reach, residuals)) = best else { return Vec::new() };
    let scale = MAD_TO_SD * (1.0 + 5.0 / (n as f64 - 3.0)) * reach;
    residuals.into_iter().map(|r| r > (tolerance::START_SIGMAS * scale).max(floor)).collect()
}

/// A judgement of heads by their neighbours, those left out that do not judge.
pub(super) trait Judged {
    /// Every head against the plane of those that judge.
    fn fits(&self, left_out: &[bool]) -> Vec<Option<Fit>>;

    /// The scatter of those that judge.
    fn scatter(&self, fits: &[Option<Fit>], left_out: &[bool]) -> Scatter;
}

/// Of the heads outside a start, those that stay outside when all that fit the others are taken
/// back, the best first, and that lie off by more than [`tolerance::GROSS_SIGMAS`] with all milder
/// ones judging; the worst first. None when they are more than a third of all: then the site has
/// two levels, and not wrong heads.
pub(super) fn gross(judged: &impl Judged, mut outside: Vec<bool>, floor: f64) -> Vec<usize> {
    if !outside.contains(&true) {
        return Vec::new();
    }
    // The best first, until none fits.
    loop {
        let (scores, scatter) = scores(judged, &outside, floor);
        match scores.first() {
            Some((best, score)) if *score <= scatter.bound(outside.len()) => outside[*best] = false,
            _ => break,
        }
    }
    // A bend of the water table looks like wrong heads to the half that fits best, until its wells
    // judge too.
    let (mut left, _) = scores(judged, &outside, floor);
    while left.iter().any(|(_, score)| *score <= tolerance::GROSS_SIGMAS) {
        for (i, _) in left.iter().filter(|(_, score)| *score <= tolerance::GROSS_SIGMAS) {
            outside[*i] = false;
        }
        (left, _) = scores(judged, &outside, floor);
    }
    if left.len() * 3 > outside.len() {
        return Vec::new();
    }
    left.into_iter().rev().map(|(i, _)| i).collect()
}

/// The heads outside, by how many standard deviations they lie off, the least first, and the scatter
/// that they are held against.
fn scores(judged: &impl Judged, outside: &[bool], floor: f64) -> (Vec<(usize, f64)>, Scatter) {
    let fits = judged.fits(outside);
    let scatter = judged.scatter(&fits, outside);
    let score = |i: usize| match fits[i] {
        Some(fit) if fit.residual.abs() > floor => fit.scaled().abs() / scatter.sd,
        // Near enough, or nobody is left to judge it.
        _ => 0.0,
    };
    let of_outside = (0..outside.len()).filter(|i| outside[*i]);
    let mut scores: Vec<(usize, f64)> = of_outside.map(|i| (i, score(i))).collect();
    scores.sort_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
    (scores, scatter)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten places on no lattice.
    fn places() -> Vec<Coord> {
        (0..10)
            .map(|i| Coord { x: f64::from(i * i * 37 % 101), y: f64::from(i * 53 % 89) })
            .collect()
    }

    #[test]
    fn three_of_ten_wrong_heads_are_seen_whichever_they_are() {
        let places = places();
        let noise = |i: usize| 0.01 * f64::from(u32::try_from(i * 7 % 5).expect("small"));
        for a in 0..10 {
            for b in a + 1..10 {
                for c in b + 1..10 {
                    let heads: Vec<f64> = places
                        .iter()
                        .enumerate()
                        .map(|(i, p)| {
                            let wrong = if [a, b, c].contains(&i) { 5.0 } else { 0.0 };
                            20.0 + 0.01 * p.x - 0.02 * p.y + noise(i) + wrong
                        })
                        .collect();
                    let far = far_off(&places, &heads, 0.1);
                    let seen: Vec<usize> = (0..10).filter(|i| far[*i]).collect();
                    assert_eq!(seen, [a, b, c]);
                }
            }
        }
    }

    #[test]
    fn too_few_wells_have_no_start() {
        assert!(far_off(&places()[..6], &[0.0; 6], 0.1).is_empty());
    }
}

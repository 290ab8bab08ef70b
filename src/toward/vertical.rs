//! Vertical gradients between wells of one place and different screens.

use geo::Coord;
use serde::Serialize;

use crate::check::{Screen, stacked};
use crate::geom::together;
use crate::uncertainty::NORMAL_SDS;

/// A well that may belong to a nest. Heights are in m.
#[derive(Debug, Clone, PartialEq)]
pub struct Nested {
    /// Index into the register.
    pub well: usize,
    /// Position, m.
    pub at: Coord,
    /// Head, m.
    pub head_m: f64,
    /// Standard deviation of the head, m.
    pub sd_m: f64,
    /// Elevations of the screen's bottom and top, m; `None` where not known.
    pub screen_m: Option<(f64, f64)>,
}

/// The middle of what a screen takes its head from: of its part below the water level, where that is inside it. `None` where
/// all of it is above the water level.
fn middle(screen: Screen, head_m: f64) -> Option<Middle> {
    let below = Screen { top: screen.top.min(head_m), ..screen };
    let elevation_m = below.middle();
    (below.top > below.bottom).then_some(Middle { elevation_m, saturated: below != screen })
}

/// The middle of a screen, which the head of a well stands for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Middle {
    /// Its elevation, m.
    pub elevation_m: f64,
    /// Whether it is that of the saturated part alone: the water level is inside the screen.
    pub saturated: bool,
}

/// A vertical gradient between two wells.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VerticalGradient {
    /// Index of the upper well.
    pub upper: usize,
    /// Index of the lower well.
    pub lower: usize,
    /// The midpoints of the upper screen and the lower one.
    pub middles: [Middle; 2],
    /// Head of the lower less that of the upper, m: positive when water rises.
    pub head_difference_m: f64,
    /// Its standard deviation, m.
    pub sd_m: f64,
    /// Distance of these midpoints, m.
    pub distance_m: f64,
    /// The gradient, dimensionless: positive is up.
    pub gradient: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end of its 95 % interval.
    pub high: f64,
}

impl VerticalGradient {
    /// `up`, `down`, or `not resolved` when its interval holds zero.
    #[must_use]
    pub const fn direction(&self) -> &'static str {
        if self.low > 0.0 {
            "up"
        } else if self.high < 0.0 {
            "down"
        } else {
            "not resolved"
        }
    }
}

/// Why two wells of a nest have no vertical gradient.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoGradient {
    /// The screen of this well is not known.
    NoScreen(usize),
    /// The screens of these two share a depth.
    Overlap(usize, usize),
    /// The head of this well is below its screen.
    BelowScreen(usize),
}

/// The vertical gradients of all nests, from each well to the next below it.
///
/// Wells within `distance_m` of each other, or linked by wells that are, form a nest. The gradient
/// is the lower head less the upper over the distance of the screens' midpoints; where the water level is inside a screen, the
/// midpoint is that of the part below it, which alone gives the head.
///
/// # Units
/// - `distance_m`: m
///
/// # References
/// Difference of heads over distance of screen midpoints, of a screen across the water table that of its saturated part: common
/// practice, no source. Intervals:
/// the two heads' errors as independent, `docs/uncertainty.md`.
#[must_use]
pub fn gradients(wells: &[Nested], distance_m: f64) -> (Vec<VerticalGradient>, Vec<NoGradient>) {
    let (mut found, mut none) = (Vec::new(), Vec::new());
    let places: Vec<Coord> = wells.iter().map(|w| w.at).collect();
    for nest in together(&places, distance_m) {
        let mut screened: Vec<(&Nested, Screen)> = Vec::new();
        for well in nest.into_iter().map(|i| &wells[i]) {
            match well.screen_m {
                Some((bottom, top)) => screened.push((well, Screen { bottom, top })),
                None => none.push(NoGradient::NoScreen(well.well)),
            }
        }
        screened.sort_by_key(|(well, _)| well.well);
        for (upper, lower, apart) in stacked(&screened) {
            let middles = [upper, lower].map(|(well, screen)| middle(screen, well.head_m));
            let (upper, lower) = (upper.0, lower.0);
            let [Some(above), Some(below)] = middles else {
                let dry = if middles[0].is_none() { upper } else { lower };
                none.push(NoGradient::BelowScreen(dry.well));
                continue;
            };
            let distance_m = above.elevation_m - below.elevation_m;
            if !apart || distance_m <= 0.0 {
                none.push(NoGradient::Overlap(upper.well, lower.well));
                continue;
            }
            let head_difference_m = lower.head_m - upper.head_m;
            let sd_m = libm::hypot(upper.sd_m, lower.sd_m);
            let gradient = head_difference_m / distance_m;
            let half = NORMAL_SDS * sd_m / distance_m;
            found.push(VerticalGradient {
                upper: upper.well,
                lower: lower.well,
                middles: [above, below],
                head_difference_m,
                sd_m,
                distance_m,
                gradient,
                low: gradient - half,
                high: gradient + half,
            });
        }
    }
    (found, none)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn well(well: usize, x: f64, head_m: f64, screen_m: Option<(f64, f64)>) -> Nested {
        Nested { well, at: Coord { x, y: 0.0 }, head_m, sd_m: 0.03, screen_m }
    }

    #[test]
    fn a_nest_gives_one_gradient_from_each_well_to_the_next_below() {
        // Heads 100.0, 100.5, 100.45 at screens about 90, 80, 60: up 0.05, then down 0.0025, which
        // two errors of 0.03 m do not resolve.
        let wells = [
            well(2, 0.5, 100.45, Some((59.0, 61.0))),
            well(0, 0.0, 100.0, Some((88.0, 92.0))),
            well(1, 1.0, 100.5, Some((79.0, 81.0))),
            well(3, 50.0, 99.0, Some((70.0, 72.0))),
        ];
        let (found, none) = gradients(&wells, 1.0);
        assert!(none.is_empty());
        let pairs: Vec<_> = found.iter().map(|g| (g.upper, g.lower, g.direction())).collect();
        assert_eq!(pairs, [(0, 1, "up"), (1, 2, "not resolved")]);
        let first = found[0];
        assert!((first.gradient - 0.05).abs() < 1e-12, "{first:?}");
        // 1.96 times the root of two, of 0.03 m, over 10 m.
        assert!((first.high - first.gradient - 0.008_315_4).abs() < 1e-6, "{first:?}");
        assert!((found[1].gradient + 0.0025).abs() < 1e-12);
    }

    #[test]
    fn overlapping_and_unknown_screens_give_none() {
        let wells = [
            well(0, 0.0, 100.0, Some((80.0, 92.0))),
            well(1, 0.0, 100.5, Some((70.0, 81.0))),
            well(2, 0.0, 100.4, None),
        ];
        let (found, none) = gradients(&wells, 1.0);
        assert!(found.is_empty());
        assert_eq!(none, [NoGradient::NoScreen(2), NoGradient::Overlap(0, 1)]);
    }

    /// By hand: a measuring point at 813.052 m, a screen from 3.7 to 7.7 m below it and water at 4.47 m. The screen is from
    /// 809.352 to 805.352 m, the water at 808.582 m, the middle of what is below it 806.967 m; the lower screen's is 790.342 m.
    /// 806.967 - 790.342 = 16.625 m, where the middle of the whole upper screen would be 17.010 m away.
    #[test]
    fn of_a_screen_across_the_water_table_the_saturated_part_counts() {
        let point = 813.052;
        let upper =
            Nested { head_m: point - 4.47, ..well(0, 0.0, 0.0, Some((point - 7.7, point - 3.7))) };
        let lower = well(1, 0.0, 809.836, Some((788.842, 791.842)));
        let (found, none) = gradients(&[upper.clone(), lower.clone()], 1.0);
        assert!(none.is_empty());
        let g = found[0];
        let [above, below] = g.middles;
        assert!((above.elevation_m - 806.967).abs() < 1e-9 && above.saturated, "{g:?}");
        assert!((below.elevation_m - 790.342).abs() < 1e-9 && !below.saturated, "{g:?}");
        assert!((g.distance_m - 16.625).abs() < 1e-9, "{g:?}");
        // 809.836 - 808.582 = 1.254 m over 16.625 m.
        assert!((g.gradient - 1.254 / 16.625).abs() < 1e-9, "{g:?}");
        // A level below the whole screen is no head of it.
        let dry = Nested { head_m: point - 7.8, ..upper };
        let (found, none) = gradients(&[dry, lower], 1.0);
        assert!(found.is_empty());
        assert_eq!(none, [NoGradient::BelowScreen(0)]);
    }
}

//! What is seen past barriers: which wells count at a place, and how much.
//!
//! Every point has a *visibility* from a place: 1 where the straight way is free, less the farther
//! the place lies in the point's shade, 0 from a stated distance on. What a method says at the place
//! is the mean, over all thresholds from 0 to 1, of what it says from the points that are visible to
//! at least the threshold: of a few *views*, each with its range of thresholds. The mean has no step
//! where a point comes into sight, because visibility has none.

use std::collections::BTreeMap;

use geo::{ConvexHull as _, Coord, MultiPoint};
use rayon::prelude::*;

use super::predictor::Value;
use super::scattered::AT_WELL_M;
use crate::geom::tolerance::SHADE_SPACINGS;
use crate::geom::{Obstacles, Shade, doubled_area, usual_spacing, usual_spacing_without_each};

/// Places that are looked from side by side.
const PLACES_AT_ONCE: usize = 1 << 14;

/// The view at this threshold says how far the surface reaches: a point that is hardly visible shall
/// not carry a place alone.
const HALF: f64 = 0.5;

/// A view of a shorter range of thresholds is counted with the next one: in a dense network there
/// would be as many views as wells, and what one of them tells for so little is not seen on a map.
const SHORTEST: f64 = 1.0 / 64.0;

/// One bit for each point.
type Seen = Vec<u64>;

/// Points that some places see together.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct View {
    /// The points seen, ascending.
    pub(super) points: Vec<usize>,
    /// The places, by their number, and the range of the view in each.
    pub(super) places: Vec<(usize, Range)>,
}

/// The thresholds of visibility between which a place has one view.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    from: f64,
    to: f64,
}

impl Range {
    /// Whether the place has no other view.
    pub(super) fn is_whole(self) -> bool {
        self == Self { from: 0.0, to: 1.0 }
    }

    /// Whether the surface reaches the place by this view.
    pub(super) fn carries(self) -> bool {
        self.from < HALF && self.to >= HALF
    }

    /// What the view counts at the place: the length of the range. A view of fewer points than those
    /// that carry the place counts in `part` alone, see [`Outline::part`].
    pub(super) fn weight(self, part: f64) -> f64 {
        let above = (self.to - self.from.max(HALF)).max(0.0);
        let below = (self.to.min(HALF) - self.from).max(0.0);
        above * part + below
    }
}

/// The points in all views together are more than allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TooMany;

/// How deep in its shade a point is not seen any more, m: a part of the usual spacing of the wells.
///
/// # Units
/// - `wells`: m
pub(super) fn fades_m(wells: &[Coord]) -> f64 {
    SHADE_SPACINGS * usual_spacing(wells)
}

/// The same without each of the wells, m.
///
/// # Units
/// - `wells`: m
pub(super) fn fades_without_each_m(wells: &[Coord]) -> Vec<f64> {
    usual_spacing_without_each(wells).into_iter().map(|m| SHADE_SPACINGS * m).collect()
}

/// Points seen past barriers.
#[derive(Debug)]
pub(super) struct Sight {
    points: Vec<Coord>,
    shade: Shade,
}

impl Sight {
    /// # Units
    /// - m
    pub(super) fn new(points: Vec<Coord>, barriers: &Obstacles) -> Self {
        Self { shade: Shade::new(&points, barriers), points }
    }

    /// From each point those the straight way to which no barrier crosses or touches, ascending.
    pub(super) fn of_each(&self) -> Vec<Vec<usize>> {
        let seen = |place: &Coord| {
            let depths = self.shade.depths(*place, f64::MIN_POSITIVE);
            (0..self.points.len()).filter(|i| depths[*i] <= 0.0).collect()
        };
        self.points.par_iter().map(seen).collect()
    }

    /// The views of places, in an order that depends on the points seen alone. A point is not seen
    /// from `fades_m` deep in its shade.
    ///
    /// # Units
    /// - `at`: gives a place and its `fades_m`, m, by number
    ///
    /// # Errors
    /// When there are more than `most` points in all views together.
    pub(super) fn views(
        &self,
        places: &[usize],
        at: impl Fn(usize) -> (Coord, f64) + Sync,
        most: usize,
    ) -> Result<Vec<View>, TooMany> {
        let mut views: BTreeMap<Seen, Vec<(usize, Range)>> = BTreeMap::new();
        let mut viewed = 0;
        for places in places.chunks(PLACES_AT_ONCE) {
            let ranges = |place: &usize| {
                let (at, fades_m) = at(*place);
                self.ranges(at, fades_m)
            };
            let found: Vec<Vec<(Seen, Range)>> = places.par_iter().map(ranges).collect();
            for (place, found) in places.iter().zip(found) {
                for (seen, range) in found {
                    if let Some(places) = views.get_mut(&seen) {
                        places.push((*place, range));
                        continue;
                    }
                    viewed += seen.iter().map(|word| word.count_ones() as usize).sum::<usize>();
                    if viewed > most {
                        return Err(TooMany);
                    }
                    views.insert(seen, vec![(*place, range)]);
                }
            }
        }
        let listed = |seen: &Seen| -> Vec<usize> {
            (0..self.points.len()).filter(|i| seen[i / 64] >> (i % 64) & 1 == 1).collect()
        };
        let view = |(seen, places): (Seen, _)| View { points: listed(&seen), places };
        Ok(views.into_iter().map(view).collect())
    }

    /// The views of one place, those of the highest thresholds first.
    fn ranges(&self, place: Coord, fades_m: f64) -> Vec<(Seen, Range)> {
        let depths = self.shade.depths(place, fades_m);
        let mut seen: Vec<(usize, f64)> = depths
            .into_iter()
            .enumerate()
            .filter(|(_, depth)| depth.is_finite())
            .map(|(i, depth)| (i, visibility(depth / fades_m)))
            .collect();
        seen.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let mut so_far = vec![0_u64; self.points.len().div_ceil(64)];
        let mut ranges = Vec::new();
        let mut to = seen.first().map_or(0.0, |first| first.1);
        for (k, (i, _)) in seen.iter().enumerate() {
            so_far[i / 64] |= 1 << (i % 64);
            let from = seen.get(k + 1).map_or(0.0, |next| next.1);
            if to - from >= SHORTEST || from <= 0.0 {
                ranges.push((so_far.clone(), Range { from, to }));
                to = from;
            }
        }
        ranges
    }
}

/// The visibility at a part of the depth from which on a point is not seen: it falls from 1 to 0 with
/// no kink at either end.
fn visibility(part: f64) -> f64 {
    (1.0 - part) * (1.0 - part) * (1.0 + 2.0 * part)
}

/// The outline of the points of a view.
#[derive(Debug)]
pub(super) struct Outline(Vec<Coord>);

impl Outline {
    /// # Units
    /// - m
    pub(super) fn of(points: impl IntoIterator<Item = Coord>) -> Self {
        let points: MultiPoint = points.into_iter().collect();
        Self(points.convex_hull().exterior().0.clone())
    }

    /// In what part a view counts whose points do not reach as far as another's: all of it `fades_m`
    /// and more within its outline, less nearer to it, so that it ends without a step; `None` beyond
    /// the outline.
    ///
    /// # Units
    /// - m
    pub(super) fn part(&self, place: Coord, fades_m: f64) -> Option<f64> {
        let depth = |w: &[Coord]| {
            let side = w[1] - w[0];
            doubled_area([w[0], w[1], place]) / libm::hypot(side.x, side.y)
        };
        let depth = self.0.windows(2).map(depth).fold(f64::INFINITY, f64::min);
        (depth >= -AT_WELL_M).then(|| depth.clamp(0.0, fades_m) / fades_m)
    }
}

/// The mean of what a method says from the views of one place.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Mean {
    carried: bool,
    weight: f64,
    head: f64,
    squares: f64,
}

impl Mean {
    /// Takes what one view says; `part`: see [`Range::weight`]. A head equal to the mean leaves it
    /// as it is, to the last bit.
    pub(super) fn add(&mut self, range: Range, part: f64, value: Value) {
        self.carried |= range.carries();
        let weight = range.weight(part);
        if weight <= 0.0 {
            return;
        }
        self.weight += weight;
        let off = value.head - self.head;
        let (moved, apart) = if self.weight > weight {
            let moved = off * (weight / self.weight);
            (self.head + moved, off * (off - moved))
        } else {
            (value.head, 0.0)
        };
        self.head = moved;
        self.squares += weight * (value.variance + apart);
    }

    /// The mean; its variance is the mean of the views' variances and that of their heads. `None`
    /// when the view that carries the place said nothing.
    pub(super) fn value(self) -> Option<Value> {
        let variance = self.squares / self.weight;
        (self.carried && self.weight > 0.0).then_some(Value { head: self.head, variance })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points() -> Vec<Coord> {
        let point = |k: i32| Coord {
            x: f64::from(k % 10) * 10.3 + f64::from(k * k % 7) - 48.0,
            y: f64::from(k / 10) * 15.1 + f64::from(k * k % 11) - 47.0,
        };
        (0..70).map(point).collect()
    }

    fn barriers() -> Obstacles {
        let wall = [(-20.5, -25.0), (3.3, 4.1), (4.1, 30.0)].into_iter().collect();
        Obstacles::new(&[wall])
    }

    /// Places on a lattice.
    fn place(k: usize) -> Coord {
        let [x, y] = [k % 21, k / 21].map(|steps| -50.0 + 5.0 * steps as f64);
        Coord { x, y }
    }

    #[test]
    fn the_views_of_a_place_share_all_thresholds_and_have_what_is_visible_to_them() {
        let (points, barriers) = (points(), barriers());
        let sight = Sight::new(points.clone(), &barriers);
        let places: Vec<usize> = (0..441).collect();
        let views = sight.views(&places, |k| (place(k), 6.0), 1_000_000).expect("few views");
        assert!(views.len() > 50, "the wall hides points: {}", views.len());
        let mut partly = 0;
        for k in places {
            let depths = Shade::new(&points, &barriers).depths(place(k), 6.0);
            let visible: Vec<f64> =
                depths.iter().map(|d| if *d < 6.0 { visibility(d / 6.0) } else { 0.0 }).collect();
            for (i, point) in points.iter().enumerate() {
                assert_eq!(visible[i] >= 1.0, !barriers.part(place(k), *point), "{:?}", place(k));
            }
            partly += visible.iter().filter(|v| **v > 0.0 && **v < 1.0).count();
            let of = |v: &View| v.places.iter().find(|p| p.0 == k).map(|p| p.1);
            let mut ranges: Vec<(Range, &View)> =
                views.iter().filter_map(|v| Some((of(v)?, v))).collect();
            ranges.sort_by(|a, b| b.0.to.total_cmp(&a.0.to));
            let mut above = 1.0_f64;
            for (range, view) in &ranges {
                assert_eq!(range.to.to_bits(), above.to_bits(), "all thresholds, and each once");
                above = range.from;
                let expected = (0..points.len()).filter(|i| visible[*i] > range.from);
                assert_eq!(view.points, expected.collect::<Vec<_>>(), "from {:?}", place(k));
            }
            assert!(above <= 0.0);
            assert_eq!(ranges.iter().filter(|r| r.0.carries()).count(), 1);
        }
        assert!(partly > 500, "{partly}");
        let viewed: usize = views.iter().map(|v| v.points.len()).sum();
        let few = |most| sight.views(&(0..441).collect::<Vec<_>>(), |k| (place(k), 6.0), most);
        assert!(few(viewed).is_ok());
        assert_eq!(few(viewed - 1), Err(TooMany));
    }

    #[test]
    fn the_mean_is_weighted_and_its_variance_has_the_spread_of_the_views() {
        // Heads 1 and 4 of variances 2 and 5 with weights 3/4 and 1/4: mean 1.75, variance
        // (3 * 2 + 5) / 4 + 3/4 * 0.75² + 1/4 * 2.25².
        let mut mean = Mean::default();
        mean.add(Range { from: 0.25, to: 1.0 }, 1.0, Value { head: 1.0, variance: 2.0 });
        mean.add(Range { from: 0.0, to: 0.25 }, 0.0, Value { head: 4.0, variance: 5.0 });
        let found = mean.value().expect("carried");
        assert!((found.head - 1.75).abs() < 1e-15);
        assert!((found.variance - (2.75 + 0.421_875 + 1.265_625)).abs() < 1e-15);
        // A view of few points near its outline counts for its part above a half alone.
        assert!((Range { from: 0.25, to: 1.0 }.weight(0.5) - 0.5).abs() < 1e-15);
        // Without the view at a half there is nothing.
        let mut mean = Mean::default();
        mean.add(Range { from: 0.0, to: 0.25 }, 1.0, Value { head: 4.0, variance: 5.0 });
        assert_eq!(mean.value(), None);
    }

    #[test]
    fn equal_heads_have_that_head_for_their_mean_to_the_last_bit() {
        let head = 100.1 / 3.0;
        let mut mean = Mean::default();
        for (from, to) in [(0.7, 1.0), (0.31, 0.7), (0.0, 0.31)] {
            mean.add(Range { from, to }, 0.377, Value { head, variance: f64::NAN });
        }
        assert_eq!(mean.value().map(|v| v.head.to_bits()), Some(head.to_bits()));
    }

    #[test]
    fn a_view_counts_less_toward_its_outline() {
        let corners = [(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0), (20.0, 20.0)];
        let outline = Outline::of(corners.map(|(x, y)| Coord { x, y }));
        let part = |x: f64, y: f64| outline.part(Coord { x, y }, 10.0);
        assert_eq!([part(20.0, 20.0), part(2.5, 20.0)], [Some(1.0), Some(0.25)]);
        assert_eq!([part(0.0, 20.0), part(-0.01, 20.0)], [Some(0.0), None]);
    }
}

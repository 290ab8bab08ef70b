//! Many wells in overlapping patches, each with a surface of its own, blended into one.
//!
//! The parts in which patches count at a place change smoothly and sum to 1, so that the blend has no
//! seams; each surface that counts at a well has it among its own, so that a blend of surfaces through
//! their wells goes through all wells.
//!
//! # References
//! The partition of unity: Babuska and Melenk (1997), International Journal for Numerical Methods
//! in Engineering 40, 727-758; of interpolants of scattered data: Wendland (2005), Scattered Data
//! Approximation, ch. 15 (from memory).

use geo::{Coord, Rect};
use rayon::prelude::*;

use super::cells::{about, cells, nearest, spread_out, square_to};
use crate::geom::tolerance::WHOLE_SURFACE_WELLS;

/// The most wells in the middle of a patch.
const OWN: usize = 150;

/// The nearest wells to a patch, which it is worked out from; those in its middle are among them.
const NEAR: usize = 500;

/// Wells spread over the whole site that each patch is worked out from too: they carry what reaches
/// over long distances.
const FAR: usize = 250;

/// The most wells that a patch is worked out from.
pub(super) const PATCH_WELLS: usize = NEAR + FAR;

/// How far a patch counts beyond its middle, as a part of half its side.
const OVERLAP: f64 = 0.25;

/// As a part of the distance to the farthest of the wells near it, so that all wells where it counts are
/// among its own: less than the root of 1/2, as it counts in rectangles.
const WITHIN: f64 = 0.6;

/// Places in overlapping patches.
#[derive(Debug, Clone)]
pub(super) struct Patches {
    bounds: Rect,
    patches: Vec<Patch>,
}

/// A patch.
#[derive(Debug, Clone)]
struct Patch {
    middle: Rect,
    /// How far it counts beyond its middle, and how far within the others count too.
    beyond: f64,
    /// Its wells, ascending.
    wells: Vec<usize>,
}

impl Patches {
    /// `None` where there are so few wells that one surface is worked out from all of them.
    ///
    /// # Units
    /// - any one length
    pub(super) fn new(wells: &[Coord]) -> Option<Self> {
        if wells.len() <= WHOLE_SURFACE_WELLS {
            return None;
        }
        let bounds = about(wells.iter().copied())?;
        let far = spread_out(wells, FAR);
        let patch = |middle: Rect| {
            let mut own = nearest(wells, 0..wells.len(), &middle, NEAR);
            let reach = own.last().map_or(0.0, |i| square_to(&middle, wells[*i]).sqrt());
            own.extend(&far);
            own.sort_unstable();
            own.dedup();
            let side = f64::midpoint(middle.width(), middle.height());
            let beyond = (OVERLAP * side / 2.0).min(WITHIN * reach);
            Patch { middle, beyond, wells: own }
        };
        let patches = cells(wells, OWN).par_iter().map(|c| patch(c.bounds)).collect();
        Some(Self { bounds, patches })
    }

    /// The wells of each patch, ascending.
    pub(super) fn wells(&self) -> impl ExactSizeIterator<Item = &[usize]> {
        self.patches.iter().map(|p| p.wells.as_slice())
    }

    /// The patches that count at a place, ascending, and in what part.
    ///
    /// # Units
    /// - as the wells
    pub(super) fn at(&self, p: Coord) -> Vec<(usize, f64)> {
        let (low, high) = (self.bounds.min(), self.bounds.max());
        let p = Coord { x: p.x.clamp(low.x, high.x), y: p.y.clamp(low.y, high.y) };
        let mut parts: Vec<(usize, f64)> = self
            .patches
            .iter()
            .enumerate()
            .map(|(k, patch)| (k, patch.part(p)))
            .filter(|(_, part)| *part > 0.0)
            .collect();
        let sum: f64 = parts.iter().map(|p| p.1).sum();
        for (_, part) in &mut parts {
            *part /= sum;
        }
        parts
    }

    /// For each patch the places where it counts, ascending, and in what part.
    ///
    /// # Units
    /// - as the wells
    pub(super) fn shares(&self, places: &[Coord]) -> Vec<Vec<(usize, f64)>> {
        let mut shares = vec![Vec::new(); self.patches.len()];
        for (i, p) in places.iter().enumerate() {
            for (k, part) in self.at(*p) {
                shares[k].push((i, part));
            }
        }
        shares
    }

    /// What the patches say of their wells (`said`, in the order of each patch's), blended at each
    /// well by `add`, which is given what there is so far, a part, and what is said; `None` where a
    /// patch that counts says nothing.
    ///
    /// # Units
    /// - `wells`: as those the patches were made of, in their order
    pub(super) fn blend_at_wells<T, U: Default + Clone>(
        &self,
        wells: &[Coord],
        said: &[Vec<Option<T>>],
        add: impl Fn(&mut U, f64, &T),
    ) -> Vec<Option<U>> {
        let mut blend = vec![Some(U::default()); wells.len()];
        let shares = self.shares(wells);
        for ((patch, share), said) in self.patches.iter().zip(&shares).zip(said) {
            for (i, part) in share {
                let said = patch.wells.binary_search(i).ok().and_then(|k| said[k].as_ref());
                match (&mut blend[*i], said) {
                    (Some(sum), Some(said)) => add(sum, *part, said),
                    (slot, _) => *slot = None,
                }
            }
        }
        blend
    }
}

impl Patch {
    /// Positive within the middle and on its sides.
    fn part(&self, p: Coord) -> f64 {
        let (low, high) = (self.middle.min(), self.middle.max());
        let across = |x: f64, low: f64, high: f64| {
            let outside = (low - x).max(x - high);
            if self.beyond > 0.0 {
                smooth(0.5 - 0.5 * outside / self.beyond)
            } else {
                f64::from(u8::from(outside <= 0.0))
            }
        };
        across(p.x, low.x, high.x) * across(p.y, low.y, high.y)
    }
}

/// From 0 to 1 as `t` does, level at both ends, with a curvature that has no jumps.
fn smooth(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * t * (10.0 + t * (6.0 * t - 15.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::distance;

    fn wells(n: i32) -> Vec<Coord> {
        let part = |i: i32, k: f64| (f64::from(i) * k).fract();
        let spread = (0..n).map(|i| (part(i, 0.754_877_666), part(i, 0.569_840_291)));
        // Half of them in a tenth of the site, and two hundred on a line.
        let at = |(i, (x, y)): (usize, (f64, f64))| match i {
            i if i < 200 => Coord { x: 400.0, y: 1000.0 * y },
            i if i % 2 == 0 => Coord { x: 100.0 * x, y: 100.0 * y },
            _ => Coord { x: 1000.0 * x, y: 1000.0 * y },
        };
        spread.enumerate().map(at).collect()
    }

    #[test]
    fn few_wells_have_no_patches() {
        assert!(Patches::new(&wells(2000)).is_none());
        assert!(Patches::new(&wells(2001)).is_some());
    }

    #[test]
    fn the_parts_sum_to_one_and_are_those_of_patches_that_have_the_wells() {
        let wells = wells(4000);
        let patches = Patches::new(&wells).expect("many wells");
        let own: Vec<&[usize]> = patches.wells().collect();
        assert!(own.iter().all(|own| (NEAR..=PATCH_WELLS).contains(&own.len())));
        for (i, p) in wells.iter().enumerate() {
            let parts = patches.at(*p);
            assert!((parts.iter().map(|p| p.1).sum::<f64>() - 1.0).abs() < 1e-12);
            assert!(parts.iter().all(|(k, _)| own[*k].binary_search(&i).is_ok()), "well {i}");
        }
        assert!(!patches.at(Coord { x: -5000.0, y: 20_000.0 }).is_empty(), "far outside");
    }

    #[test]
    fn the_parts_change_without_a_jump() {
        let wells = wells(4000);
        let patches = Patches::new(&wells).expect("many wells");
        let mut before: Option<(Coord, Vec<(usize, f64)>)> = None;
        for i in 0..200_000 {
            let p = Coord { x: -10.0 + 0.005_1 * f64::from(i), y: 3.0 + 0.004_9 * f64::from(i) };
            let parts = patches.at(p);
            if let Some((last, before)) = before {
                let of = |parts: &[(usize, f64)], k: usize| {
                    parts.iter().find(|p| p.0 == k).map_or(0.0, |p| p.1)
                };
                for (k, part) in &parts {
                    let by = (part - of(&before, *k)).abs();
                    assert!(by < 0.2 * distance(last, p).max(0.01), "patch {k} at {p:?}: {by}");
                }
            }
            before = Some((p, parts));
        }
    }
}

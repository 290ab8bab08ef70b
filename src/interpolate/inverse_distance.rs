//! Inverse-distance weighting, for those whose procedures demand it.
//!
//! The head is a mean of wells, each weighted by its distance to the power `-p`. Every well is a
//! peak, a pit or a flat spot of such a surface: its slope there is zero for `p > 1`, whatever the
//! water does, so directions of flow must not be read off it. `docs/other-surfaces.md`.

use geo::Coord;
use rayon::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

use crate::geom::Frame;
use crate::interpolate::axis::Axis;
use crate::interpolate::grid::Grid;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::scattered;
use crate::interpolate::scattered::AT_WELL_M;
use crate::interpolate::scattered::ScatteredError;

/// How distances become weights, and which wells count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// The power of the distance, above 0. 2 is usual.
    pub power: f64,
    /// Only this many nearest wells count, at least 1; those as far as the last of them count
    /// too, so that no order of wells decides. All when `None`.
    pub nearest: Option<usize>,
    /// Only wells within this distance count, m. No bound when `None`.
    pub radius_m: Option<f64>,
}

impl Default for Options {
    /// Power 2, all wells. The power is common practice, no source.
    fn default() -> Self {
        Self { power: 2.0, nearest: None, radius_m: None }
    }
}

/// An inverse-distance surface.
#[derive(Debug)]
pub struct InverseDistance {
    positions: Vec<Coord>,
    heads: Vec<f64>,
    options: Options,
    /// Only where not all wells count everywhere.
    tree: Option<RTree<GeomWithData<[f64; 2], usize>>>,
}

impl InverseDistance {
    /// Takes wells and options.
    ///
    /// # Units
    /// - `positions`: m; `heads`: elevation unit
    ///
    /// # Errors
    /// [`ScatteredError`] without a well, for heads or positions that are not finite, two wells
    /// at one position, and options out of bounds.
    pub fn new(
        positions: &[Coord],
        heads: &[f64],
        options: Options,
    ) -> Result<Self, ScatteredError> {
        scattered::distinct(positions, heads, 1)?;
        let refuse = |option, value, bound| Err(ScatteredError::Option { option, value, bound });
        if !(options.power > 0.0 && options.power.is_finite()) {
            return refuse("the power", options.power, "a number above 0");
        }
        if options.nearest == Some(0) {
            return refuse("the count of nearest wells", 0.0, "1 or more");
        }
        if let Some(radius) = options.radius_m
            && !(radius > 0.0 && radius.is_finite())
        {
            return refuse("the search radius", radius, "a length above 0 m");
        }
        let some = options.nearest.is_some_and(|n| n < heads.len()) || options.radius_m.is_some();
        let tree = some.then(|| {
            let places = positions.iter().enumerate();
            RTree::bulk_load(places.map(|(i, p)| GeomWithData::new([p.x, p.y], i)).collect())
        });
        Ok(Self { positions: positions.to_vec(), heads: heads.to_vec(), options, tree })
    }

    /// The head at a place; `None` where no well is within the search radius.
    ///
    /// At a well (within `AT_WELL_M`) it is the well's head, digit by digit.
    ///
    /// # Units
    /// - `p`: m; returns: elevation unit
    ///
    /// # References
    /// Shepard (1968), Proc. 23rd ACM National Conference, 517-524 (from memory). Worked example:
    /// Isaaks and Srivastava (1989), ch. 11.
    #[must_use]
    pub fn at(&self, p: Coord) -> Option<f64> {
        self.among(&self.near(p, 0.0, None), p, &mut Vec::new())
    }

    /// The head at every node of a grid. Nodes where `within` has no head have none: give the
    /// linear surface, to keep to the outline of the wells, beyond which nothing was measured.
    ///
    /// The result does not depend on the number of threads.
    ///
    /// # Units
    /// - `frame`: that of the positions; `spec`: CRS units; returns: elevation unit
    ///
    /// # Panics
    /// When `within` is a grid of other size.
    #[must_use]
    pub fn grid(&self, frame: &Frame, spec: GridSpec, within: Option<&Grid>) -> Grid {
        let columns = Axis::of_columns(&spec, frame);
        let rows = Axis::of_rows(&spec, frame);
        let (xs, ys) = (columns.positions(), rows.positions());
        let tile = self.tile(spec.cell * frame.metres_per_unit());
        let mut heads = vec![f64::NAN; spec.rows * spec.columns];
        let bands = heads.par_chunks_mut(tile * spec.columns).enumerate();
        bands.for_each_init(Vec::new, |squares, (band, heads)| {
            let first = band * tile;
            let ys = &ys[first..ys.len().min(first + tile)];
            for west in (0..spec.columns).step_by(tile) {
                let xs = &xs[west..xs.len().min(west + tile)];
                let from = Coord { x: xs[0], y: ys[0] };
                let half = (Coord { x: xs[xs.len() - 1], y: ys[ys.len() - 1] } - from) / 2.0;
                let near = self.near(from + half, libm::hypot(half.x, half.y), None);
                for (row, y) in ys.iter().enumerate() {
                    for (column, x) in (west..).zip(xs) {
                        if within.is_none_or(|g| g.head(first + row, column).is_some()) {
                            let head = self.among(&near, Coord { x: *x, y: *y }, squares);
                            heads[row * spec.columns + column] = head.unwrap_or(f64::NAN);
                        }
                    }
                }
            }
        });
        Grid::new(spec, heads)
    }

    /// The head at each well as the surface of all other wells has it; `None` where no other
    /// counts.
    ///
    /// # Units
    /// - returns: elevation unit, in the order of the wells
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<Option<f64>> {
        let well = |i: usize| {
            let p = self.positions[i];
            self.among(&self.near(p, 0.0, Some(i)), p, &mut Vec::new())
        };
        (0..self.heads.len()).into_par_iter().map(well).collect()
    }

    /// Nodes along the side of a tile whose wells are looked up together: about as far as from
    /// well to well, so that a tile has little more wells near than a node has.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 16")]
    fn tile(&self, cell_m: f64) -> usize {
        let span = |of: fn(&Coord) -> f64| {
            let values = self.positions.iter().map(of);
            values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min)
        };
        let area = span(|p| p.x) * span(|p| p.y);
        ((area / self.heads.len() as f64).sqrt() / cell_m).clamp(1.0, 16.0) as usize
    }

    /// The wells, in order, that may count at any place within `reach` of `centre`.
    fn near(&self, centre: Coord, reach: f64, without: Option<usize>) -> Vec<usize> {
        let at = [centre.x, centre.y];
        let mut bound = self.options.radius_m.map_or(f64::INFINITY, |r| r + reach);
        if let (Some(tree), Some(nearest)) = (&self.tree, self.options.nearest) {
            let others = tree.nearest_neighbor_iter_with_distance_2(&at);
            let last = others.filter(|(w, _)| Some(w.data) != without).nth(nearest - 1);
            // Moving by `reach`, the last of the nearest gets farther by no more than that.
            bound = last.map_or(bound, |(_, square)| bound.min(square.sqrt() + 2.0 * reach));
        }
        // A hair more than enough, for the roundings of these few sums.
        bound *= 1.0 + 1e-9;
        let mut near: Vec<usize> = match &self.tree {
            Some(tree) if bound.is_finite() => {
                tree.locate_within_distance(at, bound * bound).map(|w| w.data).collect()
            }
            _ => (0..self.heads.len()).collect(),
        };
        near.retain(|w| Some(*w) != without);
        near.sort_unstable();
        near
    }

    /// The head at a place whose wells that may count are known.
    fn among(&self, near: &[usize], p: Coord, squares: &mut Vec<f64>) -> Option<f64> {
        let square = |i: usize| {
            let q = self.positions[i] - p;
            q.x * q.x + q.y * q.y
        };
        let mut last = self.options.radius_m.map_or(f64::INFINITY, |r| r * r);
        if let Some(nearest) = self.options.nearest.filter(|n| *n < near.len()) {
            squares.clear();
            squares.extend(near.iter().map(|i| square(*i)));
            last = last.min(*squares.select_nth_unstable_by(nearest - 1, f64::total_cmp).1);
        }
        self.weigh(near.iter().map(|i| (*i, square(*i))).filter(|w| w.1 <= last))
    }

    /// The weighted mean of wells given with their squared distances.
    #[expect(clippy::float_cmp, reason = "a power is exactly 1 or 2 or takes the general way")]
    fn weigh(&self, wells: impl Iterator<Item = (usize, f64)> + Clone) -> Option<f64> {
        let half = 0.5 * self.options.power;
        let usual = half == 1.0 || half == 0.5;
        // In units of the nearest distance the largest weight is 1, whatever the power.
        let nearest = if usual {
            1.0
        } else {
            wells.clone().fold(f64::INFINITY, |least, (_, square)| least.min(square))
        };
        let (mut all, mut sum, mut reference) = (0.0, 0.0, None);
        for (i, square) in wells {
            if square <= AT_WELL_M * AT_WELL_M {
                return Some(self.heads[i]);
            }
            // The usual powers without a logarithm.
            let weight = if half == 1.0 {
                1.0 / square
            } else if half == 0.5 {
                1.0 / square.sqrt()
            } else {
                libm::pow(nearest / square, half)
            };
            let reference = *reference.get_or_insert(self.heads[i]);
            all += weight;
            sum += weight * (self.heads[i] - reference);
        }
        let head = reference? + sum / all;
        head.is_finite().then_some(head)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interpolate::linear::linear;

    const fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    /// Isaaks and Srivastava (1989), ch. 11 and 12: seven points about (65, 137).
    fn seven() -> (Vec<Coord>, Vec<f64>) {
        [
            (61.0, 139.0, 477.0),
            (63.0, 140.0, 696.0),
            (64.0, 129.0, 227.0),
            (68.0, 128.0, 646.0),
            (71.0, 140.0, 606.0),
            (73.0, 141.0, 791.0),
            (75.0, 128.0, 783.0),
        ]
        .into_iter()
        .map(|(x, y, h)| (at(x, y), h))
        .unzip()
    }

    fn surface(options: Options) -> InverseDistance {
        let (places, heads) = seven();
        InverseDistance::new(&places, &heads, options).expect("seven points")
    }

    #[track_caller]
    fn near(found: Option<f64>, expected: f64, tolerance: f64) {
        let found = found.expect("a head");
        assert!((found - expected).abs() <= tolerance, "{found} is not {expected}");
    }

    #[test]
    fn the_seven_points_have_the_published_means() {
        // Published to whole numbers (from memory); the digits recompute them.
        for (power, published, exact) in [
            (0.2, 601.0, 600.610_856_739_1),
            (1.0, 594.0, 593.953_671_082_5),
            (2.0, 598.0, 597.620_376_042_7),
        ] {
            let head = surface(Options { power, ..Options::default() }).at(at(65.0, 137.0));
            near(head, published, 0.5);
            near(head, exact, 1e-9 * exact);
        }
        // A power near 0 weighs all alike: the printed local mean.
        let flat = surface(Options { power: 1e-9, ..Options::default() });
        near(flat.at(at(65.0, 137.0)), 603.714_285_714_3, 1e-5);
    }

    #[test]
    fn any_power_has_a_head_between_those_of_the_wells() {
        // The three heads nearest to (65, 137) are 696 (13), 477 (20) and 606 (45): weights
        // relative to the first are (13 / square)^(p / 2).
        for power in [3.0, 30.0, 300.0, 3000.0, 1e300] {
            let high = surface(Options { power, ..Options::default() });
            let head = high.at(at(65.0, 137.0)).expect("a head");
            let second = libm::pow(13.0 / 20.0, power / 2.0);
            if power >= 30.0 {
                near(Some(head), 696.0 - 219.0 * second / (1.0 + second), 1e-3);
            }
            for k in 0..100 {
                let p = at(60.0 + 0.17 * f64::from(k), 125.0 + 0.19 * f64::from(k));
                // As near as 0.1 mm and as far as 1e6 m, where plain weights overflow or vanish.
                for p in [p, at(61.000_2, 139.0), at(p.x * 1e4, p.y)] {
                    let head = high.at(p).unwrap_or_else(|| panic!("power {power}: none at {p:?}"));
                    assert!((227.0 - 1e-9..=791.0 + 1e-9).contains(&head), "{power}: {head}");
                }
            }
        }
    }

    #[test]
    fn few_nearest_and_a_radius_choose_the_wells() {
        // Squared distances from (65, 137): 20, 13, 65, 90, 45, 80, 181.
        let two = Options { nearest: Some(2), ..Options::default() };
        let expected = (477.0 / 20.0 + 696.0 / 13.0) / (1.0 / 20.0 + 1.0 / 13.0);
        near(surface(two).at(at(65.0, 137.0)), expected, 1e-10);
        let round = Options { radius_m: Some(5.0), ..Options::default() };
        near(surface(round).at(at(65.0, 137.0)), expected, 1e-10);
        let one = Options { nearest: Some(1), radius_m: Some(1e6), ..Options::default() };
        near(surface(one).at(at(65.0, 137.0)), 696.0, 0.0);
        let short = Options { radius_m: Some(1.0), ..Options::default() };
        assert_eq!(surface(short).at(at(65.0, 137.0)), None);
        assert_eq!(surface(short).at(at(61.0, 139.0)), Some(477.0));
    }

    #[test]
    fn wells_at_equal_distance_count_together() {
        let corners = [at(0.0, 0.0), at(2.0, 0.0), at(0.0, 2.0), at(2.0, 2.0)];
        let options = Options { nearest: Some(1), ..Options::default() };
        let surface =
            InverseDistance::new(&corners, &[1.0, 2.0, 3.0, 6.0], options).expect("a square");
        near(surface.at(at(1.0, 1.0)), 3.0, 1e-12);
        near(surface.at(at(1.0, 0.5)), 1.5, 1e-12);
    }

    #[test]
    fn leaving_a_well_out_is_the_mean_of_the_others() {
        let (places, heads) = seven();
        for options in [
            Options::default(),
            Options { power: 1.5, nearest: Some(3), ..Options::default() },
            Options { radius_m: Some(4.0), ..Options::default() },
        ] {
            let found = surface(options).leave_one_out();
            for (i, found) in found.into_iter().enumerate() {
                let (mut places, mut heads) = (places.clone(), heads.clone());
                let p = places.remove(i);
                heads.remove(i);
                let rest = InverseDistance::new(&places, &heads, options).expect("six points");
                assert_eq!(found.is_some(), rest.at(p).is_some());
                if let Some(expected) = rest.at(p) {
                    near(found, expected, 1e-9);
                }
            }
        }
    }

    #[test]
    fn the_grid_keeps_to_the_surface_it_is_given_and_to_the_heads() {
        let (places, heads) = seven();
        let mesh = scattered::mesh(&places, &heads).expect("seven points");
        let frame = Frame::new(at(0.0, 0.0), 1.0);
        let spec = GridSpec { west: 60.0, south: 126.0, cell: 0.5, columns: 32, rows: 32 };
        let outline = linear(&mesh, &frame, spec);
        let whole = surface(Options::default()).grid(&frame, spec, None);
        let kept = surface(Options::default()).grid(&frame, spec, Some(&outline));
        assert_eq!((whole.supported(), kept.supported()), (1024, outline.supported()));
        for r in 0..32 {
            for c in 0..32 {
                let h = whole.head(r, c).expect("everywhere");
                assert!((227.0..=791.0).contains(&h), "{h}");
                let expected = outline.head(r, c).map(|_| h);
                assert_eq!(kept.head(r, c), expected);
            }
        }
        assert_eq!(kept.head(26, 2), Some(477.0), "the node at a well");
    }

    #[test]
    fn nodes_of_a_tile_have_the_heads_of_places_looked_up_alone() {
        let wells: Vec<Coord> = (0..300)
            .map(|i| {
                let part = |k: f64| (f64::from(i) * k).fract() * 100.0;
                at(part(0.754_877_666), part(0.569_840_29))
            })
            .collect();
        let heads: Vec<f64> = (0..300).map(|i| f64::from(i * 7 % 31)).collect();
        let frame = Frame::new(at(0.0, 0.0), 1.0);
        for (nearest, radius_m) in [(Some(4), None), (Some(9), Some(8.0)), (None, Some(5.0))] {
            let options = Options { power: 3.0, nearest, radius_m };
            let surface = InverseDistance::new(&wells, &heads, options).expect("wells");
            for cell in [0.7, 4.0, 40.0] {
                let spec = GridSpec { west: -20.0, south: -20.0, cell, columns: 90, rows: 70 };
                let grid = surface.grid(&frame, spec, None);
                for r in 0..70 {
                    for c in 0..90 {
                        let (found, alone) = (grid.head(r, c), surface.at(spec.node(r, c)));
                        assert_eq!(found.is_some(), alone.is_some());
                        if let Some(alone) = alone {
                            near(found, alone, 1e-10);
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn options_out_of_bounds_are_refused_with_value_and_bound() {
        let (places, heads) = seven();
        let all = Options::default();
        for options in [
            Options { power: 0.0, ..all },
            Options { power: f64::NAN, ..all },
            Options { nearest: Some(0), ..all },
            Options { radius_m: Some(-3.0), ..all },
        ] {
            let refused = InverseDistance::new(&places, &heads, options).expect_err("refused");
            assert!(matches!(refused, ScatteredError::Option { .. }), "{refused}");
            assert!(refused.to_string().contains("must be"), "{refused}");
        }
        let none = InverseDistance::new(&[], &[], all).expect_err("refused");
        assert_eq!(none, ScatteredError::Few { found: 0, needed: 1 });
    }
}

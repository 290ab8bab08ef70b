//! What the others say of each well.

use geo::Coord;
use rayon::prelude::*;

use super::NaturalNeighbour;
use super::Variant;
use super::cell::shares;
use super::gradient::Slopes;
use super::plain;
use super::smooth;

impl NaturalNeighbour<'_> {
    /// The head at each well as the surface through all other wells has it; `None` for wells on
    /// the outline, which the others do not surround.
    ///
    /// Exact and local: a well's Voronoi cell falls to its neighbours when the well goes, and
    /// their shares are their weights. The slopes of the smooth surface are estimated afresh
    /// without the well. Nothing is triangulated again.
    ///
    /// `None` too where the shares cannot be had in double precision.
    ///
    /// # Units
    /// - returns: elevation unit, in the mesh's order
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<Option<f64>> {
        let slopes = match self.variant() {
            Variant::Plain => None,
            Variant::Smooth => Some(Slopes::new(&self.net, self.mesh.heads())),
        };
        #[expect(clippy::cast_possible_truncation, reason = "wells number below 2^30")]
        let of = |i: usize| self.without(i as u32, slopes.as_ref());
        (0..self.mesh.heads().len()).into_par_iter().map(of).collect()
    }

    fn without(&self, well: u32, slopes: Option<&Slopes>) -> Option<f64> {
        if !self.net.is_inner(well) {
            return None;
        }
        let at = self.net.position(well);
        let (sites, cell) = self.net.around(well);
        let offsets: Vec<Coord> = sites.iter().map(|s| self.net.position(*s) - at).collect();
        let weights: Vec<(u32, f64)> =
            sites.into_iter().zip(shares(&cell, &offsets)?).filter(|w| w.1 > 0.0).collect();
        let heads = self.mesh.heads();
        Some(match slopes {
            None => plain(&weights, heads),
            Some(slopes) => smooth(&self.net, at, &weights, heads, |v| slopes.at(v, Some(well))),
        })
    }
}

//! What the others say of each well.

use geo::Coord;
use rayon::prelude::*;

use super::cell::shares;
use super::gradient::Slopes;
use super::net::Net;
use super::surface::NaturalNeighbour;
use super::surface::Variant;
use super::surface::plain;
use super::surface::smooth;

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
        let fringed = self.net.inner().len() < self.net.facets.len();
        let whole = fringed.then(|| Net::whole(&self.mesh));
        // A well hardly within the outline is within it in the second net only.
        let nets: Vec<(&Net, Option<Slopes>)> = std::iter::once(&self.net)
            .chain(&whole)
            .map(|net| match self.variant() {
                Variant::Plain => (net, None),
                Variant::Smooth => (net, Some(Slopes::new(net, self.mesh.heads()))),
            })
            .collect();
        #[expect(clippy::cast_possible_truncation, reason = "wells number below 2^30")]
        let of = |i: usize| {
            let (net, slopes) = nets.iter().find(|(net, _)| net.is_inner(i as u32))?;
            self.without(net, i as u32, slopes.as_ref())
        };
        (0..self.mesh.heads().len()).into_par_iter().map(of).collect()
    }

    fn without(&self, net: &Net, well: u32, slopes: Option<&Slopes>) -> Option<f64> {
        let at = net.position(well);
        let (sites, cell) = net.around(well);
        let offsets: Vec<Coord> = sites.iter().map(|s| net.position(*s) - at).collect();
        let weights: Vec<(u32, f64)> =
            sites.into_iter().zip(shares(&cell, &offsets)?).filter(|w| w.1 > 0.0).collect();
        let heads = self.mesh.heads();
        Some(match slopes {
            None => plain(&weights, heads),
            Some(slopes) => smooth(net, at, &weights, heads, |v| slopes.at(v, Some(well))),
        })
    }
}

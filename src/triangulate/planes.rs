//! The planes that a linear surface is made of.

use geo::Coord;

use super::outline::Side;
use super::types::Mesh;

/// The triangles whose planes a linear surface is made of.
///
/// They are those of the mesh, but for triangles on one line along the outline. Such a triangle has
/// no plane to speak of: the middle one of its wells stands on the side between the two others as
/// far as anyone can tell, and what is on the side there is what that well says. Between the wells'
/// line and the outline the head is therefore that of the line across from it.
#[derive(Debug, Clone)]
pub(crate) struct Planes {
    places: Vec<Coord>,
    wells: Vec<usize>,
    triangles: Vec<[usize; 3]>,
}

impl Planes {
    /// The corners' positions, m: the wells, then the feet on the outline of wells on one line.
    #[must_use]
    pub(crate) fn places(&self) -> &[Coord] {
        &self.places
    }

    /// What each corner has of the values of the wells.
    ///
    /// # Panics
    /// When there is not one value for each well.
    #[must_use]
    pub(crate) fn values(&self, of_wells: &[f64]) -> Vec<f64> {
        self.wells.iter().map(|well| of_wells[*well]).collect()
    }

    /// The triangles by their corners, counter-clockwise; those beyond wells on one line come first.
    #[must_use]
    pub(crate) fn triangles(&self) -> &[[usize; 3]] {
        &self.triangles
    }

    /// Spreads the heads along the wells on a side of the outline as far as the side.
    fn spread(&mut self, side: &Side) {
        let last = side.wells.len() - 1;
        let feet: Vec<usize> = (0..=last)
            .map(|k| {
                if k == 0 || k == last {
                    return side.wells[k];
                }
                self.places.push(side.at(side.shares[k]));
                self.wells.push(side.wells[k]);
                self.places.len() - 1
            })
            .collect();
        for (wells, feet) in side.wells.windows(2).zip(feet.windows(2)) {
            let halves = [[feet[0], feet[1], wells[1]], [feet[0], wells[1], wells[0]]];
            let is_one = |[a, b, c]: &[usize; 3]| a != b && b != c && c != a;
            self.triangles.extend(halves.into_iter().filter(is_one));
        }
    }
}

impl Mesh {
    /// The planes that the linear surface is made of.
    #[must_use]
    pub(crate) fn planes(&self) -> Planes {
        let outline = self.outline();
        let mut planes = Planes {
            places: self.local.clone(),
            wells: (0..self.local.len()).collect(),
            triangles: Vec::with_capacity(self.triangles.len()),
        };
        for side in outline.sides.iter().filter(|side| side.wells.len() > 2) {
            planes.spread(side);
        }
        planes.triangles.extend(self.within(&outline).map(|t| t.corners));
        planes
    }
}

//! What the surfaces of a site are worked out from, whatever the method.

use std::borrow::Cow;

use geo::Coord;

use super::sight::Sight;
use super::unconfined::Saturated;
use crate::check::ControlSet;
use crate::error::Error;
use crate::geom::Frame;
use crate::read::Site;
use crate::triangulate::Mesh;

/// What the surfaces of a site are worked out from: the heads of its control points, or the squares
/// of the saturated thickness.
#[derive(Debug)]
pub(crate) struct Basis<'a> {
    pub(super) site: &'a Site,
    pub(super) control: &'a ControlSet,
    /// The control points with what is interpolated for heads.
    pub(super) mesh: Cow<'a, Mesh>,
    /// Of these values, in their unit.
    pub(super) sds: Cow<'a, [f64]>,
    /// How they come from heads; `None` where they are heads.
    pub(super) saturated: Option<Saturated>,
}

impl<'a> Basis<'a> {
    /// # Units
    /// - `mesh`: m and the elevation unit; `sds`: the standard deviation of each head, elevation unit
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when `unconfined_base` is not below every head.
    pub(crate) fn new(
        site: &'a Site,
        control: &'a ControlSet,
        mesh: &'a Mesh,
        sds: &'a [f64],
    ) -> Result<Self, Error> {
        let unit = control.elevation_unit();
        let saturated = site.settings.surface.unconfined_base.map(|base| Saturated { base, unit });
        let (mesh, sds) = match &saturated {
            None => (Cow::Borrowed(mesh), Cow::Borrowed(sds)),
            Some(saturated) => {
                let (squares, sds) = saturated.squares(control, mesh, sds)?;
                (Cow::Owned(squares), Cow::Owned(sds))
            }
        };
        Ok(Self { site, control, mesh, sds, saturated })
    }

    /// The local frame.
    pub(super) fn frame(&self) -> &Frame {
        self.control.frame()
    }

    /// The control points among what is seen.
    pub(super) fn points<'v>(&self, seen: &'v [usize]) -> &'v [usize] {
        &seen[..seen.partition_point(|i| *i < self.mesh.local().len())]
    }

    /// The control points and after them `more` places, as they are seen past the barriers; `None`
    /// where there are no barriers.
    ///
    /// # Units
    /// - `more`: m
    pub(super) fn sight(&self, more: impl Iterator<Item = Coord>) -> Option<Sight> {
        let barriers = self.control.beside().barriers();
        (!barriers.is_empty()).then(|| {
            let points: Vec<Coord> = self.mesh.local().iter().copied().chain(more).collect();
            Sight::new(points, barriers)
        })
    }
}

//! The surface of a site by one method, for the map and for leaving wells out.

use super::basis::Basis;
use super::grid::GridSpec;
use super::methods;
use super::past_barriers::{InTurn, PastBarriers, leave_one_out};
use super::predictor::{Drawn, Predictor, Value};
use super::ready::{Ready, Sample};
use super::relief::Sloping;
use super::rim::Rim;
use super::types::{Fields, KrigingReport};
use crate::error::Error;
use crate::read::{Fact, SurfaceSettings};

/// The surface of a site by one method.
pub(crate) struct SiteSurface<'a> {
    basis: &'a Basis<'a>,
    settings: &'a SurfaceSettings,
    by: By<'a>,
}

enum By<'a> {
    /// One surface through all control points.
    Whole(Box<dyn Predictor + 'a>),
    /// One through those of each view.
    PastBarriers(Box<PastBarriers<'a>>),
}

/// A well's head as the others have it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct WithoutIt {
    /// The head, elevation unit.
    pub(crate) head: f64,
    /// Observed less predicted over the standard deviation of that, where the method has one.
    pub(crate) standardised: Option<f64>,
}

impl<'a> SiteSurface<'a> {
    /// By the method that the settings ask for.
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when it cannot be used with these wells and settings.
    pub(crate) fn new(basis: &'a Basis<'a>, settings: &'a SurfaceSettings) -> Result<Self, Error> {
        Self::of(basis, settings, methods::ready(basis, settings)?)
    }

    /// By a method that is ready.
    pub(super) fn of(
        basis: &'a Basis<'a>,
        settings: &'a SurfaceSettings,
        ready: Ready<'a>,
    ) -> Result<Self, Error> {
        let Ready { sight, more_than, make } = ready;
        let by = match sight {
            None => By::Whole(make(Sample::whole(basis))?),
            Some(sight) => {
                By::PastBarriers(Box::new(PastBarriers { basis, sight, more_than, make }))
            }
        };
        Ok(Self { basis, settings, by })
    }

    /// The surface at the nodes of a grid and along the outline of the wells, in the unit of what is
    /// interpolated.
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when past barriers the method cannot be used, or the views are too
    /// many.
    pub(super) fn draw(&self, spec: GridSpec) -> Result<Fields, Error> {
        let method = self.settings.method;
        let planes = method.has(Fact::Planes);
        let whole = match &self.by {
            By::Whole(whole) => whole,
            By::PastBarriers(past) => return past.draw(spec, planes, method.has(Fact::OwnSd)),
        };
        let (frame, mesh) = (self.basis.frame(), &*self.basis.mesh);
        let base = self.settings.unconfined_base;
        let sloping = planes.then(|| Sloping::new(mesh, base, *frame));
        let mut rim = if planes { Rim::default() } else { Rim::new(mesh, frame, &spec) };
        let Drawn { heads, sd, along } = whole.draw(frame, spec, rim.places());
        rim.take(along);
        Ok(Fields { heads, sd, planes: sloping, rim, kriging: whole.kriging() })
    }

    /// Each well's head from all other control points, for each control point; `None` where they say
    /// nothing, and of points of streams. And what kriging rests on.
    ///
    /// # Errors
    /// As [`Self::draw`].
    pub(crate) fn leave_one_out(
        &self,
        in_turn: &InTurn,
    ) -> Result<(Vec<Option<WithoutIt>>, Option<KrigingReport>), Error> {
        let (values, kriging) = match &self.by {
            By::Whole(whole) => (leave_one_out(&**whole), whole.kriging()),
            By::PastBarriers(past) => past.leave_one_out(in_turn)?,
        };
        let mut heads = vec![None; values.len()];
        for &i in &in_turn.wells {
            heads[i] = values[i].and_then(|value| self.head(i, value));
        }
        Ok((heads, kriging))
    }

    /// Back to the elevation unit; `None` below the base.
    fn head(&self, point: usize, Value { head, variance }: Value) -> Option<WithoutIt> {
        let observed = self.basis.mesh.heads()[point];
        let standardised = (variance > 0.0).then(|| (observed - head) / variance.sqrt());
        let head = self.basis.saturated.as_ref().map_or(head, |s| s.base + head.sqrt());
        head.is_finite().then_some(WithoutIt { head, standardised })
    }
}

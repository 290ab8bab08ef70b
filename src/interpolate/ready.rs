//! A method made ready for a site.

use std::borrow::Cow;

use super::basis::Basis;
use super::predictor::Predictor;
use super::sight::Sight;
use crate::error::Error;
use crate::read::SurfaceSettings;
use crate::triangulate::Mesh;

/// Control points that are seen together: a surface goes through them.
#[derive(Debug)]
pub(super) struct Sample<'a> {
    pub(super) mesh: Cow<'a, Mesh>,
    /// The numbers of the control points and then of what else is seen, ascending.
    pub(super) seen: Vec<usize>,
}

impl<'a> Sample<'a> {
    /// All control points.
    pub(super) fn whole(basis: &'a Basis<'a>) -> Self {
        Self { mesh: Cow::Borrowed(&*basis.mesh), seen: (0..basis.mesh.local().len()).collect() }
    }

    /// The numbers of the control points.
    pub(super) fn points(&self) -> &[usize] {
        &self.seen[..self.mesh.local().len()]
    }
}

/// The surface through some control points.
pub(super) type Made<'a> = Result<Box<dyn Predictor + 'a>, Error>;

/// Makes surfaces by a method that knows no more of a site than its settings and a sample.
pub(super) type Through = for<'a> fn(&'a Basis<'a>, &'a SurfaceSettings, Sample<'a>) -> Made<'a>;

/// A method made ready for a site.
pub(super) struct Ready<'a> {
    /// What is seen past the barriers; `None` where there are none.
    pub(super) sight: Option<Sight>,
    /// A view carries a surface by more control points than so many.
    pub(super) more_than: usize,
    /// Makes the surface through some control points.
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when the method cannot be used with them.
    pub(super) make: Box<dyn Fn(Sample<'a>) -> Made<'a> + Sync + 'a>,
}

impl<'a> Ready<'a> {
    /// A method whose surfaces share nothing.
    pub(super) fn each_alone(
        basis: &'a Basis<'a>,
        settings: &'a SurfaceSettings,
        through: Through,
    ) -> Self {
        Self {
            sight: basis.sight(std::iter::empty()),
            more_than: 0,
            make: Box::new(move |sample| through(basis, settings, sample)),
        }
    }
}

//! The way from one CRS to another.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use geo::Coord;
use proj::Proj;
use rayon::prelude::*;

use super::types::{CrsError, Path, Way};
use crate::sealed::{Grids, seal, seeing};

/// Below this many points one thread is quicker than starting PROJ a second time.
const PARALLEL_FROM: usize = 20_000;

thread_local! {
    /// Starting a transformation takes PROJ milliseconds, which is done once. They belong to the thread
    /// that made them. They are never dropped: the crate lets go of PROJ's open database, for all
    /// others too, whenever it drops one.
    static STARTED: RefCell<BTreeMap<Between, Started>> = const { RefCell::new(BTreeMap::new()) };
}

/// Two definitions, and the number of the datum grids that may be used between them.
type Between = (String, String, Option<usize>);

/// A transformation, and the datum grids that PROJ has opened for it.
#[derive(Clone)]
struct Started {
    proj: &'static Proj,
    opened: BTreeSet<String>,
}

/// Takes points along a path, or back, in place, on as many threads as pay. Few points stay on the
/// calling thread, which has very likely started PROJ before.
pub(super) fn go(path: Path<'_>, way: Way, points: &mut [Coord]) -> Result<(), CrsError> {
    if points.is_empty() {
        return Ok(());
    }
    if points.len() < PARALLEL_FROM {
        return path.go_here(way, points);
    }
    let share = points.len().div_ceil(rayon::current_num_threads());
    points.par_chunks_mut(share).try_for_each(|chunk| path.go_here(way, chunk))
}

impl Path<'_> {
    /// Takes points along, or back, on this thread.
    fn go_here(self, way: Way, points: &mut [Coord]) -> Result<(), CrsError> {
        let key = (self.from.to_owned(), self.to.to_owned(), self.grids.map(Grids::number));
        let known = STARTED.with_borrow(|started| started.get(&key).cloned());
        let (done, opened) = seeing(self.grids, || {
            let started = known.map_or_else(|| self.start(), Ok)?;
            let gone = points.iter_mut().try_for_each(|p| {
                let q = match way {
                    Way::Forth => started.proj.convert(*p),
                    Way::Back => started.proj.project(*p, true),
                };
                let q = q.ok().filter(|q| q.x.is_finite() && q.y.is_finite());
                *p = q.ok_or(CrsError::Untransformable { x: p.x, y: p.y })?;
                Ok(())
            });
            Ok((started, gone))
        });
        let (mut started, gone) = done?;
        started.opened.extend(opened);
        if let Some(grids) = self.grids {
            grids.note(&started.opened);
        }
        STARTED.with_borrow_mut(|all| all.insert(key, started));
        gone
    }

    fn start(self) -> Result<Started, CrsError> {
        let proj = kept(|| Proj::new_known_crs(self.from, self.to, None));
        let proj = proj.map_err(|e| CrsError::Unknown {
            definition: format!("{} to {}", self.from, self.to),
            cause: e.to_string(),
        })?;
        Ok(Started { proj, opened: BTreeSet::new() })
    }
}

/// What PROJ makes behind its seal, kept for as long as the program runs. There is one for each
/// definition, and one for each transformation and thread.
pub(super) fn kept<E>(make: impl FnOnce() -> Result<Proj, E>) -> Result<&'static Proj, E> {
    seal();
    make().map(|proj| &*Box::leak(Box::new(proj)))
}

//! Wells as plain slices: what every surface through scattered heads asks of them.

use geo::Coord;

use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::geom::fit_plane;
use crate::read::Method;
use crate::triangulate;
use crate::triangulate::Mesh;
use crate::units::as_given;

/// A point this near to a well, in m, stands at it and has its head.
///
/// Five times what sixteen roundings make of a CRS coordinate of 5 000 km, and far below the
/// last digit of any survey.
pub(crate) const AT_WELL_M: f64 = 1e-7;

/// Why no surface goes through these wells. Indices count from 0 in the order given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScatteredError {
    /// There is not one head for each position.
    #[error("{positions} positions and {heads} heads; give one head for each position")]
    Unequal {
        /// Count of positions.
        positions: usize,
        /// Count of heads.
        heads: usize,
    },
    /// Fewer wells than a plane needs.
    #[error("{found} wells; a surface needs at least {needed}")]
    Few {
        /// Count of wells.
        found: usize,
        /// Fewest wells that do.
        needed: usize,
    },
    /// Positions or heads that are no numbers.
    #[error("the position or head of wells {wells:?} is not a finite number")]
    NotFinite {
        /// All of them.
        wells: Vec<usize>,
    },
    /// Wells at one position.
    #[error("wells {pairs:?} are at one position; keep one of each pair")]
    SamePosition {
        /// All pairs, each in ascending order.
        pairs: Vec<(usize, usize)>,
    },
    /// All wells stand on one line.
    #[error("the wells are on one line, which does not define a surface; add a well off the line")]
    OneLine,
    /// An option outside its bounds.
    #[error("{option} is {}; it must be {bound}", as_given(*.value))]
    Option {
        /// Which.
        option: &'static str,
        /// As given.
        value: f64,
        /// What it may be, with its unit.
        bound: &'static str,
    },
    /// The memory that may be used does not hold the equations.
    #[error(
        "the equations of {wells} wells need {megabytes} MB, more than is available; allow more \
         memory, or map parts of the site separately"
    )]
    NoMemory {
        /// Count of wells.
        wells: usize,
        /// What is needed at once, MB.
        megabytes: usize,
    },
    /// The equations have no solution that a double can hold.
    #[error(
        "the equations of these wells cannot be solved in double precision; look for wells \
             that nearly coincide, or smooth"
    )]
    Singular,
}

impl ScatteredError {
    /// The refusal of a site's surface by a method.
    pub(super) fn refused(&self, method: Method) -> Error {
        let told = Diagnostic::new(Code::SurfaceRefused, format!("{}: {self}", method.name()));
        Error::Map(vec![
            told.advice("correct the setting in site.toml, or use another method with --surface"),
        ])
    }
}

/// Refuses wells without one finite head each, or two at one position.
///
/// # Units
/// - `positions`: m; `heads`: elevation unit
pub(crate) fn distinct(
    positions: &[Coord],
    heads: &[f64],
    needed: usize,
) -> Result<(), ScatteredError> {
    if positions.len() != heads.len() {
        return Err(ScatteredError::Unequal { positions: positions.len(), heads: heads.len() });
    }
    if positions.len() < needed {
        return Err(ScatteredError::Few { found: positions.len(), needed });
    }
    let sound = |i: &usize| {
        positions[*i].x.is_finite() && positions[*i].y.is_finite() && heads[*i].is_finite()
    };
    let wells: Vec<usize> = (0..heads.len()).filter(|i| !sound(i)).collect();
    if !wells.is_empty() {
        return Err(ScatteredError::NotFinite { wells });
    }
    let pairs = coincident(positions);
    if !pairs.is_empty() {
        return Err(ScatteredError::SamePosition { pairs });
    }
    Ok(())
}

/// As [`distinct`], and refuses wells on one line too.
pub(crate) fn spread(positions: &[Coord], heads: &[f64]) -> Result<(), ScatteredError> {
    distinct(positions, heads, 3)?;
    fit_plane(positions, heads).map(drop).ok_or(ScatteredError::OneLine)
}

/// All pairs nearer to each other than `AT_WELL_M`.
fn coincident(positions: &[Coord]) -> Vec<(usize, usize)> {
    let mut by_x: Vec<usize> = (0..positions.len()).collect();
    by_x.sort_unstable_by(|a, b| positions[*a].x.total_cmp(&positions[*b].x).then(a.cmp(b)));
    let mut pairs = Vec::new();
    for (k, &i) in by_x.iter().enumerate() {
        let p = positions[i];
        let near = |j: &&usize| positions[**j].x - p.x <= AT_WELL_M;
        for &j in by_x[k + 1..].iter().take_while(near) {
            if libm::hypot(positions[j].x - p.x, positions[j].y - p.y) <= AT_WELL_M {
                pairs.push((i.min(j), i.max(j)));
            }
        }
    }
    pairs.sort_unstable();
    pairs
}

/// The Delaunay triangulation of wells given as slices, for the surfaces that need one.
///
/// Where four or more wells lie on one circle the diagonal taken follows their order; sort the
/// wells where that may matter.
///
/// # Units
/// - `positions`: m; `heads`: elevation unit
///
/// # Errors
/// [`ScatteredError`] when there are fewer than three wells, when they stand on one line, at one
/// position, or are not finite.
pub fn mesh(positions: &[Coord], heads: &[f64]) -> Result<Mesh, ScatteredError> {
    spread(positions, heads)?;
    Ok(triangulate::mesh_of(positions.to_vec(), heads.to_vec()))
}

//! What is said in PROJ's place where it is not built in.

use geo::Coord;

use super::types::{CrsError, Known, Path, Way};

/// No CRS is known.
pub(super) fn asked(definition: &str) -> Result<Known, CrsError> {
    Err(CrsError::NotBuiltIn { definition: definition.to_owned() })
}

/// No point can be taken anywhere.
pub(super) fn go(path: Path<'_>, _way: Way, _points: &mut [Coord]) -> Result<(), CrsError> {
    asked(path.to).map(|_| ())
}

//! The methods of interpolation, one file for each. What each may do is in the table of
//! [`Method`].

mod cones;
mod given;
mod inverse_distance;
mod kriging;
mod linear;
mod natural_neighbour;
#[cfg(test)]
mod nearest_well;
#[cfg(test)]
mod tests;
mod thin_plate;

pub(crate) use given::has_plane;

use super::basis::Basis;
use super::natural::Variant;
use super::ready::{Ready, Through};
use crate::error::Error;
use crate::read::{Method, SurfaceSettings};

/// Makes the method that settings ask for ready for a site.
///
/// # Errors
/// [`Error::Map`] with M407 when kriging cannot be used with these wells.
pub(super) fn ready<'a>(
    basis: &'a Basis<'a>,
    settings: &'a SurfaceSettings,
) -> Result<Ready<'a>, Error> {
    let through: Through = match settings.method {
        Method::Linear => |_, _, sample| Ok(linear::through(sample)),
        Method::NaturalNeighbour => {
            |_, _, sample| Ok(natural_neighbour::through(sample, Variant::Plain))
        }
        Method::SmoothNaturalNeighbour => {
            |_, _, sample| Ok(natural_neighbour::through(sample, Variant::Smooth))
        }
        Method::Kriging => return kriging::ready(basis, settings),
        Method::ThinPlate => thin_plate::through,
        Method::InverseDistance => inverse_distance::through,
    };
    Ok(Ready::each_alone(basis, settings, through))
}

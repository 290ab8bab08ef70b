//! Positions that the register gives twice: as easting and northing, and as longitude and latitude.

use geo::Coord;

use crate::diag::{Code, Diagnostic, listed};
use crate::geom::tolerance::{POSITION_TWICE_M, POSITION_TWICE_OTHER_DATUM_M};
use crate::geom::{Crs, CrsKind};
use crate::read::wells::order::by_name;
use crate::units::{GroundUnit, LengthUnit};

use super::coordinates::Systems;
use super::wells::Register;

/// Metres in a degree of a meridian, on a sphere of the earth's size.
const METRES_A_DEGREE: f64 = 111_195.0;

/// Degrees with fewer decimals than this are compared as if they had so many: half of the third is
/// up to 56 m along a meridian, and coarser ones say no position.
const FEWEST_DECIMALS: usize = 3;

/// Warns of wells whose two positions contradict each other (R123).
///
/// `to_project` turns eastings beside longitudes into units of the project CRS.
pub(in crate::read) fn tell(
    register: &Register,
    systems: &Systems,
    to_project: f64,
    unit: LengthUnit,
    said: &mut Vec<Diagnostic>,
) {
    let Some(own) = systems.register_crs().filter(|_| !register.twice.is_empty()) else { return };
    let on_globe = own.kind() == CrsKind::Geographic;
    let Some(plane) = (if on_globe { systems.projected() } else { Some(own) }) else { return };
    let wells = register.twice.iter().map(|(well, other)| {
        let well = &register.wells[*well];
        let used = Coord { x: well.easting, y: well.northing };
        let other_way = Coord { x: other.x * to_project, y: other.y * to_project };
        let (on_plane, globe) = if on_globe { (other_way, used) } else { (used, *other) };
        (well, on_plane, globe)
    });
    let wells: Vec<_> = wells.collect();
    let mut from_plane: Vec<Coord> = wells.iter().map(|(_, on_plane, _)| *on_plane).collect();
    // Coordinates that do not fit the CRS at all are told with better words by the checks.
    if plane.to_lon_lat(&mut from_plane).is_err() {
        return;
    }
    let bound = bound(plane);
    let mut far: Vec<_> = wells
        .iter()
        .zip(from_plane)
        .map(|((well, _, globe), there)| {
            // Where the degrees are mapped, their rounding moves the well and is told too.
            let rounding = if on_globe { 0.0 } else { rounding(*globe) };
            (*well, metres(there, *globe), bound + rounding)
        })
        .filter(|(_, metres, bound)| metres > bound)
        .collect();
    if far.is_empty() {
        return;
    }
    far.sort_by(|(a, ..), (b, ..)| by_name(&a.id, &b.id));
    let list: Vec<String> = far
        .iter()
        .map(|(w, m, _)| format!("{} ({})", w.id, GroundUnit::of(unit).away(*m)))
        .collect();
    let (used, other, rounded) = if on_globe {
        ("longitude and latitude", "easting and northing", "")
    } else {
        let rounded = " plus the rounding of the degrees";
        ("easting and northing", "longitude and latitude", rounded)
    };
    let mut finding = Diagnostic::new(
        Code::PositionTwice,
        format!(
            "{used} are used, and lie more than {}{rounded} from {other}: {}",
            GroundUnit::of(unit).away(bound),
            listed(list)
        ),
    )
    .advice(
        "one of the two positions is wrong, belongs to another well or is in another CRS: correct \
         it, or remove the wrong columns",
    );
    for (well, ..) in far {
        finding = finding.well(&well.id).at(&well.origin);
    }
    said.push(finding);
}

/// How far apart the two may be, m.
fn bound(plane: &Crs) -> f64 {
    if plane.lon_lat_is_approximate() { POSITION_TWICE_OTHER_DATUM_M } else { POSITION_TWICE_M }
}

/// How far rounding to the decimals written may have moved a position, m, from degrees.
fn rounding(at: Coord) -> f64 {
    // A final 0 is not in the number: a coordinate may be finer than it looks, but not both of most
    // wells.
    let decimals = |v: f64| v.to_string().split_once('.').map_or(0, |(_, written)| written.len());
    let decimals = decimals(at.x).max(decimals(at.y)).max(FEWEST_DECIMALS);
    let half = 0.5 * libm::pow(10.0, -(decimals as f64));
    libm::hypot(half * libm::cos(at.y.to_radians()), half) * METRES_A_DEGREE
}

/// The distance of two positions near each other, m, from degrees; to within a hundredth, which is
/// enough for a bound. Far ones are only known to be far.
fn metres(a: Coord, b: Coord) -> f64 {
    let across = (a.x - b.x + 180.0).rem_euclid(360.0) - 180.0;
    let narrowing = libm::cos(a.y.to_radians());
    libm::hypot(across * narrowing, a.y - b.y) * METRES_A_DEGREE
}

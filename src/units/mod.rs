//! Quantities at the border of the program: lengths, directions, printed decimals.
//!
//! Inside the kernels everything is `f64`: metres in the site's local frame, heads in the
//! site's elevation unit. The unit is part of every name that leaves the program.

mod angle;
mod apart;
mod decimal;
mod ground;
mod length;
mod median;
mod number;
mod printed;
mod span;

pub use angle::Azimuth;
pub use apart::duration;
pub(crate) use apart::told_apart;
pub(crate) use decimal::{Decimal, needed};
pub use ground::GroundUnit;
pub use length::{HeightUnits, LengthUnit};
pub(crate) use median::MAD_TO_SD;
pub use median::median;
#[cfg(feature = "sheet")]
pub(crate) use number::grouped;
pub(crate) use number::{
    HEIGHT_DECIMALS, as_given, power_of_ten, round_half, round_to, round_to_significant, with_power,
};
pub use number::{brief, brief_to, clean, finite, fixed, place, signed, significant};
pub use printed::{percent, time_words, two_digits};
pub use span::Span;

//! Quantities at the border of the program: lengths, directions, printed decimals.
//!
//! Inside the kernels everything is `f64`: metres in the site's local frame, heads in the
//! site's elevation unit. The unit is part of every name that leaves the program.

mod angle;
mod apart;
mod length;
mod median;
mod number;
mod span;

pub use angle::Azimuth;
pub use apart::{away, away_to, duration, told_apart};
pub use length::{HeightUnits, LengthUnit};
pub use median::{MAD_TO_SD, median};
pub use number::{
    as_given, brief, brief_to, clean, finite, fixed, place, power_of_ten, round_to,
    round_to_significant, signed, significant, with_power,
};
pub use span::Span;

//! Heads of steady flow in closed form, m over m, and what follows from them.

use std::f64::consts::{PI, TAU};

use geo::Coord;

/// Uniform flow to the east: Darcy's law.
pub(crate) fn uniform(p: Coord) -> f64 {
    50.0 - 0.005 * p.x
}

/// The well of [`pumped`]: a rate in m³/d, a transmissivity in m²/d, and the gradient without it.
pub(crate) const RATE: f64 = 500.0;
pub(crate) const TRANSMISSIVITY: f64 = 200.0;
pub(crate) const GRADIENT: f64 = 0.002;

/// The place of that well.
pub(crate) const PUMP: Coord = Coord { x: 900.0, y: 800.0 };

/// A well in uniform flow to the east, `Q / (4 pi T) ln r²` added to a plane (Strack 1989, Groundwater Mechanics, from
/// memory; stagnation point and widths as in US EPA (2008), EPA 600/R-08/003).
pub(crate) fn pumped(p: Coord) -> f64 {
    let (x, y) = (p.x - PUMP.x, p.y - PUMP.y);
    100.0 - GRADIENT * x + RATE / (4.0 * PI * TRANSMISSIVITY) * ((x * x + y * y) / 1e6).ln()
}

/// From the well to the stagnation point, m: `Q / (2 pi T i)`.
pub(crate) fn stagnation() -> f64 {
    RATE / (TAU * TRANSMISSIVITY * GRADIENT)
}

/// The full width far upgradient, m: `Q / (T i)`.
pub(crate) fn width() -> f64 {
    RATE / (TRANSMISSIVITY * GRADIENT)
}

/// In feet: 50 gpm (9625 ft³/d) from 80 ft of 133.7 ft/d in a gradient of 0.015, the well in the origin.
pub(crate) fn pumped_in_feet(p: Coord) -> f64 {
    let (rate, transmissivity) = (50.0 * GPM_FT3_PER_DAY, 133.7 * 80.0);
    let r2 = p.x * p.x + p.y * p.y;
    50.0 - 0.015 * p.x + rate / (4.0 * PI * transmissivity) * (r2 / 1e4).ln()
}

/// A US gallon is 231 cubic inches: ft³/d in a gallon a minute.
const GPM_FT3_PER_DAY: f64 = 231.0 / 1728.0 * 1440.0;

/// A stream along y = 200, its stage falling by 0.001 to the east, the heads rising by 0.005 away from it on both
/// banks: a plane on each, so no water is lost.
pub(crate) fn gaining(p: Coord) -> f64 {
    100.0 - 0.001 * p.x + 0.005 * (p.y - 200.0).abs()
}

/// The same stream, with heads that rise away from it up to x = 500 and fall beyond: `x |y|` is harmonic on each bank.
pub(crate) fn gaining_then_losing(p: Coord) -> f64 {
    100.0 - 0.001 * p.x + (0.005 - 1e-5 * p.x) * (p.y - 200.0).abs()
}

/// Two planes, and a jump of 1.5 m between them at x = 250.
pub(crate) fn jump(p: Coord) -> f64 {
    100.0 - 0.004 * p.x - if p.x > 250.0 { 1.5 } else { 0.0 }
}

/// The plate of [`plate`]: from its middle to each end, m.
pub(crate) const HALF_PLATE_M: f64 = 80.0;

/// Flow to the east at 0.005 far away, round a plate across it at x = 0: the real part of `i sqrt(z² + a²)` (potential
/// flow past a flat plate, Milne-Thomson, Theoretical Hydrodynamics, from memory). Through the plate nothing flows.
pub(crate) fn plate(p: Coord) -> f64 {
    // The square root whose real part has the sign of x.
    let (re, im) = (p.x * p.x - p.y * p.y + HALF_PLATE_M * HALF_PLATE_M, 2.0 * p.x * p.y);
    let real = (0.5 * (libm::hypot(re, im) + re)).max(0.0).sqrt();
    50.0 - 0.005 * real.copysign(p.x)
}

/// Recharge between two ditches: K 5 m/d, levels 20 and 18 m a kilometre apart, 5e-4 m/d of recharge
/// (Dupuit's parabola; any textbook). The divide is at 120 m.
pub(crate) fn between_ditches(p: Coord) -> f64 {
    let (k, west, east, length, recharge): (f64, f64, f64, f64, f64) =
        (5.0, 20.0, 18.0, 1000.0, 5e-4);
    let x = p.x;
    let falls = (west * west - east * east) * x / length;
    (west * west - falls + recharge / k * (length - x) * x).sqrt()
}

/// Flow to a drain in the origin, 400 m³/d at 200 m²/d: Thiem's equation.
pub(crate) fn to_a_drain(p: Coord) -> f64 {
    50.0 + 400.0 / (TAU * 200.0) * libm::hypot(p.x, p.y).ln()
}

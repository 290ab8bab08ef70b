//! The directions of the rounds, summed up on the circle.

use serde::Serialize;

use crate::geom::Slope;
use crate::uncertainty::direction_spread;
use crate::units::Azimuth;

/// A mean resultant length below this is rounding: directions that cancel have no mean.
const ROUNDING: f64 = 1e-12;

/// Mean and spread of some directions.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Circular {
    /// Count of directions.
    pub directions: usize,
    /// The mean direction; `None` where directions cancel.
    pub mean: Option<Azimuth>,
    /// Mean resultant length: 1 all one way, 0 none.
    pub resultant_length: f64,
    /// Circular variance: 1 less that.
    pub variance: f64,
    /// Circular standard deviation, degrees; `None` where directions cancel.
    pub sd_deg: Option<f64>,
}

/// Mean and spread of some directions, each as good as another. `None` of none.
///
/// # Example
/// North-west and north-east by 10 degrees about north:
///
/// ```
/// use headfall::Azimuth;
/// use headfall::record::circular;
///
/// let about_north = [350.0, 10.0].map(Azimuth::from_degrees);
/// let found = circular(&about_north).expect("two");
/// assert!(found.mean.expect("north").between(Azimuth::from_degrees(0.0)) < 1e-9);
/// // The cosine of 10 degrees.
/// assert!((found.resultant_length - 0.984_807_753).abs() < 1e-9);
/// ```
///
/// # References
/// Mardia (1972), Statistics of Directional Data, as the manual of the R package circular 0.5 writes the variance and
/// the standard deviation; `scipy.stats.circmean`, `circvar`, `circstd` and `directional_stats` give the same.
#[must_use]
pub fn circular(directions: &[Azimuth]) -> Option<Circular> {
    if directions.is_empty() {
        return None;
    }
    let downhill = |a: &Azimuth| {
        let (sin, cos) = libm::sincos(a.degrees().to_radians());
        Slope { east: -sin, north: -cos }
    };
    let spread = direction_spread(directions.iter().map(downhill));
    let has_mean = spread.agreement > ROUNDING;
    Some(Circular {
        directions: directions.len(),
        mean: spread.mean.filter(|_| has_mean),
        resultant_length: spread.agreement,
        variance: 1.0 - spread.agreement,
        sd_deg: has_mean.then_some(spread.sd_deg),
    })
}

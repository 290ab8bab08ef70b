//! What a substance does on its way: longitudinal dispersion, by which some of it arrives earlier, and decay.

use serde::Serialize;

use super::answer::Verdict;
use super::place::SitePlace;
use crate::diag::{Code, Diagnostic};
use crate::map::Map;
use crate::read::{AquiferSettings, Dispersivity};
use crate::units::{GroundUnit, Span, brief, round_to_significant};

/// First arrival is when this share of the concentration at a steady source has come. Common practice, no source.
pub const FIRST_ARRIVAL_SHARE: f64 = 0.01;

/// At one scale published dispersivities differ by two to three powers of ten: one to each side of the formula.
/// Gelhar, Welty and Rehfeldt (1992), Water Resources Research 28(7), 1955-1974, abstract.
const AROUND_FORMULA: f64 = 10.0;

/// No published dispersivity of high reliability is from a longer path, m: the same.
pub const LONGEST_RELIABLE_M: f64 = 250.0;

/// What is declared of a substance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spreading {
    /// Longitudinal dispersivity.
    pub dispersivity_m: Option<Dispersivity>,
    /// The time in which half of it decays, days.
    pub half_life_days: Option<Span>,
}

impl Spreading {
    /// What the settings say; `None` where they say neither.
    #[must_use]
    pub fn new(settings: &AquiferSettings) -> Option<Self> {
        let AquiferSettings { dispersivity_m, half_life_days, .. } = *settings;
        (dispersivity_m.is_some() || half_life_days.is_some())
            .then_some(Self { dispersivity_m, half_life_days })
    }

    /// When the first of the substance arrives, days; `None` without a dispersivity.
    ///
    /// # Units
    /// - `days`: time of travel of its mean; `length_m`: m
    #[must_use]
    pub fn first_arrival(&self, days: Span, length_m: f64) -> Option<Span> {
        let dispersivity = of_path(self.dispersivity_m?, length_m)?;
        let early = |dispersivity_m: f64| first_arrival_part(length_m / dispersivity_m);
        Some(Span {
            low: days.low * early(dispersivity.high),
            high: days.high * early(dispersivity.low),
        })
    }

    /// The share of a steady source's concentration that is left where the substance arrives, dissolved and sorbed
    /// substance decaying alike; `None` without a half-life.
    ///
    /// # Units
    /// As for [`Self::first_arrival`].
    #[must_use]
    pub fn left(&self, days: Span, length_m: f64) -> Option<Span> {
        let half_life = self.half_life_days?;
        let dispersivity = self.dispersivity_m.and_then(|d| of_path(d, length_m));
        let lives = |days: f64, half_life: f64| days / half_life;
        let [low, high] = [
            (lives(days.high, half_life.low), dispersivity.map(|d| length_m / d.low)),
            (lives(days.low, half_life.high), dispersivity.map(|d| length_m / d.high)),
        ]
        .map(|(lives, peclet)| left(lives, peclet));
        Some(Span { low, high })
    }
}

/// T527 where a dispersivity is taken from the lengths of paths.
pub(super) fn told(map: &Map, places: &[SitePlace], verdicts: &[Verdict]) -> Option<Diagnostic> {
    let declared = map.site.settings.receptors.aquifer.dispersivity_m?;
    if declared != Dispersivity::FromPathLength {
        return None;
    }
    let with = verdicts.iter().filter(|v| v.first_arrival_days.is_some());
    let longest = with.max_by(|a, b| a.length_m.total_cmp(&b.length_m))?;
    let range = of_path(declared, longest.length_m)?;
    let unit = GroundUnit::of(map.control.elevation_unit());
    let own = |m: f64| brief(round_to_significant(unit.length(m), 2));
    let beyond = if longest.length_m > LONGEST_RELIABLE_M {
        format!(
            "; no published value of high reliability is from a path longer than {}",
            unit.away(LONGEST_RELIABLE_M)
        )
    } else {
        String::new()
    };
    let message = format!(
        "the dispersivity is taken from the length of the path: {} to {} {} for the {} from source {} to receptor {}; \
         published values for one length differ by two to three powers of ten{beyond}",
        own(range.low),
        own(range.high),
        unit.name(),
        unit.away(longest.length_m),
        places[longest.source].name,
        places[longest.receptor].name,
    );
    let advice = "give dispersivity as a range under [aquifer] where a tracer test or a calibrated plume shows it";
    Some(Diagnostic::new(Code::DispersivityFromLength, message).advice(advice))
}

/// The longitudinal dispersivity of a path, m; `None` of one too short for the formula.
fn of_path(dispersivity: Dispersivity, length_m: f64) -> Option<Span> {
    match dispersivity {
        Dispersivity::Given(range) => Some(range),
        Dispersivity::FromPathLength => {
            let middle = by_length(length_m)?;
            Some(Span {
                low: middle / AROUND_FORMULA,
                high: (middle * AROUND_FORMULA).min(length_m),
            })
        }
    }
}

/// Longitudinal dispersivity by the length of a path, m: `0.83 (log10 L)^2.414`; `None` up to 1 m, where it is none.
///
/// # References
/// Xu and Eckstein (1995), Ground Water 33(6), 905-908, as public documentation repeats the formula.
#[must_use]
pub fn by_length(length_m: f64) -> Option<f64> {
    let log = libm::log10(length_m);
    (log > 0.0).then(|| 0.83 * libm::pow(log, 2.414))
}

/// After which part of the mean time [`FIRST_ARRIVAL_SHARE`] has arrived, by the length of the path over the
/// dispersivity.
fn first_arrival_part(peclet: f64) -> f64 {
    const HALVINGS: usize = 60;
    let (mut low, mut high) = (-30.0_f64, 5.0_f64);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if arrived(libm::exp(middle), peclet) < FIRST_ARRIVAL_SHARE {
            low = middle;
        } else {
            high = middle;
        }
    }
    libm::exp(high).min(1.0)
}

/// The share of a steady source's concentration at the end of a path after a part of the mean time.
///
/// # References
/// Ogata and Banks (1961), USGS Professional Paper 411-A, as public course material repeats the formula.
fn arrived(part: f64, peclet: f64) -> f64 {
    /// From here on `exp(z^2) erfc(z)` is its asymptotic series to nine digits: exact mathematics.
    const LARGE: f64 = 20.0;
    let across = (4.0 * part / peclet).sqrt();
    let (near, far) = ((1.0 - part) / across, (1.0 + part) / across);
    let mirrored = if far < LARGE {
        libm::exp(peclet) * libm::erfc(far)
    } else {
        let square = far * far;
        let series = 1.0 - 1.0 / (2.0 * square) + 3.0 / (4.0 * square * square);
        libm::exp(peclet - square) * series / (far * std::f64::consts::PI.sqrt())
    };
    0.5 * (libm::erfc(near) + mirrored)
}

/// The share left after some half-lives, with dispersion where a Peclet number is given: some of the substance is
/// then younger than the mean.
///
/// # References
/// The steady state of advection, dispersion and decay: `exp(P/2 (1 - sqrt(1 + 4 k t / P)))`; van Genuchten and Alves
/// (1982), USDA Technical Bulletin 1661 (from memory).
fn left(half_lives: f64, peclet: Option<f64>) -> f64 {
    let decayed = std::f64::consts::LN_2 * half_lives;
    match peclet {
        None => libm::exp(-decayed),
        // P/2 (1 - sqrt(1 + 4x/P)) without the difference of two near numbers.
        Some(peclet) => libm::exp(-2.0 * decayed / (1.0 + (1.0 + 4.0 * decayed / peclet).sqrt())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 880 ft are 268.224 m; 0.83 of the power 2.414 of their logarithm is 7.0678 m, 23.188 ft, as public
    /// documentation of the formula gives it.
    #[test]
    fn dispersivity_by_length_is_the_published_one() {
        let found = by_length(880.0 * 0.3048).expect("long enough") / 0.3048;
        assert!((found - 23.188_27).abs() < 1e-5, "{found}");
        assert_eq!(by_length(1.0), None);
        assert_eq!(by_length(0.5), None);
    }

    /// Shares by SciPy 1.17 (`scipy.special.erfc`, `erfcx`): `0.5 * (erfc(a) + exp(P - b*b) * erfcx(b))`.
    #[test]
    fn breakthrough_is_that_of_scipy() {
        for (part, peclet, share) in BREAKTHROUGH {
            let found = arrived(part, peclet);
            assert!((found - share).abs() < 1e-9 * share.max(1e-3), "{part} {peclet}: {found}");
        }
    }

    /// By SciPy's `brentq` on the same.
    #[test]
    fn first_arrival_is_that_of_scipy() {
        for (peclet, part) in FIRST {
            let found = first_arrival_part(peclet);
            assert!((found / part - 1.0).abs() < 1e-9, "{peclet}: {found}");
        }
    }

    /// Without dispersion half is left after a half-life; with it, more, and the same in the limit.
    #[test]
    fn decay_with_dispersion_goes_over_into_decay_without() {
        assert!((left(1.0, None) - 0.5).abs() < 1e-15);
        assert!((left(1.0, Some(1e12)) - 0.5).abs() < 1e-9);
        // P = 10, k t = 5: exp(5 (1 - sqrt(3))), by NumPy.
        let found = left(5.0 / std::f64::consts::LN_2, Some(10.0));
        assert!((found - 0.025_725_976_525).abs() < 1e-9, "{found}");
    }

    const BREAKTHROUGH: [(f64, f64, f64); 7] = [
        (0.2, 10.0, 5.340_228_085_012e-05),
        (0.5, 10.0, 0.080_066_752_605),
        (1.0, 10.0, 0.585_288_859_162),
        (0.8, 1000.0, 3.196_734_922_627e-07),
        (0.97, 1000.0, 0.254_968_903_014),
        (0.05, 1.0, 0.002_553_308_778),
        (1.0, 1.0, 0.713_791_788_077),
    ];

    const FIRST: [(f64, f64); 4] = [
        (1.0, 0.066_613_975_405),
        (10.0, 0.346_595_308_355),
        (100.0, 0.714_272_545_919),
        (5000.0, 0.954_354_256_831),
    ];
}

//! When the water arrives, over realizations of the surface, of conductivity and of porosity; and what decides that.

use schemars::JsonSchema;
use serde::Serialize;

use super::travel::Conductor;
use crate::read::{AquiferSettings, EnsembleOptions};
use crate::uncertainty::drawn_from;
use crate::units::Span;

/// Within how many days the water has arrived in a tenth, in half and in nine tenths of all realizations; `None`
/// where it arrives in fewer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Arrivals {
    /// In 10 % of the realizations.
    pub tenth_days: Option<f64>,
    /// In 50 %.
    pub half_days: Option<f64>,
    /// In 90 %.
    pub nine_tenths_days: Option<f64>,
}

/// Of each realization the effective porosity over the conductivity, d/m; `None` where no distributions are declared.
pub(super) fn slowness(settings: &AquiferSettings, options: EnsembleOptions) -> Option<Vec<f64>> {
    let k = settings.conductivity_m_per_day.zip(settings.conductivity_distribution)?;
    let n = settings.effective_porosity.zip(settings.effective_porosity_distribution)?;
    // A log-normal porosity could come out above all of the volume.
    let all = drawn_from([k, n], options.seed, options.members);
    Some(all.into_iter().map(|[k, n]| n.min(1.0) / k).collect())
}

impl Arrivals {
    /// Of all realizations, of which some reach the receptor. `None` where none does.
    ///
    /// # Units
    /// - `times`: of those that reach it the number of the realization and the sum of length over gradient, m
    /// - `slowness`: of all realizations, d/m
    pub(super) fn of(times: &[(usize, f64)], slowness: &[f64]) -> Option<Self> {
        let mut days: Vec<f64> = times.iter().map(|(k, time)| time * slowness[*k]).collect();
        days.sort_by(f64::total_cmp);
        days.first()?;
        let by = |tenths: usize| {
            let needed = (tenths * slowness.len()).div_ceil(10).max(1);
            days.get(needed - 1).copied()
        };
        Some(Self { tenth_days: by(1), half_days: by(5), nine_tenths_days: by(9) })
    }
}

/// What makes the range of a travel time wide.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Decides {
    /// The range of hydraulic conductivity.
    Conductivity,
    /// The range of effective porosity.
    Porosity,
    /// The errors of the readings and what is between the wells.
    Surface,
}

impl Decides {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Conductivity => "the range of conductivity",
            Self::Porosity => "the range of effective porosity",
            Self::Surface => "the surface between the wells and the errors of the readings",
        }
    }
}

/// The part of a range of travel times, high end over low end, that is due to its widest cause; `None` of a range
/// without end, and where nothing makes it wide.
pub(super) fn decides(days: Span, conductor: &Conductor) -> Option<(Decides, f64)> {
    let wide = |span: Span| span.high / span.low;
    let k = wide(conductor.conductivity_m_per_day);
    let n = wide(conductor.effective_porosity);
    let surface = wide(days) / (k * n);
    let widest = [(Decides::Conductivity, k), (Decides::Porosity, n), (Decides::Surface, surface)]
        .into_iter()
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    (widest.1.is_finite() && widest.1 > 1.0).then_some(widest)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten realizations of which eight reach the receptor, after 10, 20, ... 80 days: a tenth of ten has arrived
    /// after 10, half after 50, and nine tenths never do.
    #[test]
    fn shares_are_of_all_realizations() {
        let times: Vec<(usize, f64)> =
            (0..8_u8).map(|k| (9 - usize::from(k), f64::from(8 - k))).collect();
        let arrivals = Arrivals::of(&times, &[10.0; 10]).expect("some reach it");
        assert_eq!(arrivals.tenth_days, Some(10.0));
        assert_eq!(arrivals.half_days, Some(50.0));
        assert_eq!(arrivals.nine_tenths_days, None);
        assert_eq!(Arrivals::of(&[], &[10.0; 10]), None);
    }

    #[test]
    fn the_widest_range_decides() {
        let span = |low, high| Span { low, high };
        let conductor = Conductor {
            conductivity_m_per_day: span(1.0, 10.0),
            effective_porosity: span(0.1, 0.3),
            retardation: None,
        };
        let found = decides(span(100.0, 6000.0), &conductor);
        assert_eq!(found, Some((Decides::Conductivity, 10.0)));
        let found = decides(span(100.0, 60_000.0), &conductor).expect("it is wide");
        assert_eq!(found.0, Decides::Surface);
        assert_eq!(decides(span(100.0, f64::INFINITY), &conductor), None);
    }
}

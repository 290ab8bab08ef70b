//! How conductivity and porosity are distributed within their ranges, and what a substance does on its way.

use std::ops::Range;

use serde::Deserialize;
use toml::Spanned;

use super::aquifer::{AquiferSettings, Dispersivity, Distribution};
use super::aquifer_units::TIME;
use super::ranges::{Bounds, Given, OneNumber};
use super::reader::Reader;
use crate::diag::listed;
use crate::units::LengthUnit;

/// `dispersivity`: a range, or words.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
pub(super) enum DispersivityKey {
    Given(Given),
    Words(String),
}

/// The keys of `[aquifer]` that are read here.
pub(super) struct TransportKeys {
    pub(super) conductivity_distribution: Option<Spanned<String>>,
    pub(super) porosity_distribution: Option<Spanned<String>>,
    pub(super) dispersivity: Option<Spanned<DispersivityKey>>,
    pub(super) dispersivity_unit: Option<LengthUnit>,
    pub(super) half_life: Option<Spanned<Given>>,
    pub(super) half_life_unit: Option<Spanned<String>>,
}

/// What stands for a dispersivity that nobody measured.
const FROM_PATH_LENGTH: &str = "from path length";

/// From a millimetre, less than any laboratory column has, to the largest published one, 10 km: Gelhar et al. (1992).
const DISPERSIVITY_M: (f64, f64) = (1e-3, 1e4);

/// From a minute to the age of the Earth.
const HALF_LIFE_DAYS: (f64, f64) = (1.0 / 1440.0, 1.7e12);

impl Reader<'_> {
    /// Adds to the settings what these keys say.
    pub(super) fn transport(&mut self, keys: TransportKeys, found: &mut AquiferSettings) {
        let at = |given: &Option<Spanned<String>>| given.as_ref().map(Spanned::span);
        let both = [at(&keys.conductivity_distribution), at(&keys.porosity_distribution)];
        let k = self.distribution("conductivity_distribution", keys.conductivity_distribution);
        let n = self.distribution("effective_porosity_distribution", keys.porosity_distribution);
        self.both_distributions(&both, found);
        found.conductivity_distribution = k;
        found.effective_porosity_distribution = n;
        found.dispersivity_m = self.dispersivity(keys.dispersivity, keys.dispersivity_unit);
        let unit_given = keys.half_life_unit.as_ref();
        let unit = self.unit("half_life_unit", unit_given, TIME);
        self.with_unit("half_life", keys.half_life.as_ref(), unit_given.is_some());
        let meaning = "the time in which half of the substance decays, in half_life_unit";
        let within = Bounds::of(HALF_LIFE_DAYS, unit.map(|u| u.size), meaning);
        let half_life = self.span("half_life", keys.half_life, within, OneNumber::WillDo);
        found.half_life_days = half_life.zip(unit).map(|(t, unit)| t.times(unit.size));
    }

    fn distribution(&mut self, key: &str, given: Option<Spanned<String>>) -> Option<Distribution> {
        let given = given?;
        let found = Distribution::ALL.into_iter().find(|d| d.name() == given.get_ref().trim());
        if found.is_none() {
            let names = listed(Distribution::ALL.map(Distribution::name));
            self.refuse(
                &given.span(),
                format!("{key} = \"{}\" is not one of {names}", given.get_ref()),
                "write one of these, or remove the line: then the range alone counts",
            );
        }
        found
    }

    /// R102 where only one of the two is declared, or one without its range.
    fn both_distributions(&mut self, at: &[Option<Range<usize>>; 2], found: &AquiferSettings) {
        let ranges = [found.conductivity_m_per_day, found.effective_porosity];
        let keys = ["conductivity", "effective_porosity"];
        match at {
            [None, None] => {}
            [Some(at), None] => self.alone(at, keys[0], keys[1]),
            [None, Some(at)] => self.alone(at, keys[1], keys[0]),
            [Some(_), Some(_)] => {
                for ((at, range), key) in at.iter().flatten().zip(ranges).zip(keys) {
                    if range.is_none() {
                        self.refuse(
                            at,
                            format!("{key}_distribution without a range of {key}"),
                            format!("give {key} as a range, or a material"),
                        );
                    }
                }
            }
        }
    }

    fn alone(&mut self, at: &Range<usize>, key: &str, other: &str) {
        self.refuse(
            at,
            format!("{key}_distribution without {other}_distribution"),
            "give both: travel times are drawn from the two together",
        );
    }

    fn dispersivity(
        &mut self,
        given: Option<Spanned<DispersivityKey>>,
        unit: Option<LengthUnit>,
    ) -> Option<Dispersivity> {
        let given = given?;
        let at = given.span();
        match given.into_inner() {
            DispersivityKey::Words(words) if words.trim() == FROM_PATH_LENGTH => {
                Some(Dispersivity::FromPathLength)
            }
            DispersivityKey::Words(words) => {
                self.refuse(
                    &at,
                    format!(
                        "dispersivity = \"{words}\" is neither a range nor \"{FROM_PATH_LENGTH}\""
                    ),
                    format!(
                        "write dispersivity = [low, high] or dispersivity = \"{FROM_PATH_LENGTH}\""
                    ),
                );
                None
            }
            DispersivityKey::Given(range) => {
                let range = Spanned::new(at, range);
                self.with_unit("dispersivity", Some(&range), unit.is_some());
                let meaning = "the longitudinal dispersivity in dispersivity_unit";
                let within = Bounds::of(DISPERSIVITY_M, unit.map(LengthUnit::metres), meaning);
                let range = self.span("dispersivity", Some(range), within, OneNumber::Refused);
                range.zip(unit).map(|(d, unit)| Dispersivity::Given(d.times(unit.metres())))
            }
        }
    }
}

//! The keys of `site.toml` that say which surface is drawn, and how sure heads are.

use serde::Deserialize;
use toml::Spanned;

use super::bounds::Bound;
use super::head_errors::{EnsembleOptions, HeadErrorTable, InferredRule, UncertaintySettings};
use super::reader::Reader;
use super::surface::{
    CovarianceModel, InverseDistanceSettings, KrigingSettings, SurfaceSettings, ThinPlateSettings,
};
use crate::read::wells::pumped::PumpedWell;

/// `[kriging]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct KrigingKeys {
    model: Option<CovarianceModel>,
    drift: Option<Drift>,
    partial_sill: Option<Spanned<f64>>,
    range: Option<Spanned<f64>>,
    nugget: Option<Spanned<f64>>,
    anisotropy_azimuth: Option<Spanned<f64>>,
    anisotropy_ratio: Option<Spanned<f64>>,
    fit_anisotropy: Option<bool>,
}

/// The drift without the cones of pumped wells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Drift {
    None,
    Linear,
}

/// `[[pumped_wells]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct PumpedWellKeys {
    pub(super) well: Spanned<String>,
    easting: Option<Spanned<f64>>,
    northing: Option<Spanned<f64>>,
    pub(super) rate: Option<Spanned<f64>>,
    radius: Option<Spanned<f64>>,
}

/// `[thin_plate]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct ThinPlateKeys {
    smoothing: Option<Spanned<f64>>,
}

/// `[inverse_distance]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct InverseDistanceKeys {
    power: Option<Spanned<f64>>,
    nearest: Option<Spanned<f64>>,
    radius: Option<Spanned<f64>>,
}

/// `[uncertainty]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct UncertaintyKeys {
    reading_sd: Option<Spanned<f64>>,
    tape_sd_per_length: Option<Spanned<f64>>,
    survey_sd: Option<Spanned<f64>>,
    lean_per_length: Option<Spanned<f64>>,
    level_change_per_hour: Option<Spanned<f64>>,
    specific_gravity_sd: Option<Spanned<f64>>,
    position_sd: Option<Spanned<f64>>,
    seed: Option<Spanned<f64>>,
    realizations: Option<Spanned<f64>>,
    rasters: Option<bool>,
    inferred_spacings: Option<Spanned<f64>>,
    inferred_interval_part: Option<Spanned<f64>>,
    direction_within_deg: Option<Spanned<f64>>,
}

/// What is declared about errors, before units are agreed.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::read) struct DeclaredErrors {
    pub(in crate::read) heads: HeadErrorTable,
    /// In the length unit.
    pub(in crate::read) position_sd: Option<f64>,
    pub(in crate::read) ensemble: EnsembleOptions,
    pub(in crate::read) inferred: InferredRule,
    pub(in crate::read) direction_within_deg: Option<f64>,
    pub(in crate::read) rasters: bool,
}

impl DeclaredErrors {
    /// The settings, with what is usual where nothing is declared.
    ///
    /// # Units
    /// - `per`: CRS units in one length unit of the site
    pub(in crate::read) fn settings(&self, per: f64) -> UncertaintySettings {
        let usual = UncertaintySettings::default();
        UncertaintySettings {
            head_errors: self.heads,
            position_sd: self.position_sd.map_or(usual.position_sd, |sd| sd * per),
            ensemble: self.ensemble,
            inferred: self.inferred,
            direction_within_deg: self.direction_within_deg.unwrap_or(usual.direction_within_deg),
            rasters: self.rasters,
        }
    }
}

/// The radius of a pumped well that gives none, in the site's length unit.
const USUAL_RADIUS: f64 = 0.1;

impl Reader<'_> {
    /// Lengths are still in the site's length unit.
    pub(in crate::read) fn kriging(&mut self, keys: KrigingKeys) -> KrigingSettings {
        let default = KrigingSettings::default();
        if let (Some(sill), None) | (None, Some(sill)) = (&keys.partial_sill, &keys.range) {
            self.refuse(
                &sill.span(),
                "[kriging] gives only one of partial_sill and range".to_owned(),
                "give both, or leave out both to have them fitted to the heads",
            );
        }
        let fitted = keys.partial_sill.is_none() && keys.range.is_none();
        let zero = |v: &Spanned<f64>| *v.get_ref() == 0.0;
        for (key, given) in [
            ("nugget", keys.nugget.as_ref().filter(|v| !zero(v))),
            ("anisotropy_ratio", keys.anisotropy_ratio.as_ref()),
        ] {
            if let (true, Some(given)) = (fitted, given) {
                self.refuse(
                    &given.span(),
                    format!("[kriging] gives {key} without partial_sill and range"),
                    "give the whole covariance, or leave it to be fitted: nugget = 0 fits it \
                     without a nugget, fit_anisotropy = true fits an anisotropy",
                );
            }
        }
        if let (Some(azimuth), None) = (&keys.anisotropy_azimuth, &keys.anisotropy_ratio) {
            self.refuse(
                &azimuth.span(),
                "[kriging] gives anisotropy_azimuth without anisotropy_ratio".to_owned(),
                "give anisotropy_ratio, the range across that direction divided by the range \
                 along it, such as 0.5",
            );
        }
        KrigingSettings {
            model: keys.model.unwrap_or(default.model),
            drift: keys.drift.map(|drift| drift == Drift::Linear),
            partial_sill: self.number("partial_sill", keys.partial_sill, Bound::SILL),
            range: self.number("range", keys.range, Bound::DISTANCE),
            nugget: self.number("nugget", keys.nugget, Bound::NUGGET),
            anisotropy_azimuth_deg: self.number(
                "anisotropy_azimuth",
                keys.anisotropy_azimuth,
                Bound::AZIMUTH,
            ),
            anisotropy_ratio: self.number(
                "anisotropy_ratio",
                keys.anisotropy_ratio,
                Bound::UP_TO_ONE,
            ),
            fit_anisotropy: keys.fit_anisotropy.unwrap_or(default.fit_anisotropy),
        }
    }

    pub(in crate::read) fn pumped_well(&mut self, keys: PumpedWellKeys) -> PumpedWell {
        let span = keys.well.span();
        let easting = self.number("easting", keys.easting, Bound::POSITION);
        let northing = self.number("northing", keys.northing, Bound::POSITION);
        if easting.is_some() != northing.is_some() {
            let name = keys.well.get_ref();
            self.refuse(
                &span,
                format!("pumped well \"{name}\" has only one of easting and northing"),
                "give both, or neither if the well is in the register",
            );
        }
        PumpedWell {
            well: self.words("well", Some(keys.well)).unwrap_or_default(),
            position: easting.zip(northing),
            rate: self.number("rate", keys.rate, Bound::RATE),
            radius: self.number("radius", keys.radius, Bound::DISTANCE).unwrap_or(USUAL_RADIUS),
        }
    }

    pub(in crate::read) fn thin_plate(&mut self, keys: ThinPlateKeys) -> ThinPlateSettings {
        let smoothing = self.number("smoothing", keys.smoothing, Bound::SMOOTHING);
        ThinPlateSettings { smoothing: smoothing.unwrap_or(0.0) }
    }

    pub(in crate::read) fn inverse_distance(
        &mut self,
        keys: InverseDistanceKeys,
    ) -> InverseDistanceSettings {
        let default = InverseDistanceSettings::default();
        InverseDistanceSettings {
            power: self.number("power", keys.power, Bound::POWER).unwrap_or(default.power),
            nearest: self.count("nearest", keys.nearest, Bound::COUNT),
            radius: self.number("radius", keys.radius, Bound::DISTANCE),
        }
    }

    pub(in crate::read) fn errors(&mut self, keys: UncertaintyKeys) -> DeclaredErrors {
        let (usual, rule) = (EnsembleOptions::default(), InferredRule::default());
        let mut part = |key, given, bound| self.number(key, given, bound);
        let heads = HeadErrorTable {
            reading_sd: part("reading_sd", keys.reading_sd, Bound::DEPTHS),
            tape_sd_per_length: part(
                "tape_sd_per_length",
                keys.tape_sd_per_length,
                Bound::PER_LENGTH,
            ),
            survey_sd: part("survey_sd", keys.survey_sd, Bound::ELEVATIONS),
            lean_per_length: part("lean_per_length", keys.lean_per_length, Bound::PER_LENGTH),
            level_change_per_hour: part(
                "level_change_per_hour",
                keys.level_change_per_hour,
                Bound::PER_HOUR,
            ),
            specific_gravity_sd: part(
                "specific_gravity_sd",
                keys.specific_gravity_sd,
                Bound::GRAVITY_SD,
            ),
        };
        let position_sd = part("position_sd", keys.position_sd, Bound::POSITION_SD);
        let ensemble = EnsembleOptions {
            seed: self.count("seed", keys.seed, Bound::COUNT).map_or(usual.seed, |n| n as u64),
            members: self
                .count("realizations", keys.realizations, Bound::REALIZATIONS)
                .unwrap_or(usual.members),
        };
        let inferred = InferredRule {
            spacings: self
                .number("inferred_spacings", keys.inferred_spacings, Bound::MULTIPLE)
                .unwrap_or(rule.spacings),
            interval_part: self
                .number("inferred_interval_part", keys.inferred_interval_part, Bound::MULTIPLE)
                .unwrap_or(rule.interval_part),
        };
        let direction_within_deg =
            self.number("direction_within_deg", keys.direction_within_deg, Bound::HALF_CIRCLE);
        let rasters = keys.rasters.unwrap_or(false);
        DeclaredErrors { heads, position_sd, ensemble, inferred, direction_within_deg, rasters }
    }

    /// A whole number above 0.
    fn count(&mut self, key: &str, given: Option<Spanned<f64>>, bound: Bound) -> Option<usize> {
        let value = self.number(key, given, bound)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the bound holds it between 1 and a million, and whole"
        )]
        let count = value as usize;
        Some(count)
    }
}

impl SurfaceSettings {
    /// The same with every length in CRS units.
    ///
    /// # Units
    /// - `factor`: CRS units in one length unit of the site
    pub(in crate::read) fn in_crs_units(mut self, factor: f64) -> Self {
        let kriging = &mut self.kriging;
        kriging.range = kriging.range.map(|r| r * factor);
        self.thin_plate.smoothing *= factor * factor;
        self.inverse_distance.radius = self.inverse_distance.radius.map(|r| r * factor);
        self
    }
}

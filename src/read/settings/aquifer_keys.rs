//! `[aquifer]`, `[toward]`, `[ground]`: what may stand there.

use serde::Deserialize;
use toml::Spanned;

use crate::diag::{Code, Diagnostic, Origin};
use crate::units::{LengthUnit, Span, as_given, brief, with_power};

use super::aquifer::{AquiferSettings, GroundSettings, ReceptorSettings, TowardSettings};
use super::bounds::Bound;
use super::materials::{MATERIALS, Material};
use super::reader::Reader;

/// `[aquifer]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct AquiferKeys {
    material: Option<Spanned<String>>,
    conductivity: Option<Spanned<Given>>,
    conductivity_unit: Option<ConductivityUnit>,
    effective_porosity: Option<Spanned<Given>>,
    total_porosity: Option<Spanned<Given>>,
    bulk_density: Option<Spanned<Given>>,
    distribution_coefficient: Option<Spanned<Given>>,
    thickness: Option<Spanned<Given>>,
    thickness_unit: Option<LengthUnit>,
    transmissivity: Option<Spanned<Given>>,
    transmissivity_unit: Option<TransmissivityUnit>,
    pumping_rate_unit: Option<RateUnit>,
}

/// `[toward]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
#[expect(clippy::struct_field_names, reason = "the keys of site.toml")]
pub(in crate::read) struct TowardKeys {
    capture_distance: Option<Spanned<f64>>,
    pair_distance: Option<Spanned<f64>>,
    nested_distance: Option<Spanned<f64>>,
    water_distance: Option<Spanned<f64>>,
}

/// `[ground]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct GroundKeys {
    raster: Option<Spanned<String>>,
    unit: Option<LengthUnit>,
}

/// One number or two.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(untagged)]
enum Given {
    One(f64),
    Two([f64; 2]),
}

#[derive(Debug, Clone, Copy, Deserialize)]
enum ConductivityUnit {
    #[serde(rename = "m/d")]
    MetrePerDay,
    #[serde(rename = "m/s")]
    MetrePerSecond,
    #[serde(rename = "cm/s")]
    CentimetrePerSecond,
    #[serde(rename = "ft/d")]
    FootPerDay,
}

#[derive(Debug, Clone, Copy, Deserialize)]
enum TransmissivityUnit {
    #[serde(rename = "m2/d")]
    MetricPerDay,
    #[serde(rename = "m2/s")]
    MetricPerSecond,
    #[serde(rename = "ft2/d")]
    FeetPerDay,
}

#[derive(Debug, Clone, Copy, Deserialize)]
enum RateUnit {
    #[serde(rename = "m3/d")]
    CubicMetrePerDay,
    #[serde(rename = "m3/h")]
    CubicMetrePerHour,
    #[serde(rename = "L/s")]
    LitrePerSecond,
    #[serde(rename = "ft3/d")]
    CubicFootPerDay,
    #[serde(rename = "gpm")]
    GallonPerMinute,
}

const DAY_S: f64 = 86_400.0;
const FOOT_M: f64 = LengthUnit::Foot.metres();

/// The US gallon, 231 cubic inches exactly.
const GALLON_M3: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254;

impl RateUnit {
    const fn m3_per_day(self) -> f64 {
        match self {
            Self::CubicMetrePerDay => 1.0,
            Self::CubicMetrePerHour => 24.0,
            Self::LitrePerSecond => 86.4,
            Self::CubicFootPerDay => FOOT_M * FOOT_M * FOOT_M,
            Self::GallonPerMinute => 1440.0 * GALLON_M3,
        }
    }
}

/// What a quantity may be at all, and what it is, for whoever gave it in another unit.
#[derive(Debug, Clone, Copy)]
struct Bounds {
    above: f64,
    below: f64,
    meaning: &'static str,
}

/// Whether one number will do for a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum OneNumber {
    Refused,
    WillDo,
}

const POROSITY: Bounds = Bounds {
    above: 0.0,
    below: 1.0,
    meaning: "a fraction of the volume, such as 0.2 for 20 \
                                               percent",
};

const DENSITY: Bounds =
    Bounds { above: 0.0, below: 10.0, meaning: "in g/cm3, such as 1.7 for 1700 kg/m3" };

const SORPTION: Bounds = Bounds { above: 0.0, below: 1e9, meaning: "in mL/g" };

/// No rock conducts less, and Darcy's law holds for none that conducts more: two and more powers of
/// ten beyond the table of Freeze and Cherry (1979), 1e-13 to 1 m/s (from memory).
const CONDUCTIVITY_M_PER_S: (f64, f64) = (1e-16, 100.0);

/// The same over 0.1 m to 10 km.
const TRANSMISSIVITY_M2_PER_S: (f64, f64) = (1e-17, 1e6);

const THICKNESS_M: (f64, f64) = (0.01, 10_000.0);

/// Bounds in the unit that is given: one of it is `unit` of theirs.
fn bounds((above, below): (f64, f64), unit: f64, meaning: &'static str) -> Bounds {
    Bounds { above: above / unit, below: below / unit, meaning }
}

impl Reader<'_> {
    /// What `[aquifer]`, `[toward]` and `[ground]` say, lengths of `[toward]` in the length unit.
    pub(super) fn receptors(
        &mut self,
        aquifer: AquiferKeys,
        toward: TowardKeys,
        ground: GroundKeys,
    ) -> ReceptorSettings {
        let mut length = |key, given| self.number(key, given, Bound::DISTANCE);
        let toward = TowardSettings {
            capture_distance: length("capture_distance", toward.capture_distance),
            pair_distance: length("pair_distance", toward.pair_distance),
            nested_distance: length("nested_distance", toward.nested_distance),
            water_distance: length("water_distance", toward.water_distance),
        };
        ReceptorSettings { aquifer: self.aquifer(aquifer), toward, ground: self.ground(ground) }
    }
    /// A range within bounds. One number is refused where it would pretend to a certainty that
    /// nobody has.
    fn span(
        &mut self,
        key: &str,
        given: Option<Spanned<Given>>,
        bounds: Bounds,
        one: OneNumber,
    ) -> Option<Span> {
        let given = given?;
        let ([low, high], text) = match *given.get_ref() {
            Given::Two([low, high]) => {
                ([low, high], format!("{key} = [{}, {}]", as_given(low), as_given(high)))
            }
            Given::One(value) => ([value, value], format!("{key} = {}", as_given(value))),
        };
        let beyond = if low > high {
            Some((
                format!("{text} is not a range"),
                format!("write the lower value of {key} first"),
            ))
        } else if !(low > bounds.above && high < bounds.below) {
            let two_digits =
                |bound: f64| with_power(bound, 2).parse().map_or_else(|_| brief(bound), brief);
            let [above, below] = [bounds.above, bounds.below].map(two_digits);
            let message = format!("{text} is not between {above} and {below}");
            Some((message, format!("{key} is {}", bounds.meaning)))
        } else if one == OneNumber::Refused && low.total_cmp(&high).is_eq() {
            let advice = format!("give a range, such as {key} = [low, high]");
            Some((format!("{text} is a single number, not a range"), advice))
        } else {
            None
        };
        match beyond {
            Some((message, advice)) => self.refuse(&given.span(), message, advice),
            None => return Some(Span { low, high }),
        }
        None
    }

    fn aquifer(&mut self, keys: AquiferKeys) -> AquiferSettings {
        let material = keys.material.as_ref().and_then(|name| self.material(name));
        let mut found = AquiferSettings {
            material: material.map(|m| m.name),
            rate_m3_per_day: keys.pumping_rate_unit.map(RateUnit::m3_per_day),
            ..AquiferSettings::default()
        };
        let unit = match keys.conductivity_unit {
            Some(ConductivityUnit::MetrePerDay) => Some(1.0),
            Some(ConductivityUnit::MetrePerSecond) => Some(DAY_S),
            Some(ConductivityUnit::CentimetrePerSecond) => Some(0.01 * DAY_S),
            Some(ConductivityUnit::FootPerDay) => Some(FOOT_M),
            None => None,
        };
        self.with_unit("conductivity", keys.conductivity.as_ref(), unit.is_some());
        let within = bounds(
            CONDUCTIVITY_M_PER_S,
            unit.map_or(1.0, |u| u / DAY_S),
            "in conductivity_unit; no soil or rock lies outside these bounds",
        );
        let conductivity = self.span("conductivity", keys.conductivity, within, OneNumber::Refused);
        found.conductivity_m_per_day = conductivity.zip(unit).map(|(k, unit)| k.times(unit));
        let effective_at = keys.effective_porosity.as_ref().map(|e| self.origin(&e.span()));
        found.effective_porosity =
            self.span("effective_porosity", keys.effective_porosity, POROSITY, OneNumber::Refused);
        if let Some(material) = material {
            if found.conductivity_m_per_day.is_none() {
                found.conductivity_m_per_day = Some(material.conductivity_m_per_s.times(DAY_S));
                found.sources.push(material.conductivity_source());
            }
            if found.effective_porosity.is_none()
                && let Some(porosity) = material.effective_porosity
            {
                found.effective_porosity = Some(porosity);
                found.sources.push(material.porosity_source());
            }
        }
        let [total_given, density_given] =
            [keys.total_porosity.is_some(), keys.bulk_density.is_some()];
        found.total_porosity =
            self.span("total_porosity", keys.total_porosity, POROSITY, OneNumber::Refused);
        self.porosities(effective_at, &found);
        found.bulk_density_g_per_cm3 =
            self.span("bulk_density", keys.bulk_density, DENSITY, OneNumber::WillDo);
        let kd = keys.distribution_coefficient;
        let kd_at = kd.as_ref().map(|k| self.origin(&k.span()));
        found.distribution_coefficient_ml_per_g =
            self.span("distribution_coefficient", kd, SORPTION, OneNumber::WillDo);
        if let Some(origin) = kd_at.filter(|_| found.distribution_coefficient_ml_per_g.is_some()) {
            for (key, there) in [("bulk_density", density_given), ("total_porosity", total_given)] {
                if !there {
                    self.said.push(
                        Diagnostic::new(
                            Code::SiteSetting,
                            format!("distribution_coefficient without {key} gives no retardation"),
                        )
                        .at(&origin)
                        .advice(format!("add {key}, or remove distribution_coefficient")),
                    );
                }
            }
        }
        let unit = match keys.transmissivity_unit {
            Some(TransmissivityUnit::MetricPerDay) => Some(1.0),
            Some(TransmissivityUnit::MetricPerSecond) => Some(DAY_S),
            Some(TransmissivityUnit::FeetPerDay) => Some(FOOT_M * FOOT_M),
            None => None,
        };
        self.with_unit("transmissivity", keys.transmissivity.as_ref(), unit.is_some());
        let within = bounds(
            TRANSMISSIVITY_M2_PER_S,
            unit.map_or(1.0, |u| u / DAY_S),
            "in transmissivity_unit; no aquifer lies outside these bounds",
        );
        let transmissivity =
            self.span("transmissivity", keys.transmissivity, within, OneNumber::Refused);
        self.with_unit("thickness", keys.thickness.as_ref(), keys.thickness_unit.is_some());
        let within = bounds(
            THICKNESS_M,
            keys.thickness_unit.map_or(1.0, LengthUnit::metres),
            "the saturated thickness in thickness_unit",
        );
        let thickness = self.span("thickness", keys.thickness, within, OneNumber::WillDo);
        let from_thickness = thickness.zip(keys.thickness_unit).zip(found.conductivity_m_per_day);
        found.transmissivity_m2_per_day =
            transmissivity.zip(unit).map(|(t, unit)| t.times(unit)).or_else(|| {
                from_thickness.map(|((b, unit), k)| Span {
                    low: k.low * b.low * unit.metres(),
                    high: k.high * b.high * unit.metres(),
                })
            });
        found
    }

    /// R102 for an effective porosity above the total one, where both are given.
    fn porosities(&mut self, effective_at: Option<Origin>, found: &AquiferSettings) {
        let Some(origin) = effective_at else { return };
        let (Some(part), Some(all)) = (found.effective_porosity, found.total_porosity) else {
            return;
        };
        if part.low > all.low || part.high > all.high {
            self.said.push(
                Diagnostic::new(
                    Code::SiteSetting,
                    format!(
                        "effective_porosity = [{}, {}] is above total_porosity = [{}, {}]",
                        brief(part.low),
                        brief(part.high),
                        brief(all.low),
                        brief(all.high)
                    ),
                )
                .at(&origin)
                .advice("effective porosity is a part of total porosity: correct one of them"),
            );
        }
    }

    /// R102 for a quantity without its unit.
    fn with_unit(&mut self, key: &str, given: Option<&Spanned<Given>>, unit: bool) {
        if let Some(given) = given.filter(|_| !unit) {
            let units = match key {
                "conductivity" => "\"m/d\", \"m/s\", \"cm/s\" or \"ft/d\"",
                "transmissivity" => "\"m2/d\", \"m2/s\" or \"ft2/d\"",
                _ => "\"m\", \"ft\" or \"ft-us\"",
            };
            self.refuse(
                &given.span(),
                format!("{key} has no unit"),
                format!("add {key}_unit = {units}"),
            );
        }
    }

    fn material(&mut self, name: &Spanned<String>) -> Option<&'static Material> {
        let wanted = name.get_ref().trim().to_lowercase();
        let found = MATERIALS.iter().find(|m| m.name == wanted);
        if found.is_none() {
            let known: Vec<&str> = MATERIALS.iter().map(|m| m.name).collect();
            self.refuse(
                &name.span(),
                format!("material = \"{}\" has no published ranges", name.get_ref()),
                format!(
                    "the materials are {}; or give conductivity and effective_porosity",
                    known.join(", ")
                ),
            );
        }
        found
    }

    fn ground(&mut self, keys: GroundKeys) -> Option<GroundSettings> {
        let raster = keys.raster?;
        let Some(unit) = keys.unit else {
            self.refuse(
                &raster.span(),
                "the raster of [ground] has no unit of elevation".to_owned(),
                "add unit = \"m\", \"ft\" or \"ft-us\" under [ground]",
            );
            return None;
        };
        let origin = self.origin(&raster.span());
        Some(GroundSettings { raster: raster.into_inner().trim().to_owned(), unit, origin })
    }
}

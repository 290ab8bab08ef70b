//! `[aquifer]`, `[toward]`, `[ground]`: what may stand there.

use serde::Deserialize;
use toml::Spanned;

use crate::diag::{Code, Diagnostic, Origin};
use crate::units::{LengthUnit, Span, brief};

use super::aquifer::{AquiferSettings, GroundSettings, ReceptorSettings, TowardSettings};
use super::aquifer_units::{CONDUCTIVITY, DAY_S, RATE, TRANSMISSIVITY};
use super::bounds::Bound;
use super::materials::{MATERIALS, Material};
use super::ranges::{Bounds, Given, OneNumber};
use super::reader::Reader;
use super::surface_keys::PumpedWellKeys;
use super::transport_keys::{DispersivityKey, TransportKeys};

/// `[aquifer]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct AquiferKeys {
    material: Option<Spanned<String>>,
    conductivity: Option<Spanned<Given>>,
    conductivity_unit: Option<Spanned<String>>,
    effective_porosity: Option<Spanned<Given>>,
    total_porosity: Option<Spanned<Given>>,
    specific_yield: Option<Spanned<Given>>,
    bulk_density: Option<Spanned<Given>>,
    distribution_coefficient: Option<Spanned<Given>>,
    thickness: Option<Spanned<Given>>,
    thickness_unit: Option<LengthUnit>,
    transmissivity: Option<Spanned<Given>>,
    transmissivity_unit: Option<Spanned<String>>,
    pumping_rate_unit: Option<Spanned<String>>,
    regional_gradient: Option<Spanned<Given>>,
    regional_direction: Option<Spanned<f64>>,
    conductivity_distribution: Option<Spanned<String>>,
    effective_porosity_distribution: Option<Spanned<String>>,
    dispersivity: Option<Spanned<DispersivityKey>>,
    dispersivity_unit: Option<LengthUnit>,
    half_life: Option<Spanned<Given>>,
    half_life_unit: Option<Spanned<String>>,
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

const POROSITY: Bounds = Bounds {
    above: 0.0,
    below: 1.0,
    meaning: "a fraction of the volume, such as 0.2 for 20 \
                                               percent",
};

/// No water table is as steep as a cliff. Common practice, no source.
const GRADIENT: Bounds = Bounds {
    above: 0.0,
    below: 1.0,
    meaning: "fall over length, such as 0.002 for 2 m in a kilometre",
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

impl Reader<'_> {
    /// What `[aquifer]`, `[toward]` and `[ground]` say, lengths of `[toward]` in the length unit; the rates of
    /// `pumped_wells` are looked at in their unit.
    pub(super) fn receptors(
        &mut self,
        aquifer: AquiferKeys,
        toward: TowardKeys,
        ground: GroundKeys,
        pumped_wells: &[PumpedWellKeys],
    ) -> ReceptorSettings {
        let mut length = |key, given| self.number(key, given, Bound::DISTANCE);
        let toward = TowardSettings {
            capture_distance: length("capture_distance", toward.capture_distance),
            pair_distance: length("pair_distance", toward.pair_distance),
            nested_distance: length("nested_distance", toward.nested_distance),
            water_distance: length("water_distance", toward.water_distance),
        };
        let rate = self.unit("pumping_rate_unit", aquifer.pumping_rate_unit.as_ref(), RATE);
        if let Some(unit) = rate {
            self.doubt_rates(pumped_wells, unit);
        }
        let mut aquifer = self.aquifer(aquifer);
        aquifer.rate_m3_per_day = rate.map(|unit| unit.size);
        ReceptorSettings { aquifer, toward, ground: self.ground(ground) }
    }

    fn aquifer(&mut self, keys: AquiferKeys) -> AquiferSettings {
        let material = keys.material.as_ref().and_then(|name| self.material(name));
        let mut found =
            AquiferSettings { material: material.map(|m| m.name), ..AquiferSettings::default() };
        let unit_given = keys.conductivity_unit.as_ref();
        let unit = self.unit("conductivity_unit", unit_given, CONDUCTIVITY);
        self.with_unit("conductivity", keys.conductivity.as_ref(), unit_given.is_some());
        let conductivity_at = keys.conductivity.as_ref().map(Spanned::span);
        let within = Bounds::of(
            CONDUCTIVITY_M_PER_S,
            unit.map(|u| u.size / DAY_S),
            "in conductivity_unit; no soil or rock lies outside these bounds",
        );
        let conductivity = self.span("conductivity", keys.conductivity, within, OneNumber::Refused);
        if let (Some(at), Some(k), Some(unit)) = (conductivity_at, conductivity, unit) {
            self.doubt_conductivity(&at, k, unit);
        }
        found.conductivity_m_per_day = conductivity.zip(unit).map(|(k, unit)| k.times(unit.size));
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
        found.regional_gradient =
            self.span("regional_gradient", keys.regional_gradient, GRADIENT, OneNumber::Refused);
        found.regional_direction_deg =
            self.number("regional_direction", keys.regional_direction, Bound::AZIMUTH);
        let [total_given, density_given] =
            [keys.total_porosity.is_some(), keys.bulk_density.is_some()];
        found.total_porosity =
            self.span("total_porosity", keys.total_porosity, POROSITY, OneNumber::Refused);
        self.porosities(effective_at, &found);
        found.specific_yield =
            self.span("specific_yield", keys.specific_yield, POROSITY, OneNumber::Refused);
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
        let unit_given = keys.transmissivity_unit.as_ref();
        let unit = self.unit("transmissivity_unit", unit_given, TRANSMISSIVITY);
        self.with_unit("transmissivity", keys.transmissivity.as_ref(), unit_given.is_some());
        let within = Bounds::of(
            TRANSMISSIVITY_M2_PER_S,
            unit.map(|u| u.size / DAY_S),
            "in transmissivity_unit; no aquifer lies outside these bounds",
        );
        let transmissivity =
            self.span("transmissivity", keys.transmissivity, within, OneNumber::Refused);
        self.with_unit("thickness", keys.thickness.as_ref(), keys.thickness_unit.is_some());
        let within = Bounds::of(
            THICKNESS_M,
            keys.thickness_unit.map(LengthUnit::metres),
            "the saturated thickness in thickness_unit",
        );
        let thickness = self.span("thickness", keys.thickness, within, OneNumber::WillDo);
        let from_thickness = thickness.zip(keys.thickness_unit).zip(found.conductivity_m_per_day);
        found.transmissivity_m2_per_day =
            transmissivity.zip(unit).map(|(t, unit)| t.times(unit.size)).or_else(|| {
                from_thickness.map(|((b, unit), k)| Span {
                    low: k.low * b.low * unit.metres(),
                    high: k.high * b.high * unit.metres(),
                })
            });
        let transport = TransportKeys {
            conductivity_distribution: keys.conductivity_distribution,
            porosity_distribution: keys.effective_porosity_distribution,
            dispersivity: keys.dispersivity,
            dispersivity_unit: keys.dispersivity_unit,
            half_life: keys.half_life,
            half_life_unit: keys.half_life_unit,
        };
        self.transport(transport, &mut found);
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

//! What a site says about its aquifer and its receptors: `[aquifer]`, `[toward]`, `[ground]`.

use serde::{Deserialize, Serialize};
use toml::Spanned;

use crate::diag::{Code, Diagnostic, Origin};
use crate::units::LengthUnit;

use super::input::line_of;
use super::materials::{MATERIALS, Material};
use super::settings::SITE_TOML;

/// A range of what a quantity may be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Span {
    /// The lowest value.
    pub low: f64,
    /// The highest value.
    pub high: f64,
}

impl Span {
    /// The range between two values, in either order.
    #[must_use]
    pub const fn of(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }

    /// Both ends times a positive number.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { low: self.low * factor, high: self.high * factor }
    }
}

/// What carries the water and what it carries.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct AquiferSettings {
    /// A material whose published ranges are taken, where one is named.
    pub material: Option<&'static str>,
    /// Hydraulic conductivity, m/d.
    pub conductivity_m_per_day: Option<Span>,
    /// Effective porosity, dimensionless.
    pub effective_porosity: Option<Span>,
    /// Total porosity, dimensionless.
    pub total_porosity: Option<Span>,
    /// Dry bulk density, g/cm³.
    pub bulk_density_g_per_cm3: Option<Span>,
    /// Distribution coefficient of the substance, mL/g.
    pub distribution_coefficient_ml_per_g: Option<Span>,
    /// Transmissivity, m²/d.
    pub transmissivity_m2_per_day: Option<Span>,
    /// The pumping rates of `[[pumped_wells]]` in m³/d: what one of their units is.
    pub rate_m3_per_day: Option<f64>,
    /// Where published ranges are from.
    pub sources: Vec<&'static str>,
}

/// How receptors, pairs and nested wells are found.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct TowardSettings {
    /// A path that comes this near to a point reaches it, CRS units; from the spacing of wells
    /// when `None`.
    pub capture_distance: Option<f64>,
    /// How far to each side of a line the surface is read, CRS units; from the spacing of wells
    /// when `None`.
    pub pair_distance: Option<f64>,
    /// Wells within this distance of each other are nested, CRS units; 3 m when `None`.
    pub nested_distance: Option<f64>,
    /// Nearer to a stream or gauge than this the surface may stand above the ground, CRS units;
    /// 15 m when `None`.
    pub water_distance: Option<f64>,
}

impl ReceptorSettings {
    /// The same with its lengths in CRS units.
    pub(super) fn in_crs_units(mut self, factor: f64) -> Self {
        let lengths = &mut self.toward;
        for length in [
            &mut lengths.capture_distance,
            &mut lengths.pair_distance,
            &mut lengths.nested_distance,
            &mut lengths.water_distance,
        ] {
            *length = length.map(|l| l * factor);
        }
        self
    }
}

/// The land surface: `[ground]`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroundSettings {
    /// A raster of elevations, inside the site folder.
    pub raster: String,
    /// The unit of its elevations.
    pub unit: LengthUnit,
    /// Where it is declared.
    #[serde(skip)]
    pub origin: Origin,
}

/// Everything that `[aquifer]`, `[toward]` and `[ground]` say.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ReceptorSettings {
    /// `[aquifer]`.
    pub aquifer: AquiferSettings,
    /// `[toward]`.
    pub toward: TowardSettings,
    /// `[ground]`.
    pub ground: Option<GroundSettings>,
}

/// `[aquifer]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct AquiferKeys {
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
pub(super) struct TowardKeys {
    capture_distance: Option<Spanned<f64>>,
    pair_distance: Option<Spanned<f64>>,
    nested_distance: Option<Spanned<f64>>,
    water_distance: Option<Spanned<f64>>,
}

/// `[ground]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct GroundKeys {
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

/// What is said in `site.toml`, lengths of `[toward]` still in the length unit.
pub(super) fn declared(
    text: &str,
    aquifer: AquiferKeys,
    toward: TowardKeys,
    ground: GroundKeys,
    said: &mut Vec<Diagnostic>,
) -> ReceptorSettings {
    let mut reader = Reader { text, said };
    let toward = TowardSettings {
        capture_distance: reader.length("capture_distance", toward.capture_distance),
        pair_distance: reader.length("pair_distance", toward.pair_distance),
        nested_distance: reader.length("nested_distance", toward.nested_distance),
        water_distance: reader.length("water_distance", toward.water_distance),
    };
    ReceptorSettings { aquifer: reader.aquifer(aquifer), toward, ground: reader.ground(ground) }
}

struct Reader<'a> {
    text: &'a str,
    said: &'a mut Vec<Diagnostic>,
}

impl Reader<'_> {
    fn origin<T>(&self, at: &Spanned<T>) -> Origin {
        Origin::line(SITE_TOML, line_of(self.text.as_bytes(), at.span().start))
    }

    fn refuse<T>(&mut self, at: &Spanned<T>, message: String, advice: impl Into<String>) {
        let origin = self.origin(at);
        self.said.push(Diagnostic::new(Code::SiteSetting, message).at(&origin).advice(advice));
    }

    fn length(&mut self, key: &str, given: Option<Spanned<f64>>) -> Option<f64> {
        let given = given?;
        let value = *given.get_ref();
        if value > 0.0 && value.is_finite() {
            return Some(value);
        }
        let advice = format!("correct {key} or take the line out");
        self.refuse(&given, format!("{key} = {value} is not a number above 0"), advice);
        None
    }

    /// A range within bounds. One number is refused where it would pretend to a certainty that
    /// nobody has.
    fn span(
        &mut self,
        key: &str,
        given: Option<Spanned<Given>>,
        most: f64,
        one_will_do: bool,
    ) -> Option<Span> {
        let given = given?;
        let [low, high] = match *given.get_ref() {
            Given::Two(ends) => ends,
            Given::One(value) if one_will_do => [value, value],
            Given::One(value) => {
                self.refuse(
                    &given,
                    format!("{key} = {value} is one number"),
                    format!("give the range it may lie in, such as {key} = [low, high]"),
                );
                return None;
            }
        };
        if low > 0.0 && low <= high && high < most {
            return Some(Span { low, high });
        }
        let bound = if most.is_finite() { format!(" and below {most}") } else { String::new() };
        self.refuse(
            &given,
            format!("{key} = [{low}, {high}] is not a range above 0{bound}"),
            format!("write the lower end of {key} first"),
        );
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
        let conductivity = self.span("conductivity", keys.conductivity, f64::INFINITY, false);
        found.conductivity_m_per_day = conductivity.zip(unit).map(|(k, unit)| k.times(unit));
        found.effective_porosity =
            self.span("effective_porosity", keys.effective_porosity, 1.0, false);
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
        found.total_porosity = self.span("total_porosity", keys.total_porosity, 1.0, false);
        found.bulk_density_g_per_cm3 = self.span("bulk_density", keys.bulk_density, 10.0, true);
        let kd = keys.distribution_coefficient;
        let kd_at = kd.as_ref().map(|k| self.origin(k));
        found.distribution_coefficient_ml_per_g =
            self.span("distribution_coefficient", kd, f64::INFINITY, true);
        if let Some(origin) = kd_at.filter(|_| found.distribution_coefficient_ml_per_g.is_some()) {
            for (key, there) in [
                ("bulk_density", found.bulk_density_g_per_cm3.is_some()),
                ("total_porosity", found.total_porosity.is_some()),
            ] {
                if !there {
                    self.said.push(
                        Diagnostic::new(
                            Code::SiteSetting,
                            format!("distribution_coefficient without {key} gives no retardation"),
                        )
                        .at(&origin)
                        .advice(format!("add {key}, or take distribution_coefficient out")),
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
        let transmissivity = self.span("transmissivity", keys.transmissivity, f64::INFINITY, true);
        self.with_unit("thickness", keys.thickness.as_ref(), keys.thickness_unit.is_some());
        let thickness = self.span("thickness", keys.thickness, f64::INFINITY, true);
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

    /// R102 for a quantity without its unit.
    fn with_unit(&mut self, key: &str, given: Option<&Spanned<Given>>, unit: bool) {
        if let Some(given) = given.filter(|_| !unit) {
            let units = match key {
                "conductivity" => "\"m/d\", \"m/s\", \"cm/s\" or \"ft/d\"",
                "transmissivity" => "\"m2/d\", \"m2/s\" or \"ft2/d\"",
                _ => "\"m\", \"ft\" or \"ft-us\"",
            };
            self.refuse(given, format!("{key} has no unit"), format!("add {key}_unit = {units}"));
        }
    }

    fn material(&mut self, name: &Spanned<String>) -> Option<&'static Material> {
        let wanted = name.get_ref().trim().to_lowercase();
        let found = MATERIALS.iter().find(|m| m.name == wanted);
        if found.is_none() {
            let known: Vec<&str> = MATERIALS.iter().map(|m| m.name).collect();
            self.refuse(
                name,
                format!("material = \"{}\" is not one with published ranges", name.get_ref()),
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
                &raster,
                "the raster of [ground] has no unit of elevation".to_owned(),
                "add unit = \"m\", \"ft\" or \"ft-us\" under [ground]",
            );
            return None;
        };
        let origin = self.origin(&raster);
        Some(GroundSettings { raster: raster.into_inner().trim().to_owned(), unit, origin })
    }
}

//! What a site says about its aquifer and its receptors: `[aquifer]`, `[toward]`, `[ground]`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::diag::Origin;
use crate::units::{LengthUnit, Span};

/// What carries the water and what it carries.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct AquiferSettings {
    /// A material whose published ranges are taken, where one is named.
    pub material: Option<&'static str>,
    /// Hydraulic conductivity, m/d.
    pub conductivity_m_per_day: Option<Span>,
    /// Effective porosity, dimensionless.
    pub effective_porosity: Option<Span>,
    /// Total porosity, dimensionless.
    pub total_porosity: Option<Span>,
    /// Specific yield of an unconfined aquifer, dimensionless: for volumes of change.
    pub specific_yield: Option<Span>,
    /// Dry bulk density, g/cm³.
    pub bulk_density_g_per_cm3: Option<Span>,
    /// Distribution coefficient of the substance, mL/g.
    pub distribution_coefficient_ml_per_g: Option<Span>,
    /// Transmissivity, m²/d.
    pub transmissivity_m2_per_day: Option<Span>,
    /// The gradient of the flow without any pumping, dimensionless.
    pub regional_gradient: Option<Span>,
    /// Where that flow goes, degrees clockwise from grid north.
    pub regional_direction_deg: Option<f64>,
    /// The pumping rates of `[[pumped_wells]]` in m³/d: what one of their units is.
    pub rate_m3_per_day: Option<f64>,
    /// How conductivity is distributed within its range.
    pub conductivity_distribution: Option<Distribution>,
    /// How effective porosity is.
    pub effective_porosity_distribution: Option<Distribution>,
    /// Longitudinal dispersivity.
    pub dispersivity_m: Option<Dispersivity>,
    /// The time in which half of the substance decays, days.
    pub half_life_days: Option<Span>,
    /// Where published ranges are from.
    pub sources: Vec<&'static str>,
}

/// What bounds the water of the mapped unit above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AquiferKind {
    /// A confining bed: heads are those of wells alone.
    Confined,
    /// Nothing: heads are the water table.
    Unconfined,
}

/// How a quantity is distributed within its range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Distribution {
    /// Its logarithm is normal, and the range holds 95 % of it.
    LogNormal,
    /// Its logarithm is uniform between the ends.
    LogUniform,
    /// Most probable in the middle of the range, and not beyond its ends.
    Triangular,
}

impl Distribution {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::LogNormal, Self::LogUniform, Self::Triangular];

    /// The name in `site.toml`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::LogNormal => "log-normal",
            Self::LogUniform => "log-uniform",
            Self::Triangular => "triangular",
        }
    }
}

/// Longitudinal dispersivity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Dispersivity {
    /// Given, m.
    Given(Span),
    /// From published values for paths as long.
    FromPathLength,
}

/// How receptors, pairs and nested wells are found.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct TowardSettings {
    /// A path that comes this near to a point reaches it, CRS units; from the spacing of wells where none is
    /// declared.
    pub capture_distance: Option<f64>,
    /// How far to each side of a line the surface is read, CRS units; from the spacing of wells where none is
    /// declared.
    pub pair_distance: Option<f64>,
    /// Wells within this distance of each other are nested, CRS units; 3 m where none is declared.
    pub nested_distance: Option<f64>,
    /// Nearer to a stream or gauge than this the surface may be above the ground, CRS units; 15 m where none is
    /// declared.
    pub water_distance: Option<f64>,
}

impl ReceptorSettings {
    /// The same with its lengths in CRS units.
    pub(in crate::read) fn in_crs_units(mut self, factor: f64) -> Self {
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
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct ReceptorSettings {
    /// `[aquifer]`.
    pub aquifer: AquiferSettings,
    /// `[toward]`.
    pub toward: TowardSettings,
    /// `[ground]`.
    pub ground: Option<GroundSettings>,
}

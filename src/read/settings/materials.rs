//! Published ranges of hydraulic conductivity and effective porosity, by material.

use crate::units::Span;

/// A material with published ranges.
#[derive(Debug)]
pub struct Material {
    /// Its name in `site.toml`.
    pub name: &'static str,
    /// Hydraulic conductivity, m/s.
    pub conductivity_m_per_s: Span,
    /// Effective porosity, dimensionless; `None` where no range is offered.
    pub effective_porosity: Option<Span>,
}

impl Material {
    /// Where the conductivity is from.
    #[must_use]
    pub const fn conductivity_source(&self) -> &'static str {
        "conductivity: Domenico and Schwartz (1990), Physical and Chemical Hydrogeology, table 3.2"
    }

    /// Where the porosity is from.
    #[must_use]
    pub const fn porosity_source(&self) -> &'static str {
        "effective porosity: McWhorter and Sunada (1977), Ground-Water Hydrology and Hydraulics"
    }
}

const fn span(low: f64, high: f64) -> Span {
    Span { low, high }
}

const fn material(name: &'static str, k: Span, effective_porosity: Option<Span>) -> Material {
    Material { name, conductivity_m_per_s: k, effective_porosity }
}

/// The materials offered by name.
///
/// Conductivities from memory, but gravel, whose conductivity and effective porosity a public
/// compilation of the same tables repeats. Effective porosities from memory. They span what was
/// found the world over: a range measured at the site is always better.
///
/// # References
/// Domenico and Schwartz (1990), Physical and Chemical Hydrogeology, Wiley, table 3.2; McWhorter
/// and Sunada (1977), Ground-Water Hydrology and Hydraulics. `docs/toward.md`.
pub const MATERIALS: &[Material] = &[
    material("gravel", span(3e-4, 3e-2), Some(span(0.13, 0.44))),
    material("coarse sand", span(9e-7, 6e-3), Some(span(0.18, 0.43))),
    material("medium sand", span(9e-7, 5e-4), Some(span(0.16, 0.46))),
    material("fine sand", span(2e-7, 2e-4), Some(span(0.01, 0.46))),
    material("silt", span(1e-9, 2e-5), Some(span(0.01, 0.39))),
    material("till", span(1e-12, 2e-6), None),
    material("clay", span(1e-11, 4.7e-9), Some(span(0.01, 0.18))),
    material("marine clay", span(8e-13, 2e-9), None),
    material("karst limestone", span(1e-6, 2e-2), None),
    material("limestone", span(1e-9, 6e-6), None),
    material("sandstone", span(3e-10, 6e-6), None),
    material("shale", span(1e-13, 2e-9), None),
    material("permeable basalt", span(4e-7, 2e-2), None),
    material("fractured rock", span(8e-9, 3e-4), None),
    material("unfractured rock", span(3e-14, 2e-10), None),
];

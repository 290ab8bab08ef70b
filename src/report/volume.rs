//! The volume of water behind a change of head, where the site declares a specific yield.

use schemars::JsonSchema;
use serde::Serialize;

use super::digits;
use crate::map::{Map, Worked};
use crate::read::AquiferKind;
use crate::uncertainty::NORMAL_SDS;
use crate::units::{LengthUnit, Span, significant};

/// The water that an unconfined aquifer stored or gave off between two rounds: specific yield times the change of head, over
/// the surface of the changes.
///
/// # References
/// Specific yield: the volume of water that a rock or soil yields by gravity after it was saturated, over its own volume (Meinzer
/// 1923, as US Geological Survey, Water-Table Fluctuation Method, Estimating Specific Yield, quotes it; looked up). The same page
/// says that the release takes time, longest in fine sediments: the water may still be on its way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct VolumeOfChange {
    /// The declared specific yield, dimensionless.
    pub specific_yield: Span,
    /// Area of the surface, m2 on the ground.
    pub area_m2: f64,
    /// Volume of aquifer between the two surfaces where the water rose, m3.
    pub risen_m3: f64,
    /// The same where it fell, m3.
    pub fallen_m3: f64,
    /// Mean change over the area, m: positive is a rise.
    pub mean_change_m: f64,
    /// Lower end of its 95 % interval from the errors of the heads, taken as if all wells were wrong the same way.
    pub mean_change_low_m: f64,
    /// Upper end.
    pub mean_change_high_m: f64,
    /// The water that was gained, m3, at the least: negative is a loss.
    pub water_low_m3: f64,
    /// At the most.
    pub water_high_m3: f64,
}

impl VolumeOfChange {
    /// That of a map of changes whose site declares a specific yield.
    #[must_use]
    pub fn of(map: &Map) -> Option<Self> {
        map.across.as_ref().filter(|across| across.worked == Worked::Change)?;
        if map.site.settings.aquifer == Some(AquiferKind::Confined) {
            return None;
        }
        let specific_yield = map.site.settings.receptors.aquifer.specific_yield?;
        let (grid, metres) = (&map.surface.heads, map.control.elevation_unit().metres());
        let spec = grid.spec();
        let side_m = spec.cell * map.control.frame().metres_per_unit();
        let (mut nodes, mut risen, mut fallen) = (0.0, 0.0, 0.0);
        // A node on the edge of the grid is the middle of half a cell.
        let part = |i: usize, count: usize| if i == 0 || i + 1 == count { 0.5 } else { 1.0 };
        for row in 0..spec.rows {
            for column in 0..spec.columns {
                let Some(change) = grid.head(row, column) else { continue };
                let weight = part(row, spec.rows) * part(column, spec.columns);
                nodes += weight;
                risen += weight * change.max(0.0) * metres;
                fallen += weight * (-change).max(0.0) * metres;
            }
        }
        if nodes == 0.0 {
            return None;
        }
        let mean = (risen - fallen) / nodes;
        let give_or_take = NORMAL_SDS * sd_of_mean(map);
        let change = Span::of(mean - give_or_take, mean + give_or_take);
        let area = nodes * side_m * side_m;
        let products = [specific_yield.low, specific_yield.high]
            .into_iter()
            .flat_map(|part| [part * change.low * area, part * change.high * area]);
        let (low, high) = products
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        Some(Self {
            specific_yield,
            area_m2: digits::area(area),
            risen_m3: digits::area(risen * side_m * side_m),
            fallen_m3: digits::area(fallen * side_m * side_m),
            mean_change_m: digits::height(mean),
            mean_change_low_m: digits::height(change.low),
            mean_change_high_m: digits::height(change.high),
            water_low_m3: digits::area(low),
            water_high_m3: digits::area(high),
        })
    }

    /// In one sentence, in the unit of heads.
    #[must_use]
    pub fn in_words(&self, unit: LengthUnit) -> String {
        let (low, high) = (self.water_low_m3, self.water_high_m3);
        let cubic = |m3: f64| significant(m3.abs() / libm::pow(unit.metres(), 3.0), 3);
        let symbol = if unit.is_foot() { "ft³" } else { "m³" };
        let range = if low >= 0.0 {
            format!("water: {} to {} {symbol} gained", cubic(low), cubic(high))
        } else if high <= 0.0 {
            format!("water: {} to {} {symbol} lost", cubic(high), cubic(low))
        } else {
            format!(
                "water: between {} {symbol} lost and {} {symbol} gained",
                cubic(low),
                cubic(high)
            )
        };
        format!(
            "{range}, by specific yield {} to {} as of an unconfined aquifer; errors of heads taken as the same at all \
             wells, errors between wells not included",
            self.specific_yield.low, self.specific_yield.high
        )
    }
}

/// The standard deviation of the mean change, m, were the errors of all wells the same way: each well weighs by a third of the
/// triangles around it.
fn sd_of_mean(map: &Map) -> f64 {
    let (mut sum, mut area) = (0.0, 0.0);
    for triangle in map.mesh.triangles() {
        let sds = triangle.corners.map(|k| map.uncertainty.heads[k].sd_m);
        sum += triangle.area_m2 * (sds[0] + sds[1] + sds[2]) / 3.0;
        area += triangle.area_m2;
    }
    sum / area
}

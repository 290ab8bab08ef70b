//! Conductivities and pumping rates as no aquifer and no well has them: most often another unit.

use std::ops::Range;

use super::aquifer_units::{DAY_S, Unit};
use super::bounds::Bound;
use super::materials::MATERIALS;
use super::reader::Reader;
use super::surface_keys::PumpedWellKeys;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::{DOUBTFUL_CONDUCTIVITY_M_PER_S, DOUBTFUL_RATE_M3_PER_DAY};
use crate::units::{Span, as_given, brief, round_to_significant};

/// Significant digits of a number in another unit than it was given in.
const DIGITS: i32 = 3;

impl Reader<'_> {
    /// T516 for a range whose high end is above all materials.
    ///
    /// # Units
    /// - `range`: of conductivity, in `unit`
    pub(super) fn doubt_conductivity(&mut self, at: &Range<usize>, range: Span, unit: &Unit) {
        let highest = range.high * (unit.size / DAY_S);
        if highest <= DOUBTFUL_CONDUCTIVITY_M_PER_S {
            return;
        }
        let published = MATERIALS.iter().map(|m| m.conductivity_m_per_s.high).fold(0.0, f64::max);
        let found = Diagnostic::new(
            Code::ConductivityHigh,
            format!(
                "conductivity = [{}, {}] {} reaches {} m/s, above the bound of {} m/s: the published \
                 ranges end at {} m/s",
                as_given(range.low),
                as_given(range.high),
                unit.name,
                brief(round_to_significant(highest, DIGITS)),
                brief(DOUBTFUL_CONDUCTIVITY_M_PER_S),
                brief(published),
            ),
        );
        let advice =
            "check conductivity and conductivity_unit: 1 m/s is 86400 m/d, 1 cm/s is 864 m/d";
        self.said.push(found.at(&self.origin(at)).advice(advice));
    }

    /// T518 for all wells that pump, or recharge, more than a well does.
    pub(super) fn doubt_rates(&mut self, wells: &[PumpedWellKeys], unit: &Unit) {
        let large: Vec<(&str, f64, Range<usize>)> = wells
            .iter()
            .filter_map(|keys| {
                let rate = keys.rate.as_ref()?;
                Some((keys.well.get_ref().trim(), *rate.get_ref(), rate.span()))
            })
            .filter(|(_, rate, _)| Bound::RATE.holds(*rate))
            .filter(|(_, rate, _)| rate.abs() * unit.size > DOUBTFUL_RATE_M3_PER_DAY)
            .collect();
        let Some((name, rate, at)) = large.first() else { return };
        let size = rate * unit.size;
        let metric = if unit.size.total_cmp(&1.0).is_eq() {
            String::new()
        } else {
            format!(" ({} m3/d)", brief(round_to_significant(size, DIGITS)))
        };
        let others = match large.len() - 1 {
            0 => String::new(),
            more => format!("; so have {more} more"),
        };
        let mut found = Diagnostic::new(
            Code::RateHigh,
            format!(
                "pumped well {name} has a rate of {} {}{metric}, above the bound of {} m3/d for one \
                 well{others}",
                as_given(*rate),
                unit.name,
                brief(DOUBTFUL_RATE_M3_PER_DAY),
            ),
        )
        .at(&self.origin(at))
        .advice("check rate under [[pumped_wells]] and pumping_rate_unit under [aquifer]");
        for (name, _, _) in &large {
            found = found.well(name);
        }
        self.said.push(found);
    }
}

//! `[instruments]`: what each instrument reads wrong.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::Spanned;

use super::bounds::Bound;
use super::reader::Reader;
use crate::read::wells::well::Calibration;
use crate::units::as_given;

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct InstrumentKeys {
    offset: f64,
    stretch: f64,
}

impl Reader<'_> {
    /// The calibration of each instrument by its name.
    pub(in crate::read) fn instruments(
        &mut self,
        given: BTreeMap<Spanned<String>, InstrumentKeys>,
    ) -> BTreeMap<String, Calibration> {
        let mut instruments = BTreeMap::new();
        for (name, keys) in given {
            let InstrumentKeys { offset, stretch } = keys;
            // A tape stretched by a tenth of its length is a mistake of the decimal point.
            if Bound::OFFSET.holds(offset) && stretch.abs() < 0.1 {
                instruments
                    .insert(name.get_ref().trim().to_owned(), Calibration { offset, stretch });
                continue;
            }
            self.refuse(
                &name.span(),
                format!(
                    "instrument \"{}\" has offset = {} and stretch = {}, which are out of bounds",
                    name.get_ref(),
                    as_given(offset),
                    as_given(stretch)
                ),
                "offset must be from -1000 to 1000 in the depth unit; stretch must be between \
                 -0.1 and 0.1, length per length, such as 0.0001",
            );
        }
        instruments
    }
}

//! Ranges of `[aquifer]` within bounds, in the unit they are given in.

use serde::Deserialize;
use toml::Spanned;

use super::aquifer_units::{CONDUCTIVITY, TIME, TRANSMISSIVITY, Unit};
use super::reader::Reader;
use crate::units::{LengthUnit, Span, as_given, brief, with_power};

/// One number or two.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(untagged)]
pub(super) enum Given {
    One(f64),
    Two([f64; 2]),
}

/// What a quantity may be at all, and what it is, for whoever gave it in another unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounds {
    pub(super) above: f64,
    pub(super) below: f64,
    pub(super) meaning: &'static str,
}

/// Whether one number will do for a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OneNumber {
    Refused,
    WillDo,
}

impl Bounds {
    /// Bounds in the unit that is given: one of it is `unit` of theirs. Without a unit, which is refused, any size
    /// will do.
    pub(super) fn of((above, below): (f64, f64), unit: Option<f64>, meaning: &'static str) -> Self {
        match unit {
            Some(unit) => Self { above: above / unit, below: below / unit, meaning },
            None => Self { above: 0.0, below: 1e100, meaning },
        }
    }
}

fn names(units: &'static [Unit]) -> Vec<&'static str> {
    units.iter().map(|unit| unit.name).collect()
}

impl Reader<'_> {
    /// A range within bounds. One number is refused where it would pretend to a certainty that
    /// nobody has.
    pub(super) fn span(
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

    /// R102 for a quantity without its unit.
    pub(super) fn with_unit(&mut self, key: &str, given: Option<&Spanned<Given>>, unit: bool) {
        if let Some(given) = given.filter(|_| !unit) {
            let names: Vec<&str> = match key {
                "conductivity" => names(CONDUCTIVITY),
                "transmissivity" => names(TRANSMISSIVITY),
                "half_life" => names(TIME),
                _ => LengthUnit::ALL.map(LengthUnit::name).to_vec(),
            };
            self.refuse(
                &given.span(),
                format!("{key} has no unit"),
                format!("add {key}_unit = \"{}\"", names.join("\" or \"")),
            );
        }
    }
}

//! `[[left_out]]`, `[[judged_points]]` and `[[accepted]]`: decisions about wells, heads and findings, each with
//! its reason and who made it.

use geo::Coord;
use jiff::civil::Date;
use serde::Deserialize;
use toml::{Spanned, Value};

use super::bounds::Bound;
use super::reader::{OneOrMore, Reader};
use crate::diag::{Accepted, Code, Diagnostic, Severity, listed};
use crate::read::features::types::Judgement;
use crate::read::wells::left_out::LeftOut;

/// `[[left_out]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct LeftOutKeys {
    well: Spanned<String>,
    round: Option<Spanned<String>>,
    reason: Spanned<String>,
    by: Spanned<String>,
}

/// `[[accepted]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct AcceptedKeys {
    code: Spanned<String>,
    well: Option<Spanned<OneOrMore>>,
    round: Option<Spanned<String>>,
    reason: Spanned<String>,
    by: Spanned<String>,
    date: Option<Spanned<Value>>,
}

/// `[[judged_points]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct JudgedPointKeys {
    name: Option<Spanned<String>>,
    #[serde(alias = "longitude")]
    easting: Spanned<f64>,
    #[serde(alias = "latitude")]
    northing: Spanned<f64>,
    head: Spanned<f64>,
    reason: Spanned<String>,
    by: Spanned<String>,
    round: Option<Spanned<String>>,
    aquifer_unit: Option<Spanned<String>>,
}

/// A judged point as it is declared.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredPoint {
    pub(in crate::read) name: Option<String>,
    /// As in the register.
    pub(in crate::read) position: Coord,
    /// Elevation unit.
    pub(in crate::read) head: f64,
    pub(in crate::read) judgement: Judgement,
}

impl Reader<'_> {
    /// A judged point; nothing where a number is out of bounds.
    pub(in crate::read) fn judged_point(&mut self, keys: JudgedPointKeys) -> Option<DeclaredPoint> {
        let origin = self.origin(&keys.head.span());
        let x = self.number("easting", Some(keys.easting), Bound::POSITION);
        let y = self.number("northing", Some(keys.northing), Bound::POSITION);
        let head = self.number("head", Some(keys.head), Bound::LEVEL);
        let mut words = |key, given: Option<Spanned<String>>| {
            given.and_then(|given| self.words(key, Some(given)))
        };
        let name = words("name", keys.name);
        let judgement = Judgement {
            reason: words("reason", Some(keys.reason)).unwrap_or_default(),
            by: words("by", Some(keys.by)).unwrap_or_default(),
            round: words("round", keys.round),
            aquifer_unit: words("aquifer_unit", keys.aquifer_unit),
            origin,
        };
        Some(DeclaredPoint { name, position: Coord { x: x?, y: y? }, head: head?, judgement })
    }

    /// A well left out; every key but `round` is needed, and none may be empty.
    pub(in crate::read) fn left_out(&mut self, keys: LeftOutKeys) -> LeftOut {
        let origin = self.origin(&keys.well.span());
        let mut words = |key, given| self.words(key, given).unwrap_or_default();
        LeftOut {
            well: words("well", Some(keys.well)),
            reason: words("reason", Some(keys.reason)),
            by: words("by", Some(keys.by)),
            round: keys.round.map(|round| words("round", Some(round))),
            origin,
        }
    }

    /// An accepted finding: `code`, `reason` and `by` are needed, and none may be empty. R143 for a code
    /// that there is not, and for one of an error.
    pub(in crate::read) fn accepted(&mut self, keys: AcceptedKeys) -> Option<Accepted> {
        let origin = self.origin(&keys.code.span());
        let code = self.acceptable(&keys.code);
        let wells = keys.well.map_or_else(Vec::new, |given| {
            let span = given.span();
            let names = match given.into_inner() {
                OneOrMore::One(name) => vec![name],
                OneOrMore::More(names) => names,
            };
            let names: Vec<String> = names.iter().map(|name| name.trim().to_owned()).collect();
            if names.is_empty() || names.iter().any(String::is_empty) {
                self.refuse(
                    &span,
                    "well is empty".to_owned(),
                    "name the wells of the finding, or remove the line for one of the whole site",
                );
            }
            names
        });
        let date = keys.date.and_then(|given| self.day(&given));
        let mut words = |key, given| self.words(key, given).unwrap_or_default();
        let reason = words("reason", Some(keys.reason));
        let by = words("by", Some(keys.by));
        let round = keys.round.map(|round| words("round", Some(round)));
        Some(Accepted { code: code?, wells, round, reason, by, date, origin })
    }

    /// The code of a finding that may be accepted.
    fn acceptable(&mut self, given: &Spanned<String>) -> Option<Code> {
        let name = given.get_ref().trim();
        let mut refuse = |text: String, advice: String| {
            let at = self.origin(&given.span());
            self.said.push(Diagnostic::new(Code::NotAcceptable, text).at(&at).advice(advice));
            None
        };
        let Some(code) = Code::named(name) else {
            let likely = Code::like(name).filter(|code| code.may_be_accepted());
            let likely = listed(likely.map(|c| format!("{} ({})", c.id(), c.title())));
            let advice = match likely.as_str() {
                "" => "give the code that is before the finding, such as C308".to_owned(),
                likely => format!("did you mean {likely}?"),
            };
            return refuse(
                format!("[[accepted]]: there is no finding \"{}\"", given.get_ref().trim()),
                advice,
            );
        };
        let title = code.title();
        if code.severity() == Severity::Refusal {
            return refuse(
                format!("[[accepted]]: {code} ({title}) is an error, and no map is drawn with it"),
                format!("remove the entry and mend the cause: docs/findings.md, {code}"),
            );
        }
        if !code.may_be_accepted() {
            return refuse(
                format!("[[accepted]]: {code} ({title}) speaks of an entry under [[accepted]]"),
                "correct or remove that entry".to_owned(),
            );
        }
        Some(code)
    }

    /// A day, as a date of TOML or between quotes.
    fn day(&mut self, given: &Spanned<Value>) -> Option<Date> {
        let text = match given.get_ref() {
            Value::String(text) => text.trim().to_owned(),
            other => other.to_string(),
        };
        let day = text.parse().ok().filter(|_| text.len() == "2026-05-04".len());
        if day.is_none() {
            self.refuse(
                &given.span(),
                format!("date = {text} is not a day"),
                "write year-month-day, such as 2026-05-04",
            );
        }
        day
    }
}

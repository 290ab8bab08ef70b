//! `[tables]` and `[columns]`, and how dates and times are written: how tables are to be read.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::Spanned;

use super::reader::{OneOrMore, Reader};
use crate::diag::Origin;
use crate::read::files::input::line_of;
use crate::read::files::names::SITE_TOML;
use crate::read::table::columns::{self, Column};
use crate::read::table::moment::DateRule;
use crate::read::table::rules::{DeclaredColumn, NOT_USED, Rules};
use crate::read::table::zone::SiteZone;

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct TableKeys {
    pub(super) delimiter: Option<Spanned<String>>,
    pub(super) decimal: Option<Spanned<String>>,
    pub(super) worksheet: Option<Spanned<String>>,
    pub(super) register: Option<Spanned<String>>,
    pub(super) layer: Option<Spanned<String>>,
}

/// The file of the register, where it is named.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredRegister {
    /// Counted from the site folder.
    pub(in crate::read) file: String,
    /// Where it is named.
    pub(in crate::read) origin: Origin,
}

impl Reader<'_> {
    pub(super) fn register(&mut self, given: Option<Spanned<String>>) -> Option<DeclaredRegister> {
        let given = given?;
        let origin = self.origin(&given.span());
        let file = self.words("register", Some(given))?;
        Some(DeclaredRegister { file, origin })
    }

    pub(super) fn rules(
        &mut self,
        tables: TableKeys,
        date_format: Option<Spanned<String>>,
        time_zone: Option<Spanned<String>>,
    ) -> Rules {
        let worksheet = self.words("worksheet", tables.worksheet);
        let layer = self.words("layer", tables.layer);
        let mut rules = Rules { worksheet, layer, ..Rules::default() };
        if let Some(given) = tables.delimiter {
            match given.get_ref().as_str() {
                d @ ("," | ";" | "\t" | "|") => rules.delimiter = d.bytes().next(),
                other => self.refuse(
                    &given.span(),
                    format!("delimiter = {other:?} is not a delimiter that headfall reads"),
                    "write \",\" \";\" \"\\t\" or \"|\", or remove the line to have it detected",
                ),
            }
        }
        if let Some(given) = tables.decimal {
            match given.get_ref().as_str() {
                "." => rules.decimal_comma = Some(false),
                "," => rules.decimal_comma = Some(true),
                other => self.refuse(
                    &given.span(),
                    format!("decimal = {other:?} is not a decimal mark"),
                    "write \".\" or \",\"",
                ),
            }
        }
        if let Some(given) = date_format {
            match DateRule::of(given.get_ref().trim()) {
                Ok(rule) => rules.dates = rule,
                Err(why) => self.refuse(
                    &given.span(),
                    format!("date_format = {:?} cannot be used: {why}", given.get_ref()),
                    "write a pattern such as \"%m/%d/%Y\", \"%d.%m.%Y\" or \"%m/%d/%Y %H:%M\"",
                ),
            }
        }
        if let Some(given) = time_zone {
            match SiteZone::named(given.get_ref().trim()) {
                Some(zone) => rules.dates = rules.dates.in_zone(Some(zone)),
                None => self.refuse(
                    &given.span(),
                    format!("time_zone = {:?} is not a time zone", given.get_ref()),
                    "write a name of the IANA time zone database, such as \"America/Denver\", or an \
                     offset from UTC, such as \"-07:00\"",
                ),
            }
        }
        rules
    }

    pub(super) fn columns(
        &mut self,
        given: BTreeMap<Spanned<String>, OneOrMore>,
    ) -> Vec<DeclaredColumn> {
        let mut declared = Vec::new();
        for (name, headings) in given {
            let column = columns::named(name.get_ref());
            let headings = match headings {
                OneOrMore::One(heading) => vec![heading],
                OneOrMore::More(headings) if name.get_ref() == NOT_USED => headings,
                OneOrMore::More(_) => {
                    self.refuse(
                        &name.span(),
                        format!("[columns] gives several headings for {}", name.get_ref()),
                        "give one heading; only not_used takes a list",
                    );
                    continue;
                }
            };
            if column.is_some() || name.get_ref() == NOT_USED {
                let line = line_of(self.text.as_bytes(), name.span().start);
                declared.extend(headings.iter().map(|heading| DeclaredColumn {
                    column,
                    heading: heading.trim().to_owned(),
                    origin: Origin::line(SITE_TOML, line),
                    found: false,
                }));
                continue;
            }
            let mut known: Vec<&str> = Column::ALL.iter().map(|c| c.name()).collect();
            known.push(NOT_USED);
            self.refuse(
                &name.span(),
                format!("[columns] has no column \"{}\"", name.get_ref()),
                format!("the columns are {}", known.join(", ")),
            );
        }
        declared
    }
}

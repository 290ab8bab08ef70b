//! The rounds of a site.

use std::collections::HashMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::round::Round;
use crate::diag::{Code, Diagnostic, did_you_mean, listed};
use crate::read::files::input_file::InputFile;
use crate::read::register::wells::names_in_order;
use crate::read::settings::of_site::Settings;
use crate::read::table::columns::{self, Column};
use crate::read::table::layout;
use crate::read::table::rows::{Row, shown};
use crate::read::table::rules::How;
use crate::read::table::unread_columns;
use crate::read::wells::reading::Moment;
use crate::units::LengthUnit;

use super::elevations::depths_are_clear;
use super::newest;
use super::one_of::{self, Asked};
use super::open::{has_measurements, open};
use super::readings;
use super::round_files::{RoundFile, unclear};
use super::settle::{self, Rows};
use super::times;

/// The rounds of a site: files that are read when they are asked for, or rounds that are there.
#[derive(Debug, Clone)]
pub struct Rounds(Source);

#[derive(Debug, Clone)]
enum Source {
    Files(Arc<RoundTables>),
    /// With the names of rounds beside them that were not read.
    Given(Vec<Arc<Round>>, Vec<String>),
}

/// The files of the rounds, and what must be known to read them.
#[derive(Debug)]
pub(in crate::read) struct RoundTables {
    pub(in crate::read) files: Vec<RoundFile>,
    pub(in crate::read) how: How,
    /// Names of wells with their places in the register, those of faulty rows too; nothing when the register
    /// could not be read.
    pub(in crate::read) names: HashMap<String, usize>,
    /// The refusal of depths, where no table of the site has measuring points.
    pub(in crate::read) no_points: Option<Diagnostic>,
    /// Elevations of measuring points as the register gives them, by the number of the well.
    pub(in crate::read) elevations: Vec<(usize, f64)>,
    /// The unit of these elevations, where it is known.
    pub(in crate::read) unit: Option<LengthUnit>,
    /// The longest time a round may take, hours.
    pub(in crate::read) window_h: f64,
    /// The site's own tables, by name.
    pub(in crate::read) tables: Vec<String>,
}

impl Rounds {
    /// Rounds that are read already. The last one counts as the newest.
    #[must_use]
    pub const fn given(rounds: Vec<Arc<Round>>) -> Self {
        Self(Source::Given(rounds, Vec::new()))
    }

    /// One round of a table that holds others, too.
    pub(in crate::read) fn one_of(round: Arc<Round>, among: Vec<String>) -> Self {
        Self(Source::Given(vec![round], among))
    }

    pub(in crate::read) const fn files(tables: Arc<RoundTables>) -> Self {
        Self(Source::Files(tables))
    }

    /// Their names, each of which [`Site::round`](crate::Site::round) takes. Rounds that are files are sorted
    /// by file; a file that holds several has them under their own names, the oldest first, and is read
    /// for it.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        match &self.0 {
            Source::Files(tables) => tables.files.iter().flat_map(|f| tables.names(f)).collect(),
            Source::Given(rounds, _) => rounds.iter().map(|r| r.name.clone()).collect(),
        }
    }

    /// The last day before a round on which the site was read, and the files that say so.
    pub(in crate::read) fn before(&self, round: &Round) -> Option<(Date, Vec<InputFile>)> {
        let days = |round: &Round| -> Vec<Date> {
            round.readings.iter().filter_map(|r| r.moment).map(Moment::date).collect()
        };
        let first = days(round).into_iter().min()?;
        match &self.0 {
            Source::Files(tables) => newest::before(&tables.files, &tables.how, first),
            Source::Given(rounds, _) => {
                let all = rounds.iter().flat_map(|r| days(r)).filter(|day| *day < first);
                all.max().map(|day| (day, Vec::new()))
            }
        }
    }

    /// The names of all rounds, of those too that the table holds and that were not read.
    pub(crate) fn known(&self) -> Vec<String> {
        let mut names = self.names();
        if let Source::Given(_, among) = &self.0 {
            names.extend_from_slice(among);
        }
        names
    }

    /// The round of a name, or the newest. Nothing when a refusal was said that leaves nothing to give.
    pub(in crate::read) fn read(
        &self,
        settings: &Settings,
        name: Option<&str>,
        said: &mut Vec<Diagnostic>,
    ) -> Option<Arc<Round>> {
        match &self.0 {
            Source::Files(tables) => {
                let rows = tables.rows(name, said)?;
                Some(Arc::new(settle::round(settings, rows, said)))
            }
            Source::Given(rounds, _) => {
                let found = match name {
                    None => rounds.last(),
                    Some(name) => rounds.iter().find(|r| r.name == name),
                };
                if found.is_none() {
                    let known = self.names();
                    said.push(none_of(name.unwrap_or_default(), &known, &listed(&known)));
                }
                found.cloned()
            }
        }
    }
}

impl RoundTables {
    /// Chooses the file of the round: the one of the name `wanted`, or the one with readings of the
    /// day, the month or the year `wanted`, else the one with the newest reading; and what is asked
    /// of the file itself. R111 when that is not clear.
    fn choose<'a>(
        &self,
        wanted: Option<&'a str>,
        said: &mut Vec<Diagnostic>,
    ) -> Option<(RoundFile, Option<&'a str>)> {
        if let Some(wanted) = wanted {
            let bare = wanted.strip_suffix(".csv").unwrap_or(wanted);
            let named = |r: &&RoundFile| {
                r.name == wanted
                    || r.name == bare
                    || r.path.file_name().is_some_and(|n| n == wanted)
            };
            if let Some(found) = self.files.iter().find(named) {
                return Some((found.clone(), None));
            }
            let mut meant = newest::of_day(&self.files, &self.how, wanted);
            if meant.is_empty() {
                let has = |r: &&RoundFile| self.names(r).iter().any(|name| name == wanted);
                meant = self.files.iter().filter(has).collect();
            }
            return match meant.as_slice() {
                [one] => Some(((*one).clone(), Some(wanted))),
                [] => {
                    let known: Vec<String> =
                        self.files.iter().flat_map(|file| self.names(file)).collect();
                    let names = listed(self.files.iter().map(|file| self.listed(file)));
                    said.push(none_of(wanted, &known, &names));
                    None
                }
                several => {
                    let names = listed(several.iter().map(|r| r.name.as_str()));
                    said.push(unclear(
                        format!("\"{}\" is in several rounds: {names}", shown(wanted)),
                        "name one of these with --round, without folder and .csv",
                    ));
                    None
                }
            };
        }
        let file = match self.files.as_slice() {
            [] => None,
            [only] => Some(only.clone()),
            several => newest::of(several, &self.how, said),
        };
        Some((file?, None))
    }

    /// The names of the rounds of a file: its own, or those of the rounds that it holds.
    fn names(&self, file: &RoundFile) -> Vec<String> {
        let mut how = self.how.clone();
        // What is wrong with the file is said when it is mapped.
        let mut unsaid = Vec::new();
        let opened = open(&file.path, &file.file, columns::ROUND, &mut how, &mut unsaid);
        let names = opened.map(|(table, layout)| {
            one_of::names(&table, layout, self.window_h, |part| {
                readings::read(&table, part, &how.rules, None, &mut unsaid)
            })
        });
        names.filter(|names| !names.is_empty()).unwrap_or_else(|| vec![file.name.clone()])
    }

    /// A file in a list of rounds, with the rounds that it holds, the newest first.
    fn listed(&self, file: &RoundFile) -> String {
        match self.names(file).as_slice() {
            [_] => file.name.clone(),
            several => format!("{} ({})", file.name, listed(several.iter().rev())),
        }
    }

    /// Reads the rows of a round. Nothing when a refusal was said that leaves nothing to give.
    pub(in crate::read) fn rows(
        &self,
        wanted: Option<&str>,
        said: &mut Vec<Diagnostic>,
    ) -> Option<Rows> {
        let (chosen, wanted) = self.choose(wanted, said)?;
        let mut how = self.how.clone();
        let file = &chosen.file;
        let (table, layout) = open(&chosen.path, file, columns::ROUND, &mut how, said)?;
        let named = layout.require(&table, &[Column::Id], said);
        let measured = has_measurements(&table, &layout, said);
        layout.bare_product(&table, said);
        times::timeless(&table, &layout, said);
        let id = layout.place(Column::Id);
        let mut elevations: HashMap<&str, f64> = HashMap::new();
        if !layout.bare_days().is_empty() {
            let wells = names_in_order(&self.names);
            let named = |(well, elevation): &(usize, f64)| (wells[*well], *elevation);
            elevations.extend(self.elevations.iter().map(named));
        }
        let elevation = |row: &Row<'_>| elevations.get(row.cell(id?)).copied();
        let clear = depths_are_clear(&table, &layout, self.unit, elevation, said);
        let tables = self.tables.iter().map(String::as_str).chain([file.as_str()]);
        layout::unused(&how.columns, &tables.collect::<Vec<_>>(), said);
        unread_columns::tell(&table, &layout, columns::ROUND, &how.columns, said);
        let inputs = table.inputs.clone();
        // Without any well, every name would be unknown: that is not worth saying.
        let known = !self.names.is_empty();
        let register = self.tables.first().map_or("", String::as_str);
        let names = known.then_some((&self.names, register));
        if !(named && measured && clear) {
            let stated = layout.stated;
            return Some(Rows { name: chosen.name, readings: Vec::new(), stated, inputs });
        }
        let asked = Asked { wanted, window_h: self.window_h };
        let round = one_of::read(&table, layout, asked, said, |part, said| {
            ((), readings::read(&table, part, &how.rules, names, said))
        })?;
        if known && readings::from_measuring_points(&round.readings) {
            // Where the register says something else about its elevations, that was said.
            let asked = said.iter().any(|d| d.code == Code::ColumnAmbiguous);
            said.extend(self.no_points.clone().filter(|_| !asked));
        }
        let stated = round.part.stated();
        let name = round.name.unwrap_or(chosen.name);
        Some(Rows { name, readings: round.readings, stated, inputs })
    }
}

fn none_of(wanted: &str, known: &[String], names: &str) -> Diagnostic {
    let otherwise = "name one of these with --round, without folder and .csv";
    let advice = did_you_mean(wanted, known.iter().map(String::as_str), otherwise);
    unclear(format!("there is no round \"{}\"; the rounds are {names}", shown(wanted)), &advice)
}

//! Which round of a site folder is mapped.

#![expect(clippy::disallowed_methods, reason = "rounds are found by the names of their files")]

use std::path::{Path, PathBuf};

use jiff::civil::{Date, Time};

use crate::diag::{Code, Diagnostic, Origin, listed};

use super::cells::Cells;
use super::columns::{self, Column};
use super::heading;
use super::input;
use super::layout::{self, Layout};
use super::round;
use super::settings::Declared;
use super::table::{Table, shown};
use super::types::Moment;

/// The folder of the rounds.
pub(super) const ROUNDS: &str = "rounds";

/// The columns that say when.
const WHEN: [Column; 3] = [Column::Date, Column::Time, Column::DateTime];

/// A round's file.
#[derive(Debug, Clone)]
pub(super) struct RoundFile {
    /// The round's name: the file's name without the ending.
    pub(super) name: String,
    /// The file's name inside the site folder.
    pub(super) file: String,
    /// The file.
    pub(super) path: PathBuf,
}

/// The day of a round's newest reading, with its time where the newest day has one.
type Newest = (Date, Option<Time>);

/// Chooses the round: the one `wanted`, else the one with the newest reading. R111 when that is
/// not clear.
pub(super) fn choose(
    folder: &Path,
    wanted: Option<&str>,
    declared: &Declared,
    said: &mut Vec<Diagnostic>,
) -> Option<RoundFile> {
    let rounds = list(folder, said)?;
    let names: Vec<&str> = rounds.iter().map(|r| r.name.as_str()).collect();
    if let Some(wanted) = wanted {
        let bare = wanted.strip_suffix(".csv").unwrap_or(wanted);
        let found = rounds.iter().find(|r| r.name == wanted || r.name == bare);
        if found.is_none() {
            said.push(unclear(
                format!(
                    "there is no round \"{}\"; the rounds are {}",
                    shown(wanted),
                    listed(names)
                ),
                "name one of these with --round, without the folder and the ending",
            ));
        }
        return found.cloned();
    }
    if let [only] = rounds.as_slice() {
        return Some(only.clone());
    }
    newest_of(&rounds, declared, said)
}

fn newest_of(
    rounds: &[RoundFile],
    declared: &Declared,
    said: &mut Vec<Diagnostic>,
) -> Option<RoundFile> {
    let mut dated: Vec<(Newest, &RoundFile)> = Vec::new();
    let mut undated: Vec<Undated> = Vec::new();
    let mut faults = Vec::new();
    for round in rounds {
        match newest(round, declared, &mut faults) {
            Some(Ok(newest)) => dated.push((newest, round)),
            Some(Err(why)) => undated.push(why),
            None => {}
        }
    }
    if !faults.is_empty() {
        said.append(&mut faults);
        said.push(unclear(
            "the newest round is not clear as long as dates cannot be read".to_owned(),
            "correct the dates, or name the round with --round",
        ));
        return None;
    }
    if !undated.is_empty() {
        said.extend(undated.into_iter().map(Undated::diagnostic));
        return None;
    }
    let day = dated.iter().map(|((day, _), _)| *day).max()?;
    dated.retain(|((d, _), _)| *d == day);
    if dated.iter().all(|((_, time), _)| time.is_some()) {
        let time = dated.iter().filter_map(|((_, time), _)| *time).max();
        dated.retain(|((_, t), _)| *t == time);
    }
    if let [(_, round)] = dated.as_slice() {
        return Some((*round).clone());
    }
    let names: Vec<&str> = dated.iter().map(|(_, r)| r.name.as_str()).collect();
    said.push(unclear(
        format!("the rounds {} are equally new: {day}", listed(names)),
        "name the round with --round",
    ));
    None
}

/// A round without any date, which may be the newest.
struct Undated {
    file: String,
    heading_line: u64,
    why: NoDate,
}

/// Why a round has no date.
enum NoDate {
    /// It has no rows.
    Empty,
    /// Its date cells are empty.
    Blank,
    /// None of these headings is known to be a date's.
    NoColumn(Vec<String>),
}

impl Undated {
    /// R111 about this round.
    fn diagnostic(self) -> Diagnostic {
        let origin = Origin::line(&self.file, self.heading_line);
        let (why, advice) = match self.why {
            NoDate::Empty => (
                "has headings and no rows".to_owned(),
                "fill it, take it out of the folder, or name the round to map with --round"
                    .to_owned(),
            ),
            NoDate::Blank => (
                "has no date in its date column".to_owned(),
                "fill the date column, or name the round with --round".to_owned(),
            ),
            NoDate::NoColumn(headings) => {
                let example = layout::suggested(Column::Date, headings.iter().map(String::as_str))
                    .unwrap_or("the heading of the dates");
                let headings: Vec<String> =
                    headings.iter().map(|h| format!("\"{}\"", shown(h))).collect();
                (
                    format!("has no date column; headings found: {}", headings.join(", ")),
                    format!(
                        "name the column under [columns] in site.toml, such as date = \"{}\", \
                         or name the round with --round",
                        shown(example)
                    ),
                )
            }
        };
        Diagnostic::new(
            Code::RoundUnclear,
            format!("the newest round is not clear: {} {why}", self.file),
        )
        .at(&origin)
        .advice(advice)
    }
}

/// Whether a file in the folder of the rounds is one. Editors and spreadsheets leave hidden and
/// lock files behind.
pub(super) fn is_round(file: &Path) -> bool {
    let hidden = file.file_name().is_some_and(|n| n.to_string_lossy().starts_with(['.', '~']));
    !hidden && file.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"))
}

/// The files of the rounds, sorted by name.
fn list(folder: &Path, said: &mut Vec<Diagnostic>) -> Option<Vec<RoundFile>> {
    const ADVICE: &str = "put each round into a file of its own, such as rounds/2026-04-14.csv";
    let entries =
        std::fs::read_dir(folder.join(ROUNDS)).and_then(Iterator::collect::<Result<Vec<_>, _>>);
    let entries = match entries {
        Ok(entries) => entries,
        Err(e) => {
            said.push(
                Diagnostic::new(
                    Code::FileUnreadable,
                    format!("the folder {ROUNDS} cannot be read: {e}"),
                )
                .at(&Origin::file(ROUNDS))
                .advice(ADVICE),
            );
            return None;
        }
    };
    let mut rounds: Vec<RoundFile> = entries
        .into_iter()
        .map(|entry| entry.path())
        .filter(|path| is_round(path))
        .filter_map(|path| {
            let name = path.file_stem()?.to_string_lossy().into_owned();
            let file = format!("{ROUNDS}/{}", path.file_name()?.to_string_lossy());
            Some(RoundFile { name, file, path })
        })
        .collect();
    rounds.sort_by(|a, b| a.file.cmp(&b.file));
    if rounds.is_empty() {
        said.push(unclear(format!("the folder {ROUNDS} has no .csv file"), ADVICE));
        return None;
    }
    Some(rounds)
}

/// The newest reading of a round, or why it has none; nothing where a fault was said. Only what
/// hides a date is said.
fn newest(
    round: &RoundFile,
    declared: &Declared,
    faults: &mut Vec<Diagnostic>,
) -> Option<Result<Newest, Undated>> {
    let rules = &declared.rules;
    let names = &declared.columns;
    let known = |h: &str| {
        heading::recognise(h, columns::ROUND).is_some()
            || names.iter().any(|n| n.heading == h.trim())
    };
    let table = input::load(&round.path, &round.file)
        .and_then(|text| Table::open(text, rules.delimiter, rules.decimal_comma, known))
        .map_err(|fault| faults.push(*fault))
        .ok()?;
    // What else is wrong with a round that is not mapped is nobody's concern here.
    let mut ignored = Vec::new();
    let before = faults.len();
    Layout::of(&table, &WHEN, &mut declared.columns.clone(), faults);
    let layout = Layout::of(&table, columns::ROUND, &mut declared.columns.clone(), &mut ignored);
    let mut newest: Option<Newest> = None;
    let mut rows = false;
    table.each_row(&mut ignored, |row, _| {
        rows = true;
        let cells = Cells { row: *row, layout: &layout, rules };
        if let Ok(Some(moment)) = round::moment(&cells, faults) {
            let key = match moment {
                Moment::Time(t) => (t.date(), Some(t.time())),
                Moment::Day(d) => (d, None),
            };
            newest = newest.max(Some(key));
        }
    });
    // A row that cannot be read hides its date.
    faults.extend(ignored.into_iter().filter(|d| d.code == Code::RowMalformed));
    if faults.len() > before {
        return None;
    }
    Some(newest.ok_or_else(|| {
        let has_column = layout.has(Column::Date) || layout.has(Column::DateTime);
        let why = match (rows, has_column) {
            (false, _) => NoDate::Empty,
            (true, true) => NoDate::Blank,
            (true, false) => {
                NoDate::NoColumn(table.headings.iter().filter(|h| !h.is_empty()).cloned().collect())
            }
        };
        Undated { file: round.file.clone(), heading_line: table.heading_line, why }
    }))
}

fn unclear(message: String, advice: &str) -> Diagnostic {
    Diagnostic::new(Code::RoundUnclear, message).at(&Origin::file(ROUNDS)).advice(advice)
}

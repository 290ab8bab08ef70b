//! A folder without `site.toml`: one table that is a register, and tables of readings.

#![expect(
    clippy::disallowed_methods,
    reason = "the tables of a folder are found by what they hold"
)]

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin, listed};
use crate::read::files::input;
use crate::read::files::names::{ROUNDS, SITE_TOML, WELLS};
use crate::read::register::wells::{GLOBE, PLANE};
use crate::read::rounds::open;
use crate::read::rounds::readings::MEASUREMENTS;
use crate::read::rounds::round_files::RoundFile;
use crate::read::table::columns::{self, Column};
use crate::read::table::rows::shown;
use crate::read::table::rules::How;
#[cfg(feature = "formats")]
use crate::read::table::workbook;

use super::source;

/// What such a folder's tables end in, besides workbooks and vector files.
const ENDINGS: [&str; 3] = ["csv", "txt", "tsv"];

/// The tables of a site that nothing is declared of.
#[derive(Debug)]
pub(in crate::read) struct Undeclared {
    /// The register's file.
    pub(in crate::read) register: String,
    /// The sheets of the register and of the readings, where both are in one workbook.
    pub(in crate::read) sheets: Option<(String, String)>,
    /// The tables of readings, sorted by name.
    pub(in crate::read) rounds: Vec<RoundFile>,
}

impl Undeclared {
    /// What the site is called: as its folder, or as its workbook.
    pub(in crate::read) fn name(&self, folder: &Path) -> String {
        if let (Some(_), Some(workbook)) = (&self.sheets, self.rounds.first()) {
            return workbook.name.clone();
        }
        let path = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
        let name = path.file_name().unwrap_or(path.as_os_str());
        name.to_string_lossy().into_owned()
    }
}

/// What a table is to a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Register,
    Readings,
    /// Wells and readings in one.
    Both,
}

impl Kind {
    const fn words(self) -> &'static str {
        match self {
            Self::Register => "positions",
            Self::Readings => "readings",
            Self::Both => "positions and readings",
        }
    }
}

/// The register and the readings of a folder without `site.toml`. Nothing where it has no such
/// tables, and R101 where they are not clear.
pub(in crate::read) fn tables(folder: &Path) -> Result<Option<Undeclared>, Box<Diagnostic>> {
    // A site folder that only lacks its settings is told so.
    if input::there(&folder.join(ROUNDS)) || input::there(&folder.join(WELLS)) {
        return Ok(None);
    }
    let kinds: Vec<(String, Kind)> =
        names(folder).into_iter().filter_map(|n| kind(folder, &n, None).map(|k| (n, k))).collect();
    let of = |kind: Kind| kinds.iter().filter(move |(_, k)| *k == kind).map(|(n, _)| n);
    let mut registers = of(Kind::Register);
    let readings = of(Kind::Readings);
    if let (Some(register), None) = (registers.next(), registers.next())
        && of(Kind::Both).next().is_none()
    {
        let rounds = readings.map(|file| RoundFile {
            name: Path::new(file).file_stem().unwrap_or_default().to_string_lossy().into_owned(),
            file: file.clone(),
            path: folder.join(file),
        });
        let rounds: Vec<RoundFile> = rounds.collect();
        if !rounds.is_empty() {
            return Ok(Some(Undeclared { register: register.clone(), sheets: None, rounds }));
        }
    }
    if kinds.is_empty() {
        return Ok(None);
    }
    let found = listed(kinds.iter().map(|(name, kind)| format!("{name} ({})", kind.words())));
    Err(Box::new(
        Diagnostic::new(
            Code::FileUnreadable,
            format!(
                "there is no {SITE_TOML}, and the tables do not show which one has the wells and \
                 which the readings: {found}"
            ),
        )
        .at(&Origin::file(SITE_TOML))
        .advice(
            "keep one table of wells with their positions and the tables of their readings in a \
             folder of their own; give a table with positions and readings by its file name; or \
             make a site folder, as docs/site-folder.md describes it",
        ),
    ))
}

/// The register and the readings of a workbook that has one sheet of each.
#[cfg(feature = "formats")]
pub(in crate::read) fn of_workbook(path: &Path) -> Option<Undeclared> {
    let folder = input::or_here(path.parent()?);
    let file = path.file_name()?.to_string_lossy().into_owned();
    let sheets = workbook::sheets(path);
    if sheets.len() < 2 {
        return None;
    }
    let kinds: Vec<(Kind, String)> =
        sheets.into_iter().filter_map(|s| Some((kind(folder, &file, Some(&s))?, s))).collect();
    let ([(Kind::Register, register), (Kind::Readings, readings)]
    | [(Kind::Readings, readings), (Kind::Register, register)]) = kinds.as_slice()
    else {
        return None;
    };
    let name = path.file_stem()?.to_string_lossy().into_owned();
    Some(Undeclared {
        register: file.clone(),
        sheets: Some((register.clone(), readings.clone())),
        rounds: vec![RoundFile { name, file, path: path.to_owned() }],
    })
}

/// R135: which table is read as what.
pub(in crate::read) fn told(tables: &Undeclared) -> Diagnostic {
    let Undeclared { register, sheets, rounds } = tables;
    let text = if let Some((wells, readings)) = sheets {
        format!(
            "sheet \"{}\" of {register} is read as the register, sheet \"{}\" as readings",
            shown(wells),
            shown(readings)
        )
    } else {
        let files = listed(rounds.iter().map(|r| &r.file));
        format!("there is no {SITE_TOML}: {register} is read as the register, {files} as readings")
    };
    Diagnostic::new(Code::TablesTaken, text)
        .at(&Origin::file(register))
        .advice("add a site.toml to declare the name, the CRS, units and the vertical datum")
}

/// What a table is by its columns; nothing where it is neither.
fn kind(folder: &Path, name: &str, sheet: Option<&str>) -> Option<Kind> {
    let mut how = How::default();
    how.rules.worksheet = sheet.map(str::to_owned);
    let (_, layout) = source::open(folder, name, columns::SINGLE, &mut how, &mut Vec::new())?;
    if !layout.has(Column::Id) {
        return None;
    }
    let placed = [PLANE, GLOBE].iter().any(|(x, y)| layout.has(*x) && layout.has(*y));
    match (placed, MEASUREMENTS.iter().any(|c| layout.has(*c))) {
        (true, false) => Some(Kind::Register),
        (false, true) => Some(Kind::Readings),
        (true, true) => Some(Kind::Both),
        (false, false) => None,
    }
}

fn names(folder: &Path) -> Vec<String> {
    let entries = input::or_here(folder).read_dir().into_iter().flatten().flatten();
    let mut names: Vec<String> = entries
        .filter(|entry| entry.path().is_file())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| !name.starts_with(['.', '~']))
        .filter(|name| {
            let ending = Path::new(name).extension().map(|e| e.to_string_lossy().to_lowercase());
            open::is_workbook(Path::new(name))
                || open::is_layer(Path::new(name))
                || ending.is_some_and(|e| ENDINGS.contains(&e.as_str()))
        })
        .collect();
    names.sort();
    names
}

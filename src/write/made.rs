//! How results were made: by which program, from which files, and what the command line said.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::read::{InputFile, Overrides, Round, Site};

/// What makes results.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Command {
    /// [`crate::run::draw`].
    #[default]
    Draw,
    /// [`crate::run::toward`].
    Toward,
    /// [`crate::run::toward`] of all rounds.
    TowardOverRounds,
    /// [`crate::run::cross_validate`].
    CrossValidate,
    /// [`crate::run::record`].
    Record,
    /// [`crate::run::compare`].
    Compare,
    /// [`crate::run::form`].
    Form,
}

/// What was asked for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct AskedFor {
    /// What it was.
    pub command: Command,
    /// The site was this one table of a folder.
    pub table: Option<String>,
    /// The earlier round and the later one, of a comparison of two.
    pub between: Option<[String; 2]>,
    /// The day of the next round, of a field sheet for it.
    pub day: Option<String>,
    /// What the command line said.
    pub overrides: Overrides,
}

/// How the results of a folder were made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// The program, its version and the commit that it was built from.
    pub program: String,
    /// What was asked, as JSON: a [`Command`] as `command`, the site's one table as `table`, two rounds as `between`, a day as `day`, and of
    /// [`Overrides`] what is not usual.
    pub asked: String,
    /// Every file that was read, in the order of their names.
    pub inputs: Vec<InputFile>,
}

impl Made {
    /// Results that this program makes.
    pub(crate) fn now<'i>(
        asked: &AskedFor,
        inputs: impl IntoIterator<Item = &'i InputFile>,
    ) -> Self {
        let mut inputs: Vec<InputFile> = inputs.into_iter().cloned().collect();
        inputs.sort_by(|a, b| a.file.cmp(&b.file).then_with(|| a.sha256.cmp(&b.sha256)));
        inputs.dedup();
        Self { program: program(), asked: asked.text(), inputs }
    }

    /// What was asked for; `None` where another version asked for something that this one does not know.
    #[must_use]
    pub fn asked(&self) -> Option<AskedFor> {
        let mut asked: Value = serde_json::from_str(&self.asked).ok()?;
        let members = asked.as_object_mut()?;
        let command = serde_json::from_value(members.remove("command")?).ok()?;
        let [table, between, day] = ["table", "between", "day"].map(|name| members.remove(name));
        Some(AskedFor {
            command,
            table: table.map(serde_json::from_value).transpose().ok()?,
            between: between.map(serde_json::from_value).transpose().ok()?,
            day: day.map(serde_json::from_value).transpose().ok()?,
            overrides: serde_json::from_value(asked).ok()?,
        })
    }

    /// The lines of the record that say so.
    pub(super) fn text(&self) -> String {
        let mut text = format!("{PROGRAM}{}\n{ASKED}{}\n", self.program, self.asked);
        for input in &self.inputs {
            let _ = writeln!(text, "{READ}{}  {}", input.sha256, input.file);
        }
        text
    }

    /// The same from such lines.
    pub(super) fn parse(lines: &[&str]) -> Option<Self> {
        let read = lines.iter().filter_map(|line| line.strip_prefix(READ));
        let input = |line: &str| {
            let (sha256, file) = line.split_once("  ")?;
            Some(InputFile { file: file.to_owned(), sha256: sha256.to_owned() })
        };
        Some(Self {
            program: lines.iter().find_map(|line| line.strip_prefix(PROGRAM))?.to_owned(),
            asked: lines.iter().find_map(|line| line.strip_prefix(ASKED))?.to_owned(),
            inputs: read.map(input).collect::<Option<_>>()?,
        })
    }
}

/// How the lines begin.
const PROGRAM: &str = "# by ";
const ASKED: &str = "# asked ";
const READ: &str = "# read ";

/// This program.
pub(crate) fn program() -> String {
    let commit = env!("HEADFALL_COMMIT");
    let version = concat!("headfall ", env!("CARGO_PKG_VERSION"));
    if commit.is_empty() { version.to_owned() } else { format!("{version} ({commit})") }
}

impl AskedFor {
    /// What was asked of a site.
    pub(crate) fn of(command: Command, site: &Site) -> Self {
        let (table, overrides) = (site.table.clone(), site.asked.clone());
        Self { command, table, overrides, ..Self::default() }
    }

    /// With the name of the round: it was the newest then, where no other was asked for.
    pub(crate) fn of_round(command: Command, site: &Site, round: &Round) -> Self {
        let mut asked = Self::of(command, site);
        asked.overrides.round = Some(round.name.clone());
        asked
    }

    /// On one line: what is usual is left out.
    pub(super) fn text(&self) -> String {
        let mut asked = value(&self.overrides);
        let usual = value(&Overrides::default());
        if let (Some(asked), Some(usual)) = (asked.as_object_mut(), usual.as_object()) {
            asked.retain(|name, value| usual.get(name) != Some(value));
            asked.insert("command".to_owned(), value(&self.command));
            asked.extend(self.table.as_ref().map(|table| ("table".to_owned(), value(table))));
            asked.extend(self.between.as_ref().map(|both| ("between".to_owned(), value(both))));
            asked.extend(self.day.as_ref().map(|day| ("day".to_owned(), value(day))));
        }
        asked.to_string()
    }
}

fn value(of: &impl Serialize) -> Value {
    serde_json::to_value(of).expect("this is a bug in headfall: what was asked is no JSON")
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use super::*;

    #[test]
    fn what_is_usual_is_left_out_and_all_comes_back() {
        assert_eq!(AskedFor::default().text(), r#"{"command":"draw"}"#);
        let overrides = Overrides {
            cell: Some(0.1 + 0.2),
            round: Some("spring 2026".to_owned()),
            ..Overrides::default()
        };
        let input = |file: &str, sha256: &str| InputFile {
            file: file.to_owned(),
            sha256: sha256.to_owned(),
        };
        let inputs =
            [input("wells.csv", "b"), input("rounds/a  b.csv", "a"), input("wells.csv", "b")];
        let table = Some("levels.xlsx".to_owned());
        let between = Some(["spring".to_owned(), "autumn".to_owned()]);
        let day = Some("2026-04-14".to_owned());
        let asked = AskedFor { command: Command::CrossValidate, table, between, day, overrides };
        let made = Made::now(&asked, &inputs);
        let text = made.text();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 4, "the same file is there once: {text}");
        let back = Made::parse(&lines).unwrap();
        assert_eq!(back, made);
        assert_eq!(back.asked().unwrap(), asked);
        assert!(Made::parse(&lines[1..]).is_none(), "of a program that is not named");
    }
}

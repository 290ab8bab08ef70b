//! `[sheet.title_block]`: what a firm writes on its figures.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use super::reader::Reader;
use super::sheet_file::SheetFile;

/// What a firm writes on its figures. What is not declared is not on them.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TitleBlock {
    /// The file of its logo.
    pub logo: Option<SheetFile>,
    /// The firm.
    pub firm: Option<String>,
    /// The client.
    pub client: Option<String>,
    /// The project.
    pub project: Option<String>,
    /// Its number.
    pub project_number: Option<String>,
    /// The title of the figure.
    pub title: Option<String>,
    /// Its number.
    pub figure: Option<String>,
    /// Who drew it.
    pub drawn_by: Option<String>,
    /// Who checked it.
    pub checked_by: Option<String>,
    /// The date as it is to be written.
    pub date: Option<String>,
    /// The revision.
    pub revision: Option<String>,
    /// A note in free words.
    pub note: Option<String>,
    /// Whether there is an empty box for a seal.
    pub seal: bool,
}

/// The table.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct TitleBlockKeys {
    logo: Option<Spanned<String>>,
    firm: Option<Spanned<String>>,
    client: Option<Spanned<String>>,
    project: Option<Spanned<String>>,
    project_number: Option<Spanned<String>>,
    title: Option<Spanned<String>>,
    figure: Option<Spanned<String>>,
    drawn_by: Option<Spanned<String>>,
    checked_by: Option<Spanned<String>>,
    date: Option<Spanned<String>>,
    revision: Option<Spanned<String>>,
    note: Option<Spanned<String>>,
    seal: bool,
}

impl TitleBlockKeys {
    /// What they declare; R102 for what is empty.
    pub(super) fn read(self, reader: &mut Reader) -> TitleBlock {
        TitleBlock {
            logo: self.logo.and_then(|logo| reader.sheet_file("logo", logo)),
            firm: reader.words("firm", self.firm),
            client: reader.words("client", self.client),
            project: reader.words("project", self.project),
            project_number: reader.words("project_number", self.project_number),
            title: reader.words("title", self.title),
            figure: reader.words("figure", self.figure),
            drawn_by: reader.words("drawn_by", self.drawn_by),
            checked_by: reader.words("checked_by", self.checked_by),
            date: reader.words("date", self.date),
            revision: reader.words("revision", self.revision),
            note: reader.words("note", self.note),
            seal: self.seal,
        }
    }
}

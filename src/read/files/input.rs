//! A file's bytes: read once, hashed, and held to be text.

#![expect(clippy::disallowed_methods, reason = "every input is opened here")]

use std::fmt::Write as _;
use std::fs::File;
use std::io;
use std::io::Read as _;
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::diag::{Code, Diagnostic, Origin, no_character};

use super::encoding;
use super::input_file::InputFile;

pub(in crate::read) use super::encoding::line_of;

/// A text file of the site.
#[derive(Debug)]
#[expect(clippy::struct_field_names, reason = "the text is what it is")]
pub(in crate::read) struct Text {
    /// Its text without a byte order mark.
    pub(in crate::read) text: String,
    /// The file, as the user would name it inside the site folder.
    pub(in crate::read) name: String,
    /// The names and hashes of the files that it was read from.
    pub(in crate::read) inputs: Vec<InputFile>,
    /// What it was before it was text.
    pub(in crate::read) form: Form,
    /// What is to be said of how it was read.
    pub(in crate::read) told: Vec<Diagnostic>,
}

/// What a table is in its file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::read) enum Form {
    Text,
    /// A sheet of a workbook, each row at the line of its number.
    #[cfg(feature = "formats")]
    Sheet,
    /// A layer of a vector file, each feature at the line behind its number.
    Layer,
}

impl Text {
    fn plain(text: String, input: InputFile, told: Vec<Diagnostic>) -> Self {
        Self { text, name: input.file.clone(), inputs: vec![input], form: Form::Text, told }
    }
}

/// Reads a file as UTF-8 text.
///
/// # Errors
/// R101 when it cannot be read, is no regular file or not UTF-8, or holds what no text has.
pub(in crate::read) fn load(path: &Path, name: &str) -> Result<Text, Box<Diagnostic>> {
    let (bytes, input) = named_bytes(path, name)?;
    let text = encoding::utf8(bytes, name)?;
    Ok(Text::plain(text, input, Vec::new()))
}

/// The same of a file that need not be there.
///
/// # Errors
/// Those of [`load`].
pub(in crate::read) fn load_if_there(
    path: &Path,
    name: &str,
) -> Result<Option<Text>, Box<Diagnostic>> {
    if there(path) { load(path, name).map(Some) } else { Ok(None) }
}

/// Reads a file as text in the encoding that it shows (R133).
///
/// # Errors
/// Those of [`load`], but for other encodings that can be told.
pub(in crate::read) fn load_table(path: &Path, name: &str) -> Result<Text, Box<Diagnostic>> {
    let (bytes, input) = named_bytes(path, name)?;
    let (text, told) = encoding::text(bytes, name)?;
    Ok(Text::plain(text, input, told.into_iter().collect()))
}

/// The bytes of a file whose name can be told, with its name and hash.
///
/// # Errors
/// R101 when it cannot be read or is no regular file.
pub(in crate::read) fn named_bytes(
    path: &Path,
    name: &str,
) -> Result<(Vec<u8>, InputFile), Box<Diagnostic>> {
    let refuse = |message: String| Diagnostic::new(Code::FileUnreadable, message);
    if let Some((_, code_point)) = no_character(name) {
        return Err(Box::new(
            refuse(format!(
                "the name of {name} has the code point {code_point}, which is not a character"
            ))
            .at(&Origin::file(name))
            .advice("rename the file"),
        ));
    }
    let (bytes, sha256) = bytes(path).map_err(|e| {
        refuse(format!("{name} cannot be read: {e}"))
            .at(&Origin::file(name))
            .advice("check the path, its spelling and your permission to read the file")
    })?;
    Ok((bytes, InputFile { file: name.to_owned(), sha256 }))
}

/// A file's bytes and their SHA-256 in hexadecimal.
///
/// # Errors
/// Those of [`open`].
pub(in crate::read) fn bytes(path: &Path) -> io::Result<(Vec<u8>, String)> {
    let mut bytes = Vec::new();
    open(path)?.read_to_end(&mut bytes)?;
    let sha256 = hexadecimal(&Sha256::digest(&bytes));
    Ok((bytes, sha256))
}

/// SHA-256 of a file's bytes, in hexadecimal.
///
/// # Errors
/// Those of [`open`].
pub(crate) fn hash(path: &Path) -> io::Result<String> {
    let (mut file, mut hasher) = (open(path)?, Sha256::new());
    let mut part = vec![0; 1 << 16];
    loop {
        match file.read(&mut part)? {
            0 => return Ok(hexadecimal(&hasher.finalize())),
            read => hasher.update(&part[..read]),
        }
    }
}

/// Whether anything stands under a name, be it a link that leads nowhere.
pub(in crate::read) fn there(path: &Path) -> bool {
    !path.symlink_metadata().is_err_and(|e| e.kind() == io::ErrorKind::NotFound)
}

/// A folder; the working folder where a path names none.
pub(in crate::read) fn or_here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}

/// Opens a regular file, or one that a link leads to. What is none is not opened: a pipe or a
/// device may have no end.
///
/// # Errors
/// Those of the system, and one that says what stands there when it is no regular file.
fn open(path: &Path) -> io::Result<File> {
    let about = path.metadata().map_err(|e| match e.kind() {
        io::ErrorKind::PermissionDenied => e,
        _ if path.is_symlink() => io::Error::other("it is a link to a missing file"),
        _ => e,
    })?;
    if about.is_file() {
        return File::open(path);
    }
    Err(io::Error::other(if about.is_dir() {
        "it is a folder, not a file"
    } else {
        "it is a pipe, a socket or a device, not a file"
    }))
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

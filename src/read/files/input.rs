//! A file's bytes: read once, hashed, and held to be text.

#![expect(clippy::disallowed_methods, reason = "every input is opened here")]

use std::fmt::Write as _;
use std::fs::File;
use std::io;
use std::io::Read as _;
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::diag::{Code, Diagnostic, Origin, no_character};

use super::input_file::InputFile;

/// A text file of the site.
#[derive(Debug)]
pub(in crate::read) struct Text {
    /// Its text without a byte order mark.
    pub(in crate::read) text: String,
    /// Its name and hash.
    pub(in crate::read) input: InputFile,
}

/// Reads a file as UTF-8 text.
///
/// # Errors
/// R101 when it cannot be read, is no regular file or not UTF-8, or holds what no text has.
pub(in crate::read) fn load(path: &Path, name: &str) -> Result<Text, Box<Diagnostic>> {
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
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(Box::new(
            refuse(format!("{name} is UTF-16 text, not UTF-8"))
                .at(&Origin::line(name, 1))
                .advice(SAVE_AS_UTF8),
        ));
    }
    if let Some(at) = bytes.iter().position(|b| *b == 0) {
        return Err(Box::new(
            refuse(format!("{name} is not a text file: it has a NUL byte"))
                .at(&Origin::line(name, line_of(&bytes, at)))
                .advice("give the table as comma-separated text, not as a workbook or an archive"),
        ));
    }
    let mut text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(e) => {
            let at = e.utf8_error().valid_up_to();
            let bytes = e.as_bytes();
            let line = line_of(bytes, at);
            return Err(Box::new(
                refuse(format!("{name} is not UTF-8 text: byte 0x{:02X}", bytes[at]))
                    .at(&Origin::line(name, line))
                    .advice(SAVE_AS_UTF8),
            ));
        }
    };
    if let Some((at, code_point)) = no_character(&text) {
        return Err(Box::new(
            refuse(format!("{name} has the code point {code_point}, which is not a character"))
                .at(&Origin::line(name, line_of(text.as_bytes(), at)))
                .advice("retype the cell or the line: most editors do not show this character"),
        ));
    }
    if text.starts_with('\u{feff}') {
        text.drain(..'\u{feff}'.len_utf8());
    }
    if text.contains('\r') && !text.contains('\n') {
        // Lines that end as on the first Macintoshes, which some spreadsheets still write.
        text = text.replace('\r', "\n");
    }
    Ok(Text { text, input: InputFile { file: name.to_owned(), sha256 } })
}

/// The line of a byte, counted from 1.
pub(in crate::read) fn line_of(bytes: &[u8], at: usize) -> u64 {
    bytes[..at.min(bytes.len())].split(|b| *b == b'\n').count() as u64
}

const SAVE_AS_UTF8: &str = "save the file as UTF-8; in a spreadsheet's save dialog choose \
                            \"CSV UTF-8\", in a text editor the encoding UTF-8";

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

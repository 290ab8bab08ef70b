//! A file's bytes: read once, hashed, and held to be text.

use std::path::Path;

use sha2::{Digest, Sha256};

use crate::diag::{Code, Diagnostic, Origin};

use super::types::InputFile;

/// A text file of the site.
#[derive(Debug)]
pub(super) struct Text {
    /// Its text without a byte order mark.
    pub(super) text: String,
    /// Its name and hash.
    pub(super) input: InputFile,
}

/// Reads a file as UTF-8 text.
///
/// # Errors
/// R101 when it cannot be read, is not UTF-8, or holds bytes that no text has.
pub(super) fn load(path: &Path, name: &str) -> Result<Text, Box<Diagnostic>> {
    let refuse = |message: String| Diagnostic::new(Code::FileUnreadable, message);
    let bytes = std::fs::read(path).map_err(|e| {
        refuse(format!("{name} cannot be read: {e}"))
            .at(&Origin::file(name))
            .advice("check the path, the spelling and the right to read it")
    })?;
    let sha256 = hexadecimal(&Sha256::digest(&bytes));
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
pub(super) fn line_of(bytes: &[u8], at: usize) -> u64 {
    bytes[..at.min(bytes.len())].split(|b| *b == b'\n').count() as u64
}

const SAVE_AS_UTF8: &str = "save the file as UTF-8; in a spreadsheet's save dialog choose \
                            \"CSV UTF-8\", in a text editor the encoding UTF-8";

/// SHA-256 of a file's bytes, in hexadecimal.
pub(crate) fn hash(path: &Path) -> std::io::Result<String> {
    let mut file = std::fs::File::open(path)?;
    let mut hasher = Sha256::new();
    std::io::copy(&mut file, &mut hasher)?;
    Ok(hexadecimal(&hasher.finalize()))
}

fn hexadecimal(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    bytes
        .iter()
        .flat_map(|b| [DIGITS[usize::from(b >> 4)], DIGITS[usize::from(b & 15)]])
        .map(char::from)
        .collect()
}

/// The name and the hash of a file of any kind.
///
/// # Errors
/// R101 when it cannot be read.
pub(super) fn file(path: &Path, name: &str) -> Result<InputFile, Diagnostic> {
    let read = || -> std::io::Result<String> {
        let mut hash = Sha256::new();
        let mut file = std::fs::File::open(path)?;
        let mut part = vec![0; 1 << 16];
        loop {
            match std::io::Read::read(&mut file, &mut part)? {
                0 => return Ok(hexadecimal(&hash.finalize())),
                count => hash.update(&part[..count]),
            }
        }
    };
    let sha256 = read().map_err(|e| {
        Diagnostic::new(Code::FileUnreadable, format!("{name} cannot be read: {e}"))
            .advice("check the path, the spelling and the right to read it")
    })?;
    Ok(InputFile { file: name.to_owned(), sha256 })
}

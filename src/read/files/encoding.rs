//! Bytes to text.

use chardetng::{EncodingDetector, Iso2022JpDetection, Utf8Detection};
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE};

use crate::diag::{Code, Diagnostic, Origin, no_character};

const SAVE_AS_UTF8: &str = "save the file as UTF-8; in a spreadsheet's save dialog choose \
                            \"CSV UTF-8\", in a text editor the encoding UTF-8";

/// So much of a text in UTF-16 without a mark is looked at, bytes.
const LOOKED_AT: usize = 1000;

/// The longest word that shows how a text was read, characters.
const LONGEST_WORD: usize = 30;

/// UTF-8 text without a byte order mark.
///
/// # Errors
/// R101 when it is not UTF-8, or holds what no text has.
pub(in crate::read) fn utf8(bytes: Vec<u8>, name: &str) -> Result<String, Box<Diagnostic>> {
    if let Some((encoding, _)) = Encoding::for_bom(&bytes).filter(|(e, _)| *e != UTF_8) {
        return Err(Box::new(
            refuse(format!("{name} is {} text, not UTF-8", utf16(encoding)))
                .at(&Origin::line(name, 1))
                .advice(SAVE_AS_UTF8),
        ));
    }
    no_nul(&bytes, name)?;
    let text = String::from_utf8(bytes)
        .map_err(|e| not_utf8(e.as_bytes(), e.utf8_error().valid_up_to(), name))?;
    plain(text, name)
}

/// Text in UTF-8, UTF-16 or the older encoding that its bytes show, with the note of it (R133).
///
/// # Errors
/// R101 when it is in none, or holds what no text has.
pub(in crate::read) fn text(
    bytes: Vec<u8>,
    name: &str,
) -> Result<(String, Option<Diagnostic>), Box<Diagnostic>> {
    let bytes = match String::from_utf8(bytes) {
        Ok(text) if !text.contains('\0') => return Ok((plain(text, name)?, None)),
        Ok(text) => text.into_bytes(),
        Err(e) => e.into_bytes(),
    };
    let marked = Encoding::for_bom(&bytes).map(|(encoding, _)| encoding);
    let wide = marked.filter(|e| *e != UTF_8).or_else(|| without_mark(&bytes));
    if let Some(encoding) = wide {
        let (text, _, broken) = encoding.decode(&bytes);
        if broken || text.contains('\0') {
            return Err(Box::new(
                refuse(format!(
                    "{name} is not a text file, although it begins as {}",
                    utf16(encoding)
                ))
                .at(&Origin::line(name, 1))
                .advice(SAVE_AS_UTF8),
            ));
        }
        let note = told(name, utf16(encoding), &text);
        return Ok((plain(text.into_owned(), name)?, Some(note)));
    }
    no_nul(&bytes, name)?;
    let valid = std::str::from_utf8(&bytes).map_or_else(|e| e.valid_up_to(), str::len);
    // A byte that does not belong into a text that is UTF-8 elsewhere is damage.
    let mixed = bytes.utf8_chunks().any(|chunk| !chunk.valid().is_ascii());
    let mut detector = EncodingDetector::new(Iso2022JpDetection::Deny);
    detector.feed(&bytes, true);
    let encoding = detector.guess(None, Utf8Detection::Deny);
    let (text, _, broken) = encoding.decode(&bytes);
    let control = |c: char| c.is_control() && !matches!(c, '\t' | '\r' | '\n');
    if mixed || broken || text.contains(control) {
        return Err(Box::new(not_utf8(&bytes, valid, name)));
    }
    let note = told(name, encoding.name(), &text);
    Ok((plain(text.into_owned(), name)?, Some(note)))
}

/// The encoding of UTF-16 text that no mark begins: of plain letters every second byte is 0.
fn without_mark(bytes: &[u8]) -> Option<&'static Encoding> {
    let start = &bytes[..bytes.len().min(LOOKED_AT)];
    let nuls = |odd: usize| start.iter().skip(odd).step_by(2).filter(|b| **b == 0).count();
    let (even, odd, half) = (nuls(0), nuls(1), start.len() / 4);
    match (even, odd) {
        _ if bytes.len() % 2 == 1 => None,
        (0, odd) if odd > half => Some(UTF_16LE),
        (even, 0) if even > half => Some(UTF_16BE),
        _ => None,
    }
}

/// R133: the encoding, and the first word that shows whether it is the right one.
fn told(name: &str, encoding: &str, text: &str) -> Diagnostic {
    let mark = |c: char| c.is_whitespace() || ",;|\"".contains(c);
    let word = text.split(mark).find(|w| !w.is_ascii() && *w != "\u{feff}");
    let shows = word.map_or(String::new(), |word| {
        format!(", such as \"{}\"", word.chars().take(LONGEST_WORD).collect::<String>())
    });
    Diagnostic::new(Code::EncodingRead, format!("{name} is read as {encoding}, not UTF-8{shows}"))
        .at(&Origin::file(name))
        .advice("if letters with accents are wrong, save the file as UTF-8")
}

/// The usual name of UTF-16, whichever byte comes first.
fn utf16(encoding: &'static Encoding) -> &'static str {
    if encoding == UTF_16LE || encoding == UTF_16BE { "UTF-16" } else { encoding.name() }
}

fn no_nul(bytes: &[u8], name: &str) -> Result<(), Box<Diagnostic>> {
    let Some(at) = bytes.iter().position(|b| *b == 0) else { return Ok(()) };
    Err(Box::new(
        refuse(format!("{name} is not a text file: it has a NUL byte"))
            .at(&Origin::line(name, line_of(bytes, at)))
            .advice("give the table as comma-separated text, not as a workbook or an archive"),
    ))
}

fn not_utf8(bytes: &[u8], at: usize, name: &str) -> Diagnostic {
    refuse(format!("{name} is not UTF-8 text: byte 0x{:02X}", bytes[at]))
        .at(&Origin::line(name, line_of(bytes, at)))
        .advice(SAVE_AS_UTF8)
}

/// A text without a byte order mark, its lines ended as everywhere.
fn plain(mut text: String, name: &str) -> Result<String, Box<Diagnostic>> {
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
    Ok(text)
}

fn refuse(message: String) -> Diagnostic {
    Diagnostic::new(Code::FileUnreadable, message)
}

/// The line of a byte, counted from 1.
pub(in crate::read) fn line_of(bytes: &[u8], at: usize) -> u64 {
    bytes[..at.min(bytes.len())].split(|b| *b == b'\n').count() as u64
}

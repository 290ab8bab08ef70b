//! A PDF whose first page has a viewport: the page is written once more behind the file, with the viewport in it.
//!
//! The library that writes the PDF has no way to a page's dictionary.

use std::io;
use std::str;

/// How the dictionary of a page begins.
const PAGE: &[u8] = b"<</Type/Page/";

/// The PDF with these entries in the dictionary of its first page: an incremental update.
///
/// # Errors
/// When the PDF is not laid out as the library lays it out.
///
/// # References
/// ISO 32000-1:2008, 7.5.6, incremental updates, and 7.5.4, the cross-reference table.
pub(super) fn with(mut pdf: Vec<u8>, entries: &str) -> io::Result<Vec<u8>> {
    let unlike = || io::Error::other("this is a bug in headfall: its PDF has another layout");
    let (number, page) = page(&pdf).ok_or_else(unlike)?;
    let (trailer, table) = end(&pdf).ok_or_else(unlike)?;
    let page = page.strip_suffix(">>").ok_or_else(unlike)?;
    let trailer = trailer.strip_suffix(">>").ok_or_else(unlike)?;
    let place = pdf.len() + 1;
    let object = format!("\n{number} 0 obj\n{page}{entries}>>\nendobj\n");
    let next = pdf.len() + object.len();
    let update = format!(
        "{object}xref\n{number} 1\n{place:010} 00000 n \ntrailer\n{trailer}/Prev {table}>>\nstartxref\n{next}\n%%EOF"
    );
    pdf.extend_from_slice(update.as_bytes());
    Ok(pdf)
}

/// The number and the dictionary of the first page.
fn page(pdf: &[u8]) -> Option<(u32, String)> {
    let start = find(pdf, PAGE)?;
    let header = pdf[..start].strip_suffix(b" 0 obj\n")?;
    let digits = header.iter().rev().take_while(|b| b.is_ascii_digit()).count();
    let number = str::from_utf8(&header[header.len() - digits..]).ok()?.parse().ok()?;
    let length = find(&pdf[start..], b"\nendobj")?;
    Some((number, str::from_utf8(&pdf[start..start + length]).ok()?.trim_end().to_owned()))
}

/// The last trailer's dictionary, and where the cross-reference table before it is.
fn end(pdf: &[u8]) -> Option<(String, usize)> {
    let last = pdf.len().saturating_sub(2048);
    let tail = &pdf[last..];
    let from = tail.windows(8).rposition(|w| w == b"trailer\n")? + 8;
    let length = find(&tail[from..], b"startxref\n")?;
    let (trailer, rest) = tail[from..].split_at(length);
    let table = str::from_utf8(&rest[10..]).ok()?.lines().next()?.parse().ok()?;
    Some((str::from_utf8(trailer).ok()?.trim_end().to_owned(), table))
}

/// Where some bytes are first.
fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).position(|w| w == wanted)
}

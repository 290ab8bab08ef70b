//! A workbook of one sheet, as a spreadsheet saves it, without compression.
//!
//! # References
//! - Office Open XML, ECMA-376: a package of parts, sheets of rows and cells.
//! - APPNOTE.TXT of the ZIP format: local headers, central directory; CRC-32 of ISO 3309.

use std::fmt::Write as _;

/// The bytes of a workbook with one sheet: numbers as numbers, anything else as text.
pub(crate) fn xlsx(rows: &[Vec<String>]) -> Vec<u8> {
    const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
    let mut data = String::new();
    for (row, cells) in rows.iter().enumerate() {
        let _ = write!(data, "<row r=\"{}\">", row + 1);
        for (column, cell) in cells.iter().enumerate() {
            let at = format!("{}{}", name(column), row + 1);
            let _ = if cell.parse::<f64>().is_ok_and(f64::is_finite) {
                write!(data, "<c r=\"{at}\"><v>{cell}</v></c>")
            } else {
                let text = cell.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
                write!(data, "<c r=\"{at}\" t=\"inlineStr\"><is><t>{text}</t></is></c>")
            };
        }
        data += "</row>";
    }
    let relation = |kind: &str, target: &str| {
        format!(
            "<Relationships xmlns=\"{PACKAGE}\"><Relationship Id=\"rId1\" Type=\"{OFFICE}/{kind}\" \
             Target=\"{target}\"/></Relationships>"
        )
    };
    zip(&[
        ("_rels/.rels", &relation("officeDocument", "xl/workbook.xml")),
        (
            "xl/workbook.xml",
            &format!(
                "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{OFFICE}\"><sheets><sheet name=\"Gauging\" \
                 sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>"
            ),
        ),
        ("xl/_rels/workbook.xml.rels", &relation("worksheet", "worksheets/sheet1.xml")),
        (
            "xl/worksheets/sheet1.xml",
            &format!("<worksheet xmlns=\"{MAIN}\"><sheetData>{data}</sheetData></worksheet>"),
        ),
    ])
}

/// The letter of a column.
fn name(column: usize) -> char {
    char::from(b'A' + u8::try_from(column).expect("few columns"))
}

fn zip(parts: &[(&str, &str)]) -> Vec<u8> {
    let number = |n: usize| u32::try_from(n).expect("small").to_le_bytes();
    let short = |n: usize| u16::try_from(n).expect("small").to_le_bytes();
    let (mut bytes, mut directory) = (Vec::new(), Vec::new());
    for (name, text) in parts {
        let mut about = Vec::new();
        // Version 2.0, no flags, stored, midnight of the first day, CRC and both sizes.
        for word in [20_usize, 0, 0, 0, 0x21] {
            about.extend(short(word));
        }
        about.extend(crc(text.as_bytes()).to_le_bytes());
        about.extend([number(text.len()), number(text.len())].concat());
        about.extend([short(name.len()), short(0)].concat());
        let at = bytes.len();
        bytes.extend(*b"PK\x03\x04");
        bytes.extend_from_slice(&about);
        bytes.extend_from_slice(name.as_bytes());
        bytes.extend_from_slice(text.as_bytes());
        directory.extend(*b"PK\x01\x02\x14\x00");
        directory.extend_from_slice(&about);
        directory.extend([0_u8; 10]);
        directory.extend(number(at));
        directory.extend_from_slice(name.as_bytes());
    }
    let start = bytes.len();
    bytes.extend_from_slice(&directory);
    bytes.extend(*b"PK\x05\x06\x00\x00\x00\x00");
    bytes.extend([short(parts.len()), short(parts.len())].concat());
    bytes.extend([number(directory.len()), number(start)].concat());
    bytes.extend(short(0));
    bytes
}

fn crc(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xedb8_8320 & 0_u32.wrapping_sub(crc & 1));
        }
    }
    !crc
}

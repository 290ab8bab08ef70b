//! A font that a site names for letters that the built-in ones lack.

use std::sync::Arc;

use harfrust::FontRef;
use skrifa::MetadataProvider;
use skrifa::raw::TableProvider;

use super::face::{Bytes, Face};

/// The weights of regular and bold letters.
pub(crate) const REGULAR: f32 = 400.0;
pub(crate) const BOLD: f32 = 700.0;

/// What is wrong with a font, in words that follow its name, and what to do.
type Fault = (String, &'static str);

/// A font file of `[sheet] fonts`.
#[derive(Debug)]
pub struct SheetFont {
    regular: Face,
    /// Bold letters of a variable font; others have one weight, which is used for both.
    bold: Option<Face>,
}

impl SheetFont {
    /// Reads a font; of a collection, the first.
    pub(crate) fn read(bytes: Arc<Vec<u8>>) -> Result<Self, Fault> {
        let bytes: Bytes = bytes;
        usable((*bytes).as_ref())?;
        let damaged = || no_font(&"it is damaged");
        let regular = Face::read(&bytes, REGULAR).ok_or_else(damaged)?;
        let bold = if regular.has_weights() { Face::read(&bytes, BOLD) } else { None };
        Ok(Self { regular, bold })
    }

    pub(crate) fn face(&self, bold: bool) -> &Face {
        self.bold.as_ref().filter(|_| bold).unwrap_or(&self.regular)
    }
}

fn no_font(why: &dyn std::fmt::Display) -> Fault {
    (
        format!("is no font: {why}"),
        "name a TrueType or OpenType file (.ttf, .otf, .ttc); unpack a .woff or .zip first",
    )
}

/// Whether a sheet can be drawn with it and embed it.
///
/// # References
/// OpenType 1.9.1, `fsType` of `OS/2`: bits 0 to 3 are 2 where embedding needs the permission of the owner; bit 8 forbids
/// subsets, bit 9 all but bitmaps.
fn usable(bytes: &[u8]) -> Result<(), Fault> {
    let font = FontRef::from_index(bytes, 0).map_err(|e| no_font(&e))?;
    if !font.charmap().has_map() {
        return Err(no_font(&"it says of no character which glyph is its own"));
    }
    if font.outline_glyphs().format().is_none() {
        return Err((
            "has no outlines".to_owned(),
            "name a font of outlines; fonts of bitmaps, as some of emoji are, cannot be drawn",
        ));
    }
    let licence = font.os2().map_or(0, |os2| os2.fs_type());
    let forbids = match licence {
        l if l & 0xf == 2 => "forbids to embed it (fsType 2)",
        l if l & 0x100 != 0 => "forbids to embed a part of its letters (fsType, bit 8)",
        l if l & 0x200 != 0 => "allows to embed bitmaps only (fsType, bit 9)",
        _ => return Ok(()),
    };
    Err((
        format!("has a licence that {forbids}, and a sheet embeds its letters"),
        "name a font whose licence allows it, such as one under the SIL Open Font License",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEBREW: &[u8] = include_bytes!("../../../tests/data/fonts/hebrew.ttf");

    /// The font with another `fsType`, 8 bytes from the start of its table.
    fn licensed(fs_type: u16) -> Vec<u8> {
        let mut bytes = HEBREW.to_vec();
        let entry = bytes.windows(4).position(|w| w == b"OS/2").expect("a table");
        let at = u32::from_be_bytes(bytes[entry + 8..entry + 12].try_into().expect("four"));
        let at = usize::try_from(at).expect("small") + 8;
        bytes[at..at + 2].copy_from_slice(&fs_type.to_be_bytes());
        bytes
    }

    #[test]
    fn a_licence_against_embedding_is_refused() {
        for (fs_type, refused) in [(0, false), (2, true), (4, false), (6, false), (8, false)] {
            let read = SheetFont::read(Arc::new(licensed(fs_type)));
            assert_eq!(read.is_err(), refused, "{fs_type}");
        }
        for fs_type in [0x100, 0x200, 0x104] {
            let (words, _) = SheetFont::read(Arc::new(licensed(fs_type))).expect_err("refused");
            assert!(words.contains("licence"), "{words}");
        }
    }

    #[test]
    fn what_is_no_font_is_refused_and_nothing_panics() {
        let cut = |n: usize| HEBREW[..n].to_vec();
        for bytes in [Vec::new(), b"wOF2".to_vec(), cut(4), cut(200), vec![0; 4096]] {
            assert!(SheetFont::read(Arc::new(bytes)).is_err());
        }
        // Cut off or spoilt anywhere: refused, or read, but never a panic.
        for n in (0..HEBREW.len()).step_by(37) {
            let _ = SheetFont::read(Arc::new(cut(n)));
            let mut spoilt = HEBREW.to_vec();
            spoilt[n] ^= 0xff;
            let _ = SheetFont::read(Arc::new(spoilt));
        }
    }

    #[test]
    fn a_variable_font_has_two_weights_and_others_one() {
        let variable = include_bytes!("../../../tests/data/fonts/variable.ttf");
        let font = SheetFont::read(Arc::new(variable.to_vec())).expect("a font");
        // Of the weights 100 and 700, 200 and 600 units: half way at 400 (tests/data/fonts/subsets.py).
        for (bold, units) in [(false, 400), (true, 600)] {
            let mut text = harfrust::UnicodeBuffer::new();
            text.push_str("א");
            text.guess_segment_properties();
            assert_eq!(font.face(bold).shape(text).glyph_positions()[0].x_advance, units);
        }
        let plain = SheetFont::read(Arc::new(HEBREW.to_vec())).expect("a font");
        assert!(std::ptr::eq(plain.face(false), plain.face(true)));
    }
}

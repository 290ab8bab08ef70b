//! The built-in letters, and which letters a drawing may use.

use std::sync::{Arc, LazyLock};

use skrifa::MetadataProvider;

use crate::read::{BOLD, Bytes, Face, REGULAR, SheetFont};

/// The family's name.
pub(super) const FAMILY: &str = "Noto Sans";

/// The regular and the bold letters.
static FILES: [&[u8]; 2] =
    [include_bytes!("fonts/NotoSans-Regular.ttf"), include_bytes!("fonts/NotoSans-Bold.ttf")];

static BUILT_IN: LazyLock<[Face; 2]> = LazyLock::new(|| {
    let read = |file, weight| {
        let bytes: Bytes = Arc::new(file);
        Face::read(&bytes, weight).expect("this is a bug in headfall: its font is not one")
    };
    [read(FILES[0], REGULAR), read(FILES[1], BOLD)]
});

/// The fonts of a site for letters that the built-in ones lack, in their order.
pub(super) type Letters = Arc<[SheetFont]>;

/// One of the fonts of a drawing: the built-in one, or one of the site's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    BuiltIn,
    Named(usize),
}

impl Which {
    pub(super) fn face(self, letters: &[SheetFont], bold: bool) -> &Face {
        match self {
            Self::BuiltIn => &BUILT_IN[usize::from(bold)],
            Self::Named(i) => letters[i].face(bold),
        }
    }
}

/// Says of characters which font writes them.
pub(super) struct Writers<'a> {
    built_in: [skrifa::charmap::Charmap<'static>; 2],
    named: Vec<skrifa::charmap::Charmap<'a>>,
}

impl<'a> Writers<'a> {
    pub(super) fn of(letters: &'a [SheetFont]) -> Self {
        let built_in = BUILT_IN.each_ref().map(|face| face.font().charmap());
        // Both weights of a font have the same characters.
        let named = letters.iter().map(|font| font.face(false).font().charmap()).collect();
        Self { built_in, named }
    }

    /// Whether the built-in letters have a glyph for a character, in both weights.
    pub(super) fn is_built_in(&self, c: char) -> bool {
        !is_mark(c) && self.built_in.iter().all(|map| map.map(c).is_some())
    }

    /// The first font that has all characters of what is read as one.
    pub(super) fn of_cluster(&self, cluster: &str) -> Option<Which> {
        if cluster.chars().all(|c| self.is_built_in(c)) {
            return Some(Which::BuiltIn);
        }
        let has = |map: &skrifa::charmap::Charmap| {
            let has = |c| map.map(c).is_some_and(|glyph| glyph.to_u32() != 0);
            // What joins letters or parts them needs no glyph.
            cluster.chars().all(|c| !is_mark(c) && (has(c) || is_joiner(c)))
                && !cluster.chars().all(is_joiner)
        };
        self.named.iter().position(has).map(Which::Named)
    }
}

/// Characters that are never drawn: controls, and marks of direction, which may hide what a name is.
///
/// # References
/// Unicode Standard Annex #9, table 3: explicit and implicit marks of direction. U+FEFF and U+FFFE mark the order of bytes.
fn is_mark(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}')
        || matches!(c, '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fffe}')
}

/// Zero width joiner and non-joiner: they choose the forms of the letters beside them.
fn is_joiner(c: char) -> bool {
    matches!(c, '\u{200c}' | '\u{200d}')
}

/// Fonts of `tests/data/fonts`.
#[cfg(test)]
#[expect(clippy::disallowed_methods, reason = "a test reads its fonts")]
pub(super) fn fonts(files: &[&str]) -> Letters {
    let read = |file: &&str| {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fonts");
        let bytes = std::fs::read(path.join(file)).expect("a file");
        SheetFont::read(Arc::new(bytes)).expect("a font")
    };
    files.iter().map(read).collect()
}

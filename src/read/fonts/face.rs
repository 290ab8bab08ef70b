//! One weight of a font, ready to shape, outline and embed.

use std::fmt::{Debug, Formatter};
use std::sync::Arc;

use harfrust::{FontRef, GlyphBuffer, ShapeOptions, ShaperData, ShaperInstance, UnicodeBuffer};
use krilla::text::{Font, Tag};
use skrifa::MetadataProvider;
use skrifa::instance::Location;

/// The bytes of a font file, built in or read.
pub(crate) type Bytes = Arc<dyn AsRef<[u8]> + Send + Sync>;

/// The axis along which a variable font becomes bold.
const WEIGHT: &str = "wght";

/// One weight of the first font in a file.
pub(crate) struct Face {
    bytes: Bytes,
    shaping: ShaperData,
    /// Where a variable font is on its axes, in the three ways in which the libraries ask for it.
    instance: ShaperInstance,
    location: Location,
    embedded: Font,
    /// Units of the font in an em.
    em: f64,
}

impl Debug for Face {
    fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Face").field("em", &self.em).finish_non_exhaustive()
    }
}

impl Face {
    /// A face of a file. A variable font is taken at a weight, or as near to it as its axis reaches; one of another kind as
    /// it is.
    ///
    /// `None` if the file is no font, or a font that a PDF cannot embed.
    ///
    /// # References
    /// OpenType 1.9.1, `fvar` and `wght`: 400 is regular, 700 bold.
    pub(crate) fn read(bytes: &Bytes, weight: f32) -> Option<Self> {
        let data = (**bytes).as_ref();
        let font = FontRef::from_index(data, 0).ok()?;
        let axis = font.axes().iter().find(|axis| axis.tag() == *b"wght");
        let weight = axis.map(|axis| weight.clamp(axis.min_value(), axis.max_value()));
        let instance =
            ShaperInstance::from_variations(&font, weight.map(|weight| (WEIGHT, weight)));
        let location = font.axes().location(weight.map(|weight| (WEIGHT, weight)));
        let at: Vec<(Tag, f32)> =
            weight.map(|weight| (Tag::new(b"wght"), weight)).into_iter().collect();
        let embedded = Font::new_variable(Arc::clone(bytes).into(), 0, &at)?;
        let shaping = ShaperData::new(&font);
        let em = f64::from(shaping.shaper(&font).build().units_per_em());
        (em > 0.0).then(|| Self {
            bytes: Arc::clone(bytes),
            shaping,
            instance,
            location,
            embedded,
            em,
        })
    }

    /// Whether its file has an axis of weights.
    pub(crate) fn has_weights(&self) -> bool {
        self.font().axes().iter().any(|axis| axis.tag() == *b"wght")
    }

    /// The font itself.
    pub(crate) fn font(&self) -> FontRef<'_> {
        FontRef::from_index((*self.bytes).as_ref(), 0)
            .expect("this is a bug in headfall: a font that was read is none")
    }

    /// Where it is on the axes of a variable font.
    pub(crate) const fn location(&self) -> &Location {
        &self.location
    }

    /// The same for a PDF.
    pub(crate) const fn embedded(&self) -> &Font {
        &self.embedded
    }

    /// Units of the font in an em.
    pub(crate) const fn em(&self) -> f64 {
        self.em
    }

    /// Glyphs and their places, from left to right.
    pub(crate) fn shape(&self, text: UnicodeBuffer) -> GlyphBuffer {
        let shaper = self.shaping.shaper(&self.font());
        shaper.instance(Some(&self.instance)).build().shape(text, ShapeOptions::new())
    }
}

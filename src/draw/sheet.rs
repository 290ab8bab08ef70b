//! A drawing, and its bytes in each format.

use std::io;

use super::georeference::Georeference;
use super::scene::Scene;
use super::svg::Letters;
use super::{georeferenced, pdf, png, svg};

/// Several sheets as one PDF, a page for each.
///
/// # Errors
/// When the PDF library refuses a drawing.
pub fn pdf_of(sheets: &[Sheet]) -> io::Result<Vec<u8>> {
    let scenes: Vec<&Scene> = sheets.iter().flat_map(Sheet::pages).collect();
    pdf::pdf(&scenes)
}

/// A map sheet, the figure of a comparison or a sheet of a record, drawn and not yet written.
#[derive(Debug)]
pub struct Sheet {
    pub(super) scene: Scene,
    /// What has no room on it, for further pages of the PDF.
    pub(super) further: Vec<Scene>,
    pub(super) dpi: u16,
    pub(super) georeference: Option<Georeference>,
}

impl Sheet {
    fn pages(&self) -> impl Iterator<Item = &Scene> {
        std::iter::once(&self.scene).chain(&self.further)
    }

    /// The drawing as SVG text.
    #[must_use]
    pub fn svg(&self) -> String {
        svg::svg(&self.scene, Letters::Text)
    }

    /// The drawing as a PDF with real text and embedded fonts: the sheet, and pages of what has no room on it; that of a
    /// map with a CRS is georeferenced.
    ///
    /// # Errors
    /// When the PDF library refuses the drawing.
    pub fn pdf(&self) -> io::Result<Vec<u8>> {
        let bytes = pdf::pdf(&self.pages().collect::<Vec<_>>())?;
        match self.georeference.as_ref().and_then(Georeference::viewport) {
            Some(viewport) => georeferenced::with(bytes, &viewport),
            None => Ok(bytes),
        }
    }

    /// The world file beside the PNG: where on earth its dots are. `None` for drawings without a CRS.
    ///
    /// # Units
    /// - returns: CRS units
    ///
    /// # References
    /// Common practice: six lines, as general GIS programs read them.
    #[must_use]
    pub fn world_file(&self) -> Option<String> {
        Some(self.georeference.as_ref()?.world_file(self.dpi))
    }

    /// The drawing as PNG at the resolution that the settings ask for.
    ///
    /// # Units
    /// - `[sheet] dpi`: dots in an inch of paper
    ///
    /// # Errors
    /// When the picture is too large for the machine.
    pub fn png(&self) -> io::Result<Vec<u8>> {
        png::png(&svg::svg(&self.scene, Letters::Outlines), self.dpi)
    }
}

//! A drawing, and its bytes in each format.

use std::io;

use super::scene::Scene;
use super::svg::Letters;
use super::{pdf, png, svg};

/// A map sheet or the figure of a comparison, drawn and not yet written.
#[derive(Debug)]
pub struct Sheet {
    pub(super) scene: Scene,
    pub(super) dpi: u16,
}

impl Sheet {
    /// The drawing as SVG text.
    #[must_use]
    pub fn svg(&self) -> String {
        svg::svg(&self.scene, Letters::Text)
    }

    /// The drawing as a PDF of one page with real text and embedded fonts.
    ///
    /// # Errors
    /// When the PDF library refuses the drawing.
    pub fn pdf(&self) -> io::Result<Vec<u8>> {
        pdf::pdf(&self.scene)
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

//! Fonts where no sheet is built in: they are not looked at.

use std::sync::Arc;

/// A font, which nobody draws with.
#[derive(Debug)]
pub struct SheetFont(());

impl SheetFont {
    /// Whatever the file holds.
    #[expect(clippy::unnecessary_wraps, reason = "a font is read where the sheet is built in")]
    pub(in crate::read) fn read(_bytes: Arc<Vec<u8>>) -> Result<Self, (String, &'static str)> {
        Ok(Self(()))
    }
}

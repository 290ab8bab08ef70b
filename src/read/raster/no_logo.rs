//! The logo of the title block where no sheet is built in: it is not looked at.

use super::colours::PictureDots;

/// No dots, which nobody draws.
#[expect(clippy::unnecessary_wraps, reason = "a logo is read where the sheet is built in")]
pub(in crate::read) const fn dots(_bytes: &[u8]) -> Result<PictureDots, (String, &'static str)> {
    Ok(PictureDots { columns: 0, rows: 0, dots: Vec::new() })
}

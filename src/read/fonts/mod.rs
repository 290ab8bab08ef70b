//! The fonts of `[sheet] fonts`, for letters that the built-in ones lack.
//!
//! | file | what it does |
//! |---|---|
//! | `face` | one weight of a font, ready to shape, outline and embed |
//! | `sheet_font` | a font file, held against what a sheet needs |
//! | `without` | what is in their place where no sheet is built in |

#[cfg(feature = "sheet")]
pub(super) mod face;
#[cfg(feature = "sheet")]
pub(super) mod sheet_font;
#[cfg(not(feature = "sheet"))]
#[path = "without.rs"]
pub(super) mod sheet_font;

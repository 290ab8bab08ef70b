//! What is told of a surface of more wells than are worked on all at once.

use super::kriging::{BLOCK_WELLS, Fit};
use super::patches::PATCH_WELLS;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::WHOLE_SURFACE_WELLS;
use crate::read::{Fact, Method};

/// Words for a legend; empty where all wells are worked on at once.
pub(super) fn words(method: Method, wells: usize) -> String {
    if is_in_patches(method, wells) {
        format!(", in patches of {PATCH_WELLS} wells")
    } else {
        String::new()
    }
}

/// That the surface of so many wells, and the fit of its covariance, are not worked out from all of
/// them at once (M423); `None` where they are.
#[must_use]
pub(crate) fn many_wells_told(
    method: Method,
    fit: Option<&Fit>,
    wells: usize,
) -> Option<Diagnostic> {
    let mut what = Vec::new();
    if fit.is_some_and(|fit| fit.in_blocks) {
        what.push(format!(
            "the covariance is fitted to heads in blocks of at most {BLOCK_WELLS} wells, each \
             given the wells near it"
        ));
    }
    if is_in_patches(method, wells) {
        what.push(format!("heads are computed in overlapping patches of {PATCH_WELLS} wells"));
    }
    let text = format!("{} of {wells} control points: {}", method.name(), what.join("; "));
    (!what.is_empty()).then(|| Diagnostic::new(Code::ManyWells, text))
}

fn is_in_patches(method: Method, wells: usize) -> bool {
    method.has(Fact::Patches) && wells > WHOLE_SURFACE_WELLS
}

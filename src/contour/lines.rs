//! The stage itself: levels, segments, lines.

use crate::contour::Contours;
use crate::contour::levels::Levels;
use crate::contour::segments::segments;
use crate::contour::trace::trace;
use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::diag::Warned;
use crate::error::Error;
use crate::interpolate::Grid;
use crate::units::LengthUnit;

/// The lines of equal head of a grid.
///
/// Levels are `base + k interval` for whole `k`, strictly between the lowest and the highest
/// head; without an `interval` it is 1, 2 or 5 times the power of ten that gives nearest to ten
/// levels. A head equal to a level counts as below it. Lines are straight within a cell; where
/// opposite corners of a cell are above and below, the mean of its four heads decides which of
/// them are joined. Lines run with the higher ground on their left, close on themselves or end
/// at the edge of support: a cell with a node that has no head has no lines. Lines of different
/// levels never cross.
///
/// The result does not depend on the number of threads.
///
/// # Units
/// - `interval`, `base`: elevation unit, which is `unit`
/// - returns: levels in the elevation unit, vertices in CRS units
///
/// # Errors
/// [`Error::Map`] with M403 when the interval is not a positive number, when it would draw more
/// than [`crate::geom::tolerance::MOST_LEVELS`] levels, or when the base is no usable number.
///
/// The finding M405 tells that no level lies within the heads; the list of lines is then empty.
///
/// # References
/// Marching squares: the two-dimensional case of Lorensen and Cline (1987), Computer Graphics
/// 21(4), 163-169, doi:10.1145/37402.37422. `docs/surface.md`.
pub fn lines(
    grid: &Grid,
    interval: Option<f64>,
    base: f64,
    unit: LengthUnit,
) -> Result<Warned<Contours>, Error> {
    let range = grid.range();
    let Levels { interval, values } = Levels::choose(range, interval, base, unit)?;
    let findings =
        if values.is_empty() { vec![no_contours(range, interval, base, unit)] } else { vec![] };
    let lines = trace(grid, &values, &segments(grid, &values));
    Ok(Warned { value: Contours { interval, levels: values, lines }, findings })
}

fn no_contours(
    range: Option<(f64, f64)>,
    interval: f64,
    base: f64,
    unit: LengthUnit,
) -> Diagnostic {
    let Some((low, high)) = range else {
        return Diagnostic::new(
            Code::NoContours,
            "no node of the grid has a head to draw lines by",
        )
        .advice("set a smaller cell");
    };
    let from = if base == 0.0 { String::new() } else { format!(" from {base} {unit}") };
    let message = format!(
        "no whole multiple of the contour interval {interval} {unit}{from} lies between the \
         lowest head {low:.4} {unit} and the highest {high:.4} {unit}"
    );
    Diagnostic::new(Code::NoContours, message).advice(if low < high {
        "set a smaller interval, or leave it out and one is chosen from the heads"
    } else {
        "all heads are equal: there is no gradient to draw"
    })
}

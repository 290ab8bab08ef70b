//! The stage itself: levels, segments, lines.

use rayon::prelude::*;

use crate::contour::levels::Levels;
use crate::contour::types::{ContourLine, Contours};
use crate::contour::{nodes, planes};
use crate::diag;
use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::diag::Warned;
use crate::error::Error;
use crate::geom::Areas;
use crate::geom::tolerance::INTERVAL_HEAD_SDS;
use crate::interpolate::{Relief, RoundNumber, Surface};
use crate::units::{LengthUnit, brief, brief_to, round_to_significant};

/// The lines of equal head of a surface, ended at a boundary.
///
/// Levels are `base + k interval` for whole `k`, strictly between the lowest and the highest
/// head; without an `interval` it is 1, 2 or 5 times the power of ten that gives nearest to ten
/// levels and is not below [`INTERVAL_HEAD_SDS`] times `head_sd`. A head equal to a level counts as
/// below it. Lines run with the higher ground on their left; they close on themselves or end where
/// the surface ends: at the outline of the wells, at the boundary, beside a barrier. Lines of
/// different levels never cross.
///
/// On a surface of planes lines are straight through each triangle. On any other they are straight
/// within a cell of the grid; where opposite corners of a cell are above and below, the mean of its
/// heads decides which of them are joined. A cell that the outline cuts is traced on what is within
/// it; another one with a node that has no head has no lines.
///
/// The result does not depend on the number of threads.
///
/// # Units
/// - `interval`, `base`: elevation unit, which is `unit`
/// - `head_sd`: the usual standard deviation of a head, elevation unit; 0 where it is not known
/// - `boundary`: CRS units
/// - returns: levels in the elevation unit, vertices in CRS units
///
/// # Errors
/// [`Error::Map`] with M403 when the interval is not a positive number, when it would draw more
/// than [`crate::geom::tolerance::MOST_LEVELS`] levels, or when the base is no usable number.
///
/// The finding M405 tells that no level lies within the heads; the list of lines is then empty. M419
/// tells of an `interval` below [`INTERVAL_HEAD_SDS`] times `head_sd`.
///
/// # Example
/// Heads of 0, 1 and 2 m from west to east, 10 m apart: the contour of 0.5 m runs half way between the
/// first two columns.
///
/// ```
/// use headfall::geom::Areas;
/// use headfall::{Grid, GridSpec, LengthUnit, Method, Surface, contour};
///
/// # fn main() -> Result<(), headfall::Error> {
/// let spec = GridSpec { west: 0.0, south: 0.0, cell: 10.0, columns: 3, rows: 2 };
/// let heads = [0.0, 1.0, 2.0, 0.0, 1.0, 2.0].map(Some);
/// let surface = Surface::of_nodes(Grid::from_heads(spec, &heads), Method::Linear);
/// let boundary = Areas::default();
/// let contours = contour::lines(&surface, &boundary, Some(0.5), 0.0, 0.0, LengthUnit::Metre)?.value;
/// assert_eq!(contours.levels, [0.5, 1.0, 1.5]);
/// let half = &contours.lines[0];
/// assert!(half.points.iter().all(|p| (p.x - 5.0).abs() < 1e-9));
/// # Ok(())
/// # }
/// ```
///
/// # References
/// Marching squares: the two-dimensional case of Lorensen and Cline (1987), Computer Graphics
/// 21(4), 163-169, doi:10.1145/37402.37422. `docs/surface.md`.
pub fn lines(
    surface: &Surface,
    boundary: &Areas,
    interval: Option<f64>,
    base: f64,
    head_sd: f64,
    unit: LengthUnit,
) -> Result<Warned<Contours>, Error> {
    let (range, asked) = (surface.range(), interval);
    let least = INTERVAL_HEAD_SDS * head_sd;
    let Levels { interval, values } = Levels::choose(range, interval, base, least, unit)?;
    let mut findings = Vec::new();
    if values.is_empty() {
        findings.push(no_contours(range, interval, base, unit, asked.is_none().then_some(head_sd)));
    }
    if let Some(asked) = asked.filter(|asked| *asked < least) {
        findings.push(fine(asked, head_sd, unit));
    }
    let lines = traced(surface, boundary, &values);
    Ok(Warned::new(Contours { interval: Some(interval), levels: values, range, lines }, findings))
}

/// The lines of equal head of a surface at listed levels, ended at a boundary: as [`lines`] has them.
///
/// # Units
/// - `levels`: ascending, elevation unit, which is `unit`; `boundary`: CRS units
///
/// The finding M424 names the levels that are not strictly between the lowest and the highest head, which
/// are not drawn.
#[must_use]
pub fn listed(
    surface: &Surface,
    boundary: &Areas,
    levels: &[f64],
    unit: LengthUnit,
) -> Warned<Contours> {
    let range = surface.range();
    let within = |level: &f64| range.is_some_and(|(low, high)| low < *level && *level < high);
    let (drawn, unmet): (Vec<f64>, Vec<f64>) = levels.iter().partition(|level| within(level));
    let mut findings = Vec::new();
    if !unmet.is_empty() {
        let heads = range.map_or_else(
            || "no node of the grid has a head".to_owned(),
            |(low, high)| {
                format!("the surface is from {} to {} {unit}", brief_to(low, 4), brief_to(high, 4))
            },
        );
        let text = format!(
            "{} of {} contour levels {} not drawn, {}: {heads}",
            unmet.len(),
            levels.len(),
            if unmet.len() == 1 { "is" } else { "are" },
            diag::listed(unmet.iter().map(|level| format!("{} {unit}", brief(*level))))
        );
        findings.push(
            Diagnostic::new(Code::LevelsUnmet, text)
                .advice("correct levels under [contours] in site.toml, or leave it as it is"),
        );
    }
    let lines = traced(surface, boundary, &drawn);
    Warned::new(Contours { interval: None, levels: drawn, range, lines }, findings)
}

fn traced(surface: &Surface, boundary: &Areas, levels: &[f64]) -> Vec<ContourLine> {
    let lines = match surface.relief() {
        Relief::Planes(sloping) => planes::lines(sloping, levels),
        Relief::Nodes(grid, rim) => nodes::lines(grid, rim, levels),
    };
    if boundary.is_empty() { lines } else { within(boundary, lines) }
}

/// What of some lines lies within the boundary, in their order and direction.
fn within(boundary: &Areas, lines: Vec<ContourLine>) -> Vec<ContourLine> {
    let pieces = |line: ContourLine| {
        let level = line.level;
        let pieces = boundary.within(&line.points).into_iter();
        pieces.map(move |points| ContourLine { level, points })
    };
    lines.into_par_iter().flat_map_iter(pieces).collect()
}

/// An interval that was asked for and draws the errors of the heads.
fn fine(asked: f64, head_sd: f64, unit: LengthUnit) -> Diagnostic {
    let least = INTERVAL_HEAD_SDS * head_sd;
    Diagnostic::new(
        Code::FineInterval,
        format!(
            "the contour interval {} {unit} is below {} {unit}, {INTERVAL_HEAD_SDS} times the \
             median standard deviation of the heads",
            brief(asked),
            round_to_significant(least, 3)
        ),
    )
    .advice(format!(
        "such contours follow the errors of the heads: set {} {unit} or more, or leave the \
         interval out to have one chosen",
        RoundNumber::at_least(least).value()
    ))
}

/// `chosen` is the usual standard deviation of a head where the interval was chosen by it.
fn no_contours(
    range: Option<(f64, f64)>,
    interval: f64,
    base: f64,
    unit: LengthUnit,
    chosen: Option<f64>,
) -> Diagnostic {
    let Some((low, high)) = range else {
        return Diagnostic::new(
            Code::NoContours,
            "no node of the grid has a head, so no contours can be drawn",
        )
        .advice("set a smaller cell");
    };
    let from = if base == 0.0 { String::new() } else { format!(" from {} {unit}", brief(base)) };
    let message = format!(
        "no whole multiple of the contour interval {} {unit}{from} lies between the lowest head {} \
         {unit} and the highest {} {unit}",
        brief(interval),
        brief_to(low, 4),
        brief_to(high, 4)
    );
    let told = Diagnostic::new(Code::NoContours, message);
    match chosen.filter(|sd| *sd > 0.0) {
        _ if low >= high => told.advice("all heads are equal: there is no gradient to draw"),
        Some(sd) => told.advice(format!(
            "the heads differ by little more than their errors: an interval below {} {unit}, \
             {INTERVAL_HEAD_SDS} times their median standard deviation, would contour the errors; \
             measure again with smaller errors, or report that no direction of flow was found",
            round_to_significant(INTERVAL_HEAD_SDS * sd, 3)
        )),
        None => {
            told.advice("set a smaller interval, or leave it out to have one chosen from the heads")
        }
    }
}

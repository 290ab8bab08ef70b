//! A raster at its own and at coarser resolutions, and the statistics of its band.

use rayon::prelude::*;

use crate::interpolate::Grid;
use crate::units::finite;

/// What marks a node without support. Not a number, because every number is a possible head
/// somewhere and a program that overlooks the mark must not average it into one.
pub(super) const NO_DATA: f32 = f32::NAN;

/// The longest side of a raster that has no overview, pixels.
const NO_OVERVIEW: usize = 512;

/// A raster at one resolution, northern line first.
#[derive(Debug)]
pub(super) enum Level<'a> {
    /// The nodes themselves.
    Nodes(&'a Grid),
    /// An overview.
    Means { columns: usize, rows: usize, values: Vec<f32> },
}

/// The raster, then its overviews, each half as wide as the one before.
pub(super) fn levels(grid: &Grid) -> Vec<Level<'_>> {
    let mut levels = vec![Level::Nodes(grid)];
    while let Some(next) = levels.last().and_then(Level::coarser) {
        levels.push(next);
    }
    levels
}

impl Level<'_> {
    pub(super) fn columns(&self) -> usize {
        match self {
            Self::Nodes(grid) => grid.spec().columns,
            Self::Means { columns, .. } => *columns,
        }
    }

    pub(super) fn rows(&self) -> usize {
        match self {
            Self::Nodes(grid) => grid.spec().rows,
            Self::Means { rows, .. } => *rows,
        }
    }

    /// The pixels of a line, counted from the north, from a column on: as many as there is room for.
    pub(super) fn fill(&self, line: usize, from: usize, into: &mut [f32]) {
        match self {
            Self::Nodes(grid) => {
                let nodes = &grid.row(grid.spec().rows - 1 - line)[from..];
                into.iter_mut().zip(nodes).for_each(|(place, node)| *place = pixel(*node));
            }
            Self::Means { columns, values, .. } => {
                let from = line * columns + from;
                into.copy_from_slice(&values[from..from + into.len()]);
            }
        }
    }

    /// The overview of this: the mean of each two by two pixels, and none where one of them has no value, so that a
    /// surface never reaches beyond where it is. The last line and column may be of fewer pixels.
    fn coarser(&self) -> Option<Self> {
        let (wide, high) = (self.columns(), self.rows());
        if wide.max(high) <= NO_OVERVIEW {
            return None;
        }
        let (columns, rows) = (wide.div_ceil(2), high.div_ceil(2));
        let mut values = vec![NO_DATA; columns * rows];
        let lines = values.par_chunks_mut(columns).enumerate();
        let buffers = || [vec![NO_DATA; wide], vec![NO_DATA; wide]];
        lines.for_each_init(buffers, |[upper, lower], (line, means)| {
            self.fill(2 * line, 0, upper);
            let has_lower = 2 * line + 1 < high;
            if has_lower {
                self.fill(2 * line + 1, 0, lower);
            }
            let lower = if has_lower { lower.as_slice() } else { &[] };
            let mut below = lower.chunks(2);
            for (mean, above) in means.iter_mut().zip(upper.chunks(2)) {
                let pixels = above.iter().chain(below.next().unwrap_or(&[]));
                let add = |(sum, count): (f64, f64), p: &f32| (sum + f64::from(*p), count + 1.0);
                let (sum, count) = pixels.fold((0.0, 0.0), add);
                *mean = pixel(sum / count);
            }
        });
        Some(Self::Means { columns, rows, values })
    }
}

/// A value as the file has it.
fn pixel(value: f64) -> f32 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "24 bits carry a head of 1000 m to 0.06 mm"
    )]
    let narrow = value as f32;
    if value.is_finite() { narrow } else { NO_DATA }
}

/// The statistics of the pixels that have a value, under the names that GDAL reads; none where no pixel has one.
///
/// # Units
/// Those of the band; `STATISTICS_VALID_PERCENT` is the share of pixels with a value. The standard deviation is that of
/// the pixels themselves (their number below the root).
pub(super) fn statistics(grid: &Grid) -> Vec<(&'static str, String)> {
    let count = sum(grid, |_| 1.0);
    if count < 1.0 {
        return Vec::new();
    }
    let mean = sum(grid, |v| v) / count;
    let variance = sum(grid, |v| (v - mean) * (v - mean)) / count;
    let every = (0..grid.spec().rows).flat_map(|row| with_value(grid, row));
    let (low, high) =
        every.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (v.min(low), v.max(high)));
    let pixels = (grid.spec().rows * grid.spec().columns) as f64;
    [
        ("STATISTICS_MINIMUM", low),
        ("STATISTICS_MAXIMUM", high),
        ("STATISTICS_MEAN", mean),
        ("STATISTICS_STDDEV", variance.sqrt()),
        ("STATISTICS_VALID_PERCENT", 100.0 * count / pixels),
    ]
    .map(|(name, value)| (name, finite(value).to_string()))
    .into()
}

/// The pixels of a row that have a value.
fn with_value(grid: &Grid, row: usize) -> impl Iterator<Item = f64> + '_ {
    grid.row(row).iter().map(|v| f64::from(pixel(*v))).filter(|v| v.is_finite())
}

/// The sum of a term over all pixels with a value. Sums of rows are added in their order: the same on any number of
/// threads.
fn sum(grid: &Grid, term: impl Fn(f64) -> f64 + Sync) -> f64 {
    let rows = (0..grid.spec().rows).into_par_iter();
    let sums: Vec<f64> = rows.map(|row| with_value(grid, row).map(&term).sum()).collect();
    sums.into_iter().sum()
}

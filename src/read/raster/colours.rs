//! Pixels with colours: averaged to the dots of a sheet, and looked up where the sheet has them.

use std::path::PathBuf;

use geo::Coord;
use rayon::prelude::*;

/// Red, green, blue, opacity.
pub(super) type Rgba = [u8; 4];

/// Why a raster gives no picture.
#[derive(Debug, PartialEq)]
pub(in crate::read) enum Fault {
    /// The file does not open: why, as GDAL says it.
    Format(String),
    /// Nothing says where on the ground it is.
    NoFrame,
    /// Its values are no colours: what it has, in words that follow its name.
    Kind(String),
    /// It has so many columns and rows about the site.
    TooLarge(usize, usize),
    /// Its pixels are not readable: why, as GDAL says it.
    Broken(String),
}

/// What a raster says of itself before its pixels are read.
#[derive(Debug)]
pub(in crate::read) struct Opened {
    /// The CRS, where it has one.
    pub(in crate::read) wkt: Option<String>,
    /// Columns and rows.
    pub(in crate::read) size: (usize, usize),
    /// From CRS units to pixels, whose corners are whole numbers: GDAL's six numbers.
    pub(in crate::read) to_pixels: [f64; 6],
    /// The files that it is made of.
    pub(in crate::read) files: Vec<PathBuf>,
}

impl Opened {
    /// Which pixel a place is in: column and row, whose corners are whole numbers.
    pub(in crate::read) fn pixel(&self, p: Coord) -> Coord {
        let [x0, xx, xy, y0, yx, yy] = self.to_pixels;
        Coord { x: x0 + xx * p.x + xy * p.y, y: y0 + yx * p.x + yy * p.y }
    }
}

/// A picture in dots: red, green, blue, opacity, row by row from the upper left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureDots {
    /// Dots from left to right.
    pub columns: u32,
    /// Dots from top to bottom.
    pub rows: u32,
    /// Four bytes for each dot.
    pub dots: Vec<u8>,
}

/// How many dots a picture may have each way: at most, and at least where its pixels are coarser.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) struct Fineness {
    pub(in crate::read) most: [usize; 2],
    pub(in crate::read) least: [usize; 2],
}

/// Where in a raster the nodes of a lattice over a frame are: pixels whose corners are whole numbers. Between nodes
/// they change evenly: a frame shows a few thousandths of the earth at most.
#[derive(Debug)]
pub(in crate::read) struct Lattice {
    cells: [usize; 2],
    pixels: Vec<Coord>,
}

/// Cells of a lattice along each side.
const CELLS: usize = 64;

impl Lattice {
    /// The shares of a frame's width and height at which its nodes are, row by row from the upper left.
    pub(in crate::read) fn shares() -> impl Iterator<Item = Coord> {
        let share = |i: usize| i as f64 / CELLS as f64;
        (0..=CELLS).flat_map(move |j| (0..=CELLS).map(move |i| Coord { x: share(i), y: share(j) }))
    }

    /// Of the pixels at its nodes.
    pub(in crate::read) const fn new(pixels: Vec<Coord>) -> Self {
        Self { cells: [CELLS, CELLS], pixels }
    }

    fn node(&self, i: usize, j: usize) -> Coord {
        self.pixels[j * (self.cells[0] + 1) + i]
    }

    /// The pixel at shares of the frame's width and height.
    fn at(&self, u: f64, v: f64) -> Coord {
        let (i, fx) = cell(u, self.cells[0]);
        let (j, fy) = cell(v, self.cells[1]);
        let mix = |a: Coord, b: Coord, f: f64| a + (b - a) * f;
        let upper = mix(self.node(i, j), self.node(i + 1, j), fx);
        mix(upper, mix(self.node(i, j + 1), self.node(i + 1, j + 1), fx), fy)
    }

    /// The pixel in the middle of the frame.
    pub(in crate::read) fn middle(&self) -> Coord {
        self.at(0.5, 0.5)
    }

    /// How many pixels its two sides are long, in the middle of the frame.
    fn sides(&self) -> [f64; 2] {
        let length = |a: Coord, b: Coord| libm::hypot(b.x - a.x, b.y - a.y);
        let ([columns, rows], half) = (self.cells, CELLS / 2);
        [
            length(self.node(0, half), self.node(columns, half)),
            length(self.node(half, 0), self.node(half, rows)),
        ]
    }

    /// The columns and the rows of a raster of a size that the frame shows, with `more` pixels on each side; `None`
    /// where it shows none.
    pub(in crate::read) fn window(
        &self,
        size: (usize, usize),
        more: usize,
    ) -> Option<[[usize; 2]; 2]> {
        let span = |of: fn(&Coord) -> f64, count: usize| {
            let ends = self
                .pixels
                .iter()
                .map(of)
                .fold([f64::MAX, f64::MIN], |[low, high], v| [low.min(v), high.max(v)]);
            let shown = ends[1] > 0.0 && ends[0] < count as f64;
            shown.then(|| {
                let first = whole(ends[0]).saturating_sub(more);
                [first, whole(ends[1]).saturating_add(1 + more).min(count)]
            })
        };
        Some([span(|p| p.x, size.0)?, span(|p| p.y, size.1)?])
    }
}

/// The cell that a share is in, and how far in it.
fn cell(share: f64, cells: usize) -> (usize, f64) {
    let at = share * cells as f64;
    let i = whole(at).min(cells - 1);
    (i, at - i as f64)
}

/// The whole number below, 0 for what is negative.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "casts of floats saturate, and pixels are counted from 0"
)]
const fn whole(at: f64) -> usize {
    at as usize
}

/// How the dots over a lattice are made: their number, and how many pixels along each side are averaged to one before.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plan {
    pub(super) dots: [usize; 2],
    pub(super) averaged: usize,
}

impl Plan {
    /// As many dots as are allowed, and not more than there are pixels.
    pub(super) fn of(lattice: &Lattice, fineness: Fineness) -> Self {
        let sides = lattice.sides();
        let dots = [0, 1].map(|i| {
            let (most, least) = (fineness.most[i].max(1), fineness.least[i].max(1));
            (whole(sides[i]) + 1).clamp(least.min(most), most)
        });
        let averaged = [0, 1].map(|i| whole(sides[i] / dots[i] as f64));
        Self { dots, averaged: averaged[0].min(averaged[1]).max(1) }
    }
}

/// Averages squares of pixels, a row of squares after the other; opaque pixels count for more.
pub(super) struct Averaged {
    /// The first column and row.
    from: [usize; 2],
    side: usize,
    wide: usize,
    squares: Vec<Rgba>,
}

impl Averaged {
    pub(super) const fn new(from: [usize; 2], width: usize, side: usize) -> Self {
        Self { from, side, wide: width.div_ceil(side), squares: Vec::new() }
    }

    /// Adds rows of `width` pixels each: a whole number of squares high, but the last ones.
    pub(super) fn add(&mut self, width: usize, pixels: &[Rgba]) {
        let (side, wide) = (self.side, self.wide);
        let rows = pixels.par_chunks(width * side);
        let squares = rows.flat_map_iter(|rows| {
            (0..wide).map(move |i| {
                let columns = i * side..((i + 1) * side).min(width);
                average(rows.chunks(width).flat_map(|row| &row[columns.clone()]))
            })
        });
        self.squares.par_extend(squares);
    }

    /// The colour at a pixel, between squares evenly. Squares at the edge reach as far as their outer side.
    fn at(&self, p: Coord) -> Rgba {
        let high = self.squares.len() / self.wide;
        let along = |at: f64, from: usize, count: usize| {
            let at = (at - from as f64) / self.side as f64 - 0.5;
            let inside = at >= -0.5 && at <= count as f64 - 0.5;
            let i = whole(at).min(count - 1);
            inside.then(|| (i, (i + 1).min(count - 1), (at - i as f64).clamp(0.0, 1.0)))
        };
        let (Some((left, right, fx)), Some((upper, lower, fy))) =
            (along(p.x, self.from[0], self.wide), along(p.y, self.from[1], high))
        else {
            return [0; 4];
        };
        let square = |i: usize, j: usize| self.squares[j * self.wide + i];
        let parts = [
            (square(left, upper), (1.0 - fx) * (1.0 - fy)),
            (square(right, upper), fx * (1.0 - fy)),
            (square(left, lower), (1.0 - fx) * fy),
            (square(right, lower), fx * fy),
        ];
        let opacity: f64 = parts.iter().map(|(c, share)| f64::from(c[3]) * share).sum();
        if opacity <= 0.0 {
            return [0; 4];
        }
        let of = |i: usize| {
            let sum: f64 = parts.iter().map(|(c, s)| f64::from(c[i]) * f64::from(c[3]) * s).sum();
            byte(sum / opacity)
        };
        [of(0), of(1), of(2), byte(opacity)]
    }

    /// The dots over a lattice; `None` where none of them has a colour.
    pub(super) fn dots(
        &self,
        lattice: &Lattice,
        [columns, rows]: [usize; 2],
    ) -> Option<PictureDots> {
        let mut dots = vec![0; columns * rows * 4];
        dots.par_chunks_mut(columns * 4).enumerate().for_each(|(j, row)| {
            let v = (j as f64 + 0.5) / rows as f64;
            for (i, dot) in row.chunks_exact_mut(4).enumerate() {
                let p = lattice.at((i as f64 + 0.5) / columns as f64, v);
                dot.copy_from_slice(&self.at(p));
            }
        });
        let any = dots.chunks_exact(4).any(|dot| dot[3] > 0);
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        any.then(|| PictureDots { columns: count(columns), rows: count(rows), dots })
    }
}

/// The mean of some pixels.
fn average<'p>(pixels: impl Iterator<Item = &'p Rgba>) -> Rgba {
    let (mut sums, mut opacity, mut count) = ([0_u64; 3], 0_u64, 0_u64);
    for pixel in pixels {
        let own = u64::from(pixel[3]);
        for (sum, part) in sums.iter_mut().zip(pixel) {
            *sum += own * u64::from(*part);
        }
        opacity += own;
        count += 1;
    }
    if opacity == 0 {
        return [0; 4];
    }
    let mean = |sum: u64, of: u64| u8::try_from((sum + of / 2) / of).unwrap_or(u8::MAX);
    let [red, green, blue] = sums.map(|sum| mean(sum, opacity));
    [red, green, blue, mean(opacity, count)]
}

/// A part of light to the nearest byte.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a mean of bytes, and casts of floats saturate"
)]
fn byte(value: f64) -> u8 {
    value.round() as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_counts_what_is_opaque() {
        let pixels = [[200, 0, 0, 255], [100, 0, 0, 255], [0, 255, 255, 0], [0, 255, 255, 0]];
        // (200 + 100) / 2, and half of it is there.
        assert_eq!(average(pixels.iter()), [150, 0, 0, 128]);
        assert_eq!(average([[9, 9, 9, 0]].iter()), [0; 4]);
    }

    #[test]
    fn dots_are_as_fine_as_the_pixels_and_no_finer_than_asked() {
        let fineness = Fineness { most: [1000, 500], least: [400, 200] };
        let over = |pixels: f64| {
            let nodes = Lattice::shares().map(|s| Coord { x: s.x * pixels, y: s.y * pixels / 2.0 });
            let plan = Plan::of(&Lattice::new(nodes.collect()), fineness);
            (plan.dots, plan.averaged)
        };
        assert_eq!(over(3500.0), ([1000, 500], 3));
        assert_eq!(over(600.0), ([601, 301], 1));
        assert_eq!(over(10.0), ([400, 200], 1));
    }
}

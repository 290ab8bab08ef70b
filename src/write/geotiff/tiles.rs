//! The tiles of a cloud-optimised GeoTIFF, packed on all threads, and the file about them.
//!
//! GDAL writes everything about a raster but its tiles. It would pack them with the zlib built into
//! it, which takes two and a half times as long as libdeflate and longer than all other arithmetic
//! of a large map; and its own way to such files would pack them twice.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs::File;
use std::io;
use std::io::BufWriter;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::ops::Range;
use std::path::Path;

use libdeflater::CompressionLvl;
use libdeflater::Compressor;
use rayon::prelude::*;

use super::directory::{Directory, invalid};
use super::directory::{IMAGE_LENGTH, IMAGE_WIDTH, TILE_BYTE_COUNTS, TILE_OFFSETS};
use super::levels::{Level, NO_DATA, levels};
use crate::interpolate::Grid;

/// Rows and columns of a tile.
pub(super) const TILE: usize = 256;

/// Heads of neighbouring nodes differ by little else than rounding; a higher level finds no more.
const LEVEL: i32 = 1;

/// Tiles that one thread packs before they are written.
const TILES_PER_THREAD: usize = 4;

/// What stands between the header and the first directory, for programs that read such files from afar: where things
/// are, that tiles stand line by line, that the length of each is before it and its last four bytes behind it again.
const LAYOUT: &str = "LAYOUT=IFDS_BEFORE_DATA\nBLOCK_ORDER=ROW_MAJOR\n\
                      BLOCK_LEADER=SIZE_AS_UINT4\nBLOCK_TRAILER=LAST_4_BYTES_REPEATED\n\
                      KNOWN_INCOMPATIBLE_EDITION=NO\n ";

/// Writes a grid's nodes into a little-endian GeoTIFF of its size whose tiles of [`TILE`] by
/// [`TILE`] 32-bit floats, packed by deflate after differences of words, are all missing, and makes it
/// cloud-optimised: directories first, the raster's and then those of its overviews; then the tiles of the coarsest
/// overview, and those of the raster last.
///
/// Tiles stand in the file north-western first, on any number of threads. The part of a tile beyond
/// the grid is filled with the no-data mark.
///
/// # Errors
/// Those of reading and writing, and [`io::ErrorKind::InvalidData`] when the file is not what GDAL
/// was asked for; then it is left as it is.
///
/// # References
/// TIFF 6.0 (1992), sections 2 (structure), 14 (differences) and 15 (tiles); Adobe Photoshop TIFF
/// Technical Notes (2002) for deflate; OGC 21-026 (Cloud Optimized GeoTIFF 1.0); the documentation of GDAL's COG driver
/// for what stands before the first directory.
pub(super) fn put(path: &Path, grid: &Grid) -> io::Result<()> {
    let raster = Directory::read(&mut File::open(path)?)?;
    let levels = levels(grid);
    let size = |level: &Level| io::Result::Ok([word(level.columns())?, word(level.rows())?]);
    let [columns, rows] = size(&levels[0])?;
    let is = |tag, number| raster.number(tag) == Some(number);
    if !(is(IMAGE_WIDTH, columns) && is(IMAGE_LENGTH, rows) && raster.has_tiles(word(TILE)?)) {
        return Err(invalid("is not of the size and kind that was asked for"));
    }
    let overview = |level| size(level).map(|[columns, rows]| raster.overview(columns, rows));
    let overviews = levels[1..].iter().map(overview).collect::<io::Result<Vec<_>>>()?;
    let mut directories = vec![raster];
    directories.extend(overviews);
    // So long as they will be, with places that are not known yet.
    for (directory, level) in directories.iter_mut().zip(&levels) {
        directory.set(TILE_OFFSETS, &vec![0; tiles(level)]);
        directory.set(TILE_BYTE_COUNTS, &vec![0; tiles(level)]);
    }
    let mut file = File::create(path)?;
    let mut sink = BufWriter::new(&mut file);
    let mut at = begin(&directories)?.len() as u64;
    sink.seek(SeekFrom::Start(at))?;
    for (directory, level) in directories.iter_mut().zip(&levels).rev() {
        let (mut offsets, mut counts) = (Vec::new(), Vec::new());
        for batch in batches(tiles(level)) {
            let packed: Vec<_> = batch
                .into_par_iter()
                .with_max_len(1)
                .map_init(Packer::new, |packer, i| packer.pack(level, i))
                .collect();
            for tile in packed {
                let length = word(tile.len())?;
                sink.write_all(&length.to_le_bytes())?;
                sink.write_all(&tile)?;
                sink.write_all(&tile[tile.len().saturating_sub(4)..])?;
                offsets.push(word(at + 4)?);
                counts.push(length);
                at += 4 + u64::from(length) + 4;
            }
        }
        directory.set(TILE_OFFSETS, &offsets);
        directory.set(TILE_BYTE_COUNTS, &counts);
    }
    sink.rewind()?;
    sink.write_all(&begin(&directories)?)?;
    sink.flush()
}

/// All that is before the tiles: header, layout, directories.
fn begin(directories: &[Directory]) -> io::Result<Vec<u8>> {
    let mut layout = format!("GDAL_STRUCTURAL_METADATA_SIZE={:06} bytes\n{LAYOUT}", LAYOUT.len());
    // Directories begin at even places.
    if layout.len() % 2 == 1 {
        layout.push('\0');
    }
    let mut at = 8 + layout.len();
    let mut bytes = b"II*\0".to_vec();
    bytes.extend(word(at)?.to_le_bytes());
    bytes.extend(layout.as_bytes());
    for (i, directory) in directories.iter().enumerate() {
        let end = at + directory.length();
        let next = if i + 1 < directories.len() { word(end)? } else { 0 };
        bytes.extend(directory.bytes(word(at)?, next));
        at = end;
    }
    Ok(bytes)
}

/// Tiles across a raster.
fn across(level: &Level) -> usize {
    level.columns().div_ceil(TILE)
}

/// All its tiles.
fn tiles(level: &Level) -> usize {
    across(level) * level.rows().div_ceil(TILE)
}

/// Some tiles for each thread at a time, so that they never stand in memory all at once.
fn batches(tiles: usize) -> impl Iterator<Item = Range<usize>> {
    let batch = TILES_PER_THREAD * rayon::current_num_threads();
    (0..tiles).step_by(batch).map(move |first| first..tiles.min(first + batch))
}

/// Packs tiles, one after the other.
struct Packer {
    compressor: Compressor,
    bytes: Vec<u8>,
}

impl Packer {
    fn new() -> Self {
        let level = CompressionLvl::new(LEVEL).expect("this is a bug in headfall: no such level");
        Self { compressor: Compressor::new(level), bytes: vec![0; TILE * TILE * 4] }
    }

    /// A tile by its number, as it stands in the file.
    fn pack(&mut self, level: &Level, number: usize) -> Vec<u8> {
        let (top, left) = (number / across(level) * TILE, number % across(level) * TILE);
        let within = TILE.min(level.columns() - left);
        let mut pixels = [NO_DATA; TILE];
        for (words, line) in self.bytes.chunks_exact_mut(TILE * 4).zip(top..) {
            if line < level.rows() {
                level.fill(line, left, &mut pixels[..within]);
            } else {
                pixels.fill(NO_DATA);
            }
            let mut before = 0;
            for (place, pixel) in words.chunks_exact_mut(4).zip(pixels) {
                let word = pixel.to_bits();
                place.copy_from_slice(&word.wrapping_sub(before).to_le_bytes());
                before = word;
            }
        }
        let mut packed = vec![0; self.compressor.zlib_compress_bound(self.bytes.len())];
        let length = self
            .compressor
            .zlib_compress(&self.bytes, &mut packed)
            .expect("this is a bug in headfall: a tile does not fit into its bound");
        packed.truncate(length);
        packed
    }
}

/// A number that a TIFF of less than 4 GiB has room for.
fn word(number: impl TryInto<u32>) -> io::Result<u32> {
    number.try_into().map_err(|_| invalid("is longer than 4 GiB"))
}

//! The tiles of a GeoTIFF, packed on all threads and put into a file that has none yet.
//!
//! GDAL writes everything about a raster but its tiles. It would pack them with the zlib built into
//! it, which takes two and a half times as long as libdeflate and longer than all other arithmetic
//! of a large map.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs::File;
use std::io;
use std::io::BufWriter;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::ops::Range;
use std::path::Path;

use libdeflater::CompressionLvl;
use libdeflater::Compressor;
use rayon::prelude::*;

use crate::interpolate::Grid;

/// What marks a node without support. Not a number, because every number is a possible head
/// somewhere and a program that overlooks the mark must not average it into one.
pub(super) const NO_DATA: f32 = f32::NAN;

/// Rows and columns of a tile.
pub(super) const TILE: usize = 256;

/// Heads of neighbouring nodes differ by little else than rounding; a higher level finds no more.
const LEVEL: i32 = 1;

/// Tiles that one thread packs before they are written.
const TILES_PER_THREAD: usize = 4;

/// TIFF's names of two tags and of the type of 32-bit numbers.
const TILE_OFFSETS: u16 = 324;
const TILE_BYTE_COUNTS: u16 = 325;
const LONG: u16 = 4;

/// Writes a grid's nodes into a little-endian GeoTIFF of its size whose tiles of [`TILE`] by
/// [`TILE`] 32-bit floats, packed by deflate after differences of words, are all missing.
///
/// Tiles stand in the file north-western first, on any number of threads. The part of a tile beyond
/// the grid is filled with the no-data mark.
///
/// # Errors
/// Those of reading and writing, and [`io::ErrorKind::InvalidData`] when the file is not what GDAL
/// was asked for.
///
/// # References
/// TIFF 6.0 (1992), sections 2 (structure), 14 (differences) and 15 (tiles); Adobe Photoshop TIFF
/// Technical Notes (2002) for deflate.
pub(super) fn put(path: &Path, grid: &Grid) -> io::Result<()> {
    let mut file = File::options().read(true).write(true).open(path)?;
    let tags = Tags::find(&mut file)?;
    let (across, down) = (grid.spec().columns.div_ceil(TILE), grid.spec().rows.div_ceil(TILE));
    if tags.tiles != across * down {
        return Err(invalid("has another number of tiles than the grid"));
    }
    let mut at = file.seek(SeekFrom::End(0))?;
    let mut sink = BufWriter::new(&mut file);
    let (mut offsets, mut counts) = (Vec::new(), Vec::new());
    for batch in batches(tags.tiles) {
        let packed: Vec<_> = batch
            .into_par_iter()
            .with_max_len(1)
            .map_init(Packer::new, |packer, i| packer.pack(grid, i / across, i % across))
            .collect();
        for tile in packed {
            sink.write_all(&tile)?;
            offsets.push(word(at)?);
            counts.push(word(tile.len() as u64)?);
            at += tile.len() as u64;
        }
    }
    let offsets = tags.entry(&mut sink, &mut at, &offsets)?;
    let counts = tags.entry(&mut sink, &mut at, &counts)?;
    for (entry, bytes) in [(tags.offsets, offsets), (tags.counts, counts)] {
        sink.seek(SeekFrom::Start(entry))?;
        sink.write_all(&bytes)?;
    }
    sink.flush()
}

/// Some tiles for each thread at a time, so that they never stand in memory all at once.
fn batches(tiles: usize) -> impl Iterator<Item = Range<usize>> {
    let batch = TILES_PER_THREAD * rayon::current_num_threads();
    (0..tiles).step_by(batch).map(move |first| first..tiles.min(first + batch))
}

/// Where a file says where its tiles are.
struct Tags {
    /// Places of the two entries behind their tag, bytes from the start of the file.
    offsets: u64,
    counts: u64,
    tiles: usize,
}

impl Tags {
    /// Looks for the entries in the file's first directory.
    fn find(file: &mut File) -> io::Result<Self> {
        let mut header = [0; 8];
        file.read_exact(&mut header)?;
        let [b'I', b'I', 42, 0, directory @ ..] = header else {
            return Err(invalid("is no little-endian TIFF"));
        };
        let directory = u64::from(u32::from_le_bytes(directory));
        file.seek(SeekFrom::Start(directory))?;
        let mut number = [0; 2];
        file.read_exact(&mut number)?;
        let mut entries = vec![0; 12 * usize::from(u16::from_le_bytes(number))];
        file.read_exact(&mut entries)?;
        let find = |wanted: u16| {
            let is_wanted = |entry: &&[u8]| entry[..2] == wanted.to_le_bytes();
            entries.chunks_exact(12).zip(0u64..).find(|(e, _)| is_wanted(e))
        };
        let (Some((entry, at)), Some((_, beside))) = (find(TILE_OFFSETS), find(TILE_BYTE_COUNTS))
        else {
            return Err(invalid("has no tiles"));
        };
        let place = |entry: u64| directory + 2 + 12 * entry + 2;
        let tiles = u32::from_le_bytes([entry[4], entry[5], entry[6], entry[7]]);
        Ok(Self { offsets: place(at), counts: place(beside), tiles: tiles as usize })
    }

    /// An entry's type, count and value for one number of each tile. More than one stand at the end
    /// of the file and the value is their place.
    fn entry(&self, sink: &mut impl Write, at: &mut u64, words: &[u32]) -> io::Result<Vec<u8>> {
        let value = match words {
            [single] => *single,
            several => {
                // Words begin at even places.
                let padding = usize::from(*at % 2 == 1);
                sink.write_all(&[0][..padding])?;
                let place = *at + padding as u64;
                several.iter().try_for_each(|w| sink.write_all(&w.to_le_bytes()))?;
                *at = place + 4 * several.len() as u64;
                word(place)?
            }
        };
        let count = word(self.tiles as u64)?;
        Ok([&LONG.to_le_bytes()[..], &count.to_le_bytes(), &value.to_le_bytes()].concat())
    }
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

    /// One tile, counted from the north and from the west, as it stands in the file.
    fn pack(&mut self, grid: &Grid, down: usize, across: usize) -> Vec<u8> {
        let (left, rows) = (across * TILE, grid.spec().rows);
        let right = grid.spec().columns.min(left + TILE);
        for (line, row) in self.bytes.chunks_exact_mut(TILE * 4).zip(down * TILE..) {
            let heads = if row < rows { &grid.row(rows - 1 - row)[left..right] } else { &[] };
            let beyond = std::iter::repeat_n(&f64::NAN, TILE - heads.len());
            let mut before = 0;
            for (place, head) in line.chunks_exact_mut(4).zip(heads.iter().chain(beyond)) {
                let word = pixel(*head).to_bits();
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

/// A head as the file has it.
fn pixel(head: f64) -> f32 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "24 bits carry a head of 1000 m to 0.06 mm"
    )]
    let narrow = head as f32;
    if head.is_finite() { narrow } else { NO_DATA }
}

/// A number that a TIFF of less than 4 GiB has room for.
fn word(number: u64) -> io::Result<u32> {
    u32::try_from(number).map_err(|_| invalid("is longer than 4 GiB"))
}

fn invalid(what: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, format!("the raster {what}"))
}

//! The directories of a TIFF: the one that GDAL wrote, and those of a cloud-optimised file made of it.

use std::io;
use std::io::{Read, Seek, SeekFrom};

/// TIFF's numbers of the tags that are looked at.
pub(super) const NEW_SUBFILE_TYPE: u16 = 254;
pub(super) const IMAGE_WIDTH: u16 = 256;
pub(super) const IMAGE_LENGTH: u16 = 257;
const BITS_PER_SAMPLE: u16 = 258;
const COMPRESSION: u16 = 259;
const PHOTOMETRIC: u16 = 262;
const SAMPLES_PER_PIXEL: u16 = 277;
const PLANAR_CONFIGURATION: u16 = 284;
const PREDICTOR: u16 = 317;
const TILE_WIDTH: u16 = 322;
const TILE_LENGTH: u16 = 323;
pub(super) const TILE_OFFSETS: u16 = 324;
pub(super) const TILE_BYTE_COUNTS: u16 = 325;
const SAMPLE_FORMAT: u16 = 339;
/// GDAL's own: what marks a node without a value.
const NO_DATA: u16 = 42113;

/// TIFF's types of 16-bit and of 32-bit numbers.
const SHORT: u16 = 3;
const LONG: u16 = 4;

/// What an overview has of the directory of its raster: how pixels are written, and not where they are on earth, which
/// would be wrong of it.
const OF_OVERVIEWS: [u16; 12] = [
    BITS_PER_SAMPLE,
    COMPRESSION,
    PHOTOMETRIC,
    SAMPLES_PER_PIXEL,
    PLANAR_CONFIGURATION,
    PREDICTOR,
    TILE_WIDTH,
    TILE_LENGTH,
    TILE_OFFSETS,
    TILE_BYTE_COUNTS,
    SAMPLE_FORMAT,
    NO_DATA,
];

/// An entry with its value, little-endian.
#[derive(Debug, Clone)]
struct Entry {
    tag: u16,
    kind: u16,
    count: u32,
    bytes: Vec<u8>,
}

/// A directory: its entries in the order of their tags.
#[derive(Debug, Clone)]
pub(super) struct Directory {
    entries: Vec<Entry>,
}

impl Directory {
    /// Reads the first directory of a little-endian TIFF.
    pub(super) fn read(file: &mut (impl Read + Seek)) -> io::Result<Self> {
        let mut header = [0; 8];
        file.read_exact(&mut header)?;
        let [b'I', b'I', 42, 0, directory @ ..] = header else {
            return Err(invalid("is no little-endian TIFF"));
        };
        file.seek(SeekFrom::Start(u32::from_le_bytes(directory).into()))?;
        let mut number = [0; 2];
        file.read_exact(&mut number)?;
        let mut bytes = vec![0; 12 * usize::from(u16::from_le_bytes(number))];
        file.read_exact(&mut bytes)?;
        let entries = bytes.as_chunks::<12>().0.iter().map(|entry| Entry::read(entry, file));
        Ok(Self { entries: entries.collect::<io::Result<_>>()? })
    }

    /// The only number of an entry.
    pub(super) fn number(&self, tag: u16) -> Option<u32> {
        let entry = self.entries.iter().find(|entry| entry.tag == tag && entry.count == 1)?;
        match (entry.kind, entry.bytes.as_slice()) {
            (SHORT, [a, b]) => Some(u16::from_le_bytes([*a, *b]).into()),
            (LONG, [a, b, c, d]) => Some(u32::from_le_bytes([*a, *b, *c, *d])),
            _ => None,
        }
    }

    /// Whether pixels are written as 32-bit floats, one of them a pixel, in tiles of this side that are packed by deflate
    /// after differences of words.
    pub(super) fn has_tiles(&self, side: u32) -> bool {
        let written = [
            (BITS_PER_SAMPLE, 32),
            (COMPRESSION, 8),
            (SAMPLES_PER_PIXEL, 1),
            (PREDICTOR, 2),
            (TILE_WIDTH, side),
            (TILE_LENGTH, side),
            (SAMPLE_FORMAT, 3),
        ];
        written.into_iter().all(|(tag, number)| self.number(tag) == Some(number))
    }

    /// The directory of an overview of this size.
    pub(super) fn overview(&self, columns: u32, rows: u32) -> Self {
        let mut overview = Self {
            entries: self
                .entries
                .iter()
                .filter(|e| OF_OVERVIEWS.contains(&e.tag))
                .cloned()
                .collect(),
        };
        for (tag, number) in [(NEW_SUBFILE_TYPE, 1), (IMAGE_WIDTH, columns), (IMAGE_LENGTH, rows)] {
            overview.set(tag, &[number]);
        }
        overview
    }

    /// Gives an entry these numbers.
    pub(super) fn set(&mut self, tag: u16, numbers: &[u32]) {
        let bytes: Vec<u8> = numbers.iter().flat_map(|n| n.to_le_bytes()).collect();
        let count = u32::try_from(numbers.len()).unwrap_or(u32::MAX);
        let entry = Entry { tag, kind: LONG, count, bytes };
        match self.entries.binary_search_by_key(&tag, |entry| entry.tag) {
            Ok(known) => self.entries[known] = entry,
            Err(place) => self.entries.insert(place, entry),
        }
    }

    /// The bytes of the directory with the values of its entries behind it, an even number of them.
    pub(super) fn length(&self) -> usize {
        let values: usize = self.entries.iter().map(Entry::beyond).sum();
        2 + 12 * self.entries.len() + 4 + values
    }

    /// The same bytes where they begin at `at`, and the next directory at `next`; 0 where there is none.
    pub(super) fn bytes(&self, at: u32, next: u32) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(self.length());
        let mut values = Vec::new();
        let number = u16::try_from(self.entries.len()).unwrap_or(u16::MAX);
        bytes.extend(number.to_le_bytes());
        let mut place = at + 6 + 12 * u32::from(number);
        for entry in &self.entries {
            bytes.extend(entry.tag.to_le_bytes());
            bytes.extend(entry.kind.to_le_bytes());
            bytes.extend(entry.count.to_le_bytes());
            let beyond = entry.beyond();
            if beyond == 0 {
                bytes.extend(&entry.bytes);
                bytes.resize(bytes.len() + 4 - entry.bytes.len(), 0);
            } else {
                bytes.extend(place.to_le_bytes());
                values.extend(&entry.bytes);
                values.resize(values.len() + beyond - entry.bytes.len(), 0);
                place += u32::try_from(beyond).unwrap_or(u32::MAX);
            }
        }
        bytes.extend(next.to_le_bytes());
        bytes.extend(values);
        bytes
    }
}

impl Entry {
    /// Reads an entry and, where its value is elsewhere in the file, that.
    fn read(bytes: &[u8; 12], file: &mut (impl Read + Seek)) -> io::Result<Self> {
        let [t0, t1, k0, k1, c0, c1, c2, c3, value @ ..] = *bytes;
        let (tag, kind) = (u16::from_le_bytes([t0, t1]), u16::from_le_bytes([k0, k1]));
        let count = u32::from_le_bytes([c0, c1, c2, c3]);
        let each: u64 = match kind {
            1 | 2 | 6 | 7 => 1,
            SHORT | 8 => 2,
            LONG | 9 | 11 => 4,
            5 | 10 | 12 => 8,
            _ => return Err(invalid("has a type of numbers that TIFF 6.0 does not know")),
        };
        let length = each * u64::from(count);
        let mut own = Vec::new();
        if length <= 4 {
            own.extend_from_slice(&value[..usize::try_from(length).unwrap_or(4)]);
        } else {
            file.seek(SeekFrom::Start(u32::from_le_bytes(value).into()))?;
            file.by_ref().take(length).read_to_end(&mut own)?;
            if own.len() as u64 != length {
                return Err(invalid("ends before its directory does"));
            }
        }
        Ok(Self { tag, kind, count, bytes: own })
    }

    /// The bytes of its value behind the directory, an even number; none of one that fits into the entry.
    fn beyond(&self) -> usize {
        if self.bytes.len() > 4 { self.bytes.len().next_multiple_of(2) } else { 0 }
    }
}

pub(super) fn invalid(what: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, format!("the raster {what}"))
}

//! The data files of MapInfo tables.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs;
use std::io;
use std::path::Path;

/// Bytes of the head, and of what follows for each column.
const BLOCK: usize = 32;

/// Bytes of a column's name, with the zero that ends it.
const NAME: usize = 11;

/// Blanks what stands behind the end of each column's name: GDAL leaves there what its memory
/// happened to hold, and the same inputs would not give the same bytes.
///
/// # References
/// The layout is that of dBASE III files: a head and one descriptor a column, each of 32 bytes, then
/// 0x0D (from memory; GDAL 3.12, `mitab_datfile.cpp`).
pub(super) fn blank(path: &Path) -> io::Result<()> {
    let mut bytes = fs::read(path)?;
    for column in bytes.chunks_exact_mut(BLOCK).skip(1).take_while(|c| c[0] != 0x0d) {
        let name = &mut column[..NAME];
        let end = name.iter().position(|b| *b == 0).unwrap_or(NAME);
        name[end..].fill(0);
    }
    fs::write(path, bytes)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use super::*;

    #[test]
    fn only_what_stands_behind_a_name_is_blanked() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.dat");
        let mut bytes = vec![7_u8; 3 * BLOCK];
        bytes[BLOCK..BLOCK + 4].copy_from_slice(b"id\0x");
        bytes[2 * BLOCK..2 * BLOCK + NAME].copy_from_slice(b"head_m_long");
        bytes.extend([0x0d, b'a', 0, b'b']);
        fs::write(&path, &bytes).unwrap();
        blank(&path).unwrap();
        bytes[BLOCK + 2..BLOCK + NAME].fill(0);
        assert_eq!(fs::read(&path).unwrap(), bytes);
    }
}

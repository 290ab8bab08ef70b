//! Rows to bytes: formatted in parallel, handed on in order, never all in memory.

use std::io;
use std::ops::Range;

use rayon::prelude::*;

/// Rows formatted by one task. A constant, so that the same bytes are formatted together on
/// any number of threads.
const ROWS: usize = 128;

/// Room for the text of one task, bytes: that of most rows, so that it is rarely moved.
pub(super) const TEXT: usize = ROWS * 768;

/// Lets `format` turn `count` rows into bytes and hands these to `sink`, first row first. Only a
/// batch of a few tasks per thread is in memory at a time.
///
/// # Errors
/// The first error of `format` or `sink`, in the order of the rows.
pub(super) fn rows(
    count: usize,
    format: impl Fn(Range<usize>) -> io::Result<Vec<u8>> + Sync,
    mut sink: impl FnMut(&[u8]) -> io::Result<()>,
) -> io::Result<()> {
    let batch = ROWS * 8 * rayon::current_num_threads();
    for start in (0..count).step_by(batch) {
        let end = count.min(start + batch);
        let texts: Vec<_> = (start..end)
            .into_par_iter()
            .step_by(ROWS)
            .map(|first| format(first..end.min(first + ROWS)))
            .collect();
        for text in texts {
            sink(&text?)?;
        }
    }
    Ok(())
}

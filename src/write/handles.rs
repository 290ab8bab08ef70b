//! Whether enough files can be open at once.

#![expect(clippy::disallowed_methods, reason = "a descriptor to duplicate; nothing is printed")]

use std::io;

/// So many files are open at once at most, all formats and rasters asked for, whatever the threads:
/// measured with the descriptors that the program holds, and a half more.
pub(super) const MOST_OPEN: usize = 64;

/// What cannot be done without them.
pub(super) const CANNOT: &str = "results cannot be written";

/// Finds out whether so many more files can be opened, by opening them. GDAL's drivers may end the
/// program where a file of theirs cannot be opened, so that it must be known before they begin.
///
/// # Errors
/// How many there are and how many are needed.
#[cfg(unix)]
pub(super) fn enough(needed: usize) -> io::Result<()> {
    use std::os::fd::AsFd;
    let mut open = Vec::with_capacity(needed);
    while open.len() < needed {
        match io::stderr().as_fd().try_clone_to_owned() {
            Ok(handle) => open.push(handle),
            Err(cause) => {
                return Err(io::Error::other(format!(
                    "{needed} files must be open at once and {} can be ({cause}); allow more of them \
                     (ulimit -n, or the limit of the container)",
                    open.len()
                )));
            }
        }
    }
    Ok(())
}

/// Elsewhere the system sets no such limit to a program.
///
/// # Errors
/// None.
#[cfg(not(unix))]
pub(super) fn enough(_needed: usize) -> io::Result<()> {
    Ok(())
}

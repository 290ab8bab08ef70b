//! What PROJ and GDAL may see: what is built in and the datum grids that a site declares, and
//! nothing of the machine. The only files that speak to either about where to look.
//!
//! Both libraries search the working folder, the user's folder and the environment for databases,
//! datum grids and settings, and tell nobody what they found. A map depends on its inputs alone, so
//! headfall closes both off before it first uses either. That holds for the whole process: a
//! program that uses PROJ or GDAL for itself as well has them closed off too.

#![expect(clippy::disallowed_methods, reason = "the environment is kept from PROJ and GDAL here")]

#[cfg(feature = "crs")]
mod files;
mod grids;
#[cfg(feature = "formats")]
mod options;
#[cfg(feature = "crs")]
mod seal;
#[cfg(feature = "crs")]
mod seen;
mod versions;

pub use grids::Grids;
#[cfg(feature = "crs")]
pub(crate) use seal::seal;
#[cfg(feature = "crs")]
pub(crate) use seen::seeing;
pub use versions::BuiltOf;

/// The variables that headfall heeds itself: how the terminal shows text, how many threads run and
/// how large they are, what a panic tells, where temporary files go. None of them changes a map.
const HEEDED: [&str; 16] = [
    "CI",
    "CLICOLOR",
    "CLICOLOR_FORCE",
    "COLORTERM",
    "COLUMNS",
    "LINES",
    "NO_COLOR",
    "RAYON_NUM_THREADS",
    "RUST_BACKTRACE",
    "RUST_LIB_BACKTRACE",
    "RUST_MIN_STACK",
    "SYSTEMROOT",
    "TEMP",
    "TERM",
    "TMP",
    "TMPDIR",
];

/// Drops every environment variable but the few that headfall heeds itself (those of the terminal,
/// of threads, of temporary files).
///
/// The program does this first of all. A program that uses the library does not have to: datum
/// grids, databases and every setting of GDAL are closed off without it. What remains are the few
/// variables that PROJ asks the system for by itself, such as `PROJ_AUX_DB`, and every setting of
/// GDAL where `CPL_DEBUG` is set, which keeps GDAL from passing the environment over. Where they may
/// be set, call this at the start of `main`.
///
/// # Safety
/// No other thread may run: the environment belongs to the whole process, and libraries read it
/// without a lock.
#[expect(unsafe_code, reason = "there is no safe way to change the environment")]
pub unsafe fn drop_environment() {
    let set: Vec<_> = std::env::vars_os().map(|(name, _)| name).collect();
    for name in set {
        if !HEEDED.iter().any(|heeded| name.eq_ignore_ascii_case(heeded)) {
            // SAFETY: the caller holds that no other thread runs.
            unsafe { std::env::remove_var(name) };
        }
    }
}

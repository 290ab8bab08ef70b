//! What PROJ and GDAL may see: what is built in and the datum grids that a site declares, and
//! nothing of the machine. The only files that speak to either about where to look.
//!
//! Both libraries search the working folder, the user's folder and the environment for databases,
//! datum grids and settings, and tell nobody what they found. A map depends on its inputs alone, so
//! headfall closes both off before it first uses either. That holds for the whole process: a
//! program that uses PROJ or GDAL for itself as well has them closed off too.

#![expect(clippy::disallowed_methods, reason = "the environment is kept from PROJ and GDAL here")]

mod files;
mod grids;

use std::cell::Cell;
use std::ffi::{CStr, c_char, c_void};
use std::ptr::null;
use std::sync::Once;

pub use grids::Grids;
pub(crate) use grids::seeing;

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

/// Where GDAL finds its options: a file in memory.
const OPTIONS_FILE: &CStr = c"/vsimem/headfall/options";

/// What stands in it first: that the environment has no say.
const NO_ENVIRONMENT: &str = "[directives]\nignore-env-vars=yes\n";

/// What follows: that this is the only such file, and that drivers are loaded from nowhere. (A path
/// of `disable` keeps GDAL from loading compiled drivers, and has it load scripts from a folder of
/// that name.)
const OPTIONS: &str = "[configoptions]\n\
                       GDAL_CONFIG_FILE=/vsimem/headfall/options\n\
                       GDAL_DRIVER_PATH=/vsimem/headfall/none\n";

/// A file in memory that nobody writes.
const NOWHERE: &CStr = c"/vsimem/headfall/none";

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

/// Closes PROJ and GDAL off: for the process once, and GDAL's search for its own tables once on
/// each thread. To be called before each use of either.
pub(crate) fn seal() {
    static SEALED: Once = Once::new();
    thread_local! {
        static SEALED_HERE: Cell<bool> = const { Cell::new(false) };
    }
    SEALED.call_once(|| {
        files::close_proj();
        close_gdal();
    });
    if !SEALED_HERE.replace(true) {
        #[expect(unsafe_code, reason = "the crate has no safe way to it")]
        // SAFETY: the function lives as long as the program.
        unsafe {
            gdal_sys::CPLPushFileFinder(Some(find_table));
        }
    }
}

/// Has GDAL take no environment variable and no file for its settings.
fn close_gdal() {
    // Told to pass the environment over, GDAL reports each variable that it passes over, asks
    // `CPL_DEBUG` whether to report it, and passes that over in turn, without end.
    let endless = std::env::var_os("CPL_DEBUG").is_some();
    let text = if endless { OPTIONS.to_owned() } else { NO_ENVIRONMENT.to_owned() + OPTIONS };
    let text: &'static str = Box::leak(text.into_boxed_str());
    let (name, start, bytes) = (OPTIONS_FILE.as_ptr(), text.as_ptr(), text.len() as u64);
    #[expect(unsafe_code, reason = "the crate has no safe way to them")]
    // SAFETY: name and text live as long as the program; GDAL does not own the text and only reads
    // it, since nobody opens the file to write.
    unsafe {
        let file = gdal_sys::VSIFileFromMemBuffer(name, start.cast_mut(), bytes, 0);
        gdal_sys::VSIFCloseL(file);
        gdal_sys::CPLLoadConfigOptionsFromFile(name, 1);
        // What GDAL's own copy of libtiff cannot do it tells GDAL, and a few things the terminal too.
        gdal_TIFFSetErrorHandler(null());
        gdal_TIFFSetWarningHandler(null());
    }
}

#[expect(unsafe_code, reason = "the crate does not know the copy of libtiff in GDAL")]
unsafe extern "C" {
    fn gdal_TIFFSetErrorHandler(handler: *const c_void) -> *const c_void;
    fn gdal_TIFFSetWarningHandler(handler: *const c_void) -> *const c_void;
}

/// Where GDAL is to look for a table of its own, in place of the working folder: where none is. Told
/// that there is none, it would try the bare name.
#[expect(unsafe_code, reason = "GDAL calls it")]
unsafe extern "C" fn find_table(_class: *const c_char, _name: *const c_char) -> *const c_char {
    NOWHERE.as_ptr()
}

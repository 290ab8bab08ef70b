//! GDAL's settings, drivers and tables: what is built in, and nothing else.

#![expect(clippy::disallowed_methods, reason = "the environment is kept from GDAL here")]

use std::cell::Cell;
use std::ffi::{CStr, c_char, c_void};
use std::ptr::null;

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

/// Has GDAL take no environment variable and no file for its settings.
pub(super) fn close_gdal() {
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

/// Has GDAL look for its own tables nowhere, on this thread.
pub(super) fn close_here() {
    thread_local! {
        static CLOSED_HERE: Cell<bool> = const { Cell::new(false) };
    }
    if !CLOSED_HERE.replace(true) {
        #[expect(unsafe_code, reason = "the crate has no safe way to it")]
        // SAFETY: the function lives as long as the program.
        unsafe {
            gdal_sys::CPLPushFileFinder(Some(find_table));
        }
    }
}

/// Where GDAL is to look for a table of its own, in place of the working folder: where none is. Told
/// that there is none, it would try the bare name.
#[expect(unsafe_code, reason = "GDAL calls it")]
unsafe extern "C" fn find_table(_class: *const c_char, _name: *const c_char) -> *const c_char {
    NOWHERE.as_ptr()
}

/// The version of GDAL.
#[expect(unsafe_code, reason = "gdal's own question is at home elsewhere")]
pub(super) fn gdal_version() -> Option<String> {
    // SAFETY: the key is text that ends, and so is the answer, which lives as long as the program.
    let told = unsafe { CStr::from_ptr(gdal_sys::GDALVersionInfo(c"RELEASE_NAME".as_ptr())) };
    told.to_str().ok().map(str::to_owned)
}

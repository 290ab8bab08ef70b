//! PROJ's file system: it holds the datum grids of the site that is being worked on, and nothing
//! else. Its database is built in, and read from memory.

use std::ffi::{CStr, c_char, c_int, c_longlong, c_ulonglong, c_void};
use std::ptr::{null, null_mut};

use proj_sys::{PJ_CONTEXT, PROJ_FILE_API, PROJ_FILE_HANDLE, PROJ_OPEN_ACCESS};

use super::seen;

/// Sees to it that PROJ opens no other file.
///
/// A context inherits from the default one who finds files, not who opens them; GDAL makes contexts
/// of its own, which nobody else can reach. So the finder is set here, and tells each context who
/// opens files when that context first looks for one.
pub(super) fn close_proj() {
    let default = null_mut();
    #[expect(unsafe_code, reason = "PROJ has no safe way to its default context")]
    // SAFETY: headfall has made no context yet; the callbacks live as long as the program.
    unsafe {
        // PROJ's own log repeats on standard error what is told as a finding.
        proj_sys::proj_log_level(default, proj_sys::PJ_LOG_LEVEL_PJ_LOG_NONE);
        proj_sys::proj_context_set_fileapi(default, &raw const FILES, null_mut());
        proj_sys::proj_context_set_file_finder(default, Some(find), null_mut());
    }
}

static FILES: PROJ_FILE_API = PROJ_FILE_API {
    version: 1,
    open_cbk: Some(open),
    read_cbk: Some(read),
    write_cbk: Some(write),
    seek_cbk: Some(seek),
    tell_cbk: Some(tell),
    close_cbk: Some(close),
    exists_cbk: Some(exists),
    mkdir_cbk: Some(never),
    unlink_cbk: Some(never),
    rename_cbk: Some(rename),
};

/// An open grid.
struct Handle {
    bytes: &'static [u8],
    /// May lie beyond the end.
    at: usize,
}

/// A name as PROJ hands it over.
#[expect(unsafe_code, reason = "PROJ hands over a text of C")]
unsafe fn text<'a>(name: *const c_char) -> &'a str {
    // SAFETY: PROJ's names end in a zero, and live until the call is done.
    unsafe { CStr::from_ptr(name) }.to_str().unwrap_or_default()
}

/// A context looks for a file: from now on it opens no others. PROJ finds a grid of the site under
/// its own name, and goes on looking for anything else.
#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn find(
    context: *mut PJ_CONTEXT,
    name: *const c_char,
    _data: *mut c_void,
) -> *const c_char {
    // SAFETY: PROJ hands over the context that it is using on this thread, and copies the table and
    // the name.
    unsafe {
        proj_sys::proj_context_set_fileapi(context, &raw const FILES, null_mut());
        if seen::is_visible(text(name)) { name } else { null() }
    }
}

#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn open(
    _context: *mut PJ_CONTEXT,
    name: *const c_char,
    access: PROJ_OPEN_ACCESS,
    _data: *mut c_void,
) -> *mut PROJ_FILE_HANDLE {
    let to_read = access == proj_sys::PROJ_OPEN_ACCESS_PROJ_OPEN_ACCESS_READ_ONLY;
    // SAFETY: as there.
    let name = unsafe { text(name) };
    let Some(bytes) = seen::opened(name).filter(|_| to_read) else { return null_mut() };
    Box::into_raw(Box::new(Handle { bytes, at: 0 })).cast()
}

/// The handle that [`open`] gave out.
#[expect(unsafe_code, reason = "PROJ hands over what it was given")]
unsafe fn handle<'a>(file: *mut PROJ_FILE_HANDLE) -> &'a mut Handle {
    // SAFETY: PROJ hands over handles of `open` that it has not closed, from one thread at a time.
    unsafe { &mut *file.cast::<Handle>() }
}

#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn read(
    _context: *mut PJ_CONTEXT,
    file: *mut PROJ_FILE_HANDLE,
    into: *mut c_void,
    bytes: usize,
    _data: *mut c_void,
) -> usize {
    // SAFETY: as there; PROJ has room for as many bytes as it asks for.
    unsafe {
        let handle = handle(file);
        let left = handle.bytes.get(handle.at..).unwrap_or_default();
        let count = left.len().min(bytes);
        std::ptr::copy_nonoverlapping(left.as_ptr(), into.cast::<u8>(), count);
        handle.at += count;
        count
    }
}

#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn write(
    _context: *mut PJ_CONTEXT,
    _file: *mut PROJ_FILE_HANDLE,
    _from: *const c_void,
    _bytes: usize,
    _data: *mut c_void,
) -> usize {
    0
}

/// Goes to a place counted from the start (0), from here (1) or from the end (2), as in C.
#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn seek(
    _context: *mut PJ_CONTEXT,
    file: *mut PROJ_FILE_HANDLE,
    offset: c_longlong,
    whence: c_int,
    _data: *mut c_void,
) -> c_int {
    // SAFETY: as there.
    let handle = unsafe { handle(file) };
    let from = match whence {
        0 => 0,
        1 => handle.at,
        _ => handle.bytes.len(),
    };
    let to = isize::try_from(offset).ok().and_then(|offset| from.checked_add_signed(offset));
    handle.at = to.unwrap_or(handle.at);
    c_int::from(to.is_some())
}

#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn tell(
    _context: *mut PJ_CONTEXT,
    file: *mut PROJ_FILE_HANDLE,
    _data: *mut c_void,
) -> c_ulonglong {
    // SAFETY: as there.
    unsafe { handle(file).at as c_ulonglong }
}

#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn close(
    _context: *mut PJ_CONTEXT,
    file: *mut PROJ_FILE_HANDLE,
    _data: *mut c_void,
) {
    // SAFETY: as there; PROJ closes each once.
    drop(unsafe { Box::from_raw(file.cast::<Handle>()) });
}

#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn exists(
    _context: *mut PJ_CONTEXT,
    name: *const c_char,
    _data: *mut c_void,
) -> c_int {
    // SAFETY: as there.
    c_int::from(seen::is_visible(unsafe { text(name) }))
}

/// Whether a folder was made, a file removed.
#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn never(
    _context: *mut PJ_CONTEXT,
    _name: *const c_char,
    _data: *mut c_void,
) -> c_int {
    0
}

#[expect(unsafe_code, reason = "PROJ calls it")]
unsafe extern "C" fn rename(
    _context: *mut PJ_CONTEXT,
    _from: *const c_char,
    _to: *const c_char,
    _data: *mut c_void,
) -> c_int {
    0
}

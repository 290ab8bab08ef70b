//! A plain end where the system has no memory left.

use std::alloc::{GlobalAlloc, Layout, System};

/// The system's allocator, with an end that says so where there is no memory left.
pub(crate) struct OrEnd;

#[expect(unsafe_code, reason = "the trait of allocators is unsafe")]
// SAFETY: every call is handed to the system's allocator as it came, and what that gives is handed
// back as it is.
unsafe impl GlobalAlloc for OrEnd {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        given(unsafe { System.alloc(layout) }, layout.size())
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        given(unsafe { System.alloc_zeroed(layout) }, layout.size())
    }

    unsafe fn dealloc(&self, block: *mut u8, layout: Layout) {
        unsafe { System.dealloc(block, layout) }
    }

    unsafe fn realloc(&self, block: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        given(unsafe { System.realloc(block, layout, size) }, size)
    }
}

/// The block, if there is one.
#[inline]
fn given(block: *mut u8, size: usize) -> *mut u8 {
    #[cfg(unix)]
    if block.is_null() && size > 0 {
        none_left(size);
    }
    block
}

/// Ends the program where the system has no memory left to give: without a block nothing can go on,
/// on no thread. What the run has laid aside the next one into the same folder clears away.
#[cfg(unix)]
#[cold]
fn none_left(size: usize) -> ! {
    use std::io::Write as _;
    let mut text = [0; 400];
    let mut rest = &mut text[..];
    // Rounded up, so that it is never 0.
    let _ = writeln!(
        rest,
        "not enough memory: the system refused {} MB more; earlier results are unchanged\n    \
         help: give headfall more memory, fewer wells, features clipped to the site, or a larger --cell",
        size.div_ceil(1 << 20)
    );
    let left = rest.len();
    let told = &text[..text.len() - left];
    #[expect(unsafe_code, reason = "what the standard library has for this may ask for memory")]
    // SAFETY: the text outlives the call; the end runs nothing more of this program.
    unsafe {
        libc::write(libc::STDERR_FILENO, told.as_ptr().cast(), told.len());
        libc::_exit(super::exit::Exit::Refused as i32)
    }
}

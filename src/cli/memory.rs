//! Memory in large pages, where the system has them, and a plain end where it has none left.
//!
//! A map touches much memory once: the grid, the points, the text of its files. The system hands
//! memory out page by page and clears each, which in pages of 4 KiB takes five times as long as in
//! pages of 2 MiB: a tenth of a large map's time. Changes no result; where there are no large pages
//! it does nothing.

use std::alloc::{GlobalAlloc, Layout, System};

/// Bytes of the heap that come in large pages: what a map of some hundred wells touches.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const HEAP: i32 = 48 << 20;

/// A large page, bytes.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const PAGE: usize = 1 << 21;

/// Blocks from this many bytes on are asked for in large pages.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const LARGE: usize = 4 << 20;

/// The system's allocator, with large blocks in large pages, and an end that says so where there is
/// no memory left.
pub(crate) struct InLargePages;

#[expect(unsafe_code, reason = "the trait of allocators is unsafe")]
// SAFETY: every call is handed to the system's allocator as it came, and what that gives is handed
// back as it is. The advice changes neither the content of a block nor its bounds.
unsafe impl GlobalAlloc for InLargePages {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        advised(unsafe { System.alloc(layout) }, layout.size())
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        advised(unsafe { System.alloc_zeroed(layout) }, layout.size())
    }

    unsafe fn dealloc(&self, block: *mut u8, layout: Layout) {
        unsafe { System.dealloc(block, layout) }
    }

    unsafe fn realloc(&self, block: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        advised(unsafe { System.realloc(block, layout, size) }, size)
    }
}

/// The block, its whole pages advised to be large ones if it is large.
#[inline]
fn advised(block: *mut u8, size: usize) -> *mut u8 {
    #[cfg(unix)]
    if block.is_null() && size > 0 {
        none_left(size);
    }
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    if size >= LARGE && !block.is_null() {
        in_large(block as usize, size);
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

/// Asks for the whole large pages of a stretch of memory.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
fn in_large(from: usize, size: usize) {
    let (first, end) = (from.next_multiple_of(PAGE), (from + size) & !(PAGE - 1));
    if first < end {
        #[expect(unsafe_code, reason = "the system has no other door")]
        // SAFETY: the pages lie within a block that was just handed out.
        unsafe {
            libc::madvise(first as *mut libc::c_void, end - first, libc::MADV_HUGEPAGE);
        }
    }
}

/// Asks for the beginning of the heap in large pages and keeps freed memory in it. A map of a
/// hundred wells touches some twenty MiB for a few milliseconds, and the system would spend more
/// time on handing them out page by page and taking them back than PROJ spends on its database.
pub(crate) fn heap_in_large_pages() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    #[expect(unsafe_code, reason = "the C library's allocator has no other door")]
    // SAFETY: the program has no second thread yet. The heap between the new block and the break is
    // the allocator's own, and the advice changes neither its content nor its bounds.
    unsafe {
        // One heap for all threads, given in one piece, which larger blocks are cut from too.
        libc::mallopt(libc::M_ARENA_MAX, 1);
        libc::mallopt(libc::M_MMAP_THRESHOLD, HEAP / 2);
        libc::mallopt(libc::M_TRIM_THRESHOLD, 2 * HEAP);
        libc::mallopt(libc::M_TOP_PAD, HEAP);
        let block = libc::malloc(1 << 20);
        let (from, to) = (block as usize, libc::sbrk(0) as usize);
        libc::mallopt(libc::M_TOP_PAD, 1 << 20);
        if from < to && to - from <= 2 * HEAP as usize {
            in_large(from, to - from);
        }
        libc::free(block);
    }
}

//! Memory in large pages, where the system has them.

/// Bytes of the heap that come in large pages: what a map of some hundred wells touches.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const HEAP: i32 = 48 << 20;

/// Asks for the heap in pages of 2 MiB and keeps freed memory in it. A map of a hundred wells
/// touches some twenty MiB for a few milliseconds, and the system would spend more time on handing
/// them out page by page and taking them back than PROJ spends on its database. Changes no result;
/// where there are no large pages it does nothing.
pub(crate) fn in_large_pages() {
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
        let page = 1 << 21;
        let from = from.next_multiple_of(page);
        if from < to && to - from <= 2 * HEAP as usize {
            libc::madvise(from as *mut libc::c_void, to - from, libc::MADV_HUGEPAGE);
        }
        libc::free(block);
    }
}

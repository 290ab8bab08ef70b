//! As many open files as the system lets the program have.

/// Raises the number of files that may be open at once to the most that the program may ask for:
/// many systems begin with a few hundred and allow many thousand. Changes no result; where it cannot
/// be raised it stays, and a run that needs more says so.
pub(crate) fn as_many_as_allowed() {
    #[cfg(unix)]
    #[expect(unsafe_code, reason = "the standard library does not know limits")]
    // SAFETY: the limits are a value of this function; the calls read or write it and keep nothing.
    unsafe {
        let mut limits: libc::rlimit = std::mem::zeroed();
        if libc::getrlimit(libc::RLIMIT_NOFILE, &raw mut limits) == 0
            && limits.rlim_cur < limits.rlim_max
        {
            limits.rlim_cur = limits.rlim_max;
            libc::setrlimit(libc::RLIMIT_NOFILE, &raw const limits);
        }
    }
}

//! Signals that ask the program to end.

/// Has the program end without leaving files that are half made, where it is asked to end: by a key, or by the system.
/// Signals that it was started to ignore, as background jobs are, it ignores.
#[cfg(unix)]
pub(crate) fn end_cleanly() {
    let asked =
        [libc::SIGINT, libc::SIGTERM, libc::SIGHUP].into_iter().filter(|s| !is_passed_over(*s));
    // Where no signals can be had the program ends as any other does.
    let Ok(mut signals) = signal_hook::iterator::Signals::new(asked) else { return };
    let wait = move || {
        if let Some(signal) = signals.forever().next() {
            headfall::write::abandon();
            let _ = signal_hook::low_level::emulate_default_handler(signal);
        }
    };
    let _ = std::thread::Builder::new().name("signals".to_owned()).spawn(wait);
}

#[cfg(unix)]
#[expect(unsafe_code, reason = "the standard library does not know signals")]
fn is_passed_over(signal: i32) -> bool {
    // SAFETY: a question alone: no new action is given, and an action of zeroes is a valid one to write to.
    unsafe {
        let mut now: libc::sigaction = std::mem::zeroed();
        libc::sigaction(signal, std::ptr::null(), &raw mut now) == 0
            && now.sa_sigaction == libc::SIG_IGN
    }
}

/// Elsewhere a program ends as the system ends it.
#[cfg(not(unix))]
pub(crate) fn end_cleanly() {}

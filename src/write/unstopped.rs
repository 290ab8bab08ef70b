//! A stretch of a run that signals do not stop.

use std::sync::Mutex;

/// While one lives, the signals that ask a program to end are passed over: what it is doing takes a
/// millisecond and leaves nothing half done. Where the system has no such signals it does nothing.
#[derive(Debug)]
pub(super) struct Unstopped(());

/// How many live at once, and how signals were answered before the first.
static LIVING: Mutex<(usize, Vec<Before>)> = Mutex::new((0, Vec::new()));

impl Unstopped {
    pub(super) fn begin() -> Self {
        let mut living = LIVING.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if living.0 == 0 {
            living.1 = passed_over();
        }
        living.0 += 1;
        Self(())
    }
}

impl Drop for Unstopped {
    fn drop(&mut self) {
        let mut living = LIVING.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        living.0 -= 1;
        if living.0 == 0 {
            answered_as(std::mem::take(&mut living.1));
        }
    }
}

#[cfg(unix)]
use system::{Before, answered_as, passed_over};

#[cfg(not(unix))]
type Before = ();

#[cfg(not(unix))]
fn passed_over() -> Vec<Before> {
    Vec::new()
}

#[cfg(not(unix))]
fn answered_as(_: Vec<Before>) {}

#[cfg(unix)]
#[expect(unsafe_code, reason = "the standard library does not know signals")]
mod system {
    use std::fmt;
    use std::mem::MaybeUninit;

    /// A key that stops the program, a request to end, a terminal that goes, a file that grows too
    /// large.
    const SIGNALS: [i32; 4] = [libc::SIGINT, libc::SIGTERM, libc::SIGHUP, libc::SIGXFSZ];

    /// A signal and how it was answered.
    pub(super) struct Before(i32, libc::sigaction);

    impl fmt::Debug for Before {
        fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            write!(f, "signal {}", self.0)
        }
    }

    pub(super) fn passed_over() -> Vec<Before> {
        SIGNALS.iter().filter_map(|signal| set(*signal, None)).collect()
    }

    pub(super) fn answered_as(before: Vec<Before>) {
        for Before(signal, action) in before {
            set(signal, Some(&action));
        }
    }

    /// Answers a signal as told, or passes it over; gives how it was answered.
    fn set(signal: i32, action: Option<&libc::sigaction>) -> Option<Before> {
        // SAFETY: an action of zeroes is a valid one without flags, which then gets its handler; both
        // pointers are to actions that live until the call is done.
        unsafe {
            let mut ignored: libc::sigaction = std::mem::zeroed();
            ignored.sa_sigaction = libc::SIG_IGN;
            let mut before = MaybeUninit::uninit();
            let done = libc::sigaction(signal, action.unwrap_or(&ignored), before.as_mut_ptr());
            (done == 0).then(|| Before(signal, before.assume_init()))
        }
    }

    #[cfg(test)]
    mod tests {
        use crate::write::unstopped::system::SIGNALS;
        use crate::write::unstopped::{LIVING, Unstopped};

        fn handler(signal: i32) -> usize {
            // SAFETY: a question alone: no new action is given.
            unsafe {
                let mut now: libc::sigaction = std::mem::zeroed();
                assert_eq!(libc::sigaction(signal, std::ptr::null(), &raw mut now), 0);
                now.sa_sigaction
            }
        }

        /// Other tests may be placing results just now.
        fn while_none_lives<T>(answer: impl Fn() -> T) -> T {
            loop {
                let living = LIVING.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
                if living.0 == 0 {
                    return answer();
                }
                drop(living);
                std::thread::yield_now();
            }
        }

        #[test]
        fn signals_are_passed_over_for_as_long_as_one_lives_and_then_answered_as_before() {
            let before = while_none_lives(|| SIGNALS.map(handler));
            let (first, second) = (Unstopped::begin(), Unstopped::begin());
            for signal in SIGNALS {
                // SAFETY: the process sends itself a signal that it passes over.
                assert_eq!(unsafe { libc::raise(signal) }, 0);
            }
            drop(first);
            assert!(SIGNALS.iter().all(|signal| handler(*signal) == libc::SIG_IGN));
            drop(second);
            assert_eq!(while_none_lives(|| SIGNALS.map(handler)), before);
        }
    }
}

//! The tests that look at headfall from outside. One binary, so that the bundled libraries are
//! linked once.
#![expect(missing_docs, reason = "tests document themselves by their names")]

mod kriging;
mod projection;

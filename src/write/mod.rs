//! Everything to files, all or nothing.

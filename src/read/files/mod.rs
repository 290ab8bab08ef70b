//! The files of a site: opened, named, recorded with their hashes.
//!
//! | file | what it does |
//! |---|---|
//! | `encoding` | bytes to text |
//! | `input` | a file's bytes and text, with a hash |
//! | `input_file` | a file that was read, and its hash |
//! | `names` | what the files of a site folder are called |
//! | `record` | names and hashes of files that GDAL opens |

pub(super) mod encoding;
pub(super) mod input;
pub(super) mod input_file;
pub(super) mod names;
pub(super) mod record;

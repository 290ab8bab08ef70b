//! A site: a folder of files, or one table for everything.
//!
//! | file | what it does |
//! |---|---|
//! | `source` | the file of the register, with the CRS of a vector file |
//! | `folder` | the files of a site folder |
//! | `single` | one table of wells and readings |
//! | `undeclared` | register and readings without settings |
//! | `unread` | files that look like inputs and are none |
//! | `finish` | what was read to a site |
//! | `whole` | a site with its rounds |
//! | `said` | what was read, with what was found |

pub(super) mod finish;
pub(super) mod folder;
pub(super) mod said;
pub(super) mod single;
mod source;
pub(super) mod undeclared;
pub(super) mod unread;
pub(super) mod whole;

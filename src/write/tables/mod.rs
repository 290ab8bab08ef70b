//! The CSV tables.

mod cell;
mod heads;
mod table;
mod triangles;

pub(super) use cell::text;
pub(super) use heads::heads;
pub(super) use table::table;
pub(super) use triangles::triangles;

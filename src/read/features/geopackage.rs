//! What a GeoPackage says of itself before GDAL opens it: which of its tables are worked out while
//! they are read. The only file that speaks to SQLite.
//!
//! A view is a query, and a query of a few words may take longer than anybody waits. GDAL would run
//! it to count or to read a layer, so that it must be known from the list of the tables alone.

#![expect(unsafe_code, reason = "SQLite, which GDAL and PROJ bring along, has no safe way here")]
#![expect(clippy::disallowed_methods, reason = "SQLite opens a file by itself")]

use std::ffi::{CStr, CString};
use std::fmt::Write as _;
use std::fs::File;
use std::io::Read as _;
use std::path::Path;
use std::ptr::{null, null_mut};

use libsqlite3_sys as sqlite;

/// The names of all views, of tables of modules, and of tables with columns that are worked out. To
/// list them runs none of them.
const COMPUTED: &CStr = c"SELECT name FROM sqlite_schema \
    WHERE type = 'view' OR type = 'table' AND sql LIKE 'CREATE VIRTUAL%' \
    UNION SELECT t.name FROM sqlite_schema AS t, pragma_table_xinfo(t.name) AS c \
    WHERE t.type = 'table' AND t.sql NOT LIKE 'CREATE VIRTUAL%' AND c.hidden = 2";

/// How every SQLite file begins; bytes 18 and 19 are 2 where changes go through a write-ahead log.
///
/// # References
/// SQLite, Database File Format, 1.3.
const HEADER: &[u8; 16] = b"SQLite format 3\0";

/// What was found in a database.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Found {
    /// Whether the file is one.
    pub(super) is_database: bool,
    /// The tables that are worked out while they are read.
    pub(super) computed: Vec<String>,
    /// Whether changes go through a write-ahead log.
    pub(super) logged: bool,
}

/// Looks into a file that is a database; nothing is found in any other. A database that is broken
/// is left to GDAL, which says so.
pub(super) fn look(path: &Path) -> Found {
    let mut begin = [0; 20];
    let read = File::open(path).and_then(|mut file| file.read_exact(&mut begin));
    if read.is_err() || begin[..16] != *HEADER {
        return Found::default();
    }
    Found {
        is_database: true,
        computed: computed(path).unwrap_or_default(),
        logged: begin[18..] == [2, 2],
    }
}

impl Found {
    /// Whether a table of this name is worked out; SQLite does not tell cases apart.
    pub(super) fn is_computed(&self, table: &str) -> bool {
        self.computed.iter().any(|name| name.eq_ignore_ascii_case(table))
    }

    /// A table of the format itself that is worked out: GDAL reads those as it opens the file.
    pub(super) fn of_the_format(&self) -> Option<&str> {
        let begins =
            |name: &&String| name.get(..5).is_some_and(|b| b.eq_ignore_ascii_case("gpkg_"));
        self.computed.iter().find(begins).map(String::as_str)
    }
}

/// A database that is open, closed when the value goes.
struct Open(*mut sqlite::sqlite3);

impl Drop for Open {
    fn drop(&mut self) {
        // SAFETY: it was opened, or is null, and is closed once.
        unsafe { sqlite::sqlite3_close(self.0) };
    }
}

/// A query, done with when the value goes: before its database, which is declared before it.
struct Query(*mut sqlite::sqlite3_stmt);

impl Drop for Query {
    fn drop(&mut self) {
        // SAFETY: it was prepared, or is null, and is given up once.
        unsafe { sqlite::sqlite3_finalize(self.0) };
    }
}

fn computed(path: &Path) -> Option<Vec<String>> {
    let uri = CString::new(uri(path)).ok()?;
    let flags = sqlite::SQLITE_OPEN_READONLY | sqlite::SQLITE_OPEN_URI;
    let (mut database, mut query) = (Open(null_mut()), Query(null_mut()));
    let mut names = Vec::new();
    // SAFETY: both pointers are written before they are read; the texts outlive the calls; a name is
    // copied before the next step, which ends its life.
    unsafe {
        if sqlite::sqlite3_open_v2(uri.as_ptr(), &raw mut database.0, flags, null())
            != sqlite::SQLITE_OK
            || sqlite::sqlite3_prepare_v2(
                database.0,
                COMPUTED.as_ptr(),
                -1,
                &raw mut query.0,
                null_mut(),
            ) != sqlite::SQLITE_OK
        {
            return None;
        }
        while sqlite::sqlite3_step(query.0) == sqlite::SQLITE_ROW {
            let name = sqlite::sqlite3_column_text(query.0, 0);
            if !name.is_null() {
                names.push(CStr::from_ptr(name.cast()).to_string_lossy().into_owned());
            }
        }
    }
    drop(query);
    drop(database);
    Some(names)
}

/// A path as SQLite takes one that nothing may be laid beside: every byte that could mean something
/// stands by its number.
fn uri(path: &Path) -> String {
    let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let text = path.to_string_lossy().replace('\\', "/");
    let mut uri = "file:".to_owned();
    if !text.starts_with('/') {
        uri.push('/');
    }
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"/._-:".contains(&byte) {
            uri.push(byte.into());
        } else {
            let _ = write!(uri, "%{byte:02X}");
        }
    }
    uri + "?immutable=1"
}

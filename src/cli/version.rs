//! Which program this is.

use std::sync::LazyLock;

use headfall::sealed::BuiltOf;

/// The version, and what the program is built of, each on a line.
pub(super) fn long() -> &'static str {
    static LONG: LazyLock<String> = LazyLock::new(|| {
        let BuiltOf { commit, proj, gdal } = BuiltOf::this();
        let parts = [("commit", commit), ("GDAL", gdal.as_deref()), ("PROJ", proj.as_deref())];
        let parts =
            parts.map(|(name, is)| is.map(|is| format!("\n{name} {is}")).unwrap_or_default());
        env!("CARGO_PKG_VERSION").to_owned() + &parts.concat()
    });
    &LONG
}

//! Tables for people.

#![expect(
    clippy::disallowed_methods,
    reason = "the width of the terminal is asked for, and nothing printed"
)]

use comfy_table::{ContentArrangement, Table, presets};
use terminal_size::{Width, terminal_size_of};

/// An empty table without lines. On a terminal it is no wider than that, and long cells take several lines; in a
/// file or a pipe every row is one line.
pub(super) fn plain() -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    if let Some((Width(columns), _)) = terminal_size_of(std::io::stdout()) {
        table.set_width(columns).set_content_arrangement(ContentArrangement::Dynamic);
    }
    table
}

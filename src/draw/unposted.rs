//! Wells whose name and head have no room on the map: a number beside the well, and a table.

use super::faces::Letters;
use super::font::{Words, width};
use super::panel::Block;
use super::style::BODY;

/// Lines of the table that are kept together.
const TOGETHER: usize = 10;

/// Between the cells of a row, points.
const BETWEEN: f64 = 3.0;

/// Between rows side by side, points.
const GAP: f64 = 8.0;

/// A row of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unposted {
    /// The number beside the well, behind the letter of its inset; `None` where it has no room either.
    pub(super) key: Option<String>,
    pub(super) name: String,
    /// What is posted at the others: the head, or why there is none.
    pub(super) posted: String,
    pub(super) has_head: bool,
}

impl Unposted {
    fn number(&self) -> String {
        self.key.clone().unwrap_or_else(|| "\u{2013}".to_owned())
    }
}

/// The table, parted into blocks that may follow each other in several columns: rows with a head, then those without, each
/// by number and side by side where the width has room.
pub(super) fn blocks(rows: &[Unposted], letters: &Letters, block_width: f64) -> Vec<Block> {
    let (with_head, without): (Vec<&Unposted>, Vec<&Unposted>) =
        rows.iter().partition(|row| row.has_head);
    let headings = ["No room on the map: number, well, head", "No room on the map, no head"];
    let parts = [with_head, without].into_iter().zip(headings);
    parts.flat_map(|(rows, heading)| part(&rows, heading, letters, block_width)).collect()
}

fn part(rows: &[&Unposted], heading: &str, letters: &Letters, block_width: f64) -> Vec<Block> {
    let widest = |texts: Vec<String>, bold: bool| {
        texts.iter().map(|text| width(&Words::of(text, letters), BODY, bold)).fold(0.0, f64::max)
    };
    let of = |text: fn(&Unposted) -> String| rows.iter().map(|row| text(row)).collect();
    let numbers = widest(of(Unposted::number), true) + BETWEEN;
    let posted = widest(of(|row| row.posted.clone()), false);
    let most = (block_width - numbers - posted - BETWEEN).max(0.0);
    let names = widest(of(|row| row.name.clone()), false).min(most) + BETWEEN;
    let row_width = numbers + names + posted;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts of floats saturate, and rows side by side are a few"
    )]
    let across = (((block_width + GAP) / (row_width + GAP)) as usize).max(1);
    let mut blocks = Vec::new();
    for (i, together) in rows.chunks(TOGETHER * across).enumerate() {
        let mut block = if i == 0 {
            Block::new(letters, block_width, heading)
        } else {
            Block::bare(letters, block_width)
        };
        for line in together.chunks(across) {
            let cells = line.iter().enumerate().flat_map(|(k, row)| {
                let left = k as f64 * (row_width + GAP);
                let name = Words::of(&row.name, letters).fitted(names - BETWEEN, BODY, false);
                [
                    (left, Words::new(&row.number()), true),
                    (left + numbers, name, false),
                    (left + numbers + names, Words::new(&row.posted), false),
                ]
            });
            block.cells(cells.collect());
        }
        blocks.push(block);
    }
    blocks
}

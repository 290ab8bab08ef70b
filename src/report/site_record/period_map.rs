//! The map of the highest, the lowest or the mean heads of a year or a season.

use crate::contour::ContourLine;
use crate::map::{Map, Worked};
use crate::record::{Period, PeriodValue};
use crate::uncertainty::Stretch;

/// The map of one kind of value over one period.
#[derive(Debug)]
pub struct PeriodMap {
    /// The rounds.
    pub period: Period,
    /// What was worked out of them.
    pub worked: Worked,
    /// The value of each well of the record, or why it has none.
    pub values: Vec<Result<PeriodValue, String>>,
    /// The map, or why there is none.
    pub map: Result<Map, String>,
}

impl PeriodMap {
    /// The raster of its surface: `2025-highest.tif`.
    pub(crate) fn file(&self) -> String {
        let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
        let period: String = self.period.words.chars().map(plain).collect();
        format!("{period}-{}.tif", self.worked.word())
    }

    /// The stretches of its contours, each with its line.
    pub(crate) fn stretches(&self) -> impl Iterator<Item = (&ContourLine, Stretch)> {
        self.map.iter().flat_map(|map| {
            let stretch = |line: usize, s: usize| map.uncertainty.contours[line].stretches[s];
            let all = map.uncertainty.stretches();
            all.map(move |(line, s)| (&map.contours.lines[line], stretch(line, s)))
        })
    }
}

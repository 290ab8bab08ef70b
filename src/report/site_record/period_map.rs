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
    /// Its name in those of files: `2025-highest`.
    pub(crate) fn name(&self) -> String {
        let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
        let period: String = self.period.words.chars().map(plain).collect();
        format!("{period}-{}", self.worked.word())
    }

    /// The raster of its surface.
    pub(crate) fn file(&self) -> String {
        format!("{}.tif", self.name())
    }

    /// The stretches of its contours, each with its line.
    pub(crate) fn stretches(&self) -> Vec<(&ContourLine, Stretch)> {
        let of = |map: &Map| -> Vec<(usize, Stretch)> {
            let supports = map.uncertainty.contours.iter().enumerate();
            supports.flat_map(|(i, s)| s.stretches.iter().map(move |part| (i, *part))).collect()
        };
        let Ok(map) = &self.map else { return Vec::new() };
        of(map).into_iter().map(|(i, stretch)| (&map.contours.lines[i], stretch)).collect()
    }
}

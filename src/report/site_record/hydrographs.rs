//! Which wells share an axis of heads, which readings are marked, and what stands beside a hydrograph in words.

use super::rows::SiteRecord;
use crate::record::{unmoved, words};
use crate::report::measures;
use crate::units::{median, signed};

/// Hydrographs that are shown, and points of all of them together.
const MOST_PLOTS: usize = 300;
const MOST_POINTS: usize = 20_000;

/// The shortest range of heads, m: less is the error of reading.
const SHORTEST_M: f64 = 0.1;

/// A well whose heads range over more than so many times what those of its aquifer unit usually do has another axis.
const WIDE: f64 = 3.0;

/// Free space above and below the heads, as a part of their range.
const FREE: f64 = 0.12;

/// Wells on one span of heads: a change is as high in one as in the other.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Group {
    /// Their aquifer unit, and whether they are those that move more than usual.
    pub(crate) title: String,
    /// From the lower to the upper end of each axis, elevation unit.
    pub(crate) span: f64,
    pub(crate) wells: Vec<Ranged>,
}

/// A well with the levels that its hydrograph has to show, elevation unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ranged {
    /// Its index.
    pub(crate) well: usize,
    low: f64,
    high: f64,
}

impl Ranged {
    /// The ends of its axis.
    pub(crate) fn ends(&self, span: f64) -> (f64, f64) {
        let middle = f64::midpoint(self.low, self.high);
        (middle - span / 2.0, middle + span / 2.0)
    }

    fn range(&self, shortest: f64) -> f64 {
        (self.high - self.low).max(shortest)
    }
}

/// A reading that does not fit the record.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Doubt {
    pub(crate) round: usize,
    /// What is written at its mark; empty at all but the last of readings that stay the same.
    pub(crate) text: String,
    /// Whether there is room above its mark: it stands out upward, or is one of a level line.
    pub(crate) above: bool,
}

impl SiteRecord {
    /// The wells with dated levels, by aquifer unit in the order of the register, and how many there are beside those
    /// shown.
    pub(crate) fn hydrographs(&self) -> (Vec<Group>, usize) {
        let all: Vec<Ranged> =
            (0..self.record.wells.len()).filter_map(|well| self.ranged(well)).collect();
        let most = MOST_PLOTS.min(MOST_POINTS / self.record.rounds.len().max(1)).max(1);
        let shown = &all[..most.min(all.len())];
        let unit = |r: &Ranged| self.site.wells[r.well].aquifer_unit.as_deref();
        let mut units: Vec<Option<&str>> = Vec::new();
        for of in shown {
            if !units.contains(&unit(of)) {
                units.push(unit(of));
            }
        }
        let groups = units.into_iter().flat_map(|name| {
            let wells = shown.iter().copied().filter(|r| unit(r) == name).collect();
            self.parted(name, wells)
        });
        (groups.collect(), all.len() - shown.len())
    }

    /// The range of a well's dated levels, those that it was dry to among them; `None` without any.
    fn ranged(&self, well: usize) -> Option<Ranged> {
        let rows = self.record.heads_of(well).iter().filter(|h| h.day.is_some());
        let levels: Vec<f64> = rows.filter_map(|h| h.head.or(h.below)).collect();
        let low = levels.iter().copied().reduce(f64::min)?;
        let high = levels.iter().copied().reduce(f64::max)?;
        Some(Ranged { well, low, high })
    }

    /// The wells of a unit, and by themselves those whose heads range over far more than usual.
    fn parted(&self, unit: Option<&str>, wells: Vec<Ranged>) -> Vec<Group> {
        let shortest = SHORTEST_M / self.record.elevation_unit.metres();
        let usual = median(wells.iter().map(|r| r.range(shortest))).unwrap_or(shortest);
        let (wide, plain): (Vec<Ranged>, Vec<Ranged>) =
            wells.into_iter().partition(|r| r.range(shortest) > WIDE * usual);
        let name = unit.unwrap_or("Wells").to_owned();
        let group = |wells: Vec<Ranged>, title: String| {
            let widest = wells.iter().map(|r| r.range(shortest)).fold(0.0, f64::max);
            (!wells.is_empty()).then_some(Group { title, span: widest * (1.0 + 2.0 * FREE), wells })
        };
        let more = format!("{name}: wells that move more");
        [group(plain, name), group(wide, more)].into_iter().flatten().collect()
    }

    /// Heads without a date, which are on no hydrograph.
    pub(crate) fn undated(&self) -> usize {
        self.record.heads.iter().filter(|h| h.head.is_some() && h.day.is_none()).count()
    }

    /// The readings of a well that do not fit the record. A level that stays is marked as one.
    pub(crate) fn doubts(&self, well: usize) -> Vec<Doubt> {
        let unfitting = &self.record.unfitting;
        let odd = self.odd_alone(well).map(|o| Doubt {
            round: o.round,
            text: format!("{}?", self.off(o.off)),
            above: o.off > 0.0,
        });
        let mut found: Vec<Doubt> = odd.collect();
        for stuck in unfitting.stuck.iter().filter(|s| s.well == well) {
            let rows = self.record.heads_of(well).iter();
            let run = rows.filter(|h| stuck.has(well, h.round) && h.head.is_some());
            found.extend(run.map(|h| Doubt {
                round: h.round,
                text: if h.round == stuck.to { "the same?".to_owned() } else { String::new() },
                above: true,
            }));
        }
        found
    }

    fn odd_alone(&self, well: usize) -> impl Iterator<Item = &crate::record::OddLevel> {
        let unfitting = &self.record.unfitting;
        let stays = move |round: usize| unfitting.stuck.iter().any(|s| s.has(well, round));
        unfitting.odd.iter().filter(move |o| o.well == well && !stays(o.round))
    }

    fn off(&self, value: f64) -> String {
        format!("{} {}", signed(measures::posted(value)), self.unit().in_words())
    }

    /// What a reader needs beside the hydrograph of a well.
    pub(crate) fn beside(&self, well: usize) -> Vec<String> {
        let unit = self.unit().in_words();
        let row = &self.record.wells[well];
        let length = |v: f64| measures::height(v, self.unit());
        let mut found = Vec::new();
        if let Some((bottom, top)) = row.built.screen_bottom.zip(row.built.screen_top) {
            let newest = self.record.heads_of(well).iter().rev().find_map(|h| h.head);
            let state = newest.map_or("", |head| {
                if head > top {
                    ", its top under water"
                } else if head < bottom {
                    ", all of it above the water"
                } else {
                    ", the water level within it"
                }
            });
            found.push(format!("Screen {} to {} {unit}{state}.", length(bottom), length(top)));
        }
        if let Some(point) = row.built.measuring_point {
            found.push(format!("Measuring point {} {unit}.", length(point)));
        }
        if let Some(extremes) = row.extremes {
            found.push(format!(
                "Lowest {} ({}), highest {} ({}).",
                length(extremes.lowest),
                self.round(extremes.lowest_in),
                length(extremes.highest),
                self.round(extremes.highest_in)
            ));
        }
        for odd in self.odd_alone(well) {
            let causes: Vec<String> = odd.causes.iter().map(|c| words(&self.record, c)).collect();
            let why =
                if causes.is_empty() { String::new() } else { format!(": {}", causes.join("; ")) };
            let (round, off) = (self.round(odd.round), self.off(odd.off));
            found.push(format!("{round} does not fit by {off}{why}."));
        }
        for stuck in self.record.unfitting.stuck.iter().filter(|s| s.well == well) {
            found.push(format!("Does not move: {}.", unmoved(&self.record, stuck)));
        }
        found
    }
}

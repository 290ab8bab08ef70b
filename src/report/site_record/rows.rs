//! The rows of a site's record, rounded: what its tables hold.

use std::sync::Arc;

use super::period_map::PeriodMap;
use super::types::{DoubtfulOfRecord, LevelOfRecord, NestOfRecord, RoundOfRecord, WellOfRecord};
use crate::check::ControlSet;
use crate::diag::listed;
use crate::read::{InputFile, Site};
use crate::record::{
    HeadRow, NestRow, NoTrend, Record, SEASON_DAYS, SeasonalTrend, Trend, TurnInterval, Turned,
    Way, WellRow, YEAR_DAYS, unmoved, words,
};
use crate::report::digits;
use crate::report::norths::{North, Norths};
use crate::uncertainty::{DirectionInterval, PlaneFit};
use crate::units::LengthUnit;

/// The record of a site.
#[derive(Debug)]
pub struct SiteRecord {
    /// The site.
    pub site: Arc<Site>,
    /// Its rounds side by side.
    pub record: Record,
    /// Rounds that could not be read, and why.
    pub not_read: Vec<(String, String)>,
    /// Every file read, each once.
    pub inputs: Vec<InputFile>,
    /// The control points of a round, by which the site is on earth; `None` where no round has a map.
    pub ground: Option<ControlSet>,
    /// The highest, the lowest and the mean heads of years and seasons.
    pub surfaces: Vec<PeriodMap>,
}

impl SiteRecord {
    pub(super) fn unit(&self) -> LengthUnit {
        self.record.elevation_unit
    }

    /// What directions are stated against; grid north where no round has a map, and so none a direction.
    #[must_use]
    pub fn norths(&self) -> Norths {
        let none =
            Norths { stated: North::Grid, plan: North::Grid, both: false, convergence_deg: None };
        self.ground.as_ref().map_or(none, Norths::of)
    }

    /// The name of a round.
    pub(super) fn round(&self, i: usize) -> String {
        self.record.rounds[i].round.clone()
    }

    /// Every well in every round, by well.
    #[must_use]
    pub fn levels(&self) -> Vec<LevelOfRecord> {
        self.record.heads.iter().map(|h| self.level(h)).collect()
    }

    fn level(&self, h: &HeadRow) -> LevelOfRecord {
        let before = self.record.change_to(h.well, h.round);
        let year = self.record.heads_of(h.well).iter().filter(|b| b.head.is_some());
        let off = |b: &HeadRow| Some((h.day? - b.day? - YEAR_DAYS).abs());
        let year = year
            .filter_map(|b| Some((b, off(b).filter(|off| *off <= SEASON_DAYS)?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(b, _)| b);
        let changed = year.and_then(|b| Some(h.head? - b.head?));
        LevelOfRecord {
            well: self.record.wells[h.well].well.clone(),
            round: self.round(h.round),
            read: h.moment.clone(),
            head: h.head.map(digits::height),
            head_sd: h.sd.map(digits::height),
            below: h.below.map(digits::height),
            status: h.status.word().to_owned(),
            resurveyed: h.resurveyed,
            since: before.map(|c| self.round(c.from)),
            change: before.map(|c| digits::height(c.change.change)),
            change_low: before.map(|c| digits::height(c.change.low)),
            change_high: before.map(|c| digits::height(c.change.high)),
            year_before: year.filter(|_| changed.is_some()).map(|b| self.round(b.round)),
            change_in_year: changed.map(digits::height),
            unit: self.unit().name(),
        }
    }

    /// Every well over all rounds.
    #[must_use]
    pub fn wells(&self) -> Vec<WellOfRecord> {
        self.record.wells.iter().map(|w| self.well(w)).collect()
    }

    fn well(&self, w: &WellRow) -> WellOfRecord {
        let seasonal = w.seasonal.as_ref();
        let by_season = seasonal.and_then(|s| s.as_ref().ok());
        let trend = w.trend.as_ref().ok();
        let stated = trend.map(Trend::stated);
        WellOfRecord {
            well: w.well.clone(),
            heads: w.extremes.map_or(0, |e| e.heads),
            lowest: w.extremes.map(|e| digits::height(e.lowest)),
            lowest_in: w.extremes.map(|e| self.round(e.lowest_in)),
            highest: w.extremes.map(|e| digits::height(e.highest)),
            highest_in: w.extremes.map(|e| self.round(e.highest_in)),
            mean: w.extremes.map(|e| digits::height(e.mean)),
            trend: trend_words(w.trend.as_ref().map(Trend::way)),
            per_year: trend.map(|t| digits::height(t.per_year)),
            per_year_low: stated.map(|t| digits::height(t.low)),
            per_year_high: stated.map(|t| digits::height(t.high)),
            score: trend.map(|t| t.score),
            probability: stated.map(|t| digits::coefficient(t.p)),
            memory: trend.map(|t| digits::coefficient(t.correlation.memory)),
            seasonal_trend: seasonal.map(|s| trend_words(s.as_ref().map(SeasonalTrend::way))),
            seasonal_per_year: by_season.map(|t| digits::height(t.per_year)),
            seasonal_per_year_low: by_season.map(|t| digits::height(t.test.low)),
            seasonal_per_year_high: by_season.map(|t| digits::height(t.test.high)),
            seasonal_probability: by_season.map(|t| digits::coefficient(t.test.p)),
            unit: self.unit().name(),
        }
    }

    /// Every round, the earliest first.
    #[must_use]
    pub fn rounds(&self) -> Vec<RoundOfRecord> {
        let ends = |interval: DirectionInterval| match interval {
            DirectionInterval::Arc { from, to } => Some([from, to].map(digits::azimuth)),
            DirectionInterval::WholeCircle => None,
        };
        let row = |(i, r): (usize, &crate::record::RoundRow)| {
            let g = r.gradient;
            let arc = g.filter(|g| g.resolved).and_then(|g| ends(g.direction_interval));
            let turn = r.turn.map(|t| t.turn);
            let turns = turn.and_then(|t| match t.stated {
                TurnInterval::Between { from_deg, to_deg } => {
                    Some([from_deg, to_deg].map(digits::azimuth_difference))
                }
                TurnInterval::Any => None,
            });
            RoundOfRecord {
                round: r.round.clone(),
                day: r.day.clone(),
                heads: r.heads,
                doubtful: self.doubtful_in(i),
                gradient: g.map(|g| digits::gradient(g.gradient)),
                gradient_low: g.map(|g| digits::gradient(g.gradient_interval.low)),
                gradient_high: g.map(|g| digits::gradient(g.gradient_interval.high)),
                flow_azimuth_true_deg: g.and_then(|g| g.azimuth_true).map(digits::azimuth),
                flow_azimuth_grid_deg: g.and_then(|g| g.azimuth_grid).map(digits::azimuth),
                flow_from_grid_deg: arc.map(|a| a[0]),
                flow_to_grid_deg: arc.map(|a| a[1]),
                direction_resolved: g.map(|g| g.resolved),
                plane_describes_heads: g.map(|g| g.fit != PlaneFit::Poor),
                since: r.turn.map(|t| self.round(t.since)),
                shared_wells: turn.map(|t| t.wells),
                turn_deg: turn.and_then(|t| t.turn_deg).map(digits::azimuth_difference),
                turn_from_deg: turns.map(|t| t[0]),
                turn_to_deg: turns.map(|t| t[1]),
                turned: turn.map(|t| match t.verdict {
                    Turned::Turned => "turned",
                    Turned::NotShown => "not shown",
                    Turned::NotResolved => "not resolved",
                }),
            }
        };
        self.record.rounds.iter().enumerate().map(row).collect()
    }

    /// How many heads of a round do not fit through time.
    pub(crate) fn doubtful_in(&self, round: usize) -> usize {
        let unfitting = &self.record.unfitting;
        let is_stuck = |well| unfitting.stuck.iter().any(|s| s.has(well, round));
        let stuck = unfitting.stuck.iter().filter(|s| s.has(s.well, round)).count();
        let odd = unfitting.odd.iter().filter(|o| o.round == round && !is_stuck(o.well));
        stuck + odd.count()
    }

    /// Readings that do not fit through time: heads unlike themselves by round, then levels that stay.
    #[must_use]
    pub fn doubtful(&self) -> Vec<DoubtfulOfRecord> {
        let well = |i: usize| self.record.wells[i].well.clone();
        let odd = self.record.unfitting.odd.iter().map(|o| DoubtfulOfRecord {
            well: well(o.well),
            round: self.round(o.round),
            kind: "unlike itself",
            off: Some(digits::height(o.off)),
            standard_deviations: Some(digits::coefficient(o.score)),
            would_explain: listed(o.causes.iter().map(|c| words(&self.record, c))),
            unit: self.unit().name(),
        });
        let stuck = self.record.unfitting.stuck.iter().map(|s| DoubtfulOfRecord {
            well: well(s.well),
            round: self.round(s.to),
            kind: "stays the same",
            would_explain: unmoved(&self.record, s),
            unit: self.unit().name(),
            ..DoubtfulOfRecord::default()
        });
        odd.chain(stuck).collect()
    }

    /// Up or down between nested wells, by pair and round.
    #[must_use]
    pub fn nests(&self) -> Vec<NestOfRecord> {
        self.record.nests.iter().map(|n| self.nest(n)).collect()
    }

    fn nest(&self, row: &NestRow) -> NestOfRecord {
        let v = row.vertical;
        let length = |m: f64| digits::height(LengthUnit::Metre.convert(m, self.unit()));
        let well = |i: usize| self.record.wells[i].well.clone();
        NestOfRecord {
            upper: well(v.upper),
            lower: well(v.lower),
            round: self.round(row.round),
            head_difference: Some(length(v.head_difference_m)),
            distance: Some(length(v.distance_m)),
            gradient: Some(digits::gradient(v.gradient)),
            gradient_low: Some(digits::gradient(v.low)),
            gradient_high: Some(digits::gradient(v.high)),
            direction: v.direction(),
            unit: self.unit().name(),
        }
    }
}

/// Which way a well went, or why nothing is said.
fn trend_words(way: Result<Way, &NoTrend>) -> String {
    match way {
        Ok(Way::Up) => "rises".to_owned(),
        Ok(Way::Down) => "falls".to_owned(),
        Ok(Way::NotShown) => "not shown".to_owned(),
        Err(NoTrend::FewReadings { readings, needed }) => {
            format!("no trend: {readings} readings, {needed} are needed")
        }
        Err(NoTrend::ManyReadings { readings, most }) => {
            format!("no trend: {readings} readings, {most} are taken at most")
        }
        Err(NoTrend::SameMoment) => "no trend: two heads of one moment".to_owned(),
        Err(NoTrend::FewSeasons { seasons, needed, years }) => {
            format!("no trend: {seasons} seasons with heads of {years} years, {needed} are needed")
        }
    }
}

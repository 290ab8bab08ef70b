//! Which wells carry a map, which do not and why, which are pumped.

use std::collections::BTreeMap;

use geo::Coord;

use super::results::Results;
use super::words::counted;
use crate::check::{ControlPoint, ControlSet, Place, pumped_position};
use crate::map::Surfaced;
use crate::read::{Round, Status, Well, WellKind};
use crate::reduce::{Fate, ReadingAccount};

impl<'a> Results<'a> {
    /// The wells that were read and do not carry the map, by name.
    #[must_use]
    pub fn not_used(&self) -> Vec<NotUsed<'a>> {
        let Surfaced { site, control, .. } = &*self.map.surfaced;
        let mut used = vec![false; site.wells.len()];
        for well in control.points().iter().filter_map(ControlPoint::well) {
            used[well] = true;
        }
        let mut accounts: BTreeMap<usize, Vec<&ReadingAccount>> = BTreeMap::new();
        for account in control.accounts().iter().filter(|a| !used[a.well]) {
            accounts.entry(account.well).or_default().push(account);
        }
        let of = |(well, accounts): (usize, Vec<&'a ReadingAccount>)| NotUsed {
            well: &site.wells[well],
            place: control.places()[well],
            accounts,
        };
        // The register is in the order of names, `MW-2` before `MW-10`.
        accounts.into_iter().map(of).collect()
    }

    /// The wells of the map's aquifer unit that have a place and were not read in this round, by name. Wells of no declared
    /// unit are of every unit.
    pub(crate) fn unread(&self) -> Vec<(&'a Well, Place)> {
        let Surfaced { site, control, .. } = &*self.map.surfaced;
        let mut read = vec![false; site.wells.len()];
        let points = control.points().iter().filter_map(ControlPoint::well);
        for well in points.chain(control.accounts().iter().map(|account| account.well)) {
            read[well] = true;
        }
        let unit = control.aquifer_unit();
        let of_unit = |well: &Well| {
            unit.is_none() || well.aquifer_unit.as_deref().is_none_or(|of| Some(of) == unit)
        };
        let unread = site.wells.iter().zip(control.places()).zip(read).filter_map(
            |((well, place), read)| Some((well, (*place).filter(|_| !read && of_unit(well))?)),
        );
        unread.collect()
    }

    /// The pumped wells that have a place: those that the site declares, and those that were found
    /// pumping in this round and carry nothing. Each name once, by name.
    #[must_use]
    pub fn pumped_wells(&self) -> Vec<PumpedPlace<'a>> {
        let Surfaced { site, round, control, .. } = &*self.map.surfaced;
        let register = |name: &str| site.wells.iter().position(|w| w.id == name);
        let declared = site.pumped_wells.iter().filter_map(|p| {
            let crs = pumped_position(p, site, control)?;
            Some(PumpedPlace { name: &p.well, well: register(&p.well), crs })
        });
        let carries = |well: usize| control.points().iter().any(|p| p.well() == Some(well));
        let found = control.accounts().iter().filter_map(|a| {
            let pumping = round.readings[a.reading].status == Status::Pumping;
            let crs = control.places()[a.well].filter(|_| pumping && !carries(a.well))?.crs;
            Some(PumpedPlace { name: &site.wells[a.well].id, well: Some(a.well), crs })
        });
        let mut wells: Vec<PumpedPlace> = declared.chain(found).collect();
        wells.sort_by_key(|w| w.name);
        wells.dedup_by_key(|w| w.name);
        wells
    }

    /// The standard deviation of a head that was measured, m; `None` for a stage between surveyed
    /// places of a stream, which nobody read.
    ///
    /// # Units
    /// - `point`: index into the control points
    #[must_use]
    pub fn measured_sd_m(&self, point: usize) -> Option<f64> {
        let read = self.map.control.points()[point].well().is_some();
        read.then(|| self.map.uncertainty.heads[point].sd_m)
    }

    /// What carries the map, points of streams left out: `12 wells and 3 gauges`.
    #[must_use]
    pub fn carriers(&self) -> String {
        carriers(&self.map.control)
    }

    /// Points along streams that carry the map beside the wells: `12 points`.
    #[must_use]
    pub fn stream_points(&self) -> Option<String> {
        let points = self.map.control.points().iter();
        let along = points.filter(|p| p.stream().is_some()).count();
        (along > 0).then(|| counted(along, "point"))
    }

    /// What was judged beside them and not measured: `1 judged point and 2 control lines`.
    #[must_use]
    pub fn judged(&self) -> Option<String> {
        let (points, lines): (Vec<_>, Vec<_>) =
            self.map.control.judged().iter().partition(|judged| judged.crs.is_some());
        let counts = [(points.len(), "judged point"), (lines.len(), "control line")];
        let words = counts.into_iter().filter(|c| c.0 > 0).map(|(n, thing)| counted(n, thing));
        let words: Vec<String> = words.collect();
        (!words.is_empty()).then(|| words.join(" and "))
    }

    /// What carries the map: `12 wells and 3 gauges, with 12 points along streams, and 1 judged point, not
    /// measured`.
    #[must_use]
    pub fn control_words(&self) -> String {
        let along = self.stream_points().map(|points| format!(", with {points} along streams"));
        let judged = self.judged().map(|judged| format!(", and {judged}, not measured"));
        self.carriers() + &along.unwrap_or_default() + &judged.unwrap_or_default()
    }
}

/// A well that was read and does not carry the map.
#[derive(Debug, Clone)]
pub struct NotUsed<'a> {
    /// The well.
    pub well: &'a Well,
    /// Where it stands; `None` where its coordinates do not fit the CRS.
    pub place: Option<Place>,
    /// Its readings.
    pub accounts: Vec<&'a ReadingAccount>,
}

impl<'a> NotUsed<'a> {
    /// Why: each reason once, in the order of its readings.
    #[must_use]
    pub fn reasons(&self) -> Vec<&'a str> {
        let mut reasons: Vec<&str> = Vec::new();
        for account in &self.accounts {
            if let Fate::NotUsed { reason, .. } = &account.fate
                && !reasons.contains(&reason.as_str())
            {
                reasons.push(reason);
            }
        }
        reasons
    }
}

/// What is posted at a well without a level.
pub(crate) const NOT_MEASURED: &str = "not measured";

impl NotUsed<'_> {
    /// What is posted in the place of a head, by the last reading.
    pub(crate) fn posted_without_head(&self, round: &Round) -> &'static str {
        match self.accounts.last().map(|account| round.readings[account.reading].status) {
            Some(Status::Dry) => "dry",
            Some(Status::Flowing) => "flowing",
            Some(
                Status::Obstructed
                | Status::NotAccessible
                | Status::NotMeasured
                | Status::Destroyed,
            ) => NOT_MEASURED,
            _ => "not used",
        }
    }
}

/// Wells and gauges that carry a map, in words.
#[must_use]
pub fn carriers(control: &ControlSet) -> String {
    let of = |kind| control.points().iter().filter(|p| p.kind() == Some(kind)).count();
    let (wells, gauges) = (of(WellKind::Well), of(WellKind::Gauge));
    match (wells, gauges) {
        (_, 0) => counted(wells, "well"),
        (0, _) => counted(gauges, "gauge"),
        _ => format!("{} and {}", counted(wells, "well"), counted(gauges, "gauge")),
    }
}

/// A pumped well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpedPlace<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its number in the register, where it stands there.
    pub well: Option<usize>,
    /// Where it stands, CRS units.
    pub crs: Coord,
}

//! Pairs of water levels along every line of the site.

use geo::{Coord, LineString};

use super::pairs::{Levels, Line, Reach, STATIONS_BETWEEN_WELLS, reaches};
use super::place::{Role, SitePlace};
use super::stream::is_same;
use crate::geom::tolerance::LINE_BEND_SPACINGS;
use crate::map::Map;
use crate::uncertainty::Situation;

/// A line and what the water does along it.
#[derive(Debug, Clone, PartialEq)]
pub struct LineReaches {
    /// Its name.
    pub name: String,
    /// Whether its stage was measured; otherwise the surface on the line stands for it.
    pub staged: bool,
    /// Its course, m.
    pub course: Vec<Coord>,
    /// The reaches, left side first.
    pub reaches: Vec<Reach>,
}

impl LineReaches {
    /// The course between two places along it, m.
    #[must_use]
    pub fn part(&self, from_m: f64, to_m: f64) -> Vec<Coord> {
        let mut part = Vec::new();
        let mut before = 0.0;
        for w in self.course.windows(2) {
            let long = crate::geom::distance(w[0], w[1]);
            let (a, b) = (from_m.max(before), to_m.min(before + long));
            if long > 0.0 && a < b {
                let at = |m: f64| w[0] + (w[1] - w[0]) * ((m - before) / long);
                if part.is_empty() {
                    part.push(at(a));
                }
                part.push(at(b));
            }
            before += long;
        }
        part
    }
}

/// The streams of the site with their stages, then the lines and outlines of its receptors.
pub(super) fn lines(
    map: &Map,
    levels: &Levels,
    places: &[SitePlace],
    head: impl Fn(Coord) -> Option<f64>,
    aside_m: f64,
) -> Vec<LineReaches> {
    let metres = map.control.elevation_unit().metres();
    let errors = map.round.head_errors;
    let stage_sd = errors.of(Situation::default()).sd_m / metres;
    let frame = map.control.frame();
    let local = |l: &LineString| l.0.iter().map(|p| frame.to_local(*p)).collect::<Vec<_>>();
    let spacing_m = map.uncertainty.spacing_m / STATIONS_BETWEEN_WELLS;
    let bend_m = LINE_BEND_SPACINGS * map.uncertainty.spacing_m;
    let same_m = map.uncertainty.spacing_m / 10.0;
    let along = |name: &str, course: Vec<Coord>, stages: Option<&[f64]>| {
        let line = Line { course: &course, stages, stage_sd, bend_m };
        let found = reaches(line, levels, &head, aside_m, spacing_m);
        LineReaches { name: name.to_owned(), staged: stages.is_some(), course, reaches: found }
    };
    let streams = map.site.features.streams.iter().filter(|s| s.line.0.len() > 1);
    let mut found: Vec<LineReaches> =
        streams.map(|s| along(&s.name, local(&s.line), Some(&s.stages))).collect();
    for place in places.iter().filter(|p| p.role == Role::Receptor) {
        for course in place.target.courses().filter(|c| c.len() > 1) {
            // A creek that is stream and receptor has its stage already.
            if !found.iter().any(|line| line.staged && is_same(&line.course, course, same_m)) {
                found.push(along(&place.name, course.to_vec(), None));
            }
        }
    }
    found
}

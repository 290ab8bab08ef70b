//! Which reading and which measuring point belong to which well.

use rayon::slice::ParallelSliceMut;

use crate::read::{MeasuringPoint, Round, Site};

/// The register in the order of ids, with what belongs to each well. A well is named by its rank
/// in that order.
#[derive(Debug)]
pub(super) struct Joined<'a> {
    /// Index into [`Site::wells`], by rank.
    pub(super) wells: Vec<usize>,
    /// Measuring points, by rank.
    pub(super) points: Vec<&'a [MeasuringPoint]>,
    /// The well's rank, by reading; `None` where the register does not know it.
    pub(super) of_reading: Vec<Option<usize>>,
}

/// Joins the tables of a site by merging their sorted ids: no order of rows and no hash seed enters,
/// and tables that are in order already cost next to nothing.
pub(super) fn join<'a>(site: &'a Site, round: &Round) -> Joined<'a> {
    let mut wells: Vec<(&str, usize)> =
        site.wells.iter().enumerate().map(|(i, w)| (w.id.as_str(), i)).collect();
    wells.par_sort();
    let mut readings: Vec<(&str, usize)> =
        round.readings.iter().enumerate().map(|(i, r)| (r.well.as_str(), i)).collect();
    readings.par_sort();

    let mut points: Vec<&[MeasuringPoint]> = vec![&[]; wells.len()];
    let mut rank = 0;
    for (id, of_id) in &site.measuring_points {
        if let Some(found) = advance(&wells, &mut rank, id) {
            points[found] = of_id;
        }
    }
    let mut of_reading = vec![None; readings.len()];
    let mut rank = 0;
    for (id, reading) in readings {
        of_reading[reading] = advance(&wells, &mut rank, id);
    }
    Joined { wells: wells.into_iter().map(|(_, well)| well).collect(), points, of_reading }
}

/// Moves on to the first well that is not before `id`, and tells whether it is the one.
fn advance(wells: &[(&str, usize)], rank: &mut usize, id: &str) -> Option<usize> {
    while wells.get(*rank).is_some_and(|&(known, _)| known < id) {
        *rank += 1;
    }
    wells.get(*rank).is_some_and(|&(known, _)| known == id).then_some(*rank)
}

//! The order of wells and readings, whatever the order of rows: what is written from the same wells
//! and readings is the same.

use std::cmp::Ordering;

use jiff::civil::{Date, DateTime};
use rayon::slice::ParallelSliceMut;

use super::reading::{Measurement, Moment, Reading};
use super::well::Well;

/// Puts wells in the order of their names.
pub(in crate::read) fn of_wells(wells: &mut [Well]) {
    canonical(wells, |a, b| by_name(&a.id, &b.id));
}

/// Puts readings in the order of their wells' names, then of their numbers, times and values.
pub(in crate::read) fn of_readings(readings: &mut [Reading]) {
    canonical(readings, |a, b| {
        by_name(&a.well, &b.well)
            .then_with(|| a.number.cmp(&b.number))
            .then_with(|| when(a.moment).cmp(&when(b.moment)))
            .then_with(|| a.status.word().cmp(b.status.word()))
            .then_with(|| {
                let (a, b) = (values(&a.measurement), values(&b.measurement));
                let orders = a.iter().zip(&b).map(|(a, b)| a.total_cmp(b));
                orders.fold(Ordering::Equal, Ordering::then)
            })
            .then_with(|| (&a.instrument, &a.remark).cmp(&(&b.instrument, &b.remark)))
    });
}

/// Most tables are in order, and sorting would move all of a large one about.
fn canonical<T: Send>(rows: &mut [T], order: impl Fn(&T, &T) -> Ordering + Sync) {
    if !rows.is_sorted_by(|a, b| order(a, b).is_le()) {
        rows.par_sort_by(order);
    }
}

/// Day, then time of day.
fn when(moment: Option<Moment>) -> Option<(Date, Option<DateTime>)> {
    moment.map(|m| match m {
        Moment::Time(t) => (t.date(), Some(t)),
        Moment::Day(d) => (d, None),
    })
}

/// What was measured, as numbers that tell measurements apart.
fn values(measurement: &Measurement) -> [f64; 4] {
    match *measurement {
        Measurement::None => [0.0; 4],
        Measurement::Depth(depth) => [1.0, depth, 0.0, 0.0],
        Measurement::HoldAndCut { hold, cut } => [2.0, hold, cut, 0.0],
        Measurement::Product { to_product, to_water, specific_gravity } => {
            [3.0, to_product, to_water, specific_gravity.unwrap_or_default()]
        }
        Measurement::PressureHead(height) => [4.0, height, 0.0, 0.0],
        Measurement::Stage(height) => [5.0, height, 0.0, 0.0],
        Measurement::Elevation(elevation) => [6.0, elevation, 0.0, 0.0],
    }
}

/// The order of names as people count: `MW-2` stands before `MW-10`. Different names are never
/// equal.
#[must_use]
pub(crate) fn by_name(a: &str, b: &str) -> Ordering {
    // What both begin with decides nothing, but for the digits at its end.
    let mut same = a.bytes().zip(b.bytes()).take_while(|(x, y)| x == y).count();
    while same > 0 && a.as_bytes()[same - 1].is_ascii_digit() {
        same -= 1;
    }
    let (mut rest_a, mut rest_b) = (&a.as_bytes()[same..], &b.as_bytes()[same..]);
    loop {
        match (rest_a, rest_b) {
            ([], []) => return a.cmp(b),
            ([], _) => return Ordering::Less,
            (_, []) => return Ordering::Greater,
            ([x, ..], [y, ..]) if x.is_ascii_digit() && y.is_ascii_digit() => {
                let (m, n) = (number(&mut rest_a), number(&mut rest_b));
                let order = m.len().cmp(&n.len()).then_with(|| m.cmp(n));
                if order.is_ne() {
                    return order;
                }
            }
            ([x, more_a @ ..], [y, more_b @ ..]) => {
                if x != y {
                    return x.cmp(y);
                }
                (rest_a, rest_b) = (more_a, more_b);
            }
        }
    }
}

/// Takes the digits at the front, without leading zeros.
fn number<'a>(text: &mut &'a [u8]) -> &'a [u8] {
    let end = text.iter().position(|b| !b.is_ascii_digit()).unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    *text = rest;
    let zeros = digits.iter().take_while(|b| **b == b'0').count();
    &digits[zeros..]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_ordered_as_people_count() {
        let names =
            ["", "9", "10", "MW-1", "MW-01", "MW-1A", "MW-2", "MW-10", "MW-10-2", "MW-A", "W1"];
        for (i, a) in names.iter().enumerate() {
            for (j, b) in names.iter().enumerate() {
                // Between names that count alike their bytes decide.
                if !matches!((*a, *b), ("MW-1", "MW-01") | ("MW-01", "MW-1")) {
                    assert_eq!(by_name(a, b), i.cmp(&j), "{a} {b}");
                }
            }
        }
        assert_eq!(by_name("MW-01", "MW-1"), Ordering::Less);
        let huge = "9".repeat(400);
        assert_eq!(by_name(&huge, &format!("1{huge}")), Ordering::Less);
    }
}

//! Which of several readings of a well count: the last two in a row that agree.

use jiff::civil::{Date, DateTime};

use crate::read::Moment;
use crate::units::clean;

/// What is compared of a reading. All lengths in the depth unit.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Repeat<'a> {
    pub(super) number: Option<u32>,
    pub(super) moment: Option<Moment>,
    /// The instrument it was read with.
    pub(super) instrument: Option<&'a str>,
    /// The depths as they were read, where it has any.
    pub(super) as_read: Option<Depths>,
    /// The same, corrected for the instrument.
    pub(super) corrected: Option<Depths>,
    pub(super) measuring_point: Option<f64>,
    pub(super) head: f64,
}

/// The depths of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Depths {
    pub(super) to_water: f64,
    pub(super) to_product: Option<f64>,
}

/// Why repeated readings cannot be judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Disorder {
    /// Three or more, and neither numbers nor times order them.
    NoOrder,
    /// Two carry this number.
    SameNumber(u32),
}

/// What repeated readings come to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Order {
    /// Positions in the given list, first reading first.
    pub(super) order: Vec<usize>,
    /// Where in `order` the later reading of the accepted pair stands; `None` when no two in
    /// a row agree.
    pub(super) accepted: Option<usize>,
}

/// Puts the readings of a well in order and looks, from the last one back, for two in a row that
/// agree within the tolerance.
pub(super) fn judge(readings: &[Repeat<'_>], tolerance: f64) -> Result<Order, Disorder> {
    let order = in_order(readings)?;
    let accepted = (1..order.len())
        .rev()
        .find(|&i| agree(&readings[order[i - 1]], &readings[order[i]], tolerance));
    Ok(Order { order, accepted })
}

/// By number where all have one, else by time where times tell them apart. Two readings need no
/// order: they agree or they do not.
fn in_order(readings: &[Repeat]) -> Result<Vec<usize>, Disorder> {
    let mut numbers: Vec<u32> = readings.iter().filter_map(|r| r.number).collect();
    numbers.sort_unstable();
    if let Some(pair) = numbers.windows(2).find(|pair| pair[0] == pair[1]) {
        return Err(Disorder::SameNumber(pair[0]));
    }
    let mut order: Vec<usize> = (0..readings.len()).collect();
    if numbers.len() == readings.len() {
        order.sort_by_key(|&i| readings[i].number);
        return Ok(order);
    }
    order.sort_by_key(|&i| clock(readings[i].moment));
    let told_apart = order.windows(2).all(|pair| {
        match (clock(readings[pair[0]].moment), clock(readings[pair[1]].moment)) {
            (Some((a, _)), Some((b, _))) if a != b => true,
            (Some((_, Some(a))), Some((_, Some(b)))) => a != b,
            _ => false,
        }
    });
    if told_apart || readings.len() < 3 { Ok(order) } else { Err(Disorder::NoOrder) }
}

/// Day, and time of day where known: what can be compared between moments of both kinds.
pub(super) fn clock(moment: Option<Moment>) -> Option<(Date, Option<DateTime>)> {
    moment.map(|m| match m {
        Moment::Time(t) => (t.date(), Some(t)),
        Moment::Day(d) => (d, None),
    })
}

/// What messages show of repeated readings: what they are compared by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Compared {
    /// Depths to water as they were read, or heads where none has a depth.
    AsRead,
    /// Depths to water after correction: not all were read with one instrument.
    Corrected,
    /// Heads: not all are from one measuring point, and depths would tell nothing.
    ByHead,
}

impl Compared {
    pub(super) fn of(readings: &[Repeat]) -> Self {
        let one_mark = |r: &Repeat| {
            r.measuring_point == readings[0].measuring_point
                && r.as_read.is_some() == readings[0].as_read.is_some()
        };
        if !readings.iter().all(one_mark) {
            return Self::ByHead;
        }
        let one_tape = |r: &Repeat| r.instrument == readings[0].instrument;
        if readings.iter().all(one_tape) { Self::AsRead } else { Self::Corrected }
    }

    /// The length to show, depth unit.
    pub(super) fn value(self, reading: &Repeat) -> f64 {
        let depths = match self {
            Self::AsRead => reading.as_read,
            Self::Corrected => reading.corrected,
            Self::ByHead => None,
        };
        depths.map_or(reading.head, |d| d.to_water)
    }

    /// What is shown, where it is not what was read.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::AsRead => "",
            Self::Corrected => "corrected depths ",
            Self::ByHead => "heads ",
        }
    }
}

/// Depths are compared where both readings have them from one measuring point, the depth to
/// product like the depth to water; heads otherwise. Those of one instrument are compared as they
/// were read: its stretch lengthens the difference too, and tells nothing about the readings.
fn agree(a: &Repeat, b: &Repeat, tolerance: f64) -> bool {
    let near = |p: f64, q: f64| clean((p - q).abs()) <= clean(tolerance);
    let depths = if a.instrument == b.instrument {
        a.as_read.zip(b.as_read)
    } else {
        a.corrected.zip(b.corrected)
    };
    let same_mark = a.measuring_point == b.measuring_point;
    match depths.filter(|_| same_mark).map(|(a, b)| (a, b, a.to_product, b.to_product)) {
        Some((a, b, None, None)) => near(a.to_water, b.to_water),
        Some((a, b, Some(s), Some(t))) => near(a.to_water, b.to_water) && near(s, t),
        _ => near(a.head, b.head),
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    fn depths(depths: &[f64]) -> Vec<Repeat<'static>> {
        (1..)
            .zip(depths)
            .map(|(n, &to_water)| {
                let depths = Some(Depths { to_water, to_product: None });
                Repeat {
                    number: Some(n),
                    as_read: depths,
                    corrected: depths,
                    head: 100.0 - to_water,
                    ..Repeat::default()
                }
            })
            .collect()
    }

    fn accepted(readings: &[Repeat]) -> Option<(usize, usize)> {
        let o = judge(readings, 0.02).expect("ordered");
        o.accepted.map(|i| (o.order[i - 1], o.order[i]))
    }

    #[test]
    fn the_last_two_in_a_row_that_agree_count() {
        assert_eq!(accepted(&depths(&[9.50, 9.51])), Some((0, 1)));
        assert_eq!(accepted(&depths(&[9.50, 9.51, 9.60])), Some((0, 1)));
        assert_eq!(accepted(&depths(&[9.50, 9.60, 9.61])), Some((1, 2)));
        assert_eq!(accepted(&depths(&[9.50, 9.51, 9.52])), Some((1, 2)));
        // The first and the third agree, but not in a row.
        assert_eq!(accepted(&depths(&[9.50, 9.60, 9.50])), None);
    }

    #[test]
    fn the_tolerance_itself_agrees_despite_binary_digits() {
        // In binary digits 5.12 - 5.10 is more than 0.02.
        assert_eq!(accepted(&depths(&[5.12, 5.10])), Some((0, 1)));
        assert_eq!(accepted(&depths(&[5.121, 5.10])), None);
    }

    #[test]
    fn numbers_order_before_times_do() {
        let mut r = depths(&[9.50, 9.60, 9.61]);
        r[0].number = Some(3);
        r[2].number = Some(1);
        assert_eq!(accepted(&r), Some((2, 1)));
        r[1].number = Some(3);
        assert_eq!(judge(&r, 0.02), Err(Disorder::SameNumber(3)));
    }

    #[test]
    fn times_order_where_they_tell_readings_apart() {
        let mut r = depths(&[9.61, 9.50, 9.60]);
        let day = date(2026, 4, 14);
        for (reading, minute) in r.iter_mut().zip([30, 10, 20]) {
            reading.number = None;
            reading.moment = Some(Moment::Time(day.at(9, minute, 0, 0)));
        }
        assert_eq!(accepted(&r), Some((2, 0)));
        r[0].moment = Some(Moment::Day(day));
        assert_eq!(judge(&r, 0.02), Err(Disorder::NoOrder));
        r[0].moment = Some(Moment::Day(day.tomorrow().expect("a day")));
        assert_eq!(accepted(&r), Some((2, 0)));
        r[0].moment = None;
        assert_eq!(judge(&r, 0.02), Err(Disorder::NoOrder));
        // Two need no order.
        assert_eq!(accepted(&r[1..]), None);
        assert_eq!(accepted(&[r[0], r[2]]), Some((0, 1)));
    }

    #[test]
    fn product_must_agree_as_well_as_water() {
        let with = |to_product: f64| Some(Depths { to_water: 9.08, to_product: Some(to_product) });
        let mut r = depths(&[9.08, 9.08]);
        (r[0].as_read, r[1].as_read) = (with(8.75), with(8.76));
        assert_eq!(accepted(&r), Some((0, 1)));
        r[1].as_read = with(8.80);
        assert_eq!(accepted(&r), None);
    }

    #[test]
    fn one_instrument_is_compared_as_read_and_two_after_correction() {
        let corrected = |to_water: f64| Some(Depths { to_water, to_product: None });
        // 15.78 and 15.80 by a tape of stretch 0.0002 are 0.020004 apart after correction.
        let mut r = depths(&[15.78, 15.80]);
        (r[0].corrected, r[1].corrected) = (corrected(15.783_156), corrected(15.803_16));
        assert_eq!(accepted(&r), Some((0, 1)));
        assert_eq!(Compared::of(&r), Compared::AsRead);
        r[1].instrument = Some("another");
        assert_eq!(accepted(&r), None);
        assert_eq!(Compared::of(&r), Compared::Corrected);
        // By two tapes, the one 0.5 long, readings that differ agree.
        r[1].as_read = corrected(15.30);
        r[1].corrected = corrected(15.79);
        assert_eq!(accepted(&r), Some((0, 1)));
    }

    #[test]
    fn depths_from_different_measuring_points_are_compared_by_head() {
        let mut r = depths(&[9.00, 9.50]);
        r[0].measuring_point = Some(100.0);
        r[1].measuring_point = Some(100.5);
        r[0].head = 91.0;
        r[1].head = 91.0;
        assert_eq!(accepted(&r), Some((0, 1)));
    }
}

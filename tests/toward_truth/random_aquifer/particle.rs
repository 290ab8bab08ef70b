//! The way of a particle of water through the cells, exact for their fluxes.
//!
//! In a cell each component of the velocity changes in a straight line from one side to the other, which keeps the
//! water of the cell: `v = v1 + a (x - x1)`. Along such a component a place is reached after `ln(v2 / v) / a`, in
//! either direction independently of the other; the particle leaves through the side that it comes to first
//! (Pollock 1988, Ground Water 26(6), 743-750, from memory).

use geo::Coord;

use super::flow::Flow;

/// Where a particle was, and when: at its start and at every side of a cell that it came to.
#[derive(Debug)]
pub(crate) struct Course {
    /// From the south-west corner of the aquifer, m.
    pub(crate) points: Vec<Coord>,
    /// Since the start, days.
    pub(crate) days: Vec<f64>,
}

impl Course {
    /// Down from a place to where the water leaves the aquifer.
    pub(crate) fn from(flow: &Flow<'_>, start: Coord) -> Self {
        let (aquifer, cell_m) = (flow.aquifer, flow.aquifer.cell_m);
        let (mut column, mut row) = (below(start.x / cell_m), below(start.y / cell_m));
        let (mut at, mut day) = (start, 0.0);
        let mut course = Self { points: vec![at], days: vec![day] };
        // A particle that never comes out is a mistake in the fluxes.
        for _ in 0..100 * (aquifer.columns + aquifer.rows) {
            let seepage = |q: [f64; 2]| q.map(|q| q / aquifer.porosity);
            let x =
                Along::new(seepage(flow.east(column, row)), at.x - column as f64 * cell_m, cell_m);
            let y =
                Along::new(seepage(flow.north(column, row)), at.y - row as f64 * cell_m, cell_m);
            let days = x.days.min(y.days);
            assert!(days.is_finite(), "no way out of cell {column}, {row}");
            day += days;
            let through_x = x.days <= y.days;
            at = Coord {
                x: column as f64 * cell_m + if through_x { x.out(cell_m) } else { x.after(days) },
                y: row as f64 * cell_m + if through_x { y.after(days) } else { y.out(cell_m) },
            };
            course.points.push(at);
            course.days.push(day);
            let next = |cell: usize, along: &Along| cell.checked_add_signed(along.sense());
            let (to_column, to_row) = if through_x {
                (next(column, &x), Some(row))
            } else {
                (Some(column), next(row, &y))
            };
            let (Some(to_column), Some(to_row)) = (to_column, to_row) else { return course };
            if to_column == aquifer.columns || to_row == aquifer.rows {
                return course;
            }
            (column, row) = (to_column, to_row);
        }
        panic!("a particle goes round and round from {start:?}");
    }

    /// The day of the first crossing of a side of cells `x` m from the west, between two places on it.
    pub(crate) fn crosses(&self, x: f64, [south, north]: [f64; 2]) -> Option<f64> {
        let on = |p: &Coord| (p.x - x).abs() < 1e-6 && (south..=north).contains(&p.y);
        Some(self.days[self.points.iter().position(on)?])
    }
}

/// The whole part of a number that is not negative.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places in the aquifer"
)]
fn below(number: f64) -> usize {
    number as usize
}

/// One component of the velocity in a cell.
struct Along {
    /// Where in the cell, m.
    at: f64,
    /// The velocity there, m/d.
    velocity: f64,
    /// Its change over a metre, 1/d.
    change: f64,
    /// Days to the side that it leads to; infinite where none.
    days: f64,
}

impl Along {
    fn new([low, high]: [f64; 2], at: f64, cell_m: f64) -> Self {
        let change = (high - low) / cell_m;
        let velocity = low + change * at;
        let (out, left) = if velocity > 0.0 { (high, cell_m - at) } else { (low, at) };
        let days = if out * velocity <= 0.0 {
            f64::INFINITY
        } else if (out / velocity - 1.0).abs() < 1e-9 {
            left / velocity.abs()
        } else {
            (out / velocity).ln() / change
        };
        Self { at, velocity, change, days }
    }

    /// Where it is after some days, m.
    fn after(&self, days: f64) -> f64 {
        let turns = self.change * days;
        let over = if turns.abs() < 1e-9 { days } else { turns.exp_m1() / self.change };
        self.at + self.velocity * over
    }

    /// The side that it comes to, m.
    fn out(&self, cell_m: f64) -> f64 {
        if self.velocity > 0.0 { cell_m } else { 0.0 }
    }

    /// The next cell or the one before.
    fn sense(&self) -> isize {
        if self.velocity > 0.0 { 1 } else { -1 }
    }
}

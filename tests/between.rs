//! What the wells tell of the surface between them: intervals of directions against smooth random
//! surfaces whose slope is known.
//!
//! The surfaces are a plane plus 300 cosine waves with random directions and phases. Wave numbers
//! drawn from a normal distribution make the Gaussian covariance, from Student's t with 5 and 3
//! degrees of freedom the Matérn covariances of smoothness 5/2 and 3/2 (their spectral densities;
//! Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, eqs. 4.11 and 4.15). Nothing
//! of the program is used to make them. The true mean slope over a circle is Gauss's theorem with 64
//! places; the true slope at its centre is the waves' derivative.

use std::f64::consts::TAU;

use geo::Coord;
use headfall::geom::{distance, doubled_area, slope_of_triangle, usual_spacing};
use headfall::uncertainty::{BetweenWells, Circle, KnownHeads};
use headfall::units::Azimuth;
use rayon::prelude::*;

use crate::support::{Random, documented};

/// How rough a surface is: degrees of freedom of its waves' distribution; 0 is the normal one.
const ROUGHNESS: [(&str, u32); 3] = [("Matérn 3/2", 3), ("Matérn 5/2", 5), ("Gaussian", 0)];

/// The length over which it bends, in sides of the square that the wells stand in.
const LENGTHS: [f64; 3] = [0.2, 0.5, 1.0];

/// The standard deviation of a component of the waves' slope, in slopes of the plane.
const STRENGTHS: [f64; 3] = [0.1, 0.3, 1.0];

const WAVES: usize = 300;

/// Circles looked at in each network.
const CIRCLES: usize = 4;

/// A plane and waves.
struct Surface {
    plane: Coord,
    waves: Vec<(Coord, f64)>,
    height: f64,
}

impl Surface {
    fn new(random: &mut Random, freedom: u32, length: f64, strength: f64) -> Self {
        let direction = TAU * random.uniform();
        let waves = (0..WAVES)
            .map(|_| {
                let spread = match freedom {
                    0 => 1.0,
                    n => {
                        let chi: f64 = (0..n).map(|_| random.normal().powi(2)).sum();
                        (f64::from(n) / chi).sqrt()
                    }
                };
                let number = Coord { x: random.normal(), y: random.normal() } * (spread / length);
                (number, TAU * random.uniform())
            })
            .collect();
        // The variance of a slope: that of the heads times that of a wave number, n / (n - 2) for t.
        let squares = match freedom {
            0 => 1.0,
            n => f64::from(n) / (f64::from(n) - 2.0),
        };
        let height = strength * length / squares.sqrt() * (2.0 / WAVES as f64).sqrt();
        Self { plane: Coord { x: direction.cos(), y: direction.sin() }, waves, height }
    }

    fn head(&self, p: Coord) -> f64 {
        let wave = |(k, phase): &(Coord, f64)| (k.x * p.x + k.y * p.y + phase).cos();
        let waves: f64 = self.waves.iter().map(wave).sum();
        self.plane.x * p.x + self.plane.y * p.y + self.height * waves
    }

    /// Where the water flows at a place.
    fn flow_at(&self, p: Coord) -> Azimuth {
        let mut slope = self.plane;
        for (k, phase) in &self.waves {
            slope = slope - *k * (self.height * (k.x * p.x + k.y * p.y + phase).sin());
        }
        Azimuth::of_vector(-slope.x, -slope.y).expect("not level")
    }

    /// Where it flows on the whole over a circle.
    fn flow_over(&self, circle: Circle) -> Azimuth {
        let mut slope = Coord { x: 0.0, y: 0.0 };
        for k in 0..64 {
            let angle = TAU * f64::from(k) / 64.0;
            let out = Coord { x: angle.cos(), y: angle.sin() };
            slope = slope + out * self.head(circle.centre + out * circle.radius_m);
        }
        Azimuth::of_vector(-slope.x, -slope.y).expect("not level")
    }
}

/// A triangle of wells without another in its circumcircle, no sliver, drawn at random.
fn triangle(wells: &[Coord], random: &mut Random) -> Option<[usize; 3]> {
    (0..20_000).find_map(|_| {
        let first = random.below(wells.len());
        let mut near: Vec<usize> = (0..wells.len()).collect();
        near.sort_by(|a, b| {
            distance(wells[first], wells[*a]).total_cmp(&distance(wells[first], wells[*b]))
        });
        near.truncate(12);
        let corners = [first, near[random.below(near.len())], near[random.below(near.len())]];
        let [a, b, c] = corners.map(|i| wells[i]);
        let doubled = doubled_area([a, b, c]);
        let longest = distance(a, b).max(distance(b, c)).max(distance(c, a));
        if doubled.abs() * 5.0 < longest * longest {
            return None;
        }
        let (b, c) = (b - a, c - a);
        let (bb, cc) = (b.x * b.x + b.y * b.y, c.x * c.x + c.y * c.y);
        let from = Coord { x: c.y * bb - b.y * cc, y: b.x * cc - c.x * bb } / (2.0 * doubled);
        let (centre, radius) = (a + from, (from.x * from.x + from.y * from.y).sqrt());
        let other = |i: &usize| !corners.contains(i);
        (0..wells.len())
            .filter(other)
            .all(|i| distance(wells[i], centre) > radius)
            .then_some(corners)
    })
}

/// How often something held.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    circles: u32,
    held: u32,
    held_at_centre: u32,
    known: u32,
    known_held: u32,
}

impl Count {
    fn and(self, other: Self) -> Self {
        Self {
            circles: self.circles + other.circles,
            held: self.held + other.held,
            held_at_centre: self.held_at_centre + other.held_at_centre,
            known: self.known + other.known,
            known_held: self.known_held + other.known_held,
        }
    }
}

/// One network over one surface.
fn network(seed: u64, wells: usize, roughness: u32, length: f64, strength: f64) -> Count {
    let mut random = Random::new(seed);
    let places: Vec<Coord> =
        (0..wells).map(|_| Coord { x: random.uniform(), y: random.uniform() }).collect();
    let surface = Surface::new(&mut random, roughness, length, strength);
    // A reading errs by a hundredth of what the plane falls from well to well.
    let sd = 0.01 / (wells as f64).sqrt();
    let heads: Vec<f64> = places.iter().map(|p| surface.head(*p) + sd * random.normal()).collect();
    let sds = vec![sd; wells];
    let known = KnownHeads { places: &places, heads: &heads, sds: &sds };
    let between = BetweenWells::of(known, usual_spacing(&places)).expect("enough wells");
    let mut count = Count::default();
    for _ in 0..CIRCLES {
        let Some(corners) = triangle(&places, &mut random) else { continue };
        let drawn = slope_of_triangle(corners.map(|i| places[i]), corners.map(|i| heads[i]))
            .and_then(|s| Azimuth::of_vector(-s.east, -s.north))
            .expect("not level");
        let circle = Circle::of_triangle(corners.map(|i| places[i])).expect("an area");
        let mut near: Vec<usize> = (0..wells).collect();
        let away = |i: &usize| distance(places[*i], circle.centre);
        near.sort_by(|a, b| away(a).total_cmp(&away(b)));
        near.truncate(between.nearest);
        let of = |values: &[f64]| near.iter().map(|i| values[*i]).collect::<Vec<_>>();
        let near_places: Vec<Coord> = near.iter().map(|i| places[*i]).collect();
        let near = KnownHeads { places: &near_places, heads: &of(&heads), sds: &of(&sds) };
        let directions = between.mean_slope(near, circle).expect("a slope").directions();
        let interval = directions.interval();
        let truth = surface.flow_over(circle);
        let known = directions.within(drawn, 30.0) >= 0.95;
        count = count.and(Count {
            circles: 1,
            held: u32::from(interval.holds(truth)),
            held_at_centre: u32::from(interval.holds(surface.flow_at(circle.centre))),
            known: u32::from(known),
            known_held: u32::from(known && drawn.between(truth) <= 30.0),
        });
    }
    count
}

/// All surfaces with networks of so many wells.
fn all(wells: usize, networks: u64) -> Count {
    let mut count = Count::default();
    for (_, roughness) in ROUGHNESS {
        for length in LENGTHS {
            for strength in STRENGTHS {
                let one = |k| network(k * 1000 + wells as u64, wells, roughness, length, strength);
                let some =
                    (0..networks).into_par_iter().map(one).reduce(Count::default, Count::and);
                count = count.and(some);
            }
        }
    }
    count
}

fn percent(part: u32, of: u32) -> f64 {
    100.0 * f64::from(part) / f64::from(of)
}

#[test]
fn intervals_of_directions_hold_the_slope_of_random_surfaces() {
    for (wells, networks) in [(8, 40), (12, 40), (20, 30), (50, 16), (100, 8), (200, 5)] {
        let c = all(wells, networks);
        let held = percent(c.held, c.circles);
        // Four standard errors of the count about 95, the circles of one network taken as one.
        let slack = 4.0 * (95.0 * 5.0 / (27.0 * networks as f64)).sqrt();
        assert!((held - 95.0).abs() < slack, "{wells} wells: {held} +- {slack}");
        // What is called known is so in 95 % or more.
        let known = percent(c.known_held, c.known);
        assert!(known >= 95.0, "{wells} wells: {known}");
        assert!(c.known < c.circles && 2 * c.known > c.circles, "{wells} wells: {c:?}");
    }
}

/// Makes the table of `docs/uncertainty.md`: `cargo test --release -- --ignored --nocapture
/// the_table_of_directions`.
#[test]
#[ignore = "minutes of simulation"]
fn the_table_of_directions_is_the_documented_one() {
    let mut rows = Vec::new();
    for (wells, networks) in
        [(5, 400), (6, 400), (8, 400), (12, 400), (20, 300), (50, 160), (100, 160), (200, 120)]
    {
        let c = all(wells, networks);
        let held = percent(c.held, c.circles);
        rows.push(format!(
            "| {wells} | {} | {held:.1} | {:.1} | {:.0} | {:.1} |",
            c.circles,
            percent(c.held_at_centre, c.circles),
            percent(c.known, c.circles),
            percent(c.known_held, c.known)
        ));
        if wells >= 8 {
            assert!((94.0..=96.0).contains(&held), "{}", rows.join("\n"));
        }
    }
    documented(&rows);
}

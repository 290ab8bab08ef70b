//! A short way past all of some places and back.

use geo::Coord;

use super::spacing::distance;

/// Of more places than this the way from each to the nearest one left is taken as it is.
const MOST_IMPROVED: usize = 500;

/// So often at most all exchanges are tried: each time the way got shorter, and a handful is usual.
const MOST_ROUNDS: usize = 200;

/// What an exchange must save, of the length of the way: less is rounding.
const LEAST_SAVING: f64 = 1e-9;

/// An order in which to pass all places and come back: from the westernmost to the nearest that is left, and so on, then
/// shortened as long as turning a stretch of the way around (2-opt) or passing up to three places in a row elsewhere
/// (or-opt) makes it shorter. A heuristic: it is often the shortest way and never longer than from nearest to nearest. Of
/// places equally near the western one comes first, then the southern one, and the way begins toward the nearer of the two
/// neighbours of the westernmost place. Straight lines, no paths or fences.
///
/// # Units
/// - `places`: any one unit; the order of the result are indices of `places`
///
/// # References
/// 2-opt: G. A. Croes (1958), A method for solving traveling-salesman problems, Operations Research 6(6), 791-812. Or-opt:
/// Or (1976). Both as the manual and the code of the R package TSP cite them; neither was read itself.
#[must_use]
pub fn round_trip(places: &[Coord]) -> Vec<usize> {
    let mut left: Vec<usize> = (0..places.len()).collect();
    left.sort_by(|a, b| {
        let (a, b) = (places[*a], places[*b]);
        a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y))
    });
    let mut way = Vec::with_capacity(places.len());
    let mut next = 0;
    while !left.is_empty() {
        let here = left.remove(next);
        way.push(here);
        let away = |i: &usize| distance(places[here], places[left[*i]]);
        next = (0..left.len()).min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or_default();
    }
    if way.len() <= MOST_IMPROVED {
        improve(places, &mut way);
    }
    if let [first, second, .., last] = way[..]
        && distance(places[first], places[last]) < distance(places[first], places[second])
    {
        way[1..].reverse();
    }
    way
}

/// The length of a way past places and back, in their unit.
#[must_use]
pub fn trip_length(places: &[Coord], way: &[usize]) -> f64 {
    let after = way.iter().cycle().skip(1);
    way.iter().zip(after).map(|(a, b)| distance(places[*a], places[*b])).sum()
}

fn improve(places: &[Coord], way: &mut Vec<usize>) {
    let least = LEAST_SAVING * trip_length(places, way);
    for _ in 0..MOST_ROUNDS {
        let turned = turn_stretches(places, way, least);
        if !move_stretches(places, way, least) && !turned {
            return;
        }
    }
}

/// Turns every stretch around that makes the way shorter so; whether there was one. The first place stays the first.
fn turn_stretches(places: &[Coord], way: &mut [usize], least: f64) -> bool {
    let n = way.len();
    let far = |a: usize, b: usize| distance(places[a], places[b]);
    let mut shorter = false;
    for i in 1..n {
        for j in i + 1..n {
            let [before, from, to, after] = [way[i - 1], way[i], way[j], way[(j + 1) % n]];
            if far(before, to) + far(from, after) < far(before, from) + far(to, after) - least {
                way[i..=j].reverse();
                shorter = true;
            }
        }
    }
    shorter
}

/// Moves up to three places in a row to where they make the way shorter, either way around; whether there were any.
fn move_stretches(places: &[Coord], way: &mut Vec<usize>, least: f64) -> bool {
    let n = way.len();
    let far = |a: usize, b: usize| distance(places[a], places[b]);
    let mut shorter = false;
    for count in 1..=3 {
        for i in 1..(n + 1).saturating_sub(count) {
            let ends = [way[i], way[i + count - 1]];
            let (before, after) = (way[i - 1], way[(i + count) % n]);
            let saved = far(before, ends[0]) + far(ends[1], after) - far(before, after);
            let mut best: Option<(f64, usize, bool)> = None;
            for j in (0..i - 1).chain(i + count..n) {
                let (a, b) = (way[j], way[(j + 1) % n]);
                for (turned, [from, to]) in [(false, ends), (true, [ends[1], ends[0]])] {
                    let cost = far(a, from) + far(to, b) - far(a, b);
                    if best.is_none_or(|(least, ..)| cost < least) {
                        best = Some((cost, j, turned));
                    }
                }
            }
            let Some((_, j, turned)) = best.filter(|(cost, ..)| *cost < saved - least) else {
                continue;
            };
            let mut stretch: Vec<usize> = way.drain(i..i + count).collect();
            if turned {
                stretch.reverse();
            }
            let at = if j < i { j + 1 } else { j + 1 - count };
            way.splice(at..at, stretch);
            shorter = true;
        }
    }
    shorter
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A number from 0 to 1 that depends on `i` alone.
    fn scattered(i: u32) -> f64 {
        f64::from(i.wrapping_mul(2_654_435_761) >> 8) / f64::from(1 << 24)
    }

    fn on_circle(count: u32) -> Vec<Coord> {
        let turn = |i: u32| std::f64::consts::TAU * f64::from((i * 7) % count) / f64::from(count);
        (0..count).map(|i| Coord { x: libm::cos(turn(i)), y: libm::sin(turn(i)) }).collect()
    }

    #[test]
    fn places_on_a_circle_are_passed_around_it() {
        // The shortest way past the corners of a convex polygon is its outline.
        for count in [3, 5, 12, 40] {
            let places = on_circle(count);
            let outline =
                2.0 * f64::from(count) * libm::sin(std::f64::consts::PI / f64::from(count));
            let found = trip_length(&places, &round_trip(&places));
            assert!((found - outline).abs() < 1e-9, "{count}: {found} for {outline}");
        }
    }

    #[test]
    fn a_grid_with_an_even_side_is_passed_by_steps_alone() {
        // A grid graph with an even side has a Hamiltonian circuit: as many steps as places, and no way is shorter.
        for (columns, rows) in [(2, 2), (4, 3), (6, 2), (4, 4)] {
            let at = |i: u32| Coord { x: f64::from(i % columns), y: f64::from(i / columns) };
            let places: Vec<Coord> = (0..columns * rows).map(at).collect();
            let found = trip_length(&places, &round_trip(&places));
            assert!(
                (found - f64::from(columns * rows)).abs() < 1e-9,
                "{columns} by {rows}: {found}"
            );
        }
    }

    #[test]
    fn every_place_is_passed_once_from_the_westernmost_whatever_their_order() {
        let places: Vec<Coord> =
            (0..60).map(|i| Coord { x: scattered(2 * i), y: scattered(2 * i + 1) }).collect();
        let way = round_trip(&places);
        let mut all = way.clone();
        all.sort_unstable();
        assert_eq!(all, (0..60).collect::<Vec<_>>());
        assert!(places.iter().all(|p| places[way[0]].x <= p.x));
        let turned: Vec<Coord> = places.iter().rev().copied().collect();
        let back: Vec<usize> = round_trip(&turned).iter().map(|i| 59 - i).collect();
        assert_eq!(back, way);
        for few in 0..4 {
            assert_eq!(round_trip(&places[..few]).len(), few);
        }
    }

    #[test]
    fn it_is_never_longer_than_from_nearest_to_nearest() {
        for seed in 0..40 {
            let place = |i: u32| Coord {
                x: scattered(1000 * seed + 2 * i),
                y: scattered(1000 * seed + 2 * i + 1),
            };
            let places: Vec<Coord> = (0..30).map(place).collect();
            let west = (0..30).min_by(|a, b| places[*a].x.total_cmp(&places[*b].x));
            let mut plain: Vec<usize> = west.into_iter().collect();
            while plain.len() < 30 {
                let here = places[plain[plain.len() - 1]];
                let left = (0..30).filter(|i| !plain.contains(i));
                let away = |i: &usize| distance(here, places[*i]);
                plain.extend(left.min_by(|a, b| away(a).total_cmp(&away(b))));
            }
            let found = trip_length(&places, &round_trip(&places));
            assert!(found <= trip_length(&places, &plain) + 1e-9, "{seed}");
        }
    }
}

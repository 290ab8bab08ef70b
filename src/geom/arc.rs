//! The arc that holds most of some directions.

/// The narrowest arc, clockwise, that holds a share of the weight of some directions, degrees: its ends, of which the
/// second may exceed 360. `None` of no directions.
///
/// # Units
/// - `directions`: degrees from 0 to 360, each with its weight; they are sorted
pub(crate) fn narrowest_arc(directions: &mut [(f64, f64)], share: f64) -> Option<(f64, f64)> {
    directions.sort_by(|a, b| a.0.total_cmp(&b.0));
    let n = directions.len();
    let wanted = share * directions.iter().map(|d| d.1).sum::<f64>();
    let (mut held, mut end) = (0.0, 0);
    let mut narrowest: Option<(f64, f64)> = None;
    for begin in 0..n {
        while (held < wanted || end == begin) && end < begin + n {
            held += directions[end % n].1;
            end += 1;
        }
        let last = end - 1;
        let to = directions[last % n].0 + if last >= n { 360.0 } else { 0.0 };
        let arc = (directions[begin].0, to);
        if narrowest.is_none_or(|(from, to)| arc.1 - arc.0 < to - from) {
            narrowest = Some(arc);
        }
        held -= directions[begin].1;
    }
    narrowest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arc(directions: &[f64], share: f64) -> Option<(f64, f64)> {
        let mut all: Vec<(f64, f64)> = directions.iter().map(|d| (*d, 1.0)).collect();
        narrowest_arc(&mut all, share).map(|(from, to)| (from, to - from))
    }

    #[test]
    fn the_narrowest_arc_goes_over_north_where_the_directions_do() {
        let mut directions: Vec<f64> = (0..95).map(|k| f64::from(k * 20 % 360) / 18.0).collect();
        directions.extend((0..95).map(|k| 359.0 - f64::from(k) / 95.0));
        directions.extend([90.0, 120.0, 180.0, 200.0, 250.0, 100.0, 130.0, 140.0, 150.0, 160.0]);
        let (from, wide) = arc(&directions, 0.95).expect("directions");
        assert!((358.0..360.0).contains(&from) && (19.0..22.0).contains(&wide), "{from} {wide}");
        assert_eq!(arc(&[], 0.95), None);
        assert_eq!(arc(&[7.0], 0.95), Some((7.0, 0.0)));
        assert_eq!(arc(&[350.0, 10.0], 1.0), Some((350.0, 20.0)));
    }

    #[test]
    fn weights_count() {
        let mut around: Vec<(f64, f64)> =
            [350.0, 10.0, 20.0, 5.0, 355.0, 0.0, 2.0, 4.0, 6.0, 180.0].map(|d| (d, 1.0)).to_vec();
        assert_eq!(narrowest_arc(&mut around, 0.9), Some((350.0, 380.0)));
        let mut lobes: Vec<(f64, f64)> = (0..10).map(|i| (f64::from(i % 2) * 180.0, 1.0)).collect();
        assert_eq!(narrowest_arc(&mut lobes, 0.9), Some((0.0, 180.0)));
        assert_eq!(narrowest_arc(&mut [], 0.9), None);
    }
}

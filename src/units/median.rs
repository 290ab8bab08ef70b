//! The median.

/// A standard deviation over the median of the sizes of what scatters about nothing, for a normal
/// distribution.
pub(crate) const MAD_TO_SD: f64 = 1.4826;

/// The median of some values: the one in the middle, of an even number the mean of the middle two.
/// `None` of none.
///
/// # Units
/// - any one unit, in and out
#[must_use]
pub fn median(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    let mut values: Vec<f64> = values.into_iter().collect();
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    let even = values.len().is_multiple_of(2);
    let (below, upper, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    let lower = below.iter().copied().max_by(f64::total_cmp).filter(|_| even);
    Some(lower.map_or(*upper, |lower| f64::midpoint(lower, *upper)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_an_even_number_it_is_the_mean_of_the_middle_two() {
        assert_eq!(median([]), None);
        for (values, expected) in [
            (&[7.0][..], 7.0),
            (&[4.0, 1.0], 2.5),
            (&[9.0, 1.0, 2.0], 2.0),
            (&[5.0, 9.43, 7.22, 1.0], 6.11),
            (&[2.0, 2.0, 2.0, 8.0], 2.0),
            (&[-0.5, 3.0, 10.0, 1.0, 2.0, 4.0], 2.5),
        ] {
            let found = median(values.iter().copied()).expect("there are some");
            assert!((found - expected).abs() < 1e-15, "{values:?}: {found}");
        }
    }
}

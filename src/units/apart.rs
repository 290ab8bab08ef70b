//! Values beside the bound they broke, printed so that they are seen to break it.

use super::LengthUnit;
use super::number::brief_to;

/// Two numbers of a message with so many decimals, or with more where they would look alike; never
/// with more than six significant digits.
///
/// # Units
/// - `a`, `b`: one unit; equal numbers are printed alike
#[must_use]
pub fn told_apart(a: f64, b: f64, decimals: i32) -> (String, String) {
    const MOST: i32 = 9;
    let texts = |decimals| (brief_to(a, decimals), brief_to(b, decimals));
    let differ = (decimals..MOST).map(texts).find(|(a, b)| a != b);
    differ.unwrap_or_else(|| texts(decimals))
}

/// A distance on the ground in metres, or in feet for a site in feet, and from 10 km on in kilometres or
/// miles.
///
/// # Units
/// - `metres`: m; `unit`: the elevation unit of the site
#[must_use]
pub fn away(metres: f64, unit: LengthUnit) -> String {
    const MILE_M: f64 = 5280.0 * LengthUnit::Foot.metres();
    if metres >= 10_000.0 {
        let (long, name) =
            if unit.is_foot() { (metres / MILE_M, "miles") } else { (metres / 1000.0, "km") };
        return format!("{} {name}", brief_to(long, 0));
    }
    let long = if unit.is_foot() { LengthUnit::Metre.convert(metres, unit) } else { metres };
    away_to(metres, unit, i32::from(long < 10.0))
}

/// As [`away`] with so many decimals, and in metres or feet however long it is.
///
/// # Units
/// - `metres`: m; `unit`: the elevation unit of the site
#[must_use]
pub fn away_to(metres: f64, unit: LengthUnit, decimals: i32) -> String {
    let (long, name) = if unit.is_foot() {
        (LengthUnit::Metre.convert(metres, unit), "ft")
    } else {
        (metres, "m")
    };
    format!("{} {name}", brief_to(long, decimals))
}

/// A length of time in hours, and in minutes and seconds where it has any: `24 h 2 min`.
///
/// # Units
/// - `seconds`: s, not negative
#[must_use]
pub fn duration(seconds: i64) -> String {
    let parts = [(seconds / 3600, "h"), (seconds / 60 % 60, "min"), (seconds % 60, "s")];
    let some: Vec<String> = parts
        .iter()
        .filter(|(count, unit)| *count > 0 || (*unit == "s" && seconds == 0))
        .map(|(count, unit)| format!("{count} {unit}"))
        .collect();
    some.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_get_as_many_decimals_as_tell_them_apart() {
        let texts = |a, b| told_apart(a, b, 2);
        assert_eq!(texts(1.0, 2.0), ("1.00".to_owned(), "2.00".to_owned()));
        assert_eq!(texts(250.101, 250.104), ("250.101".to_owned(), "250.104".to_owned()));
        assert_eq!(texts(1250.101, 1250.104), ("1250.10".to_owned(), "1250.10".to_owned()));
        assert_eq!(told_apart(0.1003, 0.1, 3).0, "0.1003");
        assert_eq!(texts(1.0, 1.0).0.parse(), Ok(1.0));
    }

    #[test]
    fn distances_are_in_the_units_of_the_site() {
        let all = |metres| LengthUnit::ALL.map(|unit| away(metres, unit));
        assert_eq!(all(1.23), ["1.2 m", "4.0 ft", "4.0 ft"]);
        assert_eq!(all(304.8), ["305 m", "1000 ft", "1000 ft"]);
        assert_eq!(all(160_934.4), ["161 km", "100 miles", "100 miles"]);
        assert_eq!(away_to(0.01, LengthUnit::Foot, 3), "0.033 ft");
    }

    #[test]
    fn minutes_are_told_where_there_are_any() {
        let cases = [
            (86_520, "24 h 2 min"),
            (86_400, "24 h"),
            (59, "59 s"),
            (0, "0 s"),
            (3_601, "1 h 1 s"),
        ];
        for (seconds, text) in cases {
            assert_eq!(duration(seconds), text);
        }
    }
}

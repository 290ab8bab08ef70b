//! Rows of `heads.csv`, worked out again from their own cells.

use std::collections::BTreeMap;

use super::exact::Exact;

/// The units of names, and their size in units of 1/39 370 000 m: 1 ft is 0.3048 m, 1 US survey foot 1200/3937 m.
const UNITS: [(&str, i128); 3] = [("m", 39_370_000), ("ft", 11_999_976), ("ft_us", 12_000_000)];

pub(crate) type Row = BTreeMap<String, String>;

/// The unit of a quantity, from the one heading that names it. Heads have that of the measuring point, and are
/// in metres besides.
#[track_caller]
pub(crate) fn unit(row: &Row, quantity: &str) -> &'static str {
    let quantity = if quantity == "head" { "measuring_point_elevation" } else { quantity };
    let named = |(unit, _): &(&'static str, i128)| row.contains_key(&format!("{quantity}_{unit}"));
    let units: Vec<_> = UNITS.iter().filter(|u| named(u)).collect();
    assert_eq!(units.len(), 1, "{quantity} in {row:#?}");
    units[0].0
}

/// A quantity of a row, in whatever unit its heading names.
#[track_caller]
pub(crate) fn cell<'a>(row: &'a Row, quantity: &str) -> &'a str {
    &row[&format!("{quantity}_{}", unit(row, quantity))]
}

#[track_caller]
fn number(row: &Row, quantity: &str) -> Option<Exact> {
    let text = cell(row, quantity);
    (!text.is_empty()).then(|| Exact::of(text))
}

/// How many sums a row was found to be.
#[derive(Debug, Default)]
pub(crate) struct Sums {
    pub(crate) tapes: usize,
    pub(crate) products: usize,
    pub(crate) corrected: usize,
    pub(crate) heads: usize,
    pub(crate) means: usize,
}

/// Holds a row to its own cells, to the last digit that is printed.
#[track_caller]
pub(crate) fn adds_up(row: &Row, sums: &mut Sums) {
    let of = |quantity| number(row, quantity);
    let zero = Exact::default();
    let is_mean = row["row"] == "mean";
    let water = of("depth_to_water");
    if let (Some(hold), Some(cut)) = (of("hold"), of("cut")) {
        assert_eq!(Some(hold - cut), water, "hold less cut: {row:#?}");
        sums.tapes += 1;
    }
    let correction = of("product_correction");
    if let (Some(thickness), false) = (of("product_thickness"), row["specific_gravity"].is_empty())
    {
        let gravity = Exact::of(&row["specific_gravity"]);
        let product = thickness.times(gravity, if is_mean { 8 } else { 4 });
        let found = correction.expect("a correction");
        // The mean of corrections of four decimals, and not the correction of the mean.
        let bound = if is_mean { Exact::of("0.00005") } else { zero };
        assert!(product.distance(found) <= bound, "thickness times gravity: {row:#?}");
        sums.products += 1;
    }
    let corrected = of("corrected_depth");
    if let Some(corrected) = corrected {
        let tape = of("instrument_correction").unwrap_or(zero);
        let sum = water.expect("a depth") + tape - correction.unwrap_or(zero);
        assert_eq!(corrected, sum, "corrected depth: {row:#?}");
        sums.corrected += 1;
    }
    let head = of("head");
    if let Some(head) = head.filter(|_| cell(row, "mean_of").is_empty() || corrected.is_some()) {
        let below = corrected.or_else(|| Some(zero - of("pressure_head").or(of("stage"))?));
        let below = below.map(|below| converted(row, below));
        let level = of("elevation").or_else(|| Some(of("measuring_point_elevation")? - below?));
        assert_eq!(Some(head), level, "head: {row:#?}");
        sums.heads += 1;
    }
    if is_mean {
        let heads: Vec<Exact> = cell(row, "mean_of").split(' ').map(Exact::of).collect();
        let [a, b] = heads[..] else { panic!("a mean of two: {row:#?}") };
        assert_eq!(head, Some((a + b).half()), "mean: {row:#?}");
        sums.means += 1;
    }
    // Metres of whatever unit, to four decimals.
    if let Some(head) = head.filter(|_| unit(row, "measuring_point_elevation") != "m") {
        let metres = head.scaled((size(unit(row, "measuring_point_elevation")), size("m")), 4);
        assert_eq!(Exact::of(&row["head_m"]), metres, "metres: {row:#?}");
    }
}

fn size(unit: &str) -> i128 {
    UNITS.iter().find(|(name, _)| *name == unit).expect("a unit").1
}

/// A length of the depth unit in the elevation unit: untouched where they are one, else to four decimals.
fn converted(row: &Row, length: Exact) -> Exact {
    let (depth, elevation) = (unit(row, "corrected_depth"), unit(row, "measuring_point_elevation"));
    if depth == elevation { length } else { length.scaled((size(depth), size(elevation)), 4) }
}

/// Each well has one row whose head is mapped, or none; gives the mapped heads by well.
#[track_caller]
pub(crate) fn mapped(rows: &[Row]) -> BTreeMap<&str, &Row> {
    let mut mapped = BTreeMap::new();
    for row in rows.iter().filter(|r| r["used_for_contouring"] == "yes") {
        assert!(mapped.insert(row["well"].as_str(), row).is_none(), "{} twice", row["well"]);
    }
    for row in rows.iter().filter(|r| r["used_for_contouring"] == "in the mean") {
        let mean = mapped.get(row["well"].as_str()).expect("the mean");
        assert_eq!(mean["row"], "mean");
        let heads: Vec<&str> = cell(mean, "mean_of").split(' ').collect();
        assert!(heads.contains(&cell(row, "head")), "{row:#?}");
    }
    mapped
}

//! Units of `[aquifer]` as people write them, and numbers that are in another unit.

use std::fmt::Write as _;

use geo::Point;
use headfall::diag::{Code, Diagnostic};
use headfall::read::{AquiferSettings, Overrides};

use crate::support::{Folder, gives, map, near, of};
use crate::toward_site::{AQUIFER, c, followed, line, place, plane, site, tank};

/// What `[aquifer]` of a site gives.
fn aquifer(lines: &str) -> AquiferSettings {
    let (map, findings) =
        map(site(&format!("[aquifer]\n{lines}\n"), plane).path(), &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{lines}: {e} {findings:#?}"));
    map.site.settings.receptors.aquifer.clone()
}

/// NIST Special Publication 811 (2008), appendix B.8: a foot is 0.3048 m and a US gallon 3.785412e-3 m3, so that
/// a gallon in a day is 0.0407458 m/d through a square foot and 0.0124193 m2/d through a foot.
#[test]
fn units_are_what_they_are_however_they_are_written() {
    const GALLON: f64 = 3.785_412e-3;
    let [foot, square] = [0.3048, 0.092_903_04];
    for (spellings, metres_per_day) in [
        (&["m/d", "m/day", "M/Day"][..], 1.0),
        (&["m/s", "m/sec"], 86_400.0),
        (&["cm/s", "cm/sec"], 864.0),
        (&["ft/d", "ft/day"], foot),
        (&["gpd/ft2", "gpd/ft^2", "gpd/ft²", "GPD/ft2"], GALLON / square),
    ] {
        for unit in spellings {
            let found =
                aquifer(&format!("conductivity = [1e-6, 1e-5]\nconductivity_unit = \"{unit}\""));
            let k = found.conductivity_m_per_day.unwrap_or_else(|| panic!("{unit}"));
            near(k.low / 1e-6, metres_per_day, 1e-6 * metres_per_day);
            near(k.high / 1e-5, metres_per_day, 1e-6 * metres_per_day);
        }
    }
    for (spellings, metric) in [
        (&["m2/d", "m2/day", "m^2/d", "m²/day"][..], 1.0),
        (&["m2/s", "m²/sec"], 86_400.0),
        (&["ft2/d", "ft2/day"], square),
        (&["gpd/ft"], GALLON / foot),
    ] {
        for unit in spellings {
            let found =
                aquifer(&format!("transmissivity = [1, 2]\ntransmissivity_unit = \"{unit}\""));
            let t = found.transmissivity_m2_per_day.unwrap_or_else(|| panic!("{unit}"));
            near(t.low, metric, 1e-6 * metric);
        }
    }
    for (spellings, metric) in [
        (&["m3/d", "m3/day", "m³/d"][..], 1.0),
        (&["m3/h", "m3/hr", "m3/hour"], 24.0),
        (&["L/s", "l/s", "L/sec"], 86.4),
        (&["ft3/d", "ft3/day"], foot * square),
        (&["gpm"], 1440.0 * GALLON),
    ] {
        for unit in spellings {
            let found = aquifer(&format!("pumping_rate_unit = \"{unit}\""));
            near(found.rate_m3_per_day.unwrap_or_else(|| panic!("{unit}")), metric, 1e-6 * metric);
        }
    }
}

/// The only refusal of a site, its line counted from the first of these.
fn refused(lines: &str, line: u64) -> Diagnostic {
    let (map, findings) = map(site(lines, plane).path(), &Overrides::default());
    assert!(map.is_err(), "{lines}");
    let told = of(Code::SiteSetting, &findings);
    assert_eq!(told.len(), 1, "{lines}: {findings:#?}");
    assert_eq!(told[0].origins[0].line, Some(5 + line), "{lines}");
    told[0].clone()
}

#[test]
fn a_unit_that_is_none_of_them_is_refused_with_those_that_are() {
    for (quantity, unit, known) in [
        ("conductivity", "m/week", "m/d, m/s, cm/s, ft/d, gpd/ft2"),
        ("transmissivity", "m/d", "m2/d, m2/s, ft2/d, gpd/ft"),
    ] {
        let lines = format!("[aquifer]\n{quantity} = [5e6, 2e7]\n{quantity}_unit = \"{unit}\"\n");
        let wanted = format!("{quantity}_unit = \"{unit}\"");
        gives(&refused(&lines, 3), &[&wanted]);
        for unit in known.split(", ") {
            gives(&refused(&lines, 3), &[unit]);
        }
    }
    let rate = refused("[aquifer]\npumping_rate_unit = \"gallons\"\n", 2);
    gives(&rate, &["pumping_rate_unit = \"gallons\"", "m3/d", "m3/h", "L/s", "ft3/d", "gpm"]);
    // The words of any other key, and of one in a list and in an inline table.
    let grid = refused("[grid]\nsurface = \"spline\"\n", 2);
    gives(&grid, &["surface = \"spline\"", "kriging", "thin-plate"]);
    let thickness = refused("[aquifer]\nthickness = 3\nthickness_unit=\"yd\"\n", 3);
    gives(&thickness, &["thickness_unit = \"yd\"", "ft-us"]);
    let list = refused("[output]\nformats = [\"shapefile\", \"tea\"]\n", 2);
    gives(&list, &["\"tea\"", "shapefile", "flatgeobuf", "dxf"]);
    let table = refused("[ground]\nraster = \"land.tif\"\nunit = \"yd\"\n", 3);
    gives(&table, &["unit = \"yd\"", "ft-us"]);
    // No unit at all.
    gives(
        &refused("[aquifer]\nconductivity = [500, 2000]\n", 2),
        &["conductivity_unit", "gpd/ft2"],
    );
}

/// Gravel ends at 3e-2 m/s (`docs/toward.md`); 8640 m/d are 0.1 m/s.
#[test]
fn a_conductivity_above_all_materials_is_told() {
    let told = |range: &str, unit: &str| {
        let lines = format!("[aquifer]\nconductivity = {range}\nconductivity_unit = \"{unit}\"\n");
        let (_, findings) = map(site(&lines, plane).path(), &Overrides::default());
        of(Code::ConductivityHigh, &findings).into_iter().cloned().collect::<Vec<_>>()
    };
    let meant_per_day = told("[5, 20]", "m/s");
    assert_eq!(meant_per_day.len(), 1, "T516");
    gives(
        &meant_per_day[0],
        &["[5, 20] m/s", "20 m/s", "0.1 m/s", "0.03 m/s", "conductivity_unit"],
    );
    assert_eq!(meant_per_day[0].origins[0].line, Some(7));
    gives(&told("[20, 50]", "cm/sec")[0], &["[20, 50] cm/s", "0.5 m/s"]);
    gives(&told("[5, 8700]", "m/day")[0], &["[5, 8700] m/d", "0.101 m/s"]);
    for (range, unit) in [("[5, 8600]", "m/d"), ("[5, 20]", "m/d"), ("[0.001, 0.1]", "m/s")] {
        assert!(told(range, unit).is_empty(), "{range} {unit}");
    }
}

#[test]
fn a_travel_time_under_a_day_is_told_once() {
    let creek = |x: f64| place(&format!("creek {x}"), line(&[(x, 0.0), (x, 400.0)]));
    let told = |aquifer: &str| {
        let receptors = vec![creek(120.0), creek(200.0), creek(350.0), creek(50.0)];
        let (_, toward, findings) = followed(&site(aquifer, plane), vec![tank()], receptors);
        let days: Vec<_> = toward.expect("an answer").verdicts.iter().map(|v| v.days).collect();
        (of(Code::TravelFast, &findings).into_iter().cloned().collect::<Vec<_>>(), days)
    };
    assert!(told(AQUIFER).0.is_empty());
    // K 5 to 20 cm/s where m/d were meant: v = K i / n is 72 to 432 m/d. The first creek is 20 m away, the second
    // 100 m: 1.4 days at the slow end; the last is upgradient.
    let (none, days) = told(&AQUIFER.replace("m/d", "cm/s"));
    assert!(none.is_empty() && days[1].expect("days").high > 1.0, "{days:?}");
    // And with 20 to 30 cm/s, 288 to 648 m/d: 100 m in 0.35 days, 250 m in 0.87.
    let (found, days) = told(&AQUIFER.replace("[5, 20]", "[20, 30]").replace("m/d", "cm/s"));
    assert_eq!(found.len(), 1, "T517 {days:?}");
    gives(&found[0], &["tank", "creek 200", "100 m", "30 m", "1 more"]);
    // Without the last but one there is no other.
    let (found, days) = told(&AQUIFER.replace("[5, 20]", "[12, 30]").replace("m/d", "cm/s"));
    assert_eq!(found.len(), 1, "T517 {days:?}");
    assert!(!found[0].message.contains("more travel times"), "{}", found[0].message);
}

/// 50 000 m3/d are 579 L/s and 9172 gpm.
#[test]
fn a_pumping_rate_too_large_for_one_well_is_told_once() {
    let told = |rates: &[f64], unit: &str| {
        let mut lines = format!("[aquifer]\npumping_rate_unit = \"{unit}\"\n");
        for (k, rate) in rates.iter().enumerate() {
            write!(
                lines,
                "[[pumped_wells]]\nwell = \"PW-{k}\"\neasting = {}\nnorthing = {}\nrate = {rate}\n",
                c(250.0, 0.0).x,
                c(0.0, 150.0 + 100.0 * k as f64).y
            )
            .expect("text");
        }
        let (_, findings) = map(site(&lines, plane).path(), &Overrides::default());
        of(Code::RateHigh, &findings).into_iter().cloned().collect::<Vec<_>>()
    };
    let one = told(&[100.0, 60_000.0], "m3/d");
    assert_eq!(one.len(), 1, "T518");
    assert_eq!(one[0].wells, ["PW-1"]);
    gives(&one[0], &["PW-1", "60000 m3/d", "50000 m3/d"]);
    assert_eq!(one[0].origins[0].line, Some(17));
    let two = told(&[600.0, -900.0], "L/s");
    assert_eq!(two.len(), 1, "T518");
    assert_eq!(two[0].wells, ["PW-0", "PW-1"]);
    gives(&two[0], &["PW-0", "600 L/s", "51840 m3/d", "1 more"]);
    for (rate, unit) in [(50_000.0, "m3/d"), (570.0, "L/s"), (9000.0, "gpm"), (600.0, "m3/d")] {
        assert!(told(&[rate], unit).is_empty(), "{rate} {unit}");
    }
    assert_eq!(told(&[9300.0], "gpm").len(), 1);
}

/// `docs/toward.md`: no effective porosity for till, one for gravel.
#[test]
fn a_material_without_a_porosity_is_named() {
    let told = |lines: &str| {
        let folder: Folder = site(&format!("[aquifer]\n{lines}\n"), plane);
        let supply = place("supply", Point(c(450.0, 210.0)));
        let (_, toward, findings) = followed(&folder, vec![tank()], vec![supply]);
        toward.expect("an answer");
        of(Code::NoVelocity, &findings).into_iter().cloned().collect::<Vec<_>>()
    };
    let till = told("material = \"till\"");
    assert_eq!(till.len(), 1, "T504");
    gives(&till[0], &["till", "effective_porosity"]);
    let advice = till[0].advice.as_deref().unwrap_or_default();
    assert!(!advice.contains("or a material"), "{advice}");
    assert!(told("material = \"gravel\"").is_empty());
    assert!(told("material = \"till\"\neffective_porosity = [0.05, 0.1]").is_empty());
}

//! Every check of the check stage, provoked through a site folder as a user would have it.

use std::fmt::Write as _;

use headfall::diag::{Code, Diagnostic};
use headfall::read::Overrides;
use headfall::reduce::Fate;
use headfall::run::Map;

use crate::support::{Folder, gives, map, of, sample};

/// A dozen invented wells on a gently bent water table in UTM zone 15, heads to 0.01 ft.
const POSITIONS: [(f64, f64); 12] = [
    (480_010.0, 4_980_020.0),
    (480_130.0, 4_980_045.0),
    (480_260.0, 4_980_015.0),
    (480_390.0, 4_980_060.0),
    (480_040.0, 4_980_160.0),
    (480_170.0, 4_980_190.0),
    (480_300.0, 4_980_150.0),
    (480_410.0, 4_980_200.0),
    (480_025.0, 4_980_310.0),
    (480_150.0, 4_980_330.0),
    (480_280.0, 4_980_300.0),
    (480_400.0, 4_980_340.0),
];

/// Head in ft: a plane of 0.004 toward the south-east, a slight bend, a tenth of an inch of noise.
fn head(i: usize) -> f64 {
    let (e, n) = POSITIONS[i];
    let (x, y) = ((e - 480_000.0) / 0.3048, (n - 4_980_000.0) / 0.3048);
    let noise = [0.01, -0.01, 0.0, 0.01, 0.0, -0.01, 0.01, 0.0, -0.01, 0.01, 0.0, -0.01];
    let h = 900.0 - 0.0028 * x + 0.0028 * y - 4e-8 * x * x + noise[i];
    (h * 100.0).round() / 100.0
}

/// A site under test: the register's and the round's cells can be changed one by one.
struct Site {
    toml: String,
    register: Vec<Vec<String>>,
    round: Vec<Vec<String>>,
}

const REGISTER: &str = "id,easting,northing,measuring_point_elevation,total_depth,sounded_depth,\
                        screen_top,screen_bottom,aquifer_unit,measuring_point_date";
const ROUND: &str = "id,datetime,depth_to_water,status";

impl Site {
    fn new() -> Self {
        let mut register = Vec::new();
        let mut round = Vec::new();
        for (i, (e, n)) in POSITIONS.iter().enumerate() {
            let id = format!("MW-{}", i + 1);
            let mp = 920.0 + (i as f64) / 10.0;
            register.push(vec![
                id.clone(),
                e.to_string(),
                n.to_string(),
                format!("{mp:.2}"),
                "45.0".into(),
                "44.9".into(),
                "15.0".into(),
                "44.0".into(),
                "sand".into(),
                "2024-05-01".into(),
            ]);
            round.push(vec![
                id,
                format!("2026-04-14T{:02}:00", 7 + i),
                format!("{:.2}", mp - head(i)),
                String::new(),
            ]);
        }
        let toml = "[site]\nname = \"Test\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"ft\"\n\
                    vertical_datum = \"NAVD 88\"\n"
            .to_owned();
        Self { toml, register, round }
    }

    fn draw(&self) -> (Option<Map>, Vec<Diagnostic>) {
        let folder = Folder::new();
        let csv = |heading: &str, rows: &[Vec<String>]| {
            rows.iter().fold(format!("{heading}\n"), |mut text, row| {
                let _ = writeln!(text, "{}", row.join(","));
                text
            })
        };
        folder.file("site.toml", &self.toml);
        folder.file("wells.csv", csv(REGISTER, &self.register));
        folder.file("rounds/april.csv", csv(ROUND, &self.round));
        let (result, findings) = map(folder.path(), &Overrides::default());
        (result.ok(), findings)
    }

    /// The findings of one code, which must be told; whether there is a map must be as said.
    #[track_caller]
    fn told(&self, code: Code, mapped: bool) -> Vec<Diagnostic> {
        let (map, findings) = self.draw();
        let told: Vec<Diagnostic> = of(code, &findings).into_iter().cloned().collect();
        assert!(!told.is_empty(), "{code} is told; found {findings:#?}");
        assert_eq!(map.is_some(), mapped, "whether there is a map: {findings:#?}");
        told
    }

    fn keep(&mut self, wells: &[usize]) {
        self.register = wells.iter().map(|i| self.register[*i].clone()).collect();
        self.round = wells.iter().map(|i| self.round[*i].clone()).collect();
    }
}

#[test]
fn a_good_round_is_mapped_without_a_warning() {
    let (map, findings) = Site::new().draw();
    assert!(map.is_some(), "a map: {findings:#?}");
    let loud: Vec<_> =
        findings.iter().filter(|d| d.severity > headfall::diag::Severity::Note).collect();
    assert!(loud.is_empty(), "no warning: {loud:#?}");
}

#[test]
fn fewer_than_three_usable_wells_are_refused() {
    let mut site = Site::new();
    site.keep(&[0, 1, 5]);
    site.round[1][3] = "dry".into();
    site.round[1][2] = String::new();
    let told = site.told(Code::FewWells, false);
    gives(&told[0], &["2 usable", "3", "april"]);
    assert_eq!(told[0].wells, ["MW-1", "MW-6"], "the usable ones are named");
}

#[test]
fn wells_on_one_line_are_refused() {
    let mut site = Site::new();
    site.keep(&[0, 1, 2, 3]);
    for (i, row) in site.register.iter_mut().enumerate() {
        row[1] = (480_000.0 + 100.0 * i as f64).to_string();
        row[2] = (4_980_000.0 + 50.0 * i as f64).to_string();
    }
    let told = site.told(Code::Collinear, false);
    // East 100 for north 50 is a bearing of atan(2) = 63 degrees.
    gives(&told[0], &["4 wells", "63", "0.00 ft"]);
}

#[test]
fn wells_nearly_on_one_line_are_told() {
    let mut site = Site::new();
    site.keep(&[0, 1, 2, 3]);
    for (i, row) in site.register.iter_mut().enumerate() {
        row[1] = (480_000.0 + 100.0 * i as f64).to_string();
        row[2] = (4_980_000.0 + if i == 1 { 4.0 } else { 0.0 }).to_string();
    }
    gives(&site.told(Code::ThinNetwork, true)[0], &["bound 0.1"]);
}

#[test]
fn two_wells_at_one_position_are_refused_with_both_names() {
    let mut site = Site::new();
    site.register[4][1] = site.register[7][1].clone();
    site.register[4][2] = site.register[7][2].clone();
    let told = site.told(Code::SharedPosition, false);
    gives(&told[0], &["MW-5, MW-8", "(480410, 4980200)"]);
    assert_eq!(told[0].origins.len(), 2, "both rows are shown");
}

#[test]
fn aquifer_units_tell_two_wells_at_one_position_apart() {
    let mut site = Site::new();
    site.register[4][1] = site.register[7][1].clone();
    site.register[4][2] = site.register[7][2].clone();
    site.register[4][8] = "rock".into();
    site.toml += "aquifer_unit = \"sand\"\n";
    let told = site.told(Code::OtherUnit, true);
    gives(&told[0], &["MW-5", "\"rock\""]);
}

/// The register knows a unit whose name comes first, and none of its wells was read.
#[test]
fn a_map_has_the_name_of_the_unit_that_was_read() {
    let mut site = Site::new();
    site.register[2][8] = "alluvium".into();
    site.round.remove(2);
    let (map, findings) = site.draw();
    let map = map.unwrap_or_else(|| panic!("{findings:#?}"));
    assert_eq!(map.control.aquifer_unit(), Some("sand"));
}

#[test]
fn several_aquifer_units_and_none_named_are_refused() {
    let mut site = Site::new();
    site.register[2][8] = "rock".into();
    gives(&site.told(Code::UnitUnnamed, false)[0], &["\"rock\", \"sand\""]);
}

#[test]
fn wells_without_a_unit_among_wells_with_one_are_refused() {
    let mut site = Site::new();
    site.register[2][8] = String::new();
    let told = site.told(Code::UnitUnnamed, false);
    assert_eq!(told[0].wells, ["MW-3"], "the well is named");
}

/// The register of the sample: total depth 10.5 ft below the ground at 1263.21 ft, so that the bottom is at 1252.71 ft.
#[test]
fn a_dry_well_has_the_elevation_that_its_level_is_below() {
    let (map, findings) = map(&sample("fuel-depot"), &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{e} {findings:#?}"));
    let well = map.site.wells.iter().position(|w| w.id == "MW-13").expect("the well");
    let account = map.control.accounts().iter().find(|a| a.well == well).expect("its reading");
    let Fate::NotUsed { reason, code } = &account.fate else { panic!("{account:?}") };
    assert!(reason.contains("1252.71 US survey ft"), "{reason}");
    assert_eq!(*code, Some(Code::NoStaticLevel));
}

#[test]
fn a_level_below_the_bottom_is_not_used() {
    let mut site = Site::new();
    site.round[5][2] = "45.60".into();
    let told = site.told(Code::BelowBottom, true);
    gives(&told[0], &["MW-6", "875.50 ft", "874.90 ft"]);
}

#[test]
fn a_level_below_the_screen_is_not_used() {
    let mut site = Site::new();
    site.round[5][2] = "44.50".into();
    gives(&site.told(Code::BelowBottom, true)[0], &["MW-6", "876.50 ft"]);
}

#[test]
fn water_below_the_bottom_under_product_is_not_used() {
    let mut site = Site::new();
    for row in &mut site.round {
        row.extend([String::new(), String::new()]);
    }
    // The head, 0.8 of the way up from the water to the product, is above the bottom at 875.50 ft;
    // the water at 874.90 ft is not.
    site.round[5][2] = "45.60".into();
    site.round[5][4] = "43.00".into();
    site.round[5][5] = "0.8".into();
    for row in &mut site.register {
        row[7] = String::new();
    }
    let folder = Folder::new();
    folder.file("site.toml", &site.toml);
    let rows = |heading: String, rows: &[Vec<String>]| {
        rows.iter().fold(heading + "\n", |text, row| text + &row.join(",") + "\n")
    };
    folder.file("wells.csv", rows(REGISTER.into(), &site.register));
    let round = format!("{ROUND},depth_to_product,specific_gravity");
    folder.file("rounds/april.csv", rows(round, &site.round));
    let (_, findings) = map(folder.path(), &Overrides::default());
    let told = of(Code::BelowBottom, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["MW-6", "874.90 ft", "875.50 ft"]);
}

#[test]
fn depths_below_ground_are_counted_from_the_ground() {
    let mut site = Site::new();
    site.toml += "depths_from = \"ground\"\n";
    for row in &mut site.register {
        let mp: f64 = row[3].parse().expect("a number");
        row.push(format!("{:.2}", mp - 3.0));
    }
    // Below the measuring point 45.6 is above a bottom 45 below ground, which is 48 below it.
    site.round[5][2] = "45.60".into();
    let folder = Folder::new();
    folder.file("site.toml", &site.toml);
    let rows = |heading: String, rows: &[Vec<String>]| {
        rows.iter().fold(heading + "\n", |text, row| text + &row.join(",") + "\n")
    };
    folder.file("wells.csv", rows(format!("{REGISTER},ground_elevation"), &site.register));
    folder.file("rounds/april.csv", rows(ROUND.into(), &site.round));
    let (_, findings) = map(folder.path(), &Overrides::default());
    assert!(of(Code::BelowBottom, &findings).is_empty(), "{findings:#?}");
}

#[test]
fn silt_is_told_and_a_closed_screen_not_used() {
    let mut site = Site::new();
    site.register[3][5] = "40.0".into();
    gives(&site.told(Code::Silted, true)[0], &["MW-4", "5.00 ft"]);
    site.register[3][5] = "14.5".into();
    let told = site.told(Code::Silted, true);
    gives(&told[0], &["MW-4"]);
    let (map, _) = site.draw();
    assert_eq!(map.expect("a map").control.points().len(), 11, "one well fewer");
}

#[test]
fn a_round_longer_than_its_window_is_told() {
    let mut site = Site::new();
    site.round[11][1] = "2026-04-15T08:30".into();
    gives(
        &site.told(Code::RoundTooLong, true)[0],
        &["25 h 30 min", "2026-04-14T07:00:00 (MW-1)", "2026-04-15T08:30:00 (MW-12)", "24 h"],
    );
    site.toml += "[round]\nwindow_hours = 48\n";
    assert!(of(Code::RoundTooLong, &site.draw().1).is_empty(), "the stated window holds");
}

/// Published check: a typing error of one foot in a wellhead elevation led a regulator to believe
/// the well was in another aquifer (San Joaquin County EHD public file 540707, p. 759). A residual
/// check must name it, whichever well it is.
#[test]
fn a_blunder_of_one_foot_names_its_well_whichever_it_is() {
    for i in 0..POSITIONS.len() {
        for blunder in [1.0, -1.0] {
            let mut site = Site::new();
            let mp: f64 = site.register[i][3].parse().expect("a number");
            site.register[i][3] = format!("{:.2}", mp + blunder);
            let told = site.told(Code::OffNeighbours, true);
            assert_eq!(told.len(), 1, "one well only: {told:#?}");
            assert_eq!(told[0].wells, [format!("MW-{}", i + 1)], "the right one");
        }
    }
}

#[test]
fn a_depth_in_metres_among_feet_is_called_a_mix_up() {
    let mut site = Site::new();
    let depth: f64 = site.round[6][2].parse().expect("a number");
    site.round[6][2] = format!("{:.3}", depth * 0.3048);
    gives(&site.told(Code::UnitMixUp, true)[0], &["MW-7"]);
}

#[test]
fn a_measuring_point_in_metres_among_feet_is_called_a_mix_up() {
    let mut site = Site::new();
    let mp: f64 = site.register[6][3].parse().expect("a number");
    site.register[6][3] = format!("{:.3}", mp * 0.3048);
    for column in 4..8 {
        site.register[6][column] = String::new();
    }
    gives(&site.told(Code::UnitMixUp, true)[0], &["MW-7"]);
}

#[test]
fn degrees_given_as_projected_coordinates_are_refused() {
    let mut site = Site::new();
    for (i, row) in site.register.iter_mut().enumerate() {
        row[1] = (-93.25 + 0.001 * i as f64).to_string();
        row[2] = (44.97 + 0.0007 * (i * i % 7) as f64).to_string();
    }
    let told = site.told(Code::DegreesAsProjected, false);
    gives(&told[0], &["12 of 12 wells", "MW-1", "-93.25", "EPSG:26915"]);
    site.toml += "coordinates_crs = \"EPSG:4269\"\n\
                  [columns]\nlongitude = \"easting\"\nlatitude = \"northing\"\n";
    let (map, findings) = site.draw();
    assert!(map.is_some(), "with their CRS declared they are mapped: {findings:#?}");
}

#[test]
fn projected_coordinates_under_a_geographic_crs_are_refused() {
    let mut site = Site::new();
    site.toml = site.toml.replace("EPSG:26915", "EPSG:4269");
    gives(&site.told(Code::ProjectedAsDegrees, false)[0], &["EPSG:4269"]);
}

#[test]
fn degrees_under_a_geographic_crs_are_refused_with_a_projected_one_to_use() {
    let mut site = Site::new();
    site.toml = site.toml.replace("EPSG:26915", "EPSG:4269");
    for (i, row) in site.register.iter_mut().enumerate() {
        row[1] = (-93.25 + 0.001 * i as f64).to_string();
        row[2] = (44.97 + 0.0007 * (i * i % 7) as f64).to_string();
    }
    let told = site.told(Code::ProjectedAsDegrees, false);
    let advice = told[0].advice.as_deref().unwrap_or_default();
    assert!(advice.contains("EPSG:32615"), "{advice}");
}

#[test]
fn swapped_axes_are_refused() {
    let mut site = Site::new();
    for row in &mut site.register {
        row.swap(1, 2);
    }
    let told = site.told(Code::AxesSwapped, false);
    gives(&told[0], &["12 of 12 wells", "swapped"]);
    let mut one = Site::new();
    one.register[8].swap(1, 2);
    assert_eq!(one.told(Code::AxesSwapped, false)[0].wells, ["MW-9"], "one alone is named");
}

#[test]
fn a_well_far_outside_the_area_of_use_is_refused() {
    let mut site = Site::new();
    site.register[2][2] = "498007.5".into();
    let told = site.told(Code::OutsideArea, false);
    assert_eq!(told[0].wells, ["MW-3"], "the well is named");
    gives(&told[0], &["(480260, 498008)"]);
}

#[test]
fn a_site_a_little_outside_the_area_of_use_is_told_only() {
    let mut site = Site::new();
    for row in &mut site.register {
        let e: f64 = row[1].parse().expect("a number");
        row[1] = (e + 290_000.0).to_string();
    }
    let told = site.told(Code::OutsideArea, true);
    assert_eq!(told[0].wells.len(), 12, "every well is named");
}

#[test]
fn distances_are_corrected_where_the_projection_stretches_them() {
    let mut site = Site::new();
    // Web Mercator at 45 degrees north stretches by 1 / cos 45 = 1.41.
    site.toml = site.toml.replace("EPSG:26915", "EPSG:3857");
    for row in &mut site.register {
        let (e, n): (f64, f64) =
            (row[1].parse().expect("a number"), row[2].parse().expect("a number"));
        row[1] = (-10_380_000.0 + (e - 480_000.0) * 1.41).to_string();
        row[2] = (5_621_500.0 + (n - 4_980_000.0) * 1.41).to_string();
    }
    gives(&site.told(Code::ScaleCorrected, true)[0], &["1.41"]);
    let stretched = site.draw().0.expect("a map").flow.plane_gradient;
    let plain = Site::new().draw().0.expect("a map").flow.plane_gradient;
    let ratio = stretched / plain;
    assert!((ratio - 1.0).abs() < 0.005, "the gradient is that on the ground: ratio {ratio}");
}

#[test]
fn an_older_datum_is_told_to_be_approximate_in_longitude_and_latitude() {
    let mut site = Site::new();
    // NAD27 / UTM zone 15N, on the Clarke ellipsoid of 1866.
    site.toml = site.toml.replace("EPSG:26915", "EPSG:26715");
    gives(&site.told(Code::DatumApproximate, true)[0], &["EPSG:26715"]);
    assert!(of(Code::DatumApproximate, &Site::new().draw().1).is_empty(), "not told of NAD83");
}

#[test]
fn all_refusals_are_told_at_once() {
    let mut site = Site::new();
    site.register[2][8] = String::new();
    site.register[8].swap(1, 2);
    let (map, findings) = site.draw();
    assert!(map.is_none(), "refused");
    assert!(!of(Code::UnitUnnamed, &findings).is_empty(), "{findings:#?}");
    assert!(!of(Code::AxesSwapped, &findings).is_empty(), "{findings:#?}");
}

#[test]
fn depths_that_cannot_be_count_as_unknown() {
    let plain = Site::new().draw().0.expect("a map");
    for (depth, wells) in [("0", 0..12), ("-40", 0..1)] {
        let mut site = Site::new();
        for i in wells {
            for column in 4..8 {
                site.register[i][column] = depth.into();
            }
        }
        let (map, findings) = site.draw();
        let map = map.unwrap_or_else(|| panic!("{findings:#?}"));
        assert_eq!(map.control.points().len(), plain.control.points().len(), "{depth}");
        assert!(of(Code::BelowBottom, &findings).is_empty(), "{depth}: {findings:#?}");
        let told = of(Code::RegisterContradicts, &findings);
        assert_eq!(told.len(), 1, "{findings:#?}");
        assert!(told[0].message.contains("treated as unknown"), "{told:?}");
    }
}

/// MW-6 dry, with its bottom, sounded bottom, screen's top and screen's bottom at these elevations.
fn dry(bottom: f64, sounded: f64, top: f64, screen: f64) -> Site {
    let mut site = Site::new();
    site.round[5][2] = String::new();
    site.round[5][3] = "dry".into();
    let point: f64 = site.register[5][3].parse().expect("a number");
    for (column, at) in [(4, bottom), (5, sounded), (6, top), (7, screen)] {
        site.register[5][column] = format!("{:.2}", point - at);
    }
    site
}

#[test]
fn a_dry_well_below_the_surface_is_told_with_both_elevations() {
    // The others carry the surface near the head that the site was made with.
    let made = head(5);
    let (deep, shallow) = (made - 5.0, made + 5.0);
    let site = dry(deep, deep + 0.1, deep + 4.0, deep + 1.0);
    let told = site.told(Code::AboveDryWell, true);
    assert_eq!((told.len(), told[0].wells.as_slice()), (1, ["MW-6".to_owned()].as_slice()));
    // Water below the screen does not enter: its bottom counts, not the well's.
    let screen = format!("above its screen's bottom at {:.2} ft", deep + 1.0);
    gives(&told[0], &["MW-6", "\"sand\"", &screen, "(bound 0."]);
    let number = |before: &str| -> f64 {
        let text = told[0].message.split(before).nth(1).expect(before);
        text.split(' ').next().and_then(|n| n.parse().ok()).expect("a number")
    };
    // The bend of the made surface and its noise are below a tenth of a foot.
    assert!((number("surface there is at ") - made).abs() < 0.1, "{}", told[0].message);
    assert!((number("ft, ") - 4.0).abs() < 0.1, "{}", told[0].message);
    let places: Vec<String> = told[0].origins.iter().map(ToString::to_string).collect();
    assert_eq!(places, ["rounds/april.csv, line 7", "wells.csv, line 7"]);
    // The note of the word itself claims nothing of the surface.
    let note = &site.told(Code::NoStaticLevel, true)[0];
    assert!(!note.advice.as_deref().unwrap_or_default().contains("passes below"), "{note:?}");

    let silent = |site: &Site| {
        let (map, findings) = site.draw();
        assert!(map.is_some(), "{findings:#?}");
        assert!(of(Code::AboveDryWell, &findings).is_empty(), "{findings:#?}");
    };
    // The surface passes below; silt closes the screen; the well is of another unit; the register
    // has no depths; another reading put the well on the map.
    silent(&dry(shallow, shallow + 0.1, shallow + 4.0, shallow + 1.0));
    silent(&dry(deep, deep + 4.5, deep + 4.0, deep + 1.0));
    let mut other = dry(deep, deep, deep + 4.0, deep + 1.0);
    other.register[5][8] = "rock".into();
    other.toml += "aquifer_unit = \"sand\"\n";
    silent(&other);
    let mut bare = dry(deep, deep, deep + 4.0, deep + 1.0);
    bare.register[5][4..8].fill(String::new());
    silent(&bare);
    let mut twice = dry(deep, deep, deep + 4.0, deep + 1.0);
    let depth = format!("{:.2}", twice.register[5][3].parse::<f64>().expect("a number") - made);
    twice.round.push(vec!["MW-6".into(), "2026-04-14T20:00".into(), depth, String::new()]);
    silent(&twice);
}

/// What is known of a well that is dry down to a depth is that its head is below measuring point less depth,
/// wherever its bottom is.
#[test]
fn a_well_dry_down_to_a_depth_bounds_the_surface_by_that_depth() {
    let made = head(5);
    let with = |above: f64| {
        // The register's own depths would say nothing: the well goes far below the surface.
        let mut site = dry(made - 30.0, made - 30.0, made - 20.0, made - 29.0);
        let point: f64 = site.register[5][3].parse().expect("a number");
        site.round[5][2] = format!(">{:.2}", point - made + above);
        site.round[5][3] = String::new();
        site
    };
    let told = with(4.0).told(Code::AboveDryWell, true);
    assert_eq!((told.len(), told[0].wells.as_slice()), (1, ["MW-6".to_owned()].as_slice()));
    gives(&told[0], &[&format!("{:.2} ft (bound 0.", made - 4.0)]);
    let note = &with(4.0).told(Code::NoStaticLevel, true)[0];
    gives(note, &[&format!("{:.2} ft", 920.5 - made + 4.0)]);
    // Dry down to a depth that the surface is below.
    assert!(with(-4.0).draw().1.iter().all(|d| d.code != Code::AboveDryWell));
    // Without depths in the register the bound is known all the same.
    let mut bare = with(4.0);
    bare.register[5][4..8].fill(String::new());
    assert_eq!(bare.told(Code::AboveDryWell, true).len(), 1);
}

/// 1.96 standard deviations (any table of the normal distribution) of both errors together: that of the
/// surface, by its weights, and that of a level read at the bottom.
#[test]
fn a_surface_within_the_errors_above_a_dry_well_is_not_told() {
    let folder = |above: f64| {
        let folder = Folder::new();
        folder.file(
            "site.toml",
            "[site]\nname = \"Flat\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\nvertical_datum = \
             \"NAVD 88\"\n[uncertainty]\nreading_sd = 0.03\nsurvey_sd = 0.0\n\
             tape_sd_per_length = 0.0\nlean_per_length = 0.0\n",
        );
        let mut register = "id,easting,northing,measuring_point_elevation,total_depth\n".to_owned();
        let mut round = "id,depth_to_water,status\n".to_owned();
        for (i, (x, y)) in [(0, 0), (400, 0), (0, 400), (400, 400)].into_iter().enumerate() {
            let _ = writeln!(register, "W{i},{},{},100,50", 480_000 + x, 4_980_000 + y);
            let _ = writeln!(round, "W{i},{},", 10.0 + 0.001 * f64::from(x));
        }
        // In the middle of a diagonal two heads count by a half: 90.00 and 89.60 m, or 89.60 and 90.00 m.
        let _ = writeln!(register, "D,480200,4980200,100,{}", 10.2 + above);
        round += "D,,dry\n";
        folder.file("wells.csv", register);
        folder.file("rounds/one.csv", round);
        folder
    };
    // Two heads of 3 cm halved make 2.12 cm; with the 3 cm of the well 3.67, and 1.96 of them 7.20.
    for (above, count) in [(0.065, 0), (0.08, 1)] {
        let folder = folder(above);
        let (map, findings) = map(folder.path(), &Overrides::default());
        assert!(map.is_ok(), "{findings:#?}");
        let told = of(Code::AboveDryWell, &findings);
        assert_eq!(told.len(), count, "{above}: {findings:#?}");
        if let Some(told) = told.first() {
            gives(told, &["89.80 m", "0.08 m", "89.72 m", "0.07 m"]);
        }
    }
}

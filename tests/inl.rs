//! A real round: 183 levels read in and near the Idaho National Laboratory, 2 to 15 April 2009.
//!
//! Data: `data/inl/inl_esrp_2009-04_wells.csv`, US Geological Survey, CC0, with its provenance.
//! Expected values: counted and fitted from the same file with NumPy's least squares (106
//! single-completion aquifer wells: gradient 9.91538e-4 toward grid azimuth 197.67 degrees,
//! R2 0.54222, UTM zone 12); 57 multilevel intervals stand at 3 positions, so 54 share one.

use std::fmt::Write as _;

use headfall::diag::{Code, Diagnostic};
use headfall::read::Overrides;
use headfall::toward::{Nested, vertical_gradients};

use crate::support::{Folder, gives, map, near, of, rows};

/// The round as one table; ids are numbered because the intervals of a well share its name.
fn table(keep: impl Fn(&str, &str) -> bool) -> String {
    let mut text = "Well,Aquifer unit,UTM E (m),UTM N (m),Measuring point elevation (ft),\
                    Depth to water (ft),Date time\n"
        .to_owned();
    for row in rows("inl/inl_esrp_2009-04_wells.csv") {
        if keep(&row["network"], &row["completion"]) {
            let unit = if row["network"] == "A" { "aquifer" } else { "perched" };
            let _ = writeln!(
                text,
                "{},{unit},{},{},{},{},{}",
                row["site_no"],
                row["utm12n_e_m"],
                row["utm12n_n_m"],
                row["alt_ft_navd88"],
                row["depth_to_water_ft"],
                row["datetime_utc"].trim_end_matches('Z'),
            );
        }
    }
    text
}

fn overrides() -> Overrides {
    Overrides { crs: Some("EPSG:26912".into()), ..Overrides::default() }
}

#[test]
fn single_completion_wells_give_the_fitted_plane() {
    let folder = Folder::new();
    let file =
        folder.file("inl.csv", table(|network, completion| network == "A" && completion != "M"));
    let (map, findings) = map(&file, &overrides());
    let map = map.expect("a map");
    assert_eq!(map.control.points().len(), 106, "single-completion aquifer wells");
    near(map.flow.plane_gradient, 9.915_380_334e-4, 1e-12);
    near(map.flow.plane_azimuth_grid.expect("a direction").degrees(), 197.669_825_2, 1e-5);
    near(map.flow.plane.r_squared.expect("R2"), 0.542_220_38, 1e-7);
    assert_eq!(of(Code::RoundTooLong, &findings).len(), 1, "thirteen days are no synoptic round");
}

#[test]
fn perched_wells_are_never_mixed_in() {
    let folder = Folder::new();
    let both = table(|_, completion| completion != "M");
    let file = folder.file("inl.csv", &both);
    let (result, findings) = map(&file, &overrides());
    assert!(result.is_err(), "two aquifer units and none named");
    let told = of(Code::UnitUnnamed, &findings);
    gives(told[0], &["\"aquifer\", \"perched\""]);

    folder.file(
        "site.toml",
        "[site]\nname = \"INL\"\ncrs = \"EPSG:26912\"\nelevation_unit = \"ft\"\n\
         vertical_datum = \"NAVD 88\"\naquifer_unit = \"aquifer\"\n",
    );
    let (result, findings) = map(&file, &Overrides::default());
    let map = result.expect("a map of the aquifer");
    assert_eq!(map.control.points().len(), 106, "aquifer wells only");
    assert_eq!(of(Code::OtherUnit, &findings).len(), 20, "each perched well is named");
    let highest = map.control.points().iter().map(|p| p.head).fold(f64::MIN, f64::max);
    assert!(highest < 4700.0, "no perched head (278 ft and more above) carries the map: {highest}");
}

#[test]
fn multilevel_intervals_at_one_position_are_refused_by_name() {
    let folder = Folder::new();
    let file = folder.file("inl.csv", table(|network, _| network == "A"));
    let (result, findings) = map(&file, &overrides());
    assert!(result.is_err(), "shared positions");
    let told = of(Code::SharedPosition, &findings);
    assert_eq!(told.len(), 3, "positions");
    let intervals = |d: &&Diagnostic| d.wells.len() + d.more_wells;
    assert_eq!(told.iter().map(intervals).sum::<usize>(), 57, "intervals, named or counted");
}

/// 57 intervals of multilevel wells stand at 3 positions: 54 steps from one to the next below, each
/// with a gradient or with a reason for none. The depth of an interval stands for a screen of a
/// foot about it, which the file does not give.
#[test]
fn multilevel_wells_are_nests_and_every_step_down_is_accounted_for() {
    let nested: Vec<Nested> = rows("inl/inl_esrp_2009-04_wells.csv")
        .iter()
        .filter(|row| row["completion"] == "M")
        .enumerate()
        .map(|(well, row)| {
            let n = |name: &str| row[name].parse::<f64>().ok();
            let metres = |name: &str| n(name).map(|v| v * 0.3048);
            let port = metres("alt_ft_navd88").zip(metres("well_depth_ft")).map(|(z, d)| z - d);
            Nested {
                well,
                at: geo::Coord {
                    x: n("utm12n_e_m").expect("an easting"),
                    y: n("utm12n_n_m").expect("a northing"),
                },
                head_m: metres("head_ft_navd88").expect("a head"),
                sd_m: 0.006,
                screen_m: port.map(|z| (z - 0.15, z + 0.15)),
            }
        })
        .collect();
    assert_eq!(nested.len(), 57);
    let (found, none) = vertical_gradients(&nested, 1.0);
    assert_eq!(found.len() + none.len(), 54, "{none:?}");
    for g in &found {
        let (upper, lower) = (&nested[g.upper], &nested[g.lower]);
        near(g.gradient * g.distance_m, lower.head_m - upper.head_m, 1e-9);
        assert!(upper.screen_m.expect("a screen").0 > lower.screen_m.expect("a screen").0);
    }
}

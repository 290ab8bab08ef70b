//! The library by its face alone, in every build of it: sites in memory, in local coordinates, and what a
//! build without PROJ or GDAL says.

#![expect(clippy::disallowed_methods, reason = "tests make files")]

use std::sync::Arc;

use headfall::diag::{Code, Origin};
use headfall::geo::{Coord, Geometry, LineString, Point};
use headfall::read::{GroundSettings, LandSurface, Overrides, Place};
use headfall::{
    Error, LengthUnit, Map, Measurement, Reading, Round, Settings, Site, Well, contour, run,
};

/// Twenty wells on a plane that falls by 5 mm/m to the south and by nothing to the east. Elevations in m.
fn site(settings: &Settings) -> (Site, Round) {
    let (mut wells, mut readings) = (Vec::new(), Vec::new());
    for k in 0..20_u32 {
        let (east, north) = (f64::from(k % 5) * 60.0 + f64::from(k % 3), f64::from(k / 5) * 70.0);
        let id = format!("MW-{}", k + 1);
        wells.push(Well::new(&id, east, north));
        readings.push(Reading::new(&id, Measurement::Elevation(30.0 + 0.005 * north)));
    }
    let round = Round::new("spring", readings, settings);
    (Site::new(settings.clone(), wells), round)
}

fn map(site: Site, round: Round) -> Result<Map, Error> {
    let mut findings = Vec::new();
    let heads = run::reduced(Arc::new(site), Arc::new(round), &mut findings)?;
    run::map(heads, &mut findings)
}

fn local() -> Settings {
    Settings::local("Low Field", LengthUnit::Metre, LengthUnit::Metre)
}

fn near(is: f64, should: f64) {
    assert!((is - should).abs() < 1e-9, "{is} is not {should}");
}

#[test]
fn a_plan_in_local_coordinates_is_mapped() {
    let (site, round) = site(&local());
    let map = map(site, round).expect("a map");
    near(map.flow.plane_gradient, 0.005);
    near(map.flow.plane_azimuth_grid.expect("it slopes").degrees(), 180.0);
    near(map.surface.heads.at(Coord { x: 100.0, y: 100.0 }).expect("between wells"), 30.5);
    for line in &map.contours.lines {
        for p in &line.points {
            near(30.0 + 0.005 * p.y, line.level);
        }
    }
    assert!(!map.contours.lines.is_empty());
    let sure = map.uncertainty.plane.as_ref().expect("twenty wells").stated;
    assert!(sure.resolved && sure.magnitude.low < 0.005 && sure.magnitude.high > 0.005, "{sure:?}");
}

#[test]
fn nobody_knows_true_north_or_the_place_on_earth_of_a_plan() {
    let (site, round) = site(&local());
    let map = map(site, round).expect("a map");
    assert!(map.flow.plane_azimuth_true.is_none() && map.flow.mean.azimuth_true.is_none());
    assert!(map.flow.triangles.iter().all(|t| t.azimuth_true.is_none()));
    assert!(map.flow.over_map.is_some_and(|over| over.azimuths_true.is_none()));
    assert!(map.control.points().iter().all(|p| p.lon_lat.is_none()));
    let mut p = [Coord { x: 1.0, y: 2.0 }];
    let told = map.control.crs().to_lon_lat(&mut p).expect_err("a plan").to_string();
    assert_eq!(told, "local coordinates have no longitude and latitude, and no way to another CRS");
}

#[test]
fn a_plan_in_feet_has_the_gradient_of_one_in_metres() {
    // Positions and heads in feet: the gradient is a number without a unit.
    let (site, round) = site(&Settings::local("Low Field", LengthUnit::Foot, LengthUnit::Foot));
    let map = map(site, round).expect("a map");
    near(map.flow.plane_gradient, 0.005);
    near(map.control.frame().metres_per_unit(), 0.3048);
    // Positions in feet, heads in metres.
    let (site, round) = self::site(&Settings::local("", LengthUnit::Foot, LengthUnit::Metre));
    let map = self::map(site, round).expect("a map");
    near(map.flow.plane_gradient, 0.005 / 0.3048);
}

#[test]
fn the_water_of_a_plan_is_followed() {
    let (mut site, round) = site(&local());
    let place = |name: &str, geometry: Geometry| Place {
        name: name.to_owned(),
        geometry,
        aquifer_unit: None,
        origin: Origin::file("here"),
    };
    site.features.sources.push(place("tank", Point::new(120.0, 180.0).into()));
    let creek = LineString::from(vec![(0.0, 20.0), (240.0, 20.0)]);
    site.features.receptors.push(place("creek", creek.into()));
    let map = map(site, round).expect("a map");
    let toward = run::follow(&map, &mut Vec::new()).expect("paths");
    near(toward.verdicts[0].length_m, 160.0);
}

#[test]
fn positions_that_are_no_numbers_are_refused() {
    for bad in [f64::NAN, f64::INFINITY] {
        let (mut site, round) = site(&local());
        site.wells[3].easting = bad;
        let Err(Error::Check(told)) = map(site, round) else { panic!("{bad} was mapped") };
        assert!(told.iter().any(|d| d.wells == ["MW-4"]), "{told:?}");
    }
}

#[test]
fn local_coordinates_without_a_unit_are_refused() {
    let (mut site, round) = site(&local());
    site.settings.length_unit = None;
    let Err(Error::Check(told)) = map(site, round) else { panic!("mapped") };
    assert_eq!(told[0].code, Code::CrsUnknown);
    assert_eq!(told[0].message, "local coordinates have no unit: give the length unit");
}

#[test]
fn a_table_is_read_and_a_crs_taken_where_proj_is_built_in() {
    let folder = tempfile::tempdir().expect("a folder");
    let table = folder.path().join("heads.csv");
    let rows = "id,easting,northing,elevation (m)\nA,500000,4980000,10\nB,500100,4980000,9\nC,500000,4980100,10\n";
    std::fs::write(&table, rows).expect("a table");
    let overrides = Overrides { crs: Some("EPSG:26915".to_owned()), ..Overrides::default() };
    let heads = run::heads(&table, &overrides, &mut Vec::new());
    if cfg!(feature = "crs") {
        let map = run::map(heads.expect("heads"), &mut Vec::new()).expect("a map");
        assert!((map.flow.plane_gradient - 0.01).abs() < 1e-9);
        assert!(map.flow.plane_azimuth_true.is_some());
    } else {
        let Err(Error::Read(told)) = heads else { panic!("read") };
        assert_eq!(told[0].code, Code::CrsUnknown);
        let words = "the CRS \"EPSG:26915\" cannot be used: this headfall was built without PROJ, which the \
                     feature `crs` adds";
        assert!(told[0].message.ends_with(words), "{}", told[0].message);
    }
}

#[test]
fn a_raster_is_read_where_gdal_is_built_in() {
    let folder = tempfile::tempdir().expect("a folder");
    let raster = "ncols 2\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 300\n35 35\n35 35\n";
    std::fs::write(folder.path().join("land.asc"), raster).expect("a raster");
    let declared = GroundSettings {
        raster: "land.asc".to_owned(),
        unit: LengthUnit::Metre,
        origin: Origin::file("here"),
    };
    let (mut site, round) = site(&local());
    site.land_surface = Some(LandSurface::new(folder.path(), declared));
    let map = map(site, round).expect("a map");
    let followed = run::follow(&map, &mut Vec::new());
    if cfg!(feature = "formats") {
        // Its values are those of the plan, which has no CRS either: ground at 35 m, the head at 30.5 m.
        let ground = followed.expect("the ground alone").ground.expect("a ground");
        near(ground.depth.at(Coord { x: 100.0, y: 100.0 }).expect("inside"), 4.5);
        return;
    }
    let Err(Error::Read(told)) = followed else { panic!("followed") };
    assert!(told[0].message.contains("built without GDAL"), "{}", told[0].message);
}

#[test]
fn a_grid_of_ones_own_is_contoured() {
    use headfall::geom::Areas;
    use headfall::{Grid, GridSpec, Method, Surface};
    let spec = GridSpec { west: 0.0, south: 0.0, cell: 10.0, columns: 3, rows: 3 };
    let heads: Vec<Option<f64>> = (0..9_u32).map(|k| Some(f64::from(k / 3))).collect();
    let surface = Surface::of_nodes(Grid::from_heads(spec, &heads), Method::Linear);
    let unit = LengthUnit::Metre;
    let contours = contour::lines(&surface, &Areas::default(), Some(1.5), 0.0, 0.0, unit);
    let contours = contours.expect("levels").value;
    assert_eq!(contours.levels, [1.5]);
    assert!(contours.lines[0].points.iter().all(|p| (p.y - 15.0).abs() < 1e-9));
}

/// Without longitude and latitude there is no GeoJSON, but sheet, page, layers and tables.
#[cfg(feature = "formats")]
#[test]
fn results_of_a_plan_are_written_without_geojson() {
    let (site, round) = site(&local());
    let map = map(site, round).expect("a map");
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("map");
    let results = headfall::report::Results::of(&map, &[]);
    headfall::write::write(&results, &out).expect("written");
    let names = std::fs::read_dir(&out).expect("results").map(|e| e.expect("an entry").file_name());
    let names: Vec<String> = names.map(|n| n.to_string_lossy().into_owned()).collect();
    assert!(names.iter().any(|n| n == "layers.gpkg"), "{names:?}");
    assert!(!names.iter().any(|n| n.ends_with(".geojson")), "{names:?}");
    #[cfg(feature = "sheet")]
    assert!(headfall::draw::sheet(&results).expect("a sheet").svg().contains("site north"));
    #[cfg(feature = "page")]
    assert!(headfall::page::report(&results).contains("site north"));
}

#[test]
fn the_azimuth_of_site_north_gives_a_plan_true_north() {
    // Flow to 180 from site north, which points 30 degrees east of true north: 210.
    let settings = Settings { site_north_azimuth: Some(30.0), ..local() };
    let (site, round) = site(&settings);
    let map = map(site, round).expect("a map");
    near(map.flow.plane_azimuth_true.expect("it is known").degrees(), 210.0);
    near(map.flow.plane_azimuth_grid.expect("it slopes").degrees(), 180.0);
    near(map.control.convergence_deg().expect("it is known"), 30.0);
    assert!(map.control.points().iter().all(|p| p.lon_lat.is_none()));
}

#[test]
fn a_table_in_local_coordinates_is_read_in_every_build() {
    let folder = tempfile::tempdir().expect("a folder");
    let table = folder.path().join("heads.csv");
    let rows = "id,x (ft),y (ft),elevation (ft)\nA,0,0,10\nB,100,0,9\nC,0,100,10\n";
    std::fs::write(&table, rows).expect("a table");
    let overrides = Overrides { crs: Some("local".to_owned()), ..Overrides::default() };
    let heads = run::heads(&table, &overrides, &mut Vec::new()).expect("heads");
    let map = run::map(heads, &mut Vec::new()).expect("a map");
    near(map.flow.plane_gradient, 0.01);
    near(map.flow.plane_azimuth_grid.expect("it slopes").degrees(), 90.0);
}

//! Rasters of the ground through GDAL to elevations at places.
#![no_main]

use std::sync::OnceLock;

use geo::Coord;
use headfall::diag::Origin;
use headfall::geom::Crs;
use headfall::read::{GroundSettings, LandSurface};
use headfall::units::LengthUnit;
use headfall_fuzz::{Folder, parts, refused};

/// Endings of the rasters, and of what may stand beside them.
const NAMED: [&str; 3] = ["land.tif", "land.asc", "land.img"];
const BESIDE: [&str; 10] = [
    "land.prj",
    "land.tfw",
    "land.wld",
    "land.ige",
    "land.rrd",
    "land.tif.aux.xml",
    "land.asc.aux.xml",
    "land.img.aux.xml",
    "land.tif.ovr",
    "land.tif.msk",
];

thread_local! {
    static CRS: OnceLock<Crs> = const { OnceLock::new() };
}

libfuzzer_sys::fuzz_target!(|input: &[u8]| {
    let files = parts(input, "land.tif", |name| NAMED.contains(&name) || BESIDE.contains(&name));
    let Some(raster) = NAMED.into_iter().find(|name| files.contains_key(name)) else { return };
    let folder = Folder::of(&files);
    let land = LandSurface::new(folder.path(), GroundSettings {
        raster: raster.to_owned(),
        unit: LengthUnit::Metre,
        origin: Origin::file("site.toml"),
    });
    let places: Vec<Coord> = (0..12)
        .map(|k| Coord {
            x: 478_000.0 + f64::from(k % 4) * 37.0,
            y: 4_977_000.0 + f64::from(k / 4) * 41.0,
        })
        .collect();
    CRS.with(|crs| {
        let crs = crs.get_or_init(|| Crs::lookup("EPSG:26915").expect("PROJ knows it"));
        match land.at(crs, &places, LengthUnit::Foot) {
            Ok(ground) => assert_eq!(ground.elevations.len(), places.len()),
            Err(error) => refused(&error),
        }
    });
    folder.untouched(&files);
});

//! A site that no file describes: wells and readings in memory, heads at a place, contours, gradient.
//!
//! The heads are those of a plane that falls by 0.5 m over 100 m to the south, and nothing else.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "an example speaks to its user"
)]

use std::sync::Arc;

use headfall::{Error, LengthUnit, Measurement, Reading, Round, Settings, Site, Well, run};

fn main() -> Result<(), Error> {
    let settings = Settings::new("Low Field (invented)", "EPSG:26915", LengthUnit::Metre);
    let (mut wells, mut readings) = (Vec::new(), Vec::new());
    for k in 0..12_u32 {
        let (east, north) = (f64::from(k % 4) * 60.0 + f64::from(k % 3), f64::from(k / 4) * 70.0);
        let id = format!("MW-{}", k + 1);
        wells.push(Well::new(&id, 500_000.0 + east, 4_980_000.0 + north));
        readings.push(Reading::new(&id, Measurement::Elevation(30.0 + 0.005 * north)));
    }
    let round = Round::new("spring", readings, &settings);
    let site = Arc::new(Site::new(settings, wells));

    let mut findings = Vec::new();
    let heads = run::reduced(site, Arc::new(round), &mut findings)?;
    let map = run::map(heads, &mut findings)?;
    println!("gradient {:.4} m/m", map.flow.plane_gradient);
    if let Some(azimuth) = map.flow.plane_azimuth_grid {
        println!("toward {:.0} degrees from grid north", azimuth.degrees());
    }
    let middle = map.control.points()[5].crs;
    println!("head at MW-6's place: {:?} m", map.surface.heads.at(middle));
    for line in &map.contours.lines {
        println!("contour {} m with {} vertices", line.level, line.points.len());
    }
    for finding in &findings {
        println!("{}: {}", finding.code.id(), finding.message);
    }
    Ok(())
}

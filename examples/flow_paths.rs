//! Does it flow toward the creek? A source and a receptor beside wells in memory, in local coordinates, and
//! paths between them.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "an example speaks to its user"
)]

use std::sync::Arc;

use headfall::diag::Origin;
use headfall::geo::{Geometry, LineString, Point};
use headfall::read::Place;
use headfall::{Error, LengthUnit, Measurement, Reading, Round, Settings, Site, Well, run};

fn place(name: &str, geometry: Geometry) -> Place {
    let origin = Origin::file("an example");
    Place { name: name.to_owned(), geometry, aquifer_unit: None, origin }
}

fn main() -> Result<(), Error> {
    let settings = Settings::local("Low Field (invented)", LengthUnit::Metre, LengthUnit::Metre);
    let (mut wells, mut readings) = (Vec::new(), Vec::new());
    for k in 0..20_u32 {
        let (east, north) = (f64::from(k % 5) * 60.0 + f64::from(k % 3), f64::from(k / 5) * 70.0);
        let id = format!("MW-{}", k + 1);
        wells.push(Well::new(&id, east, north));
        readings.push(Reading::new(&id, Measurement::Elevation(30.0 + 0.005 * north)));
    }
    let round = Round::new("spring", readings, &settings);
    let mut site = Site::new(settings, wells);
    let tank = Point::new(120.0, 180.0);
    let creek = LineString::from(vec![(0.0, 20.0), (240.0, 20.0)]);
    site.features.sources.push(place("tank", tank.into()));
    site.features.receptors.push(place("creek", creek.into()));

    let mut findings = Vec::new();
    let heads = run::reduced(Arc::new(site), Arc::new(round), &mut findings)?;
    let map = run::map(heads, &mut findings)?;
    let toward = run::follow(&map, &mut findings)?;
    for verdict in &toward.verdicts {
        let [source, receptor] =
            [verdict.source, verdict.receptor].map(|place| toward.places[place].name.as_str());
        let (outcome, length) = (verdict.outcome.words(), verdict.length_m);
        println!("water from the {source} {outcome} the {receptor} after {length:.0} m");
    }
    Ok(())
}

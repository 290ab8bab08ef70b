//! The sites of the table. All are invented.

use geo::{Coord, LineString, Point};
use headfall::LengthUnit;
use headfall::read::PumpedWell;
use headfall::units::Span;

use super::case::{Case, Truth};
use super::heads::{
    HALF_PLATE_M, PUMP, RATE, TRANSMISSIVITY, between_ditches, gaining, gaining_then_losing, jump,
    plate, pumped, pumped_in_feet, stagnation, to_a_drain, uniform, width,
};
use super::way::{Heads, down};
use crate::Random;

/// Conductivity 10 m/d and an effective porosity of a quarter.
const SAND: [f64; 2] = [10.0, 0.25];

pub(crate) fn c(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

/// A line from south to north.
fn fence(x: f64, [south, north]: [f64; 2]) -> LineString {
    LineString(vec![c(x, south), c(x, north)])
}

/// Wells at the corners of a rectangle and by lot within, none nearer to another than a third of the spacing of as many
/// on a lattice.
fn by_lot(count: usize, [west, east]: [f64; 2], [south, north]: [f64; 2], seed: u64) -> Vec<Coord> {
    let mut random = Random::new(seed);
    let mut wells = vec![c(west, south), c(east, south), c(west, north), c(east, north)];
    let apart = ((east - west) * (north - south) / count as f64).sqrt() / 3.0;
    while wells.len() < count {
        let p = c(random.between(west, east).round(), random.between(south, north).round());
        if wells.iter().all(|w| libm::hypot(w.x - p.x, w.y - p.y) > apart) {
            wells.push(p);
        }
    }
    wells
}

/// Days from a place to where it comes beyond, m from west to east.
fn days_to_x(heads: Heads, of: [f64; 2], start: Coord, x: f64) -> f64 {
    down(heads, of, start, |p| p.x >= x).expect("it arrives").1
}

/// Days from a place to within so many metres of another.
fn days_to(heads: Heads, of: [f64; 2], start: Coord, end: Coord, within: f64) -> f64 {
    let there = |p: Coord| libm::hypot(p.x - end.x, p.y - end.y) <= within;
    down(heads, of, start, there).expect("it arrives").1
}

/// A plane: everything is exact on it.
fn plane() -> Case {
    let (tank, well) = (c(100.0, 210.0), c(400.0, 210.0));
    let [k, n] = SAND;
    let days = |metres: f64| metres * n / (k * 0.005);
    Case::new("uniform flow", SAND, uniform, &by_lot(30, [0.0, 500.0], [0.0, 400.0], 1))
        .with(|site| site.settings.receptors.toward.capture_distance = Some(5.0))
        .source("tank", tank)
        .receptor("supply", Point(well))
        .receptor("fence", fence(450.0, [0.0, 400.0]))
        .receptor("aside", Point(c(300.0, 260.0)))
        .receptor("behind", fence(40.0, [100.0, 300.0]))
        .asks("tank", "supply", Truth::Arrives(days(295.0)), true)
        .asks("tank", "fence", Truth::Arrives(days(350.0)), true)
        .asks("tank", "aside", Truth::Stays, true)
        .asks("tank", "behind", Truth::FlowsAway, true)
}

/// One low well among others that err by 6 cm: heads and places of an invented round.
fn one_low_well() -> Case {
    const WELLS: [(f64, f64, f64); 24] = [
        (0.0, 0.0, 99.964_317),
        (0.0, 97.9, 100.062_361),
        (0.0, 195.4, 100.109_071),
        (0.0, 300.0, 99.976_889),
        (111.2, 0.0, 99.958_737),
        (86.3, 109.1, 99.828_18),
        (105.9, 189.7, 99.839_221),
        (113.8, 300.0, 99.953_456),
        (204.9, 0.0, 99.829_442),
        (196.8, 93.3, 99.691_088),
        (194.0, 201.8, 99.818_985),
        (189.2, 300.0, 99.819_075),
        (308.1, 0.0, 99.671_875),
        (305.4, 102.5, 99.742_145),
        (306.9, 205.2, 99.662_565),
        (289.5, 300.0, 99.801_015),
        (411.0, 0.0, 99.570_093),
        (413.9, 103.6, 99.667_638),
        (386.7, 206.0, 99.619_641),
        (404.5, 300.0, 99.599_788),
        (500.0, 0.0, 99.559_509),
        (500.0, 96.6, 99.540_132),
        (500.0, 214.7, 99.570_211),
        (500.0, 300.0, 99.479_353),
    ];
    // Without the errors the water goes 370 m to the river at 0.001.
    let [k, n] = SAND;
    let mut case = Case::new("one low well by scatter", SAND, |p| 100.0 - 0.001 * p.x, &[]);
    for (i, (x, y, head)) in WELLS.into_iter().enumerate() {
        case = case.well(&format!("W-{i}"), c(x, y), head);
    }
    case.source("tank", c(110.0, 150.0))
        .receptor("river", fence(480.0, [0.0, 300.0]))
        .with(|site| {
            let aquifer = &mut site.settings.receptors.aquifer;
            aquifer.conductivity_m_per_day = Some(Span::of(5.0, 20.0));
            aquifer.effective_porosity = Some(Span::of(0.2, 0.3));
        })
        .asks("tank", "river", Truth::ArrivesUnseen(370.0 * n / (k * 0.001)), true)
}

/// Wells about a pumped one that nobody read, as a site would have them.
fn about_the_pump() -> Vec<Coord> {
    let mut wells = by_lot(56, [0.0, 1400.0], [0.0, 1600.0], 2);
    wells.retain(|p| libm::hypot(p.x - PUMP.x, p.y - PUMP.y) > 20.0);
    let ring =
        [(15.0, 0.0), (-15.0, 26.0), (-15.0, -26.0), (52.0, 30.0), (0.0, -60.0), (-52.0, 30.0)];
    wells.extend(ring.iter().map(|(x, y)| PUMP + c(*x, *y)));
    wells
}

fn pump() -> Case {
    let (inside, edge) = (c(300.0, 900.0), c(300.0, 1210.0));
    let (near, beyond, outside) = (c(1050.0, 820.0), c(1150.0, 800.0), c(300.0, 1400.0));
    let captured = |start| Truth::Arrives(days_to(pumped, SAND, start, PUMP, 10.0));
    let passes = |start| Truth::Arrives(days_to_x(pumped, SAND, start, 1350.0));
    Case::new("pumped", SAND, pumped, &about_the_pump())
        .pumped("PW", PUMP, RATE, TRANSMISSIVITY)
        .with(|site| site.settings.receptors.toward.capture_distance = Some(10.0))
        .source("inside", inside)
        .source("edge", edge)
        .source("near", near)
        .source("beyond", beyond)
        .source("outside", outside)
        .receptor("well", Point(PUMP))
        .receptor("fence", fence(1350.0, [0.0, 1600.0]))
        .asks("inside", "well", captured(inside), true)
        .asks("edge", "well", captured(edge), true)
        .asks("near", "well", captured(near), true)
        .asks("near", "fence", Truth::Stays, true)
        .asks("beyond", "well", Truth::Stays, true)
        .asks("beyond", "fence", passes(beyond), true)
        .asks("outside", "fence", passes(outside), true)
}

/// The zone in closed form, from wells that lie about the pumped one in different ways.
fn zones() -> Vec<Case> {
    let about = |west: f64, east: f64, wide: f64, seed: u64| {
        let (x, y) = ([PUMP.x + west, PUMP.x + east], [PUMP.y - wide, PUMP.y + wide]);
        let mut wells = by_lot(40, x, y, seed);
        wells.retain(|p| libm::hypot(p.x - PUMP.x, p.y - PUMP.y) > 10.0);
        wells
    };
    let networks = [
        ("pumped, wells all round", about(-600.0, 600.0, 600.0, 3)),
        ("pumped, wells mostly up", about(-1000.0, 150.0, 500.0, 4)),
        ("pumped, wells mostly down", about(-150.0, 1000.0, 500.0, 5)),
        ("pumped, wells about the plant", about(-150.0, 150.0, 150.0, 6)),
    ];
    let case = |(name, wells): (&'static str, Vec<Coord>)| {
        Case::new(name, SAND, pumped, &wells)
            .pumped("PW", PUMP, RATE, TRANSMISSIVITY)
            .measures(
                "to the stagnation point",
                |zone| zone.closed_form.map(|z| z.to_stagnation),
                stagnation(),
                true,
            )
            .measures("width far up", |zone| zone.closed_form.map(|z| z.width_far), width(), true)
    };
    networks.into_iter().map(case).collect()
}

/// A site in feet: 50 gpm from a well that nobody read.
fn in_feet() -> Case {
    const FOOT_M: f64 = 0.3048;
    const GPM_M3_PER_DAY: f64 = 3.785_411_784e-3 * 1440.0;
    let (k, n) = (133.7, 0.25);
    let (sump, well) = (c(-100.0, 10.0), c(0.0, 0.0));
    let mut wells = by_lot(30, [-150.0, 150.0], [-100.0, 100.0], 13);
    wells.retain(|p| libm::hypot(p.x, p.y) > 12.0);
    let days = days_to(pumped_in_feet, [k, n], sump, well, 4.0);
    Case::new("feet", [k * FOOT_M, n], pumped_in_feet, &wells)
        .with(|site| {
            site.settings.length_unit = Some(LengthUnit::Foot);
            site.settings.elevation_unit = LengthUnit::Foot;
            site.settings.receptors.toward.capture_distance = Some(4.0);
        })
        .pumped("EW-1", well, 50.0, k * 80.0 * FOOT_M * FOOT_M)
        .with(|site| {
            site.settings.receptors.aquifer.rate_m3_per_day = Some(GPM_M3_PER_DAY);
        })
        .source("sump", sump)
        .receptor("well", Point(well))
        .receptor("fence", fence(140.0, [-90.0, 90.0]))
        .asks("sump", "well", Truth::Arrives(days), true)
        .asks("sump", "fence", Truth::Stays, true)
}

/// Networks by lot that end 300 m downgradient, with a source 70 m beyond the stagnation point.
pub(crate) fn ends_near_the_pump(seed: u64) -> Case {
    let (x, y) = ([PUMP.x - 600.0, PUMP.x + 300.0], [PUMP.y - 450.0, PUMP.y + 450.0]);
    let mut wells = by_lot(40, x, y, 100 + seed);
    wells.retain(|p| libm::hypot(p.x - PUMP.x, p.y - PUMP.y) > 10.0);
    let source = PUMP + c(stagnation() + 70.0, 0.0);
    Case::new("pumped, a network that ends near", SAND, pumped, &wells)
        .pumped("PW", PUMP, RATE, TRANSMISSIVITY)
        .source("beyond", source)
        .receptor("well", Point(PUMP))
        .asks("beyond", "well", Truth::Stays, true)
}

/// Two steps of a way before the middle of the streams, m: beyond, its stages lie on both banks.
const BANK_Y: f64 = 200.2;

/// A stream through the middle that gains from both banks.
fn creek() -> Case {
    let creek = [c(0.0, 200.0), c(800.0, 200.0)];
    let tank = c(150.0, 330.0);
    let days = down(gaining, SAND, tank, |p| p.y <= BANK_Y).expect("it arrives").1;
    Case::new("creek that gains", SAND, gaining, &by_lot(48, [0.0, 800.0], [0.0, 400.0], 7))
        .stream("Creek", creek, [100.0, 99.2])
        .source("tank", tank)
        .receptor("Creek", LineString(creek.to_vec()))
        .receptor("intake", Point(c(700.0, 200.0)))
        .receptor("across", Point(c(400.0, 120.0)))
        .receptor("east line", fence(790.0, [0.0, 400.0]))
        .asks("tank", "Creek", Truth::Arrives(days), true)
        // Down the creek it is the creek's water.
        .asks("tank", "intake", Truth::Stays, true)
        .asks("tank", "across", Truth::Stays, true)
        .asks("tank", "east line", Truth::Stays, true)
}

/// The same on a smooth surface.
fn creek_kriged() -> Case {
    let creek = [c(0.0, 200.0), c(800.0, 200.0)];
    let tank = c(150.0, 330.0);
    let days = down(gaining, SAND, tank, |p| p.y <= BANK_Y).expect("it arrives").1;
    Case::new(
        "creek that gains, kriging",
        SAND,
        gaining,
        &by_lot(48, [0.0, 800.0], [0.0, 400.0], 7),
    )
    .kriged()
    .stream("Creek", creek, [100.0, 99.2])
    .source("tank", tank)
    .receptor("Creek", LineString(creek.to_vec()))
    .receptor("east line", fence(790.0, [0.0, 400.0]))
    .asks("tank", "Creek", Truth::Arrives(days), true)
    .asks("tank", "east line", Truth::Stays, true)
}

/// A stream that gains up to half way and loses beyond.
fn creek_that_turns() -> Case {
    let creek = [c(0.0, 200.0), c(1000.0, 200.0)];
    let (north, south) = (c(150.0, 330.0), c(800.0, 190.0));
    let gains = down(gaining_then_losing, SAND, north, |p| p.y <= BANK_Y).expect("it arrives").1;
    let loses = down(gaining_then_losing, SAND, south, |p| p.y <= 60.0).expect("it arrives").1;
    let wells = by_lot(60, [0.0, 1000.0], [0.0, 400.0], 8);
    let across = |y: f64| LineString(vec![c(0.0, y), c(1000.0, y)]);
    Case::new("creek that gains, then loses", SAND, gaining_then_losing, &wells)
        .stream("Creek", creek, [100.0, 99.0])
        .source("north bank", north)
        .source("south bank", south)
        .receptor("Creek", LineString(creek.to_vec()))
        .receptor("north line", across(370.0))
        .receptor("south line", across(60.0))
        .asks("north bank", "Creek", Truth::ArrivesUnseen(gains), true)
        .asks("north bank", "north line", Truth::Stays, true)
        .asks("south bank", "south line", Truth::ArrivesUnseen(loses), true)
        .asks("south bank", "Creek", Truth::FlowsAway, true)
}

/// A slurry wall across the whole site that holds 1.5 m of water back.
fn whole_wall() -> Case {
    let (west, east) = (c(100.0, 200.0), c(300.0, 200.0));
    let [k, n] = SAND;
    Case::new("wall across the site", SAND, jump, &by_lot(34, [0.0, 500.0], [0.0, 400.0], 9))
        .barrier("Wall", &[c(250.0, -50.0), c(250.0, 450.0)])
        .source("west", west)
        .source("east", east)
        .receptor("river", fence(490.0, [0.0, 400.0]))
        .asks("west", "river", Truth::Stays, true)
        .asks("east", "river", Truth::Arrives(190.0 * n / (k * 0.004)), true)
}

/// A wall that the water goes round.
fn hanging_wall() -> Case {
    let wells: Vec<Coord> = by_lot(60, [-300.0, 300.0], [-200.0, 200.0], 10)
        .into_iter()
        .filter(|p| p.x.abs() > 3.0)
        .collect();
    let sources =
        [("20 m off", c(-20.0, 25.0)), ("60 m off", c(-60.0, 15.0)), ("far", c(-200.0, 30.0))];
    let mut case = Case::new("wall that ends", SAND, plate, &wells)
        .barrier("Wall", &[c(0.0, -HALF_PLATE_M), c(0.0, HALF_PLATE_M)])
        .receptor("river", fence(280.0, [-200.0, 200.0]));
    for (name, at) in sources {
        let days = days_to_x(plate, SAND, at, 280.0);
        case = case.source(name, at).asks(name, "river", Truth::ArrivesUnseen(days), true);
    }
    case
}

/// Recharge between two ditches.
fn divide() -> Case {
    let of = [5.0, 0.25];
    let mut wells: Vec<Coord> = by_lot(46, [20.0, 980.0], [0.0, 450.0], 11);
    for k in 0..4 {
        wells.extend([0.0, 1000.0].map(|x| c(x, 150.0 * f64::from(k))));
    }
    let to_west = down(between_ditches, of, c(90.0, 220.0), |p| p.x <= 1.0).expect("it arrives").1;
    let to_east = |x: f64| days_to_x(between_ditches, of, c(x, 220.0), 999.0);
    Case::new("recharge between ditches", of, between_ditches, &wells)
        .source("at 90", c(90.0, 220.0))
        .source("at 200", c(200.0, 220.0))
        .source("at 500", c(500.0, 220.0))
        .receptor("west ditch", fence(1.0, [0.0, 450.0]))
        .receptor("east ditch", fence(999.0, [0.0, 450.0]))
        .asks("at 90", "west ditch", Truth::ArrivesUnseen(to_west), true)
        .asks("at 90", "east ditch", Truth::Stays, true)
        .asks("at 200", "east ditch", Truth::ArrivesUnseen(to_east(200.0)), true)
        .asks("at 500", "east ditch", Truth::Arrives(to_east(500.0)), true)
}

/// Radial flow to a drain, whose level is read a metre from it.
fn radial() -> Case {
    let drain = c(0.0, 0.0);
    let mut wells: Vec<Coord> = by_lot(40, [-300.0, 300.0], [-300.0, 300.0], 12);
    wells.retain(|p| libm::hypot(p.x, p.y) > 15.0);
    let days = |r: f64| {
        SAND[1] * (r * r - 25.0) / (2.0 * SAND[0] * 400.0 / (std::f64::consts::TAU * 200.0))
    };
    Case::new("radial flow to a drain", SAND, to_a_drain, &wells)
        .well("Drain", drain, to_a_drain(c(1.0, 0.0)))
        .with(|site| {
            site.settings.receptors.toward.capture_distance = Some(5.0);
            let position = None;
            let (well, rate) = ("Drain".to_owned(), None);
            site.pumped_wells.push(PumpedWell { well, position, rate, radius: 1.0 });
        })
        .source("100 m", c(70.0, 71.414))
        .source("200 m", c(-140.0, 142.829))
        .receptor("drain", Point(drain))
        .asks("100 m", "drain", Truth::Arrives(days(100.0)), true)
        .asks("200 m", "drain", Truth::Arrives(days(200.0)), true)
}

/// All sites of the table.
pub(crate) fn all() -> Vec<Case> {
    let mut all = vec![plane(), one_low_well(), pump()];
    all.push(in_feet());
    all.extend(zones());
    all.extend([creek(), creek_kriged(), creek_that_turns(), whole_wall(), hanging_wall()]);
    all.extend([divide(), radial()]);
    all
}

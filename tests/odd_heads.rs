//! Heads that do not fit their neighbours, by simulation with known truth: how often a clean round is
//! told to have one, how often a planted mistake is found, and what explains it.
//!
//! Invented sites in feet and local coordinates, made in memory. The water table is a plane that falls by
//! 0.002 to 0.006 to any side, bent by up to 0.05 ft over half the site, and each head scatters about it.

use std::sync::Arc;

use geo::{Coord, LineString};
use headfall::check;
use headfall::diag::{Code, Diagnostic, Origin};
use headfall::geom::{distance, fit_plane};
use headfall::read::{Barrier, Moment};
use headfall::uncertainty::LinearSurface;
use headfall::units::{Azimuth, brief};
use headfall::{
    LengthUnit, Measurement, MeasuringPoint, Reading, Round, Settings, Site, Well, run,
};
use rayon::prelude::*;

use crate::support::{Random, documented_in, gives, of};

/// The side of a site, ft, and how near wells are to each other at the least.
const SIDE: f64 = 360.0;
const APART: f64 = 40.0;

const WELLS: [usize; 5] = [5, 6, 8, 12, 20];

/// Scatter about the water table, ft.
const SCATTERS: [f64; 3] = [0.01, 0.02, 0.05];

/// Rounds of each kind.
const CLEAN: u64 = 60;
const PLANTED: u64 = 200;

/// Rounds behind the percentages of the table.
const MANY: u64 = 600;

/// A well is clear of its neighbours where their plane gives its head to within so many times the scatter
/// of one head, whichever one more of them is left out.
const CLEAR: f64 = 3.0;

/// Fewer wells than this have none to spare for two wrong ones: the exchange itself must show.
const FEW: usize = 7;

/// An invented round: places, measuring points and depths, ft.
#[derive(Debug, Clone)]
struct Gauged {
    places: Vec<Coord>,
    points: Vec<f64>,
    depths: Vec<f64>,
}

fn hundredths(v: f64) -> f64 {
    (v * 100.0).round() / 100.0
}

impl Gauged {
    fn new(wells: usize, scatter: f64, random: &mut Random) -> Self {
        let places = loop {
            let places = places(wells, random);
            if spread(&places) > 0.3 {
                break places;
            }
        };
        let (turn, bent) = (random.between(0.0, 360.0), random.between(0.0, 360.0));
        let (fall, bend) = (random.between(0.002, 0.006), random.between(-0.05, 0.05));
        let along = |p: &Coord, degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            (p.x - SIDE / 2.0) * cos + (p.y - SIDE / 2.0) * sin
        };
        let (mut points, mut depths) = (Vec::new(), Vec::new());
        for p in &places {
            let half = along(p, bent) / (SIDE / 2.0);
            let head =
                87.0 - fall * along(p, turn) + bend * half * half + scatter * random.normal();
            let point = hundredths(head + random.between(5.0, 12.0));
            points.push(point);
            depths.push(hundredths(point - head));
        }
        Self { places, points, depths }
    }

    fn site(&self) -> (Site, Round) {
        let settings = Settings::local("Simulated", LengthUnit::Foot, LengthUnit::Foot);
        let id = |i: usize| format!("W{i}");
        let well = |i: usize| Well::new(&id(i), self.places[i].x, self.places[i].y);
        let all = 0..self.places.len();
        let mut site = Site::new(settings.clone(), all.clone().map(well).collect());
        for i in all.clone() {
            let point = surveyed(None, self.points[i]);
            site.measuring_points.insert(id(i), vec![point]);
        }
        let reading = |i: usize| Reading::new(&id(i), Measurement::Depth(self.depths[i]));
        let round = Round::new("round", all.map(reading).collect(), &settings);
        (site, round)
    }

    fn told(&self) -> Vec<Diagnostic> {
        let (site, round) = self.site();
        told(site, round)
    }

    /// Whether wrong wells are clear: each of its neighbours, or, of wells too few for that, two by how
    /// large their exchange is.
    fn are_clear(&self, wrong: &[usize]) -> bool {
        match *wrong {
            [a, b] if self.places.len() < FEW => self.exchange_is_clear(a, b),
            _ => wrong.iter().all(|w| self.is_clear(*w, wrong)),
        }
    }

    /// Whether the plane of all wells gives the shift of two heads, one up and the other as much down, to
    /// within [`CLEAR`] times the scatter of one head, whichever one well is left out: then no single wrong
    /// head looks like it. The variance of the coefficient of a column of a regression, from any text on it.
    fn exchange_is_clear(&self, a: usize, b: usize) -> bool {
        (0..self.places.len()).all(|without| {
            let left: Vec<usize> = (0..self.places.len()).filter(|i| *i != without).collect();
            let places: Vec<Coord> = left.iter().map(|i| self.places[*i]).collect();
            let shift = |i: &usize| f64::from(*i == a) - f64::from(*i == b);
            let shifts: Vec<f64> = left.iter().map(shift).collect();
            let Some(plane) = fit_plane(&places, &shifts) else { return false };
            let beside_plane: f64 = plane.residuals.iter().map(|r| r * r).sum();
            beside_plane * CLEAR * CLEAR >= 1.0
        })
    }

    /// Whether a well is clear of its neighbours, those left out that are wrong.
    fn is_clear(&self, well: usize, wrong: &[usize]) -> bool {
        let others: Vec<usize> =
            (0..self.places.len()).filter(|i| *i != well && !wrong.contains(i)).collect();
        others.iter().all(|without| {
            let mut near: Vec<usize> = others.iter().copied().filter(|i| i != without).collect();
            let away = |i: &usize| distance(self.places[*i], self.places[well]);
            near.sort_by(|a, b| away(a).total_cmp(&away(b)));
            near.truncate(10);
            let places: Vec<Coord> = near.iter().map(|i| self.places[*i]).collect();
            let Some(plane) = fit_plane(&places, &vec![0.0; places.len()]) else { return false };
            let d = self.places[well] - plane.centre;
            let [ee, en, nn] = plane.unit_covariance;
            let of_plane = ee * d.x * d.x + 2.0 * en * d.x * d.y + nn * d.y * d.y;
            1.0 + 1.0 / places.len() as f64 + of_plane <= CLEAR * CLEAR
        })
    }
}

fn surveyed(from: Option<&str>, elevation: f64) -> MeasuringPoint {
    let valid_from = from.map(|day| day.parse().expect("a day"));
    MeasuringPoint { valid_from, elevation, origin: Origin::file("a survey") }
}

/// What the checks say.
fn told(site: Site, round: Round) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    let heads = run::reduced(Arc::new(site), Arc::new(round), &mut findings).expect("heads");
    let control =
        check::control(&heads.site, &heads.round, &heads.reduced).expect("control points");
    drop(control.drain_into(&mut findings));
    findings
}

/// The wells that are told not to fit, in order.
fn named(findings: &[Diagnostic]) -> Vec<usize> {
    let mut named: Vec<usize> = [Code::OffNeighbours, Code::UnitMixUp]
        .into_iter()
        .flat_map(|code| findings.iter().filter(move |d| d.code == code))
        .flat_map(|d| &d.wells)
        .map(|id| id[1..].parse().expect("a number"))
        .collect();
    named.sort_unstable();
    named
}

/// Places drawn at random, none too near to another.
fn places(wells: usize, random: &mut Random) -> Vec<Coord> {
    let mut places: Vec<Coord> = Vec::new();
    while places.len() < wells {
        let p = Coord { x: random.between(0.0, SIDE), y: random.between(0.0, SIDE) };
        if places.iter().all(|q| distance(p, *q) > APART) {
            places.push(Coord { x: hundredths(p.x), y: hundredths(p.y) });
        }
    }
    places
}

/// The narrowest over the widest spread of places.
fn spread(places: &[Coord]) -> f64 {
    let count = places.len() as f64;
    let middle = places.iter().fold(Coord { x: 0.0, y: 0.0 }, |sum, p| sum + *p) / count;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in places {
        let d = *p - middle;
        (xx, xy, yy) = (xx + d.x * d.x, xy + d.x * d.y, yy + d.y * d.y);
    }
    let (mean, half) = (f64::midpoint(xx, yy), ((xx - yy) / 2.0).hypot(xy));
    ((mean - half) / (mean + half)).max(0.0).sqrt()
}

/// A mistake that is planted.
#[derive(Debug, Clone, Copy)]
enum Mistake {
    /// A reading is off by 1.00 ft.
    Foot,
    /// The decimal point of a depth is one place off.
    Decimal,
    /// The readings of two wells are exchanged; they differ by 1 ft or more.
    Exchanged,
}

const MISTAKES: [Mistake; 3] = [Mistake::Foot, Mistake::Decimal, Mistake::Exchanged];

impl Mistake {
    /// Plants it; the wells that are wrong then, in order.
    fn plant(self, gauged: &mut Gauged, random: &mut Random) -> Option<Vec<usize>> {
        let count = gauged.depths.len();
        let well = random.below(count);
        let depths = &mut gauged.depths;
        match self {
            Self::Foot => depths[well] += if random.chance(0.5) { 1.0 } else { -1.0 },
            Self::Decimal => {
                let depth = depths[well];
                depths[well] =
                    if random.chance(0.5) { depth * 10.0 } else { hundredths(depth / 10.0) };
            }
            Self::Exchanged => {
                let differs = |i: &usize| (depths[*i] - depths[well]).abs() >= 1.0;
                let others: Vec<usize> = (0..count).filter(differs).collect();
                let other = *others.get(random.below(others.len().max(1)))?;
                depths.swap(well, other);
                let mut both = vec![well, other];
                both.sort_unstable();
                return Some(both);
            }
        }
        Some(vec![well])
    }
}

/// Rounds with a planted mistake: where the wells are clear and all, in how many just these wells are
/// named, and in how many of those the mistake; of a foot, which nothing explains, anything.
#[derive(Debug, Clone, Copy, Default)]
struct Found {
    clear: u64,
    named_clear: u64,
    explained_clear: u64,
    all: u64,
    named_of_all: u64,
}

impl Found {
    fn and(self, other: Self) -> Self {
        Self {
            clear: self.clear + other.clear,
            named_clear: self.named_clear + other.named_clear,
            explained_clear: self.explained_clear + other.explained_clear,
            all: self.all + other.all,
            named_of_all: self.named_of_all + other.named_of_all,
        }
    }

    fn of(mistake: Mistake, wells: usize, scatter: f64, rounds: u64) -> Self {
        let one = |k: u64| {
            let mut random = Random::new(seed(wells, scatter, k) ^ 0x5eed);
            let sound = Gauged::new(wells, scatter, &mut random);
            let mut gauged = sound.clone();
            let Some(wrong) = mistake.plant(&mut gauged, &mut random) else {
                return Self::default();
            };
            let findings = gauged.told();
            let found = u64::from(named(&findings) == wrong);
            let clear = u64::from(gauged.are_clear(&wrong));
            // What a tenth was rounded to is a tenth of something else.
            let written = gauged.depths[wrong[0]];
            let tenth = written < sound.depths[wrong[0]];
            let depth = if tenth { 10.0 * written } else { written / 10.0 };
            let depth = format!("is {} ft", brief(depth));
            let mut told = findings.iter().filter(|d| d.code == Code::OffNeighbours);
            let explained = told.any(|d| match mistake {
                Mistake::Foot => d.message.contains("fits if"),
                Mistake::Decimal => d.message.contains(&depth),
                Mistake::Exchanged => d.wells.len() == 2,
            });
            Self {
                clear,
                named_clear: clear * found,
                explained_clear: clear * found * u64::from(explained),
                all: 1,
                named_of_all: found,
            }
        };
        (0..rounds).into_par_iter().map(one).reduce(Self::default, Self::and)
    }

    /// `98 (120 of 122), 100`: found and explained where clear, %.
    fn words(self) -> String {
        let percent = |part: u64, of: u64| 100.0 * part as f64 / of.max(1) as f64;
        format!(
            "{:.0} of {} | {:.0} | {:.0}",
            percent(self.named_clear, self.clear),
            self.clear,
            percent(self.explained_clear, self.named_clear),
            percent(self.named_of_all, self.all)
        )
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
fn seed(wells: usize, scatter: f64, k: u64) -> u64 {
    wells as u64 * 1_000_000 + (scatter * 1000.0).round() as u64 * 10_000 + k
}

/// Clean rounds in which a head is told not to fit.
fn alarms(wells: usize, scatter: f64, rounds: u64) -> u64 {
    let one = |k: u64| {
        let mut random = Random::new(seed(wells, scatter, k));
        u64::from(!named(&Gauged::new(wells, scatter, &mut random).told()).is_empty())
    };
    (0..rounds).into_par_iter().map(one).sum()
}

/// The scatter beyond those asked for, for the table alone.
const MORE_SCATTER: f64 = 0.1;

/// Where the tables are.
const DOCUMENT: &str = "docs/methods.md";

#[test]
fn clean_rounds_are_left_in_peace() {
    let mut rows = Vec::new();
    for wells in WELLS {
        let told = SCATTERS.map(|scatter| alarms(wells, scatter, CLEAN));
        let many = [SCATTERS[0], SCATTERS[1], SCATTERS[2], MORE_SCATTER].map(|scatter| {
            format!("{:.1}", alarms(wells, scatter, MANY) as f64 * 100.0 / MANY as f64)
        });
        rows.push(format!(
            "| {wells} | {} | {} | {} | {} |",
            told[0],
            told[1],
            told[2],
            many.join(" | ")
        ));
        for (scatter, told) in SCATTERS.into_iter().zip(told) {
            assert!(told * 20 <= CLEAN, "{wells} wells, {scatter} ft: {told} of {CLEAN}");
        }
    }
    documented_in(DOCUMENT, &rows);
}

#[test]
fn planted_mistakes_are_found_where_the_well_is_clear_of_its_neighbours() {
    let mut rows = Vec::new();
    for wells in WELLS {
        for scatter in SCATTERS {
            let found = MISTAKES.map(|mistake| Found::of(mistake, wells, scatter, PLANTED));
            let words = found.map(Found::words);
            rows.push(format!("| {wells} | {scatter} | {} |", words.join(" | ")));
        }
    }
    documented_in(DOCUMENT, &rows);
    for wells in WELLS {
        for mistake in MISTAKES {
            for scatter in SCATTERS {
                let found = Found::of(mistake, wells, scatter, PLANTED);
                assert!(found.clear >= 10, "{wells} wells, {mistake:?}: {found:?}");
                assert!(
                    found.named_clear * 20 >= found.clear * 19,
                    "{wells} wells, {mistake:?}: {found:?}"
                );
            }
        }
    }
}

/// Twelve wells of a fixed round.
fn twelve() -> Gauged {
    Gauged::new(12, 0.02, &mut Random::new(7))
}

/// What is told of odd heads, exactly one finding of so many wells.
#[track_caller]
fn one_of(findings: &[Diagnostic], wells: &[&str]) -> Diagnostic {
    let told = of(Code::OffNeighbours, findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    let mut named: Vec<&str> = told[0].wells.iter().map(String::as_str).collect();
    named.sort_unstable();
    assert_eq!(named, wells);
    told[0].clone()
}

#[test]
fn exchanged_readings_are_one_finding_with_both_wells() {
    let mut gauged = twelve();
    let by_depth = |a: &usize, b: &usize| gauged.depths[*a].total_cmp(&gauged.depths[*b]);
    let (shallow, deep) =
        ((0..12).min_by(by_depth).expect("wells"), (0..12).max_by(by_depth).expect("wells"));
    gauged.depths.swap(shallow, deep);
    let mut names = [format!("W{shallow}"), format!("W{deep}")];
    names.sort();
    let told = one_of(&gauged.told(), &[&names[0], &names[1]]);
    assert!(told.message.contains("both fit"), "{}", told.message);
}

/// A round of few wells with two readings exchanged: the shallowest and the deepest.
fn exchanged(wells: usize, seed: u64) -> (Gauged, [String; 2]) {
    let mut gauged = Gauged::new(wells, 0.02, &mut Random::new(seed));
    let by_depth = |a: &usize, b: &usize| gauged.depths[*a].total_cmp(&gauged.depths[*b]);
    let shallow = (0..wells).min_by(by_depth).expect("wells");
    let deep = (0..wells).max_by(by_depth).expect("wells");
    gauged.depths.swap(shallow, deep);
    let mut names = [shallow, deep].map(|i| format!("W{i}"));
    names.sort();
    (gauged, names)
}

/// Scores from `tests/data/exchanged/score.py`: the coefficient of the shift of two heads in a regression, with
/// NumPy 2.4.6. Bounds: scipy.stats.t.isf(0.02 / (N (N - 1)), N - 2), SciPy 1.17.1.
#[test]
fn exchanged_readings_of_five_and_six_wells_are_one_finding_with_both() {
    for (wells, seed, score, bound) in [(5, 3, "(110.2", "10.2)"), (6, 4, "(138.7", "8.0)")] {
        let (gauged, [a, b]) = exchanged(wells, seed);
        let found = one_of(&gauged.told(), &[&a, &b]);
        assert!(found.message.contains("both fit"), "{}", found.message);
        gives(&found, &[score, bound]);
    }
}

#[test]
fn what_explains_few_heads_as_well_as_an_exchange_is_named_with_it() {
    let mut named = [0_u32; 2];
    for seed in 0..100 {
        let (gauged, [a, b]) = exchanged(5, seed);
        let findings = gauged.told();
        let Some(found) = findings.iter().find(|d| d.wells == [a.as_str(), b.as_str()]) else {
            continue;
        };
        let Some((_, others)) = found.message.split_once("explained as well by") else { continue };
        let kinds = [others.contains(" exchanged"), others.contains(" alone ")];
        if kinds.iter().zip(named).any(|(kind, named)| *kind && named == 0) {
            // Of each kind one is reviewed.
            of(found.code, &findings);
        }
        for (named, kind) in named.iter_mut().zip(kinds) {
            *named += u32::from(kind);
        }
    }
    assert!(named.iter().all(|n| *n > 0), "{named:?}");
}

#[test]
fn an_exchange_needs_depths_that_were_read() {
    let (gauged, [a, b]) = exchanged(6, 4);
    let (site, mut round) = gauged.site();
    for (i, reading) in round.readings.iter_mut().enumerate() {
        reading.measurement = Measurement::Elevation(gauged.points[i] - gauged.depths[i]);
    }
    let findings = told(site, round);
    let pair = |d: &Diagnostic| d.wells.contains(&a) && d.wells.contains(&b);
    assert!(gauged.told().iter().any(pair) && !findings.iter().any(pair), "{findings:#?}");
}

/// Wells on two sides of a barrier say nothing of each other.
#[test]
fn an_exchange_is_not_looked_for_past_a_barrier() {
    let (gauged, [a, b]) = exchanged(6, 4);
    let (mut site, round) = gauged.site();
    let at = |id: &str| gauged.places[id[1..].parse::<usize>().expect("a number")];
    let (middle, along) = ((at(&a) + at(&b)) / 2.0, (at(&b) - at(&a)) / 10.0);
    let aside = Coord { x: -along.y, y: along.x };
    site.features.barriers.push(Barrier {
        name: "wall".to_owned(),
        line: LineString::from(vec![middle - aside, middle + aside]),
        origin: Origin::file("walls"),
    });
    let findings = told(site, round);
    let pair = |d: &Diagnostic| d.wells.contains(&a) && d.wells.contains(&b);
    assert!(!findings.iter().any(pair), "{findings:#?}");
}

#[test]
fn a_moved_decimal_point_is_told_with_the_depth_that_fits() {
    for (well, by) in [(3, 10.0), (4, 0.1)] {
        let mut gauged = twelve();
        let depth = gauged.depths[well];
        gauged.depths[well] = depth * by;
        let told = one_of(&gauged.told(), &[&format!("W{well}")]);
        gives(&told, &[&format!("{} ft", brief(depth))]);
    }
}

#[test]
fn inches_read_as_decimals_are_told_for_sites_in_feet_alone() {
    let mut gauged = twelve();
    // 12 ft 11 in, written 12.11.
    gauged.points[5] = hundredths(gauged.points[5] - gauged.depths[5] + 12.0 + 11.0 / 12.0);
    gauged.depths[5] = 12.11;
    let inches = one_of(&gauged.told(), &["W5"]);
    gives(&inches, &["12.11 ft", "12 ft 11 in"]);
    let (site, round) = gauged.site();
    let metres = |settings: &Settings| Settings {
        elevation_unit: LengthUnit::Metre,
        length_unit: Some(LengthUnit::Metre),
        ..settings.clone()
    };
    let settings = metres(&site.settings);
    let round = Round::new(
        "round",
        round.readings,
        &Settings::local("", LengthUnit::Metre, LengthUnit::Metre),
    );
    let told = one_of(&told(Site { settings, ..site }, round), &["W5"]);
    assert!(!told.message.contains(" in"), "{}", told.message);
}

#[test]
fn an_elevation_of_an_earlier_survey_is_told_where_the_head_fits_with_it() {
    let gauged = twelve();
    let (mut site, mut round) = gauged.site();
    let point = gauged.points[8];
    let surveys =
        vec![surveyed(Some("2019-05-01"), point), surveyed(Some("2025-03-01"), point + 0.6)];
    site.measuring_points.insert("W8".to_owned(), surveys);
    for reading in &mut round.readings {
        reading.moment = Some(Moment::Day("2025-06-01".parse().expect("a day")));
    }
    let told = one_of(&told(site, round), &["W8"]);
    gives(&told, &[&format!("{} ft", brief(point)), "2019-05-01"]);
}

/// A wrong head pulls contours and arrows of its triangles after it. What others do not bear out is drawn
/// as inferred and hollow; the plane through the sound wells is the truth.
#[test]
fn what_rests_on_a_wrong_head_alone_is_inferred_and_hollow() {
    for (wells, seed) in [(12, 7), (8, 3), (5, 20)] {
        let mut gauged = Gauged::new(wells, 0.01, &mut Random::new(seed));
        let well = 2;
        gauged.depths[well] -= 3.0;
        let (site, round) = gauged.site();
        let mut findings = Vec::new();
        let heads = run::reduced(Arc::new(site), Arc::new(round), &mut findings).expect("heads");
        let map = run::map(heads, &mut findings).expect("a map");
        assert_eq!(named(&findings), [well], "{wells} wells");
        let points = map.control.points();
        let sound: Vec<usize> = (0..points.len()).filter(|i| points[*i].id != "W2").collect();
        let places: Vec<Coord> = sound.iter().map(|i| points[*i].local).collect();
        let true_heads: Vec<f64> = sound.iter().map(|i| points[*i].head).collect();
        let truth = fit_plane(&places, &true_heads).expect("a plane");
        let flow = Azimuth::of_vector(-truth.slope.east, -truth.slope.north).expect("it slopes");
        let wrong = points.iter().position(|p| p.id == "W2").expect("on the map");
        let corners: Vec<[usize; 3]> = map.mesh.triangles().iter().map(|t| t.corners).collect();
        let zeros = vec![0.0; points.len()];
        let surface = LinearSurface::new(map.mesh.local(), map.mesh.heads(), &zeros, &corners);
        let (mut solid, mut inferred, mut hollow) = (0, 0, 0);
        for (line, support) in map.contours.lines.iter().zip(&map.uncertainty.contours) {
            for stretch in &support.stretches {
                for p in stretch.points(&line.points) {
                    let p = map.control.frame().to_local(p);
                    let Some((t, _)) = surface.locate(p) else { continue };
                    if !corners[t].contains(&wrong) {
                        continue;
                    }
                    inferred += u32::from(stretch.inferred);
                    if !stretch.inferred {
                        solid += 1;
                        let off = (line.level - truth.at(p)).abs();
                        assert!(
                            off < map.contours.interval.expect("by interval"),
                            "{wells}: {} is {off} off",
                            line.level
                        );
                    }
                }
            }
        }
        for (t, direction) in map.uncertainty.directions.triangles.iter().enumerate() {
            let Some(direction) = direction.filter(|_| corners[t].contains(&wrong)) else {
                continue;
            };
            hollow += u32::from(!direction.known);
            let drawn = map.flow.triangles[t].azimuth_grid.expect("it has a direction");
            assert!(!direction.known || drawn.between(flow) <= 30.0, "{wells}: triangle {t}");
        }
        assert!(inferred > 0 && hollow > 0, "{wells}: {inferred} {hollow}");
        // Four wells tell nothing of the surface between them.
        assert!(wells > 5 || solid == 0, "{wells}: {solid}");
    }
}

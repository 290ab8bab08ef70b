//! Invented sites by chance: networks, water tables, units, projections, methods, and what stands
//! beside the wells.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::process::Output;

use headfall::read::Method;

use crate::support::{Folder, Random, headfall};

/// A projected CRS, m in one of its units, and a place within it, in hundreds: the last one lies on
/// the 180th meridian, and lengths in the last but one are half as long again as on the ground.
const PROJECTIONS: [Projection; 7] = [
    ("EPSG:26915", 1.0, [480_000.0, 4_980_000.0]),
    ("EPSG:2264", 1200.0 / 3937.0, [2_000_000.0, 640_000.0]),
    ("EPSG:3067", 1.0, [395_200.0, 6_875_700.0]),
    ("EPSG:2193", 1.0, [1_515_800.0, 5_460_700.0]),
    ("EPSG:32633", 1.0, [502_000.0, 5_316_300.0]),
    ("EPSG:3857", 1.0, [1_447_100.0, 5_942_000.0]),
    ("EPSG:32660", 1.0, [736_400.0, 4_987_300.0]),
];

type Projection = (&'static str, f64, [f64; 2]);

/// Those in which a metre is no metre.
const UNEVEN: [&str; 2] = ["EPSG:2264", "EPSG:3857"];

#[derive(Debug, Clone, Copy, PartialEq)]
enum Network {
    Random,
    Clustered,
    Strip,
    /// Rows along the axes.
    Lattice,
    /// Rows along the diagonals, so that the outline is straight and no side of it along an axis.
    Diagonal,
}

const NETWORKS: [Network; 5] =
    [Network::Random, Network::Clustered, Network::Strip, Network::Lattice, Network::Diagonal];

/// A site, and what an auditor knows of it beforehand.
pub(super) struct Site {
    folder: Folder,
    /// All that was drawn by lot, to be told where something is wrong.
    pub(super) what: String,
    pub(super) crs: &'static str,
    pub(super) metres_per_unit: f64,
    pub(super) method: &'static str,
    /// The aquifer's base, where the square of the height above it is what is interpolated.
    pub(super) base: Option<f64>,
    pub(super) boundary: bool,
    pub(super) barrier: bool,
}

/// Places and heads of the wells.
struct Wells {
    places: Vec<[f64; 2]>,
    heads: Vec<f64>,
}

impl Site {
    /// The site of a seed; the same on every machine.
    pub(super) fn of(seed: u64) -> Self {
        let mut random = Random::new(seed);
        let method = Method::ALL[usize::try_from(seed).expect("small") % Method::ALL.len()].name();
        let unit = random.one_of(&["m", "ft", "ft-us"]);
        let network = random.one_of(&NETWORKS);
        // In feet, and where lengths are not those on the ground, a straight side of the outline is
        // straight but for rounding.
        let uneven = network == Network::Diagonal && random.chance(0.7);
        let uneven = |p: &&Projection| !uneven || UNEVEN.contains(&p.0);
        let projections: Vec<Projection> = PROJECTIONS.iter().filter(uneven).copied().collect();
        let (crs, metres_per_unit, corner) = random.one_of(&projections);
        // As many small networks as large ones, from 3 to 200 wells; metres to kilometres.
        let count = 3.0 * (200.0_f64 / 3.0).powf(random.uniform());
        let extent = (10_f64.powf(random.between(1.5, 3.6)) / metres_per_unit).round();
        let cell = cell(network, extent, &mut random);
        let places = placed(network, count, extent, cell, corner, &mut random);
        let heads = heads(&places, extent * metres_per_unit, corner, &mut random);
        let wells = Wells { places, heads };
        let few = wells.places.len() < 16;
        let pumped = method == "kriging" && !few && random.chance(0.3);
        let base = (!pumped && random.chance(0.15))
            .then(|| lowest(&wells.heads) - random.between(1.0, 20.0));
        let [boundary, barrier, stream] = [0.25, 0.2, 0.2].map(|part| random.chance(part));
        let folder = Folder::new();
        let mut toml = format!(
            "[site]\nname = \"Lot {seed} (invented)\"\ncrs = \"{crs}\"\nelevation_unit = \"{unit}\"\n\
             vertical_datum = \"of its own\"\n[grid]\nsurface = \"{method}\"\ncell = {cell}\n"
        );
        if let Some(base) = base {
            writeln!(toml, "unconfined_base = {base}").expect("text");
        }
        if method == "kriging" && (few || random.chance(0.5)) {
            let (sill, range) = (if base.is_some() { 400.0 } else { 1.0 }, 0.4 * extent);
            writeln!(
                toml,
                "[kriging]\npartial_sill = {sill}\nrange = {range}\nmodel = \"{}\"",
                random.one_of(&["exponential", "spherical", "matern-3/2"])
            )
            .expect("text");
        }
        if pumped {
            let well = random.below(wells.places.len());
            writeln!(toml, "[[pumped_wells]]\nwell = \"W{well}\"").expect("text");
        }
        let beside = beside([boundary, barrier, stream], crs, &wells, extent, &folder, &mut random);
        writeln!(toml, "[features]\n{beside}").expect("text");
        folder.file("site.toml", toml);
        let mut table = "id,easting,northing,elevation\n".to_owned();
        for (i, ([x, y], h)) in wells.places.iter().zip(&wells.heads).enumerate() {
            writeln!(table, "W{i},{x},{y},{h}").expect("text");
        }
        folder.file("wells.csv", table);
        let what = format!(
            "seed {seed}: {} wells, {network:?}, {method}, {crs}, {unit}, extent {extent}, base {base:?}, \
              boundary {boundary}, barrier {barrier}, stream {stream}, pumped {pumped}",
            wells.places.len()
        );
        Self { folder, what, crs, metres_per_unit, method, base, boundary, barrier }
    }

    pub(super) fn out(&self) -> PathBuf {
        self.folder.path().join("out")
    }

    /// Draws it into [`Self::out`].
    pub(super) fn draw(&self) -> Output {
        headfall(&["draw", "--out"], &[&self.out(), &self.folder.path().join("wells.csv")])
    }
}

/// Some dozens of cells along the site, no round number of them; on a lattice a round one, so that
/// nodes fall on wells and on the sides of triangles.
fn cell(network: Network, extent: f64, random: &mut Random) -> f64 {
    let cell = extent / random.between(30.0, 70.0);
    if matches!(network, Network::Lattice | Network::Diagonal) {
        let round = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
        return round.into_iter().find(|r| *r >= cell).unwrap_or(100.0);
    }
    (cell * 1000.0).round() / 1000.0
}

fn lowest(heads: &[f64]) -> f64 {
    heads.iter().copied().fold(f64::INFINITY, f64::min)
}

/// To a hundredth of the unit, none within half a unit of another.
fn placed(
    network: Network,
    count: f64,
    extent: f64,
    cell: f64,
    corner: [f64; 2],
    random: &mut Random,
) -> Vec<[f64; 2]> {
    let rows = count.sqrt().ceil().max(2.0);
    let step = (extent / rows / cell).ceil() * cell;
    let centres: Vec<[f64; 2]> =
        (0..4).map(|_| [random.uniform() * extent, random.uniform() * extent]).collect();
    let angle = random.between(0.0, std::f64::consts::TAU);
    let mut places: Vec<[f64; 2]> = Vec::new();
    let mut tried = 0.0;
    while (places.len() as f64) < count && tried < 20.0 * count {
        let (column, row) = (tried % rows, (tried / rows).floor());
        let [x, y] = match network {
            Network::Random => [random.uniform() * extent, random.uniform() * extent],
            Network::Clustered => {
                let [x, y] = random.one_of(&centres);
                [x, y].map(|c| c + random.normal() * extent / 15.0)
            }
            Network::Strip => {
                let (along, across) = (random.uniform() * extent, random.uniform() * extent / 12.0);
                let (sin, cos) = angle.sin_cos();
                [along * cos - across * sin, along * sin + across * cos]
            }
            Network::Lattice => [column * step, row * step],
            Network::Diagonal => [(column + row) * step, (row - column) * step],
        };
        tried += 1.0;
        let place = [corner[0] + x, corner[1] + y].map(|c| (c * 100.0).round() / 100.0);
        let apart = |p: &[f64; 2]| (p[0] - place[0]).hypot(p[1] - place[1]) > 0.5;
        if places.iter().all(apart) {
            places.push(place);
        }
    }
    places
}

/// A slope, a bend and the noise of readings, to 0.01; now and then with a plateau in it.
fn heads(places: &[[f64; 2]], extent_m: f64, corner: [f64; 2], random: &mut Random) -> Vec<f64> {
    let level = random.one_of(&[0.0, 0.3, 100.0, 853.27, -12.5]);
    let fall = 10_f64.powf(random.between(-4.0, -1.5)) * extent_m;
    let (sin, cos) = random.between(0.0, std::f64::consts::TAU).sin_cos();
    let (bend, noise) = (random.between(-0.5, 0.5) * fall, random.one_of(&[0.0, 0.02, 0.1]));
    let plateau = random.chance(0.2);
    let reach = places.iter().map(|p| p[0] - corner[0]).fold(1.0, f64::max);
    let of = |p: &[f64; 2], random: &mut Random| {
        let [x, y] = [0, 1].map(|k| (p[k] - corner[k]) / reach - 0.5);
        let up = fall * (cos * x + sin * y) + bend * (x * x - y * y) + noise * random.normal();
        let off = if plateau && up.abs() < 0.2 * fall { 0.0 } else { up };
        ((level + off) * 100.0).round() / 100.0
    };
    places.iter().map(|p| of(p, random)).collect()
}

/// The lines and areas beside the wells, written as well-known text, and the keys that name them.
fn beside(
    [boundary, barrier, stream]: [bool; 3],
    crs: &str,
    wells: &Wells,
    extent: f64,
    folder: &Folder,
    random: &mut Random,
) -> String {
    let count = wells.places.len() as f64;
    let middle = [0, 1].map(|k| wells.places.iter().map(|p| p[k]).sum::<f64>() / count);
    let at =
        |x: f64, y: f64| format!("{:.2} {:.2}", middle[0] + x * extent, middle[1] + y * extent);
    let mut keys = String::new();
    let mut add = |key: &str, more: &str, text: String| {
        folder.file(&format!("{key}.csv"), format!("name,WKT\n{key} of the lot,\"{text}\"\n"));
        writeln!(keys, "{key} = {{ file = \"{key}.csv\", crs = \"{crs}\"{more} }}").expect("text");
    };
    if boundary {
        let corners: Vec<String> = (0..9)
            .map(|i| {
                // Convex, so that no corner of it reaches into a cell whose nodes are all inside.
                let (sin, cos) = (f64::from(i % 8) * std::f64::consts::FRAC_PI_4).sin_cos();
                at(0.41 * cos, 0.36 * sin)
            })
            .collect();
        add("boundary", "", format!("POLYGON(({}))", corners.join(",")));
    }
    if barrier {
        let (y, bend) = (random.between(-0.1, 0.1), random.between(-0.1, 0.1));
        let line = [at(-0.2, y), at(0.013, y + bend), at(0.21, y)];
        add("barriers", "", format!("LINESTRING({})", line.join(",")));
    }
    if stream {
        let low = lowest(&wells.heads);
        let x = random.between(0.55, 0.7);
        let line = [at(x, -0.5), at(x + 0.05, 0.01), at(x, 0.5)];
        let stages = format!(", stage_start = {:.2}, stage_end = {:.2}", low - 0.2, low - 0.5);
        add("streams", &stages, format!("LINESTRING({})", line.join(",")));
    }
    keys
}

//! Whether the rule for inferred contours parts the better places of a map from the worse: each well
//! left out, the rule asked of its place, and its head held against what the map would have said.
//!
//! The heads themselves are the outside truth: sample sites (invented) and the Wolfcamp aquifer
//! (85 wells, `data/wolfcamp/wolfcamp_85.csv`, with its source).

use std::fmt::Write as _;
use std::path::Path;

use geo::Coord;
use headfall::cross_validate::Candidate;
use headfall::geom::{distance, usual_spacing};
use headfall::read::{Method, Overrides};
use headfall::run::{self, Map};
use headfall::uncertainty::{BetweenWells, KnownHeads, LinearSurface, Support};

use crate::support::{Folder, documented, map, rows, sample, text};

/// One well that was left out.
struct LeftOut {
    /// What the rule would be asked of the linear surface.
    place: Support,
    spacing_m: f64,
    /// What the others say of the surface between them, and their places, heads and errors, m.
    between: BetweenWells,
    around: [Vec<f64>; 4],
    at: Coord,
    /// Index of the control point in the map of all wells.
    point: usize,
}

impl LeftOut {
    /// How far off another surface's head may be here, m.
    fn sd_m(&self, head_m: f64) -> Option<f64> {
        let [x, y, heads, sds] = &self.around;
        let places: Vec<Coord> = x.iter().zip(y).map(|(x, y)| Coord { x: *x, y: *y }).collect();
        let known = KnownHeads { places: &places, heads, sds };
        Some(self.between.mean_square_about(known, self.at, head_m)?.sqrt())
    }
}

/// The map of a folder.
fn mapped(folder: &Path) -> Map {
    let (map, findings) = map(folder, &Overrides::default());
    map.unwrap_or_else(|e| panic!("{e} {findings:#?}"))
}

/// Each well and gauge of a site left out in turn, where a triangle of the others holds its place.
fn left_out(site: &Path, round: &str, all: &Map, some: usize) -> Vec<LeftOut> {
    let path = site.join("rounds").join(format!("{round}.csv"));
    let whole = text(&path);
    let points = all.control.points();
    let read = (0..points.len()).filter(|i| points[*i].well().is_some());
    let found = read
        .step_by(some)
        .filter_map(|point| {
            let id = points[point].id.as_str();
            let of_other = |line: &&str| line.split([',', ';']).next() != Some(id);
            let others: Vec<&str> = whole.lines().filter(of_other).collect();
            assert!(others.len() < whole.lines().count(), "{id} has a row");
            std::fs::write(&path, others.join("\n") + "\n").expect("a round");
            asked(&mapped(site), points[point].local, point)
        })
        .collect();
    std::fs::write(&path, whole).expect("a round");
    found
}

/// What the rule is asked at a place of a map without a well.
fn asked(map: &Map, at: Coord, point: usize) -> Option<LeftOut> {
    let metres = map.control.elevation_unit().metres();
    let mesh = &map.mesh;
    let corners: Vec<[usize; 3]> = mesh.triangles().iter().map(|t| t.corners).collect();
    let sds: Vec<f64> = map.uncertainty.heads.iter().map(|h| h.sd_m).collect();
    let heads_m: Vec<f64> = mesh.heads().iter().map(|h| h * metres).collect();
    let surface = LinearSurface::new(mesh.local(), &heads_m, &sds, &corners);
    let (triangle, weights) = surface.locate(at)?;
    let wells = map.control.wells();
    let some = |of: &dyn Fn(usize) -> f64| wells.iter().map(|i| of(*i)).collect::<Vec<f64>>();
    let places: Vec<Coord> = wells.iter().map(|i| mesh.local()[*i]).collect();
    let (heads, errors) = (some(&|i| heads_m[i]), some(&|i| sds[i]));
    let known = KnownHeads { places: &places, heads: &heads, sds: &errors };
    let between = BetweenWells::of(known, usual_spacing(&places)).expect("enough wells");
    let triangle = &mesh.triangles()[triangle];
    let corners = mesh.corners(triangle);
    let sides = between.along_sides(corners);
    let readings = surface.sd_at(at).expect("in a triangle");
    let variance = readings * readings + between.about_plane(corners, weights, sides);
    let nearest = places.iter().map(|p| distance(*p, at)).fold(f64::INFINITY, f64::min);
    let mut near: Vec<usize> = (0..mesh.local().len()).collect();
    let fits = |i: &usize| map.control.points()[*i].leave_one_out.is_none_or(|l| !l.off);
    near.retain(fits);
    let away = |i: &usize| distance(mesh.local()[*i], at);
    near.sort_by(|a, b| away(a).total_cmp(&away(b)));
    near.truncate(between.nearest);
    let of = |of: &dyn Fn(usize) -> f64| near.iter().map(|i| of(*i)).collect::<Vec<f64>>();
    let around = [
        of(&|i| mesh.local()[i].x),
        of(&|i| mesh.local()[i].y),
        of(&|i| heads_m[i]),
        of(&|i| sds[i]),
    ];
    let place = Support {
        to_nearest_well_m: nearest,
        in_marked_triangle: triangle.is_thin(),
        on_judged: false,
        beyond_heads: false,
        on_unfit_head: false,
        sd: Some(variance.sqrt() / metres),
    };
    let spacing_m = map.uncertainty.mean_spacing_m;
    Some(LeftOut { place, spacing_m, between, around, at, point })
}

/// Wells, how many of them stand where contours would be solid, and how many of the solid and of the
/// dashed lie within half an interval.
#[derive(Debug, Default, Clone, Copy)]
struct Parted {
    wells: u32,
    solid: u32,
    solid_within: u32,
    dashed_within: u32,
}

impl Parted {
    fn solid_percent(self) -> f64 {
        100.0 * f64::from(self.solid_within) / f64::from(self.solid)
    }

    fn dashed_percent(self) -> f64 {
        100.0 * f64::from(self.dashed_within) / f64::from(self.wells - self.solid)
    }
}

/// The rule with one interval, for each method.
fn parted(site: &Path, round: &str, some: usize, interval: f64) -> Vec<(Candidate, Parted)> {
    let all = mapped(site);
    let left_out = left_out(site, round, &all, some);
    let compared =
        run::cross_validate(site, &Overrides::default(), &mut Vec::new()).expect("a comparison");
    let rule = all.site.settings.uncertainty.inferred;
    let metres = all.control.elevation_unit().metres();
    let of = |candidate: Candidate| {
        let method =
            compared.comparison.methods.iter().find(|m| m.candidate == candidate).expect("all");
        let outcome = method.outcome.as_ref().ok()?;
        let mut parted = Parted::default();
        for well in &left_out {
            let Some(prediction) = outcome.predictions[well.point] else { continue };
            let sd = match candidate.method {
                Method::Linear => well.place.sd,
                _ => well.sd_m(prediction.head * metres).map(|sd| sd / metres),
            };
            let solid = !rule.applies(&Support { sd, ..well.place }, well.spacing_m, interval);
            let within = prediction.residual.abs() <= interval / 2.0;
            parted.wells += 1;
            parted.solid += u32::from(solid);
            parted.solid_within += u32::from(solid && within);
            parted.dashed_within += u32::from(!solid && within);
        }
        Some((candidate, parted))
    };
    Candidate::all().into_iter().filter_map(of).collect()
}

/// The Wolfcamp aquifer as a site; heads in feet.
fn wolfcamp() -> Folder {
    let folder = Folder::new();
    let mut register = "id,easting,northing\n".to_owned();
    let mut round = "id,date,elevation\n".to_owned();
    for row in rows("wolfcamp/wolfcamp_85.csv") {
        let number = |key: &str| row[key].parse::<f64>().expect("a number");
        let (x, y) = (1000.0 * number("geoR_x_km"), 1000.0 * number("geoR_y_km"));
        let id = &row["id"];
        writeln!(register, "W-{id},{},{}", 500_000.0 + x, 4_000_000.0 + y).expect("text");
        writeln!(round, "W-{id},1986-01-01,{}", row["head_ft"]).expect("text");
    }
    folder.file("wells.csv", register);
    folder.file("rounds/all.csv", round);
    folder.file(
        "site.toml",
        "[site]\nname = \"Wolfcamp\"\ncrs = \"EPSG:26914\"\nelevation_unit = \"ft\"\n\
         vertical_datum = \"sea level, as published\"\n",
    );
    folder
}

#[test]
fn heads_on_solid_stretches_are_nearer_to_the_map_than_on_dashed_ones() {
    let folder = wolfcamp();
    let mut sure = 0;
    for (candidate, parted) in parted(folder.path(), "all", 1, 500.0) {
        if parted.solid < 5 || parted.solid == parted.wells {
            continue;
        }
        let (solid, dashed) = (parted.solid_percent(), parted.dashed_percent());
        assert!(solid > dashed, "{}: {parted:?}", candidate.name());
        sure += 1;
    }
    assert_eq!(sure, 7, "methods with both kinds");
}

/// Makes the table of `docs/uncertainty.md`.
#[test]
#[ignore = "a map for each well of four sites"]
fn the_table_of_inferred_places_is_the_documented_one() {
    let mut lines = Vec::new();
    let wolf = wolfcamp();
    let [depot, landfill, valley] = ["fuel-depot", "closed-landfill", "river-valley"].map(sample);
    let sites: [(&str, &Path, &str, usize, f64); 6] = [
        ("fuel depot, 0.25 ft", &depot, "2026-04", 1, 0.25),
        ("closed landfill, 0.25 m", &landfill, "2026-05", 1, 0.25),
        ("river valley, 1 m", &valley, "2025-09", 1, 1.0),
        ("river valley, 0.2 m", &valley, "2025-09", 1, 0.2),
        ("Wolfcamp, 200 ft", wolf.path(), "all", 1, 200.0),
        ("Wolfcamp, 500 ft", wolf.path(), "all", 1, 500.0),
    ];
    for (name, site, round, some, interval) in sites {
        for (candidate, p) in parted(site, round, some, interval) {
            let share = |value: f64| {
                if value.is_nan() { "none".to_owned() } else { format!("{value:.0}") }
            };
            lines.push(format!(
                "| {name} | {} | {} | {:.0} | {} | {} |",
                candidate.name(),
                p.wells,
                100.0 * f64::from(p.solid) / f64::from(p.wells),
                share(p.solid_percent()),
                share(p.dashed_percent())
            ));
        }
    }
    documented(&lines);
}

//! All of it for one map.

use geo::Coord;

use super::across;
use super::along;
use super::answer::Verdict;
use super::capture::about;
use super::ends;
use super::fall::MeanGradient;
use super::fast;
use super::ground;
use super::nests;
use super::net::Net;
use super::off;
use super::one_surface::Asked;
use super::pairs::Levels;
use super::path::{Nearness, Way};
use super::place::{Role, SitePlace, TracedPath};
use super::pumped::{self, PumpedZone};
use super::ranking;
use super::spreading;
use super::stream;
use super::target::Target;
use super::travel::Conductor;
use super::types::Toward;
use super::units;
use super::verdict;
use super::walked::Walked;
use crate::check::nested_distance_m;
use crate::diag::{Code, Diagnostic, Origin, Warned, bounded};
use crate::error::Error;
use crate::geom::Slope;
use crate::geom::tolerance::{
    CAPTURE_DISTANCE_SPACINGS, LINE_BEND_SPACINGS, PAIR_DISTANCE_SPACINGS, WATER_DISTANCE_M,
};
use crate::map::Map;
use crate::read::Fact;
use crate::uncertainty::LinearSurface;
use crate::units::brief;

/// Paths that are followed back from a pumped well.
const BACK: u32 = 36;

/// Follows the water of a map from its sources and back from its receptors.
///
/// On the linear surface without barriers paths are exact; on every other they are followed over the
/// grid's smooth surface.
///
/// # Errors
/// [`Error::Map`] with T501 when the site gives nothing to follow, and with T515 when the surface is
/// one of inverse distances; [`Error::Read`] when the land surface cannot be read.
pub fn site(map: &Map) -> Result<Warned<Toward>, Error> {
    let mut said = Vec::new();
    let settings = &map.site.settings.receptors;
    let frame = map.control.frame();
    let metres = map.control.elevation_unit().metres();
    let spacing_m = map.uncertainty.spacing_m;
    let asked = settings.toward;
    let or = |crs: Option<f64>, m: f64| crs.map_or(m, |d| d * frame.metres_per_unit());
    let capture_m = or(asked.capture_distance, CAPTURE_DISTANCE_SPACINGS * spacing_m);
    let pair_m = or(asked.pair_distance, PAIR_DISTANCE_SPACINGS * spacing_m);
    let nested_m = nested_distance_m(&map.site.settings, frame);
    let water_m = or(asked.water_distance, WATER_DISTANCE_M);
    let conductor = conductor(map, &mut said);
    let mesh = &map.mesh;
    let sds: Vec<f64> = map.uncertainty.heads.iter().map(|h| h.sd_m / metres).collect();
    let triangles: Vec<[usize; 3]> = mesh.triangles().iter().map(|t| t.corners).collect();
    let linear = LinearSurface::new(mesh.local(), mesh.heads(), &sds, &triangles);
    let levels = Levels {
        linear: &linear,
        wells: mesh.local(),
        heads: mesh.heads(),
        sds: &sds,
        triangles: &triangles,
    };
    let gauge_m = spacing_m * CAPTURE_DISTANCE_SPACINGS;
    let near = Nearness { capture_m, pair_m, gauge_m, spacing_m };
    let net = Net::new(mesh);
    let surface = Walked::new(map, &net, &levels, near);
    let vertical = nests::vertical(map, nested_m, &mut said);
    let bend_m = LINE_BEND_SPACINGS * spacing_m;
    let mut places = places(map, gauge_m, bend_m);
    let down = |p: Coord| surface.trace(p, Way::Down);
    let pumped = pumped::zones(map, &down, &mut said);
    if places.is_empty()
        && pumped.is_empty()
        && vertical.is_empty()
        && map.site.land_surface.is_none()
    {
        return Err(nothing(said));
    }
    places.extend(pumped.iter().map(|zone| of_pumped(map, zone, capture_m)));
    if !map.surface.method.has(Fact::Directions) && !places.is_empty() {
        return Err(no_directions(said));
    }
    let asked = Asked {
        map,
        net: &net,
        places: &places,
        sources: &verdict::of(&places, Role::Source),
        receptors: &verdict::of(&places, Role::Receptor),
        near,
        sds: &sds,
    };
    let realizations = asked.of_all();
    flows(map, &net, &mut places, &surface, &realizations.directions, &mut said);
    let paths = traced(&places, &surface, conductor.as_ref(), &levels, metres);
    let edge_m = surface.cell_m();
    let conducts = conductor.as_ref();
    let reach = (capture_m, edge_m);
    let verdicts = verdict::verdicts(map, &places, &paths, &realizations, reach, conducts, &levels);
    let strong_vertical = units::strong(map, &vertical).filter(|_| !verdicts.is_empty());
    beside(map, &places, &verdicts, &mut said);
    said.extend(strong_vertical.map(|strong| units::told_strong(map, &vertical, strong)));
    said.extend(ends::told(map, &places, &paths, &surface.bridged()));
    let lines = along::lines(map, &levels, &places, |p| surface.head(p), pair_m);
    let land = map.site.land_surface.as_ref();
    let ground = land.map(|land| ground::compare(map, land, water_m, &mut said)).transpose()?;
    let asked_of = !verdicts.is_empty();
    let ranking = ranking::of(&places, &verdicts);
    let value = Toward {
        places,
        paths,
        verdicts,
        conductor,
        lines,
        across: across::across(map, &levels),
        pumped,
        vertical,
        strong_vertical,
        ranking,
        ground,
        on_triangles: surface.on_triangles(),
        cones: map.site.has_cones(),
        not_drawn: realizations.surfaces.err().filter(|_| asked_of),
        pumped_wells: map.site.pumped_wells.iter().map(|p| p.well.clone()).collect(),
        streams: map.site.features.streams.iter().map(|s| s.name.clone()).collect(),
        edge_m,
        capture_m,
        pair_m,
        nested_m,
        water_m,
    };
    Ok(Warned::new(value, said))
}

/// The place of a pumped well: paths are followed back from about it.
fn of_pumped(map: &Map, zone: &PumpedZone, capture_m: f64) -> SitePlace {
    let frame = map.control.frame();
    let at = geo::Point(frame.to_crs(zone.at)).into();
    SitePlace {
        name: zone.well.clone(),
        role: Role::PumpedWell,
        target: Target::new(&at, frame),
        starts: about(zone.at, 0.5 * capture_m, BACK),
        flow: None,
        other_unit: None,
        stream: None,
        origin: Origin::file("site.toml"),
    }
}

/// What must be known beside the verdicts.
fn beside(map: &Map, places: &[SitePlace], verdicts: &[Verdict], said: &mut Vec<Diagnostic>) {
    disagreements(places, verdicts, said);
    fast::travel_times(map, places, verdicts, said);
    said.extend(places.iter().filter_map(|place| units::told(map, place)));
    said.extend(spreading::told(map, places, verdicts));
}

/// The paths down from sources and up from all other places.
fn traced(
    places: &[SitePlace],
    surface: &Walked<'_>,
    conductor: Option<&Conductor>,
    levels: &Levels,
    metres: f64,
) -> Vec<TracedPath> {
    let mut paths = Vec::new();
    for (place, at) in places.iter().enumerate() {
        let way = if at.role == Role::Source { Way::Down } else { Way::Up };
        paths.extend(surface.traces(&at.starts, way).into_iter().map(|path| {
            let gradient = MeanGradient::of(&path, levels, metres);
            let days = conductor.and_then(|c| c.days(&path, metres));
            let days = days.zip(gradient).map(|(d, g)| g.widened(d));
            TracedPath { place, path, gradient, days }
        }));
    }
    paths
}

/// Sources, then receptors.
fn places(map: &Map, spacing_m: f64, bend_m: f64) -> Vec<SitePlace> {
    let features = &map.site.features;
    let sources = features.sources.iter().map(|p| (p, Role::Source));
    let receptors = features.receptors.iter().map(|p| (p, Role::Receptor));
    sources
        .chain(receptors)
        .map(|(place, role)| {
            let course = stream::through_points(map, &place.geometry, spacing_m);
            let target =
                Target::new(&place.geometry, map.control.frame()).reached_on(course.as_deref());
            SitePlace {
                name: place.name.clone(),
                role,
                starts: target.starts(spacing_m, bend_m),
                target,
                flow: None,
                other_unit: units::other(map, place),
                stream: stream::of(map, &place.geometry, spacing_m),
                origin: place.origin.clone(),
            }
        })
        .collect()
}

/// The flow at each place, and what is to be told of places beyond the map and of sources whose
/// direction is open.
fn flows(
    map: &Map,
    net: &Net,
    places: &mut [SitePlace],
    surface: &Walked<'_>,
    directions: &[Vec<f64>],
    said: &mut Vec<Diagnostic>,
) {
    let metres = map.control.elevation_unit().metres();
    let mut directions = directions.iter();
    for place in places {
        let triangle = place.starts.iter().find_map(|p| net.sloping(*p));
        let drawn = directions.next();
        let mut starts = place.starts.iter().enumerate();
        let slope = starts.find_map(|(i, p)| Some((i, surface.slope(*p)?)));
        place.flow = verdict::flow_at(map, triangle).map(|plane| match slope {
            // Directions of drawn surfaces are those at the first start.
            Some((start, slope)) => {
                let slope = Slope { east: slope.east * metres, north: slope.north * metres };
                let drawn = drawn.filter(|_| start == 0).map(Vec::as_slice);
                verdict::flow_on_surface(plane, slope, drawn)
            }
            None => plane,
        });
        if place.starts.iter().all(|p| net.locate(*p).is_none() && surface.head(*p).is_none()) {
            said.push(off::told(map, place));
        }
        if place.role == Role::Source && place.flow.is_some_and(|f| !f.resolved) {
            said.push(
                Diagnostic::new(
                    Code::DirectionOpen,
                    format!(
                        "the direction of flow at source {} is not resolved: water may flow in \
                         any direction ({})",
                        place.name,
                        map.uncertainty.directions.basis.words()
                    ),
                )
                .at(&place.origin)
                .advice(
                    "do not base a decision on its paths: use the probabilities, measure again \
                     with smaller errors, or add wells around it",
                ),
            );
        }
    }
}

/// T511 for every verdict that most realizations contradict.
fn disagreements(places: &[SitePlace], verdicts: &[Verdict], said: &mut Vec<Diagnostic>) {
    for v in verdicts.iter().filter(|v| v.realizations_agree() == Some(false)) {
        let Some(realizations) = v.realizations else { continue };
        let (source, receptor) = (&places[v.source], &places[v.receptor]);
        let text = format!(
            "source {} and receptor {}: on the map the water {}, but in {} of {} realizations a path \
             reaches the receptor",
            source.name,
            receptor.name,
            v.outcome.words(),
            realizations.reaching,
            realizations.of
        );
        let advice = "the answer depends on what is between the wells: compare other surfaces, and add wells \
                      between source and receptor";
        let found = Diagnostic::new(Code::RoundsDisagree, text);
        said.push(found.at(&source.origin).at(&receptor.origin).advice(advice));
    }
}

/// What velocities rest on, with what is to be told about it.
fn conductor(map: &Map, said: &mut Vec<Diagnostic>) -> Option<Conductor> {
    let aquifer = &map.site.settings.receptors.aquifer;
    let conductor = Conductor::new(aquifer);
    let Some(found) = &conductor else {
        if map.site.features.sources.is_empty() {
            return None;
        }
        let without_porosity = aquifer.material.filter(|_| aquifer.effective_porosity.is_none());
        let advice = without_porosity.map_or_else(
            || "give both as ranges, or a material, under [aquifer] in site.toml".to_owned(),
            |material| {
                format!(
                    "the published ranges have no effective porosity for {material}: give \
                     effective_porosity as a range under [aquifer] in site.toml"
                )
            },
        );
        said.push(
            Diagnostic::new(
                Code::NoVelocity,
                "velocities and travel times need conductivity and effective_porosity",
            )
            .advice(advice),
        );
        return None;
    };
    if let (Some(material), false) = (aquifer.material, aquifer.sources.is_empty()) {
        let k = found.conductivity_m_per_day;
        said.push(
            Diagnostic::new(
                Code::PublishedRange,
                format!(
                    "published ranges for {material} are used, {} orders of magnitude wide in \
                     conductivity: {}",
                    brief(libm::log10(k.high / k.low).ceil()),
                    aquifer.sources.join("; ")
                ),
            )
            .advice("measure them at the site; a slug or pumping test narrows the range"),
        );
    }
    conductor
}

fn no_directions(mut said: Vec<Diagnostic>) -> Error {
    said.push(
        Diagnostic::new(
            Code::NoDirections,
            "paths cannot be traced on an inverse-distance surface: it is level at every well, so \
             its directions come from the weights, not from the groundwater",
        )
        .advice(
            "use another surface, such as --surface linear; `headfall draw` still draws this one",
        ),
    );
    Error::Map(bounded(said))
}

fn nothing(mut said: Vec<Diagnostic>) -> Error {
    said.push(
        Diagnostic::new(
            Code::NothingToFollow,
            "the site has no source, receptor or pumped well, and neither nested wells nor a land \
             surface",
        )
        .advice(
            "declare sources and receptors in site.toml, under [[sources]] and [[receptors]] or \
             as vector files under [features]",
        ),
    );
    Error::Map(bounded(said))
}

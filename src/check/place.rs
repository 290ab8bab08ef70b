//! Where the wells are: the CRS, the axes, the frame.

use std::cmp::Ordering;

use geo::Coord;
use rayon::prelude::*;

use super::grids;
use super::positions::all_at_once;
use super::types::{Carrier, ControlPoint, Place};
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::{Crs, CrsKind, Factors, Frame, tolerance};
use crate::read::Site;
use crate::reduce::WellHead;
use crate::units::{as_given, brief, brief_to};

/// The wells on the ground.
pub(super) struct Placed {
    pub(super) frame: Frame,
    pub(super) factors: Factors,
    pub(super) scale_corrected: bool,
    /// By well of the register.
    pub(super) places: Vec<Option<Place>>,
}

impl Placed {
    /// The control points of some heads, in canonical order.
    pub(super) fn points(&self, site: &Site, heads: &[&WellHead]) -> Vec<ControlPoint> {
        let place = |h: &WellHead| {
            self.places[h.well].expect("this is a bug in headfall: a mapped well has no position")
        };
        // Beside their places: a large map's heads are far apart in memory.
        let mut heads: Vec<(Coord, &WellHead)> = heads.iter().map(|h| (place(h).crs, *h)).collect();
        heads.par_sort_by(|a, b| from_west(a.0, b.0));
        heads
            .into_par_iter()
            .map(|(_, h)| {
                let well = &site.wells[h.well];
                let Place { crs, lon_lat } = place(h);
                ControlPoint {
                    id: well.id.clone(),
                    carrier: Carrier::Read { well: h.well, kind: well.kind },
                    crs,
                    local: self.frame.to_local(crs),
                    lon_lat,
                    head: h.head,
                    depth: h.depth,
                    measuring_point: h.measuring_point,
                    product_thickness: h.product_thickness,
                    moment: h.moment,
                    leave_one_out: None,
                    from_doubtful: false,
                    beside_pumping: None,
                }
            })
            .collect()
    }
}

/// The canonical order of places.
pub(super) fn from_west(a: Coord, b: Coord) -> Ordering {
    a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y))
}

/// Places the wells, or says why they cannot be placed and returns `None`.
pub(super) fn placed(
    site: &Site,
    crs: &Crs,
    heads: &[&WellHead],
    findings: &mut Vec<Diagnostic>,
) -> Option<Placed> {
    if crs.kind() == CrsKind::Geographic {
        findings.push(geographic(site, crs, heads));
        return None;
    }
    if crs.is_turned() {
        findings.push(turned(site, crs, heads));
        return None;
    }
    let given: Vec<Coord> =
        site.wells.iter().map(|w| Coord { x: w.easting, y: w.northing }).collect();
    let source = match &site.settings.coordinates_crs {
        None => None,
        Some(definition) => match Crs::lookup(definition) {
            Ok(source) => Some(source),
            Err(e) => {
                findings.push(Diagnostic::new(Code::CrsUnknown, e.to_string()));
                return None;
            }
        },
    };
    let places = all_at_once(crs, source.as_ref(), &given);
    let mapped: Vec<usize> = heads.iter().map(|h| h.well).collect();
    let swapped = |p: Coord| {
        let turned = Coord { x: p.y, y: p.x };
        all_at_once(crs, source.as_ref(), &[turned])[0]
    };
    findings.extend(plan(site, crs));
    let before = findings.len();
    judge(site, crs, &mapped, &given, &places, &swapped, findings);
    if findings[before..].iter().any(Diagnostic::is_refusal) {
        return None;
    }
    let wells: Vec<Coord> = mapped.iter().filter_map(|w| Some(places[*w]?.crs)).collect();
    let (frame, factors, scale_corrected) = frame(crs, &wells, findings)?;
    let placed = mapped.iter().filter_map(|w| Some((given[*w], places[*w]?.lon_lat?)));
    if let Some(moved) = grids::moved(crs, source.as_ref(), site.settings.elevation_unit, placed) {
        findings.push(moved);
    } else if crs.lon_lat_is_approximate() {
        findings.push(
            Diagnostic::new(
                Code::DatumApproximate,
                format!(
                    "{} \"{}\" is on an older datum: longitude and latitude on WGS 84 were \
                     computed without datum grids and may be off by several metres",
                    crs.definition(),
                    crs.name()
                ),
            )
            .advice(
                "gradients, areas and surface.tif are not affected; if GeoJSON must match other \
                 layers closely, give the datum grid of the area as grids under [crs] in site.toml",
            ),
        );
    }
    Some(Placed { frame, factors, scale_corrected, places })
}

/// C309, C311 and C312: coordinates that do not belong to the CRS.
fn judge(
    site: &Site,
    crs: &Crs,
    mapped: &[usize],
    given: &[Coord],
    places: &[Option<Place>],
    turned: &dyn Fn(Coord) -> Option<Place>,
    findings: &mut Vec<Diagnostic>,
) {
    let outside = |place: Option<Place>| {
        place.map_or(f64::INFINITY, |place| {
            let both = crs.area().zip(place.lon_lat);
            both.map_or(0.0, |(area, lon_lat)| area.degrees_outside(lon_lat))
        })
    };
    let (mut degrees, mut swapped, mut far, mut near) = (vec![], vec![], vec![], vec![]);
    for &well in mapped {
        let off = outside(places[well]);
        if off == 0.0 {
            continue;
        }
        let p = given[well];
        if site.settings.coordinates_crs.is_none() && p.x.abs() <= 180.0 && p.y.abs() <= 90.0 {
            degrees.push(well);
        } else if outside(turned(p)) == 0.0 {
            swapped.push(well);
        } else if off > tolerance::FAR_OUTSIDE_AREA_DEG {
            far.push(well);
        } else {
            near.push(well);
        }
    }
    let area = crs.area().map_or_else(String::new, |a| {
        let [west, east, south, north] = [a.west, a.east, a.south, a.north].map(brief);
        format!(" (longitude {west} to {east}, latitude {south} to {north})")
    });
    let crs_text = format!("{} \"{}\"", crs.definition(), crs.name());
    let mut tell = |code, wells: &[usize], text: &str, advice: String, refuse: bool| {
        let Some(first) = wells.first() else { return };
        let p = given[*first];
        let mut told = Diagnostic::new(
            code,
            format!(
                "{} of {} wells {text}, such as {} at ({}, {}){}",
                wells.len(),
                mapped.len(),
                site.wells[*first].id,
                as_given(p.x),
                as_given(p.y),
                falls(code, places[*first])
            ),
        )
        .advice(advice);
        if refuse {
            told.severity = crate::diag::Severity::Refusal;
        }
        for w in wells {
            told = told.well(&site.wells[*w].id).at(&site.wells[*w].origin);
        }
        findings.push(told);
    };
    tell(
        Code::DegreesAsProjected,
        &degrees,
        &format!("have coordinates that look like degrees, but {crs_text} is projected"),
        "if they are longitude and latitude, rename the headings and declare their CRS as \
         `coordinates_crs` under [site] in site.toml (EPSG:4269 for NAD83, EPSG:4326 for WGS 84)"
            .to_owned(),
        true,
    );
    let swap = if swapped.len() == mapped.len() {
        "easting and northing look swapped: swap the two headings, or declare them under \
         [columns] in site.toml"
            .to_owned()
    } else {
        let ids: Vec<&str> = swapped.iter().map(|w| site.wells[*w].id.as_str()).collect();
        format!(
            "easting and northing look swapped in these rows only: swap the two numbers of {}",
            listed(ids)
        )
    };
    tell(
        Code::AxesSwapped,
        &swapped,
        &format!(
            "lie outside the area of use of {crs_text} as given, but inside it with the two \
             coordinates swapped"
        ),
        swap,
        true,
    );
    tell(
        Code::OutsideArea,
        &far,
        &format!(
            "lie more than {} degrees outside the area of use of {crs_text}{area}",
            tolerance::FAR_OUTSIDE_AREA_DEG
        ),
        "check the coordinates, their unit (metres or feet) and the CRS code".to_owned(),
        true,
    );
    tell(
        Code::OutsideArea,
        &near,
        &format!("lie outside the area of use of {crs_text}{area}"),
        "check the CRS code; distortion increases outside its area of use".to_owned(),
        false,
    );
}

/// Where on earth a well outside the area of use would be.
fn falls(code: Code, place: Option<Place>) -> String {
    let lon_lat = place.and_then(|p| p.lon_lat).filter(|_| code == Code::OutsideArea);
    lon_lat.map_or_else(String::new, |at| {
        format!(", which is longitude {}, latitude {}", brief_to(at.x, 3), brief_to(at.y, 3))
    })
}

/// C310, with a projected CRS to use instead where the coordinates allow one to be named.
fn geographic(site: &Site, crs: &Crs, heads: &[&WellHead]) -> Diagnostic {
    let first = heads.first().map(|h| &site.wells[h.well]).or(site.wells.first());
    let zone = first
        .filter(|w| w.easting.abs() <= 180.0 && w.northing.abs() <= 84.0)
        .map(|w| utm_zone(Coord { x: w.easting, y: w.northing }));
    let mut text = format!(
        "{} \"{}\" is geographic: degrees are not distances, so gradients cannot be calculated",
        crs.definition(),
        crs.name()
    );
    if zone.is_none() && first.is_some() {
        text += ", and the coordinates are not degrees either";
    }
    Diagnostic::new(Code::ProjectedAsDegrees, text).advice(match zone {
        Some(zone) => format!(
            "give a projected CRS as `crs`, such as {zone}, and this one as `coordinates_crs`, \
             under [site] in site.toml"
        ),
        None => "give the projected CRS of the coordinates as `crs`".to_owned(),
    })
}

/// The UTM zone of a place, by its code.
///
/// # Units
/// - `lon_lat`: degrees
fn utm_zone(lon_lat: Coord) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "a zone is 1 to 60")]
    let zone = ((lon_lat.x + 180.0) / 6.0).floor() as i32 % 60 + 1;
    let (base, half) = if lon_lat.y < 0.0 { (32700, "S") } else { (32600, "N") };
    format!("EPSG:{} (WGS 84 / UTM zone {zone}{half})", base + zone)
}

/// C324, with a projected CRS to use instead.
fn turned(site: &Site, crs: &Crs, heads: &[&WellHead]) -> Diagnostic {
    let first = heads.first().map(|h| &site.wells[h.well]).or(site.wells.first());
    let given = first.filter(|_| site.settings.coordinates_crs.is_none());
    let zone = given.and_then(|w| {
        let mut place = [Coord { x: w.easting, y: w.northing }];
        crs.to_lon_lat(&mut place).ok()?;
        Some(utm_zone(place[0]))
    });
    let such_as = zone.map_or(String::new(), |zone| format!(", such as {zone}"));
    Diagnostic::new(
        Code::AxesTurned,
        format!(
            "the coordinates of {} \"{}\" increase to the west or to the south",
            crs.definition(),
            crs.name()
        ),
    )
    .advice(format!(
        "give a projected CRS whose coordinates increase to the east and north as `crs`{such_as}, \
         and {} as `coordinates_crs`, under [site] in site.toml",
        crs.definition()
    ))
}

/// C337: what a map in local coordinates has and has not.
fn plan(site: &Site, crs: &Crs) -> Option<Diagnostic> {
    let unit = site.settings.length_unit.filter(|_| !crs.is_on_earth())?;
    let north = match site.settings.site_north_azimuth {
        Some(deg) => {
            format!("site north is {} degrees clockwise from true north", brief_to(deg, 2))
        }
        None => "directions are from site north, and true north is not known".to_owned(),
    };
    let angle = match site.settings.site_north_azimuth {
        Some(_) => "",
        None => " give site_north_azimuth under [site] in site.toml when the angle is known,",
    };
    let told = Diagnostic::new(
        Code::LocalCoordinates,
        format!(
            "the map is in local coordinates in {unit}: {north}; no GeoJSON is written, whose positions are on \
             WGS 84 by its standard"
        ),
    );
    Some(told.advice(format!(
        "use layers.gpkg, whose CRS is undefined;{angle} or tie wells to a CRS with [[tie]]"
    )))
}

/// The local frame about the middle of the wells, with the projection's scale taken out where it
/// matters (C316).
fn frame(
    crs: &Crs,
    points: &[Coord],
    findings: &mut Vec<Diagnostic>,
) -> Option<(Frame, Factors, bool)> {
    let (mut low, mut high) = (*points.first()?, *points.first()?);
    for p in points {
        low = Coord { x: low.x.min(p.x), y: low.y.min(p.y) };
        high = Coord { x: high.x.max(p.x), y: high.y.max(p.y) };
    }
    let centre =
        Coord { x: f64::midpoint(low.x, high.x).round(), y: f64::midpoint(low.y, high.y).round() };
    let places = [centre, low, high, Coord { x: low.x, y: high.y }, Coord { x: high.x, y: low.y }];
    let factors = match crs.factors(&places) {
        Ok(factors) => factors,
        Err(e) => {
            findings.push(Diagnostic::new(Code::CrsUnknown, e.to_string()));
            return None;
        }
    };
    let scale = factors[0].scale;
    let corrected = (scale - 1.0).abs() > tolerance::SCALE_MATTERS;
    if corrected {
        let spread = factors.iter().map(|f| (f.scale / scale - 1.0).abs()).fold(0.0, f64::max);
        findings.push(Diagnostic::new(
            Code::ScaleCorrected,
            format!(
                "the projection's scale is {} at the site's centre (bound 1 +- {}): distances, areas \
                 and gradients were corrected to the ground; the scale varies by {} over the site",
                brief_to(scale, 6),
                tolerance::SCALE_MATTERS,
                brief_to(spread, 6)
            ),
        ));
    }
    let metres = crs.metres_per_unit() / if corrected { scale } else { 1.0 };
    Some((Frame::new(centre, metres), factors[0], corrected))
}

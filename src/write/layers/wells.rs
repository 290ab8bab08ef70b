//! `wells.geojson`.

use std::collections::BTreeMap;
use std::io;
use std::path::Path;

use serde::Serialize;

use crate::check::{ControlPoint, Place};
use crate::read::Well;
use crate::read::WellKind;
use crate::reduce::ReadingAccount;
use crate::report::Height;
use crate::report::NotUsed;
use crate::report::Posted;
use crate::report::digits;
use crate::units::LengthUnit;
use crate::write::context::Context;
use crate::write::layers::feature::points;

#[derive(Serialize)]
pub(in crate::write) struct Properties<'a> {
    id: &'a str,
    kind: WellKind,
    used: bool,
    sign: &'static str,
    label: String,
    reason: Option<String>,
    aquifer_unit: Option<&'a str>,
    head_m: Option<f64>,
    head_ft: Option<f64>,
    head_sd_m: Option<f64>,
    depth_to_water_m: Option<f64>,
    depth_to_water_ft: Option<f64>,
    measuring_point_elevation_m: Option<f64>,
    measuring_point_elevation_ft: Option<f64>,
    product_thickness_m: Option<f64>,
    product_thickness_ft: Option<f64>,
    read_at: Option<String>,
    leave_one_out_residual_m: Option<f64>,
    leave_one_out_score: Option<f64>,
    plane_residual_m: Option<f64>,
    beside_pumping: Option<&'a str>,
}

/// Writes the control points, then the wells that were not used, by name.
pub(in crate::write) fn wells(context: &Context, path: &Path) -> io::Result<()> {
    points(path, &context.of, rows(context))
}

/// The count of wells, and where each stands with its properties.
pub(in crate::write) fn rows<'a>(
    context: &'a Context<'a>,
) -> (usize, impl Fn(usize) -> (Place, Properties<'a>) + Sync + 'a) {
    let posted = context.results.posted();
    let posted: BTreeMap<&str, Posted> = posted.into_iter().map(|w| (w.id, w)).collect();
    let points = context.results.control.points();
    let of = |i: usize| Some((i, points[i].row(&context.results.site)?, points[i].kind()?));
    let used: Vec<(usize, &Well, WellKind)> = (0..points.len()).filter_map(of).collect();
    // One whose coordinates do not fit the CRS still stands in heads.csv.
    let placed = |aside: NotUsed<'a>| Some((aside.place?, aside));
    let aside: Vec<(Place, NotUsed)> =
        context.results.not_used().into_iter().filter_map(placed).collect();
    (used.len() + aside.len(), move |k| {
        if let Some((i, row, kind)) = used.get(k) {
            let point = &points[*i];
            let place = Place { crs: point.crs, lon_lat: point.lon_lat };
            (place, of_control_point(context, (*i, point), (row, *kind), &posted[&*point.id]))
        } else {
            let (place, aside) = &aside[k - used.len()];
            (*place, of_not_used(context, aside, &posted[&*aside.well.id]))
        }
    })
}

fn of_control_point<'a>(
    context: &Context<'a>,
    (i, p): (usize, &'a ControlPoint),
    (row, kind): (&'a Well, WellKind),
    posted: &Posted,
) -> Properties<'a> {
    let head = context.units.elevation(p.head);
    let depth = p.depth.map(|d| context.units.depth(d));
    let measuring_point = p.measuring_point.map(|e| context.units.elevation(e));
    let product = p.product_thickness.map(|t| context.units.depth(t));
    let to_metres = |h| context.units.elevation.convert(h, LengthUnit::Metre);
    let residual = context.results.flow.plane.residuals.get(i);
    Properties {
        id: &p.id,
        kind,
        used: true,
        sign: posted.sign.name(),
        label: posted.label(context.units.depth),
        reason: None,
        aquifer_unit: row.aquifer_unit.as_deref(),
        head_m: Some(head.m),
        head_ft: Some(head.ft),
        head_sd_m: context.results.measured_sd_m(i).map(digits::height),
        depth_to_water_m: depth.map(|h| h.m),
        depth_to_water_ft: depth.map(|h| h.ft),
        measuring_point_elevation_m: measuring_point.map(|h| h.m),
        measuring_point_elevation_ft: measuring_point.map(|h| h.ft),
        product_thickness_m: product.map(|h| h.m),
        product_thickness_ft: product.map(|h| h.ft),
        read_at: p.moment.map(|m| m.to_string()),
        leave_one_out_residual_m: p.leave_one_out.map(|l| digits::height(to_metres(l.residual))),
        leave_one_out_score: p.leave_one_out.map(|l| digits::ratio(l.score)),
        plane_residual_m: residual.map(|r| digits::height(*r)),
        beside_pumping: p.beside_pumping.map(|w| context.results.site.wells[w].id.as_str()),
    }
}

/// The last reading that has a value speaks for a well that was not used.
fn of_not_used<'a>(context: &Context<'a>, aside: &NotUsed<'a>, posted: &Posted) -> Properties<'a> {
    let last = |value: fn(&ReadingAccount) -> Option<f64>| {
        aside.accounts.iter().rev().find_map(|a| value(a))
    };
    let metres = |h: Option<Height>| h.map(|h| h.m);
    let feet = |h: Option<Height>| h.map(|h| h.ft);
    let head = last(|a| a.head).map(|h| context.units.elevation(h));
    let depth = last(|a| a.corrected_depth).map(|d| context.units.depth(d));
    let measuring_point = last(|a| a.measuring_point).map(|e| context.units.elevation(e));
    let product = last(|a| a.product_thickness).map(|t| context.units.depth(t));
    let readings = &context.results.round.readings;
    Properties {
        id: &aside.well.id,
        kind: aside.well.kind,
        used: false,
        sign: posted.sign.name(),
        label: posted.label(context.units.depth),
        reason: Some(aside.reasons().join("; ")),
        aquifer_unit: aside.well.aquifer_unit.as_deref(),
        head_m: metres(head),
        head_ft: feet(head),
        head_sd_m: None,
        depth_to_water_m: metres(depth),
        depth_to_water_ft: feet(depth),
        measuring_point_elevation_m: metres(measuring_point),
        measuring_point_elevation_ft: feet(measuring_point),
        product_thickness_m: metres(product),
        product_thickness_ft: feet(product),
        read_at: aside
            .accounts
            .iter()
            .filter_map(|a| readings[a.reading].moment)
            .next_back()
            .map(|m| m.to_string()),
        leave_one_out_residual_m: None,
        leave_one_out_score: None,
        plane_residual_m: None,
        beside_pumping: None,
    }
}

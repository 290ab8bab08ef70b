//! Aquifer units other than the one mapped, and water that moves from one to another.

use super::place::SitePlace;
use super::vertical::VerticalGradient;
use crate::check::unit_key;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::STRONG_VERTICAL_RATIO;
use crate::map::Map;
use crate::read::Place;
use crate::units::{brief, round_to_significant};

/// The aquifer unit of a place, where it is not the one mapped.
pub(super) fn other(map: &Map, place: &Place) -> Option<String> {
    let (own, mapped) = (place.aquifer_unit.as_ref()?, map.control.aquifer_unit()?);
    (unit_key(own) != unit_key(mapped)).then(|| own.clone())
}

/// T525 for a place in another aquifer unit than the one mapped.
pub(super) fn told(map: &Map, place: &SitePlace) -> Option<Diagnostic> {
    let own = place.other_unit.as_ref()?;
    let mapped = map.control.aquifer_unit().unwrap_or_default();
    let message = format!(
        "{} {} is in aquifer unit \"{own}\", the map is of \"{mapped}\": whether water flows from one to the \
         other is not answered",
        place.role.word(),
        place.name
    );
    Some(Diagnostic::new(Code::PlaceInOtherUnit, message).at(&place.origin).advice(
        "draw the map of its unit (aquifer_unit under [site]), and compare the heads of nested wells in both units",
    ))
}

/// The steepest vertical gradient whose sign is known, as a multiple of the horizontal gradient of the plane,
/// where it is a large one.
pub(super) fn strong(map: &Map, vertical: &[VerticalGradient]) -> Option<(usize, f64)> {
    let horizontal = map.flow.plane_gradient;
    if horizontal <= 0.0 {
        return None;
    }
    let known = vertical.iter().enumerate().filter(|(_, g)| g.low > 0.0 || g.high < 0.0);
    let (i, steepest) = known.max_by(|a, b| {
        let steep = |g: &VerticalGradient| g.gradient.abs();
        steep(a.1).total_cmp(&steep(b.1)).then(b.0.cmp(&a.0))
    })?;
    let times = steepest.gradient.abs() / horizontal;
    (times > STRONG_VERTICAL_RATIO).then_some((i, times))
}

/// T526 where a vertical gradient is many times the horizontal one.
pub(super) fn told_strong(
    map: &Map,
    vertical: &[VerticalGradient],
    (i, times): (usize, f64),
) -> Diagnostic {
    let g = vertical[i];
    let wells = &map.site.wells;
    let number = |value: f64| brief(round_to_significant(value, 2));
    let message = format!(
        "the vertical gradient between {} and {} is {} {}, {} times the horizontal gradient of {}: water may move \
         from one aquifer unit to another, which the paths on one map do not show",
        wells[g.upper].id,
        wells[g.lower].id,
        number(g.gradient.abs()),
        g.direction(),
        number(times),
        number(map.flow.plane_gradient)
    );
    Diagnostic::new(Code::StrongVertical, message)
        .well(&wells[g.upper].id)
        .well(&wells[g.lower].id)
        .at(&wells[g.upper].origin)
        .at(&wells[g.lower].origin)
        .advice("map each unit by itself, and judge the receptor by the unit it draws from")
}

//! Whether a search radius reaches the nodes between the wells.

use super::clip;
use super::linear::linear;
use super::round_number::RoundNumber;
use super::types::Surface;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, Warned};
use crate::error::Error;
use crate::geom::tolerance::REACHED;
use crate::geom::usual_spacing;
use crate::read::{Fact, SurfaceSettings};
use crate::triangulate::Mesh;
use crate::units::{brief, brief_to};

/// Holds an inverse-distance surface with a search radius against the nodes between the wells.
///
/// Gives M417 when fewer of them than [`REACHED`] have a head; other surfaces pass.
///
/// # Errors
/// [`Error::Map`] with M407 when none of them has a head.
pub fn reach(
    settings: &SurfaceSettings,
    control: &ControlSet,
    mesh: &Mesh,
    surface: &Surface,
) -> Result<Warned<()>, Error> {
    let nothing = Ok(Warned::new((), Vec::new()));
    let radius = settings.inverse_distance.radius;
    let Some(radius) = radius.filter(|_| surface.method.has(Fact::SearchRadius)) else {
        return nothing;
    };
    let mut between = linear(mesh, control.frame(), *surface.heads.spec());
    let areas = control.beside().boundary();
    if !areas.is_empty() {
        clip::to_areas(&mut between, areas);
    }
    let (all, reached) = (between.supported(), surface.heads.supported());
    if reached as f64 >= REACHED * all as f64 {
        return nothing;
    }
    let unit = control.crs().unit_name();
    let wells: Vec<_> = control.wells().into_iter().map(|i| mesh.local()[i]).collect();
    let spacing = usual_spacing(&wells) / control.frame().metres_per_unit();
    let enough = RoundNumber::at_least(2.0 * spacing.max(radius)).value();
    let advice = format!(
        "set radius under [inverse_distance] in site.toml to {enough} ({unit}) or more, or leave \
         it out; the well spacing is about {} ({unit})",
        brief_to(spacing, 3)
    );
    let told = |code, count: String| {
        let text = format!(
            "{count} of the {all} nodes between the wells have a well within the search radius of \
             {} ({unit})",
            brief(radius)
        );
        Diagnostic::new(code, text).advice(advice)
    };
    if reached == 0 {
        return Err(Error::Map(vec![told(Code::SurfaceRefused, "none".to_owned())]));
    }
    let part = 100.0 * reached as f64 / all as f64;
    let few = told(Code::RadiusShort, format!("only {reached} ({} %)", brief_to(part, 0)));
    Ok(Warned::new((), vec![few]))
}

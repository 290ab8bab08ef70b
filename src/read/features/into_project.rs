//! Vertices of a file into the project CRS.

use geo::Coord;

use super::around::Surroundings;
use super::layer::{Layer, Part};
use super::shape::Problem;
use crate::diag::Code;
use crate::geom::{Crs, Similarity};
use crate::read::settings::crs;
use crate::read::settings::features::DeclaredFile;
use crate::read::settings::role::Role;
use crate::read::table::rows::shown;

/// Why a file has no way into the project CRS: code, message and advice.
pub(super) type NoWay = (Code, String, String);

/// How positions of a file become positions in the project CRS.
#[derive(Debug)]
pub(super) enum Way {
    /// As they are.
    Same,
    /// Along the ties of local coordinates.
    Tied(Similarity),
    /// From this CRS.
    From(Crs),
}

/// The way of a file into the project CRS; `own` is the CRS that it states itself.
pub(super) fn way(
    own: Option<&str>,
    file: &DeclaredFile,
    around: &Surroundings<'_>,
    name: &str,
) -> Result<Way, NoWay> {
    let project = around.project;
    let own = own.filter(|wkt| !Crs::is_plan(wkt)).map(str::to_owned);
    let stated = file.table.crs.as_deref().map(crs::definition);
    let local = stated.as_deref() == Some(Crs::LOCAL);
    let definition = stated.or(own);
    if local || !project.is_on_earth() {
        return of_plan(definition.filter(|_| !local), file, around, name);
    }
    let Some(definition) = definition else {
        return Err((
            Code::CrsUnknown,
            format!("{name} does not state the CRS of its coordinates"),
            if file.role == Role::Base {
                "write crs = \"EPSG:...\" with the file's CRS, or crs = \"local\" for tied local coordinates, \
                 beside file in site.toml"
                    .to_owned()
            } else {
                format!(
                    "write {} = {{ file = \"{}\", crs = \"EPSG:...\" }} with the file's CRS, or crs = \
                     \"local\" for tied local coordinates, under [features] in site.toml",
                    file.role.key(),
                    shown(&file.table.file)
                )
            },
        ));
    };
    let source = Crs::lookup(&definition).map_err(|e| {
        (
            Code::CrsUnknown,
            format!("the CRS of {name}: {e}"),
            "give the file's CRS as crs = \"EPSG:...\" beside file in site.toml".to_owned(),
        )
    })?;
    let same = source.definition() == project.definition();
    Ok(if same { Way::Same } else { Way::From(source) })
}

/// Moves every vertex into the project CRS, and gives the features that do not fit their own.
pub(super) fn moved(
    layer: &mut Layer,
    file: &DeclaredFile,
    around: &Surroundings<'_>,
    name: &str,
) -> Result<Vec<(usize, Problem)>, NoWay> {
    let project = around.project;
    let mut bad = Vec::new();
    let source = match way(layer.crs_definition(), file, around, name)? {
        Way::Same => return Ok(bad),
        Way::Tied(tie) => {
            for vertex in
                layer.features.iter_mut().flat_map(|f| &mut f.parts).flat_map(Part::all_mut)
            {
                let there = tie.apply(Coord { x: vertex.0, y: vertex.1 });
                (vertex.0, vertex.1) = (there.x, there.y);
            }
            return Ok(bad);
        }
        Way::From(source) => source,
    };
    layer.features.retain_mut(|feature| {
        let flat = feature.parts.iter().flat_map(Part::all);
        let mut flat: Vec<Coord> = flat.map(|v| Coord { x: v.0, y: v.1 }).collect();
        if let Err(e) = project.convert_from(&source, &mut flat) {
            bad.push((
                feature.number,
                (
                    format!("does not fit its CRS {}: {e}", source.name()),
                    "check the file's CRS; give the right one as crs = \"EPSG:...\" beside \
                     file in site.toml",
                ),
            ));
            return false;
        }
        let moved = feature.parts.iter_mut().flat_map(Part::all_mut).zip(flat);
        for (vertex, p) in moved {
            (vertex.0, vertex.1) = (p.x, p.y);
        }
        true
    });
    Ok(bad)
}

/// Takes a file in local coordinates: as it is for a map in them, along the ties for one in a CRS. A file
/// with a CRS of its own, `other`, has no way to a map in local coordinates.
fn of_plan(
    other: Option<String>,
    file: &DeclaredFile,
    around: &Surroundings<'_>,
    name: &str,
) -> Result<Way, NoWay> {
    if let Some(other) = other {
        let known = Crs::lookup(&other);
        let own = shown(known.as_ref().map_or(&other, |crs| crs.name()));
        return Err((
            Code::LocalMeetsCrs,
            format!("{name} is in {own}, but the map is in local coordinates"),
            format!(
                "tie the local coordinates to a CRS with [[tie]] in site.toml; or draw the {} in local \
                 coordinates, and write crs = \"local\" beside file where the format has a CRS by itself, as \
                 GeoJSON",
                file.role.key()
            ),
        ));
    }
    if !around.project.is_on_earth() {
        return Ok(Way::Same);
    }
    around.tie.copied().map(Way::Tied).ok_or_else(|| {
        (
            Code::LocalMeetsCrs,
            format!(
                "{name} is said to be in local coordinates, but nothing ties them to {}",
                around.project.definition()
            ),
            "give the file's own CRS as crs; or coordinates_crs = \"local\" under [site] and [[tie]] tables \
             in site.toml"
                .to_owned(),
        )
    })
}

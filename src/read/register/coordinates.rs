//! Coordinate systems of the project and of the register, and the unit of positions.

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::{Crs, CrsKind, Similarity};
use crate::read::files::input_file::InputFile;
use crate::read::files::names::SITE_TOML;
use crate::read::raster::datum_grids;
use crate::read::settings::declared::Declared;
use crate::read::settings::units::{self, Agreed};
use crate::read::table::layout::Layout;
use crate::read::table::rows::Table;
use crate::sealed::Grids;
use crate::units::{LengthUnit, brief};

use super::wells::{Axes, GLOBE, PLANE, Register};

/// The coordinate systems that PROJ knows of those declared.
#[derive(Debug)]
pub(in crate::read) struct Systems {
    project: Option<Crs>,
    register: Option<Crs>,
    /// From local coordinates to the project CRS, where wells tie them.
    tie: Option<Similarity>,
    /// The files of datum grids.
    inputs: Vec<InputFile>,
}

impl Systems {
    /// Looks both up, with the datum grids of the site; R117 for one that PROJ does not know.
    pub(in crate::read) fn look_up(
        folder: &Path,
        declared: &Declared,
        said: &mut Vec<Diagnostic>,
    ) -> Self {
        let mut inputs = Vec::new();
        let grids = datum_grids::read(folder, &declared.grids, &mut inputs, said);
        let mut known = |key: &str, definition: &Option<String>| {
            // The unit of local coordinates may stand in a heading: `settle_local` gives it.
            let unit = declared.length_unit.unwrap_or(LengthUnit::Metre);
            let found = Crs::of(definition.as_deref()?, Some(unit));
            found
                .map(|crs| crs.with_grids(grids.clone()))
                .map_err(|why| {
                    let diagnostic = Diagnostic::new(Code::CrsUnknown, format!("{key}: {why}"));
                    let diagnostic = if declared.from_file {
                        diagnostic.at(&Origin::file(SITE_TOML))
                    } else {
                        diagnostic
                    };
                    said.push(diagnostic.advice(
                        "give the EPSG code of the projected CRS of the survey, such as EPSG:26915, or \
                         \"local\" for the local coordinates of a site plan",
                    ));
                })
                .ok()
        };
        let (project, register) =
            (known("crs", &declared.crs), known("coordinates_crs", &declared.coordinates_crs));
        let has_plan = project.as_ref().is_some_and(|crs| !crs.is_on_earth());
        if let Some(other) = register.as_ref().filter(|crs| has_plan && crs.is_on_earth()) {
            let text = format!(
                "coordinates_crs is {}, but crs is local: positions cannot be brought from a CRS into \
                 local coordinates",
                other.definition()
            );
            let told = Diagnostic::new(Code::LocalMeetsCrs, text).at(&Origin::file(SITE_TOML));
            said.push(
                told.advice("give a projected CRS as crs, or the positions in local coordinates"),
            );
        }
        let register = register.filter(|_| !has_plan);
        Self { project, register, tie: None, inputs }
    }

    /// Gives local coordinates their unit, once the headings are known; R136 and `None` where nothing says
    /// it.
    pub(in crate::read) fn settle_local(
        &mut self,
        unit: Option<LengthUnit>,
        file: &str,
        said: &mut Vec<Diagnostic>,
    ) -> Option<()> {
        for crs in [&mut self.project, &mut self.register].into_iter().flatten() {
            if crs.is_on_earth() {
                continue;
            }
            let Some(unit) = unit else {
                let text = "the unit of the local coordinates is not given";
                said.push(Diagnostic::new(Code::LocalUnit, text).at(&Origin::file(file)).advice(
                    "write length_unit = \"ft\" (or m, ft-us) under [site] in site.toml, or the unit in the \
                     headings, such as \"X (ft)\"",
                ));
                return None;
            };
            *crs = Crs::local(unit);
        }
        Some(())
    }

    /// The project CRS and the local coordinates that are to be tied to it.
    pub(super) fn to_tie(&self) -> Option<(&Crs, &Crs)> {
        let project = self.project.as_ref().filter(|c| c.kind() == CrsKind::Projected)?;
        Some((project, self.register.as_ref().filter(|c| !c.is_on_earth())?))
    }

    /// From now on positions of the register are in the project CRS.
    pub(super) fn tie(&mut self, tie: Similarity) {
        self.register = None;
        self.tie = Some(tie);
    }

    /// From local coordinates to the project CRS, where wells tie them.
    pub(in crate::read) const fn tied(&self) -> Option<&Similarity> {
        self.tie.as_ref()
    }

    /// The project CRS.
    pub(super) const fn project(&self) -> Option<&Crs> {
        self.project.as_ref()
    }

    /// The register's own CRS.
    pub(super) const fn register_alone(&self) -> Option<&Crs> {
        self.register.as_ref()
    }

    /// The datum grids that the site declares.
    pub(in crate::read) fn grids(&self) -> Option<&Grids> {
        self.project.as_ref().and_then(Crs::grids)
    }

    /// The files that they were read from.
    pub(in crate::read) fn inputs(&self) -> &[InputFile] {
        &self.inputs
    }

    /// The project CRS, where it is projected or local, and the register's own.
    pub(in crate::read) fn both(&self) -> Option<(&Crs, Option<&Crs>)> {
        let project = self.project.as_ref().filter(|c| c.kind() != CrsKind::Geographic)?;
        Some((project, self.register.as_ref()))
    }

    /// The CRS of the register's positions.
    pub(in crate::read) fn register_crs(&self) -> Option<&Crs> {
        self.register.as_ref().or(self.project.as_ref())
    }

    /// The name of the CRS that the register's positions are in, as PROJ has it.
    pub(in crate::read) fn of_positions(&self) -> Option<&str> {
        self.register_crs().map(Crs::name)
    }

    /// The CRS of the project, where it is projected.
    pub(in crate::read) fn projected(&self) -> Option<&Crs> {
        self.project.as_ref().filter(|c| c.kind() == CrsKind::Projected)
    }

    /// Units of the register's positions in one of the length unit; 1 where they have a CRS of
    /// their own.
    pub(in crate::read) fn per_length_unit(&self, unit: Option<LengthUnit>) -> f64 {
        if self.register.is_some() { 1.0 } else { self.distance_unit(unit) }
    }

    /// Units of the project CRS in one of the length unit.
    pub(in crate::read) fn distance_unit(&self, unit: Option<LengthUnit>) -> f64 {
        self.project.as_ref().zip(unit).map_or(1.0, |(project, unit)| ratio(unit, project))
    }

    /// Whether PROJ knows the project CRS.
    pub(in crate::read) fn has_project(&self) -> bool {
        self.project.is_some()
    }

    /// The unit of the project CRS, where it is projected or local and in one of our units.
    pub(in crate::read) fn project_unit(&self) -> Option<LengthUnit> {
        projected_unit(self.project.as_ref()?)
    }

    /// The columns that hold positions; R103 when the table has none that fit the CRS.
    pub(in crate::read) fn axes(
        &self,
        table: &Table,
        layout: &Layout,
        declared: &Declared,
        said: &mut Vec<Diagnostic>,
    ) -> Option<Axes> {
        let has = |axes: Axes| layout.has(axes.0) && layout.has(axes.1);
        let geographic = |crs: &Option<Crs>| crs.as_ref().map(|c| c.kind() == CrsKind::Geographic);
        let wanted = if declared.coordinates_crs.is_some() {
            geographic(&self.register)
        } else {
            // A geographic project CRS is refused later, with better advice than here.
            geographic(&self.project).filter(|globe| !globe)
        };
        if wanted != Some(true) && has(PLANE) {
            return Some(PLANE);
        }
        if wanted != Some(false) && has(GLOBE) {
            return Some(GLOBE);
        }
        let (axes, more) = match wanted {
            Some(true) => (GLOBE, " (coordinates_crs is in degrees)"),
            _ if has(GLOBE) && self.project.as_ref().is_some_and(|c| !c.is_on_earth()) => (
                PLANE,
                "; longitude and latitude have no place in local coordinates: give a projected CRS as crs",
            ),
            _ if has(GLOBE) => (
                PLANE,
                "; for longitude and latitude write coordinates_crs = \"EPSG:4326\", or the CRS \
                 they are in, under [site] in site.toml",
            ),
            _ => (PLANE, ""),
        };
        for column in [axes.0, axes.1] {
            if !layout.has(column) {
                said.push(layout.missing(table, &[column], more));
            }
        }
        None
    }
}

/// Turns positions and the cell into the unit of the project CRS, and says so (R118). Positions
/// in a CRS of their own stay as they are.
///
/// Gives the length unit that was declared or headed, and the CRS units in one of it.
pub(in crate::read) fn to_crs_unit(
    systems: &Systems,
    declared: &Declared,
    headed: &Agreed,
    register: &mut Register,
    file: &str,
    said: &mut Vec<Diagnostic>,
) -> (Option<LengthUnit>, f64) {
    if let Some(other) = &systems.register {
        if !declared.of_points {
            stated_against(other, headed, said);
        }
        // The unit of local coordinates is the site's, that of another CRS its own.
        let unit = if other.is_on_earth() { declared.length_unit } else { headed.unit };
        let factor = unit.zip(systems.project.as_ref());
        return (unit, factor.map_or(1.0, |(u, crs)| ratio(u, crs)));
    }
    let Some(project) = systems.project.as_ref().filter(|c| c.kind() != CrsKind::Geographic) else {
        return (declared.length_unit, 1.0);
    };
    let mut unit = declared.length_unit.or(headed.unit);
    if declared.length_unit.is_none()
        && let (Some(headed), Some(own)) = (headed.unit, projected_unit(project))
        && units::loosely_same(headed, own)
    {
        // A heading's "ft" is whichever foot the CRS has.
        unit = Some(own);
    }
    let Some(unit) = unit else { return (None, 1.0) };
    let factor = ratio(unit, project);
    if factor.to_bits() == 1f64.to_bits() {
        return (Some(unit), 1.0);
    }
    for well in &mut register.wells {
        well.easting *= factor;
        well.northing *= factor;
    }
    let advice = match unit {
        LengthUnit::Metre => "if they are in the CRS's own unit, correct length_unit",
        LengthUnit::Foot => {
            "check that they are international feet (0.3048 m); US survey feet are length_unit = \
             \"ft-us\""
        }
        LengthUnit::UsSurveyFoot => {
            "check that they are US survey feet (1200/3937 m); international feet are \
             length_unit = \"ft\""
        }
    };
    said.push(
        Diagnostic::new(
            Code::LengthConverted,
            format!(
                "eastings and northings were converted from {unit} to the unit of {}, {}: times \
                 {}",
                project.definition(),
                project.unit_name(),
                brief(factor)
            ),
        )
        .at(&Origin::file(file))
        .advice(advice),
    );
    (Some(unit), factor)
}

/// R112 when a heading's unit is not that of the CRS the positions are in.
fn stated_against(crs: &Crs, headed: &Agreed, said: &mut Vec<Diagnostic>) {
    let (Some(unit), Some(own)) = (headed.unit, projected_unit(crs)) else { return };
    if units::loosely_same(unit, own) {
        return;
    }
    let diagnostic = Diagnostic::new(
        Code::UnitConflict,
        format!("eastings and northings are headed {unit}, but {} is in {own}", crs.definition()),
    )
    .advice("correct the heading, or give the coordinates in the unit of coordinates_crs");
    said.push(match &headed.origin {
        Some(origin) => diagnostic.at(origin),
        None => diagnostic,
    });
}

fn projected_unit(crs: &Crs) -> Option<LengthUnit> {
    (crs.kind() != CrsKind::Geographic)
        .then(|| LengthUnit::from_metres(crs.metres_per_unit()))
        .flatten()
}

/// CRS units in one `unit`; exactly 1 when they are the same unit.
fn ratio(unit: LengthUnit, crs: &Crs) -> f64 {
    match projected_unit(crs) {
        _ if crs.kind() == CrsKind::Geographic => 1.0,
        Some(own) if own == unit => 1.0,
        _ => unit.metres() / crs.metres_per_unit(),
    }
}

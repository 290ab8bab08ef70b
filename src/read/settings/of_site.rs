//! What holds for a site as a whole, in the units it is worked with.

use schemars::JsonSchema;
use serde::Serialize;

use crate::geom::{Crs, tolerance};
use crate::read::wells::well::DepthDatum;
use crate::sealed::Grids;
use crate::units::LengthUnit;

use super::aquifer::{AquiferKind, ReceptorSettings};
use super::contours::ContourDrawing;
use super::formats::{TableMarks, VectorFormat};
use super::head_errors::UncertaintySettings;
use super::sheet::{Page, SheetSettings};
use super::sheet_file::SheetFile;
use super::surface::SurfaceSettings;
use super::ties::Tie;
use super::title_block::TitleBlock;

/// What is declared about the site as a whole.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Settings {
    /// The site's name.
    pub name: String,
    /// The project CRS: an authority code, WKT or PROJJSON, or `local` for local coordinates.
    pub crs: String,
    /// The CRS of the register's coordinates, where it is not the project's.
    pub coordinates_crs: Option<String>,
    /// Where the north of local coordinates points, degrees clockwise from true north, where it is known.
    pub site_north_azimuth: Option<f64>,
    /// How local coordinates were tied to the project CRS, where they were: positions are then in it.
    pub tie: Option<Tie>,
    /// The datum grids of the site, by file name, for the ways between its CRS and others.
    pub grids: Option<Grids>,
    /// Unit of eastings and northings in the register and of `cell`, where declared; the CRS's
    /// own otherwise.
    pub length_unit: Option<LengthUnit>,
    /// Unit of elevations, heads, contour levels.
    pub elevation_unit: LengthUnit,
    /// Whether `elevation_unit` was taken from the CRS because nothing declared it.
    pub elevation_unit_assumed: bool,
    /// Unit of depths in the rounds, where declared; as a round's headings say, or the elevation
    /// unit otherwise: [`crate::read::Round::depth_unit`].
    #[serde(skip)]
    pub depth_unit: Option<LengthUnit>,
    /// The vertical datum's name.
    pub vertical_datum: Option<String>,
    /// The aquifer unit to map, where the register has several.
    pub aquifer_unit: Option<String>,
    /// Whether the mapped unit is confined, where that is declared.
    pub aquifer: Option<AquiferKind>,
    /// From where total depths and screens are counted.
    pub depths_from: DepthDatum,
    /// From where sounded depths are counted: a heading may say the measuring point where the
    /// other depths are counted from the ground.
    pub sounded_from: DepthDatum,
    /// The longest time a round may take, hours.
    pub round_window_h: f64,
    /// Repeated readings agree within this, in the depth unit, where declared:
    /// [`crate::read::Round::repeat_tolerance`].
    #[serde(skip)]
    pub repeat_tolerance: Option<f64>,
    /// A measuring point older than this, in years, is stale.
    pub measuring_point_age_years: f64,
    /// Node distance, CRS units; chosen from the site's size where none is declared.
    pub cell: Option<f64>,
    /// Contour interval, elevation unit; chosen from the heads where none is declared.
    pub interval: Option<f64>,
    /// A level that the contour levels count from, elevation unit.
    pub base_level: f64,
    /// The contour levels where they are listed, ascending, elevation unit: interval and base level have
    /// then no effect.
    pub levels: Option<Vec<f64>>,
    /// How contours are drawn on sheet and page.
    pub contour_drawing: ContourDrawing,
    /// Specific gravity of floating product for wells and readings that give none of their own.
    pub specific_gravity: Option<f64>,
    /// Distance of control points along streams, CRS units; the usual spacing of wells where none is declared.
    pub stream_spacing: Option<f64>,
    /// How far from the nearest well a stream is used for the map, CRS units; where none is declared,
    /// `stream_reach_spacings` of the tolerances times the usual spacing of wells.
    pub stream_reach: Option<f64>,
    /// Distance of control points along control lines, CRS units; where none is declared, `line_spacings` of the
    /// tolerances times the usual spacing of wells.
    pub control_line_spacing: Option<f64>,
    /// Vector formats to write beside GeoJSON and GeoPackage, each once, in order.
    #[schemars(extend("uniqueItems" = true))]
    pub formats: Vec<VectorFormat>,
    /// How tables of text are written.
    #[serde(skip)]
    pub tables: TableMarks,
    /// How heads between wells are worked out.
    pub surface: SurfaceSettings,
    /// How sure heads are taken to be.
    pub uncertainty: UncertaintySettings,
    /// How the map sheet is drawn.
    pub sheet: SheetSettings,
    /// The fonts for letters that the built-in ones of the map sheet lack, the first that has a letter first.
    pub fonts: Vec<SheetFile>,
    /// What the firm writes on the map sheet.
    pub title_block: Option<TitleBlock>,
    /// The aquifer, its receptors, the land surface.
    pub receptors: ReceptorSettings,
}

impl Settings {
    /// The paper of the map sheet.
    #[must_use]
    pub fn page(&self) -> Page {
        let usual = if self.elevation_unit.is_foot() { Page::Letter } else { Page::A4 };
        self.sheet.page.unwrap_or(usual)
    }

    /// A site of a name in a projected CRS, with what is usual for all that `site.toml` may declare.
    ///
    /// # Units
    /// - `crs`: an authority code, WKT or PROJJSON; `elevation_unit`: of elevations and heads
    #[must_use]
    pub fn new(name: &str, crs: &str, elevation_unit: LengthUnit) -> Self {
        Self {
            name: name.to_owned(),
            crs: crs.to_owned(),
            coordinates_crs: None,
            site_north_azimuth: None,
            tie: None,
            grids: None,
            length_unit: None,
            elevation_unit,
            elevation_unit_assumed: false,
            depth_unit: None,
            vertical_datum: None,
            aquifer_unit: None,
            aquifer: None,
            depths_from: DepthDatum::MeasuringPoint,
            sounded_from: DepthDatum::MeasuringPoint,
            round_window_h: tolerance::ROUND_WINDOW_H,
            repeat_tolerance: None,
            measuring_point_age_years: tolerance::MEASURING_POINT_AGE_YEARS,
            cell: None,
            interval: None,
            base_level: 0.0,
            levels: None,
            contour_drawing: ContourDrawing::default(),
            specific_gravity: None,
            stream_spacing: None,
            stream_reach: None,
            control_line_spacing: None,
            formats: Vec::new(),
            tables: TableMarks::default(),
            surface: SurfaceSettings::default(),
            uncertainty: UncertaintySettings::default(),
            sheet: SheetSettings::default(),
            fonts: Vec::new(),
            title_block: None,
            receptors: ReceptorSettings::default(),
        }
    }

    /// A site of a name in local coordinates, of which nobody knows where on earth they are. Its north is
    /// site north; where the azimuth of that is known, it is `site_north_azimuth`.
    ///
    /// # Units
    /// - `length_unit`: of eastings and northings; `elevation_unit`: of elevations and heads
    #[must_use]
    pub fn local(name: &str, length_unit: LengthUnit, elevation_unit: LengthUnit) -> Self {
        Self { length_unit: Some(length_unit), ..Self::new(name, Crs::LOCAL, elevation_unit) }
    }
}

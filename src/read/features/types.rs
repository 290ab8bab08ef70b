//! What the site's vector files hold.

use geo::{Coord, Geometry, LineString, Polygon};

use super::picture::SitePicture;
use crate::diag::Origin;
use crate::read::settings::base_style::BaseStyle;

/// What the site's vector files hold, in the project CRS.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Features {
    /// The area the map is clipped to; empty when there is none.
    pub boundary: Vec<Polygon>,
    /// Lines no groundwater passes: slurry walls, sheet piles, faults.
    pub barriers: Vec<Barrier>,
    /// Streams and drains with known stage.
    pub streams: Vec<Stream>,
    /// The places along the streams that carry the map, stream by stream.
    pub stream_points: Vec<StreamPoint>,
    /// Lines of equal head that somebody drew by judgement.
    pub control_lines: Vec<ControlLine>,
    /// Heads that somebody judged: those of `[[judged_points]]`, then the places along the control lines.
    pub judged_points: Vec<JudgedPoint>,
    /// The picture that the map sheet has below the site plan.
    pub picture: Option<SitePicture>,
    /// The site plan that the map sheet has below the map.
    pub base: Vec<BaseFeature>,
    /// Where a plume may start.
    pub sources: Vec<Place>,
    /// What must be kept from it: supply wells, creeks, property lines.
    pub receptors: Vec<Place>,
}

/// A part of the site plan.
#[derive(Debug, Clone, PartialEq)]
pub struct BaseFeature {
    /// How it is drawn.
    pub style: BaseStyle,
    /// What its layer is called in the legend.
    pub layer: String,
    /// Its own label, where the layer has them.
    pub label: Option<String>,
    /// Its course, CRS units.
    pub geometry: Geometry,
}

/// A line no groundwater passes.
#[derive(Debug, Clone, PartialEq)]
pub struct Barrier {
    /// Its name, or its number in the file.
    pub name: String,
    /// Its course, CRS units.
    pub line: LineString,
    /// Where it stands.
    pub origin: Origin,
}

/// A stream or drain whose stage is the head of the aquifer beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stream {
    /// Its name, or its number in the file.
    pub name: String,
    /// Its course, CRS units; one vertex alone for a place whose stage was read.
    pub line: LineString,
    /// The stage at each vertex of the course, elevation unit.
    pub stages: Vec<f64>,
    /// The aquifer unit it is in contact with, where declared; otherwise the one mapped.
    pub aquifer_unit: Option<String>,
    /// Where it stands.
    pub origin: Origin,
}

/// A place on a stream where it carries the map.
#[derive(Debug, Clone, PartialEq)]
pub struct StreamPoint {
    /// The stream's name and the distance along it, such as `Mill Creek @ 120 m`; no well has it.
    pub name: String,
    /// Where it lies, CRS units.
    pub position: Coord,
    /// The stage there, elevation unit.
    pub stage: f64,
    /// Index into [`Features::streams`].
    pub stream: usize,
}

/// What a decision about a head must say: nobody measured it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judgement {
    /// Why.
    pub reason: String,
    /// Who decided it.
    pub by: String,
    /// The round it is made for; `None` for every round.
    pub round: Option<String>,
    /// The aquifer unit it is made for; `None` on a site of one unit.
    pub aquifer_unit: Option<String>,
    /// Where it is declared.
    pub origin: Origin,
}

impl Judgement {
    /// Whether it holds in a round.
    #[must_use]
    pub fn applies_to(&self, round: &str) -> bool {
        self.round.as_deref().is_none_or(|own| own == round)
    }
}

/// A line of equal head that somebody drew by judgement.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlLine {
    /// Its name, or its number in the file.
    pub name: String,
    /// Its course, CRS units.
    pub line: LineString,
    /// Its head, elevation unit.
    pub head: f64,
    /// Why, and by whom.
    pub judgement: Judgement,
}

/// A head that somebody judged, where it controls the map.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedPoint {
    /// Its name; of a place on a control line that line's name and the distance along it. No well has it.
    pub name: String,
    /// Where it lies, CRS units.
    pub position: Coord,
    /// The head, elevation unit.
    pub head: f64,
    /// The control line it lies on: index into [`Features::control_lines`].
    pub line: Option<usize>,
    /// Why, and by whom.
    pub judgement: Judgement,
}

/// A source or a receptor.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name, or its number in the file.
    pub name: String,
    /// A point, a line or an area, CRS units.
    pub geometry: Geometry,
    /// The aquifer unit it is in, where declared or that of its well; otherwise the one mapped.
    pub aquifer_unit: Option<String>,
    /// Where it stands.
    pub origin: Origin,
}

//! Where on earth a sheet is, for a GIS: the world file of its picture, the measure dictionary of its PDF.

use std::fmt::Write as _;

use geo::Coord;

use super::paper::Paper;
use super::parting;
use super::room::Rect;
use super::scene::at;
use crate::geom::Crs;
use crate::report::Results;
use crate::units::fixed;

/// Decimals of positions in metres or feet, of steps in them, and of degrees: a ten-thousandth of a millimetre at most.
const OF_POSITIONS: i32 = 6;
const OF_STEPS: i32 = 10;
const OF_DEGREES: i32 = 10;

/// Decimals of places on the sheet.
const OF_POINTS: i32 = 4;

/// Where on earth a sheet is.
#[derive(Debug)]
pub(super) struct Georeference {
    /// The map's frame on the sheet, points.
    frame: Rect,
    height: f64,
    /// The sheet's upper left corner, CRS units.
    corner: Coord,
    /// From a point to the next on the right, and to the next below, CRS units.
    steps: [Coord; 2],
    /// The CRS as PDF names it, and longitude and latitude of the frame's corners on its datum, from the lower left one
    /// clockwise.
    geographic: Option<(String, [Coord; 4])>,
}

impl Georeference {
    /// That of the sheet of a map with a CRS.
    pub(super) fn of(results: &Results, paper: &Paper) -> Option<Self> {
        let crs = results.control.crs();
        if !crs.is_on_earth() {
            return None;
        }
        let ground = results.control.frame();
        let place = |x: f64, y: f64| ground.to_crs(paper.view.to_ground(at(x, y)));
        let Rect { left, top, right, bottom } = paper.view.frame;
        let border = parting::wider_border(&results.site.settings);
        let corner = place(-border, -border);
        let (right_of, below) =
            (place(paper.width + border, -border), place(-border, paper.height + border));
        // The sheet as it is written, enlarged.
        let by = paper.view.enlarged;
        let written = |v: f64| (v + border) * by;
        let (width, height) = (written(paper.width + border), written(paper.height + border));
        let steps = [(right_of - corner) / width, (below - corner) / height];
        let frame = Rect {
            left: written(left),
            top: written(top),
            right: written(right),
            bottom: written(bottom),
        };
        let corners = [(left, bottom), (left, top), (right, top), (right, bottom)];
        let corners = corners.map(|(x, y)| place(x, y));
        let degrees = crs.own_lon_lat(&corners).ok().and_then(|all| all.try_into().ok());
        let geographic = named(crs).zip(degrees);
        Some(Self { frame, height, corner, steps, geographic })
    }

    /// The world file of a picture of the sheet: steps to the right and down, and the middle of its upper left dot.
    ///
    /// # Units
    /// - `dpi`: dots in an inch of paper; returns: CRS units
    pub(super) fn world_file(&self, dpi: u16) -> String {
        let dot = 72.0 / f64::from(dpi);
        let [right, down] = self.steps.map(|step| step * dot);
        let middle = self.corner + (right + down) * 0.5;
        let (steps, positions) = (|v: f64| fixed(v, OF_STEPS), |v: f64| fixed(v, OF_POSITIONS));
        let lines = [
            steps(right.x),
            steps(right.y),
            steps(down.x),
            steps(down.y),
            positions(middle.x),
            positions(middle.y),
        ];
        lines.map(|line| line + "\n").concat()
    }

    /// The viewport of the map's frame with its measure dictionary, as it is in the dictionary of a PDF page.
    ///
    /// # References
    /// ISO 32000-1:2008, 12.9, table 260, for viewports; the Adobe supplement to it, extension level 3, for geospatial
    /// measures in PDF 1.7: latitude and longitude on the datum of the CRS, of projected ones too, and how a CRS is
    /// named. ISO 32000-2:2020, table 269, would have eastings and northings in a PDF 2.0.
    pub(super) fn viewport(&self) -> Option<String> {
        let (crs, corners) = self.geographic.as_ref()?;
        let Rect { left, top, right, bottom } = self.frame;
        let points = |v: f64| fixed(v, OF_POINTS);
        let mut degrees = String::new();
        for p in corners {
            let (lat, lon) = (fixed(p.y, OF_DEGREES), fixed(p.x, OF_DEGREES));
            let _ = write!(degrees, "{lat} {lon} ");
        }
        // PDF counts from the lower edge up. Shares of the frame: its corners from the lower left one clockwise.
        let shares = "[0 0 0 1 1 1 1 0]";
        Some(format!(
            "/VP[<</Type/Viewport/BBox[{} {} {} {}]/Name(map)/Measure<</Type/Measure/Subtype/GEO/Bounds{shares}\
             /LPTS{shares}/GPTS[{}]/GCS<<{crs}>>>>>>]",
            points(left),
            points(self.height - bottom),
            points(right),
            points(self.height - top),
            degrees.trim_end()
        ))
    }
}

/// How a PDF names a CRS: by its EPSG code, or by its well-known text.
fn named(crs: &Crs) -> Option<String> {
    let definition = crs.definition();
    if let Some(code) = definition.strip_prefix("EPSG:") {
        let digits = code.bytes().all(|b| b.is_ascii_digit());
        return (digits && !code.is_empty()).then(|| format!("/Type/PROJCS/EPSG {code}"));
    }
    let plain = definition.is_ascii() && !definition.contains(['(', ')', '\\']);
    (plain && definition.starts_with("PROJCS["))
        .then(|| format!("/Type/PROJCS/WKT({})", definition.replace(['\n', '\r'], "")))
}

//! The picture below the site plan: a raster whose pixels are read where a sheet is drawn.

use std::path::PathBuf;

use geo::Coord;

use super::around::Surroundings;
use super::into_project::{self, Way};
use crate::diag::{Code, Diagnostic, Origin};
use crate::error::Error;
use crate::geom::{Crs, CrsError, Similarity, bounds};
use crate::read::files::input_file::InputFile;
use crate::read::files::record::{Named, Record};
use crate::read::raster::colours::{Fault, Fineness, Lattice, Opened, PictureDots};
use crate::read::raster::picture;
use crate::read::settings::features::DeclaredFile;
use crate::units::brief_to;

/// A picture this far from the wells, over their spread, is none of the site: the sheet's frame shows nothing that is
/// farther (`docs/map-sheet.md`).
const REACH: f64 = 0.5;

/// A raster of colours below the site plan.
#[derive(Debug, Clone, PartialEq)]
pub struct SitePicture {
    words: String,
    file: String,
    folder: PathBuf,
    origin: Origin,
    /// Its name on record.
    name: String,
    inputs: Vec<InputFile>,
    /// The CRS of its own, where it has another one than the project.
    own: Option<String>,
    /// From its local coordinates to the project CRS.
    tie: Option<Similarity>,
}

/// What the picture is to the map, for messages.
const WHAT: &str = "the picture of [[base]]";

impl SitePicture {
    /// Opens a picture, and holds it against the wells.
    pub(super) fn read(
        file: &DeclaredFile,
        around: &Surroundings<'_>,
        named: Named<'_>,
        record: Record,
    ) -> Result<Self, Box<Diagnostic>> {
        let words = file.base.as_ref().map_or_else(String::new, |base| base.name.clone());
        let mut found = Self {
            words,
            file: file.table.file.clone(),
            folder: around.folder.to_owned(),
            origin: file.origin.clone(),
            name: record.name.clone(),
            inputs: Vec::new(),
            own: None,
            tie: None,
        };
        let opened = picture::look(&around.folder.join(&found.file));
        let opened = opened.map_err(|fault| Box::new(found.told(&fault)))?;
        let way = into_project::way(opened.wkt.as_deref(), file, around, &found.name)
            .map_err(|(code, message, advice)| Box::new(found.refused(code, message, &advice)))?;
        match way {
            Way::Same => {}
            Way::Tied(tie) => found.tie = Some(tie),
            Way::From(own) => found.own = Some(own.definition().to_owned()),
        }
        found.inputs = named.was(record, &opened.files)?;
        found.near(around, &opened)?;
        Ok(found)
    }

    /// What the legend calls it.
    #[must_use]
    pub fn words(&self) -> &str {
        &self.words
    }

    /// The file with all that belongs to it, as it was when the site was read.
    pub(super) fn inputs(&self) -> &[InputFile] {
        &self.inputs
    }

    /// Reads the dots over a frame, turned or not; `None` where the picture has none there.
    ///
    /// There are as many as `most` says each way, or as many as there are pixels where those are coarser, but not fewer
    /// than `least`. Finer pixels are averaged in squares; between them colours change evenly. A dot is where its
    /// middle is, by the same way from CRS to CRS that the vector files go.
    ///
    /// # Units
    /// - `project`: the project CRS; `frame`: its upper left, upper right and lower left corner in it
    ///
    /// # Errors
    /// [`Error::Read`] with R101 when the file changed since the site was read, R119 when its pixels cannot be read or
    /// there are too many, and when the frame does not fit the CRS of the picture.
    pub fn over(
        &self,
        project: &Crs,
        frame: [Coord; 3],
        [most, least]: [[usize; 2]; 2],
    ) -> Result<Option<PictureDots>, Error> {
        let refused = |told: Diagnostic| Error::Read(vec![told]);
        let (file, folder, origin) = (&self.file, &*self.folder, &self.origin);
        let named = Named { file, folder, what: WHAT, origin };
        let path = folder.join(file);
        let opened = picture::look(&path).map_err(|fault| refused(self.told(&fault)))?;
        let lattice = self.lattice(project, frame, &opened);
        let lattice = lattice.map_err(|e| refused(self.beyond(&e)))?;
        let dots = picture::dots(&path, &lattice, Fineness { most, least });
        let dots = dots.map_err(|fault| refused(self.told(&fault)))?;
        let record = Record { name: self.name.clone(), parts: self.inputs.clone() };
        named.was(record, &opened.files).map_err(|told| refused(*told))?;
        Ok(dots)
    }

    /// Where in the raster a frame is.
    fn lattice(
        &self,
        project: &Crs,
        [corner, right, below]: [Coord; 3],
        opened: &Opened,
    ) -> Result<Lattice, CrsError> {
        let place = |share: Coord| corner + (right - corner) * share.x + (below - corner) * share.y;
        let mut places: Vec<Coord> = Lattice::shares().map(place).collect();
        if let Some(own) = &self.own {
            Crs::lookup(own)?.convert_from(project, &mut places)?;
        }
        let back = |p: &Coord| self.tie.map_or(*p, |tie| tie.back(*p));
        Ok(Lattice::new(places.iter().map(|p| opened.pixel(back(p))).collect()))
    }

    /// Refuses a picture of another part of the earth.
    fn near(&self, around: &Surroundings<'_>, opened: &Opened) -> Result<(), Box<Diagnostic>> {
        let wells: Vec<Coord> = around.positions().into_iter().flatten().collect();
        if wells.is_empty() {
            return Ok(());
        }
        let (low, high) = bounds(wells);
        let more = (high.x - low.x).max(high.y - low.y) * REACH;
        let corners = [
            Coord { x: low.x - more, y: high.y + more },
            Coord { x: high.x + more, y: high.y + more },
            Coord { x: low.x - more, y: low.y - more },
        ];
        let lattice = self.lattice(around.project, corners, opened);
        let lattice = lattice.map_err(|e| Box::new(self.beyond(&e)))?;
        if lattice.window(opened.size, 0).is_some() {
            return Ok(());
        }
        let middle = lattice.middle();
        let message = format!(
            "{} shows no part of the site: it has {} by {} pixels, and the middle of the wells is in column {} and row \
             {}",
            self.name,
            opened.size.0,
            opened.size.1,
            brief_to(middle.x, 0),
            brief_to(middle.y, 0)
        );
        Err(Box::new(self.refused(
            Code::FeatureUnusable,
            message,
            "give the CRS of the picture as crs = \"EPSG:...\" beside file in site.toml, or a picture of the site",
        )))
    }

    fn refused(&self, code: Code, message: String, advice: &str) -> Diagnostic {
        let at = Origin::file(&self.name);
        Diagnostic::new(code, message).at(&at).at(&self.origin).advice(advice)
    }

    /// The frame has no place in the picture's CRS.
    fn beyond(&self, error: &CrsError) -> Diagnostic {
        let own = self.own.as_deref().and_then(|own| Crs::lookup(own).ok());
        let own = own.map_or_else(|| "its CRS".to_owned(), |own| own.name().to_owned());
        self.refused(
            Code::FeatureUnusable,
            format!("the site has no place in {own}, the CRS of {}: {error}", self.name),
            "give the right CRS of the picture as crs = \"EPSG:...\" beside file in site.toml",
        )
    }

    /// Why its file gives no picture.
    fn told(&self, fault: &Fault) -> Diagnostic {
        let name = &self.name;
        let path = self.folder.join(&self.file);
        let without_folder = |why: &str| why.replace(&*path.to_string_lossy(), name);
        let (message, advice) = match fault {
            Fault::Format(why) => (
                format!("{name} cannot be opened as a picture: {}", without_folder(why)),
                "give a GeoTIFF or an Erdas Imagine file; a PNG or JPEG is saved as one in a GIS, with its CRS",
            ),
            Fault::NoFrame => (
                format!("nothing says where on the ground {name} is"),
                "georeference it in a GIS and save it as a GeoTIFF, or put its world file (.tfw) beside it",
            ),
            Fault::Kind(what) => (
                format!("{name} {what}"),
                "save it with one band of greys or with a colour table, or with red, green and blue, of 8 bits each",
            ),
            Fault::TooLarge(wide, high) => (
                format!("{name} has {wide} by {high} pixels about the site"),
                "in a GIS, clip it to the site or save it with coarser pixels",
            ),
            Fault::Broken(why) => (
                format!("{name} is damaged: {}", without_folder(why)),
                "save it again from the GIS",
            ),
        };
        self.refused(Code::FeatureUnusable, message, advice)
    }
}

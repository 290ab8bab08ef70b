//! Declared files to features in the project CRS.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use geo::{Coord, Geometry, LineString, Point};

use super::keys::{At, DeclaredFeatures, DeclaredFile, DeclaredPlace, Role};
use super::shape::{self, Problem};
use super::stage::Rule;
use super::vector::{self, Cell, Fault, Feature, Layer};
use super::{Barrier, Features, Place, Stream};
use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::Crs;
use crate::geom::tolerance::FAR_FEATURE_M;
use crate::read::input;
use crate::read::table::shown;
use crate::read::types::{InputFile, Well};
use crate::units::LengthUnit;

/// The CRS of GeoJSON.
const GEOJSON_CRS: &str = "OGC:CRS84";

/// At most this many bad features of one file are told one by one.
const TOLD_SINGLY: usize = 20;

/// What features are read against.
#[derive(Debug)]
pub(in crate::read) struct Surroundings<'a> {
    /// The site folder.
    pub(in crate::read) folder: &'a Path,
    pub(in crate::read) project: &'a Crs,
    /// The register's own CRS, where it has one.
    pub(in crate::read) register: Option<&'a Crs>,
    /// CRS units in one length unit.
    pub(in crate::read) per_length_unit: f64,
    pub(in crate::read) elevation_unit: LengthUnit,
    pub(in crate::read) wells: &'a [Well],
}

impl Surroundings<'_> {
    /// Where the wells stand, CRS units; `None` for one that PROJ cannot place.
    pub(super) fn positions(&self) -> Vec<Option<Coord>> {
        let given = self.wells.iter().map(|w| Coord { x: w.easting, y: w.northing });
        given.map(|p| self.of_register(p)).collect()
    }

    /// A position in the register's CRS as one in the project's.
    fn of_register(&self, p: Coord) -> Option<Coord> {
        let mut place = [p];
        match self.register {
            Some(register) => self.project.convert_from(register, &mut place).ok()?,
            None => {}
        }
        Some(place[0])
    }

    /// A position as the register would give it.
    pub(super) fn to_register(&self, p: Coord) -> Option<Coord> {
        let mut place = [p];
        match self.register {
            Some(register) => register.convert_from(self.project, &mut place).ok()?,
            None => {}
        }
        Some(place[0])
    }
}

/// Reads every declared file and place.
pub(in crate::read) fn read(
    declared: &DeclaredFeatures,
    around: &Surroundings<'_>,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Features {
    let mut features = Features::default();
    for file in &declared.files {
        let Some(name) = recorded(file, around.folder, inputs, said) else { continue };
        let mut reading = Reading { file, name, layer: String::new(), around, bad: Vec::new() };
        if let Err(told) = reading.file(&mut features) {
            said.push(*told);
        }
        reading.tell(said);
    }
    for place in &declared.places {
        match placed(place, around) {
            Ok(found) if place.role == Role::Source => features.sources.push(found),
            Ok(found) => features.receptors.push(found),
            Err(told) => said.push(*told),
        }
    }
    unique(features.barriers.iter_mut().map(|b| &mut b.name));
    unique(features.streams.iter_mut().map(|s| &mut s.name));
    unique(features.sources.iter_mut().map(|p| &mut p.name));
    unique(features.receptors.iter_mut().map(|p| &mut p.name));
    features
}

/// Numbers names that repeat, so that each feature can be spoken of.
fn unique<'n>(names: impl Iterator<Item = &'n mut String>) {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for name in names {
        let count = seen.entry(name.clone()).or_insert(0);
        *count += 1;
        if *count > 1 {
            *name = format!("{name} ({count})");
        }
    }
}

/// Hashes a file with what belongs to it, and gives the name it is recorded by.
fn recorded(
    file: &DeclaredFile,
    folder: &Path,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Option<String> {
    let path = folder.join(&file.table.file);
    let name = name_inside(&path, folder);
    let unreadable = |name: &str, why: String| {
        Diagnostic::new(
            Code::FileUnreadable,
            format!("{name}, the {} of [features], cannot be read: {why}", file.role.key()),
        )
        .at(&file.origin)
        .advice("check the name, its spelling and the right to read it; names count from the site folder")
    };
    for part in together(&path) {
        let name = name_inside(&part, folder);
        if inputs.iter().any(|i| i.file == name) {
            continue;
        }
        match input::hash(&part) {
            Ok(sha256) => inputs.push(InputFile { file: name, sha256 }),
            Err(e) => {
                said.push(unreadable(&name, e.to_string()));
                return None;
            }
        }
    }
    Some(name)
}

/// A file's name inside the site folder with forward slashes; its bare name when it is outside.
fn name_inside(path: &Path, folder: &Path) -> String {
    let inside = || {
        let (path, folder) = (path.canonicalize().ok()?, folder.canonicalize().ok()?);
        let parts: Vec<String> = path
            .strip_prefix(folder)
            .ok()?
            .components()
            .map(|c| c.as_os_str().to_string_lossy().into_owned())
            .collect();
        Some(parts.join("/"))
    };
    inside().unwrap_or_else(|| {
        path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    })
}

/// A file and those that belong to it: the parts of a shapefile or a TAB file, the files of a
/// geodatabase.
fn together(path: &Path) -> Vec<PathBuf> {
    if path.is_dir() {
        let mut files: Vec<PathBuf> = std::fs::read_dir(path)
            .into_iter()
            .flatten()
            .flatten()
            .map(|e| e.path())
            .filter(|p| p.is_file() && p.extension().is_none_or(|e| e != "lock"))
            .collect();
        files.sort();
        return files;
    }
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let others: &[&str] = match ending.as_str() {
        "shp" => &["shx", "dbf", "prj", "cpg"],
        "tab" => &["dat", "map", "id", "ind"],
        "mif" => &["mid"],
        "csv" => &["csvt", "prj"],
        _ => &[],
    };
    let beside =
        others.iter().flat_map(|e| [path.with_extension(e), path.with_extension(e.to_uppercase())]);
    let mut files = vec![path.to_owned()];
    files.extend(beside.filter(|p| p.is_file()));
    files
}

/// One file being read.
struct Reading<'a> {
    file: &'a DeclaredFile,
    /// As recorded.
    name: String,
    layer: String,
    around: &'a Surroundings<'a>,
    /// Features that cannot be used, by their number.
    bad: Vec<(usize, Problem)>,
}

impl Reading<'_> {
    fn origin(&self) -> Origin {
        Origin::file(&self.name)
    }

    fn refuse(&self, code: Code, message: String, advice: impl Into<String>) -> Box<Diagnostic> {
        let told = Diagnostic::new(code, message).at(&self.origin()).at(&self.file.origin);
        Box::new(told.advice(advice))
    }

    fn file(&mut self, features: &mut Features) -> Result<(), Box<Diagnostic>> {
        let (table, role) = (&self.file.table, self.file.role);
        let path = self.around.folder.join(&table.file);
        let mut layer = vector::read(&path, table.layer.as_deref()).map_err(|f| self.fault(&f))?;
        self.layer.clone_from(&layer.name);
        if layer.features.is_empty() {
            return Err(self.refuse(
                Code::FeatureUnusable,
                format!("layer \"{}\" of {} has no features", shown(&layer.name), self.name),
                format!("draw the {}, or take the line out of site.toml", role.key()),
            ));
        }
        layer.features.retain(|f| match shape::sound(f) {
            Ok(()) => true,
            Err(problem) => {
                self.bad.push((f.number, problem));
                false
            }
        });
        self.to_project(&mut layer)?;
        let names = self.names(&layer)?;
        let rule = Rule::of(table, &layer.fields).map_err(|f| self.no_field(&f, &layer))?;
        for (feature, name) in layer.features.iter().zip(names) {
            if let Err(problem) = self.feature(feature, &name, rule, features) {
                self.bad.push((feature.number, problem));
            }
        }
        Ok(())
    }

    /// Adds one feature.
    fn feature(
        &self,
        feature: &Feature,
        name: &str,
        rule: Rule,
        features: &mut Features,
    ) -> Result<(), Problem> {
        let (parts, origin) = (&feature.parts, self.origin());
        let place = |geometry| Place { name: name.to_owned(), geometry, origin: origin.clone() };
        match self.file.role {
            Role::Boundary => features.boundary.extend(shape::areas(parts)?),
            Role::Barrier => {
                for line in shape::courses(parts)? {
                    let (name, origin) = (name.to_owned(), origin.clone());
                    features.barriers.push(Barrier { name, line, origin });
                }
            }
            Role::Stream => {
                let into = self.around.elevation_unit;
                let unit = self.file.table.unit.unwrap_or(into);
                for vertices in shape::stream(parts)? {
                    let line: LineString =
                        vertices.iter().map(|v| Coord { x: v.0, y: v.1 }).collect();
                    let along = distances(&line);
                    let stages = rule.stages(feature, &vertices, &along, unit, into)?;
                    features.streams.push(Stream {
                        name: name.to_owned(),
                        line,
                        stages,
                        aquifer_unit: self.file.table.aquifer_unit.clone(),
                        origin: origin.clone(),
                    });
                }
            }
            Role::Source => features.sources.push(place(shape::place(parts)?)),
            Role::Receptor => features.receptors.push(place(shape::place(parts)?)),
        }
        Ok(())
    }

    /// The name of each feature: the field named, a field called name, or the file's and a number.
    fn names(&self, layer: &Layer) -> Result<Vec<String>, Box<Diagnostic>> {
        let field = match &self.file.table.name {
            Some(name) => {
                let found = layer.fields.iter().position(|f| f == name);
                Some(found.ok_or_else(|| self.no_field(name, layer))?)
            }
            None => layer.fields.iter().position(|f| f.eq_ignore_ascii_case("name")),
        };
        let stem = Path::new(&self.name).file_stem().unwrap_or_default().to_string_lossy();
        let single = layer.features.len() == 1;
        Ok(layer
            .features
            .iter()
            .map(|f| match field.map(|i| &f.cells[i]) {
                Some(Cell::Text(name)) => name.clone(),
                Some(Cell::Number(n)) => n.to_string(),
                _ if single => stem.clone().into_owned(),
                _ => format!("{stem} {}", f.number),
            })
            .collect())
    }

    fn no_field(&self, name: &str, layer: &Layer) -> Box<Diagnostic> {
        self.refuse(
            Code::SiteSetting,
            format!(
                "layer \"{}\" of {} has no field \"{}\"",
                shown(&self.layer),
                self.name,
                shown(name)
            ),
            if layer.fields.is_empty() {
                "it has no fields at all; leave the key out".to_owned()
            } else {
                format!("its fields are {}", quoted(&layer.fields))
            },
        )
    }

    /// Moves every vertex into the project CRS.
    fn to_project(&mut self, layer: &mut Layer) -> Result<(), Box<Diagnostic>> {
        let (table, project) = (&self.file.table, self.around.project);
        let own = if layer.geojson && layer.crs.as_deref().is_none_or(is_wgs_84) {
            Some(GEOJSON_CRS)
        } else {
            layer.crs.as_deref()
        };
        let Some(definition) = table.crs.as_deref().map(str::trim).or(own) else {
            return Err(self.refuse(
                Code::CrsUnknown,
                format!("{} does not say in which CRS its coordinates are", self.name),
                format!(
                    "write {} = {{ file = \"{}\", crs = \"EPSG:...\" }} with the CRS of the file, \
                     under [features] in site.toml",
                    self.file.role.key(),
                    shown(&table.file)
                ),
            ));
        };
        let source = Crs::lookup(definition).map_err(|e| {
            self.refuse(
                Code::CrsUnknown,
                format!("the CRS of {}: {e}", self.name),
                "give the file's CRS as crs = \"EPSG:...\" beside file, under [features] in \
                 site.toml",
            )
        })?;
        if source.definition() == project.definition() {
            return Ok(());
        }
        layer.features.retain_mut(|feature| {
            let flat = feature.parts.iter().flat_map(super::vector::Part::all);
            let mut flat: Vec<Coord> = flat.map(|v| Coord { x: v.0, y: v.1 }).collect();
            if let Err(e) = project.convert_from(&source, &mut flat) {
                self.bad.push((
                    feature.number,
                    (
                        format!("does not fit its CRS {}: {e}", source.name()),
                        "check the file's CRS; give the right one as crs = \"EPSG:...\" beside \
                         file, under [features] in site.toml",
                    ),
                ));
                return false;
            }
            let moved = feature.parts.iter_mut().flat_map(super::vector::Part::all_mut).zip(flat);
            for (vertex, p) in moved {
                (vertex.0, vertex.1) = (p.x, p.y);
            }
            true
        });
        Ok(())
    }

    fn fault(&self, fault: &Fault) -> Box<Diagnostic> {
        let layer = self.file.table.layer.as_deref();
        match fault {
            Fault::Format(why) => self.refuse(
                Code::FeatureUnusable,
                format!("{} cannot be opened as a vector file: {}", self.name, shown(why)),
                "give a GeoJSON, shapefile (with its .shx), GeoPackage, FlatGeobuf, file \
                 geodatabase, MapInfo TAB, DXF, or CSV with a WKT column",
            ),
            Fault::Layers(names) if names.is_empty() => self.refuse(
                Code::FeatureUnusable,
                format!("{} has no layer", self.name),
                "save it again from the GIS",
            ),
            Fault::Layers(names) => self.refuse(
                Code::FeatureUnusable,
                match layer {
                    Some(layer) => format!("{} has no layer \"{}\"", self.name, shown(layer)),
                    None => format!("{} has {} layers", self.name, names.len()),
                },
                format!("write layer = \"...\" beside file; the layers are {}", quoted(names)),
            ),
            Fault::Broken(why) => self.refuse(
                Code::FeatureUnusable,
                format!("{} is broken: {}", self.name, shown(why)),
                "save it again from the GIS",
            ),
            Fault::TooLarge => self.refuse(
                Code::FeatureUnusable,
                format!("{} has more than {} vertices", self.name, vector::MOST_VERTICES),
                "cut it to the site, and simplify it, in a GIS",
            ),
        }
    }

    /// The features that could not be used.
    fn tell(mut self, said: &mut Vec<Diagnostic>) {
        self.bad.sort_by_key(|b| b.0);
        let of = format!("of layer \"{}\" in {}", shown(&self.layer), self.name);
        for (number, (text, advice)) in self.bad.iter().take(TOLD_SINGLY) {
            let message = format!("feature {number} {of} {text}");
            said.push(*self.refuse(Code::FeatureUnusable, message, *advice));
        }
        if self.bad.len() > TOLD_SINGLY {
            let more = self.bad.len() - TOLD_SINGLY;
            let message = format!("{more} more features {of} cannot be used");
            said.push(*self.refuse(Code::FeatureUnusable, message, "see those told before"));
        }
    }
}

/// Whether a WKT names the CRS that GeoJSON has by its standard.
fn is_wgs_84(wkt: &str) -> bool {
    ["GEOGCS[\"WGS 84\"", "GEOGCRS[\"WGS 84\""].iter().any(|start| wkt.starts_with(start))
}

fn quoted(names: &[String]) -> String {
    names.iter().map(|n| format!("\"{}\"", shown(n))).collect::<Vec<_>>().join(", ")
}

/// Distance of each vertex from the first along the line, in the line's unit.
pub(super) fn distances(line: &LineString) -> Vec<f64> {
    let mut along = vec![0.0; line.0.len().min(1)];
    for step in line.0.windows(2) {
        let last = along[along.len() - 1];
        along.push(last + libm::hypot(step[1].x - step[0].x, step[1].y - step[0].y));
    }
    along
}

/// A source or receptor of `site.toml` in the project CRS.
fn placed(place: &DeclaredPlace, around: &Surroundings<'_>) -> Result<Place, Box<Diagnostic>> {
    let key = place.role.key();
    let refuse = |message: String, advice: &str| {
        let told = Diagnostic::new(Code::FeatureUnusable, message).at(&place.origin);
        Box::new(told.advice(advice))
    };
    // Positions of wells are already in the CRS unit, those written here in the length unit.
    let of_site = |p: &Coord| {
        let scaled = Coord { x: p.x * around.per_length_unit, y: p.y * around.per_length_unit };
        around.of_register(scaled).ok_or_else(|| {
            refuse(
                format!("{key} \"{}\": ({}, {}) cannot be placed", shown(&place.name), p.x, p.y),
                "give coordinates as in the register",
            )
        })
    };
    let geometry = match &place.at {
        At::Well(id) => {
            let well = around.wells.iter().find(|w| w.id == *id).ok_or_else(|| {
                refuse(
                    format!("{key}: the well \"{}\" is not in the register", shown(id)),
                    "write a well's name as the register has it, or give easting and northing",
                )
            })?;
            let p = Coord { x: well.easting, y: well.northing };
            let p = around.of_register(p).ok_or_else(|| {
                refuse(
                    format!("{key}: the well \"{}\" cannot be placed", shown(id)),
                    "check its coordinates in the register",
                )
            })?;
            Geometry::Point(Point(p))
        }
        At::Point(p) => Geometry::Point(Point(of_site(p)?)),
        At::Line(line) => {
            let line: Vec<Coord> = line.iter().map(of_site).collect::<Result<_, _>>()?;
            Geometry::LineString(LineString::new(line))
        }
    };
    Ok(Place { name: place.name.clone(), geometry, origin: place.origin.clone() })
}

/// Tells features farther from the wells than [`FAR_FEATURE_M`].
pub(in crate::read) fn tell_far(
    features: &Features,
    around: &Surroundings<'_>,
    said: &mut Vec<Diagnostic>,
) {
    let wells: Vec<Coord> = around.positions().into_iter().flatten().collect();
    let Some(first) = wells.first() else { return };
    let metres = around.project.metres_per_unit();
    let nearest = |points: &mut dyn Iterator<Item = Coord>| {
        points
            .map(|p| libm::hypot(p.x - first.x, p.y - first.y) * metres)
            .fold(f64::INFINITY, f64::min)
    };
    let mut tell = |what: &str, origin: Option<&Origin>, metres: f64| {
        if metres <= FAR_FEATURE_M {
            return;
        }
        let told = Diagnostic::new(
            Code::FeatureFar,
            format!("{what} lies {:.0} km from the wells", metres / 1000.0),
        )
        .advice("check the CRS of the file and of the register");
        said.push(origin.into_iter().fold(told, Diagnostic::at));
    };
    use geo::CoordsIter as _;
    for area in &features.boundary {
        tell("the boundary", None, nearest(&mut area.coords_iter()));
    }
    for b in &features.barriers {
        let far = nearest(&mut b.line.coords_iter());
        tell(&format!("the barrier {}", shown(&b.name)), Some(&b.origin), far);
    }
    for s in &features.streams {
        let far = nearest(&mut s.line.coords_iter());
        tell(&format!("the stream {}", shown(&s.name)), Some(&s.origin), far);
    }
    for (what, places) in [("source", &features.sources), ("receptor", &features.receptors)] {
        for p in places {
            let far = nearest(&mut p.geometry.coords_iter());
            tell(&format!("the {what} {}", shown(&p.name)), Some(&p.origin), far);
        }
    }
}

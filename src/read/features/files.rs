//! Declared files to features in the project CRS.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use geo::{Coord, LineString};

use super::around::Surroundings;
use super::faults;
use super::into_project;
use super::layer::{Cell, Fault, Feature, Layer};
use super::picture::SitePicture;
use super::places::placed;
use super::shape::{self, Problem};
use super::stage::Rule;
use super::types::{Barrier, BaseFeature, ControlLine, Features, Judgement, Place, Stream};
use super::vector;
use crate::diag::{Code, Diagnostic, Origin, bound_from, no_character};
use crate::read::files::input_file::InputFile;
use crate::read::files::record::Named;
use crate::read::settings::features::{DeclaredFeatures, DeclaredFile};
use crate::read::settings::role::Role;
use crate::read::table::rows::shown;

/// Reads every declared file and place.
pub(in crate::read) fn read(
    declared: &DeclaredFeatures,
    around: &Surroundings<'_>,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Features {
    let mut features = Features::default();
    for file in &declared.files {
        if let Err(told) = one(file, around, &mut features, inputs, said) {
            said.push(*told);
        }
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
    unique(features.control_lines.iter_mut().map(|l| &mut l.name));
    unique(features.sources.iter_mut().map(|p| &mut p.name));
    unique(features.receptors.iter_mut().map(|p| &mut p.name));
    features
}

/// Reads one file, and what belongs to it goes on record.
fn one(
    file: &DeclaredFile,
    around: &Surroundings<'_>,
    features: &mut Features,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Result<(), Box<Diagnostic>> {
    let (folder, origin) = (around.folder, &file.origin);
    let what = format!("the {} of {}", file.role.key(), file.role.section());
    let named = Named { file: &file.table.file, folder, what: &what, origin };
    let record = named.record()?;
    let name = record.name.clone();
    let parts = if file.is_picture() {
        let picture = SitePicture::read(file, around, named, record)?;
        features.picture.insert(picture).inputs().to_vec()
    } else {
        let mut reading = Reading { file, name, layer: String::new(), around, bad: Vec::new() };
        let read = reading.file(features).map_err(|told| said.push(*told)).unwrap_or_default();
        reading.tell(said);
        named.was(record, &read)?
    };
    for part in parts {
        // Two files outside the site folder may have one name.
        if !inputs.contains(&part) {
            inputs.push(part);
        }
    }
    Ok(())
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

/// A word as it is given, without outer spaces; none where there is nothing else.
fn words(given: Option<&str>) -> Option<String> {
    given.map(|w| w.trim().to_owned()).filter(|w| !w.is_empty())
}

impl Reading<'_> {
    fn origin(&self) -> Origin {
        Origin::file(&self.name)
    }

    fn refuse(&self, code: Code, message: String, advice: impl Into<String>) -> Diagnostic {
        let told = Diagnostic::new(code, message).at(&self.origin()).at(&self.file.origin);
        told.advice(advice)
    }

    /// Adds its features, and gives the files that they were read from.
    fn file(&mut self, features: &mut Features) -> Result<Vec<PathBuf>, Box<Diagnostic>> {
        let (table, role) = (&self.file.table, self.file.role);
        let path = self.around.folder.join(&table.file);
        let wanted = table.layer.as_deref();
        let mut layer = vector::read(&path, wanted).map_err(|fault| {
            let of = faults::Of { name: &self.name, path: &path, layer: wanted };
            let (message, advice) = of.told(&fault, "write layer = \"...\" beside file");
            let or_picture = match fault {
                Fault::Format(_) if role == Role::Base => "; a GeoTIFF needs style = \"picture\"",
                _ => "",
            };
            self.refuse(Code::FeatureUnusable, message, advice + or_picture)
        })?;
        self.layer.clone_from(&layer.name);
        if layer.features.is_empty() {
            return Err(Box::new(self.refuse(
                Code::FeatureUnusable,
                format!("layer \"{}\" of {} has no features", shown(&layer.name), self.name),
                format!("draw the {}, or remove the line from site.toml", role.key()),
            )));
        }
        layer.features.retain(|f| match shape::sound(f) {
            Ok(()) => true,
            Err(problem) => {
                self.bad.push((f.number, problem));
                false
            }
        });
        let bad = into_project::moved(&mut layer, self.file, self.around, &self.name)
            .map_err(|(code, message, advice)| self.refuse(code, message, advice))?;
        self.bad.extend(bad);
        let names = self.names(&layer)?;
        let rule = Rule::of(table, &layer.fields).map_err(|f| self.no_field(&f, &layer))?;
        for (feature, name) in layer.features.iter().zip(names) {
            if let Some((_, code_point)) = no_character(&name) {
                let text = format!("has {code_point} in its name, which is not a character");
                self.bad.push((feature.number, (text, "retype the name in the GIS")));
                continue;
            }
            if let Err(problem) = self.feature(feature, &name, rule, features) {
                self.bad.push((feature.number, problem));
            }
        }
        Ok(layer.files)
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
        let place = |geometry| Place {
            name: name.to_owned(),
            geometry,
            aquifer_unit: words(self.file.table.aquifer_unit.as_deref()),
            origin: origin.clone(),
        };
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
            Role::ControlLine => {
                let (table, into) = (&self.file.table, self.around.elevation_unit);
                let head = rule.head(feature, table.unit.unwrap_or(into), into)?;
                for line in shape::courses(parts)? {
                    let (name, judgement) = (name.to_owned(), self.judgement());
                    features.control_lines.push(ControlLine { name, line, head, judgement });
                }
            }
            Role::Base => {
                let Some(base) = &self.file.base else { return Ok(()) };
                let label = self.file.table.name.is_some().then(|| name.to_owned());
                features.base.extend(shape::as_drawn(parts).map(|geometry| BaseFeature {
                    style: base.style,
                    layer: base.name.clone(),
                    label: label.clone(),
                    geometry,
                }));
            }
            Role::Source => features.sources.push(place(shape::place(parts)?)),
            Role::Receptor => features.receptors.push(place(shape::place(parts)?)),
        }
        Ok(())
    }

    /// Who drew the lines of the file, and why.
    fn judgement(&self) -> Judgement {
        let table = &self.file.table;
        Judgement {
            reason: words(table.reason.as_deref()).unwrap_or_default(),
            by: words(table.by.as_deref()).unwrap_or_default(),
            round: words(table.round.as_deref()),
            aquifer_unit: words(table.aquifer_unit.as_deref()),
            origin: self.file.origin.clone(),
        }
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

    fn no_field(&self, name: &str, layer: &Layer) -> Diagnostic {
        self.refuse(
            Code::SiteSetting,
            format!(
                "layer \"{}\" of {} has no field \"{}\"",
                shown(&self.layer),
                self.name,
                shown(name)
            ),
            if layer.fields.is_empty() {
                "it has no fields; leave out the key".to_owned()
            } else {
                format!("its fields are {}", faults::quoted(&layer.fields))
            },
        )
    }

    /// The features that could not be used.
    fn tell(mut self, said: &mut Vec<Diagnostic>) {
        self.bad.sort_by_key(|b| b.0);
        let of = format!("of layer \"{}\" in {}", shown(&self.layer), self.name);
        let before = said.len();
        for (number, (text, advice)) in &self.bad {
            let message = format!("feature {number} {of} {text}");
            said.push(self.refuse(Code::FeatureUnusable, message, *advice));
        }
        bound_from(said, before);
    }
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

//! A drawing to a file, through GDAL.
//!
//! GDAL's driver does not say when a disk is full. It therefore writes into memory, and headfall the file.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::ffi::CString;
use std::fs::File;
use std::io;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use gdal::DriverManager;
use gdal::errors::{GdalError, Result};
use gdal::raster::RasterCreationOptions;
use gdal::vector::OGRwkbGeometryType as Wkb;
use gdal::vector::{Defn, Feature, Geometry, Layer, LayerOptions};
use gdal::vsi;
use geo::Coord;

use super::entities::{Anchor, Entity, Shape, Text};
use super::frame::Frame;
use crate::diag::printable;
use crate::report::digits;
use crate::write::manners::Manners;

/// How a drawing ends that is whole.
const END: &[u8] = b"EOF\n";

/// Writes the drawing.
pub(super) fn file(frame: &Frame, entities: &[Entity], path: &Path) -> io::Result<()> {
    let _manners = Manners::teach(&[]).map_err(io::Error::other)?;
    let memory = Memory::new();
    write(frame, entities, &memory).map_err(io::Error::other)?;
    vsi::call_on_mem_file_bytes(memory.0.join(Memory::DRAWN), |bytes| {
        if !bytes.ends_with(END) {
            return Err(io::Error::other("the drawing does not fit into memory"));
        }
        let mut file = BufWriter::new(File::create_new(path)?);
        with_spaces(bytes, &mut file)?;
        file.flush()
    })
    .map_err(io::Error::other)?
}

/// Stands for a space in words, a byte that nothing else in a drawing has: GDAL writes a space as a code of two
/// letters, which it parts between lines, and which some programs take together with what follows.
const SPACE: char = '\u{a0}';

/// Writes the drawing with the spaces in its words.
fn with_spaces(bytes: &[u8], into: &mut impl Write) -> io::Result<()> {
    /// So many bytes at once.
    const PART: usize = 1 << 16;
    bytes.chunks(PART).try_for_each(|part| {
        let space = |b: &u8| if u32::from(*b) == u32::from(SPACE) { b' ' } else { *b };
        into.write_all(&part.iter().map(space).collect::<Vec<u8>>())
    })
}

fn write(frame: &Frame, entities: &[Entity], memory: &Memory) -> Result<()> {
    let [drawn, header, trailer] =
        [Memory::DRAWN, Memory::HEADER, Memory::TRAILER].map(|name| memory.0.join(name));
    vsi::create_mem_file(&header, frame.header(entities).into_bytes())?;
    vsi::create_mem_file(&trailer, Frame::trailer().into_bytes())?;
    let options = [
        format!("HEADER={}", header.display()),
        format!("TRAILER={}", trailer.display()),
        "INSUNITS=HEADER_VALUE".to_owned(),
        "MEASUREMENT=HEADER_VALUE".to_owned(),
    ];
    let options: RasterCreationOptions = options.iter().map(String::as_str).collect();
    let driver = DriverManager::get_driver_by_name("DXF")?;
    let mut dataset =
        driver.create_with_band_type_with_options::<u8, _>(drawn, 0, 0, 0, &options)?;
    let layer =
        dataset.create_layer(LayerOptions { name: "entities", ..LayerOptions::default() })?;
    let defn = Defn::from_layer(&layer);
    for entity in entities {
        draw(entity, frame, &defn, &layer)?;
    }
    dataset.close()
}

fn draw(entity: &Entity, frame: &Frame, defn: &Defn, layer: &Layer) -> Result<()> {
    let mut feature = Feature::new(defn)?;
    feature.set_field_string(defn.field_index("Layer")?, &entity.layer)?;
    feature.set_geometry(match &entity.shape {
        Shape::Point(p) => geometry(Wkb::wkbPoint, std::slice::from_ref(p), entity.z)?,
        Shape::Line { points, closed: false } => geometry(Wkb::wkbLineString, points, entity.z)?,
        Shape::Line { points, closed: true } => geometry(Wkb::wkbLinearRing, points, entity.z)?,
        Shape::Text(text) => {
            set_style(&feature, &label(text, frame.height))?;
            geometry(Wkb::wkbPoint, &[text.at], entity.z)?
        }
    })?;
    feature.create(layer)
}

fn geometry(kind: Wkb::Type, points: &[Coord], z: Option<f64>) -> Result<Geometry> {
    let mut geometry = Geometry::empty(kind)?;
    for p in points {
        let [x, y] = [p.x, p.y].map(digits::position);
        match z {
            Some(z) => geometry.add_point((x, y, z)),
            None => geometry.add_point_2d((x, y)),
        }
    }
    Ok(geometry)
}

/// A text as GDAL is asked for it.
fn label(text: &Text, height: f64) -> String {
    let lines: Vec<String> = text.words.lines().map(plain).collect();
    let words = lines.join("\n").replace('"', "\\\"");
    let anchor = match text.anchor {
        Anchor::LowerLeft => 1,
        Anchor::LowerMiddle => 2,
        Anchor::UpperLeft => 7,
    };
    let turn = text.turn_deg;
    format!("LABEL(f:\"Arial\",t:\"{words}\",s:{height}g,a:{turn},p:{anchor})")
}

/// A line of words without what a drawing would take for a command: braces, a backslash, `%%` before a letter.
fn plain(line: &str) -> String {
    let known = |c: char| match c {
        ' ' => SPACE,
        c if u32::from(c) > 0xFFFF => char::REPLACEMENT_CHARACTER,
        c => c,
    };
    let text: String = printable(line).chars().map(known).collect();
    text.replace('{', "(").replace('}', ")").replace('\\', "/").replace("%%", "%\u{a0}%")
}

fn set_style(feature: &Feature, style: &str) -> Result<()> {
    let style = CString::new(style).map_err(GdalError::from)?;
    #[expect(unsafe_code, reason = "the crate has no safe way; the feature copies the text")]
    // SAFETY: feature and text live; GDAL keeps a copy.
    unsafe {
        gdal_sys::OGR_F_SetStyleString(feature.c_feature(), style.as_ptr());
    }
    Ok(())
}

/// A folder in GDAL's memory that nobody else has, emptied when it is done with.
struct Memory(PathBuf);

impl Memory {
    const DRAWN: &str = "layers.dxf";
    const HEADER: &str = "header.dxf";
    const TRAILER: &str = "trailer.dxf";

    fn new() -> Self {
        static NEXT: AtomicUsize = AtomicUsize::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        Self(PathBuf::from(format!("/vsimem/headfall/drawing-{number}")))
    }
}

impl Drop for Memory {
    fn drop(&mut self) {
        for file in [Self::DRAWN, Self::HEADER, Self::TRAILER] {
            let _ = vsi::unlink_mem_file(self.0.join(file));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_hold_nothing_that_a_drawing_would_run() {
        let written = |text: &str| {
            let latin: Vec<u8> =
                text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect();
            let mut written = Vec::new();
            with_spaces(&latin, &mut written).expect("room");
            String::from_utf8(written).expect("plain letters")
        };
        assert_eq!(written(&plain(r"MW{1}%%d \~ \P ~")), "MW(1)% %d /~ /P ~");
        assert_eq!(plain("A\u{7}B\u{1F4A7}"), "A\u{2407}B\u{FFFD}");
        let text = Text {
            words: "6\" well\nx".to_owned(),
            at: Coord { x: 0.0, y: 0.0 },
            anchor: Anchor::LowerLeft,
            turn_deg: 0.0,
        };
        let expected = "LABEL(f:\"Arial\",t:\"6\\\" well\nx\",s:2g,a:0,p:1)";
        assert_eq!(written(&label(&text, 2.0)), expected);
    }
}

//! What each format can hold.

use std::borrow::Cow;

use super::fields::Field;
use super::fields::Kind;

/// A format as GDAL writes it.
#[derive(Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each is a property of the format by itself")]
pub(super) struct Format {
    /// GDAL's name of the driver.
    pub(super) driver: &'static str,
    /// The endings of its files, first the one GDAL is asked for.
    pub(super) endings: &'static [&'static str],
    pub(super) dataset_options: &'static [&'static str],
    pub(super) layer_options: &'static [&'static str],
    /// The same of a table without geometries.
    pub(super) table_options: &'static [&'static str],
    /// How it is told that a CRS is undefined, where leaving it out says something else.
    pub(super) undefined: Option<&'static str>,
    /// Whether features are written in one transaction.
    pub(super) transactions: bool,
    /// Whether layers have a description and a choice of spatial index.
    pub(super) describes: bool,
    /// Whether columns have a description.
    pub(super) comments: bool,
    /// Whether names of columns end after ten letters.
    pub(super) short_names: bool,
    /// Whether it knows true and false.
    pub(super) flags: bool,
    /// The longest text, bytes.
    longest_text: Option<usize>,
    /// Whether a spreadsheet may open it and run formulas.
    defused: bool,
}

const PLAIN: Format = Format {
    driver: "",
    endings: &[],
    dataset_options: &[],
    layer_options: &[],
    table_options: &[],
    undefined: None,
    transactions: false,
    describes: false,
    comments: false,
    short_names: false,
    flags: false,
    longest_text: None,
    defused: false,
};

/// The column of geometries in a GeoPackage.
pub(super) const GEOMETRY: &str = "geom";

/// `layers.gpkg`.
pub(super) const GEOPACKAGE: Format = Format {
    driver: "GPKG",
    endings: &["gpkg"],
    // Programs of 2023 and before open 1.3 without a warning; by itself GDAL would write 1.4.
    dataset_options: &["VERSION=1.3", "ADD_GPKG_OGR_CONTENTS=NO"],
    layer_options: &["GEOMETRY_NAME=geom", "FID=fid"],
    table_options: &["FID=id"],
    // By this name GDAL knows the standard's srs_id -1, undefined Cartesian (OGC 12-128, table of
    // gpkg_spatial_ref_sys).
    undefined: Some("LOCAL_CS[\"Undefined Cartesian SRS\"]"),
    transactions: true,
    describes: true,
    comments: true,
    flags: true,
    ..PLAIN
};

pub(super) const SHAPEFILE: Format = Format {
    driver: "ESRI Shapefile",
    endings: &["shp", "shx", "dbf", "prj", "cpg"],
    layer_options: &["ENCODING=UTF-8", "DBF_DATE_LAST_UPDATE=1970-01-01"],
    short_names: true,
    longest_text: Some(254),
    ..PLAIN
};

pub(super) const FLATGEOBUF: Format = Format {
    driver: "FlatGeobuf",
    endings: &["fgb"],
    layer_options: &["SPATIAL_INDEX=NO"],
    flags: true,
    comments: true,
    ..PLAIN
};

pub(super) const CSV: Format = Format {
    driver: "CSV",
    endings: &["csv"],
    layer_options: &["GEOMETRY=AS_WKT", "CREATE_CSVT=NO", "STRING_QUOTING=IF_NEEDED"],
    defused: true,
    ..PLAIN
};

impl Format {
    /// A text as the format can hold it: one that is too long ends in an ellipsis, one that a
    /// spreadsheet would run begins with an apostrophe.
    pub(super) fn text<'t>(&self, text: &'t str) -> Cow<'t, str> {
        const ELLIPSIS: &str = "…";
        if self.defused {
            return crate::write::tables::text(text);
        }
        match self.longest_text {
            Some(longest) if text.len() > longest => {
                let room = longest - ELLIPSIS.len();
                let ends = text.char_indices().map(|(start, c)| start + c.len_utf8());
                let end = ends.take_while(|end| *end <= room).last().unwrap_or(0);
                Cow::Owned(format!("{}{ELLIPSIS}", &text[..end]))
            }
            _ => Cow::Borrowed(text),
        }
    }

    /// Width and decimals of a column where the format asks for them.
    pub(super) fn width(&self, field: &Field) -> Option<(i32, i32)> {
        let longest = self.longest_text?;
        match field.kind {
            Kind::Text => i32::try_from(longest).ok().map(|w| (w, 0)),
            // Numbers as text: six digits of the smallest gradient, or a whole country's area.
            Kind::Real if self.short_names => {
                Some((24, if field.of == "area_m2" { 2 } else { 15 }))
            }
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_that_is_too_long_says_so_at_a_whole_letter() {
        let long = "井".repeat(100);
        let cut = SHAPEFILE.text(&long);
        assert!(cut.ends_with("井…") && cut.len() <= 254 && cut.len() > 248, "{}", cut.len());
        assert_eq!(SHAPEFILE.text(&"a".repeat(254)), "a".repeat(254));
        assert_eq!(GEOPACKAGE.text(&long), long);
        assert_eq!(CSV.text("=1"), "'=1");
    }
}

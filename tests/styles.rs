//! How programs are to draw the layers: SLD files, the table in the GeoPackage, arrows as areas.

use std::collections::BTreeSet;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::{FieldValue, LayerAccess};
use roxmltree::{Document, Node};

use crate::support::{Folder, contents, near, runs, sample, text};

const SLD: &str = "http://www.opengis.net/sld";
const SE: &str = "http://www.opengis.net/se";
const OGC: &str = "http://www.opengis.net/ogc";

/// What may be in an element, in this order: the sequences of the schemas of SLD 1.1.0 (OGC 05-078r4), SE 1.1.0
/// (OGC 05-077r4) and Filter 1.1.0 (OGC 04-095), as far as these files go. A star: any number of them.
const SEQUENCES: &[(&str, &[&str])] = &[
    ("StyledLayerDescriptor", &["Name", "Description", "NamedLayer*"]),
    ("NamedLayer", &["Name", "Description", "UserStyle*"]),
    ("UserStyle", &["Name", "Description", "IsDefault", "FeatureTypeStyle*", "CoverageStyle*"]),
    ("Description", &["Title", "Abstract"]),
    ("FeatureTypeStyle", &["Name", "Description", "Rule*"]),
    ("CoverageStyle", &["Name", "Description", "Rule*"]),
    (
        "Rule",
        &[
            "Name",
            "Description",
            "Filter",
            "PointSymbolizer*",
            "PolygonSymbolizer*",
            "LineSymbolizer*",
            "TextSymbolizer*",
            "RasterSymbolizer*",
        ],
    ),
    ("Filter", &["PropertyIsEqualTo", "Or"]),
    ("Or", &["PropertyIsEqualTo*"]),
    ("PropertyIsEqualTo", &["PropertyName", "Literal"]),
    ("PointSymbolizer", &["Name", "Description", "Graphic"]),
    ("Graphic", &["Mark*", "Opacity", "Size", "Rotation"]),
    ("Mark", &["WellKnownName", "Fill", "Stroke"]),
    ("LineSymbolizer", &["Name", "Description", "Stroke"]),
    ("PolygonSymbolizer", &["Name", "Description", "Fill", "Stroke"]),
    ("TextSymbolizer", &["Label", "Font", "LabelPlacement", "Halo", "Fill"]),
    ("Label", &["PropertyName"]),
    ("Font", &["SvgParameter*"]),
    ("Fill", &["SvgParameter*"]),
    ("Stroke", &["SvgParameter*"]),
    ("LabelPlacement", &["PointPlacement", "LinePlacement"]),
    ("PointPlacement", &["AnchorPoint", "Displacement"]),
    ("AnchorPoint", &["AnchorPointX", "AnchorPointY"]),
    ("Displacement", &["DisplacementX", "DisplacementY"]),
    ("LinePlacement", &["PerpendicularOffset"]),
    ("Halo", &["Radius", "Fill"]),
    ("RasterSymbolizer", &["ColorMap"]),
    ("ColorMap", &["Interpolate"]),
    ("Interpolate", &["LookupValue", "InterpolationPoint*"]),
    ("InterpolationPoint", &["Data", "Value"]),
];

/// Names of marks that every program has to know (OGC 05-077r4, 11.3.2).
const MARKS: &[&str] = &["square", "circle", "triangle", "star", "cross", "x"];

/// Elements of SLD and of filters; all others are of SE.
const OF_SLD: &[&str] = &["StyledLayerDescriptor", "NamedLayer", "UserStyle", "IsDefault"];
const OF_FILTER: &[&str] = &["Filter", "Or", "PropertyIsEqualTo", "PropertyName", "Literal"];

/// An element has what the schema lets it have, in its order, and so has everything in it.
fn keeps_sequence(node: Node, file: &str) {
    let name = node.tag_name().name();
    let space = match name {
        name if OF_SLD.contains(&name) => SLD,
        name if OF_FILTER.contains(&name) => OGC,
        _ => SE,
    };
    assert_eq!(node.tag_name().namespace(), Some(space), "{file}: {name}");
    let children: Vec<Node> = node.children().filter(Node::is_element).collect();
    let Some((_, sequence)) = SEQUENCES.iter().find(|(of, _)| *of == name) else {
        assert!(children.is_empty(), "{file}: {name} is a text");
        assert!(node.text().is_some_and(|text| !text.trim().is_empty()), "{file}: {name} is empty");
        return;
    };
    let mut at = 0;
    for child in &children {
        let child = child.tag_name().name();
        let found = sequence[at..].iter().position(|part| part.trim_end_matches('*') == child);
        let step = found.unwrap_or_else(|| panic!("{file}: {child} in {name} is out of order"));
        at += step + usize::from(!sequence[at + step].ends_with('*'));
    }
    for child in children {
        keeps_sequence(child, file);
    }
}

fn named<'a>(document: &'a Document<'a>, name: &'a str) -> impl Iterator<Item = Node<'a, 'a>> {
    document.descendants().filter(move |node| node.tag_name().name() == name)
}

/// The files of a folder of styles: the name of the layer and its style.
fn styles(out: &Path) -> Vec<(String, String)> {
    let files = contents(&out.join("styles"));
    let of = |(name, bytes): (String, Vec<u8>)| {
        let layer = name.strip_suffix(".sld").expect("an ending").to_owned();
        (layer, String::from_utf8(bytes).expect("UTF-8"))
    };
    files.into_iter().map(of).collect()
}

fn answered(folder: &Folder) -> std::path::PathBuf {
    let out = folder.path().join("out");
    runs(&["toward", "--quiet", "--out"], &[&out, &sample("closed-landfill")]);
    out
}

#[test]
fn styles_keep_the_sequences_of_the_standards_and_name_columns_that_are_there() {
    let folder = Folder::new();
    let out = answered(&folder);
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let styles = styles(&out);
    let mut layers = BTreeSet::from(["surface".to_owned()]);
    layers.extend(data.layers().map(|layer| layer.name()).filter(|name| name != "layer_styles"));
    assert_eq!(styles.iter().map(|(name, _)| name.clone()).collect::<BTreeSet<_>>(), layers);
    for (name, style) in &styles {
        let document = Document::parse(style).expect("XML");
        let root = document.root_element();
        assert_eq!(root.tag_name().name(), "StyledLayerDescriptor");
        assert_eq!(root.attribute("version"), Some("1.1.0"));
        keeps_sequence(root, name);
        for mark in named(&document, "WellKnownName") {
            assert!(MARKS.contains(&mark.text().expect("a name")), "{name}: {mark:?}");
        }
        if name == "surface" {
            continue;
        }
        let layer = data.layer_by_name(name).expect("the layer");
        let columns: BTreeSet<String> = layer.defn().fields().map(|f| f.name()).collect();
        for column in named(&document, "PropertyName") {
            let column = column.text().expect("a name");
            assert!(columns.contains(column), "{name} has no column {column}");
        }
    }
}

/// The value of a feature that a rule asks for.
fn is_drawn(rule: Node, feature: &gdal::vector::Feature) -> bool {
    let mut pairs = rule.descendants().filter(|n| n.tag_name().name() == "PropertyIsEqualTo");
    let holds = |pair: Node| {
        let part = |name| {
            let found = pair.children().find(|n: &Node| n.has_tag_name((OGC, name)));
            found.and_then(|n| n.text()).expect("a text")
        };
        let column = feature.field_index(part("PropertyName")).expect("a column");
        let value = feature.field(column).expect("readable").and_then(FieldValue::into_string);
        value.as_deref() == Some(part("Literal"))
    };
    let has_filter = rule.children().any(|n| n.has_tag_name((OGC, "Filter")));
    !has_filter || pairs.any(holds)
}

#[test]
fn every_feature_is_drawn_by_exactly_one_rule() {
    let folder = Folder::new();
    let out = answered(&folder);
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let mut seen = BTreeSet::new();
    for (name, style) in styles(&out).iter().filter(|(name, _)| name != "surface") {
        let document = Document::parse(style).expect("XML");
        let mut layer = data.layer_by_name(name).expect("the layer");
        for feature in layer.features() {
            let rules: Vec<Node> =
                named(&document, "Rule").filter(|rule| is_drawn(*rule, &feature)).collect();
            assert_eq!(rules.len(), 1, "{name} {:?}", feature.fid());
            let title = rules[0].children().find(|n| n.has_tag_name((SE, "Name")));
            seen.insert(format!("{name}: {}", title.and_then(|n| n.text()).expect("a name")));
        }
    }
    for expected in [
        "wells: well",
        "wells: well not used",
        "contours: contour",
        "contours: contour, inferred",
        "contours: index contour",
        "arrows: flow, direction known",
        "paths: path from a source",
    ] {
        assert!(seen.contains(expected), "{expected} is not among {seen:?}");
    }
}

/// Colours of a text, `#rrggbb`.
fn colours(text: &str) -> BTreeSet<&str> {
    let at = text.match_indices('#').map(|(i, _)| &text[i..text.len().min(i + 7)]);
    at.filter(|c| c.len() == 7 && c[1..].bytes().all(|b| b.is_ascii_hexdigit())).collect()
}

#[test]
fn colours_are_those_of_the_sheet() {
    let folder = Folder::new();
    let out = folder.path().join("out");
    let site = sample("closed-landfill");
    runs(&["toward", "--quiet", "--shade", "--out"], &[&out, &site]);
    let sheet = text(out.join("map.svg"));
    let of_sheet = colours(&sheet);
    let styles = styles(&out);
    // The sheet of this site has one thing at least of each of these layers.
    for layer in
        ["wells", "contours", "arrows", "paths", "boundary", "source_areas", "pumped_wells"]
    {
        let Some((_, style)) = styles.iter().find(|(name, _)| name == layer) else {
            panic!("{layer} has no style")
        };
        let own = colours(style);
        assert!(!own.is_empty() && own.is_subset(&of_sheet), "{layer}: {own:?}");
    }
    // Weights: an index contour is heavier, dashes only where it is inferred. 1.15 and 0.55 points are
    // 1.15 * 25.4 / 72 / 0.28 = 1.449 and 0.693 pixels of 0.28 mm.
    let contours = &styles.iter().find(|(name, _)| name == "contours").expect("contours").1;
    let document = Document::parse(contours).expect("XML");
    let of_rule = |title: &str, parameter: &str| {
        let rule = named(&document, "Rule").find(|rule| {
            rule.children().any(|n| n.has_tag_name((SE, "Name")) && n.text() == Some(title))
        });
        let stroke =
            rule.expect("a rule").descendants().filter(|n| n.has_tag_name((SE, "SvgParameter")));
        let mut values = stroke.filter(|n| n.attribute("name") == Some(parameter));
        values.next().and_then(|n| n.text()).map(str::to_owned)
    };
    assert_eq!(of_rule("index contour", "stroke-width").as_deref(), Some("1.45"));
    assert_eq!(of_rule("contour", "stroke-width").as_deref(), Some("0.69"));
    assert_eq!(of_rule("contour", "stroke-dasharray"), None);
    assert_eq!(of_rule("contour, inferred", "stroke-dasharray").as_deref(), Some("5.29 3.02"));
}

#[test]
fn the_raster_is_shaded_from_its_lowest_to_its_highest_head() {
    let folder = Folder::new();
    let out = answered(&folder);
    let style = text(out.join("styles/surface.sld"));
    let document = Document::parse(&style).expect("XML");
    let heads: Vec<f64> = named(&document, "Data")
        .map(|n| n.text().and_then(|t| t.parse().ok()).expect("a head"))
        .collect();
    assert!(heads.windows(2).all(|w| w[0] < w[1]), "{heads:?}");
    let raster = Dataset::open(out.join("surface.tif")).expect("GDAL opens it");
    let band = raster.rasterband(1).expect("a band");
    let size = band.size();
    let nodes = band.read_as::<f32>((0, 0), size, size, None).expect("heads");
    let known = || nodes.data().iter().copied().filter(|v| v.is_finite()).map(f64::from);
    near(heads[0], known().fold(f64::INFINITY, f64::min), 1e-4);
    near(heads[heads.len() - 1], known().fold(f64::NEG_INFINITY, f64::max), 1e-4);
}

#[test]
fn the_geopackage_is_of_version_1_3_and_has_the_styles_in_its_table() {
    let folder = Folder::new();
    let out = answered(&folder);
    // The header of an SQLite file: user_version at byte 60, application_id at byte 68, big-endian
    // (sqlite.org, Database File Format); their values by OGC 12-128r17, requirement 2.
    let bytes = std::fs::read(out.join("layers.gpkg")).expect("a file");
    assert_eq!(bytes[60..64], 10_300_u32.to_be_bytes());
    assert_eq!(bytes[68..72], *b"GPKG");
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let files = styles(&out);
    let query = "SELECT f_table_name, styleSLD, styleQML, useAsDefault, f_geometry_column, \
                 f_table_schema, update_time FROM layer_styles";
    let dialect = gdal::vector::sql::Dialect::DEFAULT;
    let mut rows = data.execute_sql(query, None, dialect).expect("SQL").expect("rows");
    let mut count = 0;
    for row in rows.features() {
        let cell = |k| row.field_as_string(k).expect("a text");
        let name = cell(0).expect("a layer");
        let file = files.iter().find(|(of, _)| *of == name).expect("its file");
        assert_eq!(cell(1).as_ref(), Some(&file.1), "{name}");
        assert_eq!(cell(2), None, "{name}");
        assert_eq!(cell(3).as_deref(), Some("1"), "{name}");
        assert_eq!(cell(4).as_deref(), Some("geom"), "{name}");
        assert_eq!(cell(5).as_deref(), Some(""), "{name}");
        let time = cell(6).expect("a time");
        assert!(time.starts_with("1970/01/01 00:00:00"), "{time}");
        count += 1;
    }
    assert_eq!(count, files.len() - 1, "all but the raster");
}

#[test]
fn an_arrow_points_where_its_row_says_and_is_longer_with_the_gradient() {
    let folder = Folder::new();
    let out = answered(&folder);
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let mut layer = data.layer_by_name("arrows").expect("arrows");
    let mut lengths = Vec::new();
    for feature in layer.features() {
        let number = |name: &str| {
            let index = feature.field_index(name).expect("a column");
            feature.field_as_double(index).expect("a number").expect("a value")
        };
        let outline = feature.geometry().expect("an area").get_geometry(0);
        let mut corners = Vec::new();
        outline.get_points(&mut corners);
        // Its tail is half way between its first and seventh corner, its tip the fourth.
        let tail =
            (f64::midpoint(corners[0].0, corners[6].0), f64::midpoint(corners[0].1, corners[6].1));
        let (east, north) = (corners[3].0 - tail.0, corners[3].1 - tail.1);
        let azimuth = east.atan2(north).to_degrees().rem_euclid(360.0);
        let off = (azimuth - number("flow_azimuth_grid_deg") + 180.0).rem_euclid(360.0) - 180.0;
        assert!(off.abs() < 0.05, "{off}");
        lengths.push((number("gradient"), east.hypot(north)));
    }
    assert!(lengths.len() > 5, "{lengths:?}");
    lengths.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert!(lengths.windows(2).all(|w| w[1].1 > w[0].1 - 0.01), "{lengths:?}");
    assert!(lengths[lengths.len() - 1].1 > 1.2 * lengths[0].1, "{lengths:?}");
}

#[test]
fn data_alone_has_no_styles() {
    let folder = Folder::new();
    let out = folder.path().join("out");
    runs(&["draw", "--quiet", "--data-only", "--out"], &[&out, &sample("fuel-depot")]);
    assert!(!out.join("styles").exists());
}

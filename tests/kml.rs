//! `layers.kml`, read with an XML parser and held against the GeoJSON, the GeoPackage and the sequences of the standard.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use gdal::Dataset;
use gdal::vector::LayerAccess;
use headfall::diag::Code;
use headfall::read::{Overrides, VectorFormat};
use roxmltree::{Document, Node};
use serde_json::Value;

use crate::support::{self, Folder, json, near, runs, sample, text, told};

pub(crate) const KML: &str = "http://www.opengis.net/kml/2.2";

/// What may be in an element, in this order: the sequences of OGC 07-147r2, as far as this file goes. That of features was
/// looked up in a copy of its schema, the others are from memory. A star: any number of them.
const SEQUENCES: &[(&str, &[&str])] = &[
    ("kml", &["Document"]),
    ("Document", &["name", "visibility", "open", "description", "Style*", "Schema*", "Folder*"]),
    ("Folder", &["name", "visibility", "open", "description", "Placemark*"]),
    (
        "Placemark",
        &[
            "name",
            "description",
            "styleUrl",
            "ExtendedData",
            "Point",
            "LineString",
            "Polygon",
            "MultiGeometry",
        ],
    ),
    ("Schema", &["SimpleField*"]),
    ("SimpleField", &["displayName"]),
    ("ExtendedData", &["SchemaData"]),
    ("SchemaData", &["SimpleData*"]),
    ("Style", &["IconStyle", "LabelStyle", "LineStyle", "PolyStyle"]),
    ("IconStyle", &["color", "scale"]),
    ("LineStyle", &["color", "width"]),
    ("PolyStyle", &["color", "fill"]),
    ("MultiGeometry", &["Point*", "LineString*", "Polygon*"]),
    ("Point", &["extrude", "altitudeMode", "coordinates"]),
    ("LineString", &["extrude", "tessellate", "altitudeMode", "coordinates"]),
    ("Polygon", &["extrude", "tessellate", "altitudeMode", "outerBoundaryIs", "innerBoundaryIs*"]),
    ("outerBoundaryIs", &["LinearRing"]),
    ("innerBoundaryIs", &["LinearRing"]),
    ("LinearRing", &["coordinates"]),
];

fn elements<'a>(node: Node<'a, 'a>) -> impl Iterator<Item = Node<'a, 'a>> {
    node.children().filter(Node::is_element)
}

fn keeps_sequence(node: Node) {
    let name = node.tag_name().name();
    assert_eq!(node.tag_name().namespace(), Some(KML), "{name}");
    let Some((_, sequence)) = SEQUENCES.iter().find(|(of, _)| *of == name) else {
        assert!(elements(node).next().is_none(), "{name} is a text");
        return;
    };
    let mut at = 0;
    for child in elements(node) {
        let child = child.tag_name().name();
        let found = sequence[at..].iter().position(|part| part.trim_end_matches('*') == child);
        let step = found.unwrap_or_else(|| panic!("{child} in {name} is out of order"));
        at += step + usize::from(!sequence[at + step].ends_with('*'));
    }
    elements(node).for_each(keeps_sequence);
}

fn named<'a>(node: Node<'a, 'a>, name: &'a str) -> impl Iterator<Item = Node<'a, 'a>> {
    node.descendants().filter(move |node| node.tag_name().name() == name)
}

fn child<'a>(node: Node<'a, 'a>, name: &str) -> Node<'a, 'a> {
    elements(node).find(|node| node.tag_name().name() == name).unwrap_or_else(|| panic!("{name}"))
}

fn said<'a>(node: Node<'a, 'a>, name: &str) -> &'a str {
    child(node, name).text().unwrap_or_default()
}

/// The placemarks of each folder, by its name.
fn folders<'a>(document: &'a Document<'a>) -> BTreeMap<&'a str, Vec<Node<'a, 'a>>> {
    let of = |folder| (said(folder, "name"), named(folder, "Placemark").collect());
    named(document.root(), "Folder").map(of).collect()
}

/// The columns of a placemark that are not empty.
fn columns<'a>(placemark: Node<'a, 'a>) -> BTreeMap<&'a str, &'a str> {
    let cell = |data: Node<'a, 'a>| {
        (data.attribute("name").expect("a name"), data.text().unwrap_or_default())
    };
    named(placemark, "SimpleData").map(cell).collect()
}

/// The places of an element, in degrees: longitude, latitude and nothing more.
fn places(node: Node) -> Vec<[f64; 2]> {
    let of = |text: &str| {
        let numbers: Vec<f64> = text.split(',').map(|n| n.parse().expect("a number")).collect();
        <[f64; 2]>::try_from(numbers).expect("longitude and latitude")
    };
    let texts = node.descendants().filter(|n| n.tag_name().name() == "coordinates");
    texts.flat_map(|n| n.text().unwrap_or_default().split_whitespace().map(of)).collect()
}

fn answered(folder: &Folder, more: &[&str]) -> PathBuf {
    let out = folder.path().join(format!("out{}", more.concat()));
    let options = [&["toward", "--quiet", "--format", "kml"], more, &["--out"]].concat();
    runs(&options, &[&out, &sample("closed-landfill")]);
    out
}

fn features(out: &Path, file: &str) -> Vec<Value> {
    json(out.join(file))["features"].as_array().expect("features").clone()
}

#[test]
fn the_file_keeps_the_sequences_of_the_standard_and_refers_to_what_is_in_it() {
    let folder = Folder::new();
    let out = answered(&folder, &[]);
    let text = text(out.join("layers.kml"));
    let document = Document::parse(&text).expect("XML");
    keeps_sequence(document.root_element());
    let ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).collect();
    let different: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(ids.len(), different.len(), "ids differ");
    let styles = named(document.root(), "styleUrl").filter_map(|n| n.text());
    let tables = named(document.root(), "SchemaData").filter_map(|n| n.attribute("schemaUrl"));
    for to in styles.chain(tables) {
        assert!(to.strip_prefix('#').is_some_and(|id| different.contains(id)), "{to}");
    }
    for mode in named(document.root(), "altitudeMode") {
        assert_eq!(mode.text(), Some("clampToGround"));
    }
    for ring in named(document.root(), "LinearRing") {
        let ring = places(ring);
        assert!(ring.len() > 3 && ring.first() == ring.last(), "{ring:?}");
    }
    // Columns and types of what is in them.
    let kinds: BTreeMap<_, _> = named(document.root(), "SimpleField")
        .map(|f| {
            ((f.parent().and_then(|s| s.attribute("id")), f.attribute("name")), f.attribute("type"))
        })
        .collect();
    for data in named(document.root(), "SimpleData") {
        let table = data.parent().and_then(|s| s.attribute("schemaUrl")).map(|id| &id[1..]);
        let value = data.text().unwrap_or_default();
        match kinds[&(table, data.attribute("name"))].expect("a type") {
            "string" => {}
            "int" => drop(value.parse::<i32>().expect(value)),
            "double" => assert!(value.parse::<f64>().expect(value).is_finite()),
            "bool" => drop(value.parse::<bool>().expect(value)),
            other => panic!("{other} is no type of the standard"),
        }
    }
    assert!(support::recorded(&out).contains_key("layers.kml"));
    let again = answered(&folder, &["--threads", "1"]);
    assert!(text == support::text(again.join("layers.kml")), "the bytes follow the threads");
}

#[test]
fn places_and_columns_are_those_of_the_geojson_and_every_layer_is_there() {
    let folder = Folder::new();
    let out = answered(&folder, &[]);
    let text = text(out.join("layers.kml"));
    let document = Document::parse(&text).expect("XML");
    let folders = folders(&document);
    let package = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    for layer in package.layers().filter(|layer| layer.name() != "layer_styles") {
        let name = layer.name().replace('_', " ");
        assert_eq!(folders[name.as_str()].len() as u64, layer.feature_count(), "{name}");
    }
    for (name, file) in [
        ("wells", "wells"),
        ("contours", "contours"),
        ("triangles", "triangles"),
        ("paths", "paths"),
    ] {
        let features = features(&out, &format!("{file}.geojson"));
        assert_eq!(folders[name].len(), features.len(), "{name}");
        for (placemark, feature) in folders[name].iter().zip(&features) {
            let columns = columns(*placemark);
            let properties = &feature["properties"];
            // RFC 7946: the same datum and order. The GeoJSON is rounded to 8 decimals from the places themselves, this
            // from places to 0.1 mm: they differ by the last decimal at most.
            let there = &feature["geometry"]["coordinates"];
            let there: Vec<&Value> = match name {
                "wells" => vec![there],
                "triangles" => there[0].as_array().expect("a ring").iter().collect(),
                _ => there.as_array().expect("a line").iter().collect(),
            };
            let here = places(*placemark);
            assert_eq!(here.len(), there.len(), "{name} {columns:?}");
            for there in there {
                let near_to = |p: &&[f64; 2]| {
                    (0..2).all(|k| (p[k] - there[k].as_f64().expect("a number")).abs() < 1.5e-8)
                };
                assert!(here.iter().any(|p| near_to(&p)), "{name}: {there} of {here:?}");
            }
            match name {
                "wells" => {
                    assert_eq!(properties["id"], said(*placemark, "name"));
                    assert_eq!(properties["used"].to_string(), columns["used"]);
                    let head = columns.get("head_m").map(|h| h.parse().expect("a number"));
                    assert_eq!(properties["head_m"].as_f64(), head);
                }
                "contours" => {
                    let (level, unit) = said(*placemark, "name").split_once(' ').expect("a unit");
                    near(
                        level.parse().expect("a level"),
                        properties["level"].as_f64().expect("one"),
                        0.0,
                    );
                    assert_eq!(properties["unit"], unit);
                    let style =
                        format!("#contours-{}", properties["sign"].as_str().expect("a sign"));
                    assert_eq!(said(*placemark, "styleUrl"), style);
                }
                _ => {}
            }
        }
    }
}

#[test]
fn a_plan_in_local_coordinates_has_no_globe() {
    let plan = "well,x,y,head\nA,0,0,10\nB,100,0,9\nC,0,100,10\n";
    let folder = Folder::new().with("plan.csv", plan).with(
        "site.toml",
        "[site]\ncrs = \"local\"\nelevation_unit = \"m\"\n[output]\nformats = [\"kml\"]\n",
    );
    let overrides = Overrides { formats: vec![VectorFormat::Kml], ..Overrides::default() };
    for overrides in [&overrides, &Overrides::default()] {
        let (map, findings) = support::map(&folder.at("plan.csv"), overrides);
        assert!(map.is_err(), "{findings:#?}");
        told(&findings, Code::SiteSetting).giving(&["kml", "local", "[[tie]]"]).once();
    }
}

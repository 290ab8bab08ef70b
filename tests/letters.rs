//! Names in letters that the built-in ones lack: the fonts that a site names for them, and what a PDF says of them.

use std::collections::BTreeSet;
use std::path::Path;

use roxmltree::{Document, Node};

use crate::batch::{SPRING, site};
use crate::support::{Folder, ends, headfall, json, runs, stderr, text};

/// Names of wells of the invented site, and the font that has their letters (tests/data/fonts).
const NAMES: [(&str, &str, &str); 5] = [
    ("W-0", "בור-7", "hebrew.ttf"),
    ("W-3", "بئر الشمال", "arabic.ttf"),
    ("W-5", "कुआँ क्षेत्र", "devanagari.ttf"),
    ("W-8", "บ่อที่ 2", "thai.ttf"),
    ("W-11", "北井 3", "chinese.ttc"),
];

/// The site with these names and a name of its own in Hebrew.
fn named_site(fonts: &str) -> Folder {
    let folder = Folder::new();
    site(folder.path(), "חצר בדיקה", &[SPRING]);
    for file in ["wells.csv", "rounds/2025-04.csv"] {
        folder.change(file, |text| {
            NAMES.iter().fold(text, |text, (old, new, _)| {
                text.replace(&format!("\n{old},"), &format!("\n{new},"))
            })
        });
    }
    for (_, _, font) in NAMES {
        folder.file(&format!("fonts/{font}"), bytes(font));
    }
    folder.change("site.toml", |text| text + "\n[sheet]\n" + fonts);
    folder
}

fn bytes(font: &str) -> Vec<u8> {
    let fonts = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fonts");
    std::fs::read(fonts.join(font)).expect("a font")
}

/// The line of `site.toml` that names them all.
fn all_fonts() -> String {
    let all = NAMES.map(|(_, _, font)| format!("\"fonts/{font}\""));
    format!("fonts = [{}]\n", all.join(", "))
}

fn drawn(folder: &Folder, out: &str) -> std::path::PathBuf {
    let out = folder.at(out);
    runs(&["draw", "--quiet", "--dpi", "100", "--out"], &[&out, folder.path()]);
    out
}

/// Lines of text of a layer that are outlines: what each says and its paths.
fn outlined<'a>(svg: &'a Document, id: &str) -> Vec<(&'a str, Vec<Node<'a, 'a>>)> {
    let layer = svg.descendants().find(|n| n.attribute("id") == Some(id)).expect(id);
    let is_name = |n: &Node| n.attribute("role") == Some("img");
    let said = |n: Node<'a, 'a>| {
        let title = n.children().find(|n| n.tag_name().name() == "title").expect("a title");
        let paths = n.children().filter(|n| n.tag_name().name() == "path").collect();
        (title.text().expect("words"), paths)
    };
    layer.descendants().filter(is_name).map(said).collect()
}

/// The leftmost and the rightmost place of an outline along its line, parts of the em.
fn reach(path: Node) -> [f64; 2] {
    let transform = path.attribute("transform").expect("a place");
    let scale = transform.split("scale(").nth(1).and_then(|s| s.split(' ').next());
    // Letters of one size: the scale is the same for fonts of the same em, here 1000.
    assert!(scale.expect("a scale").parse::<f64>().expect("a number") > 0.0);
    let d = path.attribute("d").expect("a path");
    let numbers = d.split(|c: char| !(c.is_ascii_digit() || ".-".contains(c)));
    let numbers: Vec<f64> = numbers.filter_map(|n| n.parse().ok()).collect();
    let along = numbers.iter().step_by(2);
    along.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, r], x| [l.min(*x), r.max(*x)])
}

#[test]
fn names_are_drawn_with_the_fonts_of_the_site() {
    let folder = named_site(&all_fonts());
    let out = drawn(&folder, "out");
    let sheet = text(out.join("map.svg"));
    let svg = Document::parse(&sheet).expect("XML");
    let labels = outlined(&svg, "well-labels");
    let said: BTreeSet<&str> = labels.iter().map(|l| l.0).collect();
    assert_eq!(said, NAMES.iter().map(|n| n.1).collect());
    assert!(!sheet.contains('‹'), "a code point where a font is there");
    assert_eq!(outlined(&svg, "title")[0].0, "חצר בדיקה");
    // Others are text as ever.
    let written = svg.descendants().filter(|n| n.tag_name().name() == "text");
    assert_eq!(written.filter(|n| n.text() == Some("W-1")).count(), 1);
    // From left to right: the digit, the hyphen, the word, none over another.
    let (_, paths) = labels.iter().find(|l| l.0 == "בור-7").expect("a name");
    let reaches: Vec<[f64; 2]> = paths.iter().map(|p| reach(*p)).collect();
    assert_eq!(reaches.len(), 3, "{reaches:?}");
    assert!(reaches.windows(2).all(|w| w[0][1] < w[1][0] + 50.0), "{reaches:?}");
    let widths: Vec<f64> = reaches.iter().map(|r| r[1] - r[0]).collect();
    assert!(widths[2] > widths[0] && widths[0] > widths[1], "{widths:?}");
    // Fonts are inputs, with their hashes.
    let summary = json(out.join("summary.json"));
    let inputs = summary["inputs"].as_array().expect("a list");
    for (_, _, font) in NAMES {
        let file = format!("fonts/{font}");
        let input = inputs.iter().find(|i| i["file"] == file.as_str()).expect("an input");
        assert_eq!(input["sha256"].as_str().map(str::len), Some(64));
    }
    runs(&["verify"], &[&out]);
    // The same once more, byte by byte.
    let again = drawn(&folder, "again");
    for file in ["map.svg", "map.pdf", "map.png"] {
        let read = |out: &Path| std::fs::read(out.join(file)).expect("a file");
        assert!(read(&out) == read(&again), "{file}");
    }
}

#[test]
fn names_are_text_in_the_pdf() {
    let folder = named_site(&all_fonts());
    let pdf = lopdf::Document::load(drawn(&folder, "out").join("map.pdf")).expect("a PDF");
    let text = pdf.extract_text(&[1]).expect("text");
    for name in NAMES.iter().map(|n| n.1).chain(["חצר בדיקה"]) {
        let missing: Vec<char> = name.chars().filter(|c| !text.contains(*c)).collect();
        assert!(missing.is_empty(), "{missing:?} of {name} are not in {text}");
    }
    // This reader knows no direction: it reads from left to right, as it is drawn.
    for letters in ["רוב", "北井"] {
        assert!(text.contains(letters), "{letters}: {text}");
    }
    assert!(!text.contains("בור"), "{text}");
}

#[test]
fn without_a_font_names_are_code_points_and_the_panel_says_what_to_do() {
    let folder = named_site("");
    let sheet = text(drawn(&folder, "out").join("map.svg"));
    assert!(sheet.contains(">‹5317›‹4E95› 3<"), "code points");
    assert!(sheet.contains("5 names") && sheet.contains("[sheet] fonts"), "a note");
    // With a font for one of them four are left.
    let folder = named_site("fonts = [\"fonts/chinese.ttc\"]\n");
    let sheet = text(drawn(&folder, "out").join("map.svg"));
    assert!(!sheet.contains(">‹5317›‹4E95› 3<") && sheet.contains("4 names"));
}

#[test]
fn fonts_that_a_sheet_cannot_use_are_refused() {
    // The same with `fsType` 2 in OS/2, 8 bytes from its start: embedding needs the permission of the owner.
    let mut restricted = bytes("hebrew.ttf");
    let entry = restricted.windows(4).position(|w| w == b"OS/2").expect("a table");
    let at: [u8; 4] = restricted[entry + 8..entry + 12].try_into().expect("four");
    restricted[u32::from_be_bytes(at) as usize + 9] = 2;
    for (name, font, code, said) in [
        ("missing.ttf", None, "R101", "missing.ttf"),
        ("table.ttf", Some(b"id,head\n".to_vec()), "R119", "is no font"),
        ("cut.ttf", Some(bytes("hebrew.ttf")[..300].to_vec()), "R119", "cut.ttf"),
        ("sold.ttf", Some(restricted), "R119", "fsType 2"),
        ("", None, "R102", "fonts is empty"),
    ] {
        let folder = named_site(&format!("fonts = [\"{name}\"]\n"));
        if let Some(font) = font {
            folder.file(name, font);
        }
        let out = folder.at("out");
        let refused = headfall(&["draw", "--out"], &[&out, folder.path()]);
        ends(&refused, 2);
        let words = stderr(&refused);
        assert!(words.contains(code) && words.contains(said), "{name}: {words}");
        assert!(words.contains("site.toml, line") && !out.exists(), "{words}");
    }
}

/// The children of an element of a structure tree, all the way down, in their order: their kind and what stands for them.
fn elements(pdf: &lopdf::Document, of: &lopdf::Dictionary, found: &mut Vec<(String, String)>) {
    let Ok(kids) = of.get(b"K") else { return };
    let kids = match kids {
        lopdf::Object::Array(kids) => kids.clone(),
        one => vec![one.clone()],
    };
    for kid in kids {
        let Ok((_, kid)) = pdf.dereference(&kid) else { continue };
        let Ok(kid) = kid.as_dict() else { continue };
        let Ok(kind) = kid.get(b"S").and_then(lopdf::Object::as_name) else { continue };
        let said = kid.get(b"Alt").or_else(|_| kid.get(b"T")).ok();
        let said = said.map(|s| lopdf::decode_text_string(s).expect("text")).unwrap_or_default();
        found.push((String::from_utf8_lossy(kind).into_owned(), said));
        elements(pdf, kid, found);
    }
}

#[test]
fn the_pdf_is_for_archives_and_is_read_out_in_order() {
    // ISO 19005-2:2011, 6.6.4 and 6.2.3; ISO 14289-1:2014, 5, 7.1 and 7.3; ISO 32000-1:2008, 14.7 and 14.8.
    let folder = named_site(&all_fonts());
    let pdf = lopdf::Document::load(drawn(&folder, "out").join("map.pdf")).expect("a PDF");
    assert_eq!(pdf.version, "1.7");
    let catalog = pdf.catalog().expect("a catalogue");
    let dict = |of: &lopdf::Dictionary, key: &[u8]| {
        let object = of.get(key).expect("an entry");
        pdf.dereference(object).expect("an object").1.as_dict().expect("a dictionary").clone()
    };
    let metadata = catalog.get(b"Metadata").and_then(lopdf::Object::as_reference).expect("XMP");
    let metadata = pdf.get_object(metadata).and_then(|o| o.as_stream()).expect("a stream");
    let xmp = String::from_utf8(metadata.content.clone()).expect("UTF-8");
    for said in [
        "<pdfaid:part>2</pdfaid:part>",
        "<pdfaid:conformance>U</pdfaid:conformance>",
        "<pdfuaid:part>1</pdfuaid:part>",
        "חצר בדיקה",
        // The day of the readings, not that on which the test runs.
        "<xmp:CreateDate>2025-04-12T00:00:00Z</xmp:CreateDate>",
    ] {
        assert!(xmp.contains(said), "{said} is not in {xmp}");
    }
    assert_eq!(catalog.get(b"Lang").and_then(lopdf::Object::as_str).expect("a language"), b"en");
    let marked = dict(catalog, b"MarkInfo").get(b"Marked").cloned();
    assert!(marked.is_ok_and(|m| m.as_bool().is_ok_and(|m| m)));
    assert!(catalog.has(b"OutputIntents"));
    let mut found = Vec::new();
    elements(&pdf, &dict(catalog, b"StructTreeRoot"), &mut found);
    let kinds: Vec<&str> = found.iter().map(|f| f.0.as_str()).filter(|k| *k != "P").collect();
    let first = kinds.iter().position(|k| *k == "H1").expect("a title");
    assert_eq!(kinds[first..first + 3], ["H1", "Figure", "H2"], "{kinds:?}");
    assert_eq!(kinds.iter().filter(|k| **k == "Figure").count(), 1);
    let figure = &found.iter().find(|f| f.0 == "Figure").expect("a figure").1;
    for said in ["חצר בדיקה", "Potentiometric surface", "12 wells", "NAVD 88", "heads.csv"]
    {
        assert!(figure.contains(said), "{said} is not in {figure}");
    }
    // Every font is embedded and says what its letters are.
    let fonts = pdf.objects.values().filter_map(|o| o.as_dict().ok());
    let fonts: Vec<_> = fonts
        .filter(|d| d.get(b"Subtype").and_then(lopdf::Object::as_name).is_ok_and(|s| s == b"Type0"))
        .collect();
    assert!(fonts.len() >= 7 && fonts.iter().all(|f| f.has(b"ToUnicode")), "{}", fonts.len());
}

//! Every well on the map sheet has its name and head, there or in a table; letters are large enough to be read; words may have
//! a page of their own.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use roxmltree::{Document, Node};

use crate::batch::{SPRING, site};
use crate::figure::vertices;
use crate::support::{Folder, head_of, runs, sample, table, text};

/// Twenty-five wells 2 m apart about a tank, and ten over 300 m: an invented site.
fn cluster() -> Folder {
    let folder = Folder::new();
    site(folder.path(), "Tank farm", &[SPRING]);
    let near = (0..25).map(|i| (f64::from(i % 5) * 2.0 + 140.0, f64::from(i / 5) * 2.0 + 150.0));
    let far = (0..10).map(|i| (f64::from(i) * 33.0, if i % 2 == 0 { 5.0 } else { 290.0 }));
    let mut wells = "id,easting,northing,measuring_point_elevation\n".to_owned();
    let mut readings = "id,date,depth_to_water,status\n".to_owned();
    for (i, (x, y)) in near.chain(far).enumerate() {
        let head = 50.0 - 0.004 * x - 0.002 * y;
        let _ = writeln!(wells, "W-{i},{},{},55", 440_000.0 + x, 4_650_000.0 + y);
        let _ = writeln!(readings, "W-{i},2026-04-12,{:.2},", 55.0 - head);
    }
    // One is dry, one was not reached, and nobody read a third.
    for (name, x) in [("D-1", 20.0), ("D-2", 120.0), ("D-3", 240.0)] {
        let _ = writeln!(wells, "{name},{},4650100,55", 440_000.0 + x);
    }
    readings += "D-1,2026-04-12,,dry\nD-2,2026-04-12,,not accessible\n";
    fs::write(folder.at("wells.csv"), wells).expect("written");
    fs::write(folder.at(&format!("rounds/{}.csv", SPRING.name)), readings).expect("written");
    folder
}

fn sheet_of(folder: &Path, out: &Path, more: &[&str]) {
    let mut arguments = vec!["draw", "--quiet"];
    arguments.extend(more);
    arguments.push("--out");
    runs(&arguments, &[out, folder]);
}

/// The texts of each page of a PDF, in their order.
fn pages(out: &Path) -> Vec<Vec<String>> {
    let pdf = lopdf::Document::load(out.join("map.pdf")).expect("a PDF");
    let of = |page: u32| {
        let text = pdf.extract_text(&[page]).expect("text");
        text.lines().map(|line| line.trim().to_owned()).filter(|line| !line.is_empty()).collect()
    };
    (1..).take(pdf.get_pages().len()).map(of).collect()
}

/// The wells of the head table with their heads, to 0.01.
fn heads(out: &Path) -> BTreeMap<String, Option<f64>> {
    let head = |row: &BTreeMap<String, String>| {
        let used = row["used_for_contouring"] == "yes";
        (row["well"].clone(), used.then(|| head_of(row)))
    };
    table(out.join("heads.csv")).iter().map(head).collect()
}

/// What of the wells is not on the pages as a name with its head right behind.
fn missing(out: &Path) -> Vec<String> {
    let lines: Vec<String> = pages(out).concat();
    let has = |well: &str, head: Option<f64>| {
        let behind = |pair: &[String]| {
            let posted = pair[1].trim_end_matches(['*', '?']).parse::<f64>();
            pair[0] == well
                && head.is_none_or(|head| posted.is_ok_and(|p| (p - head).abs() < 0.0051))
        };
        lines.windows(2).any(behind)
    };
    let heads = heads(out).into_iter();
    heads.filter(|(well, head)| !has(well, *head)).map(|(well, _)| well).collect()
}

/// Everything in a layer of the drawing; nothing where it has none.
fn layer<'a>(svg: &'a Document, id: &str) -> impl Iterator<Item = Node<'a, 'a>> {
    let found = svg.descendants().find(|n| n.attribute("id") == Some(id));
    found.into_iter().flat_map(|layer| layer.descendants())
}

#[test]
fn every_well_of_a_cluster_has_its_head_on_the_map_or_in_the_table() {
    let folder = cluster();
    for page in ["Letter", "A3"] {
        let out = folder.at(page);
        sheet_of(folder.path(), &out, &["--page", page]);
        assert_eq!(heads(&out).len(), 37);
        assert!(missing(&out).is_empty(), "{page}: {:?}", missing(&out));
        // Numbers beside wells are those of the table, from 1 on, each once.
        let svg = text(out.join("map.svg"));
        let svg = Document::parse(&svg).expect("XML");
        let keys = layer(&svg, "key-labels")
            .filter(|n| n.has_tag_name("text"))
            .filter_map(|n| n.text()?.trim().parse().ok());
        let mut keys: Vec<usize> = keys.collect();
        keys.sort_unstable();
        assert!(page == "A3" || keys.len() >= 3, "{keys:?}");
        assert!(keys.iter().copied().eq(1..=keys.len()), "{keys:?}");
    }
}

#[test]
fn a_cluster_has_an_inset_with_its_scale_and_letter() {
    let folder = cluster();
    let out = folder.at("out");
    sheet_of(folder.path(), &out, &[]);
    let svg = text(out.join("map.svg"));
    let svg = Document::parse(&svg).expect("XML");
    let letters: Vec<&str> = layer(&svg, "inset-labels").filter_map(|n| n.text()).collect();
    let letters: Vec<&str> = letters.into_iter().filter(|t| !t.trim().is_empty()).collect();
    assert!(letters.contains(&"A"), "{letters:?}");
    let panel: Vec<&str> = layer(&svg, "panel").filter_map(|n| n.text()).collect();
    let heading = panel.iter().find_map(|t| t.strip_prefix("Inset A, 1:")).expect("a heading");
    let (inset, map) = (heading.parse::<f64>().expect("a scale"), |t: &&str| {
        t.strip_prefix("1:")?.parse::<f64>().ok()
    });
    let map = panel.iter().find_map(map).expect("a scale");
    assert!(inset * 1.4 < map, "1:{inset} in 1:{map}");
    // Wells of the cluster are 2 m apart: on paper 2 m over the scale.
    let circles = layer(&svg, "panel").filter(|n| n.has_tag_name("circle"));
    let places: Vec<[f64; 2]> = circles
        .filter_map(|n| Some([n.attribute("cx")?.parse().ok()?, n.attribute("cy")?.parse().ok()?]))
        .collect();
    let apart = |a: &[f64; 2], b: &[f64; 2]| libm::hypot(a[0] - b[0], a[1] - b[1]);
    let pairs =
        places.iter().enumerate().flat_map(|(i, a)| places[..i].iter().map(move |b| (a, b)));
    let nearest =
        pairs.map(|(a, b)| apart(a, b)).filter(|d| *d > 0.1).fold(f64::INFINITY, f64::min);
    let expected = 2.0 / inset / 0.0254 * 72.0;
    assert!((nearest - expected).abs() < 0.01 * expected, "{nearest} and {expected} points");
}

#[test]
fn every_well_of_a_large_network_has_its_head_on_a_page() {
    let folder = Folder::new();
    let out = folder.at("out");
    sheet_of(&sample("river-valley"), &out, &[]);
    assert_eq!(heads(&out).len(), 300);
    assert!(missing(&out).is_empty(), "{:?}", missing(&out));
    assert!(pages(&out).len() > 1, "a table on a page of its own");
}

#[test]
fn a_well_without_a_head_says_so_where_it_is() {
    let folder = cluster();
    let out = folder.at("out");
    sheet_of(folder.path(), &out, &[]);
    let svg = text(out.join("map.svg"));
    let svg = Document::parse(&svg).expect("XML");
    let labels = svg.descendants().find(|n| n.attribute("id") == Some("well-labels"));
    let labels: Vec<&str> =
        labels.expect("labels").descendants().filter_map(|n| n.text()).collect();
    let labels: Vec<&str> = labels.into_iter().filter(|t| !t.trim().is_empty()).collect();
    for pair in [["D-1", "dry"], ["D-2", "not measured"], ["D-3", "not measured"]] {
        assert!(labels.windows(2).any(|w| w == pair), "{pair:?} is not in {labels:?}");
    }
}

#[test]
fn letters_are_of_7_points_at_least_and_larger_on_larger_paper() {
    let folder = cluster();
    for (page, least) in [("Letter", 7.0), ("A4", 7.0), ("Tabloid", 8.4), ("A3", 8.4)] {
        let out = folder.at(page);
        sheet_of(folder.path(), &out, &["--page", page]);
        let svg = text(out.join("map.svg"));
        let svg = Document::parse(&svg).expect("XML");
        let sizes = svg.descendants().filter_map(|n| n.attribute("font-size")?.parse().ok());
        let smallest = sizes.fold(f64::INFINITY, f64::min);
        assert!((smallest - least).abs() < 0.006, "{page}: {smallest}");
    }
}

#[test]
fn words_have_a_page_of_their_own_where_that_is_asked_for() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING]);
    let toml = folder.at("site.toml");
    let plain = text(&toml);
    let frame = |panel: &str| {
        let asked = if panel.is_empty() { String::new() } else { format!("panel = \"{panel}\"\n") };
        fs::write(&toml, format!("{plain}\n[sheet]\n{asked}")).expect("written");
        let out = folder.at(&format!("out-{panel}"));
        sheet_of(folder.path(), &out, &[]);
        let svg = text(out.join("map.svg"));
        let svg = Document::parse(&svg).expect("XML");
        let frame =
            svg.descendants().find(|n| n.attribute("id") == Some("frame")).expect("a frame");
        let path = frame.descendants().find_map(|n| n.attribute("d")).expect("a path");
        let mut numbers = path.split(['M', 'l', 'Z', ' ']).filter_map(|n| n.parse::<f64>().ok());
        let [_, _, width, _, _, height] = [(); 6].map(|()| numbers.next().expect("a number"));
        (pages(&out), width * height)
    };
    let has = |page: &[String], words: &str| page.iter().any(|line| line == words);
    let (usual, area) = frame("");
    assert_eq!(usual.len(), 1);
    let (two, larger) = frame("second-page");
    assert_eq!(two.len(), 2);
    for words in ["Scale and north", "Map information", "Explanation", "Cautions"] {
        assert!(has(&two[0], words) && !has(&two[1], words), "{words}");
    }
    let words = "Horizontal hydraulic gradient, whole site";
    assert!(has(&two[1], words) && !has(&two[0], words) && has(&usual[0], words));
    assert!(larger > area, "{larger} and {area} square points");
    let (beside, _) = frame("beside");
    let (below, _) = frame("below");
    assert_eq!([beside.len(), below.len()], [1, 1]);
}

/// Left, top, width and height of the map's frame, points.
fn frame_of(svg: &Document) -> [f64; 4] {
    let path = layer(svg, "frame").find_map(|n| n.attribute("d")).expect("a path");
    let mut numbers = path.split(['M', 'l', 'Z', ' ']).filter_map(|n| n.parse::<f64>().ok());
    let [left, top, width, _, _, height] = [(); 6].map(|()| numbers.next().expect("a number"));
    [left, top, width, height]
}

/// Vertices of lines and middles of circles, points.
fn places(svg: &Document, id: &str) -> Vec<[f64; 2]> {
    let place = |node: Node| {
        if node.has_attribute("d") {
            return vertices(node);
        }
        let part = |name| node.attribute(name)?.parse::<f64>().ok();
        part("cx").zip(part("cy")).map(|(x, y)| vec![[x, y]]).unwrap_or_default()
    };
    layer(svg, id).flat_map(place).collect()
}

#[test]
fn the_site_fills_two_thirds_of_the_frame_on_its_longer_side() {
    for name in ["fuel-depot", "closed-landfill", "repair-yard", "river-valley"] {
        let folder = Folder::new();
        let out = folder.at("out");
        sheet_of(&sample(name), &out, &[]);
        let svg = text(out.join("map.svg"));
        let svg = Document::parse(&svg).expect("XML");
        let [left, top, width, height] = frame_of(&svg);
        let side = usize::from(height > width);
        let (from, length) = ([left, top][side], [width, height][side]);
        let layers = ["wells", "features", "places"];
        let shown = layers.iter().flat_map(|id| places(&svg, id)).map(|p| p[side]);
        let shown: Vec<f64> = shown.filter(|v| *v > from && *v < from + length).collect();
        let low = shown.iter().copied().fold(f64::INFINITY, f64::min);
        let high = shown.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        assert!((high - low) / length > 0.66, "{name}: {}", (high - low) / length);
    }
}

#[test]
fn a_warning_about_a_well_is_at_the_well_until_it_is_accepted() {
    // P06S has a soft bottom: C305 (its README).
    let (folder, results) = (sample("closed-landfill"), Folder::new());
    let at_wells = |out: &str| {
        let out = results.at(out);
        sheet_of(&folder, &out, &[]);
        let svg = text(out.join("map.svg"));
        let svg = Document::parse(&svg).expect("XML");
        let texts =
            layer(&svg, "well-labels").filter(|n| n.has_tag_name("text")).filter_map(|n| n.text());
        texts.map(str::to_owned).collect::<Vec<_>>()
    };
    let at = at_wells("open");
    let well = at.iter().position(|t| t == "P06S").expect("the well");
    assert_eq!(at[well + 2], "C305", "{at:?}");
    assert_eq!(at.iter().filter(|t| t.starts_with('C')).count(), 1, "{at:?}");
    let toml = folder.join("site.toml");
    let accepted = "\n[[accepted]]\ncode = \"C305\"\nwell = \"P06S\"\nreason = \"known\"\nby = \"R. Field\"\ndate = 2026-06-01\n";
    fs::write(&toml, text(&toml) + accepted).expect("written");
    assert!(!at_wells("accepted").contains(&"C305".to_owned()));
}

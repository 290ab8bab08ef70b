//! What the panel of the sheet holds, in words.

use std::collections::{BTreeMap, BTreeSet};

use super::font::Words;
use super::panel::Block;
use super::signs::{Sign, Told, has};
use super::{answers, legend, scale, style, title_block};
use crate::check::JudgedHead;
use crate::diag::{Code, Diagnostic};
use crate::map::AcrossRounds;
use crate::report;
use crate::report::{Facts, NOT_PLANAR, Over, Posted, Results, Statement, VolumeOfChange, counted};

/// The columns that blocks are for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    /// Points.
    pub(super) width: f64,
    /// Wells not used are listed on so many lines.
    pub(super) most_lines: usize,
    /// Whether gradient, answers and lists of wells are for a second page.
    pub(super) second_page: bool,
}

/// The blocks on the sheet in their order, with the table of heads that have no room on the map.
pub(super) fn blocks(
    results: &Results,
    posted: &[Posted],
    told: Option<&Told>,
    table: Vec<Block>,
    Columns { width, most_lines, second_page }: Columns,
) -> Vec<Block> {
    let on_sheet = !second_page;
    let mut information = match results.across() {
        Some(across) => facts_across(results, across, told, width),
        None => facts(results, told, width),
    };
    if second_page {
        information.pair("Notes", "gradient, answers and lists of wells: page 2 of map.pdf");
    }
    let mut blocks = vec![scale::block(results, told, width), information];
    if on_sheet {
        blocks.extend(results_in_words(results, width));
    }
    blocks.push(legend::block(results, posted, told, width));
    if on_sheet {
        blocks.extend(lists(results, posted, width, most_lines));
    }
    blocks.push(cautions(results, width));
    blocks.extend(table);
    blocks.extend(title_block::block(results, width));
    blocks
}

/// The blocks for a second page, where there is one.
pub(super) fn notes(
    results: &Results,
    posted: &[Posted],
    Columns { width, second_page, .. }: Columns,
) -> Vec<Block> {
    if !second_page {
        return Vec::new();
    }
    let mut blocks = results_in_words(results, width);
    blocks.extend(lists(results, posted, width, usize::MAX));
    blocks
}

/// What came out.
fn results_in_words(results: &Results, width: f64) -> Vec<Block> {
    let mut blocks = Vec::new();
    if results.across().is_none() {
        blocks.push(gradient(results, width));
    }
    blocks.extend(answers::receptors(results, width));
    blocks.extend(answers::warnings(results, width));
    blocks.extend(answers::capture(results, width));
    blocks
}

/// What the map rests on beside measured heads, and what it does not rest on.
fn lists(results: &Results, posted: &[Posted], width: f64, most_lines: usize) -> Vec<Block> {
    let mut blocks: Vec<Block> = warnings(results, width, most_lines).into_iter().collect();
    blocks.extend(judged(results, width, most_lines));
    blocks.extend(not_used(results, posted, width, most_lines));
    blocks
}

/// The two lines over the map: what it shows, where, when.
pub(super) fn title(results: &Results) -> (String, String) {
    if let Some(across) = results.across() {
        let shown = across.shown(results.control.aquifer_unit());
        return (results.site.settings.name.clone(), shown);
    }
    let paths = if results.toward.is_some() { " and flow paths" } else { "" };
    let surface = report::surface_of(results.site.settings.aquifer);
    let mut shown = format!("{surface}{paths}");
    if let Some(unit) = results.control.aquifer_unit() {
        shown = format!("{shown}, {unit}");
    }
    if let Some(measured) = Facts::of(results).measured {
        shown = format!("{shown}, {measured}");
    }
    (results.site.settings.name.clone(), shown)
}

/// The map in words, for who has it read out.
pub(super) fn alternative(results: &Results) -> String {
    let ((site, shown), facts) = (title(results), Facts::of(results));
    let mut said = vec![
        format!("Map of {site}: {shown}"),
        format!("Contours {}, {}", facts.contours, facts.heads()),
        format!("Drawn from {}, {} to {}", facts.control, facts.lowest, facts.highest),
    ];
    if results.across().is_none() {
        said.push(format!("Flow direction: {}", flow_direction(&Statement::of(results))));
    }
    said.push(format!("Values of all wells: {}", results.table()));
    said.join(". ")
}

fn flow_direction(statement: &Statement) -> String {
    match &statement.over_map {
        _ if statement.planar => statement.direction_words(),
        Some(over) => over.direction_words(),
        None => "not determined".to_owned(),
    }
}

fn facts(results: &Results, told: Option<&Told>, width: f64) -> Block {
    let facts = Facts::of(results);
    let mut block = Block::new(&results.site.fonts, width, "Map information");
    block.pair("Round", &facts.round);
    if let Some(measured) = &facts.measured {
        block.pair("Measured", measured);
    }
    block.pair("Aquifer unit", facts.aquifer_unit.as_deref().unwrap_or("not stated"));
    block.pair("Heads", &facts.heads());
    if let Some(nests) = report::Nests::of(results).in_words() {
        block.pair("Nests", &nests);
    }
    drawn(&mut block, results, &facts, told);
    block.pair("Findings", &findings(results));
    block.pair("Software", SOFTWARE);
    block
}

/// The same of a map of values from several rounds.
fn facts_across(
    results: &Results,
    across: &AcrossRounds,
    told: Option<&Told>,
    width: f64,
) -> Block {
    let facts = Facts::of(results);
    let mut block = Block::new(&results.site.fonts, width, "Map information");
    block.pair("Rounds", &across.rounds_in_words());
    block.pair("Measured", facts.measured.as_deref().unwrap_or("dates not stated"));
    block.pair("Aquifer unit", facts.aquifer_unit.as_deref().unwrap_or("not stated"));
    let heads = facts.heads();
    let unit = if across.worked.is_signed() { facts.elevation_unit } else { heads.as_str() };
    block.pair("Values", &format!("{}, {unit}", across.worked.noun()));
    drawn(&mut block, results, &facts, told);
    if let Some(volume) = VolumeOfChange::of(results.map) {
        block.pair("Volume", &volume.in_words(results.control.elevation_unit()));
    }
    block.pair("Software", SOFTWARE);
    block
}

const SOFTWARE: &str = concat!("headfall ", env!("CARGO_PKG_VERSION"));

/// How it is drawn: coordinates, contours, surface, control, labels.
fn drawn(block: &mut Block, results: &Results, facts: &Facts, told: Option<&Told>) {
    let control = &results.control;
    let crs = control.crs();
    let by_name =
        !crs.is_on_earth() || crs.definition().len() > 24 || crs.definition() == crs.name();
    let coordinates = if by_name {
        crs.name().to_owned()
    } else {
        format!("{} ({})", crs.name(), crs.definition())
    };
    let tied = results.site.settings.tie.as_ref().map_or_else(String::new, |tie| {
        format!("; from local coordinates, tied at {}", counted(tie.points.len(), "well"))
    });
    block.pair("Coordinates", &format!("{coordinates}, {}{tied}", crs.unit_name()));
    let Facts { contours, index_contours, .. } = facts;
    let mut drawn = format!("{contours}; index contours {index_contours}");
    if let Some(rounding) = results.rounding_words() {
        drawn = format!("{drawn}; {rounding}");
    }
    block.pair("Contours", &drawn);
    block.pair("Surface", &facts.surface);
    block.pair("Control", &control_words(told, facts, results));
    // Before the map is drawn, the measure of the most that may stand here.
    let (unlabelled, unnamed) = told.map_or((100, 100), |t| (t.unlabelled, t.unnamed));
    let unwritten = told.map_or_else(|| most_unwritten(results), |t| t.unwritten);
    let mut labels = Vec::new();
    let outside = told.map_or(0, |t| t.outside);
    if outside > 0 {
        labels.push(format!("{} outside the frame", counted(outside, "well")));
    }
    if has(told, Sign::Shortened) {
        labels.push(format!("long names shortened (…), in full in {}", results.table()));
    }
    if unwritten > 0 {
        labels.push(format!(
            "{} with characters that no font here has (‹5317›): name a font in [sheet] fonts",
            counted(unwritten, "name")
        ));
    }
    if unlabelled > 0 {
        labels.push(format!("{} not labelled", counted(unlabelled, "contour")));
    }
    if unnamed > 0 {
        labels.push(format!("no room for {} of streams and places", counted(unnamed, "name")));
    }
    if !labels.is_empty() {
        block.pair("Labels", &labels.join("; "));
    }
}

/// How many names at most have characters that no font has: before the map is drawn nobody knows which it shows.
fn most_unwritten(results: &Results) -> usize {
    let features = &results.site.features;
    let wells = results.site.wells.iter().map(|w| w.id.as_str());
    let places = features.sources.iter().chain(&features.receptors).map(|p| p.name.as_str());
    let streams = features.streams.iter().map(|s| s.name.as_str());
    let barriers = features.barriers.iter().map(|b| b.name.as_str());
    let judged = features.control_lines.iter().map(|l| l.name.as_str());
    let judged = judged.chain(features.judged_points.iter().map(|p| p.name.as_str()));
    let plan = features.base.iter().filter_map(|b| b.label.as_deref());
    let all = wells.chain(places).chain(streams).chain(barriers).chain(judged).chain(plan);
    let others = all.filter(|name| !name.is_ascii());
    others.filter(|name| Words::of(name, &results.site.fonts).is_unwritten()).count()
}

/// How many findings there are, and which warnings that nobody accepted.
fn findings(results: &Results) -> String {
    if results.findings.is_empty() {
        return "none".to_owned();
    }
    format!("{}: see report.html", results.finding_counts().words(""))
}

/// The open warnings about wells and map, a line for each code with the wells it is of: a sheet travels alone.
fn warnings(results: &Results, width: f64, most_lines: usize) -> Option<Block> {
    /// So many wells are named.
    const MOST: usize = 4;
    let mut of_code: BTreeMap<Code, BTreeSet<&str>> = BTreeMap::new();
    let of_map = |f: &&Diagnostic| f.is_open_warning() && !f.code.is_of_paths();
    for found in results.findings.iter().filter(of_map) {
        of_code.entry(found.code).or_default().extend(found.wells.iter().map(String::as_str));
    }
    let line = |(code, wells): (Code, BTreeSet<&str>)| {
        let named: Vec<&str> = wells.iter().copied().take(MOST).collect();
        let more = wells.len() - named.len();
        let mut words = named.join(", ");
        if more > 0 {
            words = format!("{words} and {more} more");
        }
        let title = code.title();
        (
            vec![code.id()],
            if words.is_empty() { title.to_owned() } else { format!("{words}: {title}") },
        )
    };
    let lines: Vec<(Vec<&str>, String)> = of_code.into_iter().map(line).collect();
    let heading = Block::new(&results.site.fonts, width, "Warnings");
    (!lines.is_empty()).then(|| grouped(heading, &lines, most_lines, "report.html"))
}

fn control_words(told: Option<&Told>, facts: &Facts, results: &Results) -> String {
    let number = results.control.wells().len();
    let mut text = facts.control.clone();
    if let Some(points) = &facts.stream_points {
        text = format!("{text}; {points} of declared stage along streams");
    }
    if let Some(judged) = &facts.judged {
        text = format!("{text}; {judged}, not measured");
    }
    let omitted = match told {
        Some(Told { named: (named, all), .. }) if named < all => Some((all - named, *all)),
        Some(_) => None,
        // The measure of the longest that may stand here.
        None => Some((number, number)),
    };
    if let Some((omitted, all)) = omitted {
        let values = results.across().map_or("heads", |_| "values");
        let at = match told {
            Some(Told { unposted, insets: 0, .. }) if unposted.is_empty() => {
                format!("in {}", results.table())
            }
            Some(told) if told.table_on_sheet => match (told.insets, told.unposted.is_empty()) {
                (0, _) => "in the table here".to_owned(),
                (_, true) => "in insets here".to_owned(),
                (_, false) => "in insets and table here".to_owned(),
            },
            _ => "on page 2 of map.pdf".to_owned(),
        };
        text = format!("{text}; names and {values} of {omitted} of {all} wells {at}");
    }
    text
}

fn gradient(results: &Results, width: f64) -> Block {
    let mut block =
        Block::new(&results.site.fonts, width, "Horizontal hydraulic gradient, whole site");
    let statement = Statement::of(results);
    if statement.planar {
        block.pair("Gradient", &statement.gradient_words());
        block.pair("Flow direction", &flow_direction(&statement));
        block.pair("Method", &format!("least-squares plane through {}", results.carriers()));
    } else {
        let unknown = || "not determined".to_owned();
        let over = statement.over_map.as_ref();
        block.pair("Flow direction", &flow_direction(&statement));
        block.pair("Gradient", &over.map_or_else(unknown, Over::gradient_words));
        block.pair("Plane", NOT_PLANAR);
    }
    for caution in &statement.cautions {
        block.pair("Caution", caution);
    }
    block
}

fn not_used(results: &Results, posted: &[Posted], width: f64, most_lines: usize) -> Option<Block> {
    let aside: Vec<&Posted> = report::not_used(posted).collect();
    if aside.is_empty() {
        return None;
    }
    // Wells that share their reasons stand together.
    let mut groups: Vec<(Vec<&str>, String)> = Vec::new();
    for well in &aside {
        let reason = well.reasons.join("; ");
        match groups.iter_mut().find(|g| g.1 == reason) {
            Some(group) => group.0.push(well.id),
            None => groups.push((vec![well.id], reason)),
        }
    }
    let heading = match aside.len() {
        1 => "1 well not used for contouring".to_owned(),
        n => format!("{n} wells not used for contouring"),
    };
    let empty = Block::new(&results.site.fonts, width, &heading);
    Some(grouped(empty, &groups, most_lines, results.table()))
}

/// The heads that nobody measured, with their reasons and who decided them.
fn judged(results: &Results, width: f64, most_lines: usize) -> Option<Block> {
    let all = results.control.judged();
    if all.is_empty() {
        return None;
    }
    let unit = results.control.elevation_unit();
    let told = |judged: &JudgedHead| {
        let head = format!("{} {}", report::measures::posted(judged.head), unit.in_words());
        format!("{head}, judged by {}: {}", judged.judgement.by, judged.judgement.reason)
    };
    let groups: Vec<(Vec<&str>, String)> =
        all.iter().map(|judged| (vec![judged.name.as_str()], told(judged))).collect();
    let empty = Block::new(&results.site.fonts, width, "Judged heads, not measured");
    Some(grouped(empty, &groups, most_lines, "summary.json"))
}

/// A block of names with what is said of them, as far as its lines go; `rest` is where the others are.
fn grouped(empty: Block, groups: &[(Vec<&str>, String)], most_lines: usize, rest: &str) -> Block {
    let all: usize = groups.iter().map(|g| g.0.len()).sum();
    let most = empty.height + style::LINE * (most_lines as f64 + 0.5);
    let mut block = empty;
    let mut told = 0;
    for (names, text) in groups {
        let mut longer = block.clone();
        longer.entry(names, text);
        let last = told + names.len() == all;
        if longer.height + if last { 0.0 } else { style::LINE } > most {
            let more = all - told;
            let more = if told == 0 { more.to_string() } else { format!("and {more} more") };
            block.say(&format!("{more}, see {rest}"), false, style::GREY);
            break;
        }
        told += names.len();
        block = longer;
    }
    block
}

fn cautions(results: &Results, width: f64) -> Block {
    let mut block = Block::new(&results.site.fonts, width, "Cautions");
    let [first, others] = results.short_cautions();
    block.say(&first, true, style::INK);
    block.say(&others, false, style::INK);
    block
}

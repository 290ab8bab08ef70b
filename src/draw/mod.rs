//! The map sheet: one vector drawing of a map's results, as SVG, PDF and PNG.
//!
//! | file | what it does |
//! |---|---|
//! | `scene`, `style` | what a drawing is made of |
//! | `font`, `faces`, `shaping`, `shortened`, `outline` | words: their letters, their length, shorter ones, their outlines |
//! | `svg`, `pdf`, `png` | a drawing to bytes |
//! | `tagged` | what of a PDF is read out |
//! | `georeference`, `georeferenced` | where on earth a sheet is, for a GIS; a PDF with that |
//! | `view`, `extent`, `parting`, `paper` | the ground to the sheet, the sheet's parts |
//! | `lines`, `room` | plain lines, free places |
//! | `base`, `backdrop` | the site plan below the map, the picture below that |
//! | `contours`, `labels`, `wells`, `tags`, `arrows`, `paths`, `features`, `shade`, `border` | what the map holds |
//! | `panel`, `legend`, `words`, `answers`, `title_block` | what is beside it |
//! | `clusters`, `insets` | where names and heads have no room, and that part larger |
//! | `unposted` | the table of heads that have no room on the map |
//! | `arrange` | labels among wells and lines |
//! | `comparison` | the figure of a comparison, a drawing by itself |
//! | `site_record` | the sheets of a site's record |
//! | `look` | the look of the sheet for programs that draw the layers |
//! | `items` | what such figures are put together with |
//!
//! Nothing here computes hydrogeology. Nothing depends on fonts of the machine, on threads, or on
//! the order of a hash map: the same results give the same bytes. `docs/map-sheet.md` says what the
//! sheet shows and how labels find their places.

mod answers;
mod arrange;
mod arrows;
mod backdrop;
mod base;
mod border;
mod clusters;
mod comparison;
mod contours;
mod extent;
mod faces;
mod features;
mod font;
mod georeference;
mod georeferenced;
mod insets;
mod items;
mod labels;
mod legend;
mod lines;
mod look;
mod outline;
mod panel;
mod paper;
mod parting;
mod paths;
mod pdf;
mod png;
mod room;
mod scale;
mod scene;
mod shade;
mod shaping;
mod sheet;
mod shortened;
mod signs;
mod site_record;
mod style;
mod svg;
mod tagged;
mod tags;
mod title_block;
mod unposted;
mod view;
mod wells;
mod words;

use crate::error::Error;
use crate::report::{Posted, Results};

pub use comparison::comparison;
pub use look::{layer_look, surface_look};
pub use paper::SheetNeeds;
pub use sheet::{Sheet, pdf_of};
pub use site_record::site_record;

use arrange::Map;
use faces::Letters;
use font::Words;
use georeference::Georeference;
use paper::Paper;
use room::Rect;
use scene::{Item, Layer, Paint, Role, Scene, Text, at};
use signs::Told;

/// How often the panel grows for what found no room on the map.
const TRIES: usize = 3;

/// What the frame of a sheet holds, and what the panel says of it.
fn arranged(results: &Results, posted: &[Posted], paper: &Paper) -> Result<(Map, Told), Error> {
    let picture = backdrop::drawn(results, &paper.view)?;
    let map = arrange::map(results, posted, paper.view, picture, None);
    let told = Told {
        named: map.named,
        outside: map.outside,
        unposted: map.unposted.clone(),
        clusters: map.clusters.clone(),
        insets: 0,
        table_on_sheet: false,
        unlabelled: map.unlabelled,
        unnamed: map.unnamed(),
        unwritten: map.unwritten(),
        signs: map.signs.clone(),
        base: map.base.layers.clone(),
        arrow: map.arrows.reference,
        view: paper.view,
    };
    Ok((map, told))
}

/// Draws the map sheet of some results.
///
/// # Errors
/// Those of [`SitePicture::over`](crate::read::SitePicture::over), whose pixels are read here.
///
/// # References
/// `docs/map-sheet.md`. What a potentiometric map should show: ASTM D6000.
pub fn sheet(results: &Results) -> Result<Sheet, Error> {
    let posted = results.posted();
    let mut paper = Paper::choose(results, &posted);
    let (mut map, mut told) = arranged(results, &posted, &paper)?;
    let most = parting::MUCH_SMALLER * paper.view.denominator;
    for _ in 0..TRIES {
        let Some(larger) = paper.with_room(results, &posted, &told, most) else { break };
        paper = larger;
        (map, told) = arranged(results, &posted, &paper)?;
    }
    let whole = Rect { left: 0.0, top: 0.0, right: paper.width, bottom: paper.height };
    let border = parting::wider_border(&results.site.settings);
    let white = Item::area(whole.inset(-border).corners(), Paint::fill(style::WHITE));
    let mut layers = vec![Layer::new("paper", Role::Decoration, vec![white])];
    layers.extend(map.layers(results, &paper.view));
    layers.push(Layer::new("frame", Role::Figure, border::items(results, &paper.view)));
    let (panel, further) = paper.panel(results, &posted, &told);
    layers.push(Layer::new("panel", Role::Words, panel));
    layers.push(Layer::new("title", Role::Words, title(results, &paper)));
    let (site, shown) = words::title(results);
    let letters = &results.site.fonts;
    let name = Words::of(&format!("{site}: {shown}"), letters).text().to_owned();
    let enlarged = style::enlarged(&results.site.settings);
    let scene = |layers| {
        let (width, height) = (paper.width, paper.height);
        let (title, alternative) = (name.clone(), words::alternative(results));
        let day = results.control.from_to().map(|(_, to)| to.date());
        let scene = Scene { width, height, title, alternative, day, layers };
        scene.bordered(border).enlarged(enlarged)
    };
    let pages = paper.further(further);
    let count = pages.len() + 1;
    let further = pages.into_iter().zip(2..).map(|(notes, number)| {
        let mut head = title(results, &paper);
        let page = Words::new(&format!("notes to the map, page {number} of {count}"));
        let below = at(paper.width - parting::MARGIN, paper.height - parting::MARGIN);
        head.push(Item::Text(Text::new(below, page, style::SMALLEST, false, style::GREY).ending()));
        scene(vec![
            Layer::new("notes", Role::Words, notes),
            Layer::new("title", Role::Decoration, head),
        ])
    });
    let further = further.collect();
    let dpi = results.site.settings.sheet.dpi;
    let georeference = Georeference::of(results, &paper);
    Ok(Sheet { scene: scene(layers), further, dpi, georeference })
}

/// The smallest letters of the site's name, points.
const SMALLEST_TITLE: f64 = 9.6;

/// The lines over the map. A name that is too long for one line takes two smaller ones.
fn title(results: &Results, paper: &Paper) -> Vec<Item> {
    let (site, shown) = words::title(results);
    let length = paper.width - 2.0 * parting::MARGIN;
    let line = |words: Words, size: f64, bold: bool, y: f64, colour| {
        let place = at(parting::MARGIN, parting::MARGIN + y);
        let text = Text::new(place, words, size, bold, colour);
        Item::Text(if bold { text.heading(1) } else { text })
    };
    let letters: &Letters = &results.site.fonts;
    let name = Words::of(&site, letters);
    let size = (15.0 * length / font::width(&name, 15.0, true).max(1.0)).min(15.0);
    let fits = size >= SMALLEST_TITLE;
    let mut items = if fits {
        vec![line(name, size, true, 11.5, style::INK)]
    } else {
        let mut broken = font::lines(&site, letters, length, SMALLEST_TITLE, true);
        if broken.len() > 2 {
            let rest: Vec<&str> = broken[1..].iter().map(Words::text).collect();
            let rest = Words::of(&rest.join(" "), letters).fitted(length, SMALLEST_TITLE, true);
            broken.splice(1.., [rest]);
        }
        let lines = broken.into_iter().zip([7.6, 17.4]);
        lines.map(|(words, y)| line(words, SMALLEST_TITLE, true, y, style::INK)).collect()
    };
    let shown = Words::sentence(&shown, letters).fitted(length, 8.4, false);
    items.push(line(shown, 8.4, false, if fits { 23.0 } else { 27.2 }, style::GREY));
    items
}

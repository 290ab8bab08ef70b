//! The sheets of a site's record, on the site's paper: gradient and direction of every round, then hydrographs.
//!
//! | file | what it draws |
//! |---|---|
//! | `axes` | the axes of a plot with time across |
//! | `compass` | directions through time |
//! | `first` | the first sheet: what the record says, compass, gradients, rounds |
//! | `hydrographs` | every well through time |

mod axes;
mod compass;
mod first;
mod hydrographs;

use jiff::civil::Date;

use super::font::Words;
use super::items::Items;
use super::parting::{MARGIN, sides};
use super::room::Rect;
use super::scene::{Item, Layer, Paint, Role, Scene, Text, at};
use super::sheet::Sheet;
use super::style::{GREY, INK, WHITE, enlarged};
use crate::read::Orientation;
use crate::report::{RecordStatement, SiteRecord, TimeAxis, counted};

/// Draws the sheets of a record.
#[must_use]
pub fn site_record(record: &SiteRecord) -> Vec<Sheet> {
    let settings = &record.site.settings;
    let letters = &record.site.fonts;
    let [short, long] = sides(settings);
    let wide = settings.sheet.orientation == Some(Orientation::Landscape);
    let (width, height) = if wide { (long, short) } else { (short, long) };
    let paper = Rect { left: 0.0, top: 0.0, right: width, bottom: height };
    let room = Rect {
        left: MARGIN,
        top: MARGIN + 34.0,
        right: width - MARGIN,
        bottom: height - MARGIN - 12.0,
    };
    let time = TimeAxis::of(record.record.heads.iter().filter_map(|h| h.day));
    let mut drawn = vec![first::first(record, time.as_ref(), room)];
    drawn.extend(time.iter().flat_map(|time| hydrographs::hydrographs(record, time, room)));
    let count = drawn.len();
    // Words of the first sheet are in its figure: what they say is said in its place.
    let said = RecordStatement::of(record).sentences.join(" ");
    let said = format!("{said} Heads of all wells: record-levels.csv. Rounds: record-rounds.csv.");
    let days = record.record.rounds.iter().filter_map(|r| r.day.as_deref());
    let newest: Option<Date> = days.filter_map(|day| day.parse().ok()).max();
    let sheet = |(i, items): (usize, Items)| {
        let mut title = Items::default();
        heading(&mut title, record, width);
        let page = format!("{} of {count}", i + 1);
        title.ending(at(room.right, height - MARGIN), 6.6, GREY, &page);
        let made = format!(
            "headfall {}. For screening: not valid without review by a licensed professional; local codes apply.",
            env!("CARGO_PKG_VERSION")
        );
        title.text(at(room.left, height - MARGIN), 6.6, GREY, &made);
        let white = vec![Item::area(paper.corners(), Paint::fill(WHITE))];
        let head = if i == 0 { Role::Words } else { Role::Decoration };
        let layers = vec![
            Layer::new("paper", Role::Decoration, white),
            Layer::new("record", Role::Figure, items.0),
            Layer::new("title", head, title.0),
        ];
        Sheet {
            scene: Scene {
                width,
                height,
                title: Words::of(&format!("{}: record of water levels", settings.name), letters)
                    .text()
                    .to_owned(),
                alternative: said.clone(),
                day: newest,
                layers,
            }
            .enlarged(enlarged(settings)),
            further: Vec::new(),
            dpi: settings.sheet.dpi,
            georeference: None,
        }
    };
    drawn.into_iter().enumerate().map(sheet).collect()
}

/// The two lines on every sheet.
fn heading(items: &mut Items, record: &SiteRecord, width: f64) {
    let settings = &record.site.settings;
    let length = width - 2.0 * MARGIN;
    let letters = &record.site.fonts;
    let name = Words::of(&settings.name, letters).fitted(length, 15.0, true);
    let place = at(MARGIN, MARGIN + 11.5);
    items.0.push(Item::Text(Text::new(place, name, 15.0, true, INK).heading(1)));
    let rounds = &record.record.rounds;
    let day = |i: Option<usize>| {
        let round = i.and_then(|i| rounds.get(i));
        round.map_or_else(String::new, |r| r.day.clone().unwrap_or_else(|| r.round.clone()))
    };
    let datum = settings
        .vertical_datum
        .as_deref()
        .map_or_else(|| "vertical datum not stated".to_owned(), |datum| format!("above {datum}"));
    let text = format!(
        "Record of water levels: {} from {} to {}, {}; heads in {}, {datum}",
        counted(rounds.len(), "round"),
        day(Some(0)),
        day(rounds.len().checked_sub(1)),
        counted(record.record.wells.len(), "well"),
        record.record.elevation_unit.in_words()
    );
    let words = Words::sentence(&text, letters).fitted(length, 8.4, false);
    items.words(at(MARGIN, MARGIN + 23.0), 8.4, GREY, words);
}

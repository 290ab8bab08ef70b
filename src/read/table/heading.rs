//! From a heading as people write it to the column it stands for.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::read::wells::well::DepthDatum;
use crate::units::LengthUnit;

use super::columns::{Column, Quantity};
use super::languages;
use super::run_together;
use super::vocabulary::{ABBREVIATIONS, LEVEL, MARKS, Mark, NOTHING, PRODUCT};

/// A heading longer than this, in bytes, is no heading that we know.
const LONGEST: usize = 120;

/// A heading of more words than this is no heading that we know.
const MOST_WORDS: usize = 14;

/// At most this many marks are taken off: a unit, a reference and a datum.
const MOST_MARKS: usize = 3;

impl Mark {
    /// Whether it leaves open from where a length counts.
    const fn says_only_a_unit(&self) -> bool {
        self.unit.is_some() && self.below.is_none() && self.above.is_none()
    }

    /// Whether a column of this quantity can carry the mark.
    fn fits(&self, quantity: Quantity) -> bool {
        use Quantity::{Angle, Coordinate, Distance, Elevation, ReadingDepth, WellDepth};
        let depth = matches!(quantity, WellDepth | ReadingDepth);
        (self.unit.is_none() || depth || matches!(quantity, Coordinate | Distance | Elevation))
            && (self.below.is_none() || depth)
            && (self.above.is_none() || quantity == Elevation)
            && (self.degrees.is_none() || quantity == Angle)
            && (!self.grid || quantity == Coordinate)
    }
}

/// What a heading says beside the quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(in crate::read) struct Marks {
    /// The unit of length.
    pub(in crate::read) unit: Option<LengthUnit>,
    /// From where depths are counted.
    pub(in crate::read) below: Option<DepthDatum>,
    /// The vertical datum's name, "" for one that is not named.
    pub(in crate::read) above: Option<&'static str>,
    /// The datum of longitudes and latitudes, "" for one that is not named.
    pub(in crate::read) globe: Option<&'static str>,
    /// The number of the UTM zone.
    pub(in crate::read) zone: Option<u8>,
}

impl Marks {
    /// All the marks together, or nothing when they contradict each other.
    fn of(marks: &[&Mark]) -> Option<Self> {
        let all = Self {
            unit: marks.iter().find_map(|m| m.unit),
            below: marks.iter().find_map(|m| m.below),
            above: marks.iter().find_map(|m| m.above),
            globe: marks.iter().find_map(|m| m.degrees.filter(|datum| !datum.is_empty())),
            zone: None,
        };
        let agrees = |m: &&Mark| {
            (m.unit.is_none() || m.unit == all.unit)
                && (m.below.is_none() || m.below == all.below)
                && (m.above.is_none() || m.above == all.above)
        };
        marks.iter().all(agrees).then_some(all)
    }
}

/// The column a heading stands for among those a table may have, with its marks.
pub(in crate::read) fn recognise(heading: &str, among: &[Column]) -> Option<(Column, Marks)> {
    readings(heading).into_iter().find_map(|words| zoned(words, among)).or_else(|| {
        if heading.len() > LONGEST {
            return None;
        }
        // Words that run together are parted last of all; what could be parted into two columns
        // stays a question.
        let words_of_it = words(heading);
        let mut found: Vec<(Column, Marks)> = run_together::parted(&words_of_it)
            .into_iter()
            .filter_map(|parted| zoned(words(&parted.join(" ")), among))
            .collect();
        found.dedup();
        if let [one] = found[..] { Some(one) } else { None }
    })
}

/// Whether a heading names a level without saying whether it is a depth or an elevation.
pub(in crate::read) fn is_level(heading: &str) -> bool {
    readings(heading).into_iter().any(|words| {
        !words.is_empty()
            && words.len() <= MOST_WORDS
            && (LEVEL.contains(&words.join(" ").as_str())
                || MARKS.iter().filter(|m| m.says_only_a_unit()).any(|m| {
                    places(&words, m.words).any(|at| {
                        let mut rest = words.clone();
                        rest.drain(at..at + m.words.split(' ').count());
                        LEVEL.contains(&rest.join(" ").as_str())
                    })
                }))
    })
}

/// Whether a heading names floating product without saying whether it is a depth or a thickness.
pub(in crate::read) fn is_product(heading: &str) -> bool {
    readings(heading).into_iter().any(|words| {
        words.len() <= MOST_WORDS
            && std::iter::once(NOTHING.words)
                .chain(MARKS.iter().filter(|m| m.says_only_a_unit()).map(|m| m.words))
                .any(|unit| PRODUCT.iter().any(|p| [*p, unit].join(" ").trim() == words.join(" ")))
    })
}

/// Every word that may be meant by a heading, parted at its capitals and where it runs together.
pub(in crate::read) fn loose_words(heading: &str) -> Vec<String> {
    let mut all: Vec<String> = readings(heading).into_iter().flatten().collect();
    if let Some(parted) = run_together::parted(&words(heading)).first() {
        all.extend(words(&parted.join(" ")));
    }
    all.truncate(4 * MOST_WORDS);
    all
}

/// The words of a heading as it stands, and parted at its capitals.
fn readings(heading: &str) -> Vec<Vec<String>> {
    if heading.len() > LONGEST {
        return Vec::new();
    }
    let split = split_case(heading);
    if split == heading { vec![words(heading)] } else { vec![words(heading), words(&split)] }
}

/// Looks a heading's words up, with the zone of the UTM grid set apart.
fn zoned(mut words: Vec<String>, among: &[Column]) -> Option<(Column, Marks)> {
    let Some((at, zone)) = zone(&words) else { return search(words, among) };
    words.remove(at);
    let (column, marks) = search(words, among)?;
    (column.quantity() == Quantity::Coordinate)
        .then_some((column, Marks { zone: Some(zone), ..marks }))
}

/// The number of a UTM zone behind "utm" or "utm zone", such as `15` in `UTM 15N`, and its place.
fn zone(words: &[String]) -> Option<(usize, u8)> {
    let utm = words.iter().position(|w| w == "utm")?;
    let at = utm + 1 + usize::from(words.get(utm + 1).is_some_and(|w| w == "zone"));
    let digits = words.get(at)?.trim_end_matches(|c: char| c.is_ascii_lowercase());
    let number: u8 = digits.parse().ok()?;
    let letters = words[at].len() - digits.len();
    ((1..=60).contains(&number) && letters <= 1).then_some((at, number))
}

/// The marks in the heading of a column that `[columns]` declares.
pub(in crate::read) fn marks_for(heading: &str, column: Column) -> Marks {
    if let Some((_, marks)) = recognise(heading, &[column]) {
        return marks;
    }
    // A name of the user's own: every mark that fits counts, the longest first.
    let mut words = words(heading);
    words.truncate(MOST_WORDS);
    let mut found = Vec::new();
    while let Some((mark, at)) = MARKS
        .iter()
        .filter(|m| m.fits(column.quantity()))
        .filter_map(|m| Some((m, places(&words, m.words).next()?)))
        .max_by_key(|(m, _)| m.words.len())
    {
        words.drain(at..at + mark.words.split(' ').count());
        found.push(mark);
    }
    Marks::of(&found).unwrap_or_default()
}

/// The heading's words: lower case, every run of other characters a gap, abbreviations written
/// out.
pub(in crate::read) fn words(heading: &str) -> Vec<String> {
    let lower = without_points(&plain_letters(&heading.to_lowercase()));
    lower
        .replace("ground water", "groundwater")
        .replace("reduced level", "elevation")
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .flat_map(|w| {
            let full = ABBREVIATIONS.iter().find(|(short, _)| *short == w).map_or(w, |(_, f)| f);
            full.split(' ')
        })
        .map(str::to_owned)
        .collect()
}

/// Letters without accents, German umlauts written out, and the wide forms of Japanese tables as plain ones.
fn plain_letters(heading: &str) -> String {
    if heading.is_ascii() {
        return heading.to_owned();
    }
    let mut plain = String::with_capacity(heading.len());
    for c in heading.chars() {
        match c {
            'ä' => plain.push_str("ae"),
            'ö' => plain.push_str("oe"),
            'ü' => plain.push_str("ue"),
            'ß' => plain.push_str("ss"),
            'à' | 'á' | 'â' | 'ã' | 'å' => plain.push('a'),
            'ç' => plain.push('c'),
            'è' | 'é' | 'ê' | 'ë' => plain.push('e'),
            'ì' | 'í' | 'î' | 'ï' => plain.push('i'),
            'ñ' => plain.push('n'),
            'ò' | 'ó' | 'ô' | 'õ' => plain.push('o'),
            'ù' | 'ú' | 'û' => plain.push('u'),
            '\u{ff01}'..='\u{ff5e}' => {
                plain.extend(char::from_u32(u32::from(c) - 0xfee0).map(|c| c.to_ascii_lowercase()));
            }
            _ => plain.push(c),
        }
    }
    plain
}

/// The columns by their headings in other languages.
static ELSEWHERE: LazyLock<BTreeMap<String, Column>> = LazyLock::new(|| languages::by_words(words));

/// `d.t.w.` as `dtw`: points between single letters are taken out.
fn without_points(heading: &str) -> String {
    let chars: Vec<char> = heading.chars().collect();
    let letter = |i: Option<usize>| i.and_then(|i| chars.get(i)).is_some_and(|c| c.is_alphabetic());
    let single = |at: Option<usize>| {
        letter(at)
            && !letter(at.and_then(|i| i.checked_sub(1)))
            && !letter(at.and_then(|i| i.checked_add(1)))
    };
    let kept = chars
        .iter()
        .enumerate()
        .filter(|&(i, &c)| c != '.' || !(single(i.checked_sub(1)) && single(i.checked_add(1))));
    kept.map(|(_, &c)| c).collect()
}

/// `TOCElev` as `TOC Elev`, `depthToWater` as `depth To Water`.
fn split_case(heading: &str) -> String {
    let chars: Vec<char> = heading.chars().collect();
    let mut out = String::with_capacity(heading.len() + 4);
    for (i, &c) in chars.iter().enumerate() {
        let after_lower = i > 0 && chars[i - 1].is_lowercase();
        let before_lower = chars.get(i + 1).is_some_and(|n| n.is_lowercase());
        let after_upper = i > 0 && chars[i - 1].is_uppercase();
        if c.is_uppercase() && (after_lower || (after_upper && before_lower)) {
            out.push(' ');
        }
        out.push(c);
    }
    out
}

/// Takes off as few marks as are needed to find a heading that we know.
fn search(words: Vec<String>, among: &[Column]) -> Option<(Column, Marks)> {
    if words.is_empty() || words.len() > MOST_WORDS {
        return None;
    }
    let mut states: Vec<(Vec<String>, Vec<&Mark>)> = vec![(words, Vec::new())];
    for taken in 0..=MOST_MARKS {
        for (words, marks) in &states {
            if let Some(column) = exact(&words.join(" "), marks, among) {
                return Some((column, Marks::of(marks)?));
            }
        }
        if taken == MOST_MARKS {
            break;
        }
        let mut next: Vec<(Vec<String>, Vec<&Mark>)> = Vec::new();
        for (words, marks) in &states {
            for mark in MARKS {
                for at in places(words, mark.words) {
                    let mut shorter = words.clone();
                    shorter.drain(at..at + mark.words.split(' ').count());
                    if !shorter.is_empty() && !next.iter().any(|(w, _)| *w == shorter) {
                        let mut more = marks.clone();
                        more.push(mark);
                        next.push((shorter, more));
                    }
                }
            }
        }
        states = next;
    }
    None
}

/// The column whose heading this is, word for word, and which can carry the marks.
fn exact(heading: &str, marks: &[&Mark], among: &[Column]) -> Option<Column> {
    let known = among.iter().copied().find(|c| {
        c.headings().contains(&heading)
            || (c.name().len() == heading.len() && c.name().split('_').eq(heading.split(' ')))
    });
    let elsewhere = || ELSEWHERE.get(heading).copied().filter(|c| among.contains(c));
    let found = known.or_else(elsewhere).or_else(|| {
        if !LEVEL.contains(&heading) {
            return None;
        }
        let column = if marks.iter().any(|m| m.below.is_some()) {
            Column::DepthToWater
        } else if marks.iter().any(|m| m.above.is_some()) {
            Column::Elevation
        } else {
            return None;
        };
        among.contains(&column).then_some(column)
    })?;
    marks.iter().all(|m| m.fits(found.quantity())).then_some(found)
}

/// Where a mark's words stand among a heading's.
fn places<'a>(words: &'a [String], mark: &'a str) -> impl Iterator<Item = usize> + 'a {
    let length = mark.split(' ').count();
    (0..(words.len() + 1).saturating_sub(length))
        .filter(move |&at| words[at..at + length].iter().map(String::as_str).eq(mark.split(' ')))
}

#[cfg(test)]
mod tests {
    use crate::read::table::columns::{MEASURING_POINTS, REGISTER, ROUND, SINGLE};
    use crate::read::table::status::{KIND_WORDS, STATUS_WORDS};
    use crate::read::table::vocabulary::{FOOT, GROUND, METRE, SURVEY};

    use super::*;

    const DOCS: &str = include_str!("../../../docs/site-folder.md");

    fn column(heading: &str) -> Option<Column> {
        recognise(heading, SINGLE).map(|(column, _)| column)
    }

    #[test]
    fn every_listed_heading_is_found_for_one_column_only() {
        for among in [REGISTER, MEASURING_POINTS, ROUND, SINGLE] {
            for &c in among {
                for heading in c.headings().iter().copied().chain([c.name()]) {
                    assert_eq!(recognise(heading, among).map(|(c, _)| c), Some(c), "{heading}");
                    // As it is compared: lower case and written out.
                    assert_eq!(words(heading).join(" "), heading.replace('_', " "), "{heading}");
                    let owners = among.iter().filter(|o| o.headings().contains(&heading)).count();
                    assert!(owners <= 1, "{heading} stands for {owners} columns");
                }
            }
        }
    }

    #[test]
    fn marks_are_taken_off_and_kept() {
        let of = |heading: &str| recognise(heading, SINGLE).expect(heading);
        assert_eq!(of("TOC (ft)").0, Column::MeasuringPointElevation);
        assert_eq!(of("TOC (ft)").1.unit, Some(FOOT));
        let (c, marks) = of("TOC Elev. [US survey feet, NAVD 88]");
        assert_eq!((c, marks.unit), (Column::MeasuringPointElevation, Some(SURVEY)));
        assert_eq!(marks.above, Some("NAVD 88"));
        let (c, marks) = of("Screen Top (m bgs)");
        assert_eq!((c, marks.unit, marks.below), (Column::ScreenTop, Some(METRE), Some(GROUND)));
        assert_eq!(of("screen_bottom_mbgl").1.below, Some(GROUND));
        assert_eq!(of("Depth ft to water").0, Column::DepthToWater);
    }

    #[test]
    fn a_mark_that_does_not_fit_the_quantity_is_no_mark() {
        for heading in [
            "Date (m)",
            "Easting btoc",
            "DTW (ft NAVD88)",
            "DTW (m) (ft)",
            "DTW (in)",
            "DTW (cm)",
            "Top of screen elevation (ft)",
            "Water level",
            "Water level (ft)",
            "SWL",
            "Piezometric level",
            "Easting (UTM 99N)",
            "Depth (UTM 15N)",
            "POINT_Q",
            "wellington",
            "nm",
            "ft",
            "",
            "---",
        ] {
            assert_eq!(column(heading), None, "{heading}");
        }
    }

    #[test]
    fn a_water_level_is_what_its_reference_says() {
        assert_eq!(column("Water Level (ft btoc)"), Some(Column::DepthToWater));
        assert_eq!(column("GW level, m AHD"), Some(Column::Elevation));
    }

    #[test]
    fn everyday_headings_are_recognised_in_any_case_and_spacing() {
        use Column::{
            Date, DepthToWater, Easting, Elevation, Id, MeasuringPointElevation, Northing,
        };
        for (heading, c) in [
            ("Eastings", Easting),
            ("Northings", Northing),
            ("XCOORD", Easting),
            ("Y_Coord", Northing),
            ("X_UTM", Easting),
            ("y_utm", Northing),
            ("UTM East", Easting),
            ("Easting (UTM 15N)", Easting),
            ("Northing, UTM Zone 15T (m)", Northing),
            ("Hole ID", Id),
            ("HOLEID", Id),
            ("SWL (mbTOC)", DepthToWater),
            ("SWL (mAHD)", Elevation),
            ("Static Water Level (ft btoc)", DepthToWater),
            ("Depth to static water", DepthToWater),
            ("Measured DTW", DepthToWater),
            ("D.T.W.", DepthToWater),
            ("W.L. depth", DepthToWater),
            ("depthtowater", DepthToWater),
            ("DEPTHTOWATER_FT", DepthToWater),
            ("Surveyed TOC Elevation", MeasuringPointElevation),
            ("RLTOC", MeasuringPointElevation),
            ("TOC RL (mAHD)", MeasuringPointElevation),
            ("TOIC", MeasuringPointElevation),
            ("Top of inner casing elevation", MeasuringPointElevation),
            ("Measuring-point altitude", MeasuringPointElevation),
            ("tocelev", MeasuringPointElevation),
            ("tocelevft", MeasuringPointElevation),
            ("Water level altitude", Elevation),
            ("Potentiometric Surface Elevation", Elevation),
            ("Static Water Elevation", Elevation),
            ("Corrected Groundwater Elevation", Elevation),
            ("Water level (ft above NAVD88)", Elevation),
            ("wellid", Id),
            ("gauged on", Date),
        ] {
            assert_eq!(column(heading), Some(c), "{heading}");
        }
    }

    #[test]
    fn the_zone_of_a_heading_is_kept() {
        let zone = |heading: &str| recognise(heading, SINGLE).and_then(|(_, marks)| marks.zone);
        assert_eq!(zone("Easting (UTM 15N)"), Some(15));
        assert_eq!(zone("UTM zone 33 N northing"), None);
        assert_eq!(zone("northing (utm zone 33)"), Some(33));
        assert_eq!(zone("Easting"), None);
    }

    #[test]
    fn a_level_without_a_reference_is_a_question() {
        for heading in ["SWL", "Water Level (ft)", "Static Water Level", "WL", "W.L. [m]"] {
            assert!(is_level(heading), "{heading}");
            assert_eq!(column(heading), None, "{heading}");
        }
        for heading in ["SWL (mbTOC)", "Depth", "sea", "", "level of service"] {
            assert!(!is_level(heading), "{heading}");
        }
    }

    #[test]
    fn casing_elevations_are_never_taken_for_the_waters() {
        for heading in ["Elevation TOC", "Elev_TOC_ft", "elevation of top of casing (m)"] {
            assert_eq!(column(heading), Some(Column::MeasuringPointElevation), "{heading}");
        }
    }

    #[test]
    fn words_run_together_are_parted_at_capitals() {
        for (heading, c) in [
            ("WellID", Column::Id),
            ("DepthToWater", Column::DepthToWater),
            ("TOCElev", Column::MeasuringPointElevation),
            ("GWElev_ft", Column::Elevation),
            ("dateTime", Column::DateTime),
        ] {
            assert_eq!(column(heading), Some(c), "{heading}");
        }
    }

    #[test]
    fn headings_without_end_are_not_looked_at() {
        assert_eq!(column(&"ft ".repeat(40)), None);
        assert_eq!(column(&"\u{e9}".repeat(1000)), None);
        assert_eq!(column(&"ft m ".repeat(10)), None);
    }

    /// The words in backticks in a row of the docs that begins with these.
    fn documented(first: &str) -> Vec<&'static str> {
        let start = format!("| `{first}` |");
        // Keys of site.toml, some of the same name, come first.
        let row = DOCS.lines().rfind(|l| l.starts_with(&start));
        let row = row.unwrap_or_else(|| panic!("docs/site-folder.md has no row for {first}"));
        row.split('`').skip(1).step_by(2).collect()
    }

    #[test]
    fn the_docs_list_the_headings_that_are_recognised_and_no_others() {
        for &c in Column::ALL {
            let listed = documented(c.name());
            assert_eq!(listed[0], c.name());
            assert_eq!(&listed[1..], c.headings(), "{}", c.name());
        }
    }

    #[test]
    fn the_docs_list_every_mark_abbreviation_and_word() {
        for mark in MARKS.iter().filter(|m| !m.words.is_empty()) {
            assert!(DOCS.contains(&format!("`{}`", mark.words)), "{}", mark.words);
        }
        for (short, full) in ABBREVIATIONS {
            assert!(DOCS.contains(&format!("`{short}` {full}")), "{short}");
        }
        for (status, words) in STATUS_WORDS {
            assert_eq!(&documented(status.word())[..], *words, "{}", status.word());
        }
        for (_, words) in KIND_WORDS {
            for word in *words {
                assert!(DOCS.contains(&format!("`{word}`")), "{word}");
            }
        }
    }
}

//! The words that headings are made of.

use crate::read::wells::well::DepthDatum;
use crate::units::LengthUnit;

/// Abbreviations that are written out before headings are compared.
pub(in crate::read) const ABBREVIATIONS: &[(&str, &str)] = &[
    ("elev", "elevation"),
    ("elevn", "elevation"),
    ("el", "elevation"),
    ("altitude", "elevation"),
    ("rl", "elevation"),
    ("gw", "groundwater"),
    ("wl", "water level"),
    ("mp", "measuring point"),
    ("toc", "top of casing"),
    ("toic", "top of inner casing"),
    ("no", "number"),
    ("num", "number"),
    ("coord", "coordinate"),
    ("coords", "coordinate"),
    ("dt", "date time"),
];

/// A unit or a reference that a heading may carry beside the quantity's name.
#[derive(Debug)]
pub(in crate::read) struct Mark {
    pub(in crate::read) words: &'static str,
    pub(in crate::read) unit: Option<LengthUnit>,
    pub(in crate::read) below: Option<DepthDatum>,
    pub(in crate::read) above: Option<&'static str>,
    /// Longitudes and latitudes, with the name of their datum, "" for one that is not named.
    pub(in crate::read) degrees: Option<&'static str>,
    pub(in crate::read) grid: bool,
}

pub(in crate::read) const NOTHING: Mark =
    Mark { words: "", unit: None, below: None, above: None, degrees: None, grid: false };

const fn unit(words: &'static str, unit: LengthUnit) -> Mark {
    Mark { words, unit: Some(unit), ..NOTHING }
}

const fn below(words: &'static str, datum: DepthDatum) -> Mark {
    Mark { words, below: Some(datum), ..NOTHING }
}

const fn above(words: &'static str, datum: &'static str) -> Mark {
    Mark { words, above: Some(datum), ..NOTHING }
}

const fn degrees(words: &'static str, datum: &'static str) -> Mark {
    Mark { words, degrees: Some(datum), ..NOTHING }
}

const fn grid(words: &'static str) -> Mark {
    Mark { words, grid: true, ..NOTHING }
}

pub(in crate::read) const METRE: LengthUnit = LengthUnit::Metre;
pub(in crate::read) const FOOT: LengthUnit = LengthUnit::Foot;
pub(in crate::read) const SURVEY: LengthUnit = LengthUnit::UsSurveyFoot;
const POINT: DepthDatum = DepthDatum::MeasuringPoint;
pub(in crate::read) const GROUND: DepthDatum = DepthDatum::Ground;

/// The words of all marks.
pub(in crate::read) fn mark_words() -> impl Iterator<Item = &'static str> {
    MARKS.iter().flat_map(|m| m.words.split(' '))
}

/// Sea level as such, which no vertical datum contradicts.
pub(in crate::read) const SEA_LEVEL: &str = "mean sea level";

/// Every mark, with the name of the vertical datum where it is one, whose first word is its family; ""
/// where it only says that there is one.
pub(in crate::read) const MARKS: &[Mark] = &[
    unit("m", METRE),
    unit("meter", METRE),
    unit("meters", METRE),
    unit("metre", METRE),
    unit("metres", METRE),
    unit("ft", FOOT),
    unit("foot", FOOT),
    unit("feet", FOOT),
    unit("international feet", FOOT),
    unit("us survey feet", SURVEY),
    unit("us survey foot", SURVEY),
    unit("us survey ft", SURVEY),
    unit("ft us", SURVEY),
    unit("us ft", SURVEY),
    unit("ftus", SURVEY),
    unit("usft", SURVEY),
    below("btoc", POINT),
    below("bmp", POINT),
    below("btor", POINT),
    below("brp", POINT),
    below("top of casing", POINT),
    below("from top of casing", POINT),
    below("below top of casing", POINT),
    below("measuring point", POINT),
    below("from measuring point", POINT),
    below("below measuring point", POINT),
    Mark { unit: Some(METRE), ..below("mbtoc", POINT) },
    below("bgs", GROUND),
    below("bls", GROUND),
    below("bgl", GROUND),
    below("below ground", GROUND),
    below("below ground surface", GROUND),
    below("below ground level", GROUND),
    below("below land surface", GROUND),
    Mark { unit: Some(METRE), ..below("mbgs", GROUND) },
    Mark { unit: Some(METRE), ..below("mbgl", GROUND) },
    above("amsl", SEA_LEVEL),
    above("asl", SEA_LEVEL),
    above("msl", SEA_LEVEL),
    above("above mean sea level", SEA_LEVEL),
    above("above sea level", SEA_LEVEL),
    above("above msl", SEA_LEVEL),
    above("above datum", ""),
    Mark { unit: Some(METRE), ..above("masl", SEA_LEVEL) },
    Mark { unit: Some(METRE), ..above("mamsl", SEA_LEVEL) },
    above("navd88", "NAVD 88"),
    above("above navd88", "NAVD 88"),
    above("navd 88", "NAVD 88"),
    above("above navd 88", "NAVD 88"),
    above("navd", "NAVD"),
    above("ngvd29", "NGVD 29"),
    above("above ngvd29", "NGVD 29"),
    above("ngvd 29", "NGVD 29"),
    above("above ngvd 29", "NGVD 29"),
    above("ngvd", "NGVD"),
    above("ahd", "AHD"),
    above("above ahd", "AHD"),
    Mark { unit: Some(METRE), ..above("mahd", "AHD") },
    above("aod", "OD"),
    Mark { unit: Some(METRE), ..above("maod", "OD") },
    above("nap", "NAP"),
    above("above nap", "NAP"),
    above("nhn", "NHN"),
    above("above nhn", "NHN"),
    below("u measuring point", POINT),
    below("unter messpunkt", POINT),
    below("u pok", POINT),
    below("unter pok", POINT),
    below("ab pok", POINT),
    below("u rok", POINT),
    below("ab rok", POINT),
    below("sous repere", POINT),
    below("par rapport au repere", POINT),
    below("da bp", POINT),
    below("da bocca pozzo", POINT),
    below("onder bkb", POINT),
    below("tov bkb", POINT),
    below("管頭", POINT),
    below("u gok", GROUND),
    below("unter gok", GROUND),
    below("sous sol", GROUND),
    below("da pc", GROUND),
    below("da piano campagna", GROUND),
    below("mv", GROUND),
    below("onder maaiveld", GROUND),
    below("gl", GROUND),
    above("nn", "NN"),
    above("ue nn", "NN"),
    above("ue nhn", "NHN"),
    above("ngf", "NGF"),
    above("ngf ign69", "NGF"),
    above("taw", "TAW"),
    above("tp", "TP"),
    Mark { unit: Some(METRE), ..above("tpm", "TP") },
    above("slm", SEA_LEVEL),
    above("snm", SEA_LEVEL),
    Mark { unit: Some(METRE), ..above("msnm", SEA_LEVEL) },
    degrees("deg", ""),
    degrees("degrees", ""),
    degrees("decimal degrees", ""),
    degrees("dd", ""),
    degrees("wgs84", "WGS 84"),
    degrees("wgs 84", "WGS 84"),
    degrees("nad83", "NAD83"),
    degrees("nad 83", "NAD83"),
    grid("utm"),
    grid("utm zone"),
    grid("utm coordinate"),
];

/// "Water level" is a depth or an elevation; only a mark tells which.
pub(in crate::read) const LEVEL: &[&str] = &[
    "water level",
    "groundwater level",
    "static water level",
    "standing water level",
    "static groundwater level",
    "swl",
    "piezometric level",
    "level",
    "wasserstand",
    "grundwasserstand",
    "niveau d eau",
    "niveau statique",
    "niveau piezometrique",
    "nivel de agua",
    "nivel d agua",
    "nivel estatico",
    "nivel freatico",
    "nivel piezometrico",
    "soggiacenza",
    "livello statico",
    "livello piezometrico",
    "grondwaterstand",
    "waterstand",
    "stijghoogte",
    "水位",
    "地下水位",
    "孔内水位",
];

/// "Product" is a depth or a thickness, or the product's name.
pub(in crate::read) const PRODUCT: &[&str] =
    &["product", "free product", "floating product", "lnapl", "napl", "free phase product", "psh"];

//! How the map sheet is to be drawn.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use super::bounds::Bound;
use super::reader::Reader;
use super::sheet_file::SheetFile;
use super::title_block::{TitleBlock, TitleBlockKeys};

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Page {
    /// ISO 216: 210 by 297 mm.
    A4,
    /// ISO 216: 297 by 420 mm.
    A3,
    /// ANSI/ASME Y14.1 size A: 8.5 by 11 inches.
    Letter,
    /// ANSI/ASME Y14.1 size B: 11 by 17 inches.
    Tabloid,
}

impl Page {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::A4, Self::A3, Self::Letter, Self::Tabloid];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::A3 => "A3",
            Self::Letter => "Letter",
            Self::Tabloid => "Tabloid",
        }
    }

    /// Its shorter and its longer side, mm.
    #[must_use]
    pub const fn sides_mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::A3 => [297.0, 420.0],
            Self::Letter => [215.9, 279.4],
            Self::Tabloid => [279.4, 431.8],
        }
    }
}

/// Which side of the paper is up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Orientation {
    /// The longer side is upright.
    Portrait,
    /// The shorter side is upright.
    Landscape,
}

/// Where the words about the map are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PanelPlace {
    /// On the right of the map.
    Beside,
    /// Below the map.
    Below,
    /// Gradient, answers and lists of wells on a second page of the PDF.
    SecondPage,
}

/// Which north is up.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum NorthUp {
    /// That of the northings.
    #[default]
    Grid,
    /// That of the meridian at the middle of the site.
    True,
}

/// What the map's frame shows at least.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SheetExtent {
    /// The control points alone.
    Wells,
    /// The boundary.
    Boundary,
    /// West, south, east and north, CRS units.
    Box([f64; 4]),
}

/// How the map sheet is to be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct SheetSettings {
    /// Whether sheet and page are made.
    pub drawn: bool,
    /// The paper; where none is declared, Letter for sites in feet and A4 for others.
    pub page: Option<Page>,
    /// Which side is up; where none is declared, the one that shows the site larger.
    pub orientation: Option<Orientation>,
    /// What the scale is one in; where none is declared, the largest round one that shows the extent.
    pub scale: Option<f64>,
    /// What the frame shows; where none is declared, the control points, and wells and features near them.
    pub extent: Option<SheetExtent>,
    /// Where the words are; where nothing is declared, beside or below the map, where they leave it larger.
    pub panel: Option<PanelPlace>,
    /// Which north is up.
    pub north: NorthUp,
    /// The empty border of the paper, mm, where one is declared.
    pub margin_mm: Option<f64>,
    /// The least distance of arrows of flow, mm of paper.
    pub arrow_spacing_mm: f64,
    /// Whether heads are shaded.
    pub shading: bool,
    /// Dots in an inch of `map.png`.
    #[schemars(range(min = *DPI.start(), max = *DPI.end()))]
    pub dpi: u16,
}

impl Default for SheetSettings {
    fn default() -> Self {
        Self {
            drawn: true,
            page: None,
            orientation: None,
            scale: None,
            extent: None,
            panel: None,
            north: NorthUp::default(),
            margin_mm: None,
            arrow_spacing_mm: DEFAULT_ARROW_SPACING_MM,
            shading: false,
            dpi: DEFAULT_DPI,
        }
    }
}

/// The least distance of arrows where nothing is said, mm: a few across each line of equal head (common practice, no source).
const DEFAULT_ARROW_SPACING_MM: f64 = 25.0;

/// Dots in an inch of `map.png` where nothing is said: the text of the sheet is legible, and the
/// file stays small.
const DEFAULT_DPI: u16 = 150;

/// The dots in an inch that may be asked for.
pub const DPI: std::ops::RangeInclusive<u16> = 50..=600;

/// `[sheet]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct SheetKeys {
    page: Option<Page>,
    orientation: Option<Orientation>,
    shading: bool,
    dpi: Option<Spanned<i64>>,
    scale: Option<Spanned<f64>>,
    extent: Option<Spanned<ExtentKey>>,
    panel: Option<PanelPlace>,
    north: Option<Spanned<NorthUp>>,
    margin: Option<Spanned<f64>>,
    arrow_spacing: Option<Spanned<f64>>,
    fonts: Vec<Spanned<String>>,
    title_block: Option<TitleBlockKeys>,
}

/// What `[sheet]` declares.
pub(in crate::read) struct DeclaredSheet {
    pub(in crate::read) settings: SheetSettings,
    pub(in crate::read) fonts: Vec<SheetFile>,
    pub(in crate::read) title_block: Option<TitleBlock>,
}

/// `extent`: a word, or the four sides of a box.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum ExtentKey {
    Word(String),
    Box([f64; 4]),
}

/// What an extent says; R102 for another word and for a box that is none.
fn extent(given: Spanned<ExtentKey>, reader: &mut Reader) -> Option<SheetExtent> {
    let at = given.span();
    match given.into_inner() {
        ExtentKey::Word(word) if word == "wells" => return Some(SheetExtent::Wells),
        ExtentKey::Word(word) if word == "boundary" => return Some(SheetExtent::Boundary),
        ExtentKey::Box([west, south, east, north]) => {
            let sides = [west, south, east, north];
            let sound = sides.iter().all(|side| Bound::POSITION.holds(*side));
            if sound && west < east && south < north {
                return Some(SheetExtent::Box(sides));
            }
        }
        ExtentKey::Word(_) => {}
    }
    reader.refuse(
        &at,
        "extent is neither \"wells\" nor \"boundary\" nor a box".to_owned(),
        "write one of these words, or extent = [west, south, east, north] in coordinates of the project CRS",
    );
    None
}

impl SheetKeys {
    /// What they declare. A resolution out of bounds is said as R102 and left out; so is true north where it is not known.
    pub(in crate::read) fn read(self, reader: &mut Reader, north_known: bool) -> DeclaredSheet {
        let Self {
            page,
            orientation,
            shading,
            dpi,
            scale,
            extent,
            panel,
            north,
            margin,
            arrow_spacing,
            fonts,
            title_block,
        } = self;
        let fonts = fonts.into_iter().filter_map(|file| reader.sheet_file("fonts", file)).collect();
        let arrow_spacing_mm = reader.number("arrow_spacing", arrow_spacing, Bound::ON_PAPER);
        let scale = reader.number("scale", scale, Bound::SCALE);
        let extent = extent.and_then(|given| self::extent(given, reader));
        let title_block = title_block.map(|keys| keys.read(reader));
        let usual = SheetSettings::default();
        let mut settings =
            SheetSettings { page, orientation, scale, extent, panel, shading, ..usual };
        if let Some(north) = north {
            settings.north = *north.get_ref();
            if settings.north == NorthUp::True && !north_known {
                reader.refuse(
                    &north.span(),
                    "north = \"true\" under [sheet], and true north is not known in local coordinates".to_owned(),
                    "declare site_north_azimuth under [site], or remove the line",
                );
            }
        }
        settings.margin_mm = reader.number("margin", margin, Bound::MARGIN);
        settings.arrow_spacing_mm = arrow_spacing_mm.unwrap_or(settings.arrow_spacing_mm);
        if let Some(given) = dpi {
            match u16::try_from(*given.get_ref()) {
                Ok(dpi) if DPI.contains(&dpi) => settings.dpi = dpi,
                _ => reader.refuse(
                    &given.span(),
                    format!(
                        "dpi = {} is not from {} to {}",
                        given.get_ref(),
                        DPI.start(),
                        DPI.end()
                    ),
                    "correct dpi or remove the line",
                ),
            }
        }
        DeclaredSheet { settings, fonts, title_block }
    }
}

/// What the command line says over `[sheet]` of `site.toml`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct SheetOverrides {
    /// Leaves the sheet out.
    pub data_only: bool,
    /// The paper.
    pub page: Option<Page>,
    /// Shades the heads.
    pub shading: bool,
    /// Dots in an inch of `map.png`.
    pub dpi: Option<u16>,
}

impl SheetSettings {
    /// These settings with the command line's word over them.
    #[must_use]
    pub fn under(self, over: SheetOverrides) -> Self {
        Self {
            drawn: self.drawn && !over.data_only,
            page: over.page.or(self.page),
            orientation: self.orientation,
            scale: self.scale,
            extent: self.extent,
            panel: self.panel,
            north: self.north,
            margin_mm: self.margin_mm,
            arrow_spacing_mm: self.arrow_spacing_mm,
            shading: self.shading || over.shading,
            dpi: over.dpi.unwrap_or(self.dpi),
        }
    }
}

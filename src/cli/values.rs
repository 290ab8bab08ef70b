//! Values of options that the library knows by a name.

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use headfall::diag::{Code, listed};
use headfall::read::{Method, Page, VectorFormat};
use headfall::units::LengthUnit;

/// One of the things that the library knows, by its name there.
fn one_of<T: Copy + Send + Sync>(
    all: &'static [T],
    name: fn(T) -> &'static str,
    about: fn(T) -> &'static str,
) -> impl TypedValueParser<Value = T> {
    let values = all.iter().map(|one| PossibleValue::new(name(*one)).help(about(*one)));
    PossibleValuesParser::new(values).map(move |typed| {
        let is = |one: &&T| name(**one).eq_ignore_ascii_case(&typed);
        *all.iter().find(is).expect("clap lets no other name pass")
    })
}

pub(super) fn papers() -> impl TypedValueParser<Value = Page> {
    one_of(&Page::ALL, Page::name, |page| match page {
        Page::A4 => "210 by 297 mm",
        Page::A3 => "297 by 420 mm",
        Page::Letter => "8.5 by 11 inches",
        Page::Tabloid => "11 by 17 inches",
    })
}

pub(super) fn units() -> impl TypedValueParser<Value = LengthUnit> {
    one_of(&LengthUnit::ALL, LengthUnit::name, |unit| match unit {
        LengthUnit::Metre => "Metres",
        LengthUnit::Foot => "International feet",
        LengthUnit::UsSurveyFoot => "US survey feet",
    })
}

pub(super) fn formats() -> impl TypedValueParser<Value = VectorFormat> {
    one_of(&VectorFormat::ALL, VectorFormat::name, |format| match format {
        VectorFormat::Shapefile => "ESRI shapefiles",
        VectorFormat::FlatGeobuf => "FlatGeobuf",
        VectorFormat::GeoParquet => "GeoParquet",
        VectorFormat::Csv => "CSV with the geometry as well-known text",
        VectorFormat::Dxf => "A drawing (DXF)",
        VectorFormat::Kml => "KML for a globe",
        VectorFormat::Xlsx => "All tables in one workbook",
    })
}

pub(super) fn methods() -> impl TypedValueParser<Value = Method> {
    one_of(&Method::ALL, Method::name, Method::help)
}

/// A code by its name, in whatever case; which may be meant where there is none of that name.
pub(super) fn code(name: &str) -> Result<Code, String> {
    Code::named(name).ok_or_else(|| {
        let likely = listed(Code::like(name).map(|code| format!("{code} ({})", code.title())));
        match likely.as_str() {
            "" => "there is no such code; `headfall explain` lists all".to_owned(),
            likely => format!("there is no such code; did you mean {likely}?"),
        }
    })
}

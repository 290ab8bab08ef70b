//! The drawing as a picture of dots.

use std::io;
use std::sync::{Arc, LazyLock};

use png::{BitDepth, ColorType, Compression, Encoder, FilterType, PixelDimensions, Unit};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::fontdb::{Database, Source};
use resvg::usvg::{Options, Tree};

use super::font::{FAMILY, FILES};
use super::scene::Picture;

/// The bundled letters and no others.
static LETTERS: LazyLock<Arc<Database>> = LazyLock::new(|| {
    let mut letters = Database::new();
    for file in FILES {
        letters.load_font_source(Source::Binary(Arc::new(file)));
    }
    letters.set_sans_serif_family(FAMILY);
    Arc::new(letters)
});

/// An SVG drawing as PNG, on white paper.
///
/// # Errors
/// What the SVG or the PNG library says of a drawing that it cannot read or write.
pub(super) fn png(svg: &str, dpi: u16) -> io::Result<Vec<u8>> {
    let options = Options {
        font_family: FAMILY.to_owned(),
        fontdb: Arc::clone(&LETTERS),
        ..Options::default()
    };
    let tree = Tree::from_str(svg, &options).map_err(io::Error::other)?;
    // The library counts 96 dots to the inch.
    let scale = f32::from(dpi) / 96.0;
    let (width, height) = (tree.size().width() * scale, tree.size().height() * scale);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts of floats saturate, and a sheet of that many dots is refused"
    )]
    let (columns, rows) = (width.round() as u32, height.round() as u32);
    let mut dots = Pixmap::new(columns, rows)
        .ok_or_else(|| io::Error::other(format!("no picture has {columns} by {rows} dots")))?;
    dots.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut dots.as_mut());
    // Nothing shines through white paper: three bytes a dot are enough.
    let data: Vec<u8> = dots.data().chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, columns, rows);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    encoder.set_filter(FilterType::Up);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "600 dots in an inch are 23622 in a metre"
    )]
    let per_metre = (f64::from(dpi) / 0.0254).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: Unit::Meter,
    }));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&data)?;
    writer.finish()?;
    Ok(file)
}

/// A picture of a drawing as PNG, for the SVG to carry.
pub(super) fn of_picture(picture: &Picture) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, picture.columns, picture.rows);
    encoder.set_color(ColorType::Rgba);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    encoder.set_filter(FilterType::Sub);
    let written = encoder
        .write_header()
        .and_then(|mut writer| {
            writer.write_image_data(&picture.dots)?;
            writer.finish()
        });
    written.expect("this is a bug in headfall: a picture has another count of dots than it says");
    file
}

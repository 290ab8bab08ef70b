//! The drawing as a picture of dots.

use std::io;

use png::{BitDepth, ColorType, Compression, Encoder, Filter, PixelDimensions, Unit};
use rayon::prelude::*;
use resvg::tiny_skia::{Color, Pixmap, PixmapMut, Transform};
use resvg::usvg::{Options, Tree};

use super::scene::Picture;

/// A sheet is made in so many strips.
const STRIPS: u32 = 2;

/// An SVG drawing without text as PNG, on white paper.
///
/// # Errors
/// What the SVG or the PNG library says of a drawing that it cannot read or write.
pub(super) fn png(svg: &str, dpi: u16) -> io::Result<Vec<u8>> {
    let tree = Tree::from_str(svg, &Options::default()).map_err(io::Error::other)?;
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
    // Strips side by side. Their number is no matter of threads: it may be seen in no dot.
    let strip = rows.div_ceil(STRIPS);
    dots.data_mut().par_chunks_mut(strip as usize * columns as usize * 4).enumerate().for_each(
        |(i, strip_of_dots)| {
            let height = strip_of_dots.len() / 4 / columns as usize;
            let mut strip_of_dots =
                PixmapMut::from_bytes(strip_of_dots, columns, u32::try_from(height).unwrap_or(0))
                    .expect("this is a bug in headfall: a strip has no dots");
            strip_of_dots.fill(Color::WHITE);
            let down = i as f32 * strip as f32;
            let place = Transform::from_scale(scale, scale).post_translate(0.0, -down);
            resvg::render(&tree, place, &mut strip_of_dots);
        },
    );
    // Nothing shines through white paper: three bytes a dot are enough.
    let mut data = vec![0; dots.data().len() / 4 * 3];
    for (three, four) in data.chunks_exact_mut(3).zip(dots.data().chunks_exact(4)) {
        three.copy_from_slice(&four[..3]);
    }
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, columns, rows);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fastest);
    encoder.set_filter(Filter::Up);
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
    encoder.set_compression(Compression::Fastest);
    encoder.set_filter(Filter::Sub);
    let written = encoder.write_header().and_then(|mut writer| {
        writer.write_image_data(&picture.dots)?;
        writer.finish()
    });
    written.expect("this is a bug in headfall: a picture has another count of dots than it says");
    file
}

//! The logo of the title block, as dots: a PNG as it is, an SVG drawn.
//!
//! Nothing outside the file is looked at: no font, no file, no address that it names.

use png::{ColorType, Decoder, Limits, Transformations};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::roxmltree::{Document, Node, ParsingOptions};
use resvg::usvg::{ImageHrefResolver, Options, Tree};

use super::colours::PictureDots;

/// More dots than this are refused: at 300 in an inch they fill a sheet of paper.
const MOST_DOTS: u64 = 10_000_000;

/// The dots of a drawn logo each way, at most: 100 by 15 mm at 300 in an inch.
const DRAWN: [f32; 2] = [1181.0, 177.0];

/// How a PNG begins.
const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";

/// What is wrong with a logo, in words that follow its name, and what to do.
type Fault = (String, &'static str);

/// The dots of a logo.
pub(in crate::read) fn dots(bytes: &[u8]) -> Result<PictureDots, Fault> {
    let found = if bytes.starts_with(PNG) { of_png(bytes)? } else { of_svg(bytes)? };
    if found.dots.chunks_exact(4).all(|dot| dot[3] == 0) {
        return Err(("shows nothing".to_owned(), "give a logo that has something opaque in it"));
    }
    Ok(found)
}

fn of_png(bytes: &[u8]) -> Result<PictureDots, Fault> {
    let damaged = |why: &dyn std::fmt::Display| {
        (format!("cannot be read as a PNG: {why}"), "save it again as a PNG")
    };
    let mut decoder = Decoder::new_with_limits(
        std::io::Cursor::new(bytes),
        Limits { bytes: usize::try_from(MOST_DOTS * 8).unwrap_or(usize::MAX) },
    );
    decoder.set_transformations(Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(|e| damaged(&e))?;
    let (columns, rows) = (reader.info().width, reader.info().height);
    if u64::from(columns) * u64::from(rows) > MOST_DOTS {
        return Err((
            format!("has {columns} by {rows} dots"),
            "save it smaller: 1181 by 177 dots are enough",
        ));
    }
    let size = reader.output_buffer_size().ok_or_else(|| damaged(&"it has no size"))?;
    let mut data = vec![0; size];
    let info = reader.next_frame(&mut data).map_err(|e| damaged(&e))?;
    data.truncate(info.buffer_size());
    let dots = match info.color_type {
        ColorType::Rgba => data,
        ColorType::Rgb => data.chunks_exact(3).flat_map(|d| [d[0], d[1], d[2], 255]).collect(),
        ColorType::GrayscaleAlpha => {
            data.chunks_exact(2).flat_map(|d| [d[0], d[0], d[0], d[1]]).collect()
        }
        ColorType::Grayscale => data.iter().flat_map(|d| [*d, *d, *d, 255]).collect(),
        ColorType::Indexed => return Err(damaged(&"its colour table is missing")),
    };
    Ok(PictureDots { columns, rows, dots })
}

fn of_svg(bytes: &[u8]) -> Result<PictureDots, Fault> {
    let damaged = |why: &dyn std::fmt::Display| {
        (
            format!("is neither a PNG nor an SVG: {why}"),
            "give a PNG, or an SVG that is not compressed",
        )
    };
    let text = std::str::from_utf8(bytes).map_err(|e| damaged(&e))?;
    let read = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, read).map_err(|e| damaged(&e))?;
    if document.root_element().tag_name().name() != "svg" {
        return Err(damaged(&"its first element is not svg"));
    }
    document.descendants().try_for_each(alone)?;
    let mut options = Options::default();
    let data = ImageHrefResolver::default_data_resolver();
    options.image_href_resolver =
        ImageHrefResolver { resolve_data: data, resolve_string: Box::new(|_, _| None) };
    let tree = Tree::from_str(text, &options).map_err(|e| damaged(&e))?;
    let (width, height) = (tree.size().width(), tree.size().height());
    let scale = (DRAWN[0] / width).min(DRAWN[1] / height);
    let count = |length: f32| dot_count((length * scale).ceil());
    let (columns, rows) = (count(width), count(height));
    let mut pixels = Pixmap::new(columns, rows).ok_or_else(|| damaged(&"it has no size"))?;
    let fit = Transform::from_scale(columns as f32 / width, rows as f32 / height);
    resvg::render(&tree, fit, &mut pixels.as_mut());
    let dots = pixels.pixels().iter().flat_map(|dot| {
        let dot = dot.demultiply();
        [dot.red(), dot.green(), dot.blue(), dot.alpha()]
    });
    Ok(PictureDots { columns, rows, dots: dots.collect() })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "at most the dots of a drawn logo, and casts of floats saturate"
)]
fn dot_count(length: f32) -> u32 {
    (length as u32).max(1)
}

/// Whether an element needs no font and nothing outside of the file.
fn alone(node: Node) -> Result<(), Fault> {
    let name = node.tag_name().name();
    if ["text", "foreignObject"].contains(&name) {
        return Err((
            "has text, which would look different on every machine".to_owned(),
            "turn its text into outlines (paths) in the drawing program, and save it again",
        ));
    }
    let outside = |named: &str| {
        let shown: String = named.chars().take(60).filter(|c| !c.is_control()).collect();
        (
            format!("names something outside of itself: {shown}"),
            "embed it in the logo in the drawing program, and save it again",
        )
    };
    for attribute in node.attributes().filter(|a| a.name() == "href" && name != "a") {
        let to = attribute.value().trim();
        if !to.starts_with('#')
            && !to.starts_with("data:image/png")
            && !to.starts_with("data:image/jp")
        {
            return Err(outside(to));
        }
    }
    let styled = node.attribute("style").into_iter().chain(node.text().filter(|_| name == "style"));
    match styled.into_iter().find(|style| style.contains("@import")) {
        Some(style) => Err(outside(style.trim())),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_keeps_its_proportions_and_colours() {
        let drawn = "<svg xmlns='http://www.w3.org/2000/svg' width='40' height='20'>\
                     <rect width='20' height='20' fill='#0a6ea8'/></svg>";
        let found = dots(drawn.as_bytes()).expect("a logo");
        // 177 dots high, twice as wide; the right half is empty.
        assert_eq!((found.columns, found.rows), (354, 177));
        let dot = |x: usize, y: usize| &found.dots[(y * 354 + x) * 4..][..4];
        assert_eq!(dot(100, 100), [0x0a, 0x6e, 0xa8, 255]);
        assert_eq!(dot(300, 100)[3], 0);
        let flat = drawn.replace("height='20'>", "height='2'>");
        let found = dots(flat.as_bytes()).expect("a logo");
        assert_eq!((found.columns, found.rows), (1181, 60));
    }

    #[test]
    fn fonts_and_what_is_outside_are_refused() {
        for (inside, said) in [
            ("<text x='1' y='9'>Firm</text>", "has text"),
            ("<g><text><tspan>Firm</tspan></text></g>", "has text"),
            ("<foreignObject><p>Firm</p></foreignObject>", "has text"),
            ("<image href='/etc/hosts' width='9' height='9'/>", "outside of itself: /etc/hosts"),
            (
                "<image href='http://example.com/a.png' width='9' height='9'/>",
                "http://example.com/a.png",
            ),
            ("<image href='data:image/svg+xml;base64,AA' width='9' height='9'/>", "outside"),
            ("<use href='other.svg#part'/>", "other.svg#part"),
            ("<style>@import url('http://example.com/a.css');</style>", "@import"),
            ("", "shows nothing"),
        ] {
            let drawn = format!(
                "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'>{inside}</svg>"
            );
            let (words, _) = dots(drawn.as_bytes()).expect_err(inside);
            assert!(words.contains(said), "{words}");
        }
        for broken in [&b"<svg"[..], b"<html/>", b"\xff\xfe", b"\x89PNG\r\n\x1a\nrest"] {
            assert!(dots(broken).is_err());
        }
    }
}

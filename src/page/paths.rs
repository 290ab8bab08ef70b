//! Flow paths on the page's map: lines with an angle here and there that points where the water
//! goes.

use geo::Coord;

use crate::page::drawing;
use crate::page::drawing::Drawing;
use crate::page::facts::Facts;
use crate::page::layer::Layer;
use crate::page::limits::FINEST;
use crate::page::site::Site;
use crate::page::toward;
use crate::report::measures;
use crate::units::time_words;

/// A path begins no nearer than this to another that is drawn, drawing units.
const APART: f64 = 26.0;

/// From one angle to the next, and the length of its sides along and across, drawing units.
const STEP: f64 = 36.0;
const ALONG: f64 = 6.0;
const ACROSS: f64 = 3.2;

/// The paths as layers with what they tell; none where that was not asked.
pub(super) fn layers(site: &Site, drawing: &Drawing, facts: &mut Vec<Facts>) -> Vec<Layer> {
    let Some(answers) = site.results.toward else { return Vec::new() };
    let frame = site.results.control.frame();
    let apart_m = APART * drawing.crs_units() * frame.metres_per_unit();
    let shown = answers.shown(&site.results.site, frame, apart_m);
    let mut kinds = [Vec::new(), Vec::new()];
    for path in shown {
        let points: Vec<Coord> = path.points.iter().map(|p| frame.to_crs(*p)).collect();
        let line = drawing.line(&points, FINEST);
        let traced = &answers.paths[path.path];
        let gradient = traced.gradient.map(|g| measures::three_digits(g.value));
        kinds[usize::from(path.back)].push((with_angles(&line), facts.len()));
        facts.push(
            Facts::of(toward::path_title(answers, path.path, path.back))
                .with("length on the map", site.ground().away(traced.path.length_m()))
                .with_some("mean gradient", gradient)
                .with_some("travel time", traced.days.map(|d| time_words(d.low, Some(d.high)))),
        );
    }
    let [down, back] = kinds;
    [
        Layer::of_lines("path", "flow paths from sources", down),
        Layer::of_lines("path-back", "flow paths back from pumped wells or receptors", back),
    ]
    .into_iter()
    .filter(|layer| !layer.is_empty())
    .collect()
}

/// A line with angles along it, as one path.
fn with_angles(line: &[Coord]) -> String {
    let mut text = drawing::path(line);
    let mut left = STEP / 2.0;
    for w in line.windows(2) {
        let step = w[1] - w[0];
        let length = libm::hypot(step.x, step.y);
        if length == 0.0 {
            continue;
        }
        let way = step / length;
        let aside = Coord { x: -way.y, y: way.x } * ACROSS;
        let mut at = left;
        while at < length {
            let tip = w[0] + way * at;
            let tail = tip - way * ALONG;
            text += &drawing::path(&[tail + aside, tip, tail - aside]);
            at += STEP;
        }
        left = at - length;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_stand_along_a_line_at_equal_steps_across_its_vertices() {
        let at = |x: f64, y: f64| Coord { x, y };
        let text = with_angles(&[at(0.0, 0.0), at(20.0, 0.0), at(20.0, 0.0), at(80.0, 0.0)]);
        // At 18 on the first piece and at 54 on the last.
        assert_eq!(text.matches('M').count(), 3, "{text}");
        assert!(text.contains("M12 3.2l6 -3.2l-6 -3.2M48 3.2l6 -3.2l-6 -3.2"), "{text}");
    }
}

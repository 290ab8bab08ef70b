//! Contours of a grid of one's own: a cone of 4 m on a grid of 41 by 41 nodes, 10 m apart.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "an example speaks to its user"
)]

use headfall::geom::Areas;
use headfall::{Error, Grid, GridSpec, LengthUnit, Method, Surface, contour};

fn main() -> Result<(), Error> {
    let spec = GridSpec { west: 0.0, south: 0.0, cell: 10.0, columns: 41, rows: 41 };
    let nodes = (0..spec.rows).flat_map(|row| (0..spec.columns).map(move |column| (row, column)));
    let head = |(row, column): (usize, usize)| {
        let p = spec.node(row, column);
        let from_middle = ((p.x - 200.0).powi(2) + (p.y - 200.0).powi(2)).sqrt();
        // No head is known beyond 200 m.
        (from_middle <= 200.0).then_some(4.0 - 0.02 * from_middle)
    };
    let heads: Vec<Option<f64>> = nodes.map(head).collect();
    let surface = Surface::of_nodes(Grid::from_heads(spec, &heads), Method::Linear);
    let boundary = Areas::default();
    let unit = LengthUnit::Metre;
    let contours = contour::lines(&surface, &boundary, Some(0.5), 0.0, 0.0, unit)?.value;
    for line in &contours.lines {
        let round = if line.is_closed() { "closed" } else { "open" };
        println!("{} m, {round}, {} vertices", line.level, line.points.len());
    }
    Ok(())
}

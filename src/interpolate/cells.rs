//! Many places cut into cells of few, side by side.

use geo::{Coord, Rect};

/// A rectangle with the places in it.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    /// Its part of the rectangle about all places. Neighbours share their sides.
    pub(super) bounds: Rect,
    /// The places, ascending.
    pub(super) own: Vec<usize>,
}

/// Cuts places into cells of no more than `most`, each again and again across its longer side in
/// the middle of its places. Places at one position stay together, however many they are.
///
/// # Units
/// - any one length
pub(super) fn cells(places: &[Coord], most: usize) -> Vec<Cell> {
    let own: Vec<usize> = (0..places.len()).collect();
    let Some(bounds) = about(places.iter().copied()) else { return Vec::new() };
    let mut done = Vec::new();
    let mut open = vec![Cell { bounds, own }];
    while let Some(cell) = open.pop() {
        match (cell.own.len() > most).then(|| halves(places, &cell)).flatten() {
            // The lower half is cut on first: cells come from west and south to east and north.
            Some([low, high]) => open.extend([high, low]),
            None => done.push(cell),
        }
    }
    done
}

/// The distance from a place to a rectangle, squared; 0 within.
pub(super) fn square_to(bounds: &Rect, p: Coord) -> f64 {
    let (low, high) = (bounds.min(), bounds.max());
    let x = (low.x - p.x).max(p.x - high.x).max(0.0);
    let y = (low.y - p.y).max(p.y - high.y).max(0.0);
    x * x + y * y
}

/// So many of some places that are nearest to a rectangle, nearest first, and of equally near ones
/// those farther west and south.
///
/// # Units
/// - as the places
pub(super) fn nearest(
    places: &[Coord],
    among: impl Iterator<Item = usize>,
    bounds: &Rect,
    count: usize,
) -> Vec<usize> {
    let mut found: Vec<(f64, usize)> = among.map(|i| (square_to(bounds, places[i]), i)).collect();
    let order = |a: &(f64, usize), b: &(f64, usize)| {
        let (p, q) = (places[a.1], places[b.1]);
        a.0.total_cmp(&b.0).then(p.x.total_cmp(&q.x)).then(p.y.total_cmp(&q.y)).then(a.1.cmp(&b.1))
    };
    if found.len() > count {
        found.select_nth_unstable_by(count, order);
        found.truncate(count);
    }
    found.sort_unstable_by(order);
    found.into_iter().map(|f| f.1).collect()
}

/// Places in such an order that each is as far from all before it as any can be: the first few lie
/// over the whole site, the next between them. Only the first `count` are given.
///
/// # Units
/// - as the places
pub(super) fn spread_out(places: &[Coord], count: usize) -> Vec<usize> {
    let Some(bounds) = about(places.iter().copied()) else { return Vec::new() };
    let centre = Rect::new(bounds.center(), bounds.center());
    let mut next = nearest(places, 0..places.len(), &centre, 1)[0];
    let mut apart = vec![f64::INFINITY; places.len()];
    let mut order = Vec::new();
    while order.len() < count.min(places.len()) {
        order.push(next);
        apart[next] = f64::NEG_INFINITY;
        let (from, mut farthest) = (places[next], next);
        for (i, p) in places.iter().enumerate() {
            let d = *p - from;
            apart[i] = apart[i].min(d.x * d.x + d.y * d.y);
            let q = places[farthest];
            let further = apart[i]
                .total_cmp(&apart[farthest])
                .then(q.x.total_cmp(&p.x))
                .then(q.y.total_cmp(&p.y));
            if further.is_gt() {
                farthest = i;
            }
        }
        next = farthest;
    }
    order
}

/// The rectangle about places; `None` about none.
pub(super) fn about(places: impl IntoIterator<Item = Coord>) -> Option<Rect> {
    let mut places = places.into_iter();
    let first = places.next()?;
    let (low, high) = places.fold((first, first), |(low, high), p| {
        let low = Coord { x: low.x.min(p.x), y: low.y.min(p.y) };
        (low, Coord { x: high.x.max(p.x), y: high.y.max(p.y) })
    });
    Some(Rect::new(low, high))
}

/// A cell cut in two; `None` where all its places are at one position.
fn halves(places: &[Coord], cell: &Cell) -> Option<[Cell; 2]> {
    let tight = about(cell.own.iter().map(|i| places[*i]))?;
    let across = tight.width() >= tight.height();
    let along = |i: usize| if across { places[i].x } else { places[i].y };
    let mut order = cell.own.clone();
    order.sort_unstable_by(|a, b| along(*a).total_cmp(&along(*b)).then(a.cmp(b)));
    let middle = order.len() / 2;
    // The cut nearest to the middle that has no two places at one coordinate on its two sides.
    let apart = |k: &usize| along(order[*k - 1]) < along(order[*k]);
    let cut = (1..order.len()).filter(apart).min_by_key(|k| k.abs_diff(middle))?;
    let at = f64::midpoint(along(order[cut - 1]), along(order[cut]));
    let (low, high) = (cell.bounds.min(), cell.bounds.max());
    let (mut end, mut start) = (high, low);
    if across {
        (end.x, start.x) = (at, at);
    } else {
        (end.y, start.y) = (at, at);
    }
    let mut upper = order.split_off(cut);
    order.sort_unstable();
    upper.sort_unstable();
    Some([
        Cell { bounds: Rect::new(low, end), own: order },
        Cell { bounds: Rect::new(start, high), own: upper },
    ])
}

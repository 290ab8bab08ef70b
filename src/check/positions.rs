//! Positions as they are given, on the map and on earth.

use geo::Coord;

use super::types::Place;
use crate::geom::Crs;

/// CRS position and longitude and latitude of every well; one by one only when some well cannot
/// be transformed.
pub(super) fn all_at_once(crs: &Crs, source: Option<&Crs>, given: &[Coord]) -> Vec<Option<Place>> {
    let whole = |points: &[Coord]| -> Option<Vec<Place>> {
        let mut positions = points.to_vec();
        if let Some(source) = source {
            crs.convert_from(source, &mut positions).ok()?;
        }
        if !crs.is_on_earth() {
            let sound = positions.iter().all(|p| p.x.is_finite() && p.y.is_finite());
            return sound
                .then(|| positions.into_iter().map(|crs| Place { crs, lon_lat: None }).collect());
        }
        let mut lon_lat = positions.clone();
        crs.to_lon_lat(&mut lon_lat).ok()?;
        let both = positions.into_iter().zip(lon_lat);
        Some(both.map(|(crs, lon_lat)| Place { crs, lon_lat: Some(lon_lat) }).collect())
    };
    match whole(given) {
        Some(places) => places.into_iter().map(Some).collect(),
        None => given.iter().map(|p| whole(&[*p]).map(|places| places[0])).collect(),
    }
}

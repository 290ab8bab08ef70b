//! What PROJ knows of a coordinate reference system.

use proj::Proj;
use serde_json::Value;

use super::path::kept;
use super::types::{Area, CrsError, CrsKind, Earth, Known};

/// Asks PROJ what it knows of a CRS.
pub(super) fn asked(definition: &str) -> Result<Known, CrsError> {
    let unknown = |cause: String| CrsError::Unknown { definition: definition.to_owned(), cause };
    let proj = kept(|| Proj::new(definition)).map_err(|e| unknown(e.to_string()))?;
    let text = proj
        .to_projjson(Some(false), None, None)
        .map_err(|_| unknown("it is an operation, not a CRS".to_owned()))?;
    let json: Value = serde_json::from_str(&text).map_err(|e| unknown(e.to_string()))?;
    let horizontal = horizontal_part(&json);
    let (kind, base) = match horizontal["type"].as_str().unwrap_or_default() {
        "ProjectedCRS" | "DerivedProjectedCRS" => (CrsKind::Projected, base_of(horizontal)),
        "GeographicCRS" => (CrsKind::Geographic, horizontal.clone()),
        other => {
            return Err(CrsError::NotAMap {
                definition: definition.to_owned(),
                kind: other.to_owned(),
            });
        }
    };
    let (semi_major_m, flattening) =
        ellipsoid(&base).ok_or_else(|| unknown("its ellipsoid is not given".to_owned()))?;
    let (unit_name, metres_per_unit) = axis_unit(horizontal);
    let area = proj.area_of_use().ok().and_then(|(area, _)| area).map(|a| Area {
        west: a.west,
        south: a.south,
        east: a.east,
        north: a.north,
    });
    Ok(Known {
        name: json["name"].as_str().unwrap_or(definition).to_owned(),
        kind,
        unit_name,
        metres_per_unit,
        area,
        turned: counts_otherwise(horizontal),
        x_may_be_north: northing_first(horizontal),
        earth: Some(Earth { base: base.to_string(), semi_major_m, flattening }),
    })
}

/// The map part of a compound or bound CRS.
fn horizontal_part(json: &Value) -> &Value {
    match json["type"].as_str() {
        Some("CompoundCRS") => horizontal_part(&json["components"][0]),
        Some("BoundCRS") => horizontal_part(&json["source_crs"]),
        _ => json,
    }
}

/// The geographic CRS below a projected one, completed so that PROJ takes it by itself: longitude
/// and latitude in degrees.
fn base_of(projected: &Value) -> Value {
    let mut base = projected["base_crs"].clone();
    if base["type"] == "ProjectedCRS" {
        return base_of(&base);
    }
    if base["type"].is_null() {
        base["type"] = Value::from("GeographicCRS");
    }
    if base["coordinate_system"].is_null() {
        base["coordinate_system"] = serde_json::json!({
            "subtype": "ellipsoidal",
            "axis": [
                {"name": "Longitude", "abbreviation": "lon", "direction": "east", "unit": "degree"},
                {"name": "Latitude", "abbreviation": "lat", "direction": "north", "unit": "degree"}
            ]
        });
    }
    base
}

/// Semi-major axis in m and flattening.
fn ellipsoid(geographic: &Value) -> Option<(f64, f64)> {
    let datum = [&geographic["datum"], &geographic["datum_ensemble"]]
        .into_iter()
        .find(|d| !d["ellipsoid"].is_null())?;
    let shape = &datum["ellipsoid"];
    let metres = |v: &Value| {
        v.as_f64().or_else(|| {
            Some(v["value"].as_f64()? * v["unit"]["conversion_factor"].as_f64().unwrap_or(1.0))
        })
    };
    if let Some(radius) = metres(&shape["radius"]) {
        return Some((radius, 0.0));
    }
    let a = metres(&shape["semi_major_axis"])?;
    let flattening = match shape["inverse_flattening"].as_f64() {
        Some(inverse) => 1.0 / inverse,
        None => 1.0 - metres(&shape["semi_minor_axis"])? / a,
    };
    Some((a, flattening))
}

/// Name and size of the first axis's unit.
fn axis_unit(crs: &Value) -> (String, f64) {
    let unit = &crs["coordinate_system"]["axis"][0]["unit"];
    match unit.as_str() {
        Some("metre") => ("metre".to_owned(), 1.0),
        Some(name) => (name.to_owned(), 1f64.to_radians()),
        None => (
            unit["name"].as_str().unwrap_or("unknown").to_owned(),
            unit["conversion_factor"].as_f64().unwrap_or(1.0),
        ),
    }
}

/// Whether an axis counts to the west or to the south. About the poles all axes do one or the
/// other along a meridian of their own, which says nothing.
fn counts_otherwise(crs: &Value) -> bool {
    let axes = crs["coordinate_system"]["axis"].as_array();
    axes.into_iter().flatten().any(|axis| {
        let otherwise = matches!(axis["direction"].as_str(), Some("west" | "south"));
        otherwise && axis["meridian"].is_null()
    })
}

/// Whether northings are the first of the two coordinates, or are abbreviated as X.
fn northing_first(crs: &Value) -> bool {
    let axes = crs["coordinate_system"]["axis"].as_array();
    axes.into_iter().flatten().enumerate().any(|(place, axis)| {
        let abbreviation = axis["abbreviation"].as_str().unwrap_or_default();
        axis["direction"] == "north" && (place == 0 || abbreviation.starts_with(['X', 'x']))
    })
}

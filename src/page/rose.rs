//! The compass of the triangles' directions: where flow goes, weighted by area, the stated north up.

use serde::Serialize;

use crate::page::drawing;
use crate::page::site::Site;
use crate::report::measures;
use crate::uncertainty::DirectionInterval;
use crate::units::Azimuth;

/// Sectors below so many triangles with a direction, and from there on.
const FEW: usize = 16;
const MANY: usize = 36;
const MANY_FROM: usize = 100;

/// Radius of the largest sector, of the plane's arrow and of the arc of its interval.
const RADIUS: f64 = 100.0;
const ARROW: f64 = 116.0;
const ARC: f64 = 124.0;

/// The compass, ready to be drawn about the origin with north up.
#[derive(Debug, Serialize)]
pub(super) struct Rose {
    sectors: usize,
    /// Triangles with a direction.
    triangles: usize,
    wedges: Vec<Wedge>,
    rings: Vec<Ring>,
    plane: Option<Plane>,
}

/// A sector with any area.
#[derive(Debug, Serialize)]
struct Wedge {
    /// All of its area, and the part of it whose direction is known.
    all: String,
    known: Option<String>,
    title: String,
}

/// A ring of equal share.
#[derive(Debug, Serialize)]
struct Ring {
    radius: String,
    percent: String,
}

/// The direction of the plane.
#[derive(Debug, Serialize)]
struct Plane {
    /// Degrees clockwise from the stated north.
    turn: String,
    /// Whether it is told from none.
    resolved: bool,
    /// The arc of its interval; none for the whole circle.
    arc: Option<String>,
}

/// The compass of a site.
pub(super) fn rose(site: &Site) -> Rose {
    let flow = &site.results.flow;
    // A judged head says nothing of where the water flows.
    let triangles = flow.triangles.iter().zip(site.results.mesh.triangles()).enumerate();
    let measured: Vec<(usize, Azimuth)> = triangles
        .filter_map(|(i, (flow, t))| Some((i, flow.azimuth().filter(|_| !t.is_judged())?)))
        .collect();
    let directed = measured.len();
    let sectors = if directed < MANY_FROM { FEW } else { MANY };
    let width = 360.0 / sectors as f64;
    let (mut all, mut known) = (vec![0.0; sectors], vec![0.0; sectors]);
    for (i, azimuth) in measured {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 <= azimuth < 360"
        )]
        let sector = (azimuth.degrees() / width).round() as usize % sectors;
        let area = site.results.mesh.triangles()[i].area_m2;
        all[sector] += area;
        if site.results.known(i).is_some_and(|d| d.known) {
            known[sector] += area;
        }
    }
    let total: f64 = all.iter().sum();
    let most = all.iter().copied().fold(0.0, f64::max);
    // The area of a sector stands for the area of its triangles.
    let radius = |area: f64| RADIUS * (area / most).sqrt();
    let wedges = (0..sectors)
        .filter(|k| all[*k] > 0.0)
        .map(|k| {
            let middle = k as f64 * width;
            let (from, to) = (middle - width / 2.0, middle + width / 2.0);
            let percent = |area: f64| measures::fixed(100.0 * area / total, 1);
            Wedge {
                all: wedge(radius(all[k]), from, to),
                known: (known[k] > 0.0).then(|| wedge(radius(known[k]), from, to)),
                title: format!(
                    "toward {}° to {}°: {} % of the area, {} % with its direction known",
                    measures::fixed(from.rem_euclid(360.0), 1),
                    measures::fixed(to.rem_euclid(360.0), 1),
                    percent(all[k]),
                    percent(known[k])
                ),
            }
        })
        .collect();
    Rose { sectors, triangles: directed, wedges, rings: rings(most / total), plane: plane(site) }
}

/// Rings at round shares, at most four.
fn rings(most: f64) -> Vec<Ring> {
    if !most.is_finite() || most <= 0.0 {
        return Vec::new();
    }
    let percent = 100.0 * most;
    let all = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
    let shown = all.into_iter().filter(|p| *p <= percent && *p >= percent / 12.0);
    shown
        .map(|p| Ring {
            radius: drawing::number(RADIUS * (p / percent).sqrt()),
            percent: measures::fixed(p, 0),
        })
        .collect()
}

fn plane(site: &Site) -> Option<Plane> {
    let azimuth = site.results.flow.plane_azimuth()?;
    let error = site.results.uncertainty.plane.as_ref().map(|p| p.stated);
    let turned = error.map(|e| e.direction.turned(site.norths.turn_deg()));
    let arc = match turned {
        Some(DirectionInterval::Arc { from, to }) => {
            let width = to.turned(-from.degrees()).degrees();
            Some(drawing::arc(ARC, from.degrees(), from.degrees() + width, "M"))
        }
        _ => None,
    };
    Some(Plane {
        turn: measures::fixed(azimuth.degrees(), 1),
        resolved: error.is_some_and(|e| e.resolved),
        arc,
    })
}

/// A sector of a circle.
fn wedge(radius: f64, from: f64, to: f64) -> String {
    format!("M0 0{}Z", drawing::arc(radius, from, to, "L"))
}

/// How far the drawing reaches from its middle.
pub(super) const REACH: f64 = ARC + 26.0;

/// Length of the plane's arrow, for the template.
pub(super) const ARROW_LENGTH: f64 = ARROW;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rings_are_round_shares_within_the_largest_sector() {
        let percents: Vec<_> = rings(0.45).into_iter().map(|r| r.percent).collect();
        assert_eq!(percents, ["5", "10", "20"]);
        assert!(rings(f64::NAN).is_empty());
    }
}

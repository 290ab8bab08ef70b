//! Which parts of a contour rest on wells, and which are inferred.

use geo::Coord;

use super::confidence::NORMAL_SDS;
use crate::geom::tolerance::JUDGED_PART;
use crate::read::InferredRule;
use crate::units::{GroundUnit, LengthUnit, brief};

/// Reasons for which a contour is inferred.
pub(super) const REASONS: usize = 6;

/// What supports a contour at one vertex.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "conditions, any of which may hold with any other"
)]
pub struct Support {
    /// Distance to the nearest well or gauge that no barrier hides, m.
    pub to_nearest_well_m: f64,
    /// Whether the triangle around it is marked as a sliver, on a long edge of the outline, on one
    /// stream or on one line, or there is no triangle around it.
    pub in_marked_triangle: bool,
    /// Whether its level is above every measured head or below every one.
    pub beyond_heads: bool,
    /// Whether it rests on judged heads: the triangle around has one at a corner, or the surface without
    /// them is elsewhere.
    pub on_judged: bool,
    /// Standard deviation of the head there, the surface between the wells with it, elevation unit;
    /// `None` where it cannot be had.
    pub sd: Option<f64>,
    /// Whether it rests on a head that does not fit its neighbours: one is at a corner of the triangle
    /// around, and the heads around without it do not say that the level is there.
    pub on_unfit_head: bool,
}

/// What contours rest on, as far as there is more to say of it than that they rest on readings.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct RestsOn {
    /// Whether nothing is known of the surface between the wells.
    pub readings_only: bool,
    /// Whether any was judged.
    pub judged: bool,
    /// Whether any does not fit its neighbours.
    pub unfit: bool,
}

/// A part of a contour that is inferred throughout, or nowhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Which vertex of the contour it begins at. Neighbouring stretches share the vertex between
    /// them.
    pub first: usize,
    /// How many vertices it has; past the end of a closed contour it goes on from the beginning.
    pub count: usize,
    /// Whether it is inferred.
    pub inferred: bool,
}

impl Stretch {
    /// Which of the vertices of a contour that has `all` of them it has, in order.
    pub fn vertices(self, all: usize) -> impl Iterator<Item = usize> {
        // The last vertex of a closed contour is the first one again.
        (self.first..self.first + self.count).map(move |k| if k < all { k } else { k + 1 - all })
    }

    /// Its vertices, of the `contour` that it is a part of.
    pub fn points(self, contour: &[Coord]) -> impl Iterator<Item = Coord> {
        self.vertices(contour.len()).map(|k| contour[k])
    }
}

impl InferredRule {
    /// The rule as a sentence, for files and the map's legend.
    ///
    /// # Units
    /// - `spacing_m`: mean spacing of wells, m; `unit`: the elevation unit, for the sentence; `barriers`: whether there are any
    #[must_use]
    pub fn sentence(
        &self,
        spacing_m: f64,
        unit: LengthUnit,
        barriers: bool,
        on: RestsOn,
    ) -> String {
        let RestsOn { readings_only, judged, unfit } = on;
        let seen = if barriers { " that no barrier hides" } else { "" };
        let times = match self.spacings {
            1.0 => String::new(),
            times => format!("{} times ", brief(times)),
        };
        let part = match self.interval_part {
            1.0 => "the whole distance".to_owned(),
            part => format!("{} of the distance", brief(part)),
        };
        let error = if readings_only { ", reading error only" } else { "" };
        let mut more = String::new();
        if judged {
            more = format!(
                "; or it rests on judged heads (one at a corner of the triangle around it, or without them \
                 the surface is off by more than {} of the distance to the next contour, or ends)",
                brief(JUDGED_PART)
            );
        }
        if unfit {
            more += "; or it rests on a head that does not fit its neighbours";
        }
        let conditions = ["four", "five", "six"][usize::from(judged) + usize::from(unfit)];
        format!(
            "a contour is inferred where any of {conditions} conditions holds: it is farther from the nearest \
             well or gauge{seen} than {}, {times}the mean spacing of wells (the square root of the area \
             of their outline per well, or the median distance to the nearest well where that is \
             larger); no triangle of wells is around it, or only one marked as sliver, long edge, one \
             stream or one line; its level is above or below all heads; or its position may be off by \
             more than {part} to the next contour (95 %{error}){more}",
            GroundUnit::of(unit).away_to(self.spacings * spacing_m, 1)
        )
    }

    /// Whether a contour is inferred at a place.
    ///
    /// # Units
    /// - `spacing_m`: mean spacing of wells, m; `interval`: elevation unit
    #[must_use]
    pub fn applies(&self, support: &Support, spacing_m: f64, interval: f64) -> bool {
        self.reasons(support, spacing_m, interval).contains(&true)
    }

    /// Which of the reasons to be inferred hold at a place, in the order of [`Self::sentence`].
    pub(super) fn reasons(
        &self,
        support: &Support,
        spacing_m: f64,
        interval: f64,
    ) -> [bool; REASONS] {
        [
            support.to_nearest_well_m > self.spacings * spacing_m,
            support.in_marked_triangle,
            support.beyond_heads,
            support.sd.is_some_and(|sd| self.is_too_far(sd, interval)),
            support.on_judged,
            support.on_unfit_head,
        ]
    }

    /// Whether a contour may be too far off where a head has this standard deviation.
    ///
    /// # Units
    /// - `sd`, `interval`: elevation unit
    pub(super) fn is_too_far(&self, sd: f64, interval: f64) -> bool {
        NORMAL_SDS * sd > self.interval_part * interval
    }

    /// Cuts a contour into stretches. A piece between two vertices is inferred when either of them
    /// is, so that a solid line is supported throughout.
    ///
    /// A closed line that changes its kind is cut open where it changes.
    ///
    /// # Units
    /// - `contour`: any; `supports`: one for each vertex; `spacing_m`: m; `interval`: elevation unit
    ///
    /// # Panics
    /// When there is not one support for each vertex.
    #[must_use]
    pub fn split(
        &self,
        contour: &[Coord],
        supports: &[Support],
        spacing_m: f64,
        interval: f64,
    ) -> Vec<Stretch> {
        assert_eq!(contour.len(), supports.len(), "this is a bug in headfall: lengths differ");
        let at: Vec<bool> = supports.iter().map(|s| self.applies(s, spacing_m, interval)).collect();
        let pieces: Vec<bool> = at.windows(2).map(|w| w[0] || w[1]).collect();
        let mut stretches: Vec<Stretch> = Vec::new();
        for (first, inferred) in pieces.into_iter().enumerate() {
            match stretches.last_mut() {
                Some(last) if last.inferred == inferred => last.count += 1,
                _ => stretches.push(Stretch { first, count: 2, inferred }),
            }
        }
        join_ends(contour, &mut stretches);
        stretches
    }
}

/// Joins the last stretch of a closed line to the first when both are of one kind.
fn join_ends(contour: &[Coord], stretches: &mut Vec<Stretch>) {
    let closed = contour.len() > 2 && contour.first() == contour.last();
    let same = stretches.first().map(|s| s.inferred) == stretches.last().map(|s| s.inferred);
    if !(closed && same && stretches.len() > 1) {
        return;
    }
    if let Some(mut last) = stretches.pop() {
        last.count += stretches[0].count - 1;
        stretches[0] = last;
    }
}

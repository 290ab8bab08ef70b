//! `headfall toward` asked about aquifers whose water is known.

use std::sync::Arc;

use geo::{Coord, Geometry, LineString, Point};
use headfall::diag::Origin;
use headfall::read::{Place, SurfaceSettings};
use headfall::units::Span;
use headfall::{LengthUnit, Measurement, Reading, Round, Settings, Site, Well, run};
use rayon::prelude::*;

use super::aquifer::{Aquifer, Kind};
use super::flow::Flow;
use super::particle::Course;
use crate::Random;
use crate::said::Said;

/// The fall from west to east, m: a mean gradient of 0.005 over a kilometre.
const FALL_M: f64 = 5.0;

/// Wells, in different cells.
const WELLS: usize = 25;

/// The error of a reading, m.
const READING_M: f64 = 0.01;

/// Realizations for each aquifer: enough to tell 99 % from 97 %.
const REALIZATIONS: usize = 400;

/// The fence: so far from the west, and over the middle third of the width. Parts of length and width.
const FENCE: (f64, [f64; 2]) = (0.85, [1.0 / 3.0, 2.0 / 3.0]);

/// The source: so far from the west, and somewhere between these parts of the width.
const SOURCE: (f64, [f64; 2]) = (0.2, [0.25, 0.75]);

/// An aquifer of a kilometre by a kilometre whose conductivity is alike over a fifth of that.
pub(crate) fn kind(sd_ln_k: f64) -> Kind {
    Kind {
        cells: [100, 100],
        cell_m: 10.0,
        mean_k: 10.0,
        sd_ln_k,
        correlation_m: 200.0,
        porosity: 0.25,
    }
}

/// What becomes of the water of one source, and what the program says of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Answered {
    /// Days until the water crosses the fence; `None` where it goes past.
    pub(crate) truth_days: Option<f64>,
    /// The answer; its days are for conductivity between what 90 % of the aquifer has.
    pub(crate) said: Said,
}

impl Answered {
    pub(crate) fn is_right(&self) -> Option<bool> {
        self.said.reaches.map(|reaches| reaches == self.truth_days.is_some())
    }

    /// Whether the range of days holds the truth, where both say that the water arrives.
    pub(crate) fn days_hold(&self) -> Option<bool> {
        let (truth, days) = (self.truth_days?, self.said.days?);
        (self.said.reaches == Some(true)).then_some((days.low..=days.high).contains(&truth))
    }
}

/// One aquifer of a kind, with wells and a source by lot.
pub(crate) fn answered(kind: Kind, surface: &SurfaceSettings, seed: u64) -> Answered {
    let mut random = Random::new(seed);
    let aquifer = Aquifer::drawn(kind, &mut random);
    let flow = Flow::between(&aquifer, FALL_M, 0.0);
    let (long, wide) = (aquifer.length_m(), aquifer.width_m());
    let [south, north] = FENCE.1.map(|part| part * wide);
    let source =
        Coord { x: SOURCE.0 * long, y: random.between(SOURCE.1[0] * wide, SOURCE.1[1] * wide) };
    let truth_days = Course::from(&flow, source).crosses(FENCE.0 * long, [south, north]);

    let mut settings = Settings::local("Lot (invented)", LengthUnit::Metre, LengthUnit::Metre);
    settings.surface = surface.clone();
    settings.uncertainty.ensemble.members = REALIZATIONS;
    let [low, high] = kind.ninety_percent_of_k();
    settings.receptors.aquifer.conductivity_m_per_day = Some(Span::of(low, high));
    settings.receptors.aquifer.effective_porosity = Some(Span::of(kind.porosity, kind.porosity));
    let cells = wells(&aquifer, &mut random);
    let (mut register, mut readings) = (Vec::new(), Vec::new());
    for (i, [column, row]) in cells.into_iter().enumerate() {
        let id = format!("W-{i}");
        let middle = |cell: usize| (cell as f64 + 0.5) * kind.cell_m;
        register.push(Well::new(&id, middle(column), middle(row)));
        let head = 50.0 + flow.head(column, row) + READING_M * random.normal();
        readings.push(Reading::new(&id, Measurement::Elevation(head)));
    }
    let round = Round::new("lot", readings, &settings);
    let mut site = Site::new(settings, register);
    let fence = LineString::from(vec![(FENCE.0 * long, south), (FENCE.0 * long, north)]);
    site.features.sources.push(place("tank", Point(source)));
    site.features.receptors.push(place("fence", fence));
    let mut findings = Vec::new();
    let map = run::reduced(Arc::new(site), Arc::new(round), &mut findings)
        .and_then(|heads| run::map(heads, &mut findings))
        .unwrap_or_else(|e| panic!("seed {seed}: {e} {findings:#?}"));
    let toward = run::follow(&map, &mut findings);
    let toward = toward.unwrap_or_else(|e| panic!("seed {seed}: {e}"));
    Answered { truth_days, said: Said::of(&toward, "tank", "fence") }
}

fn place(name: &str, geometry: impl Into<Geometry>) -> Place {
    let (name, geometry) = (name.to_owned(), geometry.into());
    Place { name, geometry, aquifer_unit: None, origin: Origin::file("a lot") }
}

/// The cells of the wells: by lot, no two the same.
fn wells(aquifer: &Aquifer, random: &mut Random) -> Vec<[usize; 2]> {
    let mut cells = Vec::new();
    while cells.len() < WELLS {
        let cell = [random.below(aquifer.columns), random.below(aquifer.rows)];
        if !cells.contains(&cell) {
            cells.push(cell);
        }
    }
    cells
}

/// So many aquifers of a kind, in the order of their seeds.
pub(crate) fn asked(sd_ln_k: f64, surface: &SurfaceSettings, count: u64) -> Vec<Answered> {
    let first = 1000.0 * sd_ln_k;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small number")]
    let first = first as u64;
    let one = |k: u64| answered(kind(sd_ln_k), surface, first + k);
    (0..count).into_par_iter().map(one).collect()
}

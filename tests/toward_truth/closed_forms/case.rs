//! A case: wells over heads that a formula gives, and what becomes of the water.

use std::sync::Arc;

use geo::{Coord, Geometry, LineString, Point};
use headfall::diag::Origin;
use headfall::read::{Barrier, Method, Place, PumpedWell, Stream, StreamPoint, SurfaceSettings};
use headfall::toward::{PumpedZone, Toward};
use headfall::units::Span;
use headfall::{LengthUnit, Measurement, Reading, Round, Settings, Site, Well, run};

use crate::said::Said;

use super::way::Heads;

/// K and n are known this well, so that a range of days is a test of the path: relative.
const KNOWN: f64 = 1e-3;

/// Realizations of each site: enough for an answer, and quick.
const REALIZATIONS: usize = 200;

/// Places of a stream whose stage makes part of the map, m apart.
const STREAM_STEP_M: f64 = 50.0;

/// A site, and what is asked about it.
pub(crate) struct Case {
    pub(crate) name: &'static str,
    site: Site,
    readings: Vec<(String, f64)>,
    asked: Vec<Asked>,
}

/// One question, and what is true.
struct Asked {
    what: String,
    question: Question,
    truth: Truth,
    /// Whether the program is right today, by what [`Truth`] asks for.
    holds_today: bool,
}

enum Question {
    /// From a source to a receptor.
    Water(&'static str, &'static str),
    /// A measure of a pumped well's zone, m.
    Zone(fn(&PumpedZone) -> Option<Span>),
}

/// What is true, and with it what a right answer is.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Truth {
    /// The water arrives after so many days: the answer says so, and its days hold them.
    Arrives(f64),
    /// The water arrives after so many days, but the wells need not show it: no answer says that it does not.
    ArrivesUnseen(f64),
    /// The water does not arrive: no answer says that it does.
    Stays,
    /// The receptor lies upgradient: the answer says that the water flows away from it.
    FlowsAway,
    /// A length, m: a range holds it, or none is given.
    Metres(f64),
}

/// One row of the table.
pub(crate) struct Row {
    pub(crate) text: String,
    pub(crate) holds: bool,
    pub(crate) holds_today: bool,
}

impl Case {
    /// Wells at places over heads, in m, read to a thousandth, with K and n in m/d and as a part.
    pub(crate) fn new(name: &'static str, [k, n]: [f64; 2], heads: Heads, wells: &[Coord]) -> Self {
        let settings = Settings::local(name, LengthUnit::Metre, LengthUnit::Metre);
        let mut site = Site::new(settings, Vec::new());
        site.settings.uncertainty.ensemble.members = REALIZATIONS;
        let known = |value: f64| Some(Span::of(value * (1.0 - KNOWN), value * (1.0 + KNOWN)));
        site.settings.receptors.aquifer.conductivity_m_per_day = known(k);
        site.settings.receptors.aquifer.effective_porosity = known(n);
        let mut case = Self { name, site, readings: Vec::new(), asked: Vec::new() };
        for (i, p) in wells.iter().enumerate() {
            case = case.well(&format!("W-{i}"), *p, (heads(*p) * 1000.0).round() / 1000.0);
        }
        case
    }

    /// One more well.
    pub(crate) fn well(mut self, name: &str, at: Coord, head: f64) -> Self {
        self.site.wells.push(Well::new(name, at.x, at.y));
        self.readings.push((name.to_owned(), head));
        self
    }

    /// What the site declares besides.
    pub(crate) fn with(mut self, declare: impl FnOnce(&mut Site)) -> Self {
        declare(&mut self.site);
        self
    }

    /// Kriging with a plane.
    pub(crate) fn kriged(self) -> Self {
        self.with(|site| {
            let mut kriging =
                SurfaceSettings { method: Method::Kriging, ..SurfaceSettings::default() };
            kriging.kriging.drift = Some(true);
            site.settings.surface = kriging;
        })
    }

    /// A pumped well that nobody read, its rate in m³/d, in an aquifer of so many m²/d.
    pub(crate) fn pumped(self, well: &str, at: Coord, rate: f64, transmissivity: f64) -> Self {
        self.with(|site| {
            let aquifer = &mut site.settings.receptors.aquifer;
            aquifer.rate_m3_per_day = Some(1.0);
            aquifer.transmissivity_m2_per_day =
                Some(Span::of(0.95 * transmissivity, 1.05 * transmissivity));
            site.pumped_wells.push(PumpedWell {
                well: well.to_owned(),
                position: Some((at.x, at.y)),
                rate: Some(rate),
                radius: 0.1,
            });
        })
    }

    /// A straight stream with its stage at both ends.
    pub(crate) fn stream(self, name: &str, [from, to]: [Coord; 2], [up, down]: [f64; 2]) -> Self {
        self.with(|site| {
            let stream = site.features.streams.len();
            site.features.streams.push(Stream {
                name: name.to_owned(),
                line: LineString(vec![from, to]),
                stages: vec![up, down],
                aquifer_unit: None,
                origin: origin(),
            });
            let length = libm::hypot(to.x - from.x, to.y - from.y);
            let steps = (length / STREAM_STEP_M).round();
            let mut along = 0.0;
            while along <= steps {
                let part = along / steps;
                site.features.stream_points.push(StreamPoint {
                    name: format!("{name} @ {} m", (part * length).round()),
                    position: from + (to - from) * part,
                    stage: up + (down - up) * part,
                    stream,
                });
                along += 1.0;
            }
        })
    }

    pub(crate) fn barrier(self, name: &str, line: &[Coord]) -> Self {
        let barrier =
            Barrier { name: name.to_owned(), line: LineString(line.to_vec()), origin: origin() };
        self.with(|site| site.features.barriers.push(barrier))
    }

    pub(crate) fn source(self, name: &str, at: Coord) -> Self {
        self.with(|site| site.features.sources.push(place(name, Point(at))))
    }

    pub(crate) fn receptor(self, name: &str, geometry: impl Into<Geometry>) -> Self {
        self.with(|site| site.features.receptors.push(place(name, geometry)))
    }

    /// A question about the water of a source, and whether the answer is right today.
    pub(crate) fn asks(
        mut self,
        source: &'static str,
        receptor: &'static str,
        truth: Truth,
        holds_today: bool,
    ) -> Self {
        let what = format!("{source} to {receptor}");
        let question = Question::Water(source, receptor);
        self.asked.push(Asked { what, question, truth, holds_today });
        self
    }

    /// A question about the zone of the pumped well.
    pub(crate) fn measures(
        mut self,
        what: &str,
        measure: fn(&PumpedZone) -> Option<Span>,
        metres: f64,
        holds_today: bool,
    ) -> Self {
        let (what, truth) = (what.to_owned(), Truth::Metres(metres));
        let question = Question::Zone(measure);
        self.asked.push(Asked { what, question, truth, holds_today });
        self
    }

    /// The rows of the table: what the program answers.
    pub(crate) fn rows(self) -> Vec<Row> {
        let reading = |(id, head): &(String, f64)| Reading::new(id, Measurement::Elevation(*head));
        let readings = self.readings.iter().map(reading).collect();
        let round = Round::new("spring", readings, &self.site.settings);
        let mut findings = Vec::new();
        let map = run::reduced(Arc::new(self.site), Arc::new(round), &mut findings)
            .and_then(|heads| run::map_for_paths(heads, &mut findings))
            .unwrap_or_else(|e| panic!("{}: {e} {:#?}", self.name, e.diagnostics()));
        let toward = run::follow(&map, &mut findings);
        let toward = toward.unwrap_or_else(|e| panic!("{}: {e}", self.name));
        self.asked.into_iter().map(|asked| asked.row(self.name, &toward)).collect()
    }
}

impl Asked {
    fn row(self, case: &str, toward: &Toward) -> Row {
        let (found, holds) = match self.question {
            Question::Water(source, receptor) => {
                let said = Said::of(toward, source, receptor);
                (found(&said), self.truth.holds(&said))
            }
            Question::Zone(measure) => {
                let span = toward.pumped.first().and_then(measure);
                let found = span.map_or("not given".to_owned(), |s| between(s, "m"));
                (found, span.is_none_or(|s| self.truth.is_in(s)))
            }
        };
        let text = format!("{case} | {} | {} | {found}", self.what, self.truth.words());
        Row { text, holds, holds_today: self.holds_today }
    }
}

impl Truth {
    fn holds(self, said: &Said) -> bool {
        let says = said.reaches.or(said.share.map(|share| share >= 0.5));
        let sure_of_not = says == Some(false) || said.share.is_some_and(|share| share < 0.05);
        let sure_of_it = says == Some(true) || said.share.is_some_and(|share| share > 0.95);
        match self {
            Self::Arrives(_) => {
                said.reaches == Some(true)
                    && !sure_of_not
                    && said.days.is_some_and(|d| self.is_in(d))
            }
            Self::ArrivesUnseen(_) => !sure_of_not && said.days.is_none_or(|d| self.is_in(d)),
            Self::Stays => !sure_of_it,
            Self::FlowsAway => !sure_of_it && said.words.contains("away from"),
            Self::Metres(_) => false,
        }
    }

    fn is_in(self, span: Span) -> bool {
        let (Self::Arrives(is) | Self::ArrivesUnseen(is) | Self::Metres(is)) = self else {
            return false;
        };
        (span.low..=span.high).contains(&is)
    }

    fn words(self) -> String {
        match self {
            Self::Arrives(days) | Self::ArrivesUnseen(days) => format!("arrives, {days:.0} d"),
            Self::Stays => "does not arrive".to_owned(),
            Self::FlowsAway => "flows away from it".to_owned(),
            Self::Metres(m) => format!("{m:.1} m"),
        }
    }
}

fn found(said: &Said) -> String {
    let days = said.days.map(|d| format!(", {}", between(d, "d"))).unwrap_or_default();
    let share = said.share.map_or(", no share".to_owned(), |s| format!(", {:.1} %", 100.0 * s));
    format!("{}{days}{share}", said.words)
}

fn between(span: Span, unit: &str) -> String {
    format!("{:.0} to {:.0} {unit}", span.low, span.high)
}

fn origin() -> Origin {
    Origin::file("a formula")
}

fn place(name: &str, geometry: impl Into<Geometry>) -> Place {
    let (name, geometry) = (name.to_owned(), geometry.into());
    Place { name, geometry, aquifer_unit: None, origin: origin() }
}

//! What the record says in a few sentences.

use serde::Serialize;

use super::rows::SiteRecord;
use crate::diag::listed;
use crate::record::{SeasonalTrend, Trend, TurnInterval, Turned, Way};
use crate::report::measures;
use crate::report::words::counted;
use crate::uncertainty::PlaneFit;
use crate::units::fixed;

/// The record in a few figures and sentences, decided once.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecordStatement {
    /// The mean direction of the rounds, stated; `None` without one.
    pub toward: Option<String>,
    /// How far the rounds scatter about it.
    pub spread: Option<String>,
    /// The mean gradient of the rounds; `None` where no round has one.
    pub gradient: Option<String>,
    /// The lowest and highest with their rounds.
    pub gradients: Option<String>,
    /// Whether flow turned, in a word or two.
    pub turned: &'static str,
    /// When, or that it is not shown.
    pub turns: String,
    /// Wells that rise and fall.
    pub trends: String,
    /// The same with the seasons taken out, where they are.
    pub seasonal_trends: Option<String>,
    /// All of it as sentences.
    pub sentences: Vec<String>,
}

impl RecordStatement {
    /// Of a record.
    #[must_use]
    pub fn of(record: &SiteRecord) -> Self {
        let mut sentences = Vec::new();
        let (gradient, gradients) = gradients(record);
        if let Some((mean, range)) = gradient.as_ref().zip(gradients.as_ref()) {
            sentences.push(format!(
                "The hydraulic gradient is {mean} on average over {}, {range}.",
                counted(with_gradient(record).count(), "round")
            ));
        }
        let (toward, spread) = directions(record);
        if let Some((toward, spread)) = toward.as_ref().zip(spread.as_ref()) {
            sentences.push(format!("Groundwater flows toward {toward} on average, {spread}."));
        }
        let (turned, turns) = turns(record);
        sentences.push(turns.clone());
        sentences.extend(not_planar(record));
        let trends = risen_and_fallen(record, false);
        let seasonal = record.record.wells.iter().any(|w| matches!(w.seasonal, Some(Ok(_))));
        let seasonal_trends = seasonal.then(|| risen_and_fallen(record, true));
        sentences.extend(trend_sentences(record));
        sentences.push(doubtful(record));
        sentences.extend(network(record));
        Self {
            toward,
            spread,
            gradient,
            gradients,
            turned,
            turns,
            trends,
            seasonal_trends,
            sentences,
        }
    }
}

/// The rounds with a gradient, by index.
fn with_gradient(record: &SiteRecord) -> impl Iterator<Item = (usize, f64)> {
    let rounds = record.record.rounds.iter().enumerate();
    rounds.filter_map(|(i, r)| Some((i, r.gradient?.gradient)))
}

fn gradients(record: &SiteRecord) -> (Option<String>, Option<String>) {
    let all: Vec<(usize, f64)> = with_gradient(record).collect();
    let least = all.iter().min_by(|a, b| a.1.total_cmp(&b.1));
    let most = all.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((least, most)) = least.zip(most) else { return (None, None) };
    let mean = all.iter().map(|g| g.1).sum::<f64>() / all.len() as f64;
    let of = |g: &(usize, f64)| {
        format!("{} ({})", measures::gradient(g.1), record.record.rounds[g.0].round)
    };
    (Some(measures::gradient(mean)), Some(format!("from {} to {}", of(least), of(most))))
}

fn directions(record: &SiteRecord) -> (Option<String>, Option<String>) {
    let norths = record.norths();
    let Some(found) = record.record.directions else { return (None, None) };
    let Some(mean) = found.mean else { return (None, None) };
    let resolved = record.record.rounds.iter().filter(|r| r.gradient.is_some_and(|g| g.resolved));
    let sd = found
        .sd_deg
        .map_or_else(String::new, |sd| format!("; circular standard deviation {}°", fixed(sd, 0)));
    let spread = format!(
        "{}{sd}; resolved in {} of {}",
        norths.stated.words(),
        resolved.count(),
        counted(found.directions, "round")
    );
    (Some(measures::toward(norths.state(mean))), Some(spread))
}

fn turns(record: &SiteRecord) -> (&'static str, String) {
    let rounds = &record.record.rounds;
    let judged = rounds
        .iter()
        .filter_map(|r| r.turn)
        .filter(|t| matches!(t.turn.verdict, Turned::Turned | Turned::NotShown));
    let turned: Vec<String> = rounds
        .iter()
        .enumerate()
        .filter_map(|(i, r)| {
            let row = r.turn.filter(|t| t.turn.verdict == Turned::Turned)?;
            let by = measures::turn(row.turn.turn_deg?);
            let interval = match row.turn.stated {
                TurnInterval::Between { from_deg, to_deg } => {
                    let [from, to] = [from_deg, to_deg].map(measures::turn);
                    format!(" (95 %: {from}° to {to}°)")
                }
                TurnInterval::Any => String::new(),
            };
            let since = &rounds[row.since].round;
            let doubt = record.doubtful_in(i) + record.doubtful_in(row.since) > 0;
            let doubt = if doubt { ", with doubtful readings" } else { "" };
            Some(format!("by {by}°{interval} from {since} to {}{doubt}", r.round))
        })
        .collect();
    let judged = judged.count();
    if !turned.is_empty() {
        let each = turned.join("; ");
        return ("turned", format!("Flow turned (clockwise is positive) {each}."));
    }
    if judged == 0 {
        let why =
            "No two rounds in a row have a resolved direction: whether flow turned is not known.";
        return ("not known", why.to_owned());
    }
    (
        "not shown",
        format!(
            "No turn of the flow is shown between {} with resolved directions.",
            counted(judged, "pair") + " of rounds in a row"
        ),
    )
}

fn not_planar(record: &SiteRecord) -> Option<String> {
    let poor = |r: &&crate::record::RoundRow| r.gradient.is_some_and(|g| g.fit == PlaneFit::Poor);
    let names: Vec<&str> =
        record.record.rounds.iter().filter(poor).map(|r| r.round.as_str()).collect();
    (!names.is_empty()).then(|| {
        format!(
            "The water table is not planar in {} ({}): report no gradient or direction of the whole site from {} (M416).",
            counted(names.len(), "round"),
            listed(&names),
            if names.len() == 1 { "it" } else { "them" }
        )
    })
}

/// Wells that go one way, by the plain test or by that of seasons.
fn going(record: &SiteRecord, way: Way, seasonal: bool) -> Vec<&str> {
    let wells = record.record.wells.iter();
    let of = wells.filter(|w| {
        let found = if seasonal {
            w.seasonal.as_ref().and_then(|s| s.as_ref().ok()).map(SeasonalTrend::way)
        } else {
            w.trend.as_ref().ok().map(Trend::way)
        };
        found == Some(way)
    });
    of.map(|w| w.well.as_str()).collect()
}

fn risen_and_fallen(record: &SiteRecord, seasonal: bool) -> String {
    let [up, down] = [Way::Up, Way::Down].map(|way| going(record, way, seasonal).len());
    format!("{up} rise, {down} fall")
}

fn trend_sentences(record: &SiteRecord) -> Vec<String> {
    let wells = &record.record.wells;
    let tested = wells.iter().filter(|w| w.trend.is_ok()).count();
    if tested == 0 {
        return vec!["No well has the 8 readings that a trend needs.".to_owned()];
    }
    let named = |way, seasonal| {
        let names = going(record, way, seasonal);
        if names.is_empty() { "none".to_owned() } else { listed(&names) }
    };
    let mut found = vec![format!(
        "Of {} with enough readings for a trend, rising: {}; falling: {}.",
        counted(tested, "well"),
        named(Way::Up, false),
        named(Way::Down, false)
    )];
    let seasonal = wells.iter().filter(|w| matches!(w.seasonal, Some(Ok(_)))).count();
    if seasonal > 0 {
        found.push(format!(
            "With the seasons taken out, of {}, rising: {}; falling: {}.",
            counted(seasonal, "well"),
            named(Way::Up, true),
            named(Way::Down, true)
        ));
    }
    found
}

fn doubtful(record: &SiteRecord) -> String {
    let rows = record.doubtful();
    if rows.is_empty() {
        return "No reading is unlike the rest of the record.".to_owned();
    }
    let each = rows.iter().map(|d| format!("{} in {}", d.well, d.round));
    let are =
        if rows.len() == 1 { "1 reading does" } else { &format!("{} readings do", rows.len()) };
    format!("{are} not fit the rest of the record: {}.", listed(each))
}

/// Whether the same wells were read in all rounds, and rounds that could not be read.
fn network(record: &SiteRecord) -> Vec<String> {
    let rounds = record.record.rounds.len();
    let read = record.record.wells.iter().filter_map(|w| w.extremes);
    let (mut all, mut some) = (0, 0);
    for of_well in read {
        if of_well.heads == rounds { all += 1 } else { some += 1 }
    }
    let mut found = Vec::new();
    if some > 0 {
        found.push(format!(
            "{} in every round, {some} in some of them only; turns are of the wells that both rounds have.",
            if all == 1 { "1 well has a head".to_owned() } else { format!("{all} wells have a head") }
        ));
    }
    let missing: Vec<&str> = record.not_read.iter().map(|(name, _)| name.as_str()).collect();
    if !missing.is_empty() {
        found.push(format!(
            "{} could not be read: {}.",
            counted(missing.len(), "round"),
            listed(&missing)
        ));
    }
    found
}

//! The whole round.

use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Severity, Warned, bounded, listed};
use crate::error::Error;
use crate::geom::tolerance::THICK_PRODUCT_M;
use crate::read::{Round, Site, by_name};
use crate::reduce::join::{Joined, join};
use crate::reduce::plausible::impossible_well;
use crate::reduce::reading::{Judge, Judged};
use crate::reduce::repeats::{Compared, Disorder, Repeat, clock, judge};
use crate::reduce::rounds;
use crate::reduce::states::contradicting_states;
use crate::reduce::types::{Fate, Reduced, WellHead};
use crate::reduce::unchecked::unchecked;
use crate::reduce::words::{about, name, show};
use crate::units::{LengthUnit, brief, brief_to, clean};

/// Turns the readings of a round into one head for each well.
///
/// Depths are corrected for their tape, converted to the elevation unit and taken from the
/// measuring point elevation that was valid on the day; floating product is corrected for; of
/// repeated readings the mean of the last two in a row that agree counts; readings that a status
/// word excludes are not used. Every reading has an account of what it became. The
/// order of rows does not matter, except for the order of the accounts.
///
/// # Units
/// - heads: [`crate::read::Settings::elevation_unit`], above the site's vertical datum
///
/// # Errors
/// [`Error::Reduce`] with every finding made, when any of them is a refusal: no valid measuring
/// point elevation, product without a specific gravity or in an impossible place, an
/// undeclared instrument, an unclear measurement, repeated readings without an order or of
/// several rounds, a sign that is wrong throughout.
///
/// # Example
/// A measuring point at 102.50 m and 3.25 m down to the water: the head is 99.25 m.
///
/// ```
/// use headfall::diag::Origin;
/// use headfall::{LengthUnit, Measurement, MeasuringPoint, Reading, Round, Settings, Site, Well, reduce};
///
/// # fn main() -> Result<(), headfall::Error> {
/// let settings = Settings::local("Low Field", LengthUnit::Metre, LengthUnit::Metre);
/// let reading = Reading::new("MW-1", Measurement::Depth(3.25));
/// let round = Round::new("spring", vec![reading], &settings);
/// let mut site = Site::new(settings, vec![Well::new("MW-1", 0.0, 0.0)]);
/// let surveyed = MeasuringPoint { valid_from: None, elevation: 102.5, origin: Origin::file("a survey") };
/// site.measuring_points.insert("MW-1".to_owned(), vec![surveyed]);
///
/// let reduced = reduce::round(&site, &round)?.value;
/// assert!((reduced.heads[0].head - 99.25).abs() < 1e-9);
/// # Ok(())
/// # }
/// ```
///
/// # References
/// `docs/reduction.md`, rule by rule.
pub fn round(site: &Site, round: &Round) -> Result<Warned<Reduced>, Error> {
    let Joined { wells, points, of_reading } = join(site, round);
    let units = round.units(&site.settings);
    let mut findings = Vec::new();
    for well in &site.wells {
        findings.extend(impossible_well(well, units));
    }
    let mut judge = Judge::new(site, round);
    let mut judged = Vec::with_capacity(round.readings.len());
    let mut of_well: Vec<(usize, usize)> = Vec::with_capacity(round.readings.len());
    for (index, reading) in round.readings.iter().enumerate() {
        let Some(rank) = of_reading[index] else {
            findings.push(
                Diagnostic::new(
                    Code::WellUnknown,
                    format!("well {} is not in the register", reading.well),
                )
                .well(&reading.well)
                .at(&reading.origin),
            );
            continue;
        };
        of_well.push((rank, judged.len()));
        judged.push(judge.judge(index, wells[rank], points[rank]));
    }
    of_well.sort_unstable();

    findings.extend(judge.into_findings());
    let mut heads = Vec::with_capacity(wells.len());
    let mut read = vec![false; wells.len()];
    let mut far: Vec<(usize, i64)> = Vec::new();
    for group in of_well.chunk_by(|a, b| a.0 == b.0) {
        let well = wells[group[0].0];
        read[group[0].0] = true;
        let rows: Vec<usize> = group
            .iter()
            .map(|&(_, account)| account)
            .filter(|&row| judged[row].is_candidate())
            .collect();
        let readings = rows.iter().map(|&row| &round.readings[judged[row].account.reading]);
        match rounds::apart(readings, site.settings.round_window_h) {
            Some(seconds) => far.push((well, seconds)),
            None => {
                heads.extend(head_of_well((site, round), well, rows, &mut judged, &mut findings));
            }
        }
    }
    findings.extend(rounds::several(site, round, far));
    let not_read: Vec<usize> =
        wells.iter().zip(read).filter(|(_, read)| !read).map(|(&well, _)| well).collect();
    findings.extend(not_read_finding(site, round, &not_read));
    findings.extend(unchecked(site, round, &heads));
    findings.extend(contradicting_states(site, round, &judged));

    // By message before place: lines change with the order of rows, messages do not.
    findings.sort_by(|a, b| {
        (a.code, &a.wells, &a.message, &a.origins).cmp(&(b.code, &b.wells, &b.message, &b.origins))
    });
    if findings.iter().any(Diagnostic::is_refusal) {
        return Err(Error::Reduce(bounded(findings)));
    }
    let mut accounts: Vec<_> = judged.into_iter().map(|j| j.account).collect();
    // They are where the larger rows of the judgement were.
    accounts.shrink_to_fit();
    Ok(Warned::new(Reduced { heads, accounts: Arc::new(accounts), not_read }, findings))
}

/// The head of one well from its readings `rows`, which receive their fates.
fn head_of_well(
    (site, round): (&Site, &Round),
    well: usize,
    rows: Vec<usize>,
    judged: &mut [Judged],
    findings: &mut Vec<Diagnostic>,
) -> Option<WellHead> {
    let behind = match rows.len() {
        0 => return None,
        1 => rows,
        _ => accepted_pair((site, round), well, &rows, judged, findings)?,
    };
    for &row in &behind {
        judged[row].account.behind = true;
    }
    let mean = |value: fn(&Judged) -> Option<f64>| {
        let sum: Option<f64> = behind.iter().map(|&row| value(&judged[row])).sum();
        sum.map(|sum| clean(sum / behind.len() as f64))
    };
    let moments = behind.iter().filter_map(|&r| round.readings[judged[r].account.reading].moment);
    let head = WellHead {
        well,
        head: mean(|j| j.account.head)?,
        depth: mean(|j| j.account.corrected_depth),
        measuring_point: behind.iter().rev().find_map(|&r| judged[r].account.measuring_point),
        product_thickness: mean(|j| j.account.product_thickness),
        moment: moments.max_by_key(|&m| clock(Some(m))),
        accounts: behind,
    };
    findings.extend(product_finding((site, round), &head, judged));
    Some(head)
}

/// Several readings of one well as they are held against each other.
fn repeats<'a>(
    site: &Site,
    round: &'a Round,
    rows: &[usize],
    judged: &[Judged],
) -> Vec<Repeat<'a>> {
    let units = round.units(&site.settings);
    let repeat = |&row: &usize| {
        let (j, reading) = (&judged[row], &round.readings[judged[row].account.reading]);
        let head = j.account.head.unwrap_or_default();
        Repeat {
            number: reading.number,
            moment: reading.moment,
            instrument: reading.instrument.as_deref(),
            as_read: j.as_read,
            corrected: j.corrected,
            measuring_point: j.account.measuring_point,
            head: units.elevation.convert(head, units.depth),
        }
    };
    rows.iter().map(repeat).collect()
}

/// The two of several readings that count, in order; the others are not used with the reason.
fn accepted_pair(
    (site, round): (&Site, &Round),
    well: usize,
    rows: &[usize],
    judged: &mut [Judged],
    findings: &mut Vec<Diagnostic>,
) -> Option<Vec<usize>> {
    let (tolerance, unit) = (round.repeat_tolerance, round.depth_unit);
    let bound = brief(tolerance);
    let repeats = repeats(site, round, rows, judged);
    let whole = |code, text: String| {
        let mut finding = Diagnostic::new(code, format!("{}: {text}", name(&site.wells[well])))
            .well(&site.wells[well].id);
        for &row in rows {
            finding = finding.at(&round.readings[judged[row].account.reading].origin);
        }
        finding.origins.sort();
        finding
    };
    let order = match judge(&repeats, tolerance) {
        Ok(order) => order,
        Err(disorder) => {
            let text = match disorder {
                Disorder::NoOrder => {
                    format!(
                        "{} readings without numbers or times, so their order is unknown",
                        rows.len()
                    )
                }
                Disorder::SameNumber(n) => format!("two readings are numbered {n}"),
            };
            findings.push(
                whole(Code::OrderUnknown, text)
                    .advice("number them 1, 2, 3 in the column reading, or give each its time"),
            );
            return None;
        }
    };
    let compared = Compared::of(&repeats);
    let values = |places: &[usize]| -> String {
        let values: Vec<String> =
            places.iter().map(|&i| show(compared.value(&repeats[i]))).collect();
        listed(values)
    };
    let heads = compared.words();
    let Some(last) = order.accepted else {
        findings.push(
            whole(
                Code::RepeatsDisagree,
                format!(
                    "repeated readings do not agree within {bound} {unit}: {heads}{} {unit}",
                    values(&order.order)
                ),
            )
            .advice("the well is not used; repeat the reading until two in a row agree"),
        );
        for &row in rows {
            judged[row].account.fate = Fate::NotUsed {
                code: Some(Code::RepeatsDisagree),
                reason: format!("no two readings in a row agree within {bound} {unit}"),
            };
        }
        return None;
    };
    if last + 1 < order.order.len() {
        let (pair, later) = (&order.order[last - 1..=last], &order.order[last + 1..]);
        findings.push(
            whole(
                Code::LaterNotUsed,
                format!(
                    "the last reading was not used: {heads}{} {unit} follows {} {unit}, which \
                     agree (bound {bound} {unit})",
                    values(later),
                    values(pair)
                ),
            )
            .advice(
                "if the level was still changing, the last reading is the right one: read the \
                 well again, or remove the earlier readings if they were taken before the level \
                 was static",
            ),
        );
    }
    for (place, &i) in order.order.iter().enumerate() {
        let (code, reason) = if place + 1 < last {
            (None, "an earlier reading: the last two in a row that agree are used".to_owned())
        } else if place > last {
            (
                Some(Code::LaterNotUsed),
                format!("does not agree with the reading before it within {bound} {unit}"),
            )
        } else {
            continue;
        };
        judged[rows[i]].account.fate = Fate::NotUsed { code, reason };
    }
    Some(vec![rows[order.order[last - 1]], rows[order.order[last]]])
}

/// Says that a head was corrected for floating product, and by how much.
fn product_finding(
    (site, round): (&Site, &Round),
    head: &WellHead,
    judged: &[Judged],
) -> Option<Diagnostic> {
    let thickness = head.product_thickness.filter(|&t| t > 0.0)?;
    let (unit, elevation_unit) = (round.depth_unit, site.settings.elevation_unit);
    let mut gravities: Vec<f64> =
        head.accounts.iter().filter_map(|&row| judged[row].account.specific_gravity).collect();
    gravities.sort_by(f64::total_cmp);
    gravities.dedup();
    let gravities: Vec<String> = gravities.iter().map(|g| brief(*g)).collect();
    let well = &site.wells[head.well];
    let first = &round.readings[judged[*head.accounts.first()?].account.reading];
    let mut finding = about(
        Code::ProductCorrected,
        well,
        first,
        &format!(
            "head {} {elevation_unit} is corrected for {} {unit} of floating product of specific \
             gravity {}",
            brief_to(head.head, 2),
            show(thickness),
            gravities.join(" and ")
        ),
    );
    for &row in head.accounts.iter().skip(1) {
        finding = finding.at(&round.readings[judged[row].account.reading].origin);
    }
    if unit.convert(thickness, LengthUnit::Metre) > THICK_PRODUCT_M {
        finding.severity = Severity::Warning;
        finding.message = format!(
            "{}; a thickness above {} {unit} is unusual",
            finding.message,
            show(LengthUnit::Metre.convert(THICK_PRODUCT_M, unit))
        );
        finding = finding.advice("check both depths against the field sheet");
    }
    Some(finding)
}

/// Names the wells of the register that the round does not speak of.
fn not_read_finding(site: &Site, round: &Round, not_read: &[usize]) -> Option<Diagnostic> {
    if not_read.is_empty() {
        return None;
    }
    let mut not_read = not_read.to_vec();
    not_read.sort_by(|&a, &b| by_name(&site.wells[a].id, &site.wells[b].id));
    let ids: Vec<&str> = not_read.iter().map(|&w| site.wells[w].id.as_str()).collect();
    let text = format!("round {} has no reading of {}", round.name, listed(ids));
    let mut finding = Diagnostic::new(Code::WellNotRead, text).advice(
        "if a well was visited but not read, add a row with a status such as \"not accessible\"",
    );
    for &w in &not_read {
        finding = finding.well(&site.wells[w].id).at(&site.wells[w].origin);
    }
    Some(finding)
}

//! What people read: findings on standard error, results on standard output.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};
use comfy_table::CellAlignment;
use headfall::Error;
use headfall::check::ControlSet;
use headfall::diag::{Diagnostic, Severity, printable};
use headfall::map::Surfaced;
use headfall::reduce::{Fate, ReadingAccount};
use headfall::report::{Facts, FindingCounts, NOT_PLANAR, Resolved, Results, Statement, counted};
use headfall::run::{Drawn, Heads, Map};
use headfall::units::fixed;
use serde::Serialize;

use super::printed::{Checked, CheckedReading};
use super::{say, tables};

/// Tells findings on standard error: first what somebody accepted, and the heaviest last, where it is read
/// first.
pub(super) fn findings(findings: &[Diagnostic]) {
    let mut sorted: Vec<&Diagnostic> = findings.iter().collect();
    sorted.sort_by_key(|d| (!d.accepted, d.severity));
    for d in sorted {
        say::aside(&finding(d));
    }
}

/// The word before a finding.
pub(super) const fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Note => "note",
        Severity::Warning => "warning",
        Severity::Refusal => "error",
    }
}

/// One finding: what, where, what to do.
fn finding(d: &Diagnostic) -> String {
    const MOST_PLACES: usize = 6;
    let word = word(d.severity);
    let colour = match d.severity {
        Severity::Note => AnsiColor::Cyan,
        Severity::Warning => AnsiColor::Yellow,
        Severity::Refusal => AnsiColor::Red,
    };
    let style = Style::new().bold().fg_color(Some(colour.into()));
    let mut text = format!("{style}{word} {}{style:#} {}\n", d.code, printable(&d.message));
    for origin in d.origins.iter().take(MOST_PLACES) {
        let _ = writeln!(text, "    at {}", printable(&origin.to_string()));
    }
    let more = d.origins.len().saturating_sub(MOST_PLACES) + d.more_places;
    if more > 0 {
        let _ = writeln!(text, "    and {more} more places");
    }
    if let Some(advice) = &d.advice {
        let _ = writeln!(text, "    help: {}", printable(advice));
    }
    for decision in d.decision_words() {
        let _ = writeln!(text, "    {}", printable(&decision));
    }
    text
}

/// What cannot be done, with the chain of causes.
pub(super) fn refusal(what: &str, error: &Error) -> String {
    let mut text = what.to_owned() + &error.causes();
    let refusals: usize =
        error.diagnostics().iter().filter(|d| d.is_refusal()).map(Diagnostic::count).sum();
    if refusals > 0 {
        let _ = write!(text, " ({refusals} {})", if refusals == 1 { "reason" } else { "reasons" });
    }
    printable(&text).into_owned()
}

/// Any result as JSON, for `--json`. What steers a terminal and JSON need not escape is escaped
/// too: the text means the same.
pub(super) fn json(value: &impl Serialize) -> String {
    escaped(&headfall::write::json(value))
}

/// The same on one line.
pub(super) fn line(value: &impl Serialize) -> String {
    escaped(&headfall::write::json_line(value))
}

fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        // The line ends of the layout are the only control characters that JSON text has.
        if c == '\n' || printable(c.encode_utf8(&mut [0; 4])) == c.encode_utf8(&mut [0; 4]) as &str
        {
            escaped.push(c);
        } else {
            let _ = write!(escaped, "\\u{:04x}", u32::from(c));
        }
    }
    escaped
}

/// A file or folder as it is told.
pub(super) fn path(path: &std::path::Path) -> String {
    printable(&path.display().to_string()).into_owned()
}

/// The few lines after a map was drawn.
pub(super) fn summary(drawn: &Drawn, findings: &[Diagnostic]) -> String {
    let Map { surfaced, contours, .. } = &drawn.map;
    let Surfaced { site, round, control, mesh, surface, .. } = &**surfaced;
    let unit = control.elevation_unit().in_words();
    let mut text = printable(&site.settings.name).into_owned();
    if let Some(aquifer) = control.aquifer_unit() {
        let _ = write!(text, ", {}", printable(aquifer));
    }
    let _ = writeln!(text, ", round {}", printable(&round.name));
    let results = drawn.results(&[]);
    let aside = results.control.accounts().iter().filter(|a| a.fate != Fate::Used).count();
    let _ = write!(
        text,
        "control: {}; {} not used",
        results.control_words(),
        counted(aside, "reading")
    );
    if let Some(measured) = Facts::of(&results).measured {
        let _ = write!(text, ", measured {measured}");
    }
    text.push('\n');
    text.push_str(&statement(&results));
    let triangles = match results.judged() {
        Some(_) => "the triangles of measured heads alone".to_owned(),
        None => counted(mesh.triangles().len(), "triangle"),
    };
    let _ = write!(text, "mean of {triangles}, weighted by area: ");
    let statement = Statement::of(&results);
    let toward = statement.mean_direction.as_deref().unwrap_or("no direction to be reported");
    let _ = writeln!(text, "gradient {}, flow direction {toward}", statement.mean_gradient);
    text.push_str(&directions(&results));
    let _ = writeln!(text, "surface: {}", printable(&surface.words));
    match contours.levels.as_slice() {
        [] => {}
        [only] => {
            let _ = writeln!(text, "one contour, {only} {unit}");
        }
        levels => match contours.interval {
            Some(interval) => {
                let [low, high] = [levels[0], levels[levels.len() - 1]];
                let _ = writeln!(text, "contours {low} to {high}, every {interval} {unit}");
            }
            None => {
                let _ = writeln!(text, "contours {}", Facts::of(&results).contours);
            }
        },
    }
    text.push_str(&counts(findings));
    let _ = writeln!(text, "in {}:", path(&drawn.folder));
    for file in &drawn.files {
        let name = file.file_name().unwrap_or_default();
        let _ = writeln!(text, "  {}", name.display());
    }
    text.push_str(
        "Contours between wells are inferred. For screening: local codes and a licensed professional \
         decide.\n",
    );
    text
}

/// Gradient and direction of the whole site.
fn statement(results: &Results) -> String {
    let statement = Statement::of(results);
    let mut text = String::new();
    if let Some(over) = statement.over_map.as_ref().filter(|_| !statement.planar) {
        let _ = writeln!(
            text,
            "flow direction {}; gradient {}\n{NOT_PLANAR}",
            over.direction_words(),
            over.gradient_words()
        );
    } else {
        let _ = writeln!(
            text,
            "plane through {}: gradient {}, flow direction {}{}",
            results.carriers(),
            statement.gradient_words(),
            statement.direction_words(),
            statement.r_squared.as_ref().map(|r| format!(", R2 {r}")).unwrap_or_default()
        );
    }
    for caution in &statement.cautions {
        let _ = writeln!(text, "    {caution}");
    }
    text
}

/// How many triangles have a direction that is known, and that the readings resolve.
fn directions(results: &Results) -> String {
    let directions = &results.uncertainty.directions;
    let Resolved { fit, resolved, by_chance } = results.resolved();
    format!(
        "    direction known to within {} degrees in {} of {} ({})\n    readings rule out a level \
         water table in {resolved} of the {fit} without a mark; on a level one chance alone would \
         make it {}\n",
        directions.within_deg,
        directions.known(),
        counted(results.mesh.triangles().len(), "triangle"),
        directions.basis.words(),
        fixed(by_chance, 0)
    )
}

/// How many findings there are.
pub(super) fn counts(findings: &[Diagnostic]) -> String {
    format!("findings: {}\n", FindingCounts::of(findings).words(""))
}

/// The table of heads that `check` prints.
pub(super) fn heads(
    heads: &Heads,
    control: Option<&ControlSet>,
    findings: &[Diagnostic],
) -> String {
    let Heads { site, round, .. } = heads;
    let unit = site.settings.elevation_unit;
    let accounts = control.map_or(heads.reduced.accounts.as_slice(), ControlSet::accounts);
    let mut table = tables::plain();
    table.set_header([
        "well".to_owned(),
        "read at".to_owned(),
        format!("measuring point {unit}"),
        format!("depth {}", round.depth_unit),
        format!("head {unit}"),
        "off neighbours".to_owned(),
        "fate".to_owned(),
    ]);
    for a in sorted(accounts, heads) {
        let reading = &round.readings[a.reading];
        let off = control
            .and_then(|c| c.points().iter().find(|p| p.well() == Some(a.well)))
            .and_then(|p| p.leave_one_out)
            .filter(|_| a.fate == Fate::Used);
        table.add_row([
            printable(&site.wells[a.well].id).into_owned(),
            reading.moment.map(|m| m.to_string()).unwrap_or_default(),
            number(a.measuring_point, 3),
            number(a.corrected_depth, 3),
            number(a.head, 3),
            off.map(|l| signed(l.residual, 3)).unwrap_or_default(),
            match &a.fate {
                Fate::Used => "used".to_owned(),
                Fate::NotUsed { reason, .. } => format!("not used: {}", printable(reason)),
            },
        ]);
    }
    for column in 2..=5 {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let used = accounts.iter().filter(|a| a.fate == Fate::Used).count();
    format!(
        "{}, round {}\n{table}\n{} used, {} not used\n{}",
        printable(&site.settings.name),
        printable(&round.name),
        counted(used, "reading"),
        accounts.len() - used,
        counts(findings)
    )
}

/// Accounts by well name, then as they stand in the round.
fn sorted<'a>(accounts: &'a [ReadingAccount], heads: &Heads) -> Vec<&'a ReadingAccount> {
    let mut sorted: Vec<&ReadingAccount> = accounts.iter().collect();
    sorted.sort_by(|a, b| {
        let id = |x: &ReadingAccount| &heads.site.wells[x.well].id;
        id(a).cmp(id(b)).then(a.reading.cmp(&b.reading))
    });
    sorted
}

fn number(value: Option<f64>, decimals: i32) -> String {
    value.map(|v| fixed(v, decimals)).unwrap_or_default()
}

/// A number with its sign.
pub(super) fn signed(value: f64, decimals: i32) -> String {
    headfall::units::signed(fixed(value, decimals))
}

/// The result of a check for `--json`.
pub(super) fn checked<'a>(
    heads: &'a Heads,
    control: Option<&'a ControlSet>,
    findings: &'a [Diagnostic],
    error: Option<&'a Error>,
) -> Checked<'a> {
    let Heads { site, round, .. } = heads;
    let accounts = control.map_or(heads.reduced.accounts.as_slice(), ControlSet::accounts);
    Checked {
        site: &site.settings.name,
        round: &round.name,
        elevation_unit: site.settings.elevation_unit.name(),
        depth_unit: round.depth_unit.name(),
        mappable: error.is_none(),
        readings: sorted(accounts, heads)
            .into_iter()
            .map(|a| {
                let reading = &round.readings[a.reading];
                CheckedReading {
                    well: &site.wells[a.well].id,
                    read_at: reading.moment.map(|m| m.to_string()),
                    measuring_point: a.measuring_point,
                    depth: a.corrected_depth,
                    head: a.head,
                    fate: &a.fate,
                    file: &reading.origin.file,
                    line: reading.origin.row(),
                }
            })
            .collect(),
        findings: findings.iter().chain(error.map_or(&[][..], Error::diagnostics)).collect(),
    }
}

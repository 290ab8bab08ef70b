//! What one reading says by itself: its corrected depth, its head, and whether it may count.

use crate::diag::{Code, Diagnostic, listed};
use crate::read::{
    Calibration, Measurement, MeasuringPoint, Moment, Reading, Round, Site, Status, Well,
};
use crate::reduce::formula;
use crate::reduce::lengths::Lengths;
use crate::reduce::plausible;
use crate::reduce::product;
use crate::reduce::repeats::Depths;
use crate::reduce::sound::{
    contradiction, depth_read, negative_depth, negative_depths, written_otherwise,
};
use crate::reduce::status;
use crate::reduce::survey::{Surveys, valid_at};
use crate::reduce::types::{Fate, ReadingAccount};
use crate::reduce::words::about;
use crate::units::clean;

/// A reading judged by itself.
#[derive(Debug)]
pub(super) struct Judged {
    /// Its account. `Used` means that nothing speaks against it so far.
    pub(super) account: ReadingAccount,
    /// The depths as they were read, before any correction, depth unit.
    pub(super) as_read: Option<Depths>,
    /// The same, corrected for the instrument.
    pub(super) corrected: Option<Depths>,
}

impl Judged {
    /// Whether it may become the well's head.
    pub(super) fn is_candidate(&self) -> bool {
        self.account.fate == Fate::Used && self.account.head.is_some()
    }
}

/// Judges the readings of a round one by one and gathers what is to be said of them.
#[derive(Debug)]
pub(super) struct Judge<'a> {
    site: &'a Site,
    round: &'a Round,
    surveys: Surveys<'a>,
    /// The wells whose measuring point was looked at: what is wrong with it is said once.
    looked_at: Vec<bool>,
    findings: Vec<Diagnostic>,
    /// Count of depths that may be mapped.
    depths: usize,
    /// What is to be said of each negative one, unless there are too many.
    negative: Vec<Diagnostic>,
    /// Readings with product up to the measuring point, and their wells.
    to_the_top: Vec<(&'a Reading, &'a Well)>,
}

impl<'a> Judge<'a> {
    pub(super) fn new(site: &'a Site, round: &'a Round) -> Self {
        Self {
            site,
            round,
            surveys: Surveys::new(&site.settings, round.before),
            looked_at: vec![false; site.wells.len()],
            findings: Vec::new(),
            depths: 0,
            negative: Vec::new(),
            to_the_top: Vec::new(),
        }
    }

    /// Judges one reading. What is wrong with it is added to the findings; a reading with a refusal
    /// has no head.
    pub(super) fn judge(
        &mut self,
        index: usize,
        well_index: usize,
        points: &'a [MeasuringPoint],
    ) -> Judged {
        let site = self.site;
        let units = self.round.units(&site.settings);
        let (reading, well) = (&self.round.readings[index], &site.wells[well_index]);
        let mut judged = Judged {
            account: ReadingAccount::blank(index, well_index),
            as_read: None,
            corrected: None,
        };
        let as_read = self.as_read(reading, well);
        judged.as_read = as_read.depths();
        let Some(tape) = self.tape_of(as_read, reading, well) else {
            return judged;
        };
        let lengths = as_read.with_depths(|depth| tape.correct(depth));
        judged.corrected = lengths.depths();
        let account = &mut judged.account;
        account.instrument_correction = as_read.depths().and_then(|d| tape.correction(d.to_water));
        account.corrected_depth = judged.corrected.map(|d| d.to_water);
        account.product_thickness =
            judged.corrected.and_then(|d| Some(clean(d.to_water - d.to_product?)));
        account.specific_gravity = lengths.gravity();
        account.product_correction = lengths.product_correction();

        if let Some(depth) = reading.dry_to {
            account.dry_to = self.tape(reading, well).map(|tape| tape.correct(depth));
        }

        let day = reading.moment.map(Moment::date);
        let point = || valid_at(points, day).ok();
        let elevation = || point().map(|p| p.elevation);
        if let Some(reason) = status::off_map(reading, elevation, units) {
            if !matches!(lengths, Lengths::Elevation(_)) {
                self.surveys.put(point(), points, well, account);
            }
            if status::has_head(reading.status) {
                account.head = lengths.head(account.measuring_point, units);
            }
            let code = if reading.status == Status::NotUsed {
                self.findings.extend(status::without_reason(well, reading));
                Code::LeftOut
            } else {
                self.findings.push(status::finding(well, reading, site, &reason));
                Code::NoStaticLevel
            };
            account.fate = Fate::NotUsed { code: Some(code), reason };
            return judged;
        }

        if let Some((finding, reason)) = plausible::missing(reading, well, units) {
            self.findings.push(finding);
            *account = ReadingAccount {
                fate: Fate::NotUsed { code: Some(Code::MissingValue), reason },
                ..ReadingAccount::blank(index, well_index)
            };
            return judged;
        }
        if let Some(refusal) = plausible::impossible(reading, well, units) {
            self.findings.push(refusal);
            return judged;
        }
        self.depths += usize::from(depth_read(reading).is_some());
        if product::to_the_top(reading) {
            self.to_the_top.push((reading, well));
            return judged;
        }
        self.add(product::thickness_otherwise(reading, well, units));
        if let Some(refusal) = contradiction(reading, well, lengths, units) {
            self.findings.push(refusal);
            return judged;
        }
        if let Some(finding) = negative_depth(reading, well, units) {
            self.negative.push(finding);
        }
        if !matches!(lengths, Lengths::Elevation(_)) {
            let valid = self.surveys.valid(well, points, reading);
            self.surveys.put(valid, points, well, account);
            if let Some(point) = valid.filter(|_| !self.looked_at[well_index]) {
                self.looked_at[well_index] = true;
                self.add(plausible::impossible_point(point, well, units));
            }
        }
        account.head = lengths.head(account.measuring_point, units);
        if let Some(head) = account.head {
            self.add(written_otherwise(reading, well, head, units));
        }
        judged
    }

    /// Adds what there is to say: of most readings nothing, which is quicker seen than moved.
    fn add(&mut self, finding: Option<Diagnostic>) {
        if let Some(finding) = finding {
            self.findings.push(finding);
        }
    }

    /// The lengths of a reading as they were read.
    fn as_read(&self, reading: &Reading, well: &Well) -> Lengths {
        match reading.measurement {
            Measurement::None => Lengths::Nothing,
            Measurement::Depth(depth) => Lengths::Below(depth),
            Measurement::HoldAndCut { hold, cut } => {
                Lengths::Below(clean(formula::hold_less_cut(hold, cut)))
            }
            Measurement::Product { to_product, to_water, specific_gravity } => Lengths::Product {
                to_product,
                to_water,
                gravity: specific_gravity
                    .or(well.specific_gravity)
                    .or(self.site.settings.specific_gravity),
            },
            Measurement::PressureHead(height) | Measurement::Stage(height) => {
                Lengths::Above(height)
            }
            Measurement::Elevation(elevation) => Lengths::Elevation(elevation),
        }
    }

    /// The tape that depths were read with; nothing is known of what was read without. `None` when the tape is
    /// not known.
    fn tape_of(&mut self, as_read: Lengths, reading: &Reading, well: &Well) -> Option<Tape> {
        if as_read.depths().is_none() { Some(Tape(None)) } else { self.tape(reading, well) }
    }

    /// The tape a reading names. A site that declares no instruments keeps their names only.
    fn tape(&mut self, reading: &Reading, well: &Well) -> Option<Tape> {
        let known = &self.site.instruments;
        let Some(name) = reading.instrument.as_ref().filter(|_| !known.is_empty()) else {
            return Some(Tape(None));
        };
        if let Some(&calibration) = known.get(name) {
            return Some(Tape(Some(calibration)));
        }
        let names: Vec<&str> = known.keys().map(String::as_str).collect();
        let text = format!("the instrument \"{name}\" is not declared");
        self.findings.push(about(Code::InstrumentUnknown, well, reading, &text).advice(format!(
            "site.toml declares {}; add [instruments.{}] with its offset and stretch (0 if it \
             reads true), or correct the name",
            listed(names),
            toml_key(name)
        )));
        None
    }

    /// All that was found about single readings.
    pub(super) fn into_findings(self) -> Vec<Diagnostic> {
        let mut findings = self.findings;
        findings.extend(negative_depths(self.negative, self.depths));
        findings.extend(product::all_to_the_top(self.to_the_top, self.round.depth_unit));
        self.surveys.into_findings(&mut findings);
        findings
    }
}

/// A tape, with its calibration where it is known.
#[derive(Debug, Clone, Copy)]
struct Tape(Option<Calibration>);

impl Tape {
    /// What is to be added to a reading, where a calibration says so.
    fn correction(self, reading: f64) -> Option<f64> {
        self.0.map(|calibration| formula::tape_correction(reading, calibration))
    }

    fn correct(self, reading: f64) -> f64 {
        self.0.map_or(reading, |c| clean(formula::corrected_depth(reading, c)))
    }
}

/// A name as a key of TOML: in quotation marks unless it is of letters, digits, `_` and `-` alone.
fn toml_key(name: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    if !name.is_empty() && name.chars().all(bare) {
        return name.to_owned();
    }
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

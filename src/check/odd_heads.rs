//! What is said of heads that do not fit the plane of their neighbours.

use std::fmt::Write as _;

use super::causes::{Around, Cause, Others, Tried};
use super::exchanged::Exchange;
use super::types::{ControlPoint, LeaveOneOut};
use super::units;
use crate::diag::{Code, Diagnostic};
use crate::read::{Round, Site};
use crate::units::{brief_to, signed, told_apart};

/// What to do about a head that a mistake explains.
const CHECK_CAUSE: &str = "compare with the field sheet and correct the table where it is wrong; \
                           nothing was changed, and arithmetic is no proof";

/// Heads that do not fit, and what is known of them.
pub(super) struct OddHeads<'a> {
    pub(super) points: &'a [ControlPoint],
    /// Those that do not fit, the worst first.
    pub(super) odd: &'a [usize],
    /// Of all points.
    pub(super) left_out: &'a [Option<LeaveOneOut>],
    pub(super) tried: Tried<'a>,
    pub(super) site: &'a Site,
    pub(super) round: &'a Round,
}

impl OddHeads<'_> {
    /// The findings for the wells that do not fit, the worst first. Two that fit with their readings
    /// exchanged are one finding. Exchanges are looked for with all other wells where these are `few`,
    /// otherwise with those that do not fit either.
    pub(super) fn tell(&self, around: &impl Around, few: bool) -> Vec<Diagnostic> {
        let mut findings = Vec::new();
        let mut told = vec![false; self.points.len()];
        for &i in self.odd {
            let Some(loo) = self.left_out[i].filter(|_| !told[i]) else { continue };
            let p = &self.points[i];
            let unit = self.site.settings.elevation_unit;
            if let Some(how) = units::mixed_up(p, loo.predicted, unit, self.round.depth_unit) {
                findings.push(self.of_unit(p, loo, how));
                continue;
            }
            let causes = self.causes(i, around, few);
            let partner = causes.iter().find_map(|cause| match cause {
                Cause::Exchanged(j) if self.odd.contains(j) && !told[*j] => Some(*j),
                _ => None,
            });
            told[i] = true;
            let mut wells = vec![(i, loo, causes)];
            if let Some((j, of_partner)) = partner.and_then(|j| Some((j, self.left_out[j]?))) {
                told[j] = true;
                wells.push((j, of_partner, self.causes(j, around, few)));
            }
            findings.push(self.of_heads(wells));
        }
        findings
    }

    fn causes(&self, i: usize, around: &impl Around, few: bool) -> Vec<Cause> {
        let others = if few { Others::All } else { Others::Odd(self.odd) };
        self.tried.explain(i, &others, around)
    }

    fn of_unit(&self, p: &ControlPoint, loo: LeaveOneOut, how: &str) -> Diagnostic {
        let unit = self.site.settings.elevation_unit;
        let text = format!(
            "well {}: head {} {unit} is {} {unit} from the plane through its neighbours, and fits it if \
             {how}",
            p.id,
            brief_to(p.head, 2),
            signed(brief_to(loo.residual, 2))
        );
        Diagnostic::new(Code::UnitMixUp, text)
            .well(&p.id)
            .at_each(p.row(self.site).map(|row| &row.origin))
            .advice("check the unit of this well's reading and measuring point")
    }

    /// Of a head, or of two that fit with their readings exchanged.
    fn of_heads(&self, mut wells: Vec<(usize, LeaveOneOut, Vec<Cause>)>) -> Diagnostic {
        let off: Vec<String> = wells.iter().map(|(i, loo, _)| self.off(*i, *loo)).collect();
        let mut text = off.join("; ");
        let both = wells.len() > 1;
        if both {
            text += "; both fit if their readings are exchanged";
            let named: Vec<usize> = wells.iter().map(|(i, ..)| *i).collect();
            for (_, _, causes) in &mut wells {
                causes.retain(|c| !matches!(c, Cause::Exchanged(j) if named.contains(j)));
            }
        }
        let explained = both || wells.iter().any(|(_, _, causes)| !causes.is_empty());
        let mut told = Diagnostic::new(Code::OffNeighbours, String::new());
        for (i, _, causes) in wells {
            let p = &self.points[i];
            told = told.well(&p.id).at_each(p.row(self.site).map(|row| &row.origin));
            if !causes.is_empty() {
                let ways: Vec<String> = causes.iter().map(|cause| self.words(cause)).collect();
                let alone = if both { format!("{} alone", p.id) } else { "it".to_owned() };
                let _ = write!(text, "; {alone} fits if {}", ways.join(", or if "));
            }
        }
        told.message = text;
        told.advice(if explained { CHECK_CAUSE.to_owned() } else { self.advice() })
    }

    /// The finding for two wells whose readings are exchanged and that are known by that alone, with what
    /// explains their heads as well.
    pub(super) fn exchanged(&self, exchange: &Exchange) -> Option<Diagnostic> {
        let unit = self.site.settings.elevation_unit;
        let id = |i: usize| &self.points[i].id;
        let [a, b] = exchange.wells;
        let (score, bound) = told_apart(exchange.score, exchange.bound, 1);
        let of_both = [self.away(a, self.left_out[a]?), self.away(b, self.left_out[b]?)];
        let mut text = format!(
            "{}; both fit if their readings are exchanged ({score} standard deviations, bound {bound})",
            of_both.join("; ")
        );
        let pairs = exchange.or_pairs.iter();
        let pairs =
            pairs.map(|[c, d]| format!("the readings of {} and {} exchanged", id(*c), id(*d)));
        let alone = exchange.or_wells.iter().map(|(i, too_high)| {
            format!("{} alone {} {unit} off", id(*i), signed(brief_to(*too_high, 2)))
        });
        let others: Vec<String> = pairs.chain(alone).collect();
        if !others.is_empty() {
            let _ = write!(text, "; explained as well by {}", others.join(", or by "));
        }
        let told = Diagnostic::new(Code::OffNeighbours, text).advice(CHECK_CAUSE);
        Some(exchange.wells.iter().fold(told, |told, i| {
            let p = &self.points[*i];
            told.well(&p.id).at_each(p.row(self.site).map(|row| &row.origin))
        }))
    }

    /// By how much a head does not fit.
    fn off(&self, i: usize, loo: LeaveOneOut) -> String {
        let (score, bound) = told_apart(loo.score.abs(), loo.bound, 1);
        format!("{} ({score} standard deviations, bound {bound})", self.away(i, loo))
    }

    /// How far a head is from the plane of its neighbours.
    fn away(&self, i: usize, loo: LeaveOneOut) -> String {
        let (p, unit) = (&self.points[i], self.site.settings.elevation_unit);
        format!(
            "well {}: head {} {unit} is {} {unit} from the {} {unit} of the plane through its neighbours",
            p.id,
            brief_to(p.head, 2),
            signed(brief_to(loo.residual, 2)),
            brief_to(loo.predicted, 2),
        )
    }

    /// A mistake, said of the well.
    fn words(&self, cause: &Cause) -> String {
        match cause {
            Cause::Exchanged(j) => {
                format!("its reading and that of {} are exchanged", self.points[*j].id)
            }
            Cause::Own(words) => words.clone(),
        }
    }

    /// What to do about a head off its neighbours' plane that nothing explains.
    fn advice(&self) -> String {
        const USUAL: &str = "check the reading, the measuring point elevation and the aquifer unit; \
                             keep the well if the water table is curved there";
        if self.site.pumped_wells.is_empty() {
            return USUAL.to_owned();
        }
        format!(
            "{USUAL}, as it is beside the pumped wells in site.toml: a plane does not follow their \
             cones of depression"
        )
    }
}

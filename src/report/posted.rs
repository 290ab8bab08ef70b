//! The wells of a map with the sign that each wears, for sheet and page alike.

use std::collections::{BTreeMap, BTreeSet};

use geo::Coord;

use super::measures;
use super::results::Results;
use super::wells::NOT_MEASURED;
use crate::diag::{Code, Diagnostic};
use crate::read::WellKind;
use crate::uncertainty::NORMAL_SDS;
use crate::units::{LengthUnit, signed};

/// What stands behind a head that was corrected for floating product.
pub(crate) const CORRECTED: char = '*';

/// What stands behind a head that does not fit its neighbours.
pub(crate) const UNFIT: char = '?';

/// What stands behind a head that was judged.
const JUDGED: &str = " judged";

/// A warning about more wells than these is one about the map.
const MOST_WELLS: usize = 5;

/// What a well is shown as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum WellSign {
    /// A well used for contouring.
    Well,
    /// A gauge on surface water.
    Gauge,
    /// A pumped well, used or not.
    Pumped,
    /// A well that was measured and not used.
    NotUsed,
    /// A well with a head that somebody decided to leave out.
    LeftOut,
    /// A point whose head somebody judged, and nobody measured.
    Judged,
}

impl WellSign {
    /// Its name, for files and scripts.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Well => "well",
            Self::Gauge => "gauge",
            Self::Pumped => "pumped",
            Self::NotUsed => "not-used",
            Self::LeftOut => "left-out",
            Self::Judged => "judged",
        }
    }
}

/// A well on a map.
#[derive(Debug, Clone)]
pub(crate) struct Posted<'a> {
    /// Its name.
    pub(crate) id: &'a str,
    /// Its position, CRS units; `None` where its coordinates do not fit the CRS.
    pub(crate) crs: Option<Coord>,
    /// What it is shown as.
    pub(crate) sign: WellSign,
    /// Its number among the control points, where it is one.
    pub(crate) point: Option<usize>,
    /// Its head, elevation unit, where it is one, and of a well left out by decision.
    pub(crate) head: Option<f64>,
    /// Whether the head was corrected for floating product.
    pub(crate) corrected: bool,
    /// Whether the head does not fit its neighbours (C307, C308): its sign is in an open frame.
    pub(crate) unfit: bool,
    /// What the head is more or less than at 95 %, elevation unit, of a value that is written with its interval and its sign.
    pub(crate) give_or_take: Option<f64>,
    /// The thickness of floating product, depth unit, where there is some.
    pub(crate) product: Option<f64>,
    /// Why it is not used; empty for a well that nobody read.
    pub(crate) reasons: Vec<&'a str>,
    /// The codes of the warnings about a well whose head is on the map, if nobody accepted them. `unfit` has C307 and C308.
    pub(crate) warnings: Vec<&'static str>,
    /// What is posted in the place of a head: `dry`, `flowing`, `not measured`, `not used`.
    pub(crate) without_head: Option<&'static str>,
}

impl Posted<'_> {
    /// Its name and what is posted of it, on one line.
    ///
    /// # Units
    /// - `unit`: of depths
    pub(crate) fn label(&self, unit: LengthUnit) -> String {
        let name = Some(self.id.to_owned());
        let words = [name, self.head_words(), self.product_words(unit), self.warning_words()];
        words.into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    /// The codes of the warnings about it.
    pub(crate) fn warning_words(&self) -> Option<String> {
        (!self.warnings.is_empty()).then(|| self.warnings.join(", "))
    }

    /// The thickness of floating product, where there is some.
    ///
    /// # Units
    /// - `unit`: of depths
    pub(crate) fn product_words(&self, unit: LengthUnit) -> Option<String> {
        Some(format!("product {} {}", measures::posted(self.product?), unit.in_words()))
    }

    /// Whether nobody read it in this round.
    pub(crate) fn is_unread(&self) -> bool {
        self.sign == WellSign::NotUsed && self.reasons.is_empty()
    }

    /// Its head as it is posted, with the marks of what is to be known of it; or why it has none.
    pub(crate) fn head_words(&self) -> Option<String> {
        let Some(head) = self.head else { return self.without_head.map(str::to_owned) };
        let mut text = measures::posted(head);
        if let Some(width) = self.give_or_take {
            text = format!("{} ± {}", signed(text), measures::posted(width));
        }
        text.extend(self.corrected.then_some(CORRECTED));
        text.extend(self.unfit.then_some(UNFIT));
        Some(match self.sign {
            WellSign::LeftOut => format!("({text})"),
            WellSign::Judged => text + JUDGED,
            _ => text,
        })
    }
}

impl<'a> Results<'a> {
    /// All wells of a map: those used and judged points in the order of the control points, those not used
    /// by name, pumped wells and others that nobody measured. Points along streams and control lines are drawn as
    /// these.
    pub(crate) fn posted(&self) -> Vec<Posted<'a>> {
        let (pumped, warnings) = (self.pumped_wells(), self.warnings_of_wells());
        let sign = |id: &str, otherwise: WellSign| {
            if pumped.iter().any(|p| p.name == id) { WellSign::Pumped } else { otherwise }
        };
        let points = self.map.control.points();
        let signed_values = self.across().is_some_and(|across| across.worked.is_signed());
        let metres = self.map.control.elevation_unit().metres();
        let used = points.iter().enumerate().filter_map(|(i, p)| {
            let judged = p.judged(&self.map.site).is_some_and(|judged| judged.line.is_none());
            let sign = match p.kind() {
                Some(WellKind::Well) => sign(&p.id, WellSign::Well),
                Some(WellKind::Gauge) => sign(&p.id, WellSign::Gauge),
                None if judged => WellSign::Judged,
                None => return None,
            };
            Some(Posted {
                id: p.id.as_str(),
                crs: Some(p.crs),
                sign,
                point: Some(i),
                head: Some(p.head),
                corrected: p.is_corrected(),
                unfit: p.is_off(),
                give_or_take: signed_values
                    .then(|| NORMAL_SDS * self.map.uncertainty.heads[i].sd_m / metres),
                product: p.product_thickness.filter(|thickness| *thickness > 0.0),
                warnings: warnings.get(p.id.as_str()).into_iter().flatten().copied().collect(),
                reasons: Vec::new(),
                without_head: None,
            })
        });
        let without = |id, crs, sign, reasons| Posted {
            id,
            crs,
            sign,
            point: None,
            head: None,
            corrected: false,
            unfit: false,
            give_or_take: None,
            product: None,
            warnings: Vec::new(),
            reasons,
            without_head: None,
        };
        let mut posted: Vec<Posted> = used.collect();
        if let Some(across) = self.across() {
            let without = across.without.iter().map(|(well, why)| {
                let place = self.map.control.places()[*well].map(|place| place.crs);
                let id = self.map.site.wells[*well].id.as_str();
                without(id, place, WellSign::NotUsed, vec![why.as_str()])
            });
            posted.extend(without);
            return posted;
        }
        posted.extend(self.not_used().into_iter().map(|a| {
            let id = a.well.id.as_str();
            let left = self.map.control.left_out().iter().find(|l| l.id == id);
            let otherwise = left.map_or(WellSign::NotUsed, |_| WellSign::LeftOut);
            Posted {
                head: left.map(|l| l.head),
                without_head: Some(a.posted_without_head(&self.map.round)),
                ..without(id, a.place.map(|p| p.crs), sign(id, otherwise), a.reasons())
            }
        }));
        let unmeasured: Vec<Posted> = pumped
            .iter()
            .filter(|p| posted.iter().all(|w| w.id != p.name))
            .map(|p| without(p.name, Some(p.crs), WellSign::Pumped, Vec::new()))
            .collect();
        posted.extend(unmeasured);
        posted.extend(self.unread().into_iter().map(|(well, place)| Posted {
            without_head: Some(NOT_MEASURED),
            ..without(&*well.id, Some(place.crs), sign(&well.id, WellSign::NotUsed), Vec::new())
        }));
        posted
    }

    /// The codes of the open warnings about each well and its head, each once: not those about many wells or the map.
    fn warnings_of_wells(&self) -> BTreeMap<&'a str, BTreeSet<&'static str>> {
        let mut of_well: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        let here = |f: &&Diagnostic| {
            let few = f.wells.len() + f.more_wells <= MOST_WELLS;
            let of_head = f.code.id().starts_with(['C', 'D']);
            let marked = matches!(f.code, Code::UnitMixUp | Code::OffNeighbours);
            f.is_open_warning() && few && of_head && !marked
        };
        for found in self.findings.iter().filter(here) {
            for well in &found.wells {
                of_well.entry(well).or_default().insert(found.code.id());
            }
        }
        of_well
    }
}

/// Those that were measured and not used, with their reasons.
pub(crate) fn not_used<'p, 'a>(posted: &'p [Posted<'a>]) -> impl Iterator<Item = &'p Posted<'a>> {
    posted.iter().filter(|w| !w.reasons.is_empty())
}

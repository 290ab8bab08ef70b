//! What the record asks for on the next visit.

use super::rows::SiteRecord;
use super::types::VisitOfRecord;
use crate::read::Status;
use crate::record::{HeadRow, unmoved};
use crate::report::measures;
use crate::units::signed;

impl SiteRecord {
    /// What to do at which well on the next visit, in the order of the register, and why.
    ///
    /// # References
    /// Common practice, no source.
    #[must_use]
    pub fn next_visit(&self) -> Vec<VisitOfRecord> {
        let Some(newest) = self.record.rounds.len().checked_sub(1) else { return Vec::new() };
        (0..self.record.wells.len()).flat_map(|well| self.of_well(well, newest)).collect()
    }

    fn of_well(&self, well: usize, newest: usize) -> Vec<VisitOfRecord> {
        let rows = self.record.heads_of(well);
        let now = rows.iter().find(|h| h.round == newest);
        let mut found: Vec<(&'static str, String)> = Vec::new();
        found.extend(self.unread(rows, now, newest));
        found.extend(self.doubted(well, newest));
        let built = &self.record.wells[well].built;
        if let Some(silt) = built.silt {
            found
                .push(("redevelop", format!("sounded {} shallower than built", self.length(silt))));
        }
        let product = rows.iter().rev().find(|h| h.head.is_some());
        if let Some(thick) = product.and_then(|h| h.product) {
            let round = product.map_or_else(String::new, |h| self.round(h.round));
            found.push((
                "read with an interface probe, last",
                format!("{} of floating product in round {round}", self.length(thick)),
            ));
        }
        // A screen that always is under water was meant to be.
        let submerged = now.and_then(|h| h.head).zip(built.screen_top);
        let submerged = submerged.filter(|(head, top)| {
            head > top && rows.iter().any(|h| h.head.is_some_and(|head| head <= *top))
        });
        if let Some((head, top)) = submerged {
            found.push((
                "note the submerged screen",
                format!(
                    "the water is {} above the top of the screen, as it is not in all rounds: floating product would \
                     not enter the well",
                    self.length(head - top)
                ),
            ));
        }
        let name = &self.record.wells[well].well;
        found
            .into_iter()
            .map(|(what, why)| VisitOfRecord { well: name.clone(), what, why })
            .collect()
    }

    /// A well without a head in the newest round.
    fn unread(
        &self,
        rows: &[HeadRow],
        now: Option<&HeadRow>,
        newest: usize,
    ) -> Option<(&'static str, String)> {
        if now.is_some_and(|h| h.head.is_some()) {
            return None;
        }
        let round = self.round(newest);
        let last = rows.iter().rev().find(|h| h.head.is_some());
        let last = last.map_or_else(
            || "no head in any round".to_owned(),
            |h| format!("last head in round {}", self.round(h.round)),
        );
        Some(match now {
            Some(dry) if dry.status == Status::Dry => {
                let times = rows.iter().filter(|h| h.status == Status::Dry).count();
                let below =
                    dry.below.map_or_else(String::new, |b| format!(", below {}", self.length(b)));
                (
                    "sound, and read again",
                    format!(
                        "dry in round {round}{below}; dry in {times} of {} rounds; {last}",
                        rows.len()
                    ),
                )
            }
            Some(other) => ("read", format!("{} in round {round}; {last}", other.status.word())),
            None => ("read", format!("not read in round {round}; {last}")),
        })
    }

    /// A reading of the newest round that does not fit the record.
    fn doubted(&self, well: usize, newest: usize) -> Vec<(&'static str, String)> {
        let unfitting = &self.record.unfitting;
        let odd = unfitting.odd.iter().filter(|o| (o.well, o.round) == (well, newest));
        let odd = odd.map(|o| {
            let off = signed(self.length(o.off));
            ("take again", format!("off by {off} against the other rounds and wells"))
        });
        let stuck = unfitting.stuck.iter().filter(|s| (s.well, s.to) == (well, newest));
        odd.chain(stuck.map(|s| ("sound, and take again", unmoved(&self.record, s)))).collect()
    }

    /// A head or a difference of heads with its unit.
    fn length(&self, value: f64) -> String {
        let unit = self.record.elevation_unit;
        format!("{} {}", measures::height(value, unit), unit.in_words())
    }
}

//! A site as its files describe it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::diag::{Accepted, Warned};
use crate::error::Error;
use crate::read::features::types::Features;
use crate::read::files::input_file::InputFile;
use crate::read::fonts::sheet_font::SheetFont;
use crate::read::raster::colours::PictureDots;
use crate::read::raster::land_surface::LandSurface;
use crate::read::rounds::list::Rounds;
use crate::read::rounds::round::Round;
use crate::read::settings::method::Fact;
use crate::read::settings::of_site::Settings;
use crate::read::settings::overrides::Overrides;
use crate::read::wells::left_out::LeftOut;
use crate::read::wells::pumped::PumpedWell;
use crate::read::wells::unit;
use crate::read::wells::well::{Calibration, MeasuringPoint, Well};

use super::said::settled;

/// A site: what holds for every round of it.
#[derive(Debug, Clone)]
pub struct Site {
    /// What `site.toml` and the command line declare.
    pub settings: Settings,
    /// The register, in the order of names, `MW-2` before `MW-10`.
    pub wells: Vec<Well>,
    /// Surveyed elevations of measuring points, by well. Sorted by date within a well.
    pub measuring_points: BTreeMap<String, Vec<MeasuringPoint>>,
    /// Calibrations, by instrument.
    pub instruments: BTreeMap<String, Calibration>,
    /// What stands beside the wells.
    pub features: Features,
    /// The pumped wells that are declared.
    pub pumped_wells: Vec<PumpedWell>,
    /// The wells that somebody decided to leave out of the contouring.
    pub left_out: Vec<LeftOut>,
    /// The findings that somebody accepted.
    pub accepted: Vec<Accepted>,
    /// The land surface, where one is declared.
    pub land_surface: Option<LandSurface>,
    /// The logo of the title block, where one is declared.
    pub logo: Option<Arc<PictureDots>>,
    /// The fonts of the map sheet beside the built-in one.
    pub fonts: Arc<[SheetFont]>,
    /// The rounds there are.
    pub rounds: Rounds,
    /// Each file read but those of the rounds, for the record.
    pub inputs: Vec<InputFile>,
    /// What the command line said, which is in `settings` already.
    pub asked: Overrides,
    /// The one table that all of it was read from, where it was no folder.
    pub table: Option<String>,
}

impl Site {
    /// A site that no file describes: its settings and its register.
    #[must_use]
    pub fn new(settings: Settings, wells: Vec<Well>) -> Self {
        Self {
            settings,
            wells,
            measuring_points: BTreeMap::new(),
            instruments: BTreeMap::new(),
            features: Features::default(),
            pumped_wells: Vec::new(),
            left_out: Vec::new(),
            accepted: Vec::new(),
            land_surface: None,
            logo: None,
            fonts: Arc::new([]),
            rounds: Rounds::given(Vec::new()),
            inputs: Vec::new(),
            asked: Overrides::default(),
            table: None,
        }
    }

    /// Whether its surface has the cones of pumped wells.
    #[must_use]
    pub fn has_cones(&self) -> bool {
        self.settings.surface.method.has(Fact::Drift) && !self.pumped_wells.is_empty()
    }

    /// The aquifer units that the register names, each once, in the order of their names. Case and outer spaces make no
    /// difference.
    #[must_use]
    pub fn aquifer_units(&self) -> Vec<&str> {
        unit::of_wells(&self.wells)
    }

    /// Reads one of its rounds, the newest when no name is given.
    ///
    /// # Errors
    /// [`Error::Read`] when there is no such round (R111), and with every refusal found in it.
    pub fn round(&self, name: Option<&str>) -> Result<Warned<Arc<Round>>, Error> {
        let mut said = Vec::new();
        let round = self.rounds.read(&self.settings, name, &mut said);
        settled(round.map(|round| self.dated(round)), said)
    }

    /// The same round with the day of the one before it, which only measuring points that changed ask for. The
    /// files that give the day are among its inputs.
    pub(in crate::read) fn dated(&self, mut round: Arc<Round>) -> Arc<Round> {
        let surveyed_twice = self.measuring_points.values().any(|points| points.len() > 1);
        if surveyed_twice
            && round.before.is_none()
            && let Some((day, inputs)) = self.rounds.before(&round)
        {
            let round = Arc::make_mut(&mut round);
            round.before = Some(day);
            for input in inputs {
                if !round.inputs.contains(&input) {
                    round.inputs.push(input);
                }
            }
        }
        round
    }
}

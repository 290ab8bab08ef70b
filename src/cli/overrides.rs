//! What the command line says beside the files.

use headfall::read::{Method, Overrides, SheetOverrides};

use super::args::{ALL, How, Making, Source};

impl std::ops::Deref for Source {
    type Target = How;

    fn deref(&self) -> &How {
        &self.how
    }
}

impl Source {
    /// What the command line says beside the files.
    pub(super) fn overrides(&self, surface: Option<Method>) -> Overrides {
        self.how.overrides(self.round.clone(), surface)
    }
}

impl How {
    /// Whether all aquifer units are asked for.
    pub(super) fn has_all_units(&self) -> bool {
        self.aquifer_unit.as_deref() == Some(ALL)
    }

    /// What the command line says beside the files.
    pub(super) fn overrides(&self, round: Option<String>, surface: Option<Method>) -> Overrides {
        Overrides {
            crs: self.crs.clone(),
            round,
            worksheet: self.worksheet.clone(),
            layer: self.layer.clone(),
            elevation_unit: self.unit,
            aquifer_unit: self.aquifer_unit.clone().filter(|_| !self.has_all_units()),
            surface,
            ..Overrides::default()
        }
    }
}

impl Making {
    /// The same with what results are to be like.
    pub(super) fn overrides(&self, how: &How, round: Option<String>) -> Overrides {
        Overrides {
            cell: self.cell,
            interval: self.interval,
            sheet: SheetOverrides {
                data_only: self.data_only,
                page: self.page,
                shading: self.shade,
                dpi: self.dpi,
            },
            formats: self.format.clone(),
            rasters: self.rasters,
            ..how.overrides(round, self.surface)
        }
    }
}

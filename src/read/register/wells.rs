//! The register: wells, their positions, and the measuring points surveyed with them.

use std::collections::HashMap;

use geo::Coord;
use jiff::civil::Date;

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::table::cells::{Cells, Reported};
use crate::read::table::columns::Column;
use crate::read::table::layout::Layout;
use crate::read::table::rows::{Table, shown};
use crate::read::table::rules::Rules;
use crate::read::table::status;
use crate::read::wells::well::{MeasuringPoint, Well, WellKind};

/// The index of a well whose row could not be read.
pub(in crate::read) const FAULTY: usize = usize::MAX;

/// The two columns that hold positions.
pub(in crate::read) type Axes = (Column, Column);

/// Positions on a map.
pub(in crate::read) const PLANE: Axes = (Column::Easting, Column::Northing);

/// Positions on the globe.
pub(in crate::read) const GLOBE: Axes = (Column::Longitude, Column::Latitude);

/// Wells in file order, found by name, with their measuring points.
#[derive(Debug, Default)]
pub(in crate::read) struct Register {
    /// The wells in file order.
    pub(in crate::read) wells: Vec<Well>,
    /// Surveyed elevations with the index of their well, in file order.
    pub(in crate::read) points: Vec<(usize, MeasuringPoint)>,
    /// Where each well stands in `wells`; [`FAULTY`] for one whose row could not be read, which
    /// is known all the same: its readings belong to it.
    pub(in crate::read) index: HashMap<String, usize>,
    /// The same positions said another way, where the table has both: index of the well, and the
    /// cells of the axes that are not used.
    pub(in crate::read) twice: Vec<(usize, Coord)>,
}

/// What a row says about a well, besides its name.
#[derive(Debug)]
pub(in crate::read) struct WellRow<'a> {
    pub(in crate::read) easting: Option<f64>,
    pub(in crate::read) northing: Option<f64>,
    pub(in crate::read) position_sd: Option<f64>,
    pub(in crate::read) kind: Option<WellKind>,
    pub(in crate::read) aquifer_unit: Option<&'a str>,
    pub(in crate::read) point_elevation: Option<f64>,
    pub(in crate::read) point_date: Option<Date>,
    pub(in crate::read) ground_elevation: Option<f64>,
    pub(in crate::read) total_depth: Option<f64>,
    pub(in crate::read) sounded_depth: Option<f64>,
    pub(in crate::read) screen_top: Option<f64>,
    pub(in crate::read) screen_bottom: Option<f64>,
    pub(in crate::read) specific_gravity: Option<f64>,
}

impl<'a> WellRow<'a> {
    /// Reads every cell about the well, so that all that is wrong in the row is said.
    pub(in crate::read) fn read(
        cells: &Cells<'a>,
        axes: Axes,
        said: &mut Vec<Diagnostic>,
    ) -> Result<Self, Reported> {
        let easting = cells.number(axes.0, said);
        let northing = cells.number(axes.1, said);
        let position_sd = cells.number(Column::PositionSd, said);
        let point_elevation = cells.number(Column::MeasuringPointElevation, said);
        let point_date = cells.day(Column::MeasuringPointDate, said);
        let ground_elevation = cells.number(Column::GroundElevation, said);
        let total_depth = cells.number(Column::TotalDepth, said);
        let sounded_depth = cells.number(Column::SoundedDepth, said);
        let screen_top = cells.number(Column::ScreenTop, said);
        let screen_bottom = cells.number(Column::ScreenBottom, said);
        let specific_gravity = cells.number(Column::SpecificGravity, said);
        let kind = kind(cells, said);
        Ok(Self {
            easting: easting?,
            northing: northing?,
            position_sd: position_sd?,
            kind: kind?,
            aquifer_unit: cells.text(Column::AquiferUnit),
            point_elevation: point_elevation?,
            point_date: point_date?,
            ground_elevation: ground_elevation?,
            total_depth: total_depth?,
            sounded_depth: sounded_depth?,
            screen_top: screen_top?,
            screen_bottom: screen_bottom?,
            specific_gravity: specific_gravity?,
        })
    }
}

impl Register {
    /// An empty register with room.
    pub(in crate::read) fn for_rows(rows: usize) -> Self {
        Self {
            wells: Vec::with_capacity(rows),
            points: Vec::with_capacity(rows),
            index: HashMap::with_capacity(rows),
            twice: Vec::new(),
        }
    }

    /// Reads every row of a register.
    pub(in crate::read) fn read(
        table: &Table,
        layout: &Layout,
        axes: Axes,
        rules: &Rules,
        said: &mut Vec<Diagnostic>,
    ) -> Self {
        let mut register = Self::for_rows(table.rows_ahead());
        // Where the wells stand that are not among them.
        let mut faulty: HashMap<String, Origin> = HashMap::new();
        let malformed = table.each_row(said, |row, said| {
            let cells = Cells { row: *row, layout, rules };
            let Ok(id) = cells.id(said) else { return };
            let first = match register.index.get(id) {
                Some(&FAULTY) => faulty.get(id),
                Some(&at) => Some(&register.wells[at].origin),
                None => None,
            };
            if let Some(first) = first {
                said.push(
                    Diagnostic::new(
                        Code::WellTwice,
                        format!("well {} is in the register twice", shown(id)),
                    )
                    .well(id)
                    .at(first)
                    .at(&row.origin())
                    .advice(
                        "remove one row, or give the wells different names; a later survey of the \
                         measuring point belongs in measuring-points.csv",
                    ),
                );
                return;
            }
            let well = WellRow::read(&cells, axes, said);
            if register.add(&cells, id, axes, well, said) == FAULTY {
                faulty.insert(id.to_owned(), row.origin());
            }
        });
        // Wells whose row is malformed are known all the same.
        if let Some(id) = layout.place(Column::Id).filter(|_| malformed) {
            table.each_malformed(|row| {
                if !row.cell(id).is_empty() {
                    register.index.entry(row.cell(id).to_owned()).or_insert(FAULTY);
                }
            });
        }
        register
    }

    /// Adds a well that is new, and gives its index. Its positions must be there.
    pub(in crate::read) fn add(
        &mut self,
        cells: &Cells<'_>,
        id: &str,
        axes: Axes,
        row: Result<WellRow<'_>, Reported>,
        said: &mut Vec<Diagnostic>,
    ) -> usize {
        let place = if let Ok(row) = &row {
            for (column, value) in [(axes.0, row.easting), (axes.1, row.northing)] {
                if value.is_none() {
                    said.push(cells.empty(column));
                }
            }
            row.easting.zip(row.northing)
        } else {
            None
        };
        let index = if place.is_some() { self.wells.len() } else { FAULTY };
        self.index.insert(id.to_owned(), index);
        let (Ok(row), Some((easting, northing))) = (row, place) else { return FAULTY };
        let other = if axes == PLANE { GLOBE } else { PLANE };
        if let (Some(x), Some(y)) = (cells.aside(other.0), cells.aside(other.1)) {
            self.twice.push((self.wells.len(), Coord { x, y }));
        }
        let origin = cells.row.origin();
        if let Some(elevation) = row.point_elevation {
            let point =
                MeasuringPoint { valid_from: row.point_date, elevation, origin: origin.clone() };
            self.points.push((self.wells.len(), point));
        }
        self.wells.push(Well {
            id: id.to_owned(),
            kind: row.kind.unwrap_or(WellKind::Well),
            easting,
            northing,
            position_sd: row.position_sd,
            aquifer_unit: row.aquifer_unit.map(str::to_owned),
            ground_elevation: row.ground_elevation,
            total_depth: row.total_depth,
            sounded_depth: row.sounded_depth,
            screen_top: row.screen_top,
            screen_bottom: row.screen_bottom,
            specific_gravity: row.specific_gravity,
            origin,
        });
        index
    }
}

/// The names of an index in the order of the register, without those of rows that could not be read.
pub(in crate::read) fn names_in_order(index: &HashMap<String, usize>) -> Vec<&str> {
    let mut names: Vec<(usize, &str)> =
        index.iter().filter(|(_, at)| **at != FAULTY).map(|(name, at)| (*at, &**name)).collect();
    names.sort_unstable();
    names.into_iter().map(|(_, name)| name).collect()
}

fn kind(cells: &Cells<'_>, said: &mut Vec<Diagnostic>) -> Result<Option<WellKind>, Reported> {
    let Some(word) = cells.text(Column::Kind) else { return Ok(None) };
    status::kind(word).map(Some).ok_or_else(|| {
        let message = format!("kind \"{}\"{} is not recognised", shown(word), cells.of_well());
        said.push(
            cells
                .about(Column::Kind, Code::StatusUnknown, message)
                .advice(format!("use one of: {}", status::known(status::KIND_WORDS))),
        );
        Reported
    })
}

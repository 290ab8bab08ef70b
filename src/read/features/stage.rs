//! The stage along a stream, the head of a control line.

use super::layer::{Cell, Feature, Vertex};
use super::shape::Problem;
use crate::read::settings::bounds::Bound;
use crate::read::settings::features::{FileTable, Stage};
use crate::units::{LengthUnit, as_given};

/// Where the stage of a file's streams comes from; fields by their place.
#[derive(Debug, Clone, Copy)]
pub(super) enum Rule {
    /// The heights of the vertices.
    Heights,
    /// One stage all along.
    Level(Value),
    /// From the first vertex to the last, in proportion to the length.
    Sloping(Value, Value),
}

/// A number, or the place of the field that holds one.
#[derive(Debug, Clone, Copy)]
pub(super) enum Value {
    Number(f64),
    Field(usize),
}

impl Rule {
    /// What the table says; the name of the field that does not exist otherwise.
    pub(super) fn of(table: &FileTable, fields: &[String]) -> Result<Self, String> {
        let value = |stage: &Stage| match stage {
            Stage::Number(n) => Ok(Value::Number(*n)),
            Stage::Field(name) => {
                fields.iter().position(|f| f == name).map(Value::Field).ok_or_else(|| name.clone())
            }
        };
        Ok(
            match (
                table.stage.as_ref().or(table.head.as_ref()),
                &table.stage_start,
                &table.stage_end,
            ) {
                (Some(stage), ..) => Self::Level(value(stage)?),
                (_, Some(start), Some(end)) => Self::Sloping(value(start)?, value(end)?),
                _ => Self::Heights,
            },
        )
    }

    /// The head of a control line, which has one alone.
    ///
    /// # Units
    /// - `unit`: of the file's heads; returns: `into`
    pub(super) fn head(
        self,
        feature: &Feature,
        unit: LengthUnit,
        into: LengthUnit,
    ) -> Result<f64, Problem> {
        let head = match self {
            Self::Level(Value::Number(head)) => head,
            Self::Level(Value::Field(i)) => number(&feature.cells[i], "head")?,
            Self::Heights | Self::Sloping(..) => number(&Cell::Empty, "head")?,
        };
        let head = unit.convert(head, into);
        if Bound::LEVEL.holds(head) {
            return Ok(head);
        }
        let text = format!("has the head {}, not {}", as_given(head), Bound::LEVEL.words());
        Err((text, "correct the head or its unit (`unit` beside `file`)"))
    }

    /// The stage at each vertex of one part of a feature.
    ///
    /// # Units
    /// - `along`: distance of each vertex from the first, any unit
    /// - `unit`: of the file's stages; returns: `into`
    pub(super) fn stages(
        self,
        feature: &Feature,
        vertices: &[Vertex],
        along: &[f64],
        unit: LengthUnit,
        into: LengthUnit,
    ) -> Result<Vec<f64>, Problem> {
        let read = |value: Value| match value {
            Value::Number(n) => Ok(n),
            Value::Field(i) => number(&feature.cells[i], "stage"),
        };
        let stages = match self {
            Self::Heights => {
                heights(feature)?;
                vertices.iter().map(|v| v.2).collect()
            }
            Self::Level(stage) => vec![read(stage)?; vertices.len()],
            Self::Sloping(start, end) => {
                let (start, end) = (read(start)?, read(end)?);
                if feature.parts.len() > 1 || vertices.len() < 2 {
                    return Err((
                        format!(
                            "has {} parts, but a stage from start to end needs a single line",
                            feature.parts.len()
                        ),
                        "split it into single lines, each with a stage at both ends",
                    ));
                }
                let length = along.last().copied().unwrap_or(0.0);
                along.iter().map(|s| start + (end - start) * (s / length)).collect()
            }
        };
        Ok(stages.into_iter().map(|s: f64| unit.convert(s, into)).collect())
    }
}

/// Refuses vertices without a height, and heights that were never filled in.
fn heights(feature: &Feature) -> Result<(), Problem> {
    const ADVICE: &str = "give each vertex the stage as its height, or name the field that holds \
                          it: streams = { file = \"...\", stage = \"FIELD\" }, or stage_start and \
                          stage_end";
    if !feature.has_heights {
        return Err(("has no stage: its vertices have no height".to_owned(), ADVICE));
    }
    let zero = |v: &Vertex| v.2 == 0.0;
    if feature.parts.iter().flat_map(super::layer::Part::all).all(zero) {
        let text = "has stage 0 at every vertex, as if the heights were never filled in";
        return Err((text.to_owned(), ADVICE));
    }
    Ok(())
}

fn number(cell: &Cell, what: &str) -> Result<f64, Problem> {
    const ADVICE: &str = "enter it as a decimal number";
    match cell {
        Cell::Number(n) if n.is_finite() => Ok(*n),
        Cell::Number(n) => Err((format!("has the {what} {}", as_given(*n)), ADVICE)),
        Cell::Empty => Err((format!("has no {what}: the field is empty"), ADVICE)),
        Cell::Text(text) => match text.parse::<f64>() {
            Ok(n) if n.is_finite() => Ok(n),
            _ => Err((
                format!(
                    "has the {what} \"{}\", which is not a number",
                    crate::read::table::rows::shown(text)
                ),
                ADVICE,
            )),
        },
    }
}

//! What a layer is: rows with geometries, and what they belong to.

use geo::Geometry;

use super::fields;
use super::fields::Field;
use super::row::Value;
use super::row::row;
use crate::report::OfRound;
use crate::report::OfSite;

/// What a layer's features are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::write) enum Shape {
    Point,
    Line,
    Area,
    Points,
    Lines,
    Areas,
    /// Nothing: a table.
    Table,
}

/// The columns behind those of each layer, whose cells are the same in all rows: what they belong to.
pub(in crate::write) struct Belonging {
    pub(in crate::write) fields: &'static [Field],
    pub(in crate::write) values: Vec<Value>,
}

impl Belonging {
    /// That of a round.
    pub(in crate::write) fn to_round(of: &OfRound) -> Self {
        Self { fields: fields::OF_ROUND, values: row(of, fields::OF_ROUND) }
    }

    /// That of a site.
    pub(super) fn to_site(of: &OfSite) -> Self {
        Self { fields: fields::OF_SITE, values: row(of, fields::OF_SITE) }
    }

    /// None, where each row says by itself what it belongs to.
    pub(in crate::write) const NONE: Self = Self { fields: &[], values: Vec::new() };
}

/// A layer.
pub(in crate::write) struct Layer<'a> {
    pub(in crate::write) name: &'static str,
    /// What it is, for the file's own description of its layers.
    pub(in crate::write) about: &'static str,
    pub(in crate::write) shape: Shape,
    pub(in crate::write) fields: &'a [Field],
    pub(in crate::write) count: usize,
    /// A feature by its number.
    pub(in crate::write) feature: Box<dyn Fn(usize) -> (Geometry, Vec<Value>) + Sync + 'a>,
}

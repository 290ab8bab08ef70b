//! The properties of a feature as a row of columns.
//!
//! A row is made from the very struct that the GeoJSON layer is written from, so that the two hold
//! the same values. Tables of a GIS have no lists: an array of fixed length takes a column for each
//! entry, a list of words one column with the words in it.

use serde::Serialize;
use serde::ser::{Error as _, Impossible, SerializeSeq, SerializeStruct, SerializeTuple};

use super::fields::Field;
use crate::units::finite;

/// What stands in a column.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::write) enum Value {
    Null,
    Text(String),
    Integer(i64),
    Real(f64),
    Flag(bool),
}

/// A struct that is no row of these fields.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub(in crate::write) struct NoRow(String);

impl serde::ser::Error for NoRow {
    fn custom<T: std::fmt::Display>(text: T) -> Self {
        Self(text.to_string())
    }
}

/// The columns of `properties`, in the order of `fields`.
///
/// # Panics
/// When the struct has other members than the fields say.
pub(in crate::write) fn row(properties: &impl Serialize, fields: &[Field]) -> Vec<Value> {
    let columns = Columns { fields, values: Vec::with_capacity(fields.len()) };
    let values = properties
        .serialize(Rows(columns))
        .unwrap_or_else(|e| panic!("this is a bug in headfall: a layer is no table: {e}"));
    assert_eq!(values.len(), fields.len(), "this is a bug in headfall: columns are missing");
    values
}

struct Columns<'f> {
    fields: &'f [Field],
    values: Vec<Value>,
}

struct Rows<'f>(Columns<'f>);

impl SerializeStruct for Columns<'_> {
    type Ok = Vec<Value>;
    type Error = NoRow;

    fn serialize_field<T: ?Sized + Serialize>(
        &mut self,
        key: &'static str,
        value: &T,
    ) -> Result<(), NoRow> {
        let from = self.values.len();
        let width = self.fields.iter().skip(from).take_while(|f| f.of == key).count();
        value.serialize(Cells(&mut self.values))?;
        if width > 1 && self.values[from..] == [Value::Null] {
            self.values.resize(from + width, Value::Null);
        }
        if width == 0 || self.values.len() != from + width {
            return Err(NoRow(format!("{key} takes {} columns", self.values.len() - from)));
        }
        Ok(())
    }

    fn end(self) -> Result<Vec<Value>, NoRow> {
        Ok(self.values)
    }
}

/// One member of the struct, appended.
struct Cells<'v>(&'v mut Vec<Value>);

/// The words of a list, joined.
struct Words<'v>(&'v mut Vec<Value>, Vec<Value>);

impl Cells<'_> {
    #[expect(clippy::unnecessary_wraps, reason = "serde asks for it")]
    fn put(self, value: Value) -> Result<(), NoRow> {
        self.0.push(value);
        Ok(())
    }
}

impl SerializeTuple for Cells<'_> {
    type Ok = ();
    type Error = NoRow;

    fn serialize_element<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), NoRow> {
        value.serialize(Cells(self.0))
    }

    fn end(self) -> Result<(), NoRow> {
        Ok(())
    }
}

impl SerializeSeq for Words<'_> {
    type Ok = ();
    type Error = NoRow;

    fn serialize_element<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), NoRow> {
        value.serialize(Cells(&mut self.1))
    }

    fn end(self) -> Result<(), NoRow> {
        let words: Option<Vec<&str>> = self
            .1
            .iter()
            .map(|v| if let Value::Text(word) = v { Some(word.as_str()) } else { None })
            .collect();
        let words = words.ok_or_else(|| NoRow::custom("a list of other than words"))?;
        self.0.push(Value::Text(words.join(" ")));
        Ok(())
    }
}

/// Whatever else serde may bring.
macro_rules! never {
    ($($name:ident($($type:ty),*) -> $result:ty;)*) => {
        $(fn $name(self, $(_: $type),*) -> Result<$result, NoRow> {
            Err(NoRow(stringify!($name).to_owned()))
        })*
    };
}

type No<T> = Impossible<T, NoRow>;

impl<'v> serde::Serializer for Cells<'v> {
    type Ok = ();
    type Error = NoRow;
    type SerializeSeq = Words<'v>;
    type SerializeTuple = Self;
    type SerializeTupleStruct = No<()>;
    type SerializeTupleVariant = No<()>;
    type SerializeMap = No<()>;
    type SerializeStruct = No<()>;
    type SerializeStructVariant = No<()>;

    fn serialize_bool(self, v: bool) -> Result<(), NoRow> {
        self.put(Value::Flag(v))
    }
    fn serialize_i64(self, v: i64) -> Result<(), NoRow> {
        self.put(Value::Integer(v))
    }
    fn serialize_u64(self, v: u64) -> Result<(), NoRow> {
        self.put(Value::Integer(i64::try_from(v).map_err(NoRow::custom)?))
    }
    fn serialize_u32(self, v: u32) -> Result<(), NoRow> {
        self.put(Value::Integer(v.into()))
    }
    fn serialize_f64(self, v: f64) -> Result<(), NoRow> {
        self.put(Value::Real(finite(v)))
    }
    fn serialize_str(self, v: &str) -> Result<(), NoRow> {
        self.put(Value::Text(v.to_owned()))
    }
    fn serialize_none(self) -> Result<(), NoRow> {
        self.put(Value::Null)
    }
    fn serialize_some<T: ?Sized + Serialize>(self, v: &T) -> Result<(), NoRow> {
        v.serialize(self)
    }
    fn serialize_unit_variant(
        self,
        _: &'static str,
        _: u32,
        word: &'static str,
    ) -> Result<(), NoRow> {
        self.put(Value::Text(word.to_owned()))
    }
    fn serialize_newtype_struct<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        v: &T,
    ) -> Result<(), NoRow> {
        v.serialize(self)
    }
    fn serialize_seq(self, _: Option<usize>) -> Result<Words<'v>, NoRow> {
        Ok(Words(self.0, Vec::new()))
    }
    fn serialize_tuple(self, _: usize) -> Result<Self, NoRow> {
        Ok(self)
    }
    fn serialize_newtype_variant<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: &T,
    ) -> Result<(), NoRow> {
        Err(NoRow::custom("a variant"))
    }
    never! {
        serialize_i8(i8) -> ();
        serialize_i16(i16) -> ();
        serialize_i32(i32) -> ();
        serialize_u8(u8) -> ();
        serialize_u16(u16) -> ();
        serialize_f32(f32) -> ();
        serialize_char(char) -> ();
        serialize_bytes(&[u8]) -> ();
        serialize_unit() -> ();
        serialize_unit_struct(&'static str) -> ();
        serialize_tuple_struct(&'static str, usize) -> No<()>;
        serialize_tuple_variant(&'static str, u32, &'static str, usize) -> No<()>;
        serialize_map(Option<usize>) -> No<()>;
        serialize_struct(&'static str, usize) -> No<()>;
        serialize_struct_variant(&'static str, u32, &'static str, usize) -> No<()>;
    }
}

impl<'f> serde::Serializer for Rows<'f> {
    type Ok = Vec<Value>;
    type Error = NoRow;
    type SerializeSeq = No<Vec<Value>>;
    type SerializeTuple = No<Vec<Value>>;
    type SerializeTupleStruct = No<Vec<Value>>;
    type SerializeTupleVariant = No<Vec<Value>>;
    type SerializeMap = No<Vec<Value>>;
    type SerializeStruct = Columns<'f>;
    type SerializeStructVariant = No<Vec<Value>>;

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Columns<'f>, NoRow> {
        Ok(self.0)
    }
    fn serialize_some<T: ?Sized + Serialize>(self, v: &T) -> Result<Vec<Value>, NoRow> {
        v.serialize(self)
    }
    fn serialize_newtype_struct<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        v: &T,
    ) -> Result<Vec<Value>, NoRow> {
        v.serialize(self)
    }
    fn serialize_newtype_variant<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: &T,
    ) -> Result<Vec<Value>, NoRow> {
        Err(NoRow::custom("a variant"))
    }
    never! {
        serialize_bool(bool) -> Vec<Value>;
        serialize_i8(i8) -> Vec<Value>;
        serialize_i16(i16) -> Vec<Value>;
        serialize_i32(i32) -> Vec<Value>;
        serialize_i64(i64) -> Vec<Value>;
        serialize_u8(u8) -> Vec<Value>;
        serialize_u16(u16) -> Vec<Value>;
        serialize_u32(u32) -> Vec<Value>;
        serialize_u64(u64) -> Vec<Value>;
        serialize_f32(f32) -> Vec<Value>;
        serialize_f64(f64) -> Vec<Value>;
        serialize_char(char) -> Vec<Value>;
        serialize_str(&str) -> Vec<Value>;
        serialize_bytes(&[u8]) -> Vec<Value>;
        serialize_none() -> Vec<Value>;
        serialize_unit() -> Vec<Value>;
        serialize_unit_struct(&'static str) -> Vec<Value>;
        serialize_unit_variant(&'static str, u32, &'static str) -> Vec<Value>;
        serialize_seq(Option<usize>) -> No<Vec<Value>>;
        serialize_tuple(usize) -> No<Vec<Value>>;
        serialize_tuple_struct(&'static str, usize) -> No<Vec<Value>>;
        serialize_tuple_variant(&'static str, u32, &'static str, usize) -> No<Vec<Value>>;
        serialize_map(Option<usize>) -> No<Vec<Value>>;
        serialize_struct_variant(&'static str, u32, &'static str, usize) -> No<Vec<Value>>;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::triangulate::Mark;
    use crate::write::vector::fields::Kind;

    #[derive(Serialize)]
    struct Properties<'a> {
        id: usize,
        wells: [&'a str; 2],
        range: Option<[f64; 2]>,
        head: Option<f64>,
        used: bool,
        marks: &'a [Mark],
    }

    const fn field(of: &'static str, name: &'static str, kind: Kind) -> Field {
        Field { of, name, short: name, kind, about: "" }
    }

    const FIELDS: [Field; 8] = [
        field("id", "id", Kind::Integer),
        field("wells", "well_1", Kind::Text),
        field("wells", "well_2", Kind::Text),
        field("range", "low", Kind::Real),
        field("range", "high", Kind::Real),
        field("head", "head", Kind::Real),
        field("used", "used", Kind::Flag),
        field("marks", "marks", Kind::Text),
    ];

    #[test]
    fn arrays_take_a_column_each_and_lists_one() {
        let text = |t: &str| Value::Text(t.to_owned());
        let all = Properties {
            id: 3,
            wells: ["a", "b"],
            range: Some([1.5, 2.5]),
            head: None,
            used: true,
            marks: &[Mark::Sliver, Mark::LongHullEdge],
        };
        let found = row(&all, &FIELDS);
        let range = [Value::Real(1.5), Value::Real(2.5)];
        let mut expected = vec![Value::Integer(3), text("a"), text("b")];
        expected.extend(range);
        expected.extend([Value::Null, Value::Flag(true), text("sliver long-hull-edge")]);
        assert_eq!(found, expected);
        let found = row(&Properties { range: None, marks: &[], ..all }, &FIELDS);
        assert_eq!(found[3..5], [Value::Null, Value::Null]);
        assert_eq!(found[7], text(""));
    }

    #[test]
    #[should_panic(expected = "this is a bug in headfall")]
    fn a_member_without_a_field_is_a_bug() {
        #[derive(Serialize)]
        struct More {
            id: usize,
            other: f64,
        }
        row(&More { id: 1, other: 2.0 }, &FIELDS[..1]);
    }
}

//! A row as cells: the members of its struct one after another, as the writer of CSV takes them.

use std::fmt;

use serde::Serialize;
use serde::ser::{Impossible, SerializeStruct, SerializeTuple};

use super::cell::NUMBER;
use super::grid::Cell;
use crate::units::finite;

/// The cells of a row.
///
/// # Errors
/// When the row holds what no cell can.
pub(super) fn cells(row: &impl Serialize) -> Result<Vec<Cell<'static>>, fmt::Error> {
    let mut cells = Vec::new();
    row.serialize(Cells(&mut cells))?;
    Ok(cells)
}

struct Cells<'v>(&'v mut Vec<Cell<'static>>);

impl Cells<'_> {
    #[expect(clippy::unnecessary_wraps, reason = "serde asks for it")]
    fn put(self, cell: Cell<'static>) -> Result<(), fmt::Error> {
        self.0.push(cell);
        Ok(())
    }

    fn figure(self, number: &impl ToString) -> Result<(), fmt::Error> {
        self.put(Cell::Figure(number.to_string()))
    }

    fn safe(self, text: impl Into<String>) -> Result<(), fmt::Error> {
        self.put(Cell::Safe(text.into()))
    }
}

impl SerializeStruct for Cells<'_> {
    type Ok = ();
    type Error = fmt::Error;

    fn serialize_field<T: ?Sized + Serialize>(
        &mut self,
        _: &'static str,
        value: &T,
    ) -> Result<(), fmt::Error> {
        value.serialize(Cells(self.0))
    }

    fn end(self) -> Result<(), fmt::Error> {
        Ok(())
    }
}

impl SerializeTuple for Cells<'_> {
    type Ok = ();
    type Error = fmt::Error;

    fn serialize_element<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), fmt::Error> {
        value.serialize(Cells(self.0))
    }

    fn end(self) -> Result<(), fmt::Error> {
        Ok(())
    }
}

/// Whatever else serde may bring.
macro_rules! never {
    ($($name:ident($($type:ty),*) -> $result:ty;)*) => {
        $(fn $name(self, $(_: $type),*) -> Result<$result, fmt::Error> {
            Err(fmt::Error)
        })*
    };
}

type No = Impossible<(), fmt::Error>;

impl serde::Serializer for Cells<'_> {
    type Ok = ();
    type Error = fmt::Error;
    type SerializeSeq = No;
    type SerializeTuple = Self;
    type SerializeTupleStruct = No;
    type SerializeTupleVariant = No;
    type SerializeMap = No;
    type SerializeStruct = Self;
    type SerializeStructVariant = No;

    fn serialize_bool(self, v: bool) -> Result<(), fmt::Error> {
        self.safe(v.to_string())
    }
    fn serialize_i64(self, v: i64) -> Result<(), fmt::Error> {
        self.figure(&v)
    }
    fn serialize_i32(self, v: i32) -> Result<(), fmt::Error> {
        self.figure(&v)
    }
    fn serialize_u64(self, v: u64) -> Result<(), fmt::Error> {
        self.figure(&v)
    }
    fn serialize_u32(self, v: u32) -> Result<(), fmt::Error> {
        self.figure(&v)
    }
    fn serialize_f64(self, v: f64) -> Result<(), fmt::Error> {
        // The writer of CSV has no plus in an exponent.
        let text = zmij::Buffer::new().format(finite(v)).replace("e+", "e");
        self.figure(&text)
    }
    fn serialize_str(self, v: &str) -> Result<(), fmt::Error> {
        self.safe(v)
    }
    fn serialize_none(self) -> Result<(), fmt::Error> {
        self.put(Cell::Empty)
    }
    fn serialize_some<T: ?Sized + Serialize>(self, v: &T) -> Result<(), fmt::Error> {
        v.serialize(self)
    }
    fn serialize_unit_variant(
        self,
        _: &'static str,
        _: u32,
        word: &'static str,
    ) -> Result<(), fmt::Error> {
        self.safe(word)
    }
    fn serialize_newtype_struct<T: ?Sized + Serialize>(
        self,
        name: &'static str,
        v: &T,
    ) -> Result<(), fmt::Error> {
        let first = self.0.len();
        v.serialize(Cells(self.0))?;
        for cell in &mut self.0[first..] {
            if let Cell::Safe(text) = cell
                && name == NUMBER
            {
                *cell = Cell::Figure(std::mem::take(text));
            }
        }
        Ok(())
    }
    fn serialize_tuple(self, _: usize) -> Result<Self, fmt::Error> {
        Ok(self)
    }
    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Self, fmt::Error> {
        Ok(self)
    }
    fn serialize_newtype_variant<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: &T,
    ) -> Result<(), fmt::Error> {
        Err(fmt::Error)
    }
    never! {
        serialize_i8(i8) -> ();
        serialize_i16(i16) -> ();
        serialize_u8(u8) -> ();
        serialize_u16(u16) -> ();
        serialize_f32(f32) -> ();
        serialize_char(char) -> ();
        serialize_bytes(&[u8]) -> ();
        serialize_unit() -> ();
        serialize_unit_struct(&'static str) -> ();
        serialize_seq(Option<usize>) -> No;
        serialize_tuple_struct(&'static str, usize) -> No;
        serialize_tuple_variant(&'static str, u32, &'static str, usize) -> No;
        serialize_map(Option<usize>) -> No;
        serialize_struct_variant(&'static str, u32, &'static str, usize) -> No;
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use super::*;
    use crate::read::TableMarks;
    use crate::write::tables::cell::Number;

    fn texts(row: &impl Serialize, marks: TableMarks) -> Vec<String> {
        cells(row).unwrap().iter().map(|cell| cell.text(marks).into_owned()).collect()
    }

    #[derive(Serialize)]
    struct Row<'a> {
        id: usize,
        well: &'a str,
        head: Number,
        gradient: Option<f64>,
        known: bool,
        of: (Option<f64>, i64),
    }

    const ROW: Row<'_> = Row {
        id: 3,
        well: "1.5",
        head: Number(-12.25),
        gradient: Some(0.5),
        known: true,
        of: (None, -2),
    };

    #[test]
    fn numbers_alone_have_the_sites_decimal_mark() {
        let marks = TableMarks { decimal_comma: true, ..TableMarks::default() };
        assert_eq!(texts(&ROW, marks), ["3", "1.5", "-12,25", "0,5", "true", "", "-2"]);
    }

    #[test]
    fn a_row_has_the_cells_that_the_writer_of_csv_gives_it() {
        for gradient in [0.5, 3.0, 1.25e-9, 1e-5, 1e20, 1.5e300, -0.1, 123_456_789.125] {
            let row = || Row { gradient: Some(gradient), ..ROW };
            let mut text = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
            text.serialize(row()).unwrap();
            let text = String::from_utf8(text.into_inner().unwrap()).unwrap();
            let cells = texts(&row(), TableMarks::default());
            assert_eq!(text.trim_end(), cells.join(","));
        }
    }
}

//! Datum grids that `[crs]` declares: read once, hashed, and held to be of a form that PROJ reads.

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::input_file::InputFile;
use crate::read::files::record::Named;
use crate::read::settings::crs::DeclaredGrid;
use crate::sealed::Grids;

use super::geodetic_tiff;

/// What can be used.
const GIVE_NTV2: &str = "give a grid of horizontal offsets in the form of the National \
                         Transformation (NTv2, .gsb) or as geodetic TIFF; the agency that keeps \
                         the datum offers one or both";

/// How a file begins that PROJ reads grids from: the National Transformation, versions 2 and 1,
/// and PROJ's own table.
const BEGINNINGS: [&[u8]; 3] = [b"NUM_OREC", b"HEADER", b"CTABLE V2"];

/// Whether a file begins as a TIFF does, small or large, in either order of bytes.
fn is_tiff(bytes: &[u8]) -> bool {
    const BEGINNINGS: [&[u8; 4]; 4] = [b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"];
    BEGINNINGS.iter().any(|beginning| bytes.starts_with(*beginning))
}

/// Reads the datum grids that are declared, and puts them on record. None where none is, or where
/// one was refused.
pub(in crate::read) fn read(
    folder: &Path,
    declared: &[DeclaredGrid],
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Option<Grids> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for grid in declared {
        match one(grid, folder) {
            Ok((name, bytes, input)) => {
                if files.iter().any(|(other, _)| other.eq_ignore_ascii_case(&name)) {
                    said.push(refused(
                        &grid.origin,
                        format!("two datum grids are called {name}"),
                        "PROJ finds a grid by its file name alone; keep the correct one",
                    ));
                    return None;
                }
                files.push((name, bytes));
                inputs.push(input);
            }
            Err(refused) => {
                said.push(*refused);
                return None;
            }
        }
    }
    (!files.is_empty()).then(|| Grids::of(files))
}

/// Its file name without folders, its content, and its record.
fn one(
    grid: &DeclaredGrid,
    folder: &Path,
) -> Result<(String, Vec<u8>, InputFile), Box<Diagnostic>> {
    let DeclaredGrid { file, origin } = grid;
    let named = Named { file, folder, what: "a datum grid of [crs]", origin };
    let (mut bytes, input) = named.whole()?;
    if is_tiff(&bytes) {
        bytes = geodetic_tiff::to_ntv2(bytes).map_err(|why| {
            refused(origin, format!("{file}, a datum grid of [crs], {why}"), GIVE_NTV2)
        })?;
    }
    if !BEGINNINGS.iter().any(|beginning| bytes.starts_with(beginning)) {
        return Err(Box::new(refused(
            origin,
            format!("{file} is not a datum grid that headfall can read"),
            GIVE_NTV2,
        )));
    }
    let name = Path::new(file).file_name().map(|name| name.to_string_lossy().into_owned());
    Ok((name.unwrap_or_default(), bytes, input))
}

fn refused(origin: &Origin, message: String, advice: &str) -> Diagnostic {
    Diagnostic::new(Code::GridUnusable, message).at(origin).advice(advice)
}
